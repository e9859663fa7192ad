"""Exact times of sun on windows among obstacles and trees, from few instants.

Cells of days and minutes, as in `suncover.sweep`: what their corners tell holds throughout if the
margin is larger than what the sun strays between them. What stays open is halved down to minutes,
and asked at every ten seconds.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from suncover.crossings import common, join, sampled
from suncover.facade.cones import Path
from suncover.facade.scene import WindowScene
from suncover.facade.yard import Stretch, Yard
from suncover.sun import DAY, Observer, sun_directions
from suncover.sweep.sun_grid import SLICE, STRIDE, SunGrid, motion_slack

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

# Steps in seconds, for what stays open: the first are the grid's cells, one day each.
STEPS = (SLICE, 300.0, 60.0)


def yard_intervals(scene: WindowScene, grids: Sequence[SunGrid], without: Floats) -> Floats:
    """When a window is lit past its surroundings: intervals (n, 2), sorted, disjoint.

    `without` are the times at which it is lit with nothing around it, likewise. Any sun on the
    glass counts.
    """
    assert scene.yard is not None
    found = [np.zeros((0, 2))]
    for grid in grids:
        found += _search(scene.yard, grid, without)
    return common(without, join(np.concatenate(found)))


def _search(yard: Yard, grid: SunGrid, without: Floats) -> list[Floats]:
    rows, columns = grid.cells
    corners = np.einsum("ij,jcm->icm", yard.axes, grid.corners)
    slack = cell_slack(grid.corners[2].min(axis=0), SLICE, STRIDE)
    begin = grid.origin + rows * STRIDE * DAY + columns * SLICE
    end = begin + (STRIDE - 1) * DAY + SLICE
    some = np.flatnonzero((corners[2].max(axis=0) + slack > 0.0) & _meets(without, begin, end))
    state = yard.settled(Stretch(begin[some], end[some], Path(corners[:, :, some], slack[some])))
    found = [_days(grid, begin[some[state > 0]])]
    opened = _days(grid, begin[some[state == 0]])
    begin = opened[:, 0]
    for step, finer in zip(STEPS, (*STEPS[1:], 0.0), strict=True):
        begin = begin[_meets(without, begin, begin + step)]
        state = _settle(yard, grid.observer, begin, step)
        lit = begin[state > 0]
        found.append(np.stack([lit, lit + step], axis=1))
        begin = begin[state == 0]
        if finer:
            begin = (begin[:, None] + np.arange(round(step / finer)) * finer).ravel()
    found.append(sampled(yard, grid.observer, begin, STEPS[-1]))
    return found


def _settle(yard: Yard, observer: Observer, begin: Floats, step: float) -> Ints:
    ends = sun_directions(np.stack([begin, begin + step]), observer, smooth=True)
    slack = cell_slack(ends[2].min(axis=0), step, 0)
    nodes = np.einsum("ij,jcm->icm", yard.axes, ends)
    return yard.settled(Stretch(begin, begin + step, Path(nodes, slack)))


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
