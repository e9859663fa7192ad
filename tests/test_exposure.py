"""Direct sun on windows against a scan of whole days with pvlib, second by second.

The scan asks pvlib for the sun (its apparent elevation), the angle of incidence and the clear-sky
beam, and counts the seconds in which all three say sun.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from functools import lru_cache
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd
import pvlib
import pytest
from random_surroundings import plain_window, random_obstacle, random_tree
from random_windows import site_of

from suncover.clock import dates_bounds
from suncover.crossings import lit_intervals
from suncover.errors import RequestError
from suncover.exposure import (
    find_exposures,
    observer_of,
    skylines_of,
    spot_scene,
    sun_on_spots,
    sun_on_window,
    whole_seconds,
    window_scene,
)
from suncover.facade.daylight import Daylight
from suncover.site import Fin, Need, Overhang, Site, Window
from suncover.spell import Spell

# A change is seen at the next whole second, and the program rounds to the nearest.
ONE_SECOND = 1
# What lasts at least so long must be found, and nothing so long invented.
SHORTEST = 60
WALLS = [
    Window(name=f"wall {azimuth}", azimuth=azimuth, width=1.2, height=1.4)
    for azimuth in (0, 60, 90, 150, 180, 240, 270, 315)
]
SLOPES = [
    Window(name="roof window", azimuth=200, tilt=35, width=1, height=1),
    Window(name="flat roof light", azimuth=0, tilt=0, width=1, height=1),
    Window(name="leaning out", azimuth=95, tilt=110, width=1, height=1),
]
WINDOWS = tuple(WALLS + SLOPES)


@dataclass(frozen=True)
class Day:
    latitude: float
    longitude: float
    elevation: float
    zone: str
    day: date

    @property
    def span(self) -> Spell:
        return dates_bounds(self.day, self.day, ZoneInfo(self.zone))

    def site(self, *windows: Window, beam: float = 0.0, **more: object) -> Site:
        place = {"elevation": self.elevation, "timezone": self.zone}
        need = {"beam": beam, **more.pop("need", {})}
        return site_of(
            *windows,
            latitude=self.latitude,
            longitude=self.longitude,
            place=place,
            need=need,
            **more,
        )


@dataclass(frozen=True)
class Sky:
    """pvlib's sun and clear sky at every second of a day."""

    seconds: np.ndarray
    elevation: np.ndarray
    azimuth: np.ndarray
    beam: np.ndarray

    def local(self, window: Window) -> np.ndarray:
        """Directions (3, n) to the right, up the glass and out of it, with each its own formula."""
        e, g = np.radians(self.elevation), np.radians(self.azimuth - window.azimuth)
        t = np.radians(window.tilt)
        ahead, right, up = np.cos(e) * np.cos(g), -np.cos(e) * np.sin(g), np.sin(e)
        return np.stack(
            [right, up * np.sin(t) - ahead * np.cos(t), ahead * np.sin(t) + up * np.cos(t)]
        )

    def lit(self, window: Window, beam: float) -> np.ndarray:
        """Seconds in which a bare window is in sun."""
        incidence = pvlib.irradiance.aoi_projection(
            window.tilt, window.azimuth, 90.0 - self.elevation, self.azimuth
        )
        return (self.elevation > 0.0) & (np.asarray(incidence) > 0.0) & self.strong(beam)

    def strong(self, beam: float) -> np.ndarray:
        return np.full(len(self.seconds), True) if beam == 0.0 else self.beam > beam


@lru_cache(maxsize=20)
def scan(day: Day, step: int = 1) -> Sky:
    seconds = np.arange(day.span.start, day.span.end, step)
    index = pd.DatetimeIndex(seconds.astype("datetime64[s]"), tz="UTC")
    place = pvlib.location.Location(day.latitude, day.longitude, altitude=day.elevation)
    sun = place.get_solarposition(index)
    beam = place.get_clearsky(index, model="ineichen", solar_position=sun)["dni"]
    elevation, azimuth = sun["apparent_elevation"], sun["azimuth"]
    return Sky(seconds, elevation.to_numpy(), azimuth.to_numpy(), beam.to_numpy())


def spells_of(seconds: np.ndarray, lit: np.ndarray) -> list[tuple[int, int]]:
    """From the first lit second to the first dark one, for each run of lit seconds."""
    change = np.flatnonzero(np.diff(np.concatenate([[False], lit, [False]]).astype(int)))
    ends = np.append(seconds, seconds[-1] + 1)[change].reshape(-1, 2)
    return [(int(start), int(end)) for start, end in ends]


def long_enough(spells: list[tuple[int, int]]) -> np.ndarray:
    return np.array([spell for spell in spells if spell[1] - spell[0] >= SHORTEST]).reshape(-1, 2)


def assert_as_scanned(found: tuple[Spell, ...], seconds: np.ndarray, lit: np.ndarray) -> int:
    """The same spells, to a second; how many."""
    scanned = long_enough(spells_of(seconds, lit))
    ours = long_enough([(spell.start, spell.end) for spell in found])
    assert ours.shape == scanned.shape
    assert np.abs(ours - scanned).max(initial=0) <= ONE_SECOND
    return len(ours)


DAYS = {
    "Greensboro, clocks go forward": Day(36.07, -79.79, 270, "America/New_York", date(2026, 3, 8)),
    "Lord Howe, clocks go back half an hour": Day(
        -31.55, 159.08, 5, "Australia/Lord_Howe", date(2026, 4, 5)
    ),
    "Quito at the equinox": Day(-0.18, -78.47, 2850, "America/Guayaquil", date(2026, 3, 20)),
    "Bengaluru in June": Day(12.97, 77.59, 920, "Asia/Kolkata", date(2026, 6, 21)),
    "Taveuni on the date line": Day(-16.83, 179.99, 10, "Pacific/Fiji", date(2026, 11, 3)),
    "Apia": Day(-13.83, -171.77, 2, "Pacific/Apia", date(2026, 8, 9)),
    "Ushuaia in December": Day(-54.80, -68.30, 20, "America/Argentina/Ushuaia", date(2026, 12, 21)),
    "London in June": Day(51.51, -0.13, 20, "Europe/London", date(2026, 6, 21)),
    "Tromso in June": Day(69.65, 18.96, 5, "Europe/Oslo", date(2026, 6, 21)),
    "Tromso, the sun comes back": Day(69.65, 18.96, 5, "Europe/Oslo", date(2026, 1, 17)),
    "South Pole": Day(-90.0, 0.0, 2835, "Antarctica/McMurdo", date(2026, 12, 21)),
}


@pytest.mark.parametrize("name", DAYS)
def test_plain_windows_as_scanned(name: str) -> None:
    day, count = DAYS[name], 0
    sky = scan(day)
    for beam in (0.0, 120.0):
        site = day.site(*WINDOWS, beam=beam)
        found = find_exposures(site, day.span.start, day.span.end)
        assert list(found) == [window.name for window in WINDOWS]
        for window in WINDOWS:
            count += assert_as_scanned(found[window.name], sky.seconds, sky.lit(window, beam))
    assert count >= 6


def test_local_days_are_as_long_as_their_clocks_say() -> None:
    lengths = [DAYS[name].span.seconds / 3600 for name in list(DAYS)[:3]]
    assert lengths == [23.0, 24.5, 24.0]


def test_window_to_the_north_has_two_spells_on_a_summers_day() -> None:
    day = DAYS["London in June"]
    north, east = WALLS[0], WALLS[2]
    found = find_exposures(day.site(north, east), day.span.start, day.span.end)
    morning, evening = found[north.name]
    noon = datetime(2026, 6, 21, 13, 2, tzinfo=ZoneInfo("Europe/London")).timestamp()
    assert morning.end < noon - 4 * 3600
    assert evening.start > noon + 4 * 3600
    # By turns with a window to the south, which the sun reaches between the two.
    (between,) = sun_on_window(day.site(north), WALLS[4], Need(beam=0.0), *_span(day))
    assert (between.start, between.end) == (morning.end, evening.start)
    assert len(found[east.name]) == 1


def _span(day: Day) -> tuple[int, int]:
    return day.span.start, day.span.end


def test_polar_night_is_empty() -> None:
    home = Day(78.22, 15.65, 10, "Arctic/Longyearbyen", date(2026, 12, 1))
    end = home.span.start + 30 * 86400
    for beam in (0.0, 120.0):
        found = find_exposures(home.site(*WINDOWS, beam=beam), home.span.start, end)
        assert found == {window.name: () for window in WINDOWS}


def test_midnight_sun_is_one_long_spell() -> None:
    """From the first day to the last on which the sun stays up by its centre, lifted by the air.

    Its ends are scanned for, in the days about them, where the sun last sets and first sets again.
    """
    home = Day(69.6492, 18.9553, 0, "Europe/Oslo", date(2026, 5, 1))
    flat = SLOPES[1]
    end = home.span.start + 120 * 86400
    (found,) = (
        spell
        for spell in sun_on_window(home.site(flat), flat, Need(beam=0.0), home.span.start, end)
        if spell.seconds > 2 * 86400
    )
    assert 60 * 86400 < found.seconds < 75 * 86400
    for edge in (found.start, found.end):
        seconds = np.arange(edge - 600, edge + 600)
        index = pd.DatetimeIndex(seconds.astype("datetime64[s]"), tz="UTC")
        sun = pvlib.solarposition.get_solarposition(index, home.latitude, home.longitude)
        up = sun["apparent_elevation"].to_numpy() > 0.0
        (change,) = seconds[1:][np.diff(up.astype(int)) != 0]
        assert abs(change - edge) <= ONE_SECOND


def test_spells_run_across_midnight_and_the_new_year() -> None:
    """A window to the south in the Antarctic summer, where the midnight sun stands in the south."""
    home = Day(-77.85, 166.67, 10, "Antarctica/McMurdo", date(2026, 12, 30))
    south = WALLS[4]
    found = sun_on_window(home.site(south), south, Need(beam=0.0), *_across_new_year(home))
    midnights = [
        dates_bounds(d, d, ZoneInfo(home.zone)).start
        for d in (date(2026, 12, 31), date(2027, 1, 1))
    ]
    for midnight in midnights:
        assert sum(spell.start < midnight < spell.end for spell in found) == 1
    assert len(found) == 4  # cut by the beginning and by the end of the four days


def _across_new_year(home: Day) -> tuple[int, int]:
    zone = ZoneInfo(home.zone)
    days = dates_bounds(date(2026, 12, 30), date(2027, 1, 1), zone)
    return days.start, days.end


def test_spells_are_cut_at_the_time_asked_for() -> None:
    day = DAYS["London in June"]
    noon = day.span.start + 13 * 3600
    window = WALLS[4]
    (whole,) = sun_on_window(day.site(window), window, Need(beam=0.0), *_span(day))
    (before,) = sun_on_window(day.site(window), window, Need(beam=0.0), day.span.start, noon)
    (after,) = sun_on_window(day.site(window), window, Need(beam=0.0), noon, day.span.end)
    assert (before, after) == (Spell(whole.start, noon), Spell(noon, whole.end))


def test_a_year_at_once_and_day_by_day_are_the_same() -> None:
    """Also three months at a time: nothing hangs on where the search begins."""
    home = Day(36.07, -79.79, 270, "America/New_York", date(2026, 1, 1))
    roofed = Window(
        name="w",
        azimuth=160,
        width=1.2,
        height=1.4,
        reveal=0.1,
        overhang=Overhang(depth=0.9, gap=0.2),
    )
    site = home.site(roofed, beam=120.0)
    start, end = home.span.start, home.span.start + 365 * 86400
    whole = find_exposures(site, start, end)["w"]
    # None in high summer, when the overhang takes it all.
    assert 250 < len(whole) < 300
    for days in (91, 29):
        parts: list[Spell] = []
        for first in range(0, 365, days):
            last = min(first + days, 365)
            parts += find_exposures(site, start + first * 86400, start + last * 86400)["w"]
        assert len(parts) == len(whole)
        ours, others = (np.array([(s.start, s.end) for s in each]) for each in (whole, parts))
        assert np.abs(ours - others).max() <= ONE_SECOND


def test_sun_between_a_fin_and_an_overhang_for_little_more_than_a_minute() -> None:
    """An endless overhang takes all of the glass once q reaches H / depth, a fin till p falls below
    W / depth. The depths are chosen so that the one begins 75 s after the other has ended.
    """
    day = Day(40.0, -3.7, 600, "Europe/Madrid", date(2026, 5, 10))
    sky, window = scan(day), Window(name="w", azimuth=100, width=1.0, height=1.5)
    right, up, out = sky.local(window)
    first = int(np.flatnonzero(sky.elevation > 12.0)[0])
    p, q = right / out, up / out
    # Morning sun comes from the right as one looks at a window to the east, and moves to the left.
    assert p[first] > p[first + 75] > 0.0
    assert 0.0 < q[first] < q[first + 75]
    narrow = window.model_copy(
        update={
            "overhang": Overhang(depth=1.5 / q[first + 75]),
            "fins": (Fin(side="right", depth=1.0 / p[first]),),
        }
    )
    lit = sky.lit(window, 0.0) & (q < q[first + 75]) & (p < p[first])
    (expected,) = spells_of(sky.seconds, lit)
    assert expected == (sky.seconds[first + 1], sky.seconds[first + 75])
    (found,) = sun_on_window(day.site(narrow), narrow, Need(beam=0.0), *_span(day))
    assert found.start == pytest.approx(sky.seconds[first], abs=ONE_SECOND)
    assert found.end == pytest.approx(sky.seconds[first + 75], abs=ONE_SECOND)


def test_spells_through_notches_of_a_skyline() -> None:
    """Between tall buildings with steps at their edges; the last gap is two minutes wide."""
    day = Day(52.5, 13.4, 40, "Europe/Berlin", date(2026, 9, 10))
    sky = scan(day)
    edge = float(sky.azimuth[int(np.flatnonzero(sky.azimuth > 215.0)[0]) + 120])
    gaps = [(130.0, 150.0), (170.0, 171.0), (215.0, edge)]
    points: list[tuple[float, float]] = [(0.0, 80.0)]
    for left, right in gaps:
        points += [(left, 80.0), (left, 10.0), (right, 10.0), (right, 80.0)]
    window = Window(name="w", azimuth=180, width=1, height=1, skyline=tuple(points))
    open_sky = np.zeros(len(sky.seconds), dtype=bool)
    for left, right in gaps:
        open_sky |= (sky.azimuth > left) & (sky.azimuth < right)
    lit = sky.lit(window, 120.0) & open_sky & (sky.elevation > 10.0)
    found = sun_on_window(day.site(window), window, Need(beam=120.0), *_span(day))
    assert assert_as_scanned(found, sky.seconds, lit) == 3


def test_slanting_skyline_and_a_far_horizon_hide_what_either_hides() -> None:
    """Linear in azimuth and elevation between the points; the higher of the two counts."""
    day = Day(46.9, 7.4, 550, "Europe/Zurich", date(2026, 2, 20))
    sky = scan(day)
    skyline = ((100.0, 2.0), (125.0, 6.0), (145.0, 40.0), (165.0, 6.0), (270.0, 6.0))
    horizon = ((0.0, 3.0), (200.0, 3.0), (230.0, 20.0), (300.0, 3.0))
    window = Window(name="w", azimuth=170, width=1, height=1, skyline=skyline)
    site = day.site(window)
    site = site.model_copy(update={"place": site.place.model_copy(update={"horizon": horizon})})
    lit = sky.lit(window, 0.0)
    for points in (skyline, horizon):
        azimuths, elevations = np.array(points).T
        # Neither line is asked for beyond its ends.
        up = np.interp(sky.azimuth, azimuths, elevations)
        assert ((sky.azimuth > azimuths[0]) & (sky.azimuth < azimuths[-1]))[lit].all()
        lit = lit & (sky.elevation > up)
    found = sun_on_window(site, window, Need(beam=0.0), *_span(day))
    assert assert_as_scanned(found, sky.seconds, lit) >= 2


def test_horizon_that_was_not_read_is_an_error() -> None:
    site = site_of(WALLS[0])
    place = site.place.model_copy(update={"horizon_file": "ridge.csv"})
    with pytest.raises(RequestError, match=r'"ridge.csv" is not read yet'):
        skylines_of(place, WALLS[0])


@pytest.mark.parametrize("fraction", [0.0, 0.25, 0.7, 1.0])
def test_share_of_the_glass_that_must_be_in_sun(fraction: float) -> None:
    """Under an endless overhang: the shadow is depth times q deep, from the overhang down."""
    day = DAYS["Greensboro, clocks go forward"]
    sky = scan(day)
    window = Window(
        name="w", azimuth=180, width=1.2, height=1.4, overhang=Overhang(depth=0.9, gap=0.3)
    )
    _, up, out = sky.local(window)
    depth = np.clip(0.9 * up / np.maximum(out, 1e-9) - 0.3, 0.0, 1.4)
    lit = sky.lit(window, 120.0) & (1.0 - depth / 1.4 > fraction)
    found = sun_on_window(day.site(window), window, Need(beam=120, fraction=fraction), *_span(day))
    # More than all of the glass is never in sun.
    assert assert_as_scanned(found, sky.seconds, lit) == (0 if fraction == 1.0 else len(found))
    assert (len(found) > 0) == (fraction < 1.0)


def test_spot_in_a_room_gets_sun_while_its_ray_passes_the_glass() -> None:
    """A desk 1.5 m behind a wall's glass and 0.3 m below its lower edge, under an overhang.

    Its ray leaves the room at 1.5 p from it, and 1.5 q above it; the overhang, 0.5 m deep, begins
    0.2 m above the glass.
    """
    day = DAYS["Greensboro, clocks go forward"]
    sky = scan(day)
    window = Window(
        name="w",
        azimuth=150,
        width=1.2,
        height=1.4,
        sill=1.0,
        overhang=Overhang(depth=0.5, gap=0.2),
    )
    desk = {"name": "desk", "window": "w", "distance": 1.5, "offset": 0.2, "height": 0.7}
    right, up, out = sky.local(window)
    front = np.where(out > 0.0, out, np.inf)
    x, y = 0.6 + 0.2 + 1.5 * right / front, -0.3 + 1.5 * up / front
    lit = sky.lit(window, 120.0) & (x >= 0.0) & (x <= 1.2) & (y >= 0.0) & (y <= 1.4)
    # Above the overhang's front edge, 0.5 m out, or not yet as high as the overhang there.
    lit &= -0.3 + 2.0 * up / front < 1.6
    site = day.site(window, beam=120.0, spot=[desk])
    found = sun_on_spots(site, *_span(day))
    assert assert_as_scanned(found["desk"], sky.seconds, lit) >= 1


def test_wall_across_the_street_hides_the_low_sun() -> None:
    """10 m away, endless as far as it matters, 7 m above the lower edge of the glass and 8.4 above
    the upper: some of the glass is in sun while q is above (7 - 1.4) / 10.
    """
    day = DAYS["Greensboro, clocks go forward"]
    sky = scan(day)
    window = Window(
        name="w", azimuth=180, width=1.2, height=1.4, sill=1.0, floor=2.0, position=(5.0, 4.0)
    )
    wall = {
        "name": "across",
        "footprint": [(-4000, -6), (4000, -6), (4000, -9), (-4000, -9)],
        "top": 10.0,
    }
    _, up, out = sky.local(window)
    lit = sky.lit(window, 0.0) & (up / np.maximum(out, 1e-9) > (10.0 - 3.0 - 1.4) / 10.0)
    site = day.site(window, obstacle=[wall])
    found = sun_on_window(site, window, Need(beam=0.0), *_span(day))
    assert assert_as_scanned(found, sky.seconds, lit) == 1
    # A window that is not placed sees nothing of it.
    nowhere = window.model_copy(update={"position": None})
    free = sun_on_window(day.site(nowhere, obstacle=[wall]), nowhere, Need(beam=0.0), *_span(day))
    assert assert_as_scanned(free, sky.seconds, sky.lit(window, 0.0)) == 1


def test_leaves_come_and_go_at_local_midnight() -> None:
    """A crown that takes the middle of the day in leaf and nothing out of leaf."""
    day = Day(36.07, -79.79, 270, "America/New_York", date(2026, 4, 18))
    window = Window(name="w", azimuth=180, width=1, height=1, sill=1, position=(0.0, 0.0))
    crown = {
        "name": "t",
        "trunk": (0, -40),
        "width": 76.0,
        "bottom": -60.0,
        "top": 200.0,
        "leaf": 0.0,
        "bare": 1.0,
        "in_leaf": ("04-20", "11-05"),
    }
    start = day.span.start
    found = sun_on_window(
        day.site(window, beam=120.0, tree=[crown]),
        window,
        Need(beam=120.0),
        start,
        start + 4 * 86400,
    )
    bare = sun_on_window(
        day.site(window, beam=120.0), window, Need(beam=120.0), start, start + 4 * 86400
    )
    assert len(bare) == 4
    leaf_out = dates_bounds(date(2026, 4, 20), date(2026, 4, 20), ZoneInfo(day.zone)).start
    assert [s for s in found if s.end <= leaf_out] == [s for s in bare if s.end <= leaf_out]
    for number in range(4):
        noon = start + number * 86400 + 13 * 3600
        assert any(s.start < noon < s.end for s in found) == (noon < leaf_out)


@pytest.mark.parametrize("seed", range(8))
def test_search_among_obstacles_and_trees_loses_and_invents_nothing(seed: int) -> None:
    """Against the same scenes asked at every 15 seconds, for a window and for a spot behind it."""
    rng = np.random.default_rng(seed)
    window = plain_window(rng).model_copy(update={"reveal": 0.1, "overhang": Overhang(depth=0.5)})
    obstacles = [random_obstacle(rng, window, f"o{number}") for number in range(2)]
    shares = [{"leaf": leaf, "bare": 0.8, "in_leaf": ((4, 20), (11, 5))} for leaf in (0.0, 0.3)]
    trees = [random_tree(rng, window, f"t{n}", **share) for n, share in enumerate(shares)]
    inward = max(0.0, 2.0 / np.tan(np.radians(window.tilt)))
    spot = {"name": "s", "window": "w", "distance": 0.6 + inward, "height": window.sill}
    site = site_of(
        window,
        latitude=float(rng.uniform(-70, 70)),
        obstacle=obstacles,
        tree=trees,
        spot=[spot],
        need={"beam": float(rng.choice([0.0, 120.0])), "fraction": float(rng.choice([0.0, 0.2]))},
    )
    start = int(datetime(2026, 4, 18, tzinfo=UTC).timestamp())
    end, here = start + 3 * 86400, observer_of(site.place)
    times = np.arange(start, end, 15.0)
    for scene in (
        window_scene(site, window, site.need, start, end),
        spot_scene(site, site.spots[0], site.need, start, end),
    ):
        edges = lit_intervals(scene, here, start, end).ravel()
        found = np.searchsorted(edges, times, side="right") % 2 == 1
        sure = np.abs(times[:, None] - edges[None, :]).min(axis=1, initial=np.inf) > 0.1
        assert (found == scene.lit(Daylight.at(times, here)))[sure].all()


def test_own_need_and_chosen_windows() -> None:
    day = DAYS["London in June"]
    site = day.site(*WALLS, beam=120.0)
    weak, strong = (
        find_exposures(site, *_span(day), need=Need(beam=beam), windows=WALLS[2:4])
        for beam in (0.0, 700.0)
    )
    assert list(weak) == list(strong) == [WALLS[2].name, WALLS[3].name]
    for name in weak:
        assert weak[name][0].start <= find_exposures(site, *_span(day))[name][0].start
        assert strong[name][0].start > find_exposures(site, *_span(day))[name][0].start


@pytest.mark.parametrize("end", [0, -3600], ids=["no time", "backwards"])
def test_no_time_no_sun(end: int) -> None:
    start = DAYS["London in June"].span.start + 43_200
    found = find_exposures(DAYS["London in June"].site(*WALLS), start, start + end)
    assert found == {window.name: () for window in WALLS}


def test_ends_are_rounded_and_what_becomes_empty_or_touches_is_tidied() -> None:
    intervals = np.array([[0.4, 10.6], [11.3, 20.0], [30.2, 30.4], [40.0, 40.6], [50.6, 60.4]])
    assert whole_seconds(intervals) == (Spell(0, 20), Spell(40, 41), Spell(51, 60))
    assert whole_seconds(np.zeros((0, 2))) == ()
    assert whole_seconds(np.array([[5.1, 5.2]])) == ()


def test_unix_seconds_are_utc() -> None:
    """Noon of the equinox on the Greenwich meridian: a window to the south is lit about it."""
    start = int(datetime(2026, 3, 20, tzinfo=UTC).timestamp())
    window = WALLS[4]
    site = site_of(window, latitude=0.0, longitude=0.0, need={"beam": 0.0})
    roof = SLOPES[1]
    (found,) = sun_on_window(site, roof, Need(beam=0.0), start, start + 86400)
    # Twelve hours and a little, by refraction and the 7.5 minutes that the sun is late in March.
    middle = datetime.fromtimestamp((found.start + found.end) / 2, UTC)
    noon = datetime(2026, 3, 20, 12, 7, 30, tzinfo=UTC)
    assert abs(middle - noon) < timedelta(seconds=30)
    assert 12 * 3600 < found.seconds < 12 * 3600 + 300
