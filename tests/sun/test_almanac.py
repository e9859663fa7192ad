"""Sunrise and sunset as almanacs have them, held against the sun's position."""

from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from suncover.base.clock import day_bounds
from suncover.sun.almanac import sunrise_and_sunset
from suncover.sun.position import Observer, sun_position

# The convention of the Astronomical Almanac (from memory): 16' for the disc's radius and 34' for
# the air, so that its middle stands at -50' without them.
HEIGHT = -50.0 / 60.0
# Degrees: 0.01 of astral's sun in right ascension and in declination each (J. Meeus, Astronomical
# Algorithms, chapter 25: "with an accuracy of 0.01 degree"), the 5 seconds to which it finds its
# events and has its equation of time, and the parallax, which it leaves out.
CLOSE = 0.01 * 2**0.5 + 5.0 / 240.0 + 0.0025

PLACES = [
    (36.1, -79.95, "America/New_York"),
    (47.92, 106.92, "Asia/Ulaanbaatar"),
    (-41.29, 174.78, "Pacific/Auckland"),
    (-13.83, -171.77, "Pacific/Apia"),
    (64.15, -21.94, "Atlantic/Reykjavik"),
]


@pytest.mark.parametrize(("latitude", "longitude", "zone"), PLACES, ids=[p[2] for p in PLACES])
def test_the_upper_edge_is_on_the_horizon_on_every_day_of_a_year(latitude, longitude, zone):
    observer, clock = Observer(latitude, longitude), ZoneInfo(zone)
    for number in range(0, 365, 2):
        day = day_bounds(date(2025, 1, 1) + timedelta(days=number), clock)
        rise, set_ = sunrise_and_sunset(latitude, longitude, day)
        assert rise is not None, number
        assert set_ is not None, number
        assert day.start <= rise < day.end
        assert day.start <= set_ < day.end
        before, at_rise, after, at_set = sun_position(
            [rise - 300, rise, rise + 300, set_], observer
        ).elevation
        assert before < at_rise < after
        assert [at_rise, at_set] == pytest.approx([HEIGHT, HEIGHT], abs=CLOSE)


def test_there_is_none_under_the_midnight_sun_or_in_the_polar_night():
    oslo = ZoneInfo("Europe/Oslo")
    for day in (date(2027, 6, 21), date(2027, 12, 21)):
        assert sunrise_and_sunset(69.65, 18.96, day_bounds(day, oslo)) == (None, None)


def test_each_is_of_its_own_local_day():
    """East of Greenwich a local morning is still the evening before in UTC."""
    zone = ZoneInfo("Pacific/Auckland")
    rise, set_ = sunrise_and_sunset(-41.29, 174.78, day_bounds(date(2027, 1, 10), zone))
    assert rise < set_
    assert datetime.fromtimestamp(rise, zone).date() == date(2027, 1, 10)
