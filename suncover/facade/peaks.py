"""The greatest power of the sun on a whole glass in spells of time, W/m².

What the power is, `suncover.facade.power` says. It is asked at steady times, at first at few, then
wherever the sun with nothing before the glass would be stronger than what has been seen; from the
greatest two of each spell, steps by the golden section close in on what lies between.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from suncover.base.spell import Spell
from suncover.facade.daylight import Daylight
from suncover.facade.exposure import observer_of, window_scene
from suncover.facade.power import full_power
from suncover.facade.scene import WindowScene
from suncover.site.model import Site, Window
from suncover.sun.position import Observer

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

# Seconds between the times that are asked, and every how many of them are asked first.
STEP, FIRST = 300.0, 4
# The golden section, and how often it is taken of the stretch about a time: down to 13 s.
GOLDEN, TAKEN = (np.sqrt(5.0) - 1.0) / 2.0, 8
# Seconds inside the ends of a spell, which are rounded, at which it is surely going on.
INSIDE = 0.5


def peak_power(
    scene: WindowScene, observer: Observer, spells: Ints, enough: float = np.inf
) -> Floats:
    """The greatest power (n,) in each of `spells` (n, 2), unix seconds; 0 without sun on the glass.

    Horizon and skylines count; the need's beam and fraction do not. Where the power is seen to be
    `enough` the search ends: what is given is at least that, and the greatest may be more.
    """
    peak = np.zeros(len(spells))
    if len(spells) == 0:
        return peak
    begin = spells[:, 0] + INSIDE
    end = spells[:, 1] - INSIDE
    owner, times, number = _times(begin, end)
    full = _full(scene, observer, times)
    power = np.full(times.shape, -1.0)
    last = np.append(owner[1:] != owner[:-1], True)
    looks = (number % FIRST == 0) | last
    for _ in range(2):
        power[looks] = power_on(scene, observer, times[looks], full[looks])
        np.maximum.at(peak, owner[looks], power[looks])
        looks = (power < 0.0) & (full > peak[owner]) & (peak[owner] < enough)
    candidates = []
    for _ in range(2):
        best = _greatest(owner, power, len(spells))
        best = best[(best >= 0) & (peak < enough)]
        near = np.isin(np.arange(len(times)), np.concatenate([best - 1, best, best + 1]))
        power[near] = -1.0
        candidates.append(best)
    tops = np.concatenate(candidates)
    if len(tops):
        # What is left beside it cannot be stronger than the sun on all of the glass.
        spell = owner[tops]
        low = np.maximum(times[tops] - STEP, begin[spell])
        high = np.minimum(times[tops] + STEP, end[spell])
        np.maximum.at(peak, spell, _closer(scene, observer, low, high))
    return peak


def strongest(site: Site, window: Window, spells: Sequence[Spell]) -> list[float]:
    """`peak_power` on a window of `site` in each of the spells, which need not be in order."""
    if not spells:
        return []
    ends = np.array([(spell.start, spell.end) for spell in spells], dtype=np.int64)
    scene = window_scene(site, window, site.need, int(ends.min()), int(ends.max()))
    return [float(peak) for peak in peak_power(scene, observer_of(site.place), ends)]


def power_at(site: Site, window: Window, times: Floats) -> Floats:
    """The power of the sun on the whole glass of a window of `site` at `times` (n,), unix seconds,
    W/m².
    """
    if len(times) == 0:
        return np.zeros(0)
    scene = window_scene(site, window, site.need, int(times.min()), int(times.max()))
    return power_on(scene, observer_of(site.place), times)


def _times(begin: NDArray[Any], end: NDArray[Any]) -> tuple[Ints, Floats, Ints]:
    """Times to be asked, spell by spell: whose each is, when, and its number in its spell."""
    count = np.ceil((end - begin) / STEP).astype(np.int64) + 1
    owner = np.repeat(np.arange(len(begin)), count)
    number = np.arange(len(owner)) - np.repeat(np.cumsum(count) - count, count)
    return owner, np.minimum(begin[owner] + number * STEP, end[owner]), number


def _greatest(owner: Ints, power: Floats, count: int) -> Ints:
    """The place of the greatest power of each spell, -1 where it has none above 0."""
    order = np.lexsort((power, owner))
    ends = np.searchsorted(owner[order], np.arange(count), side="right") - 1
    best = order[ends]
    return np.where(power[best] > 0.0, best, -1)


def _closer(scene: WindowScene, observer: Observer, low: Floats, high: Floats) -> Floats:
    """The greatest power met on the way to a maximum between each `low` and `high`."""
    left, right = high - GOLDEN * (high - low), low + GOLDEN * (high - low)
    at_left, at_right = (power_on(scene, observer, times) for times in (left, right))
    peak = np.maximum(at_left, at_right)
    for _ in range(TAKEN):
        rising = at_right > at_left
        low, high = np.where(rising, left, low), np.where(rising, high, right)
        fresh = np.where(rising, low + GOLDEN * (high - low), high - GOLDEN * (high - low))
        value = power_on(scene, observer, fresh)
        left, right = np.where(rising, right, fresh), np.where(rising, fresh, left)
        at_left, at_right = np.where(rising, at_right, value), np.where(rising, value, at_left)
        peak = np.maximum(peak, value)
    return peak


def power_on(
    scene: WindowScene, observer: Observer, times: Floats, full: Floats | None = None
) -> Floats:
    """`power_at` for a scene; `full` is that with nothing before the glass, where it is known."""
    sun = Daylight.of(times, observer)
    if full is None:
        full = full_power(scene.axes, sun, observer)
    return np.asarray(full * scene.sunlit_share(sun))


def _full(scene: WindowScene, observer: Observer, times: Floats) -> Floats:
    """The power that the sun would have with nothing before the glass."""
    return full_power(scene.axes, Daylight.of(times, observer), observer)
