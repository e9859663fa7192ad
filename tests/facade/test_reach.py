"""How far into the room the sun falls, and the patch it lights there."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from raycast import beam_share, erfa_sun, frame_of

from suncover.facade.daylight import Daylight
from suncover.facade.exposure import observer_of, window_scene
from suncover.facade.frame import profile_angle
from suncover.facade.reach import Level, ReachScene, lit_glass, reach, sun_patch
from suncover.facade.search.crossings import lit_intervals
from suncover.site.model import Site

START = 1_780_272_000  # 2026-06-01 00:00 UTC
DAY = 86_400
ROUNDING = 1e-6  # metres; the polygons' sums keep at least this


def site_with(window, **tables):
    pane = {"name": "w", "azimuth": 180, "width": 1.2, "height": 1.4, **window}
    place = {"name": "x", "latitude": 40.0, "longitude": -80.0}
    return Site.model_validate({"site": place, "need": {"beam": 0}, "window": [pane], **tables})


def at(elevation, azimuth, seconds=START):
    """The sun at one height and azimuth, given in degrees."""
    e, a = np.radians(elevation), np.radians(azimuth)
    direction = np.array([np.cos(e) * np.sin(a), np.cos(e) * np.cos(a), np.sin(e)])
    return Daylight(np.array([float(seconds)]), direction[:, None])


def scene_of(site, start=START, end=START + DAY):
    return window_scene(site, site.windows[0], site.need, start, end)


@given(
    elevation=st.floats(3, 85),
    aside=st.floats(-85, 85),
    azimuth=st.floats(0, 360),
    sill=st.floats(0, 2),
    height=st.floats(0.2, 3),
)
def test_profile_angle_relation(elevation, aside, azimuth, sill, height):
    """A bare pane lets the sun in to its head's height / tan Ω, and from its sill's / tan Ω on.

    tan Ω = tan β / cos γ: ASHRAE Handbook, Fundamentals, fenestration chapter (from memory).
    """
    site = site_with({"azimuth": azimuth, "sill": sill, "height": height})
    sun = at(elevation, azimuth + aside)
    slope = np.tan(np.radians(elevation)) / np.cos(np.radians(aside))
    assert profile_angle(elevation, azimuth + aside, azimuth) == pytest.approx(
        np.degrees(np.arctan(slope))
    )
    scene = scene_of(site)
    assert reach(scene, sun, Level(sill))[0] == pytest.approx((sill + height) / slope, rel=1e-9)
    inward = shapely.get_coordinates(sun_patch(scene, sun, Level(sill)))[:, 0]
    assert inward.min() == pytest.approx(sill / slope, rel=1e-9, abs=1e-9)


def test_patch_of_a_bare_pane_is_a_parallelogram_with_its_area():
    """A pane of width w and height h lights w · h / tan Ω of floor, moved aside by drop times the
    sun's run along the wall: here 45° up and 30° to the right of square, seen from outdoors.
    """
    site = site_with({"sill": 0.9})
    # Facing south, the sun's right as seen from outdoors is east: azimuth 150.
    patch = sun_patch(scene_of(site), at(45, 150), Level(0.9))[0]
    run_in, run_aside = np.cos(np.radians(30)), np.sin(np.radians(30))
    assert patch.area == pytest.approx(1.2 * 1.4 * run_in)
    corners = [(0.9, -0.6), (0.9, 0.6), (2.3, 0.6), (2.3, -0.6)]
    expected = shapely.Polygon([(h * run_in, x - h * run_aside) for h, x in corners])
    assert patch.symmetric_difference(expected).area < ROUNDING


def test_a_level_above_the_sill_is_reached_only_from_glass_above_it():
    site = site_with({"sill": 0.9})
    slope = np.tan(np.radians(30))
    patch = sun_patch(scene_of(site), at(30, 180), Level(0.9, height=1.3))[0]
    assert patch.bounds[0] == pytest.approx(0.0, abs=ROUNDING)
    assert patch.bounds[2] == pytest.approx((2.3 - 1.3) / slope)
    assert np.isnan(reach(scene_of(site), at(30, 180), Level(0.9, height=2.5))[0])


@pytest.mark.parametrize("sun", [at(30, 0), at(-5, 180)], ids=["behind the house", "sun down"])
def test_no_sun_no_reach(sun):
    scene = scene_of(site_with({"sill": 0.9}))
    assert np.isnan(reach(scene, sun, Level(0.9))[0])
    assert sun_patch(scene, sun, Level(0.9))[0].is_empty


def test_roof_window_reaches_back_when_the_sun_comes_over_the_ridge():
    """Facing north in a roof of 30°, sun 70° high in the south: rays land north of their entry.

    Upper edge: 1.4 sin 30° up, 1.4 cos 30° inward (southward); (1 + 0.7) / tan 70° back north.
    """
    site = site_with({"azimuth": 0, "tilt": 30, "sill": 1.0})
    far = reach(scene_of(site), at(70, 180), Level(1.0))[0]
    assert far == pytest.approx(1.4 * np.cos(np.pi / 6) - 1.7 / np.tan(np.radians(70)))
    # A flat pane lights its own size, moved by its height: the inward axis points south here.
    site = site_with({"azimuth": 0, "tilt": 0, "sill": 2.4, "height": 1.0})
    patch = sun_patch(scene_of(site), at(45, 180), Level(2.4))[0]
    assert patch.area == pytest.approx(1.2)
    assert patch.bounds == pytest.approx((-2.4, -0.6, -1.4, 0.6))


RANDOM = [
    {"tilt": 90, "reveal": 0.15, "overhang": {"depth": 0.5, "gap": 0.1, "left": 0.2, "right": 0.4}},
    {"tilt": 50, "reveal": 0.1},
    {"tilt": 110, "fin": [{"side": "left", "depth": 0.5, "gap": 0.05, "above": 0.2}]},
    {"tilt": 90, "overhang": {"depth": 1.0, "gap": 0.0, "left": -0.3, "right": -0.2}},
]
AROUND = {
    "obstacle": [{"name": "o", "footprint": [[-6, -9], [1, -9], [1, -7], [-6, -7]], "top": 5.5}],
    "tree": [{"name": "t", "trunk": [3, -6], "width": 4, "bottom": 1.5, "top": 7, "leaf": 0}],
}


@pytest.mark.parametrize("around", [{}, AROUND], ids=["alone", "barn and spruce"])
@pytest.mark.parametrize("window", RANDOM, ids=", ".join)
def test_patch_against_rays_from_the_floor(window, around):
    """From points of the floor, rays are cast to the sun through glass, opening, plates and all
    around: those that arrive lie in the patch, the others do not.
    """
    site = site_with({"sill": 0.8, "position": [0, 0], "azimuth": 175, **window}, **around)
    own, place = site.windows[0], site.place
    spring = START - 90 * DAY
    scene = scene_of(site, spring, spring + DAY)
    rng = np.random.default_rng(7)
    times = spring + rng.uniform(0.5, 1.0, 16) * DAY
    suns = erfa_sun(times, place.latitude, place.longitude, place.elevation)
    origin, right, _, _ = frame_of(own)
    facing = np.radians(own.azimuth)
    inward = -np.array([np.sin(facing), np.cos(facing), 0.0])
    patches = sun_patch(scene, Daylight.at(times, observer_of(place)), Level(own.sill))
    seen = 0
    for patch, sun in zip(patches, suns.T, strict=True):
        box = np.array([0.0, -4, 5, 4]) if patch.is_empty else np.array(patch.bounds)
        points = rng.uniform(box[:2] - 0.3, box[2:] + 0.3, (600, 2))
        spots = origin + points[:, :1] * inward + points[:, 1:] * right
        spots[:, 2] = own.floor
        indoors = (spots - origin) @ frame_of(own)[3] < 0
        rays = (beam_share(site, own, spots, sun, beyond=1.0) > 0) & indoors
        # ERFA's sun and the program's agree to 0.001°, which moves the patch by 0.2 mm in 10 m.
        edge = shapely.distance(shapely.points(points), patch.boundary) < 0.002
        ours = shapely.contains_xy(patch, points) & indoors
        assert (ours == rays)[~edge].all()
        seen += int(rays.sum())
    assert seen > 400


def test_the_lit_glass_has_the_area_that_the_scene_says():
    site = site_with({"position": [0, 0], **RANDOM[0]}, **AROUND)
    scene = scene_of(site)
    sun = Daylight.at(START + np.linspace(0.5, 1.0, 40) * DAY, observer_of(site.place))
    area = shapely.area(lit_glass(scene, sun)) / (1.2 * 1.4)
    assert area == pytest.approx(scene.sunlit_share(sun), abs=1e-9)
    assert (area > 0).sum() > 10


@pytest.mark.parametrize(
    ("limit", "around"), [(0.4, AROUND), (1.5, {}), (3.0, AROUND)], ids=["near", "alone", "far"]
)
@pytest.mark.parametrize("window", RANDOM, ids=", ".join)
def test_when_the_reach_passes_a_limit(window, around, limit):
    """The intervals found by the search are those that the reach itself, asked often, shows."""
    site = site_with({"sill": 0.8, "position": [0, 0], "azimuth": 200, **window}, **around)
    start, end = START - 120 * DAY, START - 114 * DAY
    scene = scene_of(site, start, end)
    observer, level = observer_of(site.place), Level(0.8, 0.1)
    intervals = lit_intervals(ReachScene(scene, level, limit), observer, start, end)
    times = np.arange(start, end, 181.0)
    far = np.nan_to_num(reach(scene, Daylight.at(times, observer), level), nan=-1.0)
    index = np.searchsorted(intervals[:, 0], times, side="right") - 1
    assert len(intervals) >= 5
    ours = (index >= 0) & (times < intervals[np.maximum(index, 0), 1])
    near = np.abs(times[:, None] - intervals.ravel()[None, :]).min(axis=1) < 0.2
    assert ((far > limit) == ours)[~near].all()
    # Just inside an end the sun falls beyond the limit, just outside it does not.
    inner = intervals[(intervals[:, 1] - intervals[:, 0]) > 10]
    ends = np.concatenate([inner[:, 0] + 0.5, inner[:, 1] - 0.5])
    assert (reach(scene, Daylight.at(ends, observer), level) > limit).all()
    ends = np.concatenate([intervals[:, 0] - 0.5, intervals[:, 1] + 0.5])
    outside = reach(scene, Daylight.at(ends, observer), level)
    assert not (outside > limit).any()
