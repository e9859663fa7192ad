"""A window before the sun: lit as rays say, and settled only for what is lit or dark throughout."""

from __future__ import annotations

from datetime import UTC, datetime

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from random_surroundings import random_obstacle, random_tree, shaded_window
from random_windows import on_site, points_on, random_suns, site_of, within_cone
from raycast import beam_share

from suncover.facade.daylight import BeamGate, Daylight
from suncover.facade.exposure import observer_of, spot_in_window, spot_scene, window_scene
from suncover.facade.scene import SkyScene, SpotScene, WindowScene, front_settled
from suncover.facade.skyline import Skyline
from suncover.site.model import Site, Spot, Window
from suncover.sun.clearsky import height_for_beam
from suncover.sun.position import Observer, sun_position

seeds = st.integers(0, 2**32 - 1)
DAY = 86400
START = int(datetime(2026, 5, 1, tzinfo=UTC).timestamp())
END = START + 60 * DAY
HERE = Observer(45.0, 10.0)


def random_site(rng: np.random.Generator, *, crowded: bool, **need: float) -> Site:
    """One window with some of everything; a spot in its room."""
    window = shaded_window(rng, most_fins=2)
    skyline = [(float(a), float(rng.uniform(-3, 35))) for a in rng.choice(360, 5, replace=False)]
    if rng.random() < 0.6:
        window = window.model_copy(update={"skyline": tuple(sorted(skyline))})
    height = float(max(0.0, window.sill + rng.uniform(-0.9, 1.0)))
    # Indoors also under glass that slopes inward.
    inward = max(0.0, (height - window.sill) / np.tan(np.radians(window.tilt)))
    distance, offset = float(inward + rng.uniform(0.1, 2.0)), float(rng.uniform(-1.0, 1.0))
    spot = Spot(name="s", window="w", distance=distance, offset=offset, height=height)
    around = {}
    if crowded:
        around["obstacle"] = [random_obstacle(rng, window, "o")]
        leaves = [float(rng.choice([0.0, 0.1, 0.5])) for _ in range(2)]
        around["tree"] = [random_tree(rng, window, f"t{n}", leaf=v) for n, v in enumerate(leaves)]
    return site_of(window, spot=[spot], need=need, **around)


def scene_of(site: Site) -> WindowScene:
    return window_scene(site, site.windows[0], site.need, START, END)


def up_in_the_sky(rng: np.random.Generator, window: Window, count: int) -> np.ndarray:
    suns = random_suns(rng, window, 6 * count)
    return suns[:, suns[2] > -0.05][:, :count]


def counted(site: Site, sun: np.ndarray, seconds: float, share: np.ndarray) -> np.ndarray:
    """Whether so much of the beam is sun, by the sun's height for a beam so much stronger."""
    height = np.degrees(np.arcsin(sun[2]))
    if site.need.beam == 0.0:
        return (share > 0.0) & (height > 0.0)
    answer = np.zeros(share.shape, dtype=bool)
    for value in np.unique(share[share > 0.0]):
        (needed,) = height_for_beam([int(seconds // DAY)], HERE, site.need.beam / value)
        answer[share == value] = height > needed
    return answer


@pytest.mark.parametrize("crowded", [False, True], ids=["alone", "with surroundings"])
@settings(max_examples=20)
@given(seed=seeds, beam=st.sampled_from([0.0, 120.0]), fraction=st.sampled_from([0.0, 0.3]))
def test_lit_as_by_rays(crowded, seed, beam, fraction):
    rng = np.random.default_rng(seed)
    site = random_site(rng, crowded=crowded, beam=beam, fraction=fraction)
    (window,) = site.windows
    suns = up_in_the_sky(rng, window, 10)
    sun = Daylight(START + rng.uniform(0, END - START, suns.shape[1]), suns)
    lit = scene_of(site).lit(sun)
    skyline, rays = Skyline(window.skyline) if window.skyline else None, 500
    points = on_site(window, points_on(rng, window, rays))
    for number, direction in enumerate(suns.T):
        shares = beam_share(site, window, points, direction)
        share = counted(site, direction, sun.seconds[number], shares).mean()
        if skyline and not sun.elevation[number] > skyline.elevation(sun.azimuth[number]):
            share = 0.0
        if fraction == 0.0:
            # Rays may miss a sliver, but they never find sun where there is none.
            assert lit[number] or share == 0.0
            assert not lit[number] or share > 0.0 or not _much(site, direction, number, sun)
        elif abs(share - fraction) > 5 * 0.5 / np.sqrt(rays):
            assert lit[number] == (share > fraction)


def _much(site: Site, direction: np.ndarray, number: int, sun: Daylight) -> bool:
    """Whether more than a fiftieth of the glass is lit: more than rays would all miss."""
    need = site.need.model_copy(update={"fraction": 0.02})
    scene = window_scene(site, site.windows[0], need, START, END)
    return bool(scene.lit(sun.take(np.array([number])))[0])


@pytest.mark.parametrize("crowded", [False, True], ids=["alone", "with surroundings"])
@settings(max_examples=20)
@given(
    seed=seeds,
    beam=st.sampled_from([0.0, 120.0]),
    fraction=st.sampled_from([0.0, 0.3]),
    radius=st.sampled_from([0.15, 0.65, 2.0, 6.4]),
)
def test_what_is_settled_for_a_patch_holds_in_all_of_it(crowded, seed, beam, fraction, radius):
    rng = np.random.default_rng(seed)
    site = random_site(rng, crowded=crowded, beam=beam, fraction=fraction)
    scenes = (scene_of(site), spot_scene(site, site.spots[0], site.need, START, END))
    suns = up_in_the_sky(rng, site.windows[0], 25)
    # At noon UTC, so that some days before and after mean those days.
    seconds = START + DAY * rng.integers(10, 50, suns.shape[1]) + 43_200.0
    for days in (0, 4):
        patch = Daylight(seconds, suns, radius, days)
        cones = within_cone(rng, suns, np.full(suns.shape[1], radius), 15)
        then = seconds[:, None] + DAY * rng.integers(-days, days + 1, cones.shape[1:])
        inside = Daylight(then.ravel(), cones.reshape(3, -1))
        for scene in scenes:
            state = scene.settled(patch)
            lit = scene.lit(inside).reshape(then.shape)
            assert set(state.tolist()) <= {-1, 0, 1}
            assert lit[state == 1].all()
            assert not lit[state == -1].any()


@pytest.mark.parametrize("beam", [0.0, 120.0])
def test_patches_below_the_horizon_leave_room_for_the_onset_of_refraction(beam):
    """Where the upper limb first shows, the apparent sun leaps up by some 0.6 degree."""
    gate = BeamGate(START, END, HERE, beam)
    scene = SkyScene(gate, (Skyline(((0.0, -5.0),)),))
    times = START + np.arange(0.0, 3 * DAY, 20.0)
    exact = Daylight.at(times, HERE)
    lit = scene.lit(exact)
    for half_width in (150.0, 450.0):
        steps = int(half_width / 20)
        middle = np.arange(steps, len(times) - steps)
        patch = Daylight(times[middle], exact.direction[:, middle], 15.05 / 3600 * half_width)
        state = scene.settled(patch)
        for offset in range(-steps, steps + 1):
            assert lit[middle + offset][state == 1].all()
            assert not lit[middle + offset][state == -1].any()
        assert (state != 0).mean() > 0.9


@pytest.mark.parametrize(
    ("azimuth", "tilt", "spot", "expected"),
    [
        # A wall to the south: 1.6 m in, 0.4 m to the right of the middle (east), 0.15 m below.
        (180.0, 90.0, (1.6, 0.4, 0.75), (1.0, -0.15, -1.6)),
        # A flat roof light 3 m up, seen from above with its foot to the south: up it is north,
        # and straight down from it is along its normal.
        (180.0, 0.0, (0.5, 0.0, 0.75), (0.6, 0.5, -0.15)),
    ],
    ids=["wall", "roof light"],
)
def test_place_of_a_spot(azimuth, tilt, spot, expected):
    window = Window(name="w", azimuth=azimuth, tilt=tilt, width=1.2, height=1.4, sill=0.9)
    distance, offset, height = spot
    desk = Spot(name="s", window="w", distance=distance, offset=offset, height=height)
    assert spot_in_window(desk, window) == pytest.approx(expected, abs=1e-12)


def test_spot_before_the_glass_never_gets_sun_through_it():
    """Under glass that leans inward a spot may lie out of doors by its distance."""
    window = Window(name="w", azimuth=180, tilt=90, width=9, height=9)
    outside = SpotScene(scene_of(site_of(window)), np.array([0.5, 0.5, 0.1]))
    seconds, suns = np.full(9, float(START)), random_suns(np.random.default_rng(1), window, 9)
    assert not outside.lit(Daylight(seconds, suns)).any()
    assert (outside.settled(Daylight(seconds, suns, 1.0)) == -1).all()


def test_front_of_the_glass_for_patches():
    cosine = np.cos(np.radians([80.0, 88.0, 92.0, 100.0]))
    up = np.stack([np.zeros(4), np.sqrt(1 - 0.25) * np.ones(4), np.full(4, 0.5)])
    assert front_settled(Daylight(np.zeros(4), up, 5.0), cosine).tolist() == [1, 0, 0, -1]
    assert front_settled(Daylight(np.zeros(4), up, 1.0), cosine).tolist() == [1, 1, -1, -1]


def test_gate_knows_its_days_and_their_neighbours():
    gate = BeamGate(START, END, HERE, 120.0)
    days = np.arange(START // DAY, END // DAY + 1)
    heights = height_for_beam(days, HERE, 120.0)
    noons = days * float(DAY) + 43_200.0
    assert gate.height(noons).tolist() == heights.tolist()
    assert gate.height(days * float(DAY)).tolist() == heights.tolist()
    low, high = gate.bounds(noons[10:-10], 4)
    for number, (least, most) in enumerate(zip(low, high, strict=True)):
        near = heights[number + 10 - 4 : number + 10 + 5]
        assert least <= near.min()
        assert most >= near.max()
        # A day more to either side, for patches that reach across midnight.
        near = heights[number + 10 - 5 : number + 10 + 6]
        assert (least, most) == (near.min(), near.max())


def test_daylight_is_the_apparent_sun():
    times = START + np.arange(0.0, DAY, 1000.0)
    sun, position = Daylight.at(times, HERE), sun_position(times, HERE)
    assert sun.elevation == pytest.approx(position.apparent_elevation, abs=1e-9)
    assert sun.azimuth == pytest.approx(position.azimuth, abs=1e-9)
    some = sun.take(np.array([3, 5]))
    assert some.elevation.tolist() == sun.elevation[[3, 5]].tolist()
    assert observer_of(site_of(Window(name="w", azimuth=0, width=1, height=1)).place) == HERE
