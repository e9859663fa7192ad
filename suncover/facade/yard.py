"""A window among obstacles and trees, over whole stretches of the sun's path and at instants."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from suncover.facade.cones import Cones, FlatCones, Path, cones_of, touching, wall_cones
from suncover.facade.cover import Cover
from suncover.facade.daylight import Daylight
from suncover.facade.glazed import Glass
from suncover.facade.solids import Crown, Prism
from suncover.facade.surroundings import Surroundings
from suncover.sun import DAY

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

# Cells along each side of the glass in the lattices asked one after the other.
LATTICES = (1, 2, 4, 8)
# Instants whose shadows are compared together: bounds the memory.
INSTANTS_AT_ONCE = 4000


@dataclass(frozen=True)
class Stretch:
    """Stretches of time from `begin` to `end` (m,), unix seconds, or of the same time of day on
    each day between; and the sun's path in them.
    """

    begin: Floats
    end: Floats
    path: Path

    def take(self, keep: NDArray[np.intp]) -> Stretch:
        """Only those that `keep` picks."""
        return Stretch(self.begin[keep], self.end[keep], self.path.take(keep))


@dataclass(frozen=True)
class _Veil:
    """What the crowns let through at `least` and at `most`, (t, m), and how much the sun must give
    to count: (m,) each.
    """

    least: Floats
    most: Floats
    needed_least: Floats
    needed_most: Floats


@dataclass(frozen=True)
class Yard:
    """A glass with its plates, its `axes`, and what stands around it."""

    axes: Floats
    glass: Glass
    around: Surroundings

    @cached_property
    def _solids(self) -> tuple[Prism | Crown, ...]:
        return (*self.around.prisms, *(tree.crown for tree in self.around.trees))

    @cached_property
    def _touching(self) -> tuple[Cones, ...]:
        return tuple(touching(solid, self.glass) for solid in self._solids)

    @cached_property
    def _cover(self) -> Cover:
        return Cover(self.glass, self._solids)

    @cached_property
    def _lattices(self) -> tuple[_Lattice, ...]:
        return tuple(_Lattice(self.glass, self._solids, cells) for cells in LATTICES)

    def settled(self, stretch: Stretch) -> Ints:
        """For whole stretches: 1 where what stands around ends no sun, or leaves some of the glass
        in sun all the time; -1 where it and the plates leave none; 0 where that is not known.

        Where the plates alone leave no sun, any answer may come.
        """
        touched = self._touched(stretch.path)
        veil = self._veil(stretch, touched)
        prisms = len(self.around.prisms)
        all_crowns = np.where(touched[prisms:], veil.least, 1.0).prod(axis=0)
        touched[prisms:] &= all_crowns < veil.needed_most
        state = np.where(touched.any(axis=0), 0, 1)
        for lattice in self._lattices:
            some = np.flatnonzero(state == 0)
            if len(some):
                part = _take(veil, some)
                state[some] = lattice.settled(stretch.path.take(some), touched[:, some], part)
        return state

    def lit(self, sun: Daylight) -> Bools:
        """Whether enough of the beam reaches any of the glass at each instant."""
        local = self.axes @ sun.direction
        lit = np.zeros(sun.seconds.shape, dtype=bool)
        front = np.flatnonzero(local[2] > 1e-12)
        for begin in range(0, len(front), INSTANTS_AT_ONCE):
            some = front[begin : begin + INSTANTS_AT_ONCE]
            lit[some] = self._lit(sun.take(some), local[:, some])
        return lit

    def _lit(self, sun: Daylight, local: Floats) -> Bools:
        p, q = local[0] / local[2], local[1] / local[2]
        touched = self._touched(Path(local[:, None, :], np.zeros(len(p))))
        shares = np.where(touched, 0.0, 1.0)
        needed = np.full(p.shape, np.nextafter(0.0, 1.0))
        if self.around.trees:
            days = np.floor(sun.seconds / DAY).astype(np.int64)
            needed = self.around.light.needed(days, sun.elevation)
            number = len(self.around.prisms)
            crowns = np.stack([tree.foliage.share(sun.seconds) for tree in self.around.trees])
            crowns = np.where(touched[number:], crowns, 1.0)
            shares[number:] = np.where(crowns.prod(axis=0) >= needed, 1.0, crowns)
        state = self._cover.state(p, q, shares, needed)
        drawn = np.flatnonzero(state == 0)
        share = self.around.lit_share(self.glass, p[drawn], q[drawn], sun.take(drawn))
        state[drawn] = np.where(share > self.glass.rounding, 1, -1)
        return state > 0

    def _touched(self, path: Path) -> Bools:
        found = [~cones.sides(path)[1][0] for cones in self._touching]
        return np.array(found, dtype=bool).reshape(len(found), len(path.slack))

    def _veil(self, stretch: Stretch, touched: Bools) -> _Veil:
        """Where a crown may be in the sun's way; elsewhere nothing hangs on it."""
        count, trees = touched.shape[1], self.around.trees
        least = np.ones((len(trees), count))
        most, low, high = least.copy(), np.zeros(count), np.zeros(count)
        some = np.flatnonzero(touched[len(self.around.prisms) :].any(axis=0))
        if len(some):
            begin, end = stretch.begin[some], stretch.end[some]
            for number, tree in enumerate(trees):
                least[number, some], most[number, some] = tree.foliage.bounds(begin, end)
            low[some], high[some] = self._needed(stretch.take(some))
        return _Veil(least, most, low, high)

    def _needed(self, stretch: Stretch) -> tuple[Floats, Floats]:
        """The least and the largest share of the beam that counts as sun in each stretch."""
        up = np.einsum("k,kcm->cm", self.axes[:, 2], stretch.path.nodes)
        lowest = _degrees(up.min(axis=0) - stretch.path.slack)
        highest = _degrees(up.max(axis=0) + stretch.path.slack)
        first = np.floor(stretch.begin / DAY).astype(np.int64)
        last = np.floor(stretch.end / DAY).astype(np.int64)
        least, most = np.full(lowest.shape, np.inf), np.zeros(lowest.shape)
        for later in range(int((last - first).max()) + 1):
            days = np.minimum(first + later, last)
            least = np.minimum(least, self.around.light.needed(days, highest))
            most = np.maximum(most, self.around.light.needed(days, lowest))
        return least, most


class _Lattice:
    """Points of the glass, `cells` by `cells` cells apart, and the cones from them."""

    def __init__(self, glass: Glass, solids: tuple[Prism | Crown, ...], cells: int) -> None:
        x, y = np.linspace(0.0, glass.width, cells + 1), np.linspace(0.0, glass.height, cells + 1)
        grid = np.meshgrid(x, y, [0.0], indexing="ij")
        self._points = np.stack([axis.ravel() for axis in grid], axis=-1)
        self._cells, self._glass, self._all = cells, glass, solids
        self._known: dict[int, Cones] = {}

    def settled(self, path: Path, touched: Bools, veil: _Veil) -> Ints:
        """As `Yard.settled`, of stretches in which some of the solids may touch the glass."""
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


def _take(veil: _Veil, some: NDArray[np.intp]) -> _Veil:
    return _Veil(
        veil.least[:, some], veil.most[:, some], veil.needed_least[some], veil.needed_most[some]
    )


def _degrees(sine: Floats) -> Floats:
    return np.degrees(np.arcsin(np.clip(sine, -1.0, 1.0)))
