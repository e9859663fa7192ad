"""Runs of open cells in a row of the sun's grid, and what holds for each of them throughout."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from suncover.facade.search.first_look import OPEN, FirstLook
from suncover.facade.search.grid_values import Cells, GridValues
from suncover.facade.search.sun_grid import SunGrid

Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]


@dataclass(frozen=True)
class Runs:
    """Open cells side by side, in order: of which glass, in which row, columns `begin` up to `end`.

    `up` where the sun may be up in them; `before` and `after` are the states of the cells beside
    them; `quarters` of the sky that they reach into, a bit for each.
    """

    glass: Ints
    row: Ints
    begin: Ints
    end: Ints
    up: Bools
    before: NDArray[np.int8]
    after: NDArray[np.int8]
    quarters: Ints

    @property
    def reach(self) -> Ints:
        """Into how many quarters of the sky each of them reaches."""
        return np.array([0, 1, 1, 2, 1, 2, 2, 3, 1, 2, 2, 3, 2, 3, 3, 4])[self.quarters]

    @property
    def count(self) -> int:
        """How many there are."""
        return len(self.glass)

    def pick(self, index: Ints | Bools) -> Runs:
        """Only some of the runs."""
        return Runs(*(getattr(self, name)[index] for name in self.__dataclass_fields__))


class OpenCells(NamedTuple):
    """All open cells (m,) in order, the `runs` they form, and which `run` (m,) each belongs to."""

    cells: Cells
    run: Ints
    runs: Runs


class Steady(NamedTuple):
    """Runs in which every form of one quarter of the sky that matters keeps one direction.

    `number` (n,) are the runs' own numbers; `trend` (k, n) is 1 for a form that rises, from failing
    to holding, -1 for one that falls, and 0 for one that `holds` (k, n) throughout or fails.
    """

    number: Ints
    runs: Runs
    values: GridValues
    trend: NDArray[np.int8]
    holds: Bools


def open_cells(grid: SunGrid, look: FirstLook) -> OpenCells:
    """The cells that a first look has left open."""
    is_open = look.state == OPEN
    is_open[:, 0] = is_open[:, -1] = False
    glass, row, column = np.nonzero(is_open)
    cells = glass, row, column
    fresh = np.ones(len(glass), dtype=bool)
    fresh[1:] = (np.diff(column) != 1) | (np.diff(row) != 0) | (np.diff(glass) != 0)
    starts = np.flatnonzero(fresh)
    run = np.cumsum(fresh) - 1
    up = _reduced(np.logical_or, grid.up[row, column + look.first], starts)
    quarters = _reduced(np.bitwise_or, look.quarters[cells], starts)
    last = np.append(starts, len(glass))[1:] - 1
    glass, row, begin, end = glass[starts], row[starts], column[starts], column[last] + 1
    padded = np.pad(look.state, ((0, 0), (0, 0), (1, 1)), constant_values=OPEN)
    before, after = padded[glass, row, begin], padded[glass, row, end + 1]
    runs = Runs(glass, row, begin, end, up, before, after, quarters)
    return OpenCells(cells, run, runs)


def steady_runs(grid: SunGrid, look: FirstLook, opened: OpenCells) -> list[Steady]:
    """The runs that are steady in a quarter of the sky, for each quarter.

    A run that reaches into several quarters has to be steady in each.
    """
    runs, result = opened.runs, []
    for quarter, values in enumerate(look.values):
        if values is None:
            continue
        wanted = runs.up & (runs.quarters & 1 << quarter > 0)
        # What is not wanted there may lie beyond the columns that are looked at.
        wanted &= (runs.begin + look.first >= values.column) & (
            runs.end + look.first <= values.last
        )
        if not wanted.any():
            continue
        index = np.flatnonzero(wanted[opened.run])
        glass, row, column = (part[index] for part in opened.cells)
        run = opened.run[index]
        starts = np.flatnonzero(np.append(True, run[1:] != run[:-1]))
        trend, holds, steady = _trends(grid, values, (glass, row, column + look.first), starts)
        number = run[starts][steady]
        picked = runs.pick(number)
        result.append(Steady(number, picked, values, trend[:, steady], holds[:, steady]))
    return result


def _trends(
    grid: SunGrid, values: GridValues, cells: Cells, starts: Ints
) -> tuple[NDArray[np.int8], Bools, Bools]:
    """`Steady.trend`, `Steady.holds`, and which runs are steady; runs begin at the cells
    `starts`.
    """
    _, row, column = cells
    start, end, start_after, end_after = values.corners(cells)
    degree = values.forms.degrees
    slack = np.stack([of_degree[row, column] for of_degree in grid.slack])[degree]
    wander = np.stack([of_degree[row, column] for of_degree in grid.slope_slack])[degree]
    low, high = (
        pick(pick(start, end), pick(start_after, end_after)) for pick in (np.minimum, np.maximum)
    )
    low, high = low - slack, high + slack
    fails, sure = high <= 0.0, low > 0.0
    decided = fails | sure
    early, late = end - start, end_after - start_after
    rises, falls = np.minimum(early, late) > wander, np.maximum(early, late) < -wander
    matter = values.forms.that_matter(low, high)

    def ever(flags: Bools) -> Bools:
        return np.asarray(np.logical_or.reduceat(flags, starts, axis=1))

    matters, sometimes, never = ever(matter), ever(sure), ever(fails)
    rising, falling = ~ever(~(rises | decided)), ~ever(~(falls | decided))
    trend = np.where(matters & (rising != falling), np.where(rising, 1, -1), 0).astype(np.int8)
    # A form that does not matter where it is not known counts for what it is elsewhere.
    settled = ~matters & ~(sometimes & never)
    steady = (settled | (trend != 0)).all(axis=0)
    return trend, sometimes & ~matters, steady


def _reduced(pick: np.ufunc, values: NDArray[Any], starts: Ints) -> NDArray[Any]:
    """`pick` over each run; the runs begin at `starts`."""
    return np.asarray(pick.reduceat(values, starts)) if len(starts) else values
