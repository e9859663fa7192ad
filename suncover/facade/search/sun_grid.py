"""The sun over a season on a grid of dates and times of day, for all windows of a place.

Rows of cells are blocks of days, columns slices of the day, counted from local mean midnight.
Within a cell the sun's direction strays from what lies between its four corners by no more than an
eighth of the squared steps times the bounds of its second derivatives: its `slack`.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from suncover.sun.position import DAY, Observer, directions_at

Floats = NDArray[np.float64]
Singles = NDArray[np.float32]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

# The grid: rows of days, columns of the time of day in seconds.
STRIDE, SLICE = 8, 1200.0
COLUMNS = round(DAY / SLICE)
# Bounds of the sun's apparent motion. Along its daily path, radians a second; from day to day at
# one clock time, radians.
SPEED, DAILY = 7.3e-5, 0.0076
# The acceleration along its path, by the square of its speed, and the change of the step from day
# to day: more where refraction changes fast, below the first of these heights (sines), between
# them, and above.
HEIGHTS = (0.0525, 0.09)
BENDING, DAILY_CHANGE = (3.5, 1.5, 1.06), (1.9e-4, 1.5e-4, 1.5e-4)
# So far (sines) may the sun stand above the highest corner of a cell, with room to spare.
MARGIN = 0.02
# What single precision may add to a value that is a sum of a few products of at most 1.
SINGLE = 1e-6


def bending_along(height: Floats) -> Floats:
    """The bound of the sun's acceleration along its path, by the square of its speed, where it
    stands no lower than `height` (a sine).
    """
    return np.array(BENDING)[np.searchsorted(HEIGHTS, height, side="right")]


def bending_across(height: Floats) -> Floats:
    """The bound of the change of its step from day to day, in radians, likewise."""
    return np.array(DAILY_CHANGE)[np.searchsorted(HEIGHTS, height, side="right")]


def motion_slack(height: Floats, step: float, stride: int) -> tuple[Floats, Floats]:
    """How far a component of the sun's direction, and a product of two, leave the range of their
    values at the corners of cells of `stride` days by `step` seconds.

    A product u n of two components has the second derivative u'' n + 2 u' n' + u n''. The direction
    s is a unit vector, so that is no more than |s''| + |s'|².
    """
    turn, drift = SPEED * step, stride * DAILY
    along, across = bending_along(height) * turn**2, bending_across(height) * stride**2
    return (along + across) / 8.0, (along + turn**2 + across + drift**2) / 8.0


def slope_slack(height: Floats, step: float, stride: int) -> tuple[Floats, Floats]:
    """How far the change over `step` seconds at any day and time within such a cell, of a component
    and of a product of two, strays from the changes along its two edges.
    """
    turn, drift = SPEED * step, stride * DAILY
    bending, day = bending_along(height), bending_across(height) * stride**2
    along = bending * turn**2
    # What a step changes in a day's bending: it turns with the sky, and refraction's part of it can
    # differ at both ends; near the horizon that is nearly all of it.
    across = np.where(height < HEIGHTS[0], 2.0, turn + 2.0 * (bending - 1.0)) * day
    across2 = across + day * turn + 2.0 * turn * drift**2
    return along / 2.0 + across / 8.0, (along + turn**2) / 2.0 + across2 / 8.0


@dataclass(frozen=True)
class SunGrid:
    """The sun over `days` days from `origin` (unix seconds), local mean midnight of a place.

    Its lines are the dates at which rows of cells meet: one more before the first row, and one more
    after the last, than the rows have edges. Line 1 is `origin`. Lower than `floor` (a sine) the
    sun does not count.
    """

    observer: Observer
    origin: float
    days: int
    floor: float = 0.0

    @property
    def rows(self) -> int:
        """Blocks of days."""
        return -(-self.days // STRIDE)

    @cached_property
    def directions(self) -> Floats:
        """Apparent sun where lines and columns cross: (3, rows + 3, COLUMNS + 1)."""
        lines = np.arange(-1, self.rows + 2)
        times = (
            self.origin + lines[:, None] * STRIDE * DAY + np.arange(COLUMNS + 1)[None, :] * SLICE
        )
        return directions_at(times, self.observer, smooth=True)

    @cached_property
    def _highest_and_lowest(self) -> tuple[Floats, Floats]:
        heights = self.directions[2]
        pairs = np.stack([heights[:, :-1], heights[:, 1:]])
        high, low = pairs.max(axis=0), pairs.min(axis=0)
        return np.maximum(high[:-1], high[1:]), np.minimum(low[:-1], low[1:])

    @cached_property
    def up(self) -> Bools:
        """Cells between neighbouring lines in which the sun may be up and count: (rows + 2,
        COLUMNS).
        """
        up = self._highest_and_lowest[0] > self.floor - MARGIN
        up[0] = up[-1] = False
        return up

    @cached_property
    def cells(self) -> tuple[Ints, Ints]:
        """Rows (from 0) and columns of the cells in which the sun may be up."""
        rows, columns = np.nonzero(self.up)
        return rows - 1, columns

    @cached_property
    def corners(self) -> Floats:
        """Sun at the four corners of those cells: (3, 4, cells)."""
        rows, columns = self.cells
        steps = ((1, 0), (1, 1), (2, 0), (2, 1))
        return np.stack(
            [self.directions[:, rows + down, columns + right] for down, right in steps], axis=1
        )

    @cached_property
    def columns(self) -> tuple[int, int]:
        """The columns, from the first up to the last, in which the sun is ever up.

        With one more to either side, so that what begins with the first sun is seen to begin.
        """
        sunny = np.flatnonzero(self.up.any(axis=0))
        if len(sunny) == 0:
            return 0, 0
        return max(int(sunny[0]) - 1, 0), min(int(sunny[-1]) + 2, COLUMNS)

    @property
    def lowest(self) -> Floats:
        """Sine of the sun's least height at the corners of each cell: (rows + 2, COLUMNS)."""
        return self._highest_and_lowest[1]

    @cached_property
    def slack(self) -> tuple[Singles, Singles]:
        """`motion_slack` of every cell."""
        first, second = motion_slack(self.lowest, SLICE, STRIDE)
        return (first + SINGLE).astype(np.float32), (second + SINGLE).astype(np.float32)

    @cached_property
    def slope_slack(self) -> tuple[Singles, Singles]:
        """`slope_slack` of every cell."""
        first, second = slope_slack(self.lowest, SLICE, STRIDE)
        return (first + SINGLE).astype(np.float32), (second + SINGLE).astype(np.float32)

    @cached_property
    def components(self) -> Singles:
        """Components of the directions, and their products: east, north, up, then east², north²,
        up², east north, east up, north up: (9, rows + 3, COLUMNS + 1).
        """
        east, north, up = self.directions
        products = [east * east, north * north, up * up, east * north, east * up, north * up]
        return np.stack([east, north, up, *products]).astype(np.float32)
