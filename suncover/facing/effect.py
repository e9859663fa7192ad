"""What an uncertain azimuth means for the hours of sun, in minutes."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np

from suncover.clock import day_bounds
from suncover.facing.expected import SightedWindow
from suncover.sightings import Sighting
from suncover.site import Site, Window

DAY_OF_MONTH = 15


@dataclass(frozen=True)
class AzimuthEffect:
    """By how many minutes the sun's coming and leaving shift, on the average and at the most.

    Over a year's days with sun on the window; 0 where it never shifts, or never comes at all.
    """

    coming: float
    leaving: float
    most: float


def azimuth_effect_minutes(site: Site, window: Window, degrees: float, year: int) -> AzimuthEffect:
    """How far the sun's times on `window` shift if its azimuth is `degrees` off, either way.

    The 15th of each month of `year` is looked at. Sunrise and sunset do not shift: a window that
    the sun reaches as soon as it is up has a coming of 0.
    """
    zone = site.place.zone
    asked = []
    for month in range(1, 13):
        day = day_bounds(date(year, month, DAY_OF_MONTH), zone)
        noon = (day.start + day.end) / 2.0
        asked += [
            Sighting(window=window.name, time=noon, seen="on"),
            Sighting(window=window.name, time=noon, seen="off"),
        ]
    sighted = SightedWindow(site, window, asked)
    here, less, more = (
        sighted.expected(window.model_copy(update={"azimuth": (window.azimuth + step) % 360.0}))
        for step in (0.0, -degrees, degrees)
    )
    # Of each interval the end with sun that counts: the second of a coming, the first of a leaving.
    shifts = [
        np.abs(
            np.concatenate([less[row::2, column], more[row::2, column]])
            - np.tile(here[row::2, column], 2)
        )
        for row, column in ((0, 1), (1, 0))
    ]
    coming, leaving = (_mean(shift) for shift in shifts)
    every = np.concatenate(shifts)
    every = every[np.isfinite(every)]
    return AzimuthEffect(coming, leaving, float(every.max()) if len(every) else 0.0)


def _mean(shift: np.ndarray[tuple[int], np.dtype[np.float64]]) -> float:
    known = shift[np.isfinite(shift)]
    return float(known.mean()) if len(known) else 0.0
