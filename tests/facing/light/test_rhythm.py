"""A logger's clock by day and night, from made logs whose truth is known (`made_light.py`)."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest
from made_light import Logger, made_log
from made_sightings import made_site

from suncover.facade.exposure import observer_of
from suncover.facade.frame import window_axes
from suncover.facing.light.rhythm import clock_error


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
