"""Which days of a log are clear enough to be looked at, and about which way its window faces.

On a clear day the light goes up and down once or twice; under broken cloud, again and again. And
over such days it is best told by sky light and a beam that grows with the cosine of its angle to
the window: tried for directions all round, this shows the window's to a few degrees, which is
enough to look for the sun's coming and leaving in the right place.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray

from suncover.facade.daylight import Daylight
from suncover.facade.frame import window_axes
from suncover.facing.light.rhythm import SUNNY_SIDE
from suncover.site.light_log import LightLog
from suncover.site.model import Window
from suncover.sun.clearsky import clear_sky_dni
from suncover.sun.position import DAY, Observer

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

STEP_S = 600.0  # between the readings that are compared; finer ones are averaged
LOWEST_SUN = 4.0  # degrees
BRIGHT = 0.5  # of the brightest days about it: the least that a clear day reaches
STRAY = 0.6  # ups and downs beyond one of each, as a share of the day's range: the most
NEARBY_DAYS = 20
MOST_DAYS = 60  # that are looked at for the direction
LEAST_READINGS = 12
SKY_POWER = 0.6  # sky light grows about so with the sine of the sun's height under a clear sky
# W/m² by which an upright plane gets more light from a clear sky where it faces a high sun than
# where it is square to it: half of some 100 W/m² that such a sky gives level ground, times
# `SUNNY_SIDE`.
SIDE = 50.0 * SUNNY_SIDE
FLOOR = 1e-4  # of a day's variance: better than this no day is told


@dataclass(frozen=True)
class SunnyDays:
    """Numbers (d,) of the days that have sun and no cloud for most of the time, of `days` in all;
    and about which way the window faces, None where none of them shows it.

    Days count from local mean midnight, by the true sun.
    """

    numbers: Ints
    days: int
    azimuth: float | None


def solar_days(times: Floats, observer: Observer) -> Ints:
    """The numbers of the days of `times`, from local mean midnight to midnight."""
    return np.floor((times + observer.longitude * 240.0) / DAY).astype(np.int64)


def sunny_days(log: LightLog, observer: Observer, window: Window) -> SunnyDays:
    """The sunny days of a log whose clock is right; `window` tells the tilt."""
    times, values = averaged(log, STEP_S)
    sun = Daylight.at(times, observer)
    up = sun.elevation > LOWEST_SUN
    times, values, sun = times[up], values[up], sun.take(up)
    number = solar_days(times, observer)
    every = np.unique(number)
    bounds = np.searchsorted(number, np.append(every, every[-1:] + 1))
    rows = [slice(begin, end) for begin, end in pairwise(bounds.tolist())]
    top = np.array([values[row].max() for row in rows])
    low = float(np.quantile(values, 0.02)) if len(values) else 0.0
    kept = []
    for day, row, most in zip(every, rows, top, strict=True):
        about = top[np.abs(every - day) <= NEARBY_DAYS]
        bright = float(np.quantile(about, 0.8)) - low
        part = values[row]
        if len(part) < LEAST_READINGS or most - low < BRIGHT * bright:
            continue
        if _stray(part) <= STRAY * (part.max() - part.min()):
            kept.append((int(day), row))
    beam = clear_sky_dni(times, observer)
    azimuth = _azimuth(kept[:: len(kept) // MOST_DAYS + 1], values, sun, beam, window)
    return SunnyDays(np.array([day for day, _ in kept], dtype=np.int64), len(every), azimuth)


def averaged(log: LightLog, step: float) -> tuple[Floats, Floats]:
    """Times and values of a log with readings averaged over `step` seconds, where it has finer
    ones.
    """
    count_in_bin = max(1, int(step // log.interval))
    if count_in_bin == 1:
        return log.times, log.values
    bins = np.floor(log.times / (count_in_bin * log.interval)).astype(np.int64)
    begin = np.append(True, np.diff(bins) > 0)
    which = np.cumsum(begin) - 1
    count = np.bincount(which)
    return np.bincount(which, log.times) / count, np.bincount(which, log.values) / count


def _stray(values: Floats) -> float:
    """Ups and downs beyond what the two highest humps of a day need."""
    change = np.diff(values)
    runs = np.flatnonzero(np.append(True, np.sign(change[1:]) != np.sign(change[:-1])))
    swings = np.sort(np.abs(np.add.reduceat(change, runs)))[::-1] if len(change) else np.zeros(0)
    # Up, down, up and down again, as a window has it that the sun leaves at noon and finds again.
    return float(swings[4:].sum())


def _azimuth(
    kept: list[tuple[int, slice]], values: Floats, sun: Daylight, beam: Floats, window: Window
) -> float | None:
    if not kept:
        return None
    sky = np.maximum(sun.direction[2], 0.0) ** SKY_POWER

    def misfit(azimuths: Floats) -> Floats:
        outward = np.stack([window_axes(float(a % 360.0), window.tilt)[2] for a in azimuths])
        total = np.zeros(len(azimuths))
        for _, row in kept:
            ahead = _upright(outward @ sun.direction[:, row], beam[row], sky[row])
            plain = np.column_stack([np.ones(ahead.shape[1]), sky[row]])
            total += np.log(_unexplained(values[row], plain, ahead) + FLOOR)
        return total

    coarse = np.arange(0.0, 360.0, 4.0)
    best = float(coarse[int(np.argmin(misfit(coarse)))])
    fine = best + np.arange(-4.0, 4.5, 1.0)
    return float(fine[int(np.argmin(misfit(fine)))]) % 360.0


def _upright(cosine: Floats, beam: Floats, sky: Floats) -> Floats:
    """The light of the sun on an upright sensor, and of the sky's brighter side, by the `cosine` of
    the sun's angle to it.
    """
    return np.maximum(cosine, 0.0) * beam + SIDE * sky * cosine


def whole_days(
    log: LightLog,
    observer: Observer,
    numbers: Ints,
    outward: Floats,
    lit: Callable[[Daylight], Any],
) -> Floats:
    """How badly the beam tells the light of whole days, if the sensor is in the sun when `lit` says
    so: the middle of the days' logs of the share that it leaves unexplained, if the sensor stands
    upright and if it lies (2,).

    `outward` (3,) points out of the window.
    """
    times, values = averaged(log, STEP_S)
    sun = Daylight.of(times, observer)
    here = (sun.elevation > LOWEST_SUN) & np.isin(solar_days(times, observer), numbers)
    values, sun = values[here], sun.take(here)
    number = solar_days(sun.seconds, observer)
    height = np.maximum(sun.direction[2], 0.0)
    beam = clear_sky_dni(sun.seconds, observer) * np.asarray(lit(sun))
    sky = height**SKY_POWER
    ways = np.stack([_upright(outward @ sun.direction, beam, sky), height * beam])
    plain = np.column_stack([np.ones(len(values)), sky])
    unexplained = [
        np.log(_unexplained(values[row], plain[row], ways[:, row]) + FLOOR)
        for day in np.unique(numbers)
        if np.count_nonzero(row := number == day) >= LEAST_READINGS
    ]
    return np.asarray(np.median(unexplained, axis=0)) if unexplained else np.zeros(2)


def _unexplained(values: Floats, plain: Floats, shapes: Floats) -> Floats:
    """Share of the variance that `plain` (n, k) and one of `shapes` (m, n), taken positive, leave:
    (m,).
    """
    basis, _ = np.linalg.qr(plain)
    rest = values - basis @ (basis.T @ values)
    shapes = shapes - (shapes @ basis) @ basis.T
    along = np.maximum(shapes @ rest, 0.0)
    size = (shapes * shapes).sum(axis=1)
    explained = np.where(size > 0.0, along**2 / np.where(size > 0.0, size, 1.0), 0.0)
    spread = values - values.mean()
    return np.asarray((rest @ rest - explained) / max(float(spread @ spread), 1e-30))
