"""The sun's paths over cells of the grid and over stretches of a day, and how far it strays."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from suncover.facade.daylight import Daylight
from suncover.facade.frame import in_axes
from suncover.facade.search.sun_grid import SLICE, SPEED, STRIDE, SunGrid, motion_slack
from suncover.facade.yard.cones import Path, Stretch
from suncover.sun.position import DAY, Observer, directions_at

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

# The third derivative of the sun's direction, by the third power of its speed, between heights
# (sines): refraction bends its path near the horizon. And what rounding may add, in radians.
HEIGHTS = (0.0, 0.02, 0.0525, 0.09, 0.12, 0.2)
TWISTING, SPARE = (3e4, 300.0, 75.0, 35.0, 12.0, 6.0, 2.0), 1e-7


def stretches_of(begin: Floats, end: Floats, observer: Observer, axes: Floats) -> Stretch:
    """Stretches of time (m,) within a day, and the sun's paths in them in a window's `axes` (3, 3),
    or in those of the window of each (m, 3, 3).

    The path is nearly a parabola, which lies within the triangle of its ends and of where its
    tangents there meet: these are the nodes. Through the sun's places at both ends and in the
    middle, it leaves the sun no more than h³ / 72 √3 times the third derivative.
    """
    times = np.stack([begin, (begin + end) / 2.0, end])
    places = directions_at(times, observer, smooth=True)
    slack = parabola_slack(places[2].min(axis=0), end - begin)
    places[:, 1] = 2.0 * places[:, 1] - (places[:, 0] + places[:, 2]) / 2.0
    return Stretch(begin, end, Path(in_axes(places, axes), slack))


def parabola_slack(height: Floats, step: Floats | float) -> Floats:
    """How far the sun strays from a parabola through three of its places over `step` seconds, in
    radians; `height` is the sine of the lowest's elevation.
    """
    bound = np.array(TWISTING)[np.searchsorted(HEIGHTS, height, side="right")]
    return np.asarray(bound * (SPEED * step) ** 3 / (72.0 * np.sqrt(3.0)) + SPARE)


def cell_slack(height: Floats, step: float, stride: int) -> Floats:
    """How far the sun strays from between the corners of a cell, in radians.

    `height` is the sine of its lowest corner's elevation; `step` seconds by `stride` days.
    """
    return motion_slack(height, step, stride)[0]


class Cells(NamedTuple):
    """Some of the grid's cells, in order: rows and columns (k,), and what they take of time."""

    row: Ints
    column: Ints
    stretch: Stretch


def sun_at(times: Floats, observer: Observer) -> Daylight:
    """The sun at unix seconds, as the paths have it: refraction that ends below the horizon would
    make what is lit jump between two instants of which one has sun.
    """
    return Daylight(times, directions_at(times, observer, smooth=True))


def cells_of(grid: SunGrid, axes: Floats, intervals: Floats) -> Cells:
    """Those of the grid's cells that have any of the `intervals` (n, 2), sorted and disjoint, and
    the sun before the glass; with paths in the window's `axes`.
    """
    rows, columns = grid.cells
    corners = np.einsum("ij,jcm->icm", axes, grid.corners)
    slack = cell_slack(grid.corners[2].min(axis=0), SLICE, STRIDE)
    begin = grid.origin + rows * STRIDE * DAY + columns * SLICE
    end = begin + (STRIDE - 1) * DAY + SLICE
    front = corners[2].max(axis=0) + slack > 0.0
    index = np.flatnonzero(front & meets(intervals, begin, end))
    stretch = Stretch(begin[index], end[index], Path(corners[:, :, index], slack[index]))
    return Cells(rows[index], columns[index], stretch)


def days_of_cells(grid: SunGrid, begin: Floats) -> Floats:
    """Cells that begin at `begin`, one slice for each of their days: intervals (k, 2)."""
    begins = begin[:, None] + np.arange(STRIDE) * DAY
    begins = begins[begins < grid.origin + grid.days * DAY]
    return np.stack([begins, begins + SLICE], axis=1)


def meets(intervals: Floats, begin: Floats, end: Floats) -> Bools:
    """Whether any of sorted, disjoint `intervals` has time between each `begin` and `end`."""
    if len(intervals) == 0:
        return np.zeros(begin.shape, dtype=bool)
    following = np.searchsorted(intervals[:, 1], begin, side="right")
    starts = np.append(intervals[:, 0], np.inf)
    return np.asarray(starts[following] < end)
