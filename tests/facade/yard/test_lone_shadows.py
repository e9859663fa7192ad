"""Areas of shadows in closed form, against shapely's polygons and a circle's segments."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from random_scenes import random_site

from suncover.facade.exposure import window_scene
from suncover.facade.glazed import Glass, fin_plate, overhang_plate
from suncover.facade.yard.discs import crown_areas
from suncover.facade.yard.lone_shadows import (
    MOST,
    LoneShadows,
    PrismsAlike,
    open_pane,
    plate_before,
    prism_areas,
)
from suncover.facade.yard.outlines import Outlines
from suncover.facade.yard.solids import OUTLINE, Crown, Prism

UP = np.array([0.0, 1.0, 0.0])
SECONDS = 1_800_000_000.0


def every(prism: Prism, count: int) -> PrismsAlike:
    """The same prism for so many suns."""
    return PrismsAlike.of([prism] * count)


def suns(rng, count):
    """Slopes of suns before the glass, mostly above it."""
    return rng.normal(0.0, 1.5, count), rng.normal(0.3, 1.2, count)


@given(st.integers(0, 2**32 - 1))
def test_areas_are_those_of_polygons(seed):
    rng = np.random.default_rng(seed)
    site = random_site(rng)
    scene = window_scene(site, site.windows[0], site.need, SECONDS, SECONDS + 86400.0)
    p, q = suns(rng, 60)
    glass, panes = scene.glass, open_pane(scene.glass, p, q)
    bare = Glass(glass.width, glass.height, glass.reveal)
    opening = Outlines(bare, p, q).free()
    assert panes.area == pytest.approx(shapely.area(opening), abs=1e-9)
    around = scene.surroundings
    for solid in (*around.prisms, *(tree.crown for tree in around.trees)) if around else ():
        drawn = shapely.area(shapely.intersection(Outlines(bare, p, q).hull(solid), opening))
        if isinstance(solid, Crown):
            area, _ = crown_areas(solid, p, q, panes)
            # Its polygon lies off the ellipse by so much at the most (`OUTLINE`), along an arc on
            # the glass that is no longer than two of its sides and back.
            turn = 2.0 * np.pi / OUTLINE
            away = (1.0 - np.cos(turn / 2.0)) * max(solid.across, solid.upright)
            slack = away * np.hypot(np.hypot(p, q), 1.0) * 2.0 * (glass.width + glass.height)
        else:
            area, _ = prism_areas(every(solid, len(p)), p, q, panes)
            slack = np.full(p.shape, 1e-9)
        known = np.isfinite(area)
        assert (np.abs(area - drawn) <= slack + 1e-9)[known].all()


@given(st.integers(0, 2**32 - 1))
def test_what_is_left_by_several_is_what_polygons_leave(seed):
    rng = np.random.default_rng(seed)
    site = random_site(rng)
    scene = window_scene(site, site.windows[0], site.need, SECONDS, SECONDS + 86400.0)
    if scene.surroundings is None:
        return
    p, q = suns(rng, 60)
    around, glass = scene.surroundings, scene.glass
    share = around.beam_share(glass, p, q, np.full(60, SECONDS))
    outlines = Outlines(glass, p, q)
    for prism in around.prisms:
        outlines.hide(outlines.hull(prism))
    free = outlines.free()
    left = shapely.area(free)
    crowns = [outlines.hull(tree.crown) for tree in around.trees]
    through = [float(tree.foliage.share(SECONDS)) for tree in around.trees]
    for crown, lets in zip(crowns, through, strict=True):
        left = left - (1.0 - lets) * shapely.area(shapely.intersection(crown, free))
    if len(crowns) == 2:
        both = shapely.intersection(shapely.intersection(*crowns), free)
        left = left + (1.0 - through[0]) * (1.0 - through[1]) * shapely.area(both)
    size = max((max(t.crown.across, t.crown.upright) for t in around.trees), default=0.0)
    turn = (1.0 - np.cos(np.pi / OUTLINE)) * np.hypot(np.hypot(p, q), 1.0)
    slack = len(crowns) * size * turn * 2.0 * (glass.width + glass.height) / glass.area
    assert (np.abs(share - left / glass.area) <= slack + 1e-9).all()


def test_a_ball_that_peeps_over_the_edge_is_a_segment_of_a_circle():
    # Its middle 0.3 m beside the glass, sun straight on: the area of a circle's segment of height
    # h = r - 0.3 is r² arccos(1 - h / r) - (r - h) √(2 r h - h²) (any table of formulas).
    glass, r = Glass(4.0, 4.0), 1.0
    ball = Crown(np.array([-0.3, 2.0, 5.0]), UP, r, r)
    area, _ = crown_areas(ball, np.zeros(1), np.zeros(1), open_pane(glass, *np.zeros((2, 1))))
    h = r - 0.3
    expected = r * r * np.arccos(1.0 - h / r) - (r - h) * np.sqrt(2.0 * r * h - h * h)
    assert area == pytest.approx(expected, rel=1e-12)


def test_an_overhang_and_a_fin_overlap_in_a_corner():
    bare = Glass(1.2, 1.4)
    plates = overhang_plate(bare, 0.6), fin_plate(bare, "right", 0.4)
    p, q = np.array([0.5, -0.5]), np.array([0.5, 0.5])
    shadows = LoneShadows(open_pane(bare, p, q), p, q)
    for plate in plates:
        shadows.add(plate_before(plate, 0.0), np.arange(2))
    left, known = shadows.left()
    assert known.all()
    # From the left, the fin on the right throws none.
    assert left == pytest.approx([(1.2 - 0.2) * (1.4 - 0.3), 1.2 * (1.4 - 0.3)])


def test_a_ball_behind_half_an_overhang_s_shadow_takes_the_other_half():
    # The overhang's shadow ends at the ball's middle, sun at 45° above straight on.
    bare, r = Glass(4.0, 4.0), 0.8
    p, q = np.zeros(1), np.ones(1)
    ball = Crown(np.array([2.0, 8.0, 6.0]), np.array([0.0, 0.0, 1.0]), r, r)
    shadows = LoneShadows(open_pane(bare, p, q), p, q)
    shadows.add(plate_before(overhang_plate(bare, 2.0), 0.0), np.arange(1))
    shadows.add(ball, np.arange(1), 0.25)
    left, known = shadows.left()
    # At 45° a ball's shadow is an ellipse √2 times as high as wide.
    assert known.all()
    assert left == pytest.approx(4.0 * 2.0 - 0.75 * np.pi * r * r * np.sqrt(2.0) / 2.0, rel=1e-12)


def test_what_two_crowns_have_in_common_is_left_to_be_drawn():
    bare = Glass(4.0, 4.0)
    p, q = np.zeros(1), np.zeros(1)
    shadows = LoneShadows(open_pane(bare, p, q), p, q)
    for along in (1.5, 2.5):
        shadows.add(Crown(np.array([along, 2.0, 6.0]), UP, 1.0, 1.0), np.arange(1), 0.5)
    assert not shadows.left()[1].any()


@given(st.integers(0, 2**32 - 1))
def test_walls_that_overlap_in_any_way_leave_what_polygons_leave(seed):
    rng = np.random.default_rng(seed)
    glass = Glass(1.5, 1.2, float(rng.choice([0.0, 0.1])))
    p, q = suns(rng, 40)
    panes = open_pane(glass, p, q)
    shadows, outlines = LoneShadows(panes, p, q), Outlines(glass, p, q)
    for _ in range(rng.integers(2, MOST + 1)):
        low = rng.uniform([-0.5, -0.5, 0.2], [1.2, 1.0, 2.0])
        high = low + rng.choice([0.1, 0.5, 1.0], 3)
        wall = Prism(
            np.array(
                [
                    [(low, high)[i // n % 2][axis] for axis, n in enumerate((4, 2, 1))]
                    for i in range(8)
                ]
            )
        )
        outlines.hide(outlines.hull(wall))
        shadows.add(wall, np.arange(len(p)))
    left, known = shadows.left()
    assert known.any()
    assert left[known] == pytest.approx(shapely.area(outlines.free())[known], abs=1e-9)


def test_a_shadow_edge_on_has_no_area_that_could_be_told():
    wall = Prism(np.array([[0.2, y, z] for y in (0.0, 1.0) for z in (1.0, 2.0)]))
    p, q = np.zeros(1), np.zeros(1)
    area, _ = prism_areas(every(wall, 1), p, q, open_pane(Glass(1.0, 1.0), p, q))
    assert np.isnan(area).all()
