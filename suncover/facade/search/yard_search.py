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
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from suncover.facade.search.crossings import common, join
from suncover.facade.search.day_search import DaySearch
from suncover.facade.search.followed import Crossings
from suncover.facade.search.paths import Cells, cells_of, days_of_cells, stretches_of, sun_at
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
# Cells of a block at the most.
LONGEST = 4
# On which of a cell's days it is looked into one after the other; and how far to either side of the
# instants that those before lead to.
PASSES = (((0, 1, 2, 3, 4, 5, 6, 7), 0.0),)


def yard_intervals(
    yards: Sequence[Yard], grids: Sequence[SunGrid], without: Sequence[Floats]
) -> list[Floats]:
    """When any of each window is lit past its surroundings: intervals (n, 2), sorted, disjoint.

    `without` are the times at which each is lit with nothing around it, likewise.
    """
    search = _Search(yards)
    found = [search.within(grid, without) for grid in grids]
    return [
        common(own, join(np.concatenate(parts)))
        for own, parts in zip(without, zip(*found, strict=True), strict=True)
    ]


class _Search:
    """The search for sun past what stands in the yards of some windows."""

    def __init__(self, yards: Sequence[Yard]) -> None:
        self._yards_asked = yards
        self._yards = Yards([(yard.axes, yard.glass, yard.around) for yard in yards])

    def within(self, grid: SunGrid, without: Sequence[Floats]) -> list[Floats]:
        """Intervals in which each window is lit whenever it is `without` its surroundings."""
        looked = self._first_look(grid, without)
        lit = [[days_of_cells(grid, cells.lit)] for cells in looked]
        blocks = [Blocks.of(cells.begin, cells.solids) for cells in looked]
        first = np.cumsum([0, *(len(own.begin) for own in blocks)])
        known: list[Crossings] = []
        passed: list[int] = []
        for days, beside in PASSES:
            chains = [
                own.on(days, number, intervals)
                for own, number, intervals in zip(blocks, first, without, strict=False)
            ]
            ways = []
            for yard, own, number, (block, _, begin, end) in zip(
                self._yards_asked, blocks, first, chains, strict=False
            ):
                path = stretches_of(begin, end, grid.observer, yard.axes).path
                ways.append(yard.still_touched(path, own.solids[:, block - number]))
            parts = self._yards.parts(ways)
            block, day, begin, end = (
                np.concatenate(values) for values in zip(*chains, strict=True)
            )
            inner = [_times_within(begin, end, origin_of(begin, grid))]
            if known:
                which, time = Crossings.joined(known).on(passed, block, day)
                inner += [(which, time - beside), (which, time + beside)]
            part, times = _in_order(begin, end, inner)
            search = DaySearch(self._yards, grid.observer, parts)
            part, spell_begin, spell_end = search.lit(part, times)
            owner = parts.owner[part]
            for number, intervals in enumerate(without):
                own = np.flatnonzero(owner == number)
                spells = np.stack([spell_begin[own], spell_end[own]], axis=1)
                lit[number].append(_to_ends(spells, intervals))
            part, times, comes = search.crossings
            known.append(Crossings(block[part], day[part], times - day[part] * DAY, comes))
            passed = sorted([*passed, *days])
        return [np.concatenate(spells) for spells in lit]

    def _first_look(self, grid: SunGrid, without: Sequence[Floats]) -> list[_Looked]:
        """What a look into the middle of each of the grid's cells settles, for each window."""
        cells = [
            cells_of(grid, yard.axes, own)
            for yard, own in zip(self._yards_asked, without, strict=True)
        ]
        ways = [
            yard.in_the_way(each.stretch)[0]
            for yard, each in zip(self._yards_asked, cells, strict=True)
        ]
        some = [np.flatnonzero(way.any(axis=0)) for way in ways]
        parts = self._yards.parts([way[:, own] for way, own in zip(ways, some, strict=True)])
        stretch = Stretch.joined(
            [each.stretch.take(own) for each, own in zip(cells, some, strict=True)]
        )
        every = np.arange(len(stretch.begin))
        middle = stretch.begin + STRIDE // 2 * DAY + SLICE / 2.0
        looks = self._yards.look(parts, every, sun_at(middle, grid.observer))
        settled = self._yards.holds(parts, every, stretch, looks, looks)
        found, at = [], 0
        for each, way, own in zip(cells, ways, some, strict=True):
            here = slice(at, at := at + len(own))
            lit, opened = np.ones((2, way.shape[1]), dtype=bool)
            lit[own], opened[:] = settled[here] & looks.lit[here], False
            opened[own] = ~settled[here]
            found.append(_Looked.of(each, way, lit, opened))
        return found


@dataclass(frozen=True)
class _Looked:
    """What a first look leaves of one window's cells: when those begin that are `lit`; and from
    when to when on their first day those last that are open (k,), with the `solids` (s, k) that may
    be in the way.
    """

    lit: Floats
    begin: Floats
    end: Floats
    solids: Bools

    @classmethod
    def of(cls, cells: Cells, way: Bools, lit: Bools, opened: Bools) -> _Looked:
        """By which cells are `lit`, which `opened`, and what is in the `way` (s, k) in each."""
        begin = cells.stretch.begin
        return cls(begin[lit], begin[opened], begin[opened] + SLICE, way[:, opened])


@dataclass(frozen=True)
class Blocks:
    """Runs of open cells of one window, one after the other on the same days: when each begins and
    ends on the first of them (n,), and the `solids` (s, n) that may be in the way.
    """

    begin: Floats
    end: Floats
    solids: Bools

    @classmethod
    def of(cls, begin: Floats, solids: Bools) -> Blocks:
        """Of cells (k,) in order."""
        fresh = np.flatnonzero(np.diff(begin, prepend=-np.inf) > 1.5 * SLICE)
        count = np.diff(np.append(fresh, len(begin)))
        _, step = members(count)
        first = np.flatnonzero(step % LONGEST == 0)
        last = np.append(first[1:], len(begin)) - 1
        if len(begin) == 0:
            return cls(begin, begin, solids)
        along = np.logical_or.reduceat(solids, first, axis=1)
        return cls(begin[first], begin[last] + SLICE, along)

    def on(
        self, days: Sequence[int], number: int, without: Floats
    ) -> tuple[Ints, Ints, Floats, Floats]:
        """The blocks, of which the first has this `number`, on some `days` of them, in the times
        `without` surroundings: the block, the day, the beginning and the end.
        """
        block = np.repeat(np.arange(len(self.begin)), len(days))
        day = np.tile(np.array(days), len(self.begin))
        begin, end = self.begin[block] + day * DAY, self.end[block] + day * DAY
        first = np.searchsorted(without[:, 1], begin, side="right")
        count = np.maximum(np.searchsorted(without[:, 0], end, side="left") - first, 0)
        which, step = members(count)
        own = without[first[which] + step]
        begin, end = begin[which], end[which]
        middle = (np.maximum(own[:, 0], begin) + np.minimum(own[:, 1], end)) / 2.0
        begin = np.minimum(np.maximum(own[:, 0] + WITHIN, begin), middle)
        end = np.maximum(np.minimum(own[:, 1] - WITHIN, end), middle)
        return block[which] + number, day[which], begin, end


def origin_of(begin, grid):
    return grid.origin


def _times_within(begin: Floats, end: Floats, origin: float) -> tuple[Ints, Floats]:
    """The times at which cells meet between each `begin` and `end` (m,): of which, and when."""
    first = np.floor((begin - origin) / SLICE) + 1.0
    last = np.ceil((end - origin) / SLICE) - 1.0
    which, step = members(np.maximum(last - first + 1.0, 0.0).astype(np.int64))
    return which, origin + (first[which] + step) * SLICE


def _in_order(
    begin: Floats, end: Floats, inner: Sequence[tuple[Ints, Floats]]
) -> tuple[Ints, Floats]:
    """The ends of some pieces (m,) and such of the `inner` instants as lie in them, in order: of
    which piece each is, and the instant.
    """
    own = np.arange(len(begin))
    which, times = (np.concatenate(values) for values in zip(*inner, strict=True))
    kept = (times > begin[which]) & (times < end[which])
    which = np.concatenate([own, which[kept], own])
    times = np.concatenate([begin, times[kept], end])
    order = np.lexsort((times, which))
    return which[order], times[order]


def _to_ends(found: Floats, without: Floats) -> Floats:
    """Intervals that begin or end just within the times `without` surroundings made to do so with
    them.
    """
    if len(found) == 0:
        return found
    last = np.maximum(np.searchsorted(without[:, 0], found[:, 0], side="right") - 1, 0)
    begin, end = without[last].T
    spare = 1.5 * WITHIN
    return np.stack(
        [
            np.where(found[:, 0] - begin < spare, begin, found[:, 0]),
            np.where(end - found[:, 1] < spare, end, found[:, 1]),
        ],
        axis=1,
    )
