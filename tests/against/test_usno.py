"""Almanac times of the U.S. Naval Observatory, published to the minute.

Sunrise and sunset there: the centre of the sun 50′ below the horizon (34′ of refraction, 16′ of
semidiameter).
"""

from datetime import UTC, datetime

import pytest
from sun_events import height_crossings

from suncover.sun.position import Observer

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
