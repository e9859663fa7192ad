"""A logger's clock by day and night, from made logs whose truth is known (`made_light.py`)."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from made_light import Logger, made_log
from made_sightings import made_site

from suncover.facade.exposure import observer_of
from suncover.facade.frame import window_axes
from suncover.facing.light.rhythm import UNKNOWN_MIN, ClockError, clock_error, without_jump
from suncover.facing.light.twilight import passings
from suncover.site.light_log import LightLog

Floats = np.ndarray


@pytest.mark.parametrize(
    ("latitude", "azimuth", "first", "logger"),
    [
        # The evening's beam would hold the light up; a level below sunrise knows nothing of it.
        pytest.param(-3.0, 271.0, date(2027, 2, 19), Logger(clock_min=9.0), id="evening sun"),
        pytest.param(36.0, 90.0, date(2027, 3, 3), Logger(clock_min=-4.0), id="morning sun"),
        # Lamps until 23 h, and a logger that takes that for 22 h.
        pytest.param(
            -53.0,
            274.0,
            date(2027, 12, 20),
            Logger(clock_min=-60.0, lamp=0.02, through_glass=True),
            id="lamps after a late dusk",
        ),
        pytest.param(
            -13.0,
            110.0,
            date(2027, 5, 31),
            Logger(interval=900.0, clock_min=-62.0, lamp=0.02),
            id="lamps lit before dusk",
        ),
        pytest.param(
            62.0,
            67.0,
            date(2027, 1, 23),
            Logger(clock_min=-55.0, lamp=0.02),
            id="lamps lit after an early dusk",
        ),
        pytest.param(36.0, 200.0, date(2027, 3, 3), Logger(gaps=0.05), id="gaps by day"),
    ],
)
def test_clock_is_found(latitude: float, azimuth: float, first: date, logger: Logger) -> None:
    site = made_site(latitude, 12.0, azimuth=azimuth)
    log = made_log(site, logger, np.random.default_rng(3), first, 16)
    clock = clock_error(log, observer_of(site.place), window_axes(azimuth, 90.0)[2])
    assert abs(clock.minutes - logger.clock_min) < 2.0 * clock.sd
    assert clock.sd < 4.0
    assert clock.days >= 6


WEST = (48.0, 262.0, date(2027, 4, 5))


def clock_of(change: Callable[[LightLog, Floats], LightLog], interval: float = 300.0) -> ClockError:
    """The clock that a west wall's log shows which something has befallen; `change` has the log and
    the hours by the sun.
    """
    latitude, azimuth, first = WEST
    site = made_site(latitude, 12.0, azimuth=azimuth)
    logger = Logger(interval=interval, clock_min=9.0)
    log = made_log(site, logger, np.random.default_rng(3), first, 16)
    hour = (log.times + site.place.longitude * 240.0) % 86_400.0 / 3600.0
    place, outward = observer_of(site.place), window_axes(azimuth, 90.0)[2]
    changed = change(log, hour)
    right, _ = without_jump(changed, place, passings(changed, place))
    return clock_error(right, place, outward)


def test_lamps_in_the_morning_are_no_dawn() -> None:
    """One that burns from four to a quarter to five, before the sky's light comes."""

    def lit(log: LightLog, hour: Floats) -> LightLog:
        lamp = np.where((hour > 4.0) & (hour < 4.75), 0.02 * log.values.max(), 0.0)
        return replace(log, values=log.values + lamp)

    clock = clock_of(lit)
    assert abs(clock.minutes - 9.0) < 2.0 * clock.sd
    assert clock.sd < 6.0


def test_a_curtain_drawn_until_after_sunrise_tells_no_clock() -> None:
    """It lets a twentieth through until 7 h 30, in all mornings: they count for nothing."""

    def curtained(log: LightLog, hour: Floats) -> LightLog:
        return replace(log, values=np.where(hour < 7.5, 0.05 * log.values, log.values))

    clock = clock_of(curtained)
    assert clock.sd == UNKNOWN_MIN or abs(clock.minutes - 9.0) < 2.0 * clock.sd


@pytest.mark.parametrize("by", [60.0, -60.0])
def test_a_clock_that_is_set_by_an_hour_halfway_is_put_right(by: float) -> None:
    """In the night after the seventh of 16 days: more days are later, and theirs is the clock."""

    def jumping(log: LightLog, hour: Floats) -> LightLog:
        later = log.times > log.times[0] + 7.1 * 86_400.0
        times = log.times + np.where(later, 60.0 * by, 0.0)
        order = np.argsort(times, kind="stable")
        return replace(log, times=times[order], values=log.values[order])

    clock = clock_of(jumping)
    assert abs(clock.minutes - 9.0 - by) < 2.0 * clock.sd
    assert clock.days >= 6
