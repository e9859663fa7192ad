"""The sun of a day about each of some instants, and when it comes onto a window and leaves it."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from suncover.facade.daylight import Daylight
from suncover.facade.scene import SpotScene, WindowScene
from suncover.sun.position import Observer

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
Rows = NDArray[np.intp]
Change = tuple[float, bool]
"""Minutes from an instant, and whether sun begins there."""

HALF_DAY = 12 * 3600.0
STEP = 240.0  # seconds between looks at a window; shorter spells of sun nobody would note
PARTS = 16  # of a step, twice over: then to the second


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
        before = grid[row, column]
        begin, width = np.zeros(len(row)), 1.0
        for _ in range(2 if len(row) else 0):
            # All parts of all steps at once: few large questions are answered sooner than many.
            parts = begin[:, None] + width * np.arange(1, PARTS) / PARTS
            unchanged = self._lit_within(scene, row, column, parts) == before[:, None]
            begin = begin + width * np.cumprod(unchanged, axis=1).sum(axis=1) / PARTS
            width /= PARTS
        at = (begin + width / 2.0 + column) * STEP - HALF_DAY
        result: list[list[Change]] = [[] for _ in grid]
        for index, minutes, was in zip(
            row.tolist(), (at / 60.0).tolist(), before.tolist(), strict=True
        ):
            result[index].append((minutes, not was))
        return result

    def _lit_within(
        self, scene: WindowScene | SpotScene, row: Rows, column: Rows, part: Floats
    ) -> Bools:
        """Whether the window is lit when `part` (k, m) of the step from each column has passed.

        In four minutes the sun's path is so nearly straight that a place on the chord will do.
        """
        low = self._direction[:, row, column, None]
        high = self._direction[:, row, column + 1, None]
        direction = low * (1.0 - part) + high * part
        direction /= np.sqrt((direction**2).sum(axis=0))
        seconds = self.times[row, column][:, None] + part * STEP
        lit = scene.lit(Daylight(seconds.ravel(), direction.reshape(3, -1)))
        return np.asarray(lit).reshape(part.shape)
