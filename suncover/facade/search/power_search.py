"""Exact times of enough power on glass, within the times at which it is in sun.

Stretches of time are halved. The power at both ends of one, and by how much the beam, the cosine of
incidence and the share of the glass in sun may change between, show of most that it is reached all
along, or nowhere; or that it grows, or falls, all along, so that it crosses what counts once or
not at all. What stays open below ten seconds is taken to have one crossing or none.
"""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import replace
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from suncover.base.roots import find_roots
from suncover.facade.scene import WindowScene
from suncover.facade.search.beam_days import STEP, BeamDays, Steps, beam_at
from suncover.facade.search.crossings import PRECISION, common, join
from suncover.facade.search.paths import cell_slack, meets
from suncover.facade.search.power_glass import GlassesAlike, OneGlass, PowerGlass
from suncover.sun.position import DAY, Observer, directions_at

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

# Seconds of the shortest stretches, and how many of them, or of longer ones, are few.
SHORTEST, FEW = STEP / 128.0, 1000
# Stretches that are looked at together: bounds the memory.
AT_ONCE = 1 << 14
# Power that is rounding, W/m²: bounds have to be past the threshold by as much.
ROUNDING = 1e-6
# What the speed of a path for a whole step may differ from its way, by how far that may stray.
BEND = 4.0
# What is known of a stretch.
NEVER, OPEN, CROSSING, SURE = range(4)


def enough_power(
    scenes: Sequence[WindowScene], days: BeamDays, lit: Sequence[Floats]
) -> list[Floats]:
    """The parts of `lit`, intervals (n, 2) in which each window is in sun, with at least the
    scene's power on its glass: likewise, ends within 0.05 s.
    """
    alike = dict[Hashable, list[int]]()
    for number, scene in enumerate(scenes):
        kinds = tuple(plate.kind for plate in scene.glass.plates)
        is_alone = scene.surroundings is not None
        alike.setdefault(number if is_alone else (kinds, scene.bare, scene.power), []).append(
            number
        )
    result = list(lit)
    for group in alike.values():
        strong = _on_glasses([scenes[n] for n in group], days, [lit[n] for n in group])
        for number, intervals in zip(group, strong, strict=True):
            result[number] = intervals
    return result


def _on_glasses(
    scenes: Sequence[WindowScene], days: BeamDays, lit: Sequence[Floats]
) -> list[Floats]:
    """The same for windows alike, or one among its surroundings.

    First steps are many, and window by window in the cache; what they leave open is little.
    """
    alone = [_Search(OneGlass(scene), days.observer) for scene in scenes]
    search = alone[0] if len(scenes) == 1 else _Search(GlassesAlike(scenes), days.observer)
    row = _Row.of(days, lit)
    sure, crossing = [np.zeros((0, 2))], list[Steps]()

    def still_open(steps: Steps, state: Ints) -> Steps:
        """Those of which nothing is known yet; what is known of the rest is kept."""
        sure.append(row.placed(steps.take(state == SURE)))
        crossing.append(steps.take(state == CROSSING))
        return steps.take(state == OPEN)

    steps = Steps.joined(
        [
            still_open(*of_window.settle(days.steps(times, number)))
            for number, (of_window, times) in enumerate(zip(alone, lit, strict=True))
        ]
    )
    while (parts := round(steps.length / SHORTEST)) > 1 and len(steps.begin):
        # Few are cut in more parts at once, as each round costs something, too.
        while parts > 2 and parts * len(steps.begin) > FEW:
            parts //= 2
        steps = steps.cut(parts, days.observer)
        steps = steps.take(meets(row.lit, *row.placed(steps).T))
        steps = still_open(*search.settle(steps))
    open_begin, open_end, owner = search.crossed([*crossing, steps])
    sure.append(row.moved(np.stack([open_begin, open_end], axis=1), owner))
    return row.by_window(common(row.lit, join(np.concatenate(sure))), len(scenes))


class _Row(NamedTuple):
    """The times of several windows one after the other: `lit` of all, each window's so many
    seconds, `apart`, after those of the one before; and when the first begins.
    """

    lit: Floats
    start: float
    apart: float

    @classmethod
    def of(cls, days: BeamDays, lit: Sequence[Floats]) -> _Row:
        """The times of windows within some days."""
        start, apart = days.first * DAY, (days.days + 2) * DAY
        times = [intervals - start + number * apart for number, intervals in enumerate(lit)]
        return cls(np.concatenate(times), start, apart)

    def moved(self, intervals: Floats, owner: Ints) -> Floats:
        """Intervals (n, 2) of the windows `owner` (n,) in the row."""
        return np.asarray(intervals - self.start + (owner * self.apart)[:, None])

    def placed(self, steps: Steps) -> Floats:
        """Steps in the row: (n, 2)."""
        return self.moved(np.stack([steps.begin, steps.end], axis=1), steps.owner)

    def by_window(self, intervals: Floats, count: int) -> list[Floats]:
        """Intervals in the row, sorted, as those of each of so many windows."""
        ends = np.searchsorted(intervals[:, 0], np.arange(1, count) * self.apart)
        return [
            part - number * self.apart + self.start
            for number, part in enumerate(np.split(intervals, ends))
        ]


class _Search:
    """The search in the sun on the glass of some windows."""

    def __init__(self, glass: PowerGlass, observer: Observer) -> None:
        self._glass, self._observer = glass, observer

    def settle(self, steps: Steps) -> tuple[Steps, Ints]:
        """The steps, with the shares at the ends of those in which the power may be reached; and
        what is known of each.
        """
        count = len(steps.begin)
        if count <= AT_ONCE:
            return self._settle(steps)
        pieces = np.array_split(np.arange(count), -(-count // AT_ONCE))
        parts = [self._settle(steps.take(piece)) for piece in pieces]
        return Steps.joined([part for part, _ in parts]), np.concatenate([s for _, s in parts])

    def _settle(self, steps: Steps) -> tuple[Steps, Ints]:
        least, slack = self._glass.power, cell_slack(steps.sun[2].min(axis=0), steps.length, 0)
        ahead = self._glass.ahead(steps.owner, steps.sun)
        low, high = self._full_bounds(steps, ahead, slack)
        state = np.where(high < least - ROUNDING, NEVER, OPEN)

        def judge(index: Ints, shares: Floats) -> Bools:
            """Where bounds (2, k) of the shares at an index leave it open."""
            state[index[low[index] * shares[0] >= least + ROUNDING]] = SURE
            state[index[high[index] * shares[1] < least - ROUNDING]] = NEVER
            return np.asarray(state[index] == OPEN)

        index = np.flatnonzero(state == OPEN)
        steps = self._with_shares(steps, index)
        index = index[judge(index, self._roughly(steps, index, ahead.min(axis=0) - slack))]
        shares, speed = np.ones((2, len(index))), np.zeros((2, len(index)))
        if not self._glass.is_clear and len(index):
            part = steps.take(index)
            change = self._glass.change(part, slack[index])
            shares, speed = np.clip(change.bounds(*part.share), 0.0, 1.0), np.stack(change.speed)
            still = judge(index, shares)
            index, shares, speed = index[still], shares[:, still], speed[:, still]
        part, ahead = steps.take(index), ahead[:, index]
        growth = np.stack(self._growth(part, ahead, slack[index]))
        with np.errstate(divide="ignore", invalid="ignore"):
            of_share = speed[:, None] / shares
        rises = growth[0] + of_share[0].min(axis=0) >= 0.0
        falls = growth[1] + of_share[1].max(axis=0) <= 0.0
        even = rises | falls
        reached = (part.beam * np.maximum(ahead, 0.0) * part.share)[:, even] >= least
        once = np.where(reached.any(axis=0), CROSSING, NEVER)
        state[index[even]] = np.where(reached.all(axis=0), SURE, once)
        return steps, state

    def _roughly(self, steps: Steps, index: Ints, lowest: Floats) -> Floats:
        """Bounds (2, k) of the share at an index, at little cost; `lowest` (m,) is the least cosine
        of incidence.
        """
        if self._glass.is_clear:
            return np.ones((2, len(index)))
        most = self._glass.rough_change(steps.owner[index], lowest[index], steps.length)
        middle = steps.share[0, index] + steps.share[1, index]
        return np.clip(np.stack([middle - most, middle + most]) / 2.0, 0.0, 1.0)

    def _with_shares(self, steps: Steps, index: Ints) -> Steps:
        """The steps with the shares of the beam on the glass at the ends of those at an index."""
        if self._glass.is_clear:
            return replace(steps, share=np.ones_like(steps.share))
        begin, owner, share = steps.begin[index], steps.owner[index], steps.share.copy()
        # Two that follow each other share an instant, which is asked once.
        asked = np.isnan(share[:, index])
        follows = (begin[1:] == begin[:-1] + steps.length) & (owner[1:] == owner[:-1])
        shared = np.flatnonzero(asked[1, :-1] & asked[0, 1:] & follows)
        asked[1, shared] = False
        row, place = np.nonzero(asked)
        times = np.where(row == 0, begin[place], begin[place] + steps.length)
        sun = steps.sun[:, row, index[place]]
        share[row, index[place]] = self._glass.share(owner[place], times, sun)
        share[1, index[shared]] = share[0, index[shared + 1]]
        return replace(steps, share=share)

    def _full_bounds(self, steps: Steps, ahead: Floats, slack: Floats) -> tuple[Floats, Floats]:
        """Bounds of the power that the sun would have with nothing before the glass."""
        height = steps.sun[2]
        weakest, strongest = steps.beam.min(axis=0), steps.beam.max(axis=0)
        # Between its ends, a path that does not turn stays between them.
        turns = np.flatnonzero(np.abs(height[1] - height[0]) <= BEND * slack)
        for beam, sines in (
            (weakest, height.min(axis=0) - slack),
            (strongest, height.max(axis=0) + slack),
        ):
            beam[turns] = beam_at(steps.day[turns], sines[turns], self._observer)
        low, high = ahead.min(axis=0), ahead.max(axis=0)
        loose = np.where(np.abs(ahead[1] - ahead[0]) <= BEND * slack, slack, 0.0)
        return weakest * np.maximum(low - loose, 0.0), strongest * np.maximum(high + loose, 0.0)

    def _growth(self, steps: Steps, ahead: Floats, slack: Floats) -> tuple[Floats, Floats]:
        """The slowest and the fastest growth of that power, for a whole step, as shares of it.

        The logarithm of the beam grows with the sine of the sun's height, ever slower; so between
        two heights no slower than just above them, and no faster than just below.
        """
        height = steps.sun[2]
        low, high = height.min(axis=0) - slack, height.max(axis=0) + slack
        near = np.minimum((high - low) / 4.0, low / 8.0)
        usable = (low > 0.0) & (ahead.min(axis=0) > slack)
        near = np.where(usable, near, 1.0)
        sines = np.stack([low - near, low, high, high + near])
        with np.errstate(divide="ignore", invalid="ignore"):
            logs = np.log(beam_at(steps.day, sines, self._observer))
            steepest, flattest = (logs[1] - logs[0]) / near, (logs[3] - logs[2]) / near
        rise, out = height[1] - height[0], ahead[1] - ahead[0]
        nearest, farthest = ahead.min(axis=0) - slack, ahead.max(axis=0) + slack
        bounds = []
        for pick, sign in ((np.minimum, -1.0), (np.maximum, 1.0)):
            speed, away = rise + sign * BEND * slack, out + sign * BEND * slack
            with np.errstate(divide="ignore", invalid="ignore"):
                growth = pick(speed * steepest, speed * flattest)
                growth += pick(away / nearest, away / farthest)
            bounds.append(np.where(usable & np.isfinite(growth), growth, sign * np.inf))
        return bounds[0], bounds[1]

    def crossed(self, open_steps: list[Steps]) -> tuple[Floats, Floats, Ints]:
        """The parts with enough power of steps with one crossing or none: when each begins and
        ends, and whose it is.
        """
        begin = np.concatenate([steps.begin for steps in open_steps])
        end = np.concatenate([steps.end for steps in open_steps])
        owner = np.concatenate([steps.owner for steps in open_steps])
        values = np.concatenate([self._value(steps) for steps in open_steps], axis=1)
        first, last = values >= self._glass.power
        index = np.flatnonzero(first != last)
        day = np.floor(begin[index] / DAY).astype(np.int64)

        def excess(times: Floats, which: Ints) -> Floats:
            return self._excess(times, day[which], owner[index[which]])

        at_ends = values[0, index] - self._glass.power, values[1, index] - self._glass.power
        edge = find_roots(excess, begin[index], end[index], PRECISION, at_ends)
        begin[index] = np.where(first[index], begin[index], edge)
        end[index] = np.where(first[index], edge, end[index])
        enough = first | last
        return begin[enough], end[enough], owner[enough]

    def _value(self, steps: Steps) -> Floats:
        """The power at the ends of steps (2, m)."""
        ahead = self._glass.ahead(steps.owner, steps.sun)
        return np.asarray(steps.beam * np.maximum(ahead, 0.0) * steps.share)

    def _excess(self, times: Floats, day: Ints, owner: Ints) -> Floats:
        """By how much the power at some times is more than what counts."""
        sun = directions_at(times, self._observer, smooth=True)
        ahead = np.maximum(self._glass.ahead(owner, sun), 0.0)
        power = beam_at(day, sun[2], self._observer) * ahead
        if not self._glass.is_clear:
            power = power * self._glass.share(owner, times, sun)
        return np.asarray(power - self._glass.power)
