"""What an uncertain azimuth means for the hours of sun, in minutes."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
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
    months = _shifts_by_month(site, window, degrees, days)
    coming, leaving = ([shift for month in shifts for shift in month] for shifts in months)
    return AzimuthEffect(_mean(coming), _mean(leaving), max([*coming, *leaving], default=0.0))


@dataclass(frozen=True)
class AzimuthSwing:
    """The shifts month by month: twelve means each of coming and of leaving, minutes."""

    coming: tuple[float, ...]
    leaving: tuple[float, ...]


def azimuth_swings(site: Site, degrees: Mapping[str, float], year: int) -> dict[str, AzimuthSwing]:
    """As `azimuth_effect_minutes`, of windows by name and month by month; `degrees` says by how
    much each may be off.
    """
    days = _Days(site, year)
    swings = {}
    for name, off in degrees.items():
        months = _shifts_by_month(site, site.window(name), off, days)
        coming, leaving = (tuple(map(_mean, shifts)) for shifts in months)
        swings[name] = AzimuthSwing(coming, leaving)
    return swings


def _shifts_by_month(
    site: Site, window: Window, degrees: float, days: _Days
) -> tuple[list[list[float]], list[list[float]]]:
    """How far the sun's comings and its leavings move on the days looked at, day by day."""
    present, *turned = (
        _changes(site, window.model_copy(update={"azimuth": (window.azimuth + step) % 360.0}), days)
        for step in (0.0, -degrees, degrees)
    )
    coming, leaving = (
        [
            [
                shift
                for turned_changes in turned_days
                for shift in _shifts(_times(day_changes, begins), _times(turned_changes, begins))
            ]
            for day_changes, *turned_days in zip(present, *turned, strict=True)
        ]
        for begins in (True, False)
    )
    return coming, leaving


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


def _shifts(times: Sequence[float], turned_times: Sequence[float]) -> Iterator[float]:
    """How far times move, of which each is the nearest to the other: else one of the two
    directions has sun that the other has not.
    """
    for at in times:
        nearest = min(turned_times, key=lambda time: abs(time - at), default=math.inf)
        if abs(nearest - at) <= OTHER_MIN and at == min(
            times, key=lambda time: abs(time - nearest)
        ):
            yield abs(nearest - at)


def _mean(shifts: Sequence[float]) -> float:
    return sum(shifts) / len(shifts) if shifts else 0.0
