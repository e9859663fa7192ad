"""What the seasons do to the sun: midnight sun, sunrise to the north of east, noon in the north."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from sun_events import declination, height_crossings, transits

from suncover.sun.position import Observer, sun_position

SOLSTICE = datetime(2026, 6, 21, 8, 25, tzinfo=ZoneInfo("UTC")).timestamp()


def test_midnight_sun_of_tromso():
    """Up all day from 19 May to 25 Jul 2026, by the upper limb and 34′ of refraction (-0.8333°).

    69.6492 N, 18.9553 E; worked out with pvlib. Tables printed for the town, which put mountains
    aside, give about these dates.
    """
    observer, zone = Observer(69.6492, 18.9553), ZoneInfo("Europe/Oslo")
    first = date(2026, 1, 1)
    up_all_day = []
    for number in range(365):
        day = first + timedelta(days=number)
        begin = datetime(day.year, day.month, day.day, tzinfo=zone).timestamp()
        after = day + timedelta(days=1)
        end = datetime(after.year, after.month, after.day, tzinfo=zone).timestamp()
        if sun_position(np.arange(begin, end, 60.0), observer).elevation.min() > -0.8333:
            up_all_day.append(day)
    assert up_all_day[0] == date(2026, 5, 19)
    assert up_all_day[-1] == date(2026, 7, 25)
    assert len(up_all_day) == (date(2026, 7, 25) - date(2026, 5, 19)).days + 1


@pytest.mark.parametrize(
    ("latitude", "azimuth"), [(40.0, 58.72), (60.0, 37.29), (0.0, 66.56), (-40.0, 58.72)]
)
def test_azimuth_of_sunrise_at_the_solstice(latitude, azimuth):
    """cos A = sin δ / cos φ where the centre passes the horizon, without refraction."""
    observer = Observer(latitude, 0.0)
    rises, sets = height_crossings(observer, 0.0, SOLSTICE - 43200, SOLSTICE + 43200)
    assert len(rises) == len(sets) == 1
    for time, east_of_north in ((rises[0], 1.0), (sets[0], -1.0)):
        found = east_of_north * sun_position(time, observer).azimuth % 360.0
        exact = np.sin(np.radians(declination(time))) / np.cos(np.radians(latitude))
        # Rising is taken from the Earth's centre, the azimuth from the surface: both are alike in
        # azimuth, but for the flattening, which is worth 0.00003 degree.
        assert found == pytest.approx(np.degrees(np.arccos(exact)), abs=0.001)
        # With the round obliquity; at 60° a degree of declination is worth 3 of azimuth.
        assert found == pytest.approx(azimuth, abs=0.02)


def test_noon_sun_in_the_north_within_the_tropics():
    """10° N on 21 June: altitude 90° - (23.44° - 10°) = 76.56°, due north."""
    observer = Observer(10.0, 0.0)
    (noon,) = transits(observer, SOLSTICE - 43200 + 3600, SOLSTICE + 43200 + 3600)
    position = sun_position(noon, observer)
    assert position.elevation == pytest.approx(76.56, abs=0.01)
    assert (position.azimuth + 180.0) % 360.0 == pytest.approx(180.0, abs=1e-4)


@pytest.mark.parametrize("latitude", [90.0, -90.0])
def test_one_day_a_year_at_the_poles(latitude):
    """Up from equinox to equinox (2026, from memory: 20 Mar 14:46, 23 Sep 00:05 UTC)."""
    observer = Observer(latitude, 0.0)
    start = datetime(2026, 1, 1, tzinfo=ZoneInfo("UTC")).timestamp()
    rises, sets = height_crossings(observer, 0.0, start, start + 365 * 86400)
    spring = datetime(2026, 3, 20, 14, 46, tzinfo=ZoneInfo("UTC")).timestamp()
    autumn = datetime(2026, 9, 23, 0, 5, tzinfo=ZoneInfo("UTC")).timestamp()
    # Rising a tenth of a degree takes six hours there, and the algorithm's 0.0003 degree a minute.
    wanted = (spring, autumn) if latitude > 0 else (autumn, spring)
    assert rises == pytest.approx([wanted[0]], abs=120.0)
    assert sets == pytest.approx([wanted[1]], abs=120.0)
