"""Worked examples of section 1.6 of Duffie and Beckman, Solar Engineering of Thermal Processes.

The book's azimuths count from south, west positive. The figures of examples 1.6.2 and 1.6.3 are
quoted from memory and were worked out again from the book's declinations.
"""

from __future__ import annotations

from datetime import UTC, datetime

import numpy as np
import pytest
from sun_events import altitude_and_azimuth, declination, transits

from suncover.facade.frame import incidence_angle, profile_angle
from suncover.sun.position import Observer, sun_position

LATITUDE = 43.0
BOOK = 0.1  # degrees: the book rounds its angles to this
# Against the sun's true path, on the day whose declination is nearest to the book's: half of what
# it changes in a day (0.4 degree at the most), and the book's rounding. Azimuth and profile angle
# change by up to 1.4 times as much in these places.
EPHEMERIS = 0.5


def solar_time(month: int, day: int, hour: float, wanted: float) -> float:
    """That solar hour at 0° of longitude about that day of 2026, in unix seconds.

    On the day on which the sun has the declination `wanted`: the book's formula, one sine, is up to
    1° off in spring and autumn, two days or three.
    """
    start = datetime(2026, month, day, tzinfo=UTC).timestamp()
    noons = transits(Observer(LATITUDE, 0.0), start - 4 * 86400, start + 5 * 86400)
    times = noons + (hour - 12.0) * 3600.0
    return float(times[np.abs(declination(times) - wanted).argmin()])


def test_incidence_angle_on_a_slope():
    """Example 1.6.1: 13 Feb (declination -14°), 10:30, slope 45°, facing 15° west of south."""
    altitude, azimuth = altitude_and_azimuth(LATITUDE, -14.0, -22.5)
    angle = incidence_angle(altitude, azimuth, 195.0, 45.0)
    assert np.cos(np.radians(angle)) == pytest.approx(0.817, abs=0.0005)
    # The book rounds 35.2 to whole degrees.
    assert angle == pytest.approx(35.0, abs=0.5)
    # On the true path of the sun.
    position = sun_position(solar_time(2, 13, 10.5, -14.0), Observer(LATITUDE, 0.0))
    angle = incidence_angle(position.elevation, position.azimuth, 195.0, 45.0)
    assert angle == pytest.approx(35.2, abs=EPHEMERIS)


CASES = {
    "1.6.2a, 13 Feb 9:30": ((2, 13), -14.0, 9.5, 66.5, -40.0),
    "1.6.2b, 1 Jul 18:30": ((7, 1), 23.1, 18.5, 79.6, 112.0),
    "1.6.3, 16 Mar 16:00": ((3, 16), -2.4, 16.0, 70.3, 66.8),
}


@pytest.mark.parametrize("name", CASES)
def test_zenith_and_azimuth_of_the_sun(name):
    (month, day), wanted, hour, zenith, from_south = CASES[name]
    when = solar_time(month, day, hour, wanted)
    assert declination(when) == pytest.approx(wanted, abs=0.2)
    position = sun_position(when, Observer(LATITUDE, 0.0))
    assert 90.0 - position.elevation == pytest.approx(zenith, abs=EPHEMERIS)
    assert position.azimuth - 180.0 == pytest.approx(from_south, abs=EPHEMERIS)


def test_profile_angle():
    """Example 1.6.3: 16 Mar (declination -2.4°), 16:00, a surface that faces 25° west of south."""
    altitude, azimuth = altitude_and_azimuth(LATITUDE, -2.4, 60.0)
    assert profile_angle(altitude, azimuth, 205.0) == pytest.approx(25.7, abs=BOOK)
    position = sun_position(solar_time(3, 16, 16.0, -2.4), Observer(LATITUDE, 0.0))
    angle = profile_angle(position.elevation, position.azimuth, 205.0)
    assert angle == pytest.approx(25.7, abs=EPHEMERIS)
