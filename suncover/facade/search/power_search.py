"""Exact times of enough power on glass, within the times at which it is in sun.

With nothing around the window, patches of sky are halved down as in `search.crossings`. Among
obstacles and trees, where a drawing of shadows is dear, stretches of time are halved. The power at
their ends, and by how much the sun's strength and the shadows may change between, settle most; what
stays open below ten seconds has one crossing or none.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from suncover.base.roots import find_roots
from suncover.facade.daylight import Daylight
from suncover.facade.power import ROUNDING, PowerScene
from suncover.facade.scene import WindowScene
from suncover.facade.search.crossings import PRECISION, common, join, lit_intervals
from suncover.facade.search.paths import cell_slack
from suncover.facade.yard.cones import Path, Stretch
from suncover.sun.clearsky import beam_at_height
from suncover.sun.position import DAY, Observer, sun_directions

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

# Seconds of the first stretches, a whole number of them in a day, and how often they are halved.
STEP, HALVED = 3600.0, 9


def enough_power(scene: WindowScene, observer: Observer, lit: Floats) -> Floats:
    """The parts of `lit`, intervals (n, 2) in which the window is in sun, with at least the scene's
    power on its glass: likewise, ends within 0.05 s.
    """
    if len(lit) == 0:
        return lit
    if scene.surroundings is not None:
        return _past_yard(scene, observer, lit)
    start, end = np.floor(lit[0, 0] / DAY) * DAY, float(lit[-1, 1]) + 1.0
    return lit_intervals(PowerScene(scene, observer, scene.power), observer, start, end, lit)


def _past_yard(scene: WindowScene, observer: Observer, lit: Floats) -> Floats:
    """`enough_power` for a window with something around it."""
    search = _Search(scene, observer)
    count = np.ceil(lit[:, 1] / STEP) - np.floor(lit[:, 0] / STEP)
    first = np.repeat(np.floor(lit[:, 0] / STEP), count.astype(np.int64))
    later = np.arange(len(first)) - np.repeat(np.cumsum(count) - count, count.astype(np.int64))
    begin, step = np.unique(first + later) * STEP, STEP
    parts = [np.zeros((0, 2))]
    for halved in range(HALVED + 1):
        begin = begin[_meets(lit, begin, begin + step)]
        state = search.settle(begin, step)
        sure = begin[state > 0]
        parts.append(np.stack([sure, sure + step], axis=1))
        begin = begin[state == 0]
        if halved < HALVED:
            step /= 2.0
            begin = (begin[:, None] + np.array([0.0, step])).ravel()
    parts.append(search.crossed(begin, step))
    return common(lit, join(np.concatenate(parts)))


class _Search:
    """The powers on one window's glass, each instant asked once."""

    def __init__(self, scene: WindowScene, observer: Observer) -> None:
        assert scene.yard is not None
        self._scene, self._yard, self._observer = scene, scene.yard, observer
        self._times, self._shares = np.zeros(0), np.zeros(0)

    def settle(self, begin: Floats, step: float) -> Ints:
        """1 where the power is reached in all of a stretch, -1 where nowhere in it, 0 not known."""
        ends = sun_directions(np.stack([begin, begin + step]), self._observer, smooth=True)
        slack = cell_slack(ends[2].min(axis=0), step, 0)
        nodes = np.einsum("ij,jcm->icm", self._yard.axes, ends)
        low, high = self._full_bounds(begin, step, ends[2], nodes[2], slack)
        least = self._scene.power
        state = np.where(high < least - ROUNDING, -1, 0)
        index = np.flatnonzero(state == 0)
        stretch = Stretch(begin[index], begin[index] + step, Path(nodes[:, :, index], slack[index]))
        shares = self._share(np.stack([stretch.begin, stretch.end]))
        # Farthest from both ends, a share has changed by half of what is left.
        drift = self._yard.beam_drift(stretch)
        with np.errstate(invalid="ignore"):
            highest_share = np.minimum((shares.sum(axis=0) + drift) / 2.0, 1.0)
            lowest_share = np.maximum((shares.sum(axis=0) - drift) / 2.0, 0.0)
        sure = low[index] * lowest_share >= least + ROUNDING
        never = high[index] * highest_share < least - ROUNDING
        state[index] = np.where(sure, 1, np.where(never, -1, 0))
        return state

    def crossed(self, begin: Floats, step: float) -> Floats:
        """The parts with enough power of stretches that are still open, by their ends and one
        crossing.
        """
        values = self._excess(np.stack([begin, begin + step]))
        first, last = values >= 0.0
        changing = np.flatnonzero(first != last)
        edge = find_roots(
            lambda times, _: self._excess(times), begin[changing], begin[changing] + step, PRECISION
        )
        begins, ends = begin.copy(), begin + step
        begins[changing] = np.where(first[changing], begin[changing], edge)
        ends[changing] = np.where(first[changing], edge, begin[changing] + step)
        enough = first | last
        return np.stack([begins[enough], ends[enough]], axis=1)

    def _full_bounds(
        self, begin: Floats, step: float, height: Floats, ahead: Floats, slack: Floats
    ) -> tuple[Floats, Floats]:
        """Bounds of the power that the sun would have with nothing before the glass."""
        days = np.stack([np.floor(begin / DAY), np.floor((begin + step) / DAY)]).astype(np.int64)
        bounds = []
        for pick, sign in ((np.min, -1.0), (np.max, 1.0)):
            sine = np.clip(pick(height, axis=0) + sign * slack, 0.0, 1.0)
            up = np.degrees(np.arcsin(sine))
            beam = [beam_at_height(day, up, self._observer) for day in days]
            cosine = np.clip(pick(ahead, axis=0) + sign * slack, 0.0, 1.0)
            bounds.append(pick(np.stack(beam), axis=0) * cosine)
        return bounds[0], bounds[1]

    def _excess(self, times: Floats) -> Floats:
        """By how much the power at `times`, any shape, is more than what counts."""
        ahead = np.tensordot(self._scene.axes[2], self._directions(times), axes=1)
        up = np.degrees(np.arcsin(np.clip(self._directions(times)[2], -1.0, 1.0)))
        days = np.floor(times / DAY).astype(np.int64)
        beam = beam_at_height(days.ravel(), up.ravel(), self._observer).reshape(times.shape)
        power = beam * np.maximum(ahead, 0.0) * self._share(times)
        return np.asarray(power - self._scene.power)

    def _share(self, times: Floats) -> Floats:
        """The share of the beam that reaches the glass at `times`, any shape."""
        fresh = np.setdiff1d(times, self._times)
        if len(fresh):
            shares = self._scene.share_past(Daylight(fresh, self._directions(fresh)))
            all_times = np.concatenate([self._times, fresh])
            order = np.argsort(all_times)
            self._times = all_times[order]
            self._shares = np.concatenate([self._shares, shares])[order]
        return self._shares[np.searchsorted(self._times, times)]

    def _directions(self, times: Floats) -> Floats:
        # Smooth, as the stretches' paths are.
        return np.asarray(sun_directions(times, self._observer, smooth=True))


def _meets(intervals: Floats, begin: Floats, end: Floats) -> Bools:
    """Whether any of sorted, disjoint `intervals` has time between each `begin` and `end`."""
    following = np.searchsorted(intervals[:, 1], begin, side="right")
    starts = np.append(intervals[:, 0], np.inf)
    return np.asarray(starts[following] < end)
