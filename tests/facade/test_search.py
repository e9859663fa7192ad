"""The sweep over cells of days and minutes, against the search by samples of the same glass.

The one reasons with smooth conditions and their slopes, the other asks for the exact share of the
glass at every ten seconds; they share the sun and nothing else.
"""

from __future__ import annotations

from datetime import UTC, datetime

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from random_windows import all_forms, random_suns, random_window, site_of, slopes_of

from suncover.facade.conditions import SkyQuarters, is_simple
from suncover.facade.exposure import glass_of, observer_of, window_scene
from suncover.facade.plates import sunlit_fraction
from suncover.facade.search.crossings import lit_intervals
from suncover.facade.search.panes import Panes
from suncover.facade.search.sun_grid import DAILY, HEIGHTS, SPEED, bending_across, bending_along
from suncover.facade.search.window_search import SunSearch
from suncover.site.model import Fin, Overhang, Site, Window
from suncover.sun.position import Observer, sun_directions

NEW_YEAR = int(datetime(2026, 1, 1, tzinfo=UTC).timestamp())
DAY = 86400
# Both find their ends to 0.05 s; but the samples take a share of 1e-12 for none, and a lit corner
# grows with the square of the time: of a narrow one they miss the first tenths of a second.
ENDS = 0.8
# What lasts less may be missed by the samples.
SHORT = 11.0


def without_short(intervals: np.ndarray) -> np.ndarray:
    """Gaps shorter than `SHORT` bridged, then intervals shorter than it dropped."""
    if len(intervals) == 0:
        return intervals
    apart = intervals[1:, 0] - intervals[:-1, 1] > SHORT
    begins = intervals[np.append(True, apart), 0]
    ends = intervals[np.append(apart, True), 1]
    joined = np.stack([begins, ends], axis=1)
    return joined[joined[:, 1] - joined[:, 0] > SHORT]


def assert_same(site: Site, first: int, days: int) -> int:
    """The sweep and the samples agree on all windows; how many intervals they found."""
    start, end = NEW_YEAR + first * DAY, NEW_YEAR + (first + days) * DAY
    scenes = [window_scene(site, window, site.need, start, end) for window in site.windows]
    swept = list(SunSearch(observer_of(site.place), start, end).on_windows(scenes))
    assert len(swept) == len(scenes)
    for scene, fast in zip(scenes, swept, strict=True):
        slow = without_short(lit_intervals(scene, observer_of(site.place), start, end))
        fast = without_short(fast)  # noqa: PLW2901
        assert fast.shape == slow.shape
        assert np.abs(fast - slow).max(initial=0.0) < ENDS
    return sum(len(fast) for fast in swept)


def simple_window(rng: np.random.Generator) -> Window:
    while True:
        window = random_window(rng)
        if is_simple(glass_of(window)):
            return window


@given(st.integers(0, 2**32 - 1))
def test_conditions_hold_just_where_some_glass_is_sunlit(seed):
    rng = np.random.default_rng(seed)
    window = simple_window(rng)
    glass = glass_of(window)
    sun = random_suns(rng, window, 1000)
    slopes = slopes_of(window, sun)
    panes = Panes.of([np.eye(3)], [SkyQuarters(glass)])
    owner = np.zeros(1000, dtype=np.int64)
    lit = np.any(
        [
            forms.lit_in_quarter(all_forms(forms, owner, slopes.directions) > 0.0)
            for forms in panes.forms
        ],
        axis=0,
    )
    share = sunlit_fraction(slopes.p, slopes.q, glass)
    sure = (share <= glass.rounding) | (share > 1e-9)
    assert sure.mean() > 0.99
    assert (lit == (share > glass.rounding))[sure].all()


@pytest.mark.parametrize("latitude", [-90.0, -66.0, -35.0, -10.0, 0.0, 23.4, 47.0, 60.0, 80.0])
@pytest.mark.parametrize("elevation", [-400.0, 0.0, 5000.0])
def test_apparent_sun_moves_no_faster_than_the_sweep_takes_for_granted(latitude, elevation):
    """Its speed and bending along its path, and from day to day, while it is up."""
    here = Observer(latitude, 11.0, elevation)
    times = NEW_YEAR + np.random.default_rng(1).uniform(0, 366 * DAY, 4000)

    def sun(after):
        return sun_directions(times + after, here, smooth=True)

    now = sun(0.0)
    up, high = now[2] > 0.0, now[2] > HEIGHTS[-1]
    second = np.linalg.norm(sun(15.0) - 2 * now + sun(-15.0), axis=0) / 15.0**2 / SPEED**2
    assert (second / bending_along(now[2]))[up].max(initial=0.0) < 1.0
    assert (np.linalg.norm(sun(15.0) - sun(-15.0), axis=0) / 30.0)[high].max(initial=0.0) < SPEED
    day = np.linalg.norm(sun(DAY) - sun(-DAY), axis=0) / 2.0
    change = np.linalg.norm(sun(DAY) - 2 * now + sun(-DAY), axis=0)
    assert day[up].max(initial=0.0) < DAILY
    assert (change / bending_across(now[2]))[up].max(initial=0.0) < 1.0


def random_sites(seed: int, latitude: float) -> tuple[Site, int]:
    """Several windows, some alike in pattern and some not, and a day of the year."""
    rng = np.random.default_rng(seed)
    windows = [
        simple_window(rng).model_copy(update={"name": f"w{n}", "position": None}) for n in range(6)
    ]
    need, longitude = {"beam": float(rng.choice([0.0, 120.0]))}, float(rng.uniform(-180, 180))
    site = site_of(*windows, latitude=latitude, longitude=longitude, need=need)
    return site, int(rng.integers(0, 330))


@settings(max_examples=10)
@given(st.integers(0, 2**32 - 1), st.floats(-90, 90))
def test_random_windows_as_by_samples(seed, latitude):
    assert_same(*random_sites(seed, latitude), 25)


# Places where the sun circles, grazes or stands overhead, and any others.
LATITUDES = [-90.0, -66.5, -23.4, 0.0, 23.4, 51.0, 66.5, 80.0, 90.0]


@pytest.mark.slow
@pytest.mark.parametrize("latitude", LATITUDES)
def test_many_random_windows_as_by_samples(latitude):
    found = sum(assert_same(*random_sites(seed, latitude), 25) for seed in range(60))
    assert found > 1000


@pytest.mark.parametrize("latitude", [0.0, -45.0, 66.0, 80.0])
@pytest.mark.parametrize("tilt", [0.0, 1.0, 5.0, 45.0])
def test_sun_that_comes_and_goes_at_the_horizon(latitude, tilt):
    """Glass that looks up meets the sun where refraction bends its path most."""
    windows = [
        Window(name=f"w{azimuth}", azimuth=azimuth, tilt=tilt, width=1, height=1)
        for azimuth in (0, 90, 180)
    ]
    site = site_of(*windows, latitude=latitude, need={"beam": 0.0})
    assert sum(assert_same(site, first, 9) for first in (60, 170)) > 10


@pytest.mark.parametrize("latitude", [-7.2, -7.15, 0.0, 12.1, 23.4])
def test_sun_about_the_zenith_beside_a_tall_fin(latitude):
    """Which side it comes from then changes slowly, and may do so twice in minutes."""
    tall = {"width": 1, "height": 3}
    windows = [
        Window(name=f"{way} {side}", azimuth=way, fins=(Fin(side=side, depth=1),), **tall)
        for way in (4, 88, 94, 274)
        for side in ("left", "right")
    ]
    site = site_of(*windows, latitude=latitude)
    assert sum(assert_same(site, first, 40) for first in (50, 150, 260)) > 800


def test_plates_that_meet_in_a_corner():
    """The last sliver of sun goes between the two shadows, and hardly grows for seconds."""
    plates = {"overhang": Overhang(depth=1, left=0), "fins": (Fin(side="left", depth=0.396),)}
    sizes = {"tilt": 96.08, "width": 2, "height": 0.812, "reveal": 0.135}
    window = Window(name="w", azimuth=73.3, **sizes, **plates)
    site = site_of(window, latitude=-39.7, need={"beam": 0.0})
    assert assert_same(site, 0, 365) > 300


def test_gathering_no_windows_and_no_time():
    site = site_of(Window(name="w", azimuth=180, width=1, height=1))
    here, end = observer_of(site.place), NEW_YEAR - DAY
    scene = window_scene(site, site.windows[0], site.need, NEW_YEAR, NEW_YEAR)
    assert list(SunSearch(here, NEW_YEAR, NEW_YEAR + DAY).on_windows([])) == []
    (found,) = SunSearch(here, NEW_YEAR, end).on_windows([scene])
    assert found.shape == (0, 2)
