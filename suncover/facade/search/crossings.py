"""Exact times at which something the sun does begins and ends.

A `Scene` says for any directions of the sun whether it is lit (exactly, at instants) and whether it
is lit or dark for sure (within a whole patch of sky and several days). The search halves the season
down from large patches: what is settled for a patch is settled for all days and minutes in it, so
that a year of a window takes a few thousand questions and nothing between two samples can be
missed. What stays open is asked at every ten seconds, and each change found there is closed in on
by bisection.

Patches are blocks of days by slices of the day: at the same clock time (UTC), the sun moves by less
than half a degree from one day to the next.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple, Protocol

import numpy as np
from numpy.typing import NDArray

from suncover.facade.daylight import Daylight
from suncover.sun.position import DAY, Observer, directions_at

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

# Degrees that the sun moves at most: along its daily path for a second of time; across it for a
# day; and along it from day to day at one clock time (the equation of time changes by at most 30 s
# a day).
TURN, DRIFT, SLIP = 15.05 / 3600.0, 0.41, 0.13
# Instants in unsettled stretches are this far apart, in seconds.
SAMPLE = 10.0
# Ends are known to this many seconds.
PRECISION = 0.05
# Days searched at once: bounds the memory, whatever the length of the request.
CHUNK_DAYS = 369


class Lit(Protocol):
    """Something that the sun lights or not, depending only on its direction and the date."""

    def lit(self, sun: Daylight) -> Bools:
        """Whether it is lit at each instant of `sun`."""


class Scene(Lit, Protocol):
    """Such a thing that also tells what holds for whole patches of sky."""

    def settled(self, sun: Daylight) -> Ints:
        """1 where it is lit throughout the patch about each direction of `sun`, -1 dark, 0 not
        known.
        """


class _Level(NamedTuple):
    """Patches of `days` days (odd) by `slice` seconds."""

    days: int
    slice: float

    @property
    def slices(self) -> int:
        return round(DAY / self.slice)

    @property
    def radius(self) -> float:
        """Degrees from a patch's middle to its farthest corner, at the most."""
        before = self.days // 2
        along = TURN * self.slice / 2 + SLIP * before
        across = DRIFT * (before + self.slice / 2 / DAY)
        return float(np.hypot(along, across)) * 1.001


LEVELS = (_Level(9, 2700.0), _Level(3, 900.0), _Level(1, 300.0), _Level(1, 60.0))


def lit_intervals(scene: Scene, observer: Observer, start: float, end: float) -> Floats:
    """When `scene` is lit between `start` and `end` (unix seconds): shape (n, 2), sorted, disjoint.

    Ends are within 0.05 s of the change of `scene.lit`. No interval, and no gap, of more than 10 s
    is missed; shorter ones are found where they touch an instant asked for.
    """
    parts: list[Floats] = []
    days = int(np.ceil((end - start) / DAY))
    for first in range(0, max(days, 0), CHUNK_DAYS):
        count = min(CHUNK_DAYS, days - first)
        parts.append(_search(scene, observer, start + first * DAY, count))
    if not parts:
        return np.zeros((0, 2))
    return clip(join(np.concatenate(parts)), start, end)


def _search(scene: Scene, observer: Observer, origin: float, days: int) -> Floats:
    """Lit intervals within `days` days from `origin`; those longer than a day's end are cut by the
    caller.
    """
    level = LEVELS[0]
    blocks = -(-days // level.days)
    block, piece = (
        grid.ravel()
        for grid in np.meshgrid(np.arange(blocks), np.arange(level.slices), indexing="ij")
    )
    lit: list[Floats] = []
    for index, level in enumerate(LEVELS):
        inside = block * level.days < days
        block, piece = block[inside], piece[inside]
        middle = origin + (block * level.days + level.days // 2) * DAY + (piece + 0.5) * level.slice
        sun = Daylight(middle, directions_at(middle, observer), level.radius, level.days // 2)
        state = scene.settled(sun)
        lit.append(_patches(origin, level, block[state > 0], piece[state > 0]))
        block, piece = block[state == 0], piece[state == 0]
        if index + 1 < len(LEVELS):
            block, piece = _split(block, piece, level, LEVELS[index + 1])
    begin = origin + block * DAY + piece * LEVELS[-1].slice
    lit.append(sampled(scene, observer, begin, LEVELS[-1].slice))
    return np.concatenate(lit)


def _split(block: Ints, piece: Ints, level: _Level, finer: _Level) -> tuple[Ints, Ints]:
    days, slices = level.days // finer.days, round(level.slice / finer.slice)
    day, part = (
        grid.ravel() for grid in np.meshgrid(np.arange(days), np.arange(slices), indexing="ij")
    )
    return (
        (block[:, None] * days + day[None, :]).ravel(),
        (piece[:, None] * slices + part[None, :]).ravel(),
    )


def _patches(origin: float, level: _Level, block: Ints, piece: Ints) -> Floats:
    """The intervals that whole patches cover, one for each of their days."""
    day = (block[:, None] * level.days + np.arange(level.days)[None, :]).ravel()
    begin = origin + day * DAY + np.repeat(piece, level.days) * level.slice
    return np.stack([begin, begin + level.slice], axis=1)


def sampled(scene: Lit, observer: Observer, begin: Floats, length: float) -> Floats:
    """Lit intervals within the stretches from `begin` (n,) for `length` seconds, by sampling."""
    if len(begin) == 0:
        return np.zeros((0, 2))
    steps = round(length / SAMPLE)
    # Neighbouring stretches share their ends: ask at each instant once.
    instants, place = np.unique(begin[:, None] + np.arange(steps + 1) * SAMPLE, return_inverse=True)
    state = _lit_at(scene, observer)(instants)[place.reshape(len(begin), steps + 1)]
    left = instants[place.reshape(len(begin), steps + 1)][:, :-1].ravel()
    first, last = state[:, :-1].ravel(), state[:, 1:].ravel()
    change = first != last
    edge = _bisect(_lit_at(scene, observer), left[change], left[change] + SAMPLE, first[change])
    begins, ends = left.copy(), left + SAMPLE
    begins[change] = np.where(first[change], left[change], edge)
    ends[change] = np.where(first[change], edge, left[change] + SAMPLE)
    lit_somewhere = first | last
    return np.stack([begins[lit_somewhere], ends[lit_somewhere]], axis=1)


def _lit_at(scene: Lit, observer: Observer) -> Callable[[Floats], Bools]:
    return lambda seconds: scene.lit(Daylight.of(seconds, observer))


def _bisect(
    lit: Callable[[Floats], Bools], low: Floats, high: Floats, state_at_low: Bools
) -> Floats:
    """The instants between `low` and `high` at which `lit` changes, all together."""
    if len(low) == 0:
        return low
    # Three instants at a time, which parts a bracket in four: a call costs more than an instant.
    step = (high - low) / 4.0
    for _ in range(int(np.ceil(np.log(SAMPLE / PRECISION) / np.log(4.0)))):
        inner = low + np.array([[1.0], [2.0], [3.0]]) * step
        unchanged = lit(inner.ravel()).reshape(inner.shape) == state_at_low
        # As far as the state stays what it is at the lower end.
        low = low + np.logical_and.accumulate(unchanged, axis=0).sum(axis=0) * step
        high, step = low + step, step / 4.0
    return (low + high) / 2.0


def join(intervals: Floats) -> Floats:
    """Intervals (n, 2) sorted, with those that touch or overlap made one."""
    if len(intervals) == 0:
        return intervals
    ordered = intervals[np.argsort(intervals[:, 0], kind="stable")]
    reach = np.maximum.accumulate(ordered[:, 1])
    fresh = np.ones(len(ordered), dtype=bool)
    fresh[1:] = ordered[1:, 0] > reach[:-1] + 1e-6
    return np.stack(
        [ordered[fresh, 0], reach[np.append(np.flatnonzero(fresh)[1:] - 1, -1)]], axis=1
    )


def clip(intervals: Floats, start: float, end: float) -> Floats:
    """The parts of intervals (n, 2) between `start` and `end`."""
    cut = np.clip(intervals, start, end)
    return cut[cut[:, 1] > cut[:, 0]]


def common(first: Floats, second: Floats) -> Floats:
    """What two sorted, disjoint sets of intervals (n, 2) have in common, likewise."""
    # For each of the first, those of the second that end after it begins and begin before it ends.
    begin = np.searchsorted(second[:, 1], first[:, 0], side="right")
    count = np.searchsorted(second[:, 0], first[:, 1], side="left") - begin
    if (count == 1).all():
        left, right = first, second[begin]
    else:
        count = np.maximum(count, 0)
        owner = np.repeat(np.arange(len(first)), count)
        step = np.arange(len(owner)) - np.repeat(np.cumsum(count) - count, count)
        left, right = first[owner], second[begin[owner] + step]
    overlap = np.empty_like(left)
    np.maximum(left[:, 0], right[:, 0], out=overlap[:, 0])
    np.minimum(left[:, 1], right[:, 1], out=overlap[:, 1])
    return overlap[overlap[:, 1] > overlap[:, 0]]
