"""Exact times at which a share of a window's glass is in sun among obstacles and trees.

Cells of days and minutes: what their corners tell holds throughout if the margin is larger than
what the sun strays between them. What stays open is looked at in shorter and shorter steps that end
below ten seconds, and what is open then has one crossing or none.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from suncover.base.roots import find_roots
from suncover.facade.scene import WindowScene
from suncover.facade.search.crossings import common, join
from suncover.facade.search.paths import cell_slack, cells_of, days_of_cells, meets, sun_at
from suncover.facade.search.sun_grid import SLICE, SunGrid
from suncover.facade.yard.cones import Path, Stretch
from suncover.facade.yard.glass import Yard
from suncover.sun.position import Observer, directions_at

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

# Steps in seconds, for what stays open: the first are the grid's cells, one day each, halved to
# less than 10; and the last of them at which lattices are asked, too coarse for what lasts less.
STEPS = tuple(SLICE / 2.0**halved for halved in range(8))
LAST_LATTICE = SLICE / 4.0


def share_intervals(scene: WindowScene, grids: Sequence[SunGrid], without: Floats) -> Floats:
    """When enough of a window is lit past its surroundings: intervals (n, 2), sorted, disjoint.

    `without` are the times at which it is lit with nothing around it, likewise.
    """
    assert scene.yard is not None
    parts = [np.zeros((0, 2))]
    for grid in grids:
        parts += _Search(scene.yard, grid.observer).within(grid, without)
    return common(without, join(np.concatenate(parts)))


class _Search:
    """The search for sun past what stands in one window's yard."""

    def __init__(self, yard: Yard, observer: Observer) -> None:
        self._yard, self._observer = yard, observer
        self._times, self._shares = np.zeros(0), np.zeros(0)

    def within(self, grid: SunGrid, without: Floats) -> list[Floats]:
        """Intervals in which the window is lit whenever it is `without` its surroundings."""
        cells = cells_of(grid, self._yard.axes, without).stretch
        state = self._yard.settled(cells)
        parts = [days_of_cells(grid, cells.begin[state > 0])]
        begin = days_of_cells(grid, cells.begin[state == 0])[:, 0]
        for step, finer in zip(STEPS, (*STEPS[1:], 0.0), strict=True):
            begin = begin[meets(without, begin, begin + step)]
            state = self._settle(begin, step)
            lit = begin[state > 0]
            parts.append(np.stack([lit, lit + step], axis=1))
            begin = begin[state == 0]
            if finer:
                begin = (begin[:, None] + np.array([0.0, finer])).ravel()
        parts.append(self._crossed(begin, STEPS[-1]))
        return parts

    def _settle(self, begin: Floats, step: float) -> Ints:
        ends = directions_at(np.stack([begin, begin + step]), self._observer, smooth=True)
        slack = cell_slack(ends[2].min(axis=0), step, 0)
        nodes = np.einsum("ij,jcm->icm", self._yard.axes, ends)
        stretch = Stretch(begin, begin + step, Path(nodes, slack))
        state = np.zeros(begin.shape, dtype=np.int64)
        if step >= LAST_LATTICE:
            state = self._yard.settled(stretch)
        if step <= LAST_LATTICE:
            index = np.flatnonzero(state == 0)
            shares = self._share(np.stack([begin[index], begin[index] + step]))
            state[index] = self._yard.settled_between(stretch.take(index), shares)
        return state

    def _share(self, times: Floats) -> Floats:
        """The share of the glass in sun at `times`, any shape; asked once for each."""
        fresh = np.setdiff1d(times, self._times)
        if len(fresh):
            shares = self._yard.share(sun_at(fresh, self._observer))
            all_times = np.concatenate([self._times, fresh])
            order = np.argsort(all_times)
            self._times = all_times[order]
            self._shares = np.concatenate([self._shares, shares])[order]
        return self._shares[np.searchsorted(self._times, times)]

    def _crossed(self, begin: Floats, step: float) -> Floats:
        """The lit parts of the last steps that are still open, by their ends and one crossing."""
        enough = self._yard.fraction + self._yard.glass.rounding
        shares = self._share(np.stack([begin, begin + step]))
        first, last = shares > enough
        changing = np.flatnonzero(first != last)

        def value(times: Floats, _: Ints) -> Floats:
            return self._yard.share(sun_at(times, self._observer)) - enough

        edge = find_roots(value, begin[changing], begin[changing] + step)
        begins, ends = begin.copy(), begin + step
        begins[changing] = np.where(first[changing], begin[changing], edge)
        ends[changing] = np.where(first[changing], edge, begin[changing] + step)
        lit = first | last
        return np.stack([begins[lit], ends[lit]], axis=1)
