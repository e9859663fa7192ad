"""Points of a window's glass, evenly over it, and what they tell of it along the sun's path."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from suncover.facade.cones import Cones, FlatCones, Path, cones_of, touching, wall_cones
from suncover.facade.glazed import Glass
from suncover.facade.solids import Crown, Prism

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]


@dataclass(frozen=True)
class Veil:
    """What the crowns let through at `least` and at `most`, (t, m), and how much the sun must give
    to count: (m,) each.
    """

    least: Floats
    most: Floats
    needed_least: Floats
    needed_most: Floats

    def take(self, keep: NDArray[np.intp]) -> Veil:
        """Only the stretches that `keep` picks."""
        least, most = self.least[:, keep], self.most[:, keep]
        return Veil(least, most, self.needed_least[keep], self.needed_most[keep])


class Lattice:
    """Points of the glass, `cells` by `cells` cells apart, and the cones from them."""

    def __init__(self, glass: Glass, solids: tuple[Prism | Crown, ...], cells: int) -> None:
        x, y = np.linspace(0.0, glass.width, cells + 1), np.linspace(0.0, glass.height, cells + 1)
        grid = np.meshgrid(x, y, [0.0], indexing="ij")
        self._points = np.stack([axis.ravel() for axis in grid], axis=-1)
        self._cells, self._glass, self._all = cells, glass, solids
        self._known: dict[int, Cones] = {}
        self._known_cells: dict[int, Cones] = {}

    def settled(self, path: Path, touched: Bools, veil: Veil, fraction: float) -> Ints:
        """1 where more than `fraction` of the glass is in sun all along, -1 where never, else 0.

        `touched` (s, m) tells which solids may throw a shadow on the glass in which stretch.
        """
        if fraction > 0.0:
            return self._share_settled(path, touched, veil, fraction)
        count = len(path.slack)
        free = np.ones((len(self._points), count), dtype=bool)
        hidden = np.zeros((self._cells**2, count), dtype=bool)
        least, most = np.ones(free.shape), np.ones(hidden.shape)
        for cones in self._walls:
            inside, outside = cones.sides(path)
            free &= outside
            hidden |= self._whole_cells(inside)
        first_tree = len(self._all) - len(veil.least)
        for number, some in self._there(touched):
            inside, outside = self._cones(number).sides(path.take(some))
            whole = self._whole_cells(inside)
            if number < first_tree:
                free[:, some] &= outside
                hidden[:, some] |= whole
            else:
                tree = number - first_tree
                least[:, some] *= np.where(outside, 1.0, veil.least[tree, some])
                most[:, some] *= np.where(whole, veil.most[tree, some], 1.0)
        lit = (free & (least >= veil.needed_most)).any(axis=0)
        dark = (hidden | (most < veil.needed_least)).all(axis=0)
        return np.where(lit, 1, np.where(dark, -1, 0))

    def _share_settled(self, path: Path, touched: Bools, veil: Veil, fraction: float) -> Ints:
        count = len(path.slack)
        free = np.ones((self._cells**2, count), dtype=bool)
        hidden = np.zeros(free.shape, dtype=bool)
        least, most = np.ones(free.shape), np.ones(free.shape)
        for cones in self._walls:
            # A cell on the outer side of one line of a shadow is clear of it.
            beyond = cones.beyond(path)
            sides = [self._whole_cells(beyond[:, side]) for side in range(beyond.shape[1])]
            free &= np.logical_or.reduce(sides)
            hidden |= self._whole_cells(cones.sides(path)[0])
        first_tree = len(self._all) - len(veil.least)
        for number, some in self._there(touched):
            part = path.take(some)
            whole = self._whole_cells(self._cones(number).sides(part)[0])
            outside = self._cell_cones(number).sides(part)[1]
            if number < first_tree:
                free[:, some] &= outside
                hidden[:, some] |= whole
            else:
                tree = number - first_tree
                least[:, some] *= np.where(outside, 1.0, veil.least[tree, some])
                most[:, some] *= np.where(whole, veil.most[tree, some], 1.0)
        lit = (free & (least >= veil.needed_most)).mean(axis=0) > fraction + 1e-9
        dark = (hidden | (most < veil.needed_least)).mean(axis=0) >= 1.0 - fraction
        return np.where(lit, 1, np.where(dark, -1, 0))

    def _cell_cones(self, number: int) -> Cones:
        if number not in self._known_cells:
            grid = self._points.reshape(self._cells + 1, self._cells + 1, 3)
            ring = [grid[:-1, :-1], grid[1:, :-1], grid[1:, 1:], grid[:-1, 1:]]
            corners = np.stack(ring, axis=2).reshape(-1, 4, 3)
            self._known_cells[number] = touching(self._all[number], corners)
        return self._known_cells[number]

    @cached_property
    def _walls(self) -> tuple[FlatCones, ...]:
        return tuple(wall_cones(self._glass, self._points))

    def _cones(self, number: int) -> Cones:
        if number not in self._known:
            self._known[number] = cones_of(self._all[number], self._points)
        return self._known[number]

    @staticmethod
    def _there(touched: Bools) -> Iterator[tuple[int, NDArray[np.intp]]]:
        for number, where in enumerate(touched):
            some = np.flatnonzero(where)
            if len(some):
                yield number, some

    def _whole_cells(self, inside: Bools) -> Bools:
        """Whether a convex shadow that holds these points holds each cell."""
        side = self._cells + 1
        grid = inside.reshape(side, side, -1)
        whole = grid[1:, 1:] & grid[:-1, 1:] & grid[1:, :-1] & grid[:-1, :-1]
        return whole.reshape(self._cells**2, -1)
