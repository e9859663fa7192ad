"""The search among obstacles and trees, against the search by samples of shadows drawn as polygons.

The one compares cones and the ends of shadows along the edges of the glass; the other draws all
shadows, at every ten seconds where it must. They share the sun and the skyline.
"""

from __future__ import annotations

from datetime import UTC, datetime

import numpy as np
import pytest
from random_scenes import drawn_share, random_site

from suncover.facade.daylight import Daylight
from suncover.facade.exposure import observer_of, window_scene
from suncover.facade.scene import WindowScene, above_skylines
from suncover.facade.search.crossings import lit_intervals
from suncover.facade.search.paths import cell_slack, parabola_slack
from suncover.facade.search.share_search import STEPS
from suncover.facade.search.sun_grid import SLICE, STRIDE
from suncover.facade.search.window_search import SunSearch
from suncover.facade.yard import solids
from suncover.site.model import Need, Obstacle, Site, Window
from suncover.sun.position import Observer, sun_directions

NEW_YEAR = int(datetime(2026, 1, 1, tzinfo=UTC).timestamp())
DAY = 86400
# As in the test of the sweep: polygons take a sliver of 1e-13 of the glass for none.
ENDS = 0.8
# What lasts less may be missed by the samples.
SHORT = 11.0


class Drawn:
    """A window's scene with its shadows drawn as polygons at every instant."""

    def __init__(self, scene: WindowScene) -> None:
        self._scene = scene

    def lit(self, sun: Daylight) -> np.ndarray:
        scene = self._scene
        above = above_skylines(sun, scene.gate, scene.skylines)
        lit = np.zeros(above.shape, dtype=bool)
        some = np.flatnonzero(above)
        share = drawn_share(scene, sun.take(some))
        lit[some] = share > scene.fraction + scene.glass.rounding
        return lit

    def settled(self, sun: Daylight) -> np.ndarray:
        return self._scene.settled(sun)


def assert_same(site: Site, first: int, days: int, need: Need) -> int:
    """Both agree on when the window is lit; how many intervals there are."""
    start, end = NEW_YEAR + first * DAY, NEW_YEAR + (first + days) * DAY
    scene = window_scene(site, site.windows[0], need, start, end)
    observer = observer_of(site.place)
    (fast,) = SunSearch(observer, start, end).on_windows([scene])
    slow = lit_intervals(Drawn(scene), observer, start, end)
    for one, other in ((fast, slow), (slow, fast)):
        # Whatever is long enough to be found is there in both, whole.
        for begin, finish in one:
            if finish - begin > 2 * SHORT:
                inside = (other[:, 0] < begin + ENDS) & (other[:, 1] > finish - ENDS)
                covered = np.clip(other, begin, finish)
                missing = finish - begin - (covered[:, 1] - covered[:, 0]).clip(0).sum()
                assert inside.any() or missing < SHORT
        edges = np.concatenate([other.ravel(), [start, end]])
        near = np.abs(one.ravel()[:, None] - edges[None]).min(axis=1, initial=np.inf)
        index = np.flatnonzero(near > ENDS)
        # An end that the other does not have is that of a short interval or gap.
        lengths = np.diff(one.ravel(), prepend=-np.inf, append=np.inf)
        assert (np.minimum(lengths[index], lengths[index + 1]) < SHORT).all()
    return len(fast)


@pytest.fixture
def fine_crowns(monkeypatch: pytest.MonkeyPatch) -> None:
    """Polygons of crowns with so many corners that they are the ellipses, to a few micrometres."""
    monkeypatch.setattr(solids, "OUTLINE", 2048)


def yard(seed: int) -> tuple[Site, np.random.Generator]:
    rng = np.random.default_rng([5, seed])
    while True:
        site = random_site(rng)
        if site.obstacles or site.trees:
            return site, rng


def random_need(rng: np.random.Generator) -> Need:
    beam, fraction = rng.choice([0.0, 120.0]), rng.choice([0.0, 0.1, 0.3, 0.8])
    return Need(beam=float(beam), fraction=float(fraction))


@pytest.mark.usefixtures("fine_crowns")
@pytest.mark.parametrize("seed", range(6))
def test_same_sun_in_random_yards(seed):
    site, rng = yard(seed)
    assert_same(site, int(rng.integers(0, 350)), 3, random_need(rng))


@pytest.mark.slow
@pytest.mark.usefixtures("fine_crowns")
@pytest.mark.parametrize("seed", range(100, 180))
def test_same_sun_in_many_random_yards(seed):
    site, rng = yard(seed)
    assert_same(site, int(rng.integers(0, 200)), 60, random_need(rng))


@pytest.mark.parametrize(("step", "days"), [(SLICE, STRIDE), *((step, 0) for step in STEPS)])
@pytest.mark.parametrize("latitude", [0.0, 47.0, 78.0, -90.0])
def test_the_sun_keeps_to_its_cell(latitude, step, days):
    """While up, it strays no farther than the slack from what its places at the corners span."""
    rng = np.random.default_rng(int(latitude + 100))
    begin, observer = NEW_YEAR + rng.uniform(0, 366 * DAY, 2000), Observer(latitude, 30.0)

    def sun(seconds, day):
        return sun_directions(begin + seconds + day * DAY, observer, smooth=True)

    corners = [[sun(seconds, day) for seconds in (0.0, step)] for day in (0, days)]
    slack = cell_slack(np.min(corners, axis=(0, 1))[2], step, days)
    for x in (0.2, 0.5, 0.9):
        for day in range(days + 1):
            y = day / max(days, 1)
            flat = [corners[row][0] * (1 - x) + corners[row][1] * x for row in (0, 1)]
            between = flat[0] * (1 - y) + flat[1] * y
            there = sun(x * step, day)
            away = np.linalg.norm(there - between, axis=0)
            assert (away <= slack)[there[2] > 0.0].all()


@pytest.mark.parametrize("step", [6.0, 60.0, 400.0, SLICE])
@pytest.mark.parametrize("latitude", [0.0, 20.0, 47.0, 78.0, -90.0])
def test_the_sun_keeps_to_its_parabola(latitude, step):
    """While up, it strays no farther than the slack from the parabola through three of its places,
    though refraction bends its path near the horizon and overhead it may pass the zenith.
    """
    rng = np.random.default_rng(int(latitude + 200))
    begin, observer = NEW_YEAR + rng.uniform(0, 366 * DAY, 4000), Observer(latitude, 30.0)
    first, middle, last = (
        sun_directions(begin + x * step, observer, smooth=True) for x in (0.0, 0.5, 1.0)
    )
    slack = parabola_slack(np.minimum(np.minimum(first[2], middle[2]), last[2]), step)
    for x in (0.1, 0.22, 0.6, 0.8, 0.93):
        between = first * (1 - x) * (1 - 2 * x) + middle * 4 * x * (1 - x) + last * x * (2 * x - 1)
        there = sun_directions(begin + x * step, observer, smooth=True)
        away = np.linalg.norm(there - between, axis=0)
        assert (away <= slack)[(first[2] > 0.0) & (last[2] > 0.0)].all()


@pytest.mark.parametrize("fraction", [0.5, 0.95, 0.97, 0.99, 0.999])
def test_a_low_wall_does_not_end_the_sun_before_it_goes_behind_the_glass(fraction):
    """A wall no higher than the sill shades nothing: whatever share of the glass is asked for, the
    sun on it is that of the window alone, which ends all at once where the sun passes its plane.
    """
    window = Window(name="w", azimuth=270, width=2, height=1, position=(-4, -2), floor=3, sill=0.0)
    wall = Obstacle(name="wall", footprint=((-10, -7), (-9, -7), (-9, 3), (-10, 3)), top=3)
    place = {"name": "Low wall", "latitude": 17.8, "longitude": -85.9, "timezone": "UTC"}
    need = Need(beam=0, fraction=fraction)
    start, end = NEW_YEAR, NEW_YEAR + 90 * DAY
    found = []
    for obstacles in ((), (wall,)):
        site = Site.model_validate({"place": place, "windows": (window,), "obstacles": obstacles})
        scene = window_scene(site, window, need, start, end)
        found += SunSearch(observer_of(site.place), start, end).on_windows([scene])
    assert found[0].shape == found[1].shape
    assert np.abs(found[0] - found[1]).max() < 0.1
