"""Points of a window's glass, evenly over it, and what they tell of it along the sun's path."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import cached_property
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from suncover.facade.glazed import Glass
from suncover.facade.yard.cones import Cones, FlatCones, Path, cones_of, touching, wall_cones
from suncover.facade.yard.solids import Crown, Prism

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]


class Veil(NamedTuple):
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
        hidden = np.zeros((self._cells**2, len(path.slack)), dtype=bool)
        free, least, most = ~hidden, np.ones(hidden.shape), np.ones(hidden.shape)
        for cones in self._walls:
            clear, full = self._past_wall(cones, path)
            free &= clear
            hidden |= full
        first_tree = len(self._all) - len(veil.least)
        in_the_way = list(self._with_solids(touched))
        self._know([number for number, _ in in_the_way])
        for number, index in in_the_way:
            clear, full = self._past_solid(number, path.take(index))
            if number < first_tree:
                free[:, index] &= clear
                hidden[:, index] |= full
            else:
                tree = number - first_tree
                least[:, index] *= np.where(clear, 1.0, veil.least[tree, index])
                most[:, index] *= np.where(full, veil.most[tree, index], 1.0)
        bright = free & (least >= veil.needed_most)
        dark = hidden | (most < veil.needed_least)
        lit, unlit = bright.mean(axis=0) > fraction + 1e-9, dark.mean(axis=0) >= 1.0 - fraction
        return np.where(lit, 1, np.where(unlit, -1, 0))

    def _past_wall(self, cones: FlatCones, path: Path) -> tuple[Bools, Bools]:
        """Which cells of the glass are clear of a plate or a side of the reveal all along each
        stretch, and which are wholly in its shadow.
        """
        # A cell on the outer side of one line of a shadow is clear of it.
        beyond = cones.beyond(path)
        sides = [self._whole_cells(beyond[:, side]) for side in range(beyond.shape[1])]
        return np.logical_or.reduce(sides), self._whole_cells(cones.inside(path))

    def _past_solid(self, number: int, path: Path) -> tuple[Bools, Bools]:
        """The same of a solid, by its number."""
        inside = self._known[number].inside(path)
        return self._cell_cones(number).outside(path), self._whole_cells(inside)

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

    def _know(self, numbers: Sequence[int]) -> None:
        """Work out the cones of some solids, those together that are asked for at first."""
        fresh = [number for number in numbers if number not in self._known]
        cones = cones_of([self._all[number] for number in fresh], self._points)
        self._known.update(zip(fresh, cones, strict=True))

    @staticmethod
    def _with_solids(touched: Bools) -> Iterator[tuple[int, NDArray[np.intp]]]:
        for number, where in enumerate(touched):
            index = np.flatnonzero(where)
            if len(index):
                yield number, index

    def _whole_cells(self, inside: Bools) -> Bools:
        """Whether a convex shadow that holds these points holds each cell."""
        side = self._cells + 1
        grid = inside.reshape(side, side, -1)
        cells = grid[1:, 1:] & grid[:-1, 1:] & grid[1:, :-1] & grid[:-1, :-1]
        return cells.reshape(self._cells**2, -1)
