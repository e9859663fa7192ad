"""Exact times of any sun at all on windows among obstacles and trees, from few instants.

What a look at an instant finds, lit or dark, it finds for a reason that holds for a while: see
`suncover.facade.yard.yards`. So a cell of the grid is looked at in its middle, and settled if the
reason holds in all of it. Each cell that is left open has, as a rule, one crossing on a day: its
instant is the zero of by how much the glass is lit, or overlapped by shadows; what lies before it
and after is settled by a look on either side. What that leaves open is cut in
parts, to less than six seconds.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from suncover.facade.search.crossings import common, join
from suncover.facade.search.day_search import DaySearch
from suncover.facade.search.paths import cells_of, days_of_cells, stretches_of, sun_at
from suncover.facade.search.ragged import members
from suncover.facade.search.sun_grid import SLICE, STRIDE, SunGrid
from suncover.facade.yard.cones import Stretch
from suncover.facade.yard.glass import Yard
from suncover.facade.yard.yards import Yards
from suncover.sun.position import DAY

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

# Seconds from the ends of the times in which the window would be lit with nothing around it: there
# it is looked at, since nothing can be told of glass of which nothing is open any more.
WITHIN = 0.02
# Open cells looked into together at the most: they share the looks where they meet.
LONGEST = 4


def yard_intervals(
    yards: Sequence[Yard], grids: Sequence[SunGrid], without: Sequence[Floats]
) -> list[Floats]:
    """When any of each window is lit past its surroundings: intervals (n, 2), sorted, disjoint.

    `without` are the times at which each is lit with nothing around it, likewise.
    """
    search = _Search(yards)
    parts_of_grid = [search.within(grid, without) for grid in grids]
    return [
        common(own, join(np.concatenate(parts)))
        for own, parts in zip(without, zip(*parts_of_grid, strict=True), strict=True)
    ]


class _Search:
    """The search for sun past what stands in the yards of some windows."""

    def __init__(self, yards: Sequence[Yard]) -> None:
        self._windows = yards
        self._yards = Yards([(yard.axes, yard.glass, yard.around) for yard in yards])

    def within(self, grid: SunGrid, without: Sequence[Floats]) -> list[Floats]:
        """Intervals in which each window is lit whenever it is `without` its surroundings."""
        looked = self._first_look(grid, without)
        opened = [
            blocks.in_days(grid, intervals)
            for (_, blocks), intervals in zip(looked, without, strict=True)
        ]
        # Of what may be in the way in a block on some day, little is on this day.
        ways = []
        for yard, (solids, begin, end) in zip(self._windows, opened, strict=True):
            path = stretches_of(begin, end, grid.observer, yard.axes).path
            ways.append(yard.still_touched(path, solids))
        parts = self._yards.parts(ways)
        begin, end = (np.concatenate([days[place] for days in opened]) for place in (1, 2))
        search = DaySearch(self._yards, grid.observer, parts)
        part, begin, end = search.lit(*_instants(begin, end, grid.origin))
        owner, result = parts.owner[part], []
        for number, ((cells, _), intervals) in enumerate(zip(looked, without, strict=True)):
            own = np.flatnonzero(owner == number)
            lit = _to_ends(np.stack([begin[own], end[own]], axis=1), intervals)
            result.append(np.concatenate([days_of_cells(grid, cells), lit]))
        return result

    def _first_look(self, grid: SunGrid, without: Sequence[Floats]) -> list[tuple[Floats, Blocks]]:
        """What a look into the middle of each of the grid's cells settles, for each window: when
        those begin that are lit, and what is left open.
        """
        cells = [
            cells_of(grid, yard.axes, own) for yard, own in zip(self._windows, without, strict=True)
        ]
        ways = [
            yard.in_the_way(window_cells.stretch)[0]
            for yard, window_cells in zip(self._windows, cells, strict=True)
        ]
        met_cells = [np.flatnonzero(way.any(axis=0)) for way in ways]
        parts = self._yards.parts([way[:, own] for way, own in zip(ways, met_cells, strict=True)])
        stretch = Stretch.joined(
            [
                window_cells.stretch.take(own)
                for window_cells, own in zip(cells, met_cells, strict=True)
            ]
        )
        every = np.arange(len(stretch.begin))
        middle = stretch.begin + STRIDE // 2 * DAY + SLICE / 2.0
        looks = self._yards.look(parts, every, sun_at(middle, grid.observer))
        settled = self._yards.holds(parts, every, stretch, looks, looks)
        result: list[tuple[Floats, Blocks]] = []
        at = 0
        for window_cells, way, own in zip(cells, ways, met_cells, strict=True):
            part = slice(at, at := at + len(own))
            lit, opened = np.ones((2, way.shape[1]), dtype=bool)
            lit[own], opened[:] = settled[part] & looks.lit[part], False
            opened[own] = ~settled[part]
            begin = window_cells.stretch.begin
            result.append((begin[lit], Blocks.of(begin[opened], way[:, opened])))
        return result


class Blocks(NamedTuple):
    """Open cells of a window that follow on each other, a few at the most: when each block begins
    and ends on the first of its days (n,), and the `solids` (s, n) that may be in the way.
    """

    begin: Floats
    end: Floats
    solids: Bools

    @classmethod
    def of(cls, begin: Floats, solids: Bools) -> Blocks:
        """Of cells that begin at `begin` (k,), in order, with `solids` (s, k)."""
        if len(begin) == 0:
            return cls(begin, begin, solids)
        apart = np.flatnonzero(np.diff(begin, prepend=-np.inf) > 1.5 * SLICE)
        _, number = members(np.diff(np.append(apart, len(begin))))
        first = np.flatnonzero(number % LONGEST == 0)
        last = np.append(first[1:], len(begin)) - 1
        return cls(begin[first], begin[last] + SLICE, np.logical_or.reduceat(solids, first, axis=1))

    def in_days(self, grid: SunGrid, without: Floats) -> tuple[Bools, Floats, Floats]:
        """The blocks on each of their days, in the times `without` surroundings: the solids in the
        way of each, and when it begins and ends.
        """
        day = np.arange(STRIDE) * DAY
        begin, end = ((ends[:, None] + day).ravel() for ends in (self.begin, self.end))
        block = np.repeat(np.arange(len(self.begin)), STRIDE)
        kept = begin < grid.origin + grid.days * DAY
        begin, end, block = begin[kept], end[kept], block[kept]
        first = np.searchsorted(without[:, 1], begin, side="right")
        count = np.maximum(np.searchsorted(without[:, 0], end, side="left") - first, 0)
        owner, step = members(count)
        interval = without[first[owner] + step]
        begin, end = begin[owner], end[owner]
        middle = (np.maximum(interval[:, 0], begin) + np.minimum(interval[:, 1], end)) / 2.0
        begin = np.minimum(np.maximum(interval[:, 0] + WITHIN, begin), middle)
        end = np.maximum(np.minimum(interval[:, 1] - WITHIN, end), middle)
        return self.solids[:, block[owner]], begin, end


def _instants(begin: Floats, end: Floats, origin: float) -> tuple[Ints, Floats]:
    """Where stretches from `begin` to `end` (m,) begin and end, and between where cells meet: of
    which stretch each instant is, and when; in order.
    """
    # What is nearer than rounding to an end is that end.
    first = np.floor((begin - origin) / SLICE + 1e-6) + 1.0
    count = np.maximum(np.ceil((end - origin) / SLICE - 1e-6) - first, 0.0)
    owner, step = members(count.astype(np.int64))
    numbers = np.arange(len(begin))
    order = np.argsort(np.concatenate([numbers, owner, numbers]), kind="stable")
    times = np.concatenate([begin, origin + (first[owner] + step) * SLICE, end])
    return np.concatenate([numbers, owner, numbers])[order], times[order]


def _to_ends(intervals: Floats, without: Floats) -> Floats:
    """Intervals that begin or end just within the times `without` surroundings made to do so with
    them.
    """
    if len(intervals) == 0:
        return intervals
    last = np.maximum(np.searchsorted(without[:, 0], intervals[:, 0], side="right") - 1, 0)
    begin, end = without[last].T
    spare = 1.5 * WITHIN
    return np.stack(
        [
            np.where(intervals[:, 0] - begin < spare, begin, intervals[:, 0]),
            np.where(end - intervals[:, 1] < spare, end, intervals[:, 1]),
        ],
        axis=1,
    )
