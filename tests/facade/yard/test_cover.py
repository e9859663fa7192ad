"""Is any of the glass in sun? Decided along its edges, against the shadows drawn as polygons."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from random_surroundings import (
    frame_for,
    plain_window,
    random_obstacle,
    random_tree,
    suns_towards,
)
from random_windows import random_suns, random_window, site_of, slopes_of

from suncover.facade.exposure import glass_of, window_scene
from suncover.facade.glazed import Glass
from suncover.facade.plates import sunlit_fraction
from suncover.facade.yard import solids as solids_module
from suncover.facade.yard.chords import crown_chords
from suncover.facade.yard.looks import Sun, look
from suncover.facade.yard.outlines import Outlines
from suncover.facade.yard.solid_arrays import SolidArrays
from suncover.facade.yard.solids import Crown, Prism, crown_before_glass
from suncover.site.model import Need, Window

seeds = st.integers(0, 2**32 - 1)
# Shares of the glass that are an edge, not an area: what 0.01 mm along an edge of 1 m is.
THIN = 1e-5


def free_share(glass, slopes, solids, shares, needed) -> np.ndarray:
    """Share of the glass that gets enough of the beam, by polygons of what each set of solids hides
    together.
    """
    outlines = Outlines(glass, slopes.p, slopes.q)
    for number in range(1, 2 ** len(solids)):
        some = [index for index in range(len(solids)) if number >> index & 1]
        together = outlines.hull(solids[some[0]])
        for index in some[1:]:
            together = shapely.intersection(together, outlines.hull(solids[index]))
        outlines.hide(together, shares[some].prod(axis=0) < needed)
    return outlines.free_area() / glass.area


def state_of(glass, solids, slopes, shares, needed) -> np.ndarray:
    """1 where some of the glass is in sun, -1 where none is, 0 where only a drawing tells."""
    p, q = slopes
    arrays = SolidArrays([glass], [solids])
    plates, many = len(glass.plates), len(p)
    numbers = np.repeat(np.arange(len(solids) + plates)[:, None], many, axis=1)
    shares = np.concatenate([shares.reshape(-1, many), np.zeros((plates, many))])
    seen = look(arrays, Sun(np.zeros(many, dtype=int), p, q, needed), numbers, shares)
    return np.where(seen.known, np.where(seen.lit, 1, -1), 0)


def random_solids(rng: np.random.Generator, window: Window) -> tuple[list, np.ndarray]:
    obstacles = [random_obstacle(rng, window, f"o{n}") for n in range(rng.integers(0, 3))]
    trees = [random_tree(rng, window, f"t{n}") for n in range(rng.integers(0, 3))]
    site = site_of(window, obstacle=obstacles, tree=trees)
    around = window_scene(site, window, Need(), 0, 86400).surroundings
    if around is None:
        return [], np.zeros((1, 3))
    aims = [[*tree.trunk, (tree.bottom + tree.top) / 2] for tree in trees]
    aims += [[*corner, obstacle.top] for obstacle in obstacles for corner in obstacle.footprint]
    return [*around.prisms, *(tree.crown for tree in around.trees)], np.array(aims)


@given(seeds)
def test_sun_is_found_where_polygons_leave_some(seed):
    rng = np.random.default_rng(seed)
    window = plain_window(rng)
    if rng.random() < 0.6:
        shaded = random_window(rng)
        parts = {key: getattr(shaded, key) for key in ("reveal", "overhang", "fins")}
        window = window.model_copy(update=parts)
    solids, aims = random_solids(rng, window)
    solids = solids[:5]
    glass = glass_of(window)
    suns = np.concatenate(
        [suns_towards(rng, window, aims, 20), random_suns(rng, window, 10)], axis=1
    )
    slopes, many = slopes_of(window, suns), suns.shape[1]
    shares = rng.choice([0.0, 0.3, 0.7], (len(solids), many))
    shares[[isinstance(solid, Prism) for solid in solids]] = 0.0
    needed = rng.choice([1e-300, 0.25, 0.6], many)
    state = state_of(glass, solids, (slopes.p, slopes.q), shares, needed)
    share = free_share(glass, slopes, solids, shares, needed)
    assert (state[share > THIN] >= 0).all()
    assert (state[share == 0.0] <= 0).all()
    # A hole amid the glass between more than three is rare; whatever three do is known.
    assert len(solids) + len(glass.plates) > 2 or (state != 0).all()
    assert len(solids) + len(glass.plates) > 3 or (state[(shares == 0.0).all(axis=0)] != 0).all()


@given(seeds)
def test_plates_alone_as_in_closed_form(seed):
    rng = np.random.default_rng(seed)
    window = random_window(rng)
    slopes, glass = slopes_of(window, random_suns(rng, window, 40)), glass_of(window)
    share = sunlit_fraction(slopes.p, slopes.q, glass)
    state = state_of(glass, [], (slopes.p, slopes.q), np.zeros((0, 40)), np.full(40, 1e-300))
    assert (state[share > THIN] >= 0).all()
    assert (state[share < 1e-14] <= 0).all()
    assert len(glass.plates) > 2 or (state != 0).all()


def test_three_shadows_that_meet_amid_the_glass_hide_it():
    """Three sectors about a point of the glass: no two of them hide it. Moved apart, they leave
    some of its edges as well.
    """
    glass, here = Glass(2.0, 2.0), np.zeros(1)
    turns = np.radians([90.0, 210.0, 330.0])
    for apart, state in ((-0.05, -1), (0.05, 1)):
        sectors = []
        for one, other in zip(turns, np.roll(turns, -1), strict=True):
            ways = np.array([[np.cos(turn), np.sin(turn)] for turn in (one, other)])
            middle = 1.0 + apart * ways.sum(axis=0)
            ring = [middle, middle + 50.0 * ways[0], middle + 50.0 * ways[1]]
            sectors.append(Prism(np.array([(*xy, z) for z in (5.0, 6.0) for xy in ring])))
        found = state_of(glass, sectors, (here, here), np.zeros((3, 1)), np.array([1e-300]))
        assert found.tolist() == [state]


def half_plane(point: np.ndarray, turn: float) -> Prism:
    """A slab that hides all that lies in the direction `turn` from a point of the glass."""
    way = 50.0 * np.array([np.cos(turn), np.sin(turn)])
    side = np.array([-way[1], way[0]])
    ring = [point - side, point + side, point + side + way, point - side + way]
    return Prism(np.array([(*xy, z) for z in (5.0, 6.0) for xy in ring]))


@given(seeds)
def test_three_shadows_leave_a_hole_or_none(seed):
    """Three half-planes about a point, moved away from it or over it: known without a drawing, and
    where there is a hole, its place is none of theirs.
    """
    rng = np.random.default_rng(seed)
    glass, here = Glass(2.0, 2.0), np.zeros(1)
    middle = rng.uniform(0.7, 1.3, 2)
    turns = rng.uniform(0, 2 * np.pi) + np.radians(
        np.array([0, 120, 240]) + rng.uniform(-25, 25, 3)
    )
    away = rng.uniform(-0.2, 0.2, 3) * rng.choice([1.0, 0.01])
    ways = np.stack([np.cos(turns), np.sin(turns)], axis=1)
    solids = [
        half_plane(middle + far * way, turn)
        for far, way, turn in zip(away, ways, turns, strict=True)
    ]
    numbers, none = np.arange(3)[:, None], np.zeros((3, 1))
    sun = Sun(np.zeros(1, dtype=int), here, here, np.array([1e-300]))
    seen = look(SolidArrays([glass], [solids]), sun, numbers, none)
    free = shapely.box(0.0, 0.0, glass.width, glass.height)
    for solid in solids:
        free = free.difference(shapely.Polygon(solid.corners[:4, :2]))
    assert seen.known.all()
    # Polygons take a sliver for none.
    assert seen.lit[0] == (free.area > 0.0) or free.area < 1e-12
    if seen.lit[0] and free.area > 1e-9:
        assert (ways @ (seen.spot[:, 0] - middle) < away).all()


def ring_round(x: float, y: float, size: float, away: float) -> list[Prism]:
    """Four slabs `away` metres out, about a square hole about (x, y), wide enough for any glass."""
    big = 50.0
    corners = [
        [(x - big, y + size), (x + big, y + size), (x + big, y + big), (x - big, y + big)],
        [(x - big, y - big), (x + big, y - big), (x + big, y - size), (x - big, y - size)],
        [(x - big, y - big), (x - size, y - big), (x - size, y + big), (x - big, y + big)],
        [(x + size, y - big), (x + big, y - big), (x + big, y + big), (x + size, y + big)],
    ]
    return [Prism(np.array([(*xy, z) for z in (away, away + 1) for xy in c])) for c in corners]


@pytest.mark.parametrize("size", [0.2, 0.0, -0.1], ids=["hole", "joint", "overlap"])
def test_a_hole_amid_four_shadows_is_left_to_be_drawn(size):
    """All edges are dark; two slabs that meet or overlap hide all of it by themselves."""
    glass, here = Glass(2.0, 2.0), np.zeros(1)
    solids = ring_round(1.0, 1.0, size, 5.0)
    state = state_of(glass, solids, (here, here), np.zeros((4, 1)), np.array([1e-300]))
    assert state.tolist() == [0 if size > 0.0 else -1]


def test_slabs_that_touch_leave_no_sun_between_them():
    glass = Glass(2.0, 2.0)
    slabs = ring_round(0.7, 1.0, 0.0, 5.0)[2:]
    slope = np.linspace(-0.1, 0.1, 9)
    state = state_of(glass, slabs, (slope, slope), np.zeros((2, 9)), np.full(9, 1e-300))
    # Seen along their common wall it is dark, seen at a slant all the more.
    assert (state == -1).all()


def strays(crown: Crown, p: np.ndarray, q: np.ndarray) -> np.ndarray:
    """How far the polygon that stands for a crown's shadow may be from the shadow's edge, metres.

    No half-axis of a shadow is longer than the crown's longest times what the sun's slant
    stretches it by. A ring of n corners round a circle, blown up to the circle's area, has its
    corners outside of it by `blown` and the middles of its sides inside by `flat`. Where the plane
    of the glass cuts the crown, the ring goes over from one ellipse to another that it touches. The
    side there spans up to two steps; it leaves out as much as the middle one of three corners in a
    row stands off the line through the others.
    """
    step = 2.0 * np.pi / solids_module.OUTLINE
    blown = np.sqrt(step / np.sin(step)) - 1.0
    flat = 1.0 - np.cos(step / 2.0)
    joint = 0.0 if crown.is_whole else 1.0 - np.cos(step)
    longest = max(crown.across, crown.upright) * np.sqrt(1.0 + p * p + q * q)
    return (blown + flat + joint) * longest + 1e-12


def check_chords(crown: Crown, p: np.ndarray, q: np.ndarray, levels: np.ndarray) -> None:
    """The chords at `levels` (4, n) end on the edge of the outline as drawn, on either side of it.

    The way from a chord's end straight to the edge is compared, not the way along the chord, which
    is far longer where the chord only grazes the shadow.
    """
    begins, ends = crown_chords(crown, p, q, levels)
    outlines, slack = crown.outline(p, q), strays(crown, p, q)
    for at, outline in enumerate(outlines):
        hull = shapely.convex_hull(shapely.MultiPoint(outline))
        for number, level in enumerate(levels[:, at]):
            begin, end = begins[number, at], ends[number, at]
            places = [(level, along) for along in (begin, (begin + end) / 2.0, end)]
            if number // 2:
                places = [place[::-1] for place in places]
            first, middle, last = map(shapely.Point, places)
            assert begin < end
            assert hull.covers(middle)
            assert hull.exterior.distance(first) <= slack[at]
            assert hull.exterior.distance(last) <= slack[at]


@pytest.mark.parametrize("behind", [False, True], ids=["in front", "partly behind the glass"])
@settings(max_examples=15)
@given(seed=seeds)
def test_chords_of_a_crown_are_those_of_its_outline(behind, seed):
    rng = np.random.default_rng(seed)
    window = plain_window(rng)
    crown = None
    while crown is None or crown.is_whole == behind:
        tree = random_tree(rng, window, "t")
        crown = crown_before_glass(tree.trunk, tree.width, tree.bottom, tree.top, frame_for(window))
    p, q = rng.normal(size=(2, 20))
    outline = crown.outline(p, q)
    low, high = outline.min(axis=1), outline.max(axis=1)
    share = rng.uniform(0.02, 0.98, (2, 2, 20))
    levels = low.T[:, None] + share * (high - low).T[:, None]
    check_chords(crown, p, q, levels.reshape(4, 20))


def test_a_thin_crown_does_not_count_twice():
    """Over the hole lies a crown that alone lets enough through, and would not if taken twice."""
    glass, here = Glass(2.0, 2.0), np.zeros(1)
    crown = Crown(np.array([1.0, 1.0, 9.0]), np.array([0.0, 1.0, 0.0]), 4.0, 4.0)
    solids = [*ring_round(1.0, 1.0, 0.2, 5.0), crown]
    for thin, state in ((0.4, 0), (0.1, -1)):
        shares = np.array([[0.0]] * 4 + [[thin]])
        found = state_of(glass, solids, (here, here), shares, np.array([0.2]))
        assert found.tolist() == [state]
