"""Direct sun on windows against a scan of whole days with pvlib, second by second.

The scan asks pvlib for the sun (its apparent elevation), the angle of incidence and the clear-sky
beam, and counts the seconds in which all three say sun.
"""

from __future__ import annotations

from datetime import date, datetime
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd
import pvlib
import pytest
from random_windows import site_of
from sun_scan import DAYS, ONE_SECOND, Day, assert_as_scanned, ends_of, scan, spells_of

from suncover.base.clock import dates_bounds
from suncover.base.errors import RequestError
from suncover.base.spell import Spell
from suncover.facade.exposure import (
    find_exposures,
    skylines_of,
    sun_on_spots,
    sun_on_window,
    whole_seconds,
)
from suncover.site.model import Fin, Need, Overhang, Window

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


@pytest.mark.parametrize("name", DAYS)
def test_plain_windows_as_scanned(name):
    day, count = DAYS[name], 0
    sky = scan(day)
    for beam in (0.0, 120.0):
        site = day.site(*WINDOWS, beam=beam)
        found = find_exposures(site, day.span.start, day.span.end)
        assert list(found) == [window.name for window in WINDOWS]
        for window in WINDOWS:
            count += assert_as_scanned(found[window.name], sky.seconds, sky.lit(window, beam))
    assert count >= 6


def test_window_to_the_north_has_two_spells_on_a_summers_day():
    day = DAYS["London in June"]
    site = day.site(*WALLS, beam=120.0)
    north, east, south = WALLS[0], WALLS[2], WALLS[4]
    need = Need(beam=0.0)
    found = find_exposures(site, *ends_of(day), need=need, windows=(north, east))
    assert list(found) == [north.name, east.name]
    morning, evening = found[north.name]
    noon = datetime(2026, 6, 21, 13, 2, tzinfo=ZoneInfo("Europe/London")).timestamp()
    assert morning.end < noon - 4 * 3600
    assert evening.start > noon + 4 * 3600
    # By turns with a window to the south, which the sun reaches between the two.
    (between,) = sun_on_window(site, south, need, *ends_of(day))
    assert (between.start, between.end) == (morning.end, evening.start)
    # The sun of a stronger need comes later; the site's own is the default.
    (weak,), (own,) = found[east.name], find_exposures(site, *ends_of(day))[east.name]
    (strong,) = sun_on_window(site, east, Need(beam=700.0), *ends_of(day))
    assert weak.start < own.start < strong.start
    # The time asked for cuts it; no time has no sun.
    middle = day.span.start + 13 * 3600
    before = sun_on_window(site, south, need, day.span.start, middle)
    after = sun_on_window(site, south, need, middle, day.span.end)
    assert (*before, *after) == (Spell(between.start, middle), Spell(middle, between.end))
    assert find_exposures(site, middle, middle) == {window.name: () for window in WALLS}
    with pytest.raises(RequestError, match="the end comes before the start"):
        find_exposures(site, middle, middle - 3600)


def test_polar_night_is_empty():
    home = Day(78.22, 15.65, 10, "Arctic/Longyearbyen", date(2026, 12, 1))
    end = home.span.start + 30 * 86400
    for beam in (0.0, 120.0):
        found = find_exposures(home.site(*WINDOWS, beam=beam), home.span.start, end)
        assert found == {window.name: () for window in WINDOWS}


def test_midnight_sun_is_one_long_spell():
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


def test_spells_run_across_midnight_and_the_new_year():
    """A window to the south in the Antarctic summer, where the midnight sun stands in the south."""
    home = Day(-77.85, 166.67, 10, "Antarctica/McMurdo", date(2026, 12, 30))
    south, days = WALLS[4], dates_bounds(date(2026, 12, 30), date(2027, 1, 1), ZoneInfo(home.zone))
    found = sun_on_window(home.site(south), south, Need(beam=0.0), days.start, days.end)
    for midnight in (days.start + 86400, days.start + 2 * 86400):
        assert sum(spell.start < midnight < spell.end for spell in found) == 1
    assert len(found) == 4  # cut by the beginning and by the end of the four days


def test_a_year_at_once_and_in_parts_are_the_same():
    """Three months at a time: nothing hangs on where the search begins."""
    home = Day(36.07, -79.79, 270, "America/New_York", date(2026, 1, 1))
    roof = Overhang(depth=0.9, gap=0.2)
    roofed = Window(name="w", azimuth=160, width=1.2, height=1.4, reveal=0.1, overhang=roof)
    site = home.site(roofed, beam=120.0)
    start, end = home.span.start, home.span.start + 365 * 86400
    whole = find_exposures(site, start, end)["w"]
    # None in high summer, when the overhang takes it all.
    assert 250 < len(whole) < 300
    parts = []
    for first in range(0, 365, 91):
        last = min(first + 91, 365)
        parts += find_exposures(site, start + first * 86400, start + last * 86400)["w"]
    assert len(parts) == len(whole)
    ours, others = (np.array([(s.start, s.end) for s in each]) for each in (whole, parts))
    assert np.abs(ours - others).max() <= ONE_SECOND


def test_sun_between_a_fin_and_an_overhang_for_little_more_than_a_minute():
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
    (found,) = sun_on_window(day.site(narrow), narrow, Need(beam=0.0), *ends_of(day))
    assert found.start == pytest.approx(sky.seconds[first], abs=ONE_SECOND)
    assert found.end == pytest.approx(sky.seconds[first + 75], abs=ONE_SECOND)


def test_spells_through_notches_of_a_skyline():
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
    found = sun_on_window(day.site(window), window, Need(beam=120.0), *ends_of(day))
    assert assert_as_scanned(found, sky.seconds, lit) == 3


def test_slanting_skyline_and_a_far_horizon_hide_what_either_hides():
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
    found = sun_on_window(site, window, Need(beam=0.0), *ends_of(day))
    assert assert_as_scanned(found, sky.seconds, lit) >= 2


def test_horizon_that_was_not_read_is_an_error():
    site = site_of(WALLS[0])
    place = site.place.model_copy(update={"horizon_file": "ridge.csv"})
    with pytest.raises(RequestError, match=r'"ridge.csv" is not read yet'):
        skylines_of(place, WALLS[0])


@pytest.mark.parametrize("fraction", [0.0, 0.25, 0.7, 1.0])
def test_share_of_the_glass_that_must_be_in_sun(fraction):
    """Under an endless overhang: the shadow is depth times q deep, from the overhang down."""
    day = DAYS["Greensboro, clocks go forward"]
    sky = scan(day)
    window = Window(
        name="w", azimuth=180, width=1.2, height=1.4, overhang=Overhang(depth=0.9, gap=0.3)
    )
    _, up, out = sky.local(window)
    depth = np.clip(0.9 * up / np.maximum(out, 1e-9) - 0.3, 0.0, 1.4)
    lit = sky.lit(window, 120.0) & (1.0 - depth / 1.4 > fraction)
    found = sun_on_window(
        day.site(window), window, Need(beam=120, fraction=fraction), *ends_of(day)
    )
    # More than all of the glass is never in sun.
    assert assert_as_scanned(found, sky.seconds, lit) == (0 if fraction == 1.0 else len(found))
    assert (len(found) > 0) == (fraction < 1.0)


def test_spot_in_a_room_gets_sun_while_its_ray_passes_the_glass():
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
    found = sun_on_spots(site, *ends_of(day))
    assert assert_as_scanned(found["desk"], sky.seconds, lit) >= 1


def test_ends_are_rounded_and_what_becomes_empty_or_touches_is_tidied():
    intervals = np.array([[0.4, 10.6], [11.3, 20.0], [30.2, 30.4], [40.0, 40.6], [50.6, 60.4]])
    assert whole_seconds(intervals) == (Spell(0, 20), Spell(40, 41), Spell(51, 60))
    assert whole_seconds(np.zeros((0, 2))) == ()
    assert whole_seconds(np.array([[5.1, 5.2]])) == ()
    # Ends are known to 0.05 s: what lasts no longer than that may be none, though it rounds to 1 s.
    assert whole_seconds(np.array([[31.46, 31.54]])) == ()
    assert whole_seconds(np.array([[10.0, 31.46], [31.54, 50.0]])) == (Spell(10, 50),)
    # A fifth of a second is there for sure, as a spell and as a gap.
    assert whole_seconds(np.array([[31.4, 31.6]])) == (Spell(31, 32),)
    parted = whole_seconds(np.array([[10.0, 31.4], [31.6, 50.0]]))
    assert parted == (Spell(10, 31), Spell(32, 50))
