"""Almanac times of the U.S. Naval Observatory, published to the minute.

Sunrise and sunset there: the centre of the sun 50′ below the horizon (34′ of refraction, 16′ of
semidiameter).
"""

from __future__ import annotations

from datetime import UTC, datetime

import erfa
import numpy as np
import pytest
from sun_events import crossings, declination, height_crossings

from suncover.sun.position import Observer, sun_directions

STANDARD_ALTITUDE = -50.0 / 60.0
CIVIL_TWILIGHT = -6.0
ONE_MINUTE = 60.0


def utc(year: int, month: int, day: int, hour: int = 0, minute: int = 0) -> float:
    return datetime(year, month, day, hour, minute, tzinfo=UTC).timestamp()


# USNO, Sun and Moon Data for One Day, universal time.
BLUFFTON = Observer(40.8939, -83.8917)
DEFIANCE = Observer(41.281944, -84.362778)
TABLE = {
    "Bluffton OH, 2018-09-12": (
        (BLUFFTON, STANDARD_ALTITUDE, (2018, 9, 12)),
        ((11, 13), (23, 50)),
    ),
    "Defiance OH, 2019-11-08": (
        (DEFIANCE, STANDARD_ALTITUDE, (2019, 11, 8)),
        ((12, 17), (22, 25)),
    ),
    "Defiance OH, 2019-11-08, civil twilight": (
        (DEFIANCE, CIVIL_TWILIGHT, (2019, 11, 8)),
        ((11, 48), (22, 54)),
    ),
}


@pytest.mark.parametrize("name", TABLE)
def test_rise_and_set(name):
    (observer, height, day), (rise, sunset) = TABLE[name]
    noon = utc(*day, 17)
    rises, sets = height_crossings(observer, height, noon - 43200, noon + 43200)
    assert rises == pytest.approx([utc(*day, *rise)], abs=ONE_MINUTE)
    assert sets == pytest.approx([utc(*day, *sunset)], abs=ONE_MINUTE)


def ecliptic_longitude(times: np.ndarray) -> np.ndarray:
    """The sun's apparent longitude in degrees, from its place over the Earth.

    Its right ascension is the sidereal time (the IAU's, through ERFA) at the meridian that it is
    over; with the declination and the obliquity it gives the longitude.
    """
    times = np.asarray(times, dtype=float)
    day, part = 2440587.5 + np.floor(times / 86400.0), times % 86400.0 / 86400.0
    sidereal = np.degrees(erfa.gst06a(day, part, day, part + 69.0 / 86400.0))
    # At the pole the sun's azimuth is 180° less the longitude of the place that it is over.
    east, north, _ = sun_directions(times, Observer(90.0, 0.0))
    over = 180.0 - np.degrees(np.arctan2(east, north))
    ascension, height = np.radians(sidereal + over), np.radians(declination(times))
    _, nutation = erfa.nut06a(day, part)
    tilt = erfa.obl06(day, part) + nutation
    y = np.sin(ascension) * np.cos(tilt) + np.tan(height) * np.sin(tilt)
    return np.degrees(np.arctan2(y, np.cos(ascension))) % 360.0


@pytest.mark.parametrize(
    ("when", "longitude"),
    [(utc(2018, 9, 23, 1, 54), 180.0), (utc(2018, 12, 21, 22, 23), 270.0)],
    ids=["equinox", "solstice"],
)
def test_seasons(when, longitude):
    """USNO, Earth's Seasons: equinox 2018-09-23 01:54, solstice 2018-12-21 22:23 UT."""

    def beyond(times):
        return ecliptic_longitude(times) - longitude

    found, _ = crossings(beyond, when - 86400, when + 86400, step=3600.0)
    assert found == pytest.approx([when], abs=ONE_MINUTE)
