"""Exact times of enough power on glass, within the times at which it is in sun.

Stretches of time are halved. The power at both ends of one, and by how much the beam, the cosine of
incidence and the share of the glass in sun may change between, tell of most that it is reached all
along, or nowhere; or that it grows, or falls, all along, so that it crosses what counts once or
not at all. What stays open below ten seconds is taken to have one crossing or none.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from suncover.base.roots import find_roots
from suncover.facade.daylight import Daylight
from suncover.facade.scene import WindowScene
from suncover.facade.search.beam_days import STEP, BeamDays, Steps, beam_at
from suncover.facade.search.crossings import PRECISION, common, join
from suncover.facade.search.paths import cell_slack, meets
from suncover.facade.search.sun_grid import SPEED
from suncover.facade.yard.cones import Path, Stretch
from suncover.sun.position import DAY, directions_at

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

# Seconds of the shortest stretches, and how many of them, or of longer ones, are few.
SHORTEST, FEW = STEP / 128.0, 1000
# Power that is rounding, W/m²: bounds have to be past the threshold by as much.
ROUNDING = 1e-6
# What the speed of a path for a whole step may differ from its way, by how far that may stray.
BEND = 4.0
# What is known of a stretch.
NEVER, OPEN, CROSSING, SURE = range(4)


def enough_power(scene: WindowScene, days: BeamDays, lit: Floats) -> Floats:
    """The parts of `lit`, intervals (n, 2) in which the window is in sun, with at least the scene's
    power on its glass: likewise, ends within 0.05 s.
    """
    if len(lit) == 0:
        return lit
    search = _Search(scene, days)
    steps = days.steps(lit)
    sure, crossing = [np.zeros((0, 2))], list[Steps]()
    while True:
        steps, state = search.settle(steps)
        begin = steps.begin[state == SURE]
        sure.append(np.stack([begin, begin + steps.length], axis=1))
        crossing.append(steps.take(state == CROSSING))
        steps = steps.take(state == OPEN)
        parts = round(steps.length / SHORTEST)
        if parts == 1 or len(steps.begin) == 0:
            break
        # Few are cut in more parts at once, as each round costs something, too.
        while parts > 2 and parts * len(steps.begin) > FEW:
            parts //= 2
        steps = steps.cut(parts, days.observer)
        steps = steps.take(meets(lit, steps.begin, steps.end))
    by_crossing = search.crossed([*crossing, steps])
    return common(lit, join(np.concatenate([*sure, by_crossing])))


class _Search:
    """The search in one window's sun."""

    def __init__(self, scene: WindowScene, days: BeamDays) -> None:
        self._scene, self._observer = scene, days.observer
        self._plain = scene.bare and scene.surroundings is None

    def settle(self, steps: Steps) -> tuple[Steps, Ints]:
        """Those of the steps in which the power may be reached, with the shares at their ends, and
        what is known of each.
        """
        least = self._scene.power
        slack = cell_slack(steps.sun[2].min(axis=0), steps.length, 0)
        ahead = np.tensordot(self._scene.axes[2], steps.sun, axes=1)
        low, high = self._full_bounds(steps, ahead, slack)
        keep = np.flatnonzero(high >= least - ROUNDING)
        steps, slack, ahead = steps.take(keep), slack[keep], ahead[:, keep]
        low, high = low[keep], high[keep]
        steps = self._with_shares(steps)
        value = steps.beam * np.maximum(ahead, 0.0) * steps.share
        state = np.full(len(keep), OPEN)

        def judge(index: Ints, shares: Floats) -> Ints:
            """What bounds (2, k) of the shares at an index tell; and where that is nothing."""
            state[index[low[index] * shares[0] >= least + ROUNDING]] = SURE
            state[index[high[index] * shares[1] < least - ROUNDING]] = NEVER
            return np.asarray(index[state[index] == OPEN])

        index = judge(np.arange(len(keep)), self._roughly(steps, ahead, slack))
        shares, speed = np.ones((2, len(index))), np.zeros((2, len(index)))
        if not self._plain and len(index):
            part = steps.take(index)
            nodes = np.einsum("ij,jcm->icm", self._scene.axes, part.sun)
            stretch = Stretch(part.begin, part.end, Path(nodes, slack[index]))
            change = self._scene.beam_change(stretch)
            shares = np.clip(change.bounds(*part.share), 0.0, 1.0)
            speed = np.stack(change.speed)
            judge(index, shares)
            still = state[index] == OPEN
            index, shares, speed = index[still], shares[:, still], speed[:, still]
        growth = np.stack(self._growth(steps.take(index), ahead[:, index], slack[index]))
        with np.errstate(divide="ignore", invalid="ignore"):
            of_share = speed[:, None] / shares
        rises = growth[0] + of_share[0].min(axis=0) >= 0.0
        falls = growth[1] + of_share[1].max(axis=0) <= 0.0
        index = index[rises | falls]
        reached = value[:, index] >= least
        once = np.where(reached.any(axis=0), CROSSING, NEVER)
        state[index] = np.where(reached.all(axis=0), SURE, once)
        return steps, state

    def _roughly(self, steps: Steps, ahead: Floats, slack: Floats) -> Floats:
        """Bounds (2, m) of the share at no cost: of plates, whose shadows' rims are as long on the
        glass as that is wide and high, and move by their depth times the sun's turn.
        """
        if self._plain:
            return np.ones_like(steps.share)
        if self._scene.surroundings is not None:
            return np.repeat([[0.0], [1.0]], len(steps.begin), axis=1)
        glass = self._scene.glass
        deep = glass.reveal + sum(plate.far for plate in glass.plates)
        lowest = ahead.min(axis=0) - slack
        with np.errstate(divide="ignore"):
            moved = np.where(lowest > 0.0, SPEED * steps.length / lowest**2, np.inf)
        most = moved * deep * (glass.width + glass.height) / glass.area
        middle = steps.share.sum(axis=0)
        return np.clip(np.stack([middle - most, middle + most]) / 2.0, 0.0, 1.0)

    def _with_shares(self, steps: Steps) -> Steps:
        """The steps with the shares of the beam on the glass at their ends."""
        if self._plain:
            return replace(steps, share=np.ones_like(steps.share))
        share = steps.share.copy()
        times = np.stack([steps.begin, steps.end])
        row, column = np.nonzero(np.isnan(share))
        fresh, first, place = np.unique(times[row, column], return_index=True, return_inverse=True)
        sun = Daylight(fresh, steps.sun[:, row[first], column[first]])
        share[row, column] = self._scene.share_past(sun)[place]
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

    def crossed(self, open_steps: list[Steps]) -> Floats:
        """The parts with enough power of steps with one crossing or none."""
        begin = np.concatenate([steps.begin for steps in open_steps])
        end = np.concatenate([steps.end for steps in open_steps])
        ends = [
            steps.beam
            * np.maximum(np.tensordot(self._scene.axes[2], steps.sun, axes=1), 0.0)
            * steps.share
            - self._scene.power
            for steps in open_steps
        ]
        values = np.concatenate(ends, axis=1)
        first, last = values >= 0.0
        index = np.flatnonzero(first != last)
        day = np.floor(begin[index] / DAY).astype(np.int64)

        def excess(times: Floats, which: Ints) -> Floats:
            return self._excess(times, day[which])

        at_ends = values[0, index], values[1, index]
        edge = find_roots(excess, begin[index], end[index], PRECISION, at_ends)
        begin[index] = np.where(first[index], begin[index], edge)
        end[index] = np.where(first[index], edge, end[index])
        enough = first | last
        return np.stack([begin[enough], end[enough]], axis=1)

    def _excess(self, times: Floats, day: Ints) -> Floats:
        """By how much the power at some times is more than what counts."""
        sun = directions_at(times, self._observer, smooth=True)
        power = beam_at(day, sun[2], self._observer) * np.maximum(self._scene.axes[2] @ sun, 0.0)
        if not self._plain:
            power = power * self._scene.share_past(Daylight(times, sun))
        return np.asarray(power - self._scene.power)
