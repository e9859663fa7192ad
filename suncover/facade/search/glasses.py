"""Exact times of sun on glass whose shading has a closed form, from few instants.

The conditions of `suncover.facade.conditions` are smooth forms in the sun's direction. Between
instants, a smooth f differs from the straight line through its values by at most an eighth of the
step squared times the bound of its second derivative; between four corners in time of day and in
date, by the sum of two such terms. So a handful of values settles a whole cell of days and minutes
(`SunGrid`): where no condition that matters can change sign, the answer holds throughout.

What stays open are runs of cells in a row. Where all conditions that matter rise (or all fall)
throughout a run between dark glass and lit, each of its days has one crossing, which moves from day
to day along a smooth branch (`suncover.sweep.branches`). The rest, where the sun grazes an edge, is
asked one day after the other (`suncover.sweep.single_days`).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from suncover.facade.search.branches import Crossings, find_crossings
from suncover.facade.search.crossings import join
from suncover.facade.search.first_look import LIT, FirstLook
from suncover.facade.search.panes import Panes
from suncover.facade.search.ragged import members
from suncover.facade.search.runs import OpenCells, Runs, open_cells, steady_runs
from suncover.facade.search.single_days import lit_on_days
from suncover.facade.search.sun_grid import COLUMNS, SLICE, STRIDE, SunGrid
from suncover.sun.position import DAY

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]


def unshaded_intervals(grid: SunGrid, panes: Panes) -> tuple[Floats, Ints]:
    """When some of each glass is in sun, by its reveal and simple plates alone.

    Intervals (k, 2), unix seconds, and the number (k,) of the glass each belongs to: sorted by
    glass and time, disjoint. What they say holds while the sun is up.
    """
    first, last = grid.columns
    if first == last:
        return np.zeros((0, 2)), np.zeros(0, dtype=np.int64)
    look = FirstLook.of(grid, panes)
    opened = open_cells(grid, look)
    steady = _steady(grid, look, opened)
    stretch, stretch_owner, complete = _stretches(grid, look, opened, steady.time)
    grazed, grazed_owner = _grazed(grid, look, opened.runs, steady.failed)
    parts, owners = _joined(
        grid,
        np.concatenate([steady.lit, grazed, stretch[~complete]]),
        np.concatenate([steady.owner, grazed_owner, stretch_owner[~complete]]),
    )
    intervals = np.concatenate([stretch[complete], parts])
    owners = np.append(stretch_owner[complete], owners)
    order = np.lexsort((intervals[:, 0], owners))
    return intervals[order], owners[order]


def _steady(grid: SunGrid, look: FirstLook, opened: OpenCells) -> Crossings:
    """The crossings of all runs taken as steady; the owners are glasses. Where a run is not steady,
    it has `failed`.
    """
    runs = opened.runs
    time = np.full((runs.count, STRIDE), np.nan)
    failed = np.zeros(time.shape, dtype=bool)
    missing = np.where(runs.up, runs.reach, 0)
    lit, owner, days = [np.zeros((0, 2))], [np.zeros(0, np.int64)], [np.zeros(0, np.int64)]
    for steady in steady_runs(grid, look, opened):
        crossings = find_crossings(grid, steady, look.first)
        missing[steady.number] -= 1
        time[steady.number] = crossings.time
        failed[steady.number] |= crossings.failed
        lit.append(crossings.lit)
        owner.append(steady.number[crossings.owner])
        days.append(crossings.day)
    failed |= (missing > 0)[:, None]
    run, day = np.concatenate(owner), np.concatenate(days)
    succeeded = ~failed[run, day]
    lit_known = np.concatenate(lit)[succeeded]
    return Crossings(time, lit_known, runs.glass[run[succeeded]], day[succeeded], failed)


def _stretches(
    grid: SunGrid, look: FirstLook, opened: OpenCells, times: Floats
) -> tuple[Floats, Ints, Bools]:
    """The stretches of lit cells, one for each of their days: (k, 2), and their owners (k,).

    A stretch ends at the crossing (`times`) of the run next to it, if that has one, else where its
    cells do; then it may not be `complete` (k,).
    """
    first = look.first
    lit = np.pad(look.state == LIT, ((0, 0), (0, 0), (1, 1)))
    lit[:, 0] = lit[:, -1] = False
    run_of = np.full(look.state.shape, -1)
    run_of[opened.cells] = opened.run
    change = lit[:, :, 1:] != lit[:, :, :-1]
    glass, row, column = np.nonzero(change)
    glass, row, begin, end = glass[::2], row[::2], column[::2], column[1::2]
    around = np.pad(run_of, ((0, 0), (0, 0), (1, 1)), constant_values=-1)
    crossings = np.concatenate([times, np.full((1, STRIDE), np.nan)])
    day = (row[:, None] - 1) * STRIDE + np.arange(STRIDE)
    midnight = grid.origin + day * DAY
    complete = np.ones(day.shape, dtype=bool)
    ends = []
    for column, beside in ((begin, begin), (end, end + 1)):
        run = around[glass, row, beside]
        time = crossings[run]
        cut, edge = np.isnan(time), column + first
        ends.append(np.where(cut, midnight + edge[:, None] * SLICE, time))
        # Where the sun is never up, nothing goes on.
        goes_on = (run >= 0) | (edge == 0) | (edge == COLUMNS)
        complete &= ~cut | ~goes_on[:, None]
    inside = day < grid.days
    owner = np.broadcast_to(glass[:, None], day.shape)
    return np.stack([edges[inside] for edges in ends], axis=1), owner[inside], complete[inside]


def _grazed(grid: SunGrid, look: FirstLook, runs: Runs, wanted: Bools) -> tuple[Floats, Ints]:
    """What is lit in the cells of runs on the days `wanted`, and the glass of each interval."""
    run, day = np.nonzero(wanted)
    owner, step = members((runs.end - runs.begin)[run])
    run, day = run[owner], day[owner]
    glass, row, column = runs.glass[run], runs.row[run], runs.begin[run] + look.first + step
    usable = grid.up[row, column] & ((row - 1) * STRIDE + day < grid.days)
    return lit_on_days(grid, look, (glass[usable], row[usable], column[usable]), day[usable])


def _joined(grid: SunGrid, parts: Floats, owner: Ints) -> tuple[Floats, Ints]:
    """Intervals of each owner with those that touch made one."""
    apart = (grid.days + 2) * DAY
    shift = owner * apart - grid.origin
    joined = join(parts + shift[:, None])
    owner = np.floor(joined[:, 0] / apart).astype(np.int64)
    return joined - (owner * apart - grid.origin)[:, None], owner
