"""The worked example of the Solar Position Algorithm.

I. Reda and A. Andreas, Solar Position Algorithm for Solar Radiation Applications, NREL/TP-560-34302
(revised 2008), table A5.1: 2003-10-17 12:30:30 at UTC-7; 39.742476 N, 105.1786 W, 1830.14 m; 820
mbar, 11 °C; 67 s between terrestrial time and UT; a surface tilted 30° that faces 10° east of
south.
"""

from datetime import UTC, datetime, timedelta, timezone

import numpy as np
import pytest
from sun_events import height_crossings, transits

from suncover.facade.frame import incidence_angle, shadow_slopes, window_axes
from suncover.sun.position import Observer, sun_directions, sun_position

MOUNTAIN_TIME = timezone(timedelta(hours=-7))
OBSERVER = Observer(39.742476, -105.1786, 1830.14, pressure=820.0, temperature=11.0)
WHEN = datetime(2003, 10, 17, 12, 30, 30, tzinfo=MOUNTAIN_TIME).timestamp()
# The algorithm's rise, transit and set are those of the date in universal time. The sunset falls at
# its beginning, in the afternoon of the 16th by the local clock.
DATE_BEGINS = datetime(2003, 10, 17, tzinfo=UTC).timestamp()
DATE_ENDS = DATE_BEGINS + 86400
AZIMUTH, TILT = 170.0, 30.0
LAST_DIGITS = 0.0001  # degrees; the table prints five decimals
ONE_SECOND = 1.0
# The centre of the disc stands so far below the horizon when the upper limb shows (SPA, A.2).
RISING = -0.8333


def clock(day: int, hour: int, minute: int, second: int) -> float:
    return datetime(2003, 10, day, hour, minute, second, tzinfo=MOUNTAIN_TIME).timestamp()


def test_position():
    """Table A5.1: e0 = 39.872046°, lifted by 0.016332°; without that the zenith angle would be
    50.12795.
    """
    position = sun_position(WHEN, OBSERVER)
    assert 90.0 - position.apparent_elevation == pytest.approx(50.11162, abs=LAST_DIGITS)
    assert position.elevation == pytest.approx(39.872046, abs=LAST_DIGITS)
    lifted = position.apparent_elevation - position.elevation
    assert lifted == pytest.approx(0.016332, abs=LAST_DIGITS / 10)
    assert position.azimuth == pytest.approx(194.34024, abs=LAST_DIGITS)


def test_incidence_angle():
    position = sun_position(WHEN, OBSERVER)
    angle = incidence_angle(position.apparent_elevation, position.azimuth, AZIMUTH, TILT)
    assert angle == pytest.approx(25.18700, abs=LAST_DIGITS)
    slopes = shadow_slopes(sun_directions([WHEN], OBSERVER), window_axes(AZIMUTH, TILT))
    assert np.degrees(np.arccos(slopes.cos_incidence)) == pytest.approx(25.18700, abs=LAST_DIGITS)


def test_sunrise_and_sunset():
    rises, sets = height_crossings(OBSERVER, RISING, DATE_BEGINS, DATE_ENDS)
    assert rises == pytest.approx([clock(17, 6, 12, 43)], abs=ONE_SECOND)
    assert sets == pytest.approx([clock(16, 17, 20, 19)], abs=ONE_SECOND)


def test_transit():
    noon = transits(OBSERVER, DATE_BEGINS, DATE_ENDS)
    assert noon == pytest.approx([clock(17, 11, 46, 4)], abs=ONE_SECOND)
