"""Exact times of sun on windows among obstacles and trees, from few instants.

Cells of days and minutes, as in `suncover.sweep`: what their corners tell holds throughout if the
margin is larger than what the sun strays between them. What stays open is looked at in shorter and
shorter steps. Where any sun at all counts, these end at a minute, and what is open then is asked at
every ten seconds. Where a share of the glass must be in sun, they end below ten seconds, and what
is open then has one crossing or none.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from suncover.base.roots import find_roots
from suncover.facade.daylight import Daylight
from suncover.facade.scene import WindowScene
from suncover.facade.search.crossings import common, join, sampled
from suncover.facade.search.sun_grid import SLICE, STRIDE, SunGrid, motion_slack
from suncover.facade.yard.cones import Path
from suncover.facade.yard.glass import Stretch, Yard
from suncover.sun.position import DAY, Observer, directions_at

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

# Steps in seconds, for what stays open: the first are the grid's cells, one day each.
STEPS = (SLICE, 300.0, 60.0)
# The same where the share of the glass in sun matters, halved to less than 10; and the last of them
# at which lattices are asked, too coarse for what lasts less.
SHARE_STEPS = tuple(SLICE / 2.0**halved for halved in range(8))
LAST_LATTICE = SLICE / 4.0


def yard_intervals(scene: WindowScene, grids: Sequence[SunGrid], without: Floats) -> Floats:
    """When a window is lit past its surroundings: intervals (n, 2), sorted, disjoint.

    `without` are the times at which it is lit with nothing around it, likewise.
    """
    assert scene.yard is not None
    found = [np.zeros((0, 2))]
    for grid in grids:
        found += _Search(scene.yard, grid.observer).within(grid, without)
    return common(without, join(np.concatenate(found)))


class _Search:
    """The search for sun past what stands in one window's yard."""

    def __init__(self, yard: Yard, observer: Observer) -> None:
        self._yard, self._observer = yard, observer
        self._times, self._shares = np.zeros(0), np.zeros(0)

    def within(self, grid: SunGrid, without: Floats) -> list[Floats]:
        """Intervals in which the window is lit whenever it is `without` its surroundings."""
        opened, lit = self._first_look(grid, without)
        found = [_days(grid, lit)]
        begin = _days(grid, opened)[:, 0]
        steps = STEPS if self._yard.fraction == 0.0 else SHARE_STEPS
        for step, finer in zip(steps, (*steps[1:], 0.0), strict=True):
            begin = begin[_meets(without, begin, begin + step)]
            state = self._settle(begin, step)
            lit = begin[state > 0]
            found.append(np.stack([lit, lit + step], axis=1))
            begin = begin[state == 0]
            if finer:
                begin = (begin[:, None] + np.arange(round(step / finer)) * finer).ravel()
        if self._yard.fraction == 0.0:
            found.append(sampled(self._yard, self._observer, begin, steps[-1]))
        else:
            found.append(self._crossed(begin, steps[-1]))
        return found

    def _first_look(self, grid: SunGrid, without: Floats) -> tuple[Floats, Floats]:
        """Beginnings of the grid's cells that are open, and of those that are lit."""
        rows, columns = grid.cells
        corners = np.einsum("ij,jcm->icm", self._yard.axes, grid.corners)
        slack = cell_slack(grid.corners[2].min(axis=0), SLICE, STRIDE)
        begin = grid.origin + rows * STRIDE * DAY + columns * SLICE
        end = begin + (STRIDE - 1) * DAY + SLICE
        front = corners[2].max(axis=0) + slack > 0.0
        some = np.flatnonzero(front & _meets(without, begin, end))
        path = Path(corners[:, :, some], slack[some])
        state = self._yard.settled(Stretch(begin[some], end[some], path))
        return begin[some[state == 0]], begin[some[state > 0]]

    def _settle(self, begin: Floats, step: float) -> Ints:
        ends = directions_at(np.stack([begin, begin + step]), self._observer, smooth=True)
        slack = cell_slack(ends[2].min(axis=0), step, 0)
        nodes = np.einsum("ij,jcm->icm", self._yard.axes, ends)
        stretch = Stretch(begin, begin + step, Path(nodes, slack))
        state = np.zeros(begin.shape, dtype=np.int64)
        if self._yard.fraction == 0.0 or step >= LAST_LATTICE:
            state = self._yard.settled(stretch)
        if self._yard.fraction > 0.0 and step <= LAST_LATTICE:
            some = np.flatnonzero(state == 0)
            shares = self._share(np.stack([begin[some], begin[some] + step]))
            state[some] = self._yard.settled_between(stretch.take(some), shares)
        return state

    def _share(self, times: Floats) -> Floats:
        """The share of the glass in sun at `times`, any shape; asked once for each."""
        fresh = np.setdiff1d(times, self._times)
        if len(fresh):
            shares = self._yard.share(self._sun(fresh))
            known = np.concatenate([self._times, fresh])
            order = np.argsort(known)
            self._times = known[order]
            self._shares = np.concatenate([self._shares, shares])[order]
        return self._shares[np.searchsorted(self._times, times)]

    def _sun(self, times: Floats) -> Daylight:
        # Smooth, as the paths are: refraction that ends below the horizon would make the share of
        # the glass jump between two instants of which one has sun.
        return Daylight(times, directions_at(times, self._observer, smooth=True))

    def _crossed(self, begin: Floats, step: float) -> Floats:
        """The lit parts of the last steps that are still open, by their ends and one crossing."""
        enough = self._yard.fraction + self._yard.glass.rounding
        shares = self._share(np.stack([begin, begin + step]))
        first, last = shares > enough
        some = np.flatnonzero(first != last)

        def value(times: Floats, _: Ints) -> Floats:
            return self._yard.share(self._sun(times)) - enough

        edge = find_roots(value, begin[some], begin[some] + step)
        begins, ends = begin.copy(), begin + step
        begins[some] = np.where(first[some], begin[some], edge)
        ends[some] = np.where(first[some], edge, begin[some] + step)
        lit = first | last
        return np.stack([begins[lit], ends[lit]], axis=1)


def _days(grid: SunGrid, begin: Floats) -> Floats:
    """Cells that begin at `begin`, one slice for each of their days: intervals (k, 2)."""
    each = begin[:, None] + np.arange(STRIDE) * DAY
    each = each[each < grid.origin + grid.days * DAY]
    return np.stack([each, each + SLICE], axis=1)


def _meets(intervals: Floats, begin: Floats, end: Floats) -> Bools:
    """Whether any of sorted, disjoint `intervals` has time between each `begin` and `end`."""
    if len(intervals) == 0:
        return np.zeros(begin.shape, dtype=bool)
    following = np.searchsorted(intervals[:, 1], begin, side="right")
    starts = np.append(intervals[:, 0], np.inf)
    return starts[following] < end


def cell_slack(height: Floats, step: float, stride: int) -> Floats:
    """How far the sun strays from between the corners of a cell, in radians.

    `height` is the sine of its lowest corner's elevation; `step` seconds by `stride` days.
    """
    return motion_slack(height, step, stride)[0]
