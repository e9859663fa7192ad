"""The sun and its clear-sky beam at steady times of all days, for all windows of a place."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from suncover.sun.clearsky import beam_at_height
from suncover.sun.position import DAY, Observer, directions_at

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

# Seconds between two times, and how many steps a day (UTC) has.
STEP = 1200.0
STEPS = round(DAY / STEP)
# Days for which the sun is asked together: bounds the memory.
DAYS_AT_ONCE = 384


def beam_at(days: Ints, sines: Floats, observer: Observer) -> Floats:
    """The beam in W/m² of a sun at heights of such `sines`, any shape, on days since 1970, UTC."""
    up = np.degrees(np.arcsin(np.clip(sines, -1.0, 1.0)))
    days = np.broadcast_to(days, up.shape)
    return beam_at_height(days.ravel(), up.ravel(), observer).reshape(up.shape)


@dataclass(frozen=True)
class Steps:
    """Stretches of time of one length, none of them of two days: (m,) each.

    When they `begin`, on which `day` (since 1970, UTC), and whose each is, of several windows; at
    their begins and ends the sun's directions `sun` (3, 2, m), its `beam` (2, m) in the sky of that
    day, and the `share` (2, m) of it that reaches a glass, nan where that is not known.
    """

    length: float
    begin: Floats
    day: Ints
    owner: Ints
    sun: Floats
    beam: Floats
    share: Floats

    @property
    def end(self) -> Floats:
        """When they end."""
        return self.begin + self.length

    def take(self, keep: NDArray[np.intp] | NDArray[np.bool_]) -> Steps:
        """Only some of them."""
        ends = (values[..., keep] for values in (self.sun, self.beam, self.share))
        return Steps(self.length, self.begin[keep], self.day[keep], self.owner[keep], *ends)

    def cut(self, parts: int, observer: Observer) -> Steps:
        """Each cut in so many parts, which follow each other."""
        length = self.length / parts
        begin = self.begin[:, None] + np.arange(parts) * length
        sun = directions_at(begin[:, 1:], observer, smooth=True)
        beam = beam_at(self.day[:, None], sun[2], observer)
        share = np.full(beam.shape, np.nan)
        ends = []
        for at_ends, between in ((self.sun, sun), (self.beam, beam), (self.share, share)):
            first, last = at_ends[..., 0, :, None], at_ends[..., 1, :, None]
            row = np.concatenate([first, between, last], axis=-1)
            both = np.stack([row[..., :-1], row[..., 1:]], axis=-3)
            ends.append(both.reshape(*both.shape[:-2], -1))
        day, owner = np.repeat(self.day, parts), np.repeat(self.owner, parts)
        return Steps(length, begin.ravel(), day, owner, *ends)

    @classmethod
    def joined(cls, parts: Sequence[Steps]) -> Steps:
        """Several of one length, one after the other."""
        names = [field.name for field in fields(cls)[1:]]
        arrays = ([getattr(steps, name) for steps in parts] for name in names)
        return cls(parts[0].length, *(np.concatenate(part, axis=-1) for part in arrays))


@dataclass(frozen=True)
class BeamDays:
    """The sun over `days` whole days (UTC) from day `first` since 1970."""

    observer: Observer
    first: int
    days: int

    @classmethod
    def of(cls, observer: Observer, start: float, end: float) -> BeamDays:
        """All days that have any of the time from `start` to `end`, unix seconds."""
        first = int(np.floor(start / DAY))
        return cls(observer, first, int(np.floor(end / DAY)) - first + 1)

    @cached_property
    def directions(self) -> Floats:
        """The sun at each time, both midnights of a day among them: (3, days * (STEPS + 1))."""
        parts = []
        for first in range(0, self.days, DAYS_AT_ONCE):
            day = self.first + np.arange(first, min(first + DAYS_AT_ONCE, self.days))
            times = day[:, None] * DAY + np.arange(STEPS + 1) * STEP
            parts.append(directions_at(times.ravel(), self.observer, smooth=True))
        return np.concatenate(parts, axis=1)

    @cached_property
    def beam(self) -> Floats:
        """Its beam at those times."""
        beam = np.zeros(self.directions.shape[1])
        up = np.flatnonzero(self.directions[2] > 0.0)
        day = self.first + up // (STEPS + 1)
        beam[up] = beam_at(day, self.directions[2, up], self.observer)
        return beam

    def steps(self, lit: Floats, owner: int) -> Steps:
        """Those that have any of the times `lit` (n, 2), sorted and disjoint, of a window."""
        # The steps of all intervals in a row; some end in the step in which another begins.
        first = np.floor(lit[:, 0] / STEP).astype(np.int64)
        count = np.ceil(lit[:, 1] / STEP).astype(np.int64) - first
        later = np.arange(count.sum()) - np.repeat(np.cumsum(count) - count, count)
        number = np.repeat(first, count) + later
        number = number[np.append(True, number[1:] > number[:-1])[: len(number)]]
        day = number // STEPS
        begins = number + day - self.first * (STEPS + 1)
        at = np.stack([begins, begins + 1])
        share = np.full(at.shape, np.nan)
        of_window = np.full(len(number), owner)
        values = self.directions[:, at], self.beam[at], share
        return Steps(STEP, number * STEP, day, of_window, *values)
