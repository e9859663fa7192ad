"""The sun of a day about each of some instants, and when it comes onto a window and leaves it."""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from suncover.facade.daylight import Daylight
from suncover.facade.scene import SpotScene, WindowScene
from suncover.facade.spots import Spots
from suncover.sun.position import Observer

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
Rows = NDArray[np.intp]
Change = tuple[float, bool]
"""Minutes from an instant, and whether sun begins there."""


class SpotChanges(NamedTuple):
    """Changes (m,) from sun to shade and back: at which spot, about which instant (`row`), how many
    minutes from it, and whether sun begins. In the order of spots, then of instants, then of time.
    """

    spot: Rows
    row: Rows
    minutes: Floats
    begins: Bools


HALF_DAY = 12 * 3600.0
STEP = 240.0  # seconds between looks at a window; shorter spells of sun nobody would note
PARTS = 16  # of a step, twice over: then to the second
FEW_PARTS = 4  # four times over, where so much is asked together that the number of calls is little


class SunAround:
    """The sun in the half day before and after each of some instants (unix seconds).

    It is the same for all windows of a site: let them share it. `instants` are kept in order, each
    once; grids have a row for each, and a column for each look.
    """

    def __init__(self, observer: Observer, instants: Floats) -> None:
        self.instants = np.unique(instants)
        around = np.arange(-HALF_DAY, HALF_DAY + STEP / 2, STEP)
        self.times = self.instants[:, None] + around
        all_day = Daylight.of(self.times.ravel(), observer)
        self._direction = all_day.direction.reshape(3, *self.times.shape)
        self._up = np.flatnonzero(all_day.elevation > 0.0)
        self._daylight = all_day.take(self._up)

    def lit(self, scene: WindowScene | SpotScene, among: Bools | None = None) -> Bools:
        """The grid of looks at which a window is in sun; looked at only `among` those of a grid."""
        looks, sun = self._up, self._daylight
        if among is not None:
            keep = among.ravel()[looks]
            looks, sun = looks[keep], sun.take(keep)
        grid = np.zeros(self.times.size, dtype=bool)
        grid[looks] = scene.lit(sun)
        return grid.reshape(self.times.shape)

    def changes(self, scene: WindowScene | SpotScene, grid: Bools) -> list[list[Change]]:
        """For each instant, when the sun comes and leaves; `grid` is what `lit` has found."""
        row, column = np.nonzero(grid[:, 1:] != grid[:, :-1])
        was = grid[row, column]
        minutes = self._closed_in(lambda sun, _: scene.lit(sun), row, column, was, PARTS)
        result: list[list[Change]] = [[] for _ in grid]
        for index, minute, before in zip(row.tolist(), minutes.tolist(), was.tolist(), strict=True):
            result[index].append((minute, not before))
        return result

    def spot_changes(self, spots: Spots, first_min: float, last_min: float) -> SpotChanges:
        """When the sun comes to each of some spots and leaves it, between such minutes from each
        instant.
        """
        columns = (self.times[0] - self.instants[0]) / 60.0
        near = np.tile((columns >= first_min) & (columns <= last_min), len(self.times))[self._up]
        grid = np.zeros((len(spots.points), self.times.size), dtype=bool)
        grid[:, self._up[near]] = spots.lit(self._daylight.take(near))
        grid = grid.reshape(-1, *self.times.shape)
        spot, row, column = np.nonzero(grid[:, :, 1:] != grid[:, :, :-1])
        was = grid[spot, row, column]

        def lit(sun: Daylight, parts: int) -> Bools:
            return spots.lit_pairs(np.repeat(spot, parts), sun)

        minutes = self._closed_in(lit, row, column, was, FEW_PARTS)
        return SpotChanges(spot, row, minutes, ~was)

    def _closed_in(
        self,
        lit: Callable[[Daylight, int], Bools],
        row: Rows,
        column: Rows,
        was: Bools,
        count: int,
    ) -> Floats:
        """Minutes from the instant of each `row` at which what `was` so at `column` ends, within
        the step from there.

        `lit` is asked about the ends of `count` parts of each step together, of all but the last.
        """
        begin, width = np.zeros(len(row)), 1.0
        while len(row) and width > 1.5 / PARTS**2:
            # Many parts of all steps at once: few large questions are answered sooner than many.
            parts = begin[:, None] + width * np.arange(1, count) / count
            answer = np.asarray(lit(self._within(row, column, parts), count - 1))
            unchanged = answer.reshape(parts.shape) == was[:, None]
            begin = begin + width * np.cumprod(unchanged, axis=1).sum(axis=1) / count
            width /= count
        return np.asarray(((begin + width / 2.0 + column) * STEP - HALF_DAY) / 60.0)

    def _within(self, row: Rows, column: Rows, part: Floats) -> Daylight:
        """The sun when `part` (k, m) of the step from each column has passed.

        In four minutes the sun's path is so nearly straight that a place on the chord will do.
        """
        low = self._direction[:, row, column, None]
        high = self._direction[:, row, column + 1, None]
        direction = low * (1.0 - part) + high * part
        direction /= np.sqrt((direction**2).sum(axis=0))
        seconds = self.times[row, column][:, None] + part * STEP
        return Daylight(seconds.ravel(), direction.reshape(3, -1))
