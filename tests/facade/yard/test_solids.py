"""Prisms and crowns before a window: their cones and outlines against rays, one by one."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from random_surroundings import (
    frame_for,
    in_local,
    plain_window,
    random_footprint,
    random_obstacle,
    random_tree,
    suns_towards,
)
from random_windows import on_site, points_on, site_of, slopes_of, within_cone
from raycast import beam_share, frame_of

from suncover.facade.frame import window_axes
from suncover.facade.glazed import Glass
from suncover.facade.yard.footprints import convex_parts
from suncover.facade.yard.solids import Crown, Prism, crown_before_glass, prism_before_glass
from suncover.site.model import Obstacle, Tree, Window

seeds = st.integers(0, 2**32 - 1)


def prisms_of(obstacle: Obstacle, window: Window) -> list[Prism]:
    parts = convex_parts(obstacle.footprint)
    found = [prism_before_glass(p, obstacle.base, obstacle.top, frame_for(window)) for p in parts]
    return [prism for prism in found if prism is not None]


def crown_of(tree: Tree, window: Window) -> Crown | None:
    return crown_before_glass(tree.trunk, tree.width, tree.bottom, tree.top, frame_for(window))


def corners_of(obstacle: Obstacle) -> np.ndarray:
    ring = np.array(obstacle.footprint)
    return np.concatenate([np.insert(ring, 2, z, axis=1) for z in (obstacle.base, obstacle.top)])


@given(seeds)
def test_standpoint_turns_the_site_into_the_windows_coordinates(seed):
    rng = np.random.default_rng(seed)
    window = plain_window(rng)
    origin, right, up, out = frame_of(window)
    points = rng.normal(0.0, 10.0, (5, 3))
    local = frame_for(window).local(points)
    aside = (points - origin) @ right + window.width / 2
    expected = np.stack([aside, (points - origin) @ up, (points - origin) @ out], axis=1)
    assert local == pytest.approx(expected, abs=1e-9)


def solids(rng: np.random.Generator, window: Window) -> list[tuple[dict, Prism | Crown]]:
    """A prism and a crown, where they stand before the window, and the sites' entries for them."""
    obstacle, tree = random_obstacle(rng, window, "o"), random_tree(rng, window, "t")
    # Each prism stands alone: a convex footprint, so that one solid is the whole obstacle.
    hull = shapely.convex_hull(shapely.MultiPoint(obstacle.footprint))
    ring = shapely.get_coordinates(hull.exterior)[:-1].tolist()
    obstacle = obstacle.model_copy(update={"footprint": tuple(map(tuple, ring))})
    found: list[tuple[dict, Prism | Crown]] = [
        ({"obstacle": [obstacle]}, prism) for prism in prisms_of(obstacle, window)
    ]
    crown = crown_of(tree, window)
    return [*found, ({"tree": [tree]}, crown)] if crown else found


def targets(entries: dict) -> np.ndarray:
    if "obstacle" in entries:
        return corners_of(entries["obstacle"][0])
    (tree,) = entries["tree"]
    return np.array([[*tree.trunk, (tree.bottom + tree.top) / 2]])


@settings(max_examples=20)
@given(seeds, st.floats(0.0, 8.0))
def test_whole_panes_are_hidden_or_untouched_for_whole_cones(seed, radius):
    """What `hides` promises for the corners holds for every point; so does what `touches` denies.

    Directions from behind the glass are not meant.
    """
    rng = np.random.default_rng(seed)
    window = plain_window(rng)
    corners = Glass(window.width, window.height).corners
    for entries, solid in solids(rng, window):
        site = site_of(window, **entries)
        suns = suns_towards(rng, window, targets(entries), 15)
        radii = np.full(suns.shape[1], radius)
        hides = solid.hides(corners, in_local(window, suns), radii)
        touches = solid.touches(corners, in_local(window, suns), radii)
        assert not (hides & ~touches).any()
        points = np.concatenate([points_on(rng, window, 12), corners[:, :2]])
        cones = within_cone(rng, suns, radii, 8)
        for number in np.flatnonzero(hides | ~touches):
            for sun in cones[:, number].T:
                if sun @ window_axes(window.azimuth, window.tilt)[2] > 1e-6:
                    lost = beam_share(site, window, on_site(window, points), sun) == 0.0
                    assert (lost == hides[number]).all()


def test_ball_hides_and_touches_what_its_angle_says():
    """A ball 3 m in radius, 40 m before a point, takes a disc of the sky asin(3 / 40) across."""
    ball = Crown(np.array([0.0, 0.0, 40.0]), np.array([0.0, 1.0, 0.0]), 3.0, 3.0)
    here, half_angle = np.zeros((1, 3)), np.degrees(np.arcsin(3.0 / 40.0))
    off = np.linspace(0.0, 12.0, 1201)
    suns = np.stack([np.sin(np.radians(off)), 0.0 * off, np.cos(np.radians(off))])
    for radius in (0.0, 0.5, 2.0, 3.5):
        radii = np.full(len(off), radius)
        hides, touches = ball.hides(here, suns, radii), ball.touches(here, suns, radii)
        assert (off[hides] + radius <= half_angle + 1e-9).all()
        assert (off[~touches] - radius >= half_angle - 1e-9).all()
        # Good for something: no more than a tenth short of it.
        assert off[hides].max(initial=0.0) > half_angle - 1.1 * radius - 0.02
        assert off[~touches].min() < half_angle + 1.1 * radius + 0.02


@pytest.mark.parametrize("away", [-1.0, 0.0, 1.0, 1.9])
def test_crown_that_the_plane_of_the_glass_cuts(away):
    """Of a hedge against the wall, only what stands before the plane of the glass shades it."""
    window = Window(name="w", azimuth=180, width=2, height=2, sill=1, position=(0.0, 0.0))
    tree = Tree(name="t", trunk=(3.0, -away), width=4.0, bottom=0.0, top=5.0, leaf=0.0)
    site, crown = site_of(window, tree=[tree]), crown_of(tree, window)
    assert crown is not None
    assert not crown.is_whole
    rng = np.random.default_rng(1)
    suns = suns_towards(rng, window, np.array([[2.5, -1.0, 2.5], [3.0, -0.3, 3.0]]), 60)
    slopes, points = slopes_of(window, suns), points_on(rng, window, 300)
    outlines, some = crown.outline(slopes.p, slopes.q), 0
    for sun, outline in zip(suns.T, outlines, strict=True):
        hull = shapely.convex_hull(shapely.MultiPoint(outline))
        lost = beam_share(site, window, on_site(window, points), sun) == 0.0
        sure = shapely.distance(hull.boundary, shapely.points(points)) > 0.01
        assert (shapely.contains_xy(hull, *points.T) == lost)[sure].all()
        some += lost.sum()
    assert some > 100


def test_what_stands_behind_the_glass_is_left_out_and_cut_off():
    window = Window(name="w", azimuth=180, width=2, height=2, sill=0, position=(0.0, 0.0))
    frame = frame_for(window)
    square = np.array([[3.0, -1.0], [5.0, -1.0], [5.0, 1.0], [3.0, 1.0]])
    assert prism_before_glass(square + np.array([0.0, 2.0]), 0.0, 9.0, frame) is None
    assert crown_before_glass((0.0, 2.1), 4.0, 0.0, 9.0, frame) is None
    assert crown_before_glass((0.0, 1.9), 4.0, 0.0, 9.0, frame) is not None
    # Of a block through the wall, what is before the plane is half of it, a box again.
    prism = prism_before_glass(square, 0.0, 2.0, frame)
    corners = {tuple(corner) for corner in np.round(prism.corners, 5).tolist()}
    assert corners == {(x, y, z) for x in (4.0, 6.0) for y in (0.0, 2.0) for z in (0.0, 1.0)}
    assert (prism.corners[:, 2] > 0.0).all()


@given(seeds)
def test_convex_parts_cover_a_footprint_and_no_more(seed):
    rng = np.random.default_rng(seed)
    ring = random_footprint(rng, rng.normal(0.0, 50.0, 2))
    whole, parts = shapely.Polygon(ring), [shapely.Polygon(part) for part in convex_parts(ring)]
    for part in parts:
        assert part.convex_hull.area == pytest.approx(part.area, rel=1e-9)
        assert part.difference(whole).area < 1e-9 * whole.area
    union = shapely.union_all(parts)
    assert whole.difference(union).area < 1e-9 * whole.area
    assert len(parts) <= max(1, len(ring) - 2)


@pytest.mark.parametrize(
    ("ring", "count"),
    [
        ([(0, 0), (4, 0), (4, 3), (0, 3)], 1),
        ([(0, 3), (4, 3), (4, 0), (0, 0)], 1),
        ([(0, 0), (4, 0), (4, 1), (1, 1), (1, 3), (0, 3)], 2),
        ([(0, 0), (6, 0), (6, 4), (5, 4), (5, 1), (1, 1), (1, 4), (0, 4)], 3),
    ],
    ids=["rectangle", "the other way round", "L", "U"],
)
def test_simple_footprints_take_few_parts(ring, count):
    assert len(convex_parts(ring)) == count


def test_footprint_with_as_many_corners_as_a_site_file_may_give():
    """A cogwheel of 500 corners: quickly cut, into no more parts than it has teeth and a hub."""
    turn = 2 * np.pi * np.arange(500) / 500
    reach = np.where(np.arange(500) % 2, 10.0, 9.9)
    ring = np.stack([reach * np.cos(turn), reach * np.sin(turn)], axis=1)
    parts = [shapely.Polygon(part) for part in convex_parts([(x, y) for x, y in ring.tolist()])]
    assert len(parts) <= 251
    assert shapely.union_all(parts).area == pytest.approx(shapely.Polygon(ring).area, rel=1e-9)
