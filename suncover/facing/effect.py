"""What an uncertain azimuth means for the hours of sun, in minutes."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np

from suncover.base.clock import day_bounds
from suncover.facade.exposure import observer_of, window_scene
from suncover.facing.around import HALF_DAY, Change, SunAround
from suncover.facing.expected import counted_need
from suncover.site.model import Site, Window

DAY_OF_MONTH = 15
# Minutes: one that is farther off is another one, of sun that only one of the two directions has.
# (The sun goes round a quarter of the sky in this time.)
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

    All comings and leavings on the 15th of each month of `year` are looked at, of sun that counts,
    each with the nearest one of the turned window. Sunrise and sunset do not shift: a window that
    the sun reaches as soon as it is up has a coming of 0. `window` need not be one of the site's.
    """
    days = _Days(site, year)
    here, *turned = (
        _changes(site, window.model_copy(update={"azimuth": (window.azimuth + step) % 360.0}), days)
        for step in (0.0, -degrees, degrees)
    )
    coming, leaving = (
        [
            shift
            for other in turned
            for mine, then in zip(here, other, strict=True)
            for shift in _shifts(_times(mine, begins), _times(then, begins))
        ]
        for begins in (True, False)
    )
    return AzimuthEffect(_mean(coming), _mean(leaving), max([*coming, *leaving], default=0.0))


class _Days:
    """The days that are looked at, with their sun."""

    def __init__(self, site: Site, year: int) -> None:
        days = [day_bounds(date(year, m, DAY_OF_MONTH), site.place.zone) for m in range(1, 13)]
        self.sun = SunAround(
            observer_of(site.place), np.array([(day.start + day.end) / 2.0 for day in days])
        )
        self.half_minutes = np.array([day.seconds / 120.0 for day in days])
        self.start, self.end = int(days[0].start - HALF_DAY), int(days[-1].end + HALF_DAY)


def _changes(site: Site, window: Window, days: _Days) -> list[list[Change]]:
    """When the sun comes and leaves on each day, in minutes from its middle."""
    scene = window_scene(site, window, counted_need(site.need), days.start, days.end)
    changes = days.sun.changes(scene, days.sun.lit(scene))
    return [
        [change for change in of_day if abs(change[0]) < half]
        for of_day, half in zip(changes, days.half_minutes.tolist(), strict=True)
    ]


def _times(changes: Sequence[Change], begins: bool) -> list[float]:
    return [at for at, kind in changes if kind == begins]


def _shifts(here: Sequence[float], then: Sequence[float]) -> Iterator[float]:
    """How far times move, of which each is the nearest to the other: else one of the two
    directions has sun that the other has not.
    """
    for at in here:
        other = min(then, key=lambda time: abs(time - at), default=math.inf)
        if abs(other - at) <= OTHER_MIN and at == min(here, key=lambda time: abs(time - other)):
            yield abs(other - at)


def _mean(shifts: Sequence[float]) -> float:
    return sum(shifts) / len(shifts) if shifts else 0.0
