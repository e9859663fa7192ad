"""A window among obstacles and trees, over whole stretches of the sun's path and at instants."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from suncover.facade.daylight import Daylight
from suncover.facade.frame import GRAZING
from suncover.facade.glazed import Glass
from suncover.facade.yard.cones import Cones, Path, cones_of, touching, touching_glass
from suncover.facade.yard.cover import Cover, flat
from suncover.facade.yard.drift import Sway, swept
from suncover.facade.yard.lattice import Lattice, Veil
from suncover.facade.yard.partly import swept_by_rim
from suncover.facade.yard.solids import Crown, Prism
from suncover.facade.yard.surroundings import Surroundings
from suncover.sun.position import DAY

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

# Cells along each side of the glass in the lattices asked one after the other; and where any sun at
# all counts, in stretches up to so many seconds long: the longer, the less the finer ones tell.
LATTICES = (1, 2, 4, 8)
SHORTER = ((60.0, (1, 4, 8)), (300.0, (1, 4)), (DAY / 2.0, (1, 2)), (np.inf, (1,)))
# Instants whose shadows are compared together: bounds the memory.
INSTANTS_AT_ONCE = 4000
# Crowns in the way at once whose sets are all looked at.
MOST_CROWNS = 4


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
class Yard:
    """A glass with its plates, its `axes`, and what stands around it.

    It is lit where more than `fraction` of it is in sun.
    """

    axes: Floats
    glass: Glass
    around: Surroundings
    fraction: float = 0.0

    @cached_property
    def _solids(self) -> tuple[Prism | Crown, ...]:
        return (*self.around.prisms, *(tree.crown for tree in self.around.trees))

    @cached_property
    def _touching(self) -> tuple[Cones, ...]:
        """One for all prisms, if there are any, and one for each crown."""
        corners, prisms = self.glass.corners, self.around.prisms
        crowns = (touching(tree.crown, corners[None]) for tree in self.around.trees)
        return (*([touching_glass(prisms, corners)] if prisms else ()), *crowns)

    @cached_property
    def _covering(self) -> tuple[Cones, ...]:
        return tuple(cones_of(self._solids, self.glass.corners))

    @cached_property
    def _cover(self) -> Cover:
        return Cover(self.glass, self._solids)

    @cached_property
    def _plates(self) -> tuple[Prism, ...]:
        """The plates as far as they stand before the plane of the glass."""
        solids = (flat(plate) for plate in self.glass.plates)
        return tuple(
            Prism(np.maximum(solid.corners, [-np.inf, -np.inf, 0.0]), solid.edges)
            for solid in solids
        )

    @cached_property
    def _known_lattices(self) -> dict[int, Lattice]:
        return {}

    def _lattice(self, cells: int) -> Lattice:
        if cells not in self._known_lattices:
            self._known_lattices[cells] = Lattice(self.glass, self._solids, cells)
        return self._known_lattices[cells]

    def _cells(self, stretch: Stretch) -> tuple[int, ...]:
        """The cells along each side of the lattices that tell most for their cost."""
        if self.fraction > 0.0:
            return LATTICES
        length = float((stretch.end - stretch.begin).max(initial=0.0))
        return next(cells for longest, cells in SHORTER if length <= longest)

    def settled(self, stretch: Stretch) -> Ints:
        """For whole stretches: 1 where what stands around ends no sun, or leaves enough of the
        glass in sun all the time; -1 where it and the plates never do; 0 where that is not known.

        Where the plates alone leave too little, any answer may come.
        """
        touched, veil = self._in_the_way(stretch)
        state = np.where(touched.any(axis=0), 0, 1)
        for cells in self._cells(stretch):
            some = np.flatnonzero(state == 0)
            if len(some):
                part, there = veil.take(some), touched[:, some]
                path = stretch.path.take(some)
                state[some] = self._lattice(cells).settled(path, there, part, self.fraction)
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
        touched, veil = self._in_the_way(stretch)
        sway = Sway.along(stretch.path)
        area = self.glass.reveal * sway.swept(self.glass.width, self.glass.height)
        for plate in self.glass.plates:
            area += swept(flat(plate), self.glass, sway)
        for solid, there in zip(self._solids, touched, strict=True):
            some = np.flatnonzero(there)
            area[some] += swept(solid, self.glass, sway.take(some))
        steady = self._steady(touched[len(self.around.prisms) :], veil)
        return np.where(steady & sway.in_front, area / self.glass.area, np.inf)

    def beam_drift(self, stretch: Stretch) -> Floats:
        """By how much the mean share of the beam on the glass may change along each stretch: (m,).

        Crowns count by what they take of the beam, however strong it is. Infinite where leaves come
        or go, and where the sun may pass behind the glass.
        """
        sway = Sway.along(stretch.path)
        area = self.glass.reveal * sway.swept(self.glass.width, self.glass.height)
        for plate in self._plates:
            area += self._swept(plate, sway)
        touched = self._touched(stretch.path)
        prisms = len(self.around.prisms)
        for number, (solid, there) in enumerate(zip(self._solids, touched, strict=True)):
            some = np.flatnonzero(there)
            if not len(some):
                continue
            part = sway.take(some)
            # Of a prism the edges alone tell about as much, in less time.
            taken = self._swept(solid, part) if number >= prisms else swept(solid, self.glass, part)
            # A shadow that covers all of the glass all along sweeps none of it.
            covers = self._covering[number].sides(stretch.path.take(some))[0].all(axis=0)
            taken = np.where(covers, 0.0, taken)
            if number >= prisms:
                foliage = self.around.trees[number - prisms].foliage
                least, most = foliage.bounds(stretch.begin[some], stretch.end[some])
                taken = np.where(least < most, np.inf, (1.0 - least) * taken)
            area[some] += taken
        return np.where(sway.in_front, area / self.glass.area, np.inf)

    def _swept(self, solid: Prism | Crown, sway: Sway) -> Floats:
        """At most so many m² of the glass may a solid's shadow give free or take: (m,)."""
        return np.minimum(swept(solid, self.glass, sway), swept_by_rim(solid, self.glass, sway))

    @staticmethod
    def _steady(touched: Bools, veil: Veil) -> Bools:
        """Whether every set of crowns in the way either hides all the time or never does."""
        steady = touched.sum(axis=0) <= MOST_CROWNS
        some = np.flatnonzero(steady & touched.any(axis=0))
        least = most = np.ones((1, len(some)))
        for tree, there in enumerate(touched[:, some]):
            if there.any():
                least = np.concatenate([least, least * np.where(there, veil.least[tree, some], 1)])
                most = np.concatenate([most, most * np.where(there, veil.most[tree, some], 1)])
        enough = (least >= veil.needed_most[some]) | (most < veil.needed_least[some])
        steady[some] = enough.all(axis=0)
        return np.asarray(steady)

    def _in_the_way(self, stretch: Stretch) -> tuple[Bools, Veil]:
        """Which solids may end the sun on some of the glass: (s, m); and what crowns leave."""
        touched = self._touched(stretch.path)
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
            some = front[begin : begin + INSTANTS_AT_ONCE]
            p, q = u[some] / n[some], v[some] / n[some]
            state, met = self._state(sun.take(some), p, q)
            drawn = np.flatnonzero(state >= 0)
            some, p, q, met = some[drawn], p[drawn], q[drawn], met[:, drawn]
            share[some] = self.around.lit_share(self.glass, p, q, sun.take(some), met)
        return share

    def lit(self, sun: Daylight) -> Bools:
        """Whether enough of the beam reaches enough of the glass at each instant."""
        if self.fraction > 0.0:
            return self.share(sun) > self.fraction + self.glass.rounding
        local = self.axes @ sun.direction
        lit = np.zeros(sun.seconds.shape, dtype=bool)
        front = np.flatnonzero(local[2] > GRAZING)
        for begin in range(0, len(front), INSTANTS_AT_ONCE):
            some = front[begin : begin + INSTANTS_AT_ONCE]
            lit[some] = self._lit(sun.take(some), local[:, some])
        return lit

    def _lit(self, sun: Daylight, local: Floats) -> Bools:
        p, q = local[0] / local[2], local[1] / local[2]
        state, met = self._state(sun, p, q)
        drawn = np.flatnonzero(state == 0)
        if len(drawn):
            part = sun.take(drawn)
            share = self.around.lit_share(self.glass, p[drawn], q[drawn], part, met[:, drawn])
            state[drawn] = np.where(share > self.glass.rounding, 1, -1)
        return state > 0

    def _state(self, sun: Daylight, p: Floats, q: Floats) -> tuple[Ints, Bools]:
        """1 where any of the glass is in sun, -1 where none is, 0 where only a drawing tells; and
        which solids may touch it: (s, n).
        """
        local = np.stack([p, q, np.ones_like(p)]) / np.sqrt(p * p + q * q + 1.0)
        touched = self._touched(Path(local[:, None, :], np.zeros(len(p))))
        shares = np.where(touched, 0.0, 1.0)
        needed = np.full(p.shape, np.nextafter(0.0, 1.0))
        if self.around.trees:
            days = np.floor(sun.seconds / DAY).astype(np.int64)
            needed = self._needed_share(days, sun.elevation)
            number = len(self.around.prisms)
            crowns = np.stack([tree.foliage.share(sun.seconds) for tree in self.around.trees])
            crowns = np.where(touched[number:], crowns, 1.0)
            shares[number:] = np.where(crowns.prod(axis=0) >= needed, 1.0, crowns)
        return self._cover.state(p, q, shares, needed), touched

    def _needed_share(self, days: Ints, elevation: Floats) -> Floats:
        """The share of the beam that counts as sun; all of it where even that is too weak, for that
        is another question.
        """
        return np.minimum(self.around.light.needed(days, elevation), 1.0)

    def met(self, local: Floats) -> Bools:
        """Which prisms and crowns may throw a shadow on any of the glass: (s, n).

        `local` (3, n) the sun's directions in the window's axes, all before the glass.
        """
        return self._touched(Path(local[:, None, :], np.zeros(local.shape[1])))

    def _touched(self, path: Path) -> Bools:
        found = [~cones.sides(path)[1] for cones in self._touching]
        return np.concatenate([np.zeros((0, len(path.slack)), dtype=bool), *found])

    def _veil(self, stretch: Stretch, touched: Bools) -> Veil:
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
        return Veil(least, most, low, high)

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
            least = np.minimum(least, self._needed_share(days, highest))
            most = np.maximum(most, self._needed_share(days, lowest))
        return least, most


def _degrees(sine: Floats) -> Floats:
    return np.degrees(np.arcsin(np.clip(sine, -1.0, 1.0)))
