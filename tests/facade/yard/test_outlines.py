"""Shadows drawn as polygons: against the closed form, against rays, and as bounds for cones."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from random_surroundings import (
    frame_for,
    random_footprint,
    random_obstacle,
    random_tree,
    shaded_window,
    suns_towards,
)
from random_windows import (
    on_site,
    points_on,
    random_suns,
    random_window,
    site_of,
    slopes_of,
    within_cone,
)
from raycast import beam_share

from suncover.facade.exposure import glass_of
from suncover.facade.frame import window_axes
from suncover.facade.glazed import Glass
from suncover.facade.plates import Patch, sunlit_fraction
from suncover.facade.yard.footprints import convex_parts
from suncover.facade.yard.outlines import Outlines, overlaps
from suncover.facade.yard.solids import Crown, Prism, crown_before_glass, prism_before_glass
from suncover.site.model import Obstacle, Tree, Window

seeds = st.integers(0, 2**32 - 1)


@given(seeds)
def test_plates_alone_as_in_closed_form(seed):
    rng = np.random.default_rng(seed)
    window = random_window(rng)
    slopes, glass = slopes_of(window, random_suns(rng, window, 40)), glass_of(window)
    share = sunlit_fraction(slopes.p, slopes.q, glass)
    drawn = Outlines(glass, slopes.p, slopes.q).free_area() / glass.area
    # Rounding of shadows that lie up to 1000 m off the glass.
    assert drawn == pytest.approx(share, abs=1e-9)


def test_sectors_that_only_touch_leave_the_last_one():
    """Glass cut in five about a point, as a shadow is by the parts of a footprint: neighbours meet
    to within rounding. Four hide all but the fifth, whose area no overlay is needed for.
    """
    rng, many, number = np.random.default_rng(1), 6000, 5
    glass, here = Glass(2.0, 2.0), np.zeros(many)
    outlines = Outlines(glass, here, here)
    middle = rng.uniform(0.3, 1.7, (many, 2))
    spread = rng.dirichlet(np.full(number, 10.0), many).cumsum(axis=1)
    turns = 2 * np.pi * (rng.uniform(size=(many, 1)) + np.column_stack([here, spread]))
    rounding = rng.choice([0.0, 1e-16, 1e-15], (many, 1, 1))
    for last, (begin, end) in enumerate(zip(turns.T, turns[:, 1:].T, strict=False), 1 - number):
        ways = [np.column_stack([np.cos(t), np.sin(t)]) for t in (begin, (begin + end) / 2, end)]
        # Far enough that the glass lies within each sector's outer sides.
        far = 3.0 / np.cos((end - begin) / 4)[:, None]
        ring = np.stack([middle, *(middle + far * way for way in ways)], axis=1)
        ring += rounding * rng.normal(size=ring.shape)
        sector = shapely.clip_by_rect(shapely.polygons(ring), 0.0, 0.0, 2.0, 2.0)
        if last < 0:
            outlines.hide(sector)
    assert outlines.free_area() == pytest.approx(shapely.area(sector), abs=1e-9)


def test_a_shadow_that_is_another_to_within_rounding_changes_nothing():
    """Without a grid, GEOS 3.14 gives of some 20,000 such cuts ten as a whole, or as nothing."""
    rng, many = np.random.default_rng(3), 30_000
    glass, here = Glass(1.0, 1.0), np.zeros(many)
    corners = shapely.multipoints(rng.uniform(-0.3, 1.3, (many, 6, 2)))
    shadow = shapely.clip_by_rect(shapely.convex_hull(corners), 0.0, 0.0, 1.0, 1.0)
    places, number = shapely.get_coordinates(shadow, return_index=True)
    grown, moved = 1e-16 * rng.normal(size=(2, many, 2))
    twin = shapely.set_coordinates(shadow.copy(), places * (1.0 + grown[number]) + moved[number])
    outlines = Outlines(glass, here, here)
    outlines.hide(shadow)
    outlines.hide(twin)
    assert outlines.free_area() == pytest.approx(1.0 - shapely.area(shadow), abs=1e-9)
    ones = np.ones(many)
    *_, (common, _, _) = overlaps((shadow, twin), (ones, ones))
    assert shapely.area(common) == pytest.approx(shapely.area(shadow), abs=1e-9)


def scenery(rng: np.random.Generator) -> tuple[Window, list[Obstacle], list[Tree], np.ndarray]:
    """A window with plates, an obstacle, an opaque tree, and what to look at."""
    window = shaded_window(rng)
    obstacle, tree = random_obstacle(rng, window, "o"), random_tree(rng, window, "t")
    ring = np.insert(np.array(obstacle.footprint), 2, obstacle.top, axis=1)
    middle = [*tree.trunk, (tree.bottom + tree.top) / 2]
    return window, [obstacle], [tree], np.concatenate([ring, [middle]])


def solids_of(window: Window, obstacles: list[Obstacle], trees: list[Tree]) -> list[Prism | Crown]:
    frame = frame_for(window)
    prisms = [
        prism_before_glass(part, obstacle.base, obstacle.top, frame)
        for obstacle in obstacles
        for part in convex_parts(obstacle.footprint)
    ]
    crowns = [
        crown_before_glass(tree.trunk, tree.width, tree.bottom, tree.top, frame) for tree in trees
    ]
    return [solid for solid in (*prisms, *crowns) if solid is not None]


@settings(max_examples=20)
@given(seeds, st.floats(0.01, 0.7))
def test_grown_and_shrunk_shadows_bound_those_of_a_whole_cone(seed, radius):
    rng = np.random.default_rng(seed)
    window, obstacles, trees, seen = scenery(rng)
    site, glass = site_of(window, obstacle=obstacles, tree=trees), glass_of(window)
    suns = suns_towards(rng, window, seen, 10)
    slopes, radii = slopes_of(window, suns), np.full(suns.shape[1], radius)
    patch = Patch.around(slopes.p, slopes.q, slopes.cos_incidence, radii)
    known = np.flatnonzero(np.isfinite(patch.p))
    slopes, patch, suns, radii = slopes.take(known), patch.take(known), suns[:, known], radii[known]
    free = []
    for grow in (1.0, -1.0):
        outlines = Outlines(glass, slopes.p, slopes.q, patch, grow)
        for solid in solids_of(window, obstacles, trees):
            outlines.hide(outlines.hull(solid, radius=radii))
        free.append(outlines.free())
    points, cones = points_on(rng, window, 60), within_cone(rng, suns, radii, 10)
    for number, (least, most) in enumerate(zip(*free, strict=True)):
        surely, maybe = (shapely.contains_xy(shape, *points.T) for shape in (least, most))
        for sun in cones[:, number].T:
            lit = beam_share(site, window, on_site(window, points), sun) > 0.0
            assert lit[surely].all()
            assert maybe[lit].all()


@pytest.mark.parametrize("away", [300.0, 2000.0, 9000.0])
def test_far_hill_near_the_plane_of_the_wall(away):
    """The sun grazes the wall, and its shadow runs to the glass from kilometres off.

    From some directions of the patch the hill takes the sun from all of the glass, from others from
    none: neither may be ruled out.
    """
    window = Window(name="w", azimuth=180, width=1, height=1, sill=0, position=(0.0, 0.0))
    hill = Obstacle(
        name="hill",
        footprint=((away, -0.02 * away), (away + 50, -0.02 * away), (away, -0.005 * away)),
        base=-100.0,
        top=away,
    )
    (prism,) = solids_of(window, [hill], [])
    glass, radius = glass_of(window), np.array([0.6])
    # 0.7 degrees out of the plane of the wall, and 20 high.
    local = np.array([np.cos(np.radians(0.7)), 0.36, np.sin(np.radians(0.7))])[:, None]
    sun = window_axes(180.0, 90.0).T @ (local / np.linalg.norm(local))
    slopes = slopes_of(window, sun)
    patch = Patch.around(slopes.p, slopes.q, slopes.cos_incidence, radius)
    assert np.isfinite(patch.p).all()
    cone = slopes_of(window, within_cone(np.random.default_rng(1), sun, radius, 400)[:, 0])
    exact = Outlines(glass, cone.p, cone.q)
    exact.hide(exact.hull(prism))
    shares = exact.free_area()
    assert shares.min() == 0.0
    assert shares.max() == 1.0
    for grow, bound in ((1.0, 0.0), (-1.0, 1.0)):
        outlines = Outlines(glass, slopes.p, slopes.q, patch, grow)
        outlines.hide(outlines.hull(prism, radius=radius))
        assert outlines.free_area() == bound


def test_hulls_only_where_asked():
    """The sun at 45° from the upper right; a block 1 m out throws its shadow on the glass."""
    glass = Glass(2.0, 2.0)
    corners = [(x, y, z) for x in (2.0, 3.0) for y in (2.0, 3.0) for z in (1.0, 2.0)]
    block, ones = Prism(np.array(corners)), np.ones(3)
    outlines = Outlines(glass, ones, ones)
    hulls = outlines.hull(block, np.array([True, False, True]))
    assert shapely.is_empty(hulls).tolist() == [False, True, False]
    # From (1, 1) to (2, 2) the near face, from (0, 0) to (1, 1) the far one, and what joins them.
    assert shapely.area(hulls[0]) == pytest.approx(3.0)
    outlines.hide(hulls, np.array([True, True, False]))
    assert outlines.free_area() == pytest.approx([1.0, 4.0, 4.0])
    assert Outlines(glass, ones, ones).free_area() == pytest.approx([4.0] * 3)


@given(seeds)
def test_overlaps_are_those_of_every_set_of_shapes(seed):
    """By inclusion and exclusion, with -1 for each shape, they add up to the area of the union."""
    rng = np.random.default_rng(seed)
    groups = [
        np.array([shapely.Polygon(random_footprint(rng, rng.normal(0, 3, 2))) for _ in range(3)])
        for _ in range(4)
    ]
    union = shapely.area(shapely.union_all(np.stack(groups), axis=0))
    total, sets = np.zeros(3), 0
    for shape, factor, where in overlaps(groups, [np.full(3, -1.0)] * 4):
        total[where] -= factor[where] * shapely.area(shape[where])
        sets += 1
    assert total == pytest.approx(union, rel=1e-9)
    assert sets >= sum(1 for k in (1, 2) for _ in combinations(range(4), k)) - 6
