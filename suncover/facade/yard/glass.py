"""A window among obstacles and trees, over whole stretches of the sun's path and at instants."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from suncover.facade.daylight import Daylight
from suncover.facade.frame import GRAZING
from suncover.facade.glazed import Glass
from suncover.facade.yard.changes import Shadow, beam_change, solid_shadow
from suncover.facade.yard.cones import (
    Cones,
    FlatCones,
    Path,
    Stretch,
    cones_of,
    touching,
    touching_glass,
)
from suncover.facade.yard.drift import Sway, swept
from suncover.facade.yard.lattice import Lattice, Veil
from suncover.facade.yard.solid_arrays import flat
from suncover.facade.yard.surroundings import Surroundings
from suncover.facade.yard.swing import Change, Swing
from suncover.facade.yard.yards import Yards

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

# Cells along each side of the glass in the lattices asked one after the other.
LATTICES = (1, 2, 4, 8)
# Instants whose shadows are compared together: bounds the memory.
INSTANTS_AT_ONCE = 4000
# Crowns in the way at once whose sets are all looked at.
MOST_CROWNS = 4


@dataclass(frozen=True)
class Yard:
    """A glass with its plates, its `axes`, and what stands around it.

    It is lit where more than `fraction` of it is in sun.
    """

    axes: Floats
    glass: Glass
    around: Surroundings
    fraction: float = 0.0

    @cached_property
    def _touching(self) -> tuple[Cones, ...]:
        """One for all prisms, if there are any, and one for each crown."""
        corners, prisms = self.glass.corners, self.around.prisms
        crowns = (touching(tree.crown, corners[None]) for tree in self.around.trees)
        return (*([touching_glass(prisms, corners)] if prisms else ()), *crowns)

    @cached_property
    def _covering(self) -> tuple[Cones, ...]:
        return tuple(cones_of(self.around.solids, self.glass.corners))

    @cached_property
    def _alone(self) -> Yards:
        return Yards([(self.axes, self.glass, self.around)])

    @cached_property
    def _known_lattices(self) -> dict[int, Lattice]:
        return {}

    def _lattice(self, cells: int) -> Lattice:
        if cells not in self._known_lattices:
            self._known_lattices[cells] = Lattice(self.glass, self.around.solids, cells)
        return self._known_lattices[cells]

    def settled(self, stretch: Stretch) -> Ints:
        """For whole stretches, where a share of the glass counts: 1 where what stands around ends
        no sun, or leaves enough of the glass in sun all the time; -1 where it and the plates never
        do; 0 where that is not known.

        Where the plates alone leave too little, any answer may come.
        """
        touched, veil = self.in_the_way(stretch)
        state = np.where(touched.any(axis=0), 0, 1)
        for cells in LATTICES:
            index = np.flatnonzero(state == 0)
            if len(index):
                part, met = veil.take(index), touched[:, index]
                path = stretch.path.take(index)
                state[index] = self._lattice(cells).settled(path, met, part, self.fraction)
        return state

    def settled_between(self, stretch: Stretch, shares: Floats) -> Ints:
        """The same from the `shares` (2, m) of the glass that are in sun at either end."""
        most = self._drift(stretch)
        # Farthest from both ends, each has changed by half of what is left.
        least = (shares[0] + shares[1] - most) / 2.0
        most = (shares[0] + shares[1] + most) / 2.0
        return np.where(least > self.fraction + 1e-9, 1, np.where(most < self.fraction, -1, 0))

    def _drift(self, stretch: Stretch) -> Floats:
        """By how much the share of the glass in sun may change along each stretch: (m,).

        Infinite where a crown may begin or cease to count, and where the sun may pass behind the
        glass, which ends all of it at once.
        """
        touched, veil = self.in_the_way(stretch)
        sway = Sway.along(stretch.path)
        area = self.glass.reveal * sway.swept(self.glass.width, self.glass.height)
        for plate in self.glass.plates:
            area += swept(flat(plate), self.glass, sway)
        for solid, met in zip(self.around.solids, touched, strict=True):
            index = np.flatnonzero(met)
            area[index] += swept(solid, self.glass, sway.take(index))
        steady = self._steady(touched[len(self.around.prisms) :], veil)
        return np.where(steady & sway.in_front, area / self.glass.area, np.inf)

    def beam_change(self, stretch: Stretch) -> Change:
        """How the mean share of the beam on the glass may change along each stretch: (m,).

        Crowns count by what they take of the beam, however strong it is. Infinite where leaves come
        or go, and where the sun may pass behind the glass.
        """
        swing = Swing.along(stretch.path)
        return beam_change(self.glass, swing, self._shadows(stretch, swing))

    def _shadows(self, stretch: Stretch, swing: Swing) -> Iterator[tuple[Ints, Shadow]]:
        """The shadow of each solid that may touch the glass, and in which of the stretches."""
        prisms = len(self.around.prisms)
        for number, met in enumerate(self.touched(stretch.path)):
            index = np.flatnonzero(met)
            if not len(index):
                continue
            change, box = solid_shadow(self.around.solids[number], self.glass, swing.take(index))
            # A shadow that covers all of the glass all along sweeps none of it.
            covers = self._covering[number].inside(stretch.path.take(index)).all(axis=0)
            change = change.times(np.where(covers, 0.0, 1.0))
            if number >= prisms:
                foliage = self.around.trees[number - prisms].foliage
                least, most = foliage.bounds(stretch.begin[index], stretch.end[index])
                change = change.times(1.0 - least).or_any(least < most)
            yield index, Shadow(change, box)

    @staticmethod
    def _steady(touched: Bools, veil: Veil) -> Bools:
        """Whether every set of crowns in the way either hides all the time or never does."""
        steady = touched.sum(axis=0) <= MOST_CROWNS
        index = np.flatnonzero(steady & touched.any(axis=0))
        least = most = np.ones((1, len(index)))
        for tree, met in enumerate(touched[:, index]):
            if met.any():
                least = np.concatenate([least, least * np.where(met, veil.least[tree, index], 1)])
                most = np.concatenate([most, most * np.where(met, veil.most[tree, index], 1)])
        enough = (least >= veil.needed_most[index]) | (most < veil.needed_least[index])
        steady[index] = enough.all(axis=0)
        return np.asarray(steady)

    def in_the_way(self, stretch: Stretch) -> tuple[Bools, Veil]:
        """Which solids may end the sun on some of the glass: (s, m); and what crowns leave."""
        touched = self.touched(stretch.path)
        veil = self._veil(stretch, touched)
        prisms = len(self.around.prisms)
        all_crowns = np.where(touched[prisms:], veil.least, 1.0).prod(axis=0)
        touched[prisms:] &= all_crowns < veil.needed_most
        return touched, veil

    def share(self, sun: Daylight) -> Floats:
        """Share of the glass that enough of the beam reaches at each instant, by polygons."""
        u, v, n = self.axes @ sun.direction
        share = np.zeros(sun.seconds.shape)
        front = np.flatnonzero(n > GRAZING)
        for begin in range(0, len(front), INSTANTS_AT_ONCE):
            index = front[begin : begin + INSTANTS_AT_ONCE]
            p, q = u[index] / n[index], v[index] / n[index]
            lit, met = self._look(sun.take(index))
            drawn = np.flatnonzero(lit)
            index, p, q, met = index[drawn], p[drawn], q[drawn], met[:, drawn]
            share[index] = self.around.lit_share(self.glass, p, q, sun.take(index), met)
        return share

    def lit(self, sun: Daylight) -> Bools:
        """Whether enough of the beam reaches enough of the glass at each instant."""
        if self.fraction > 0.0:
            return self.share(sun) > self.fraction + self.glass.rounding
        local = self.axes @ sun.direction
        lit = np.zeros(sun.seconds.shape, dtype=bool)
        front = np.flatnonzero(local[2] > GRAZING)
        for begin in range(0, len(front), INSTANTS_AT_ONCE):
            index = front[begin : begin + INSTANTS_AT_ONCE]
            lit[index], _ = self._look(sun.take(index))
        return lit

    def _look(self, sun: Daylight) -> tuple[Bools, Bools]:
        """Whether any of the glass is lit, and which solids may touch it: (s, n)."""
        touched = self.met(self.axes @ sun.direction)
        parts = self._alone.parts([touched])
        looks = self._alone.look(parts, np.arange(len(sun.seconds)), sun, reasons=False)
        return looks.lit, touched

    def met(self, local: Floats) -> Bools:
        """Which prisms and crowns may throw a shadow on any of the glass: (s, n).

        `local` (3, n) the sun's directions in the window's axes, all before the glass.
        """
        return self.touched(Path(local[:, None, :], np.zeros(local.shape[1])))

    def touched(self, path: Path) -> Bools:
        """The same anywhere along each of some paths in the window's axes: (s, m)."""
        touched = [~cones.outside(path) for cones in self._touching]
        return np.concatenate([np.zeros((0, len(path.slack)), dtype=bool), *touched])

    def still_touched(self, path: Path, among: Bools) -> Bools:
        """Those `among` (s, m) the prisms and crowns that may throw a shadow on any of the glass
        anywhere along each of some paths in the window's axes.
        """
        touched, prisms = among.copy(), len(self.around.prisms)
        cones_left = self._touching
        if prisms and isinstance(cones_left[0], FlatCones):
            solid, at = np.nonzero(among[:prisms])
            touched[solid, at] = cones_left[0].pairs_touched(solid, path.take(at))
            cones_left = cones_left[1:]
        for number, cones in enumerate(cones_left, prisms):
            index = np.flatnonzero(among[number])
            touched[number, index] = ~cones.outside(path.take(index))[0]
        return touched

    def _veil(self, stretch: Stretch, touched: Bools) -> Veil:
        """Where a crown may be in the sun's way; elsewhere nothing hangs on it."""
        count, trees = touched.shape[1], self.around.trees
        least = np.ones((len(trees), count))
        most, low, high = least.copy(), np.zeros(count), np.zeros(count)
        index = np.flatnonzero(touched[len(self.around.prisms) :].any(axis=0))
        if len(index):
            begin, end = stretch.begin[index], stretch.end[index]
            for number, tree in enumerate(trees):
                least[number, index], most[number, index] = tree.foliage.bounds(begin, end)
            path = stretch.path.take(index)
            up = np.einsum("k,kcm->cm", self.axes[:, 2], path.nodes)
            sines = up.min(axis=0) - path.slack, up.max(axis=0) + path.slack
            low[index], high[index] = self.around.light.needed_between(begin, end, *sines)
        return Veil(least, most, low, high)
