"""What an uncertain azimuth means for the hours of sun, in minutes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

import numpy as np
from numpy.typing import NDArray

from suncover.clock import day_bounds
from suncover.exposure import observer_of, window_scene
from suncover.facing.around import HALF_DAY, SunAround
from suncover.facing.expected import counted_need
from suncover.site import Site, Window

Floats = NDArray[np.float64]

DAY_OF_MONTH = 15
# Minutes: a coming that moves from the morning to the evening is another one, of sun that only one
# of the two directions has. (The sun goes round a quarter of the sky in this time.)
OTHER_MIN = 360.0


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

    As `azimuth_effects`; `window` need not be one of the site's.
    """
    return _effect(site, window, degrees, _Days(site, year))


def azimuth_effects(
    site: Site, degrees: Mapping[str, float], year: int
) -> dict[str, AzimuthEffect]:
    """How far the sun's times on windows shift if their azimuths are off, either way; by name.

    `degrees` says by how much. The first coming and the last leaving on the 15th of each month of
    `year` are looked at, of sun that counts. Sunrise and sunset do not shift: a window that the sun
    reaches as soon as it is up has a coming of 0. Days are left out on which one direction has its
    first sun in the morning and the other in the evening.
    """
    days = _Days(site, year)
    return {name: _effect(site, site.window(name), off, days) for name, off in degrees.items()}


class _Days:
    """The days that are looked at, with their sun, which all windows share."""

    def __init__(self, site: Site, year: int) -> None:
        days = [day_bounds(date(year, m, DAY_OF_MONTH), site.place.zone) for m in range(1, 13)]
        self.sun = SunAround(
            observer_of(site.place), np.array([(day.start + day.end) / 2.0 for day in days])
        )
        self.half_minutes = np.array([day.seconds / 120.0 for day in days])
        self.start, self.end = int(days[0].start - HALF_DAY), int(days[-1].end + HALF_DAY)


def _effect(site: Site, window: Window, degrees: float, days: _Days) -> AzimuthEffect:
    here, less, more = (
        _ends(site, window.model_copy(update={"azimuth": (window.azimuth + step) % 360.0}), days)
        for step in (0.0, -degrees, degrees)
    )
    shifts = np.abs(np.concatenate([less - here, more - here]))  # nan on days without sun
    shifts[shifts > OTHER_MIN] = np.nan
    known = shifts[np.isfinite(shifts)]
    return AzimuthEffect(
        _mean(shifts[:, 0]), _mean(shifts[:, 1]), float(known.max()) if len(known) else 0.0
    )


def _ends(site: Site, window: Window, days: _Days) -> Floats:
    """When the sun first comes and last leaves, minutes from the middle of each day: shape (n, 2).

    nan where it does not.
    """
    scene = window_scene(site, window, counted_need(site.need), days.start, days.end)
    changes = days.sun.changes(scene, days.sun.lit(scene))
    ends = np.full((len(changes), 2), np.nan)
    for row, (of_day, half) in enumerate(zip(changes, days.half_minutes, strict=True)):
        for at, begins in of_day:
            if abs(at) < half and not (begins and np.isfinite(ends[row, 0])):
                ends[row, 0 if begins else 1] = at
    return ends


def _mean(shifts: Floats) -> float:
    known = shifts[np.isfinite(shifts)]
    return float(known.mean()) if len(known) else 0.0
