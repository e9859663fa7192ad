"""What stands around a window, and how much of the beam it leaves: prisms hide it, crowns weaken
it.

A tree's crown lets a share of the beam through, one share in leaf and one bare. Sun counts on a
piece of glass while the clear-sky beam, times the shares of all crowns on its way, reaches the
wanted beam; so a crown is as good as a wall early in the morning and may be no hindrance at noon.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from suncover.facade.daylight import BeamGate, Daylight
from suncover.facade.frame import Slopes
from suncover.facade.glazed import Glass
from suncover.facade.shadows import Patch
from suncover.facade.yard.lone_shadows import LoneShadows, PrismsAlike, open_pane, plate_before
from suncover.facade.yard.outlines import GRID, Outlines, overlaps
from suncover.facade.yard.solids import Crown, Prism
from suncover.sun.clearsky import beam_at_height, beam_bounds
from suncover.sun.position import DAY, Observer

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

# Where any beam counts as sun, so does this share of it; nothing is less.
TRACE = 1e-300


class Foliage(NamedTuple):
    """The share of the beam that a crown lets through: `leaf` within the `spans` in leaf, else
    `bare`.

    `spans` (k, 2) unix seconds, sorted, disjoint.
    """

    leaf: float
    bare: float
    spans: Floats

    def share(self, seconds: Floats) -> Floats:
        """The share at `seconds`, any shape."""
        if self.leaf == self.bare or len(self.spans) == 0:
            return np.full(np.shape(seconds), self.bare)
        last = np.searchsorted(self.spans[:, 0], seconds, side="right") - 1
        inside = (last >= 0) & (seconds < self.spans[np.maximum(last, 0), 1])
        return np.where(inside, self.leaf, self.bare)

    def bounds(self, begin: Floats, end: Floats) -> tuple[Floats, Floats]:
        """The smallest and the largest share from each of `begin` to each of `end`, (m,) each."""
        first, last = self.share(begin), self.share(end)
        changes = np.sort(self.spans.ravel())
        place = np.searchsorted(changes, begin, side="left")
        turned = place != np.searchsorted(changes, end, side="right")
        return np.where(turned, self.least, first), np.where(turned, self.most, last)

    @property
    def least(self) -> float:
        """The smaller of its two shares."""
        return min(self.leaf, self.bare)

    @property
    def most(self) -> float:
        """The larger of its two shares."""
        return max(self.leaf, self.bare)


class VeilingTree(NamedTuple):
    """A crown and what it lets through."""

    crown: Crown
    foliage: Foliage


class BeamThrough:
    """Whether the clear-sky beam, weakened to a share, still counts as sun (in a span)."""

    def __init__(self, start: float, end: float, observer: Observer, beam: float) -> None:
        self._span = (start, end, observer)
        self._beam = beam
        self._gates: dict[float, BeamGate] = {}

    def enough(self, sun: Daylight, share: Floats) -> Bools:
        """Whether `share` (n,) of the beam at each instant of `sun` counts."""
        days = np.floor(sun.seconds / DAY).astype(np.int64)
        return (share > 0.0) & (share >= self.needed(days, sun.elevation))

    def needed(self, days: Ints, elevation: Floats) -> Floats:
        """The share of the clear-sky beam that counts as sun, of a sun at apparent `elevation` in
        degrees on each of `days` (UTC, since 1970): (n,). Infinite where all of it does not.
        """
        return self._share_of(beam_at_height(days, elevation, self._span[2]))

    def needed_of_enough(self, days: Ints, elevation: Floats) -> Floats:
        """The same, and all of it where even that is too weak: that is another question."""
        return np.minimum(self.needed(days, elevation), 1.0)

    def needed_between(
        self, begin: Floats, end: Floats, lowest: Floats, highest: Floats
    ) -> tuple[Floats, Floats]:
        """At least and at most so much is that from `begin` to `end`, unix seconds, under a sun
        from the elevation of sine `lowest` to `highest`: (m,) each.
        """
        low, high = (
            np.degrees(np.arcsin(np.clip(values, -1.0, 1.0))) for values in (lowest, highest)
        )
        first, last = (np.floor(values / DAY).astype(np.int64) for values in (begin, end))
        weakest, strongest = beam_bounds(first, last, low, high, self._span[2])
        least, most = self._share_of(strongest), self._share_of(weakest)
        return np.minimum(least, 1.0), np.minimum(most, 1.0)

    def _share_of(self, beam: Floats) -> Floats:
        if self._beam <= 0.0:
            return np.full(beam.shape, TRACE)
        with np.errstate(divide="ignore"):
            return np.where(beam > 0.0, self._beam / beam, np.inf)

    def settled(self, sun: Daylight, share: float, radius: Floats) -> Ints:
        """For whole patches: 1 where `share` of the beam counts for sure, -1 where it does not."""
        if share <= 0.0:
            return np.full(sun.seconds.shape, -1)
        low, high = self._gate(share).bounds(sun.seconds, sun.days)
        surely = sun.elevation - radius > high
        never = sun.elevation + radius < low
        return np.where(surely, 1, np.where(never, -1, 0))

    def _gate(self, share: float) -> BeamGate:
        if share not in self._gates:
            self._gates[share] = BeamGate(*self._span, self._beam / share)
        return self._gates[share]


@dataclass(frozen=True)
class Surroundings:
    """All that stands before one window, and what the beam needs to count."""

    prisms: tuple[Prism, ...]
    trees: tuple[VeilingTree, ...]
    light: BeamThrough = field(compare=False)

    @cached_property
    def solids(self) -> tuple[Prism | Crown, ...]:
        """All prisms, then all crowns."""
        return (*self.prisms, *(tree.crown for tree in self.trees))

    @cached_property
    def _alike(self) -> list[tuple[list[int], PrismsAlike]]:
        """Prisms with the same edges, by their numbers."""
        alike = dict[tuple[int, bytes], list[int]]()
        for number, prism in enumerate(self.prisms):
            kind = len(prism.corners), prism.all_edges.tobytes()
            alike.setdefault(kind, []).append(number)
        return [
            (numbers, PrismsAlike.of([self.prisms[number] for number in numbers]))
            for numbers in alike.values()
        ]

    def settled(self, points: Floats, sun: Daylight, local: Floats, radius: Floats) -> Ints:
        """For the whole hull of `points` (m, 3) and all of each patch: 1 free, -1 hidden, else 0.

        `local` (3, n) the sun's directions in the window's axes, `radius` (n,) in degrees. Free
        means that enough of the beam arrives.
        """
        state = np.ones(local.shape[1], dtype=np.int64)
        for prism in self.prisms:
            touched = np.flatnonzero(prism.touches(points, local, radius) & (state >= 0))
            hidden = prism.hides(points, local[:, touched], radius[touched])
            state[touched] = np.where(hidden, -1, 0)
        if not self.trees:
            return state
        harmless = self._harmless(sun, radius)
        for number, tree in enumerate(self.trees):
            index = np.flatnonzero(~harmless[number] & (state >= 0))
            index = index[tree.crown.touches(points, local[:, index], radius[index])]
            opaque = self.light.settled(sun.take(index), tree.foliage.most, radius[index]) < 0
            hidden = opaque & tree.crown.hides(points, local[:, index], radius[index])
            state[index] = np.where(hidden, -1, np.minimum(state[index], 0))
        return state

    def _harmless(self, sun: Daylight, radius: Floats) -> list[Bools]:
        """For each tree, where its crown cannot end the sun, alone or with any others: (n,) each.

        A crown that ends it alone needs no others; so only those that do not are taken together.
        """
        shares = [tree.foliage.least for tree in self.trees]
        together = float(np.prod([share for share in shares if share > 0.0]))
        enough_together = self.light.settled(sun, together, radius) > 0
        return [enough_together & (share > 0.0) for share in shares]

    def reaches(self, point: Floats, sun: Daylight, local: Floats) -> Bools:
        """Whether enough of the beam reaches one `point` (3,) at each instant, exactly."""
        share = self.share_at(point, sun, local)
        clear = share > 0.0
        weakened = np.flatnonzero(clear & (share < 1.0))
        clear[weakened] = self.light.enough(sun.take(weakened), share[weakened])
        return clear

    def share_at(self, point: Floats, sun: Daylight, local: Floats) -> Floats:
        """Share of the beam that prisms and crowns leave for one `point` (3,) at each instant."""
        points = point[None, :]
        exact = np.zeros(local.shape[1])
        share = np.ones(local.shape[1])
        for prism in self.prisms:
            share[prism.touches(points, local, exact)] = 0.0
        for tree in self.trees:
            met = tree.crown.touches(points, local, exact)
            share = np.where(met, share * tree.foliage.share(sun.seconds), share)
        return share

    def lit_share(
        self, glass: Glass, p: Floats, q: Floats, sun: Daylight, met: Bools | None = None
    ) -> Floats:
        """Share of the glass that gets enough of the beam, past its plates and all around it: (n,).

        `p`, `q` (n,) the slopes of the sun's directions, all in front of the glass; `met` (s, n)
        tells which of the prisms and crowns, in this order, may touch it, where that is known.
        """
        return self.lit_outlines(glass, p, q, sun, met).free_area() / glass.area

    def lit_outlines(
        self, glass: Glass, p: Floats, q: Floats, sun: Daylight, met: Bools | None = None
    ) -> Outlines:
        """The shadows on the glass, crowns counted where they leave too little of the beam.

        Arguments as for `lit_share`.
        """
        outlines = Outlines(glass, p, q)
        if met is None:
            met = self._met(glass, p, q)
        for prism, where in zip(self.prisms, met, strict=False):
            if where.any():
                outlines.hide(outlines.hull(prism, where))
        harmless = self._harmless(sun, np.zeros(p.shape))
        crowns = [
            outlines.hull(tree.crown, where & ~free)
            for tree, where, free in zip(self.trees, met[len(self.prisms) :], harmless, strict=True)
        ]
        shares = [tree.foliage.share(sun.seconds) for tree in self.trees]
        later = [np.prod(shares[number + 1 :], axis=0) for number in range(len(shares))]

        def settled(last: int, share: Floats, index: NDArray[np.intp]) -> Bools:
            """Where the set hides as it is, or would not with all later crowns besides."""
            part = sun.take(index)
            with_all = share * np.broadcast_to(later[last], p.shape)[index]
            return ~self.light.enough(part, share) | self.light.enough(part, with_all)

        for together, share, index in overlaps(crowns, shares, settled):
            dark = np.zeros(p.shape, dtype=bool)
            dark[index] = ~self.light.enough(sun.take(index), share[index])
            outlines.hide(together, dark)
        return outlines

    def share_bounds(
        self, glass: Glass, slopes: Slopes, sun: Daylight, patch: Patch, radius: Floats
    ) -> tuple[Floats, Floats]:
        """Bounds, at least and at most, of `lit_share` over whole patches: (n,) each."""
        p, q = slopes.p, slopes.q
        bounds: list[Floats] = []
        harmless = self._harmless(sun, radius)
        corners, local = glass.corners, slopes.directions
        met = [solid.touches(corners, local, radius) for solid in self.solids]
        for grow in (1.0, -1.0):
            outlines = Outlines(glass, p, q, patch, grow)
            for prism, where in zip(self.prisms, met, strict=False):
                outlines.hide(outlines.hull(prism, where))
            for number, tree in enumerate(self.trees):
                # For the least, every crown that may matter counts as a wall; for the most, only
                # those that are as good as one throughout.
                hides = ~harmless[number]
                if grow < 0.0:
                    hides = self.light.settled(sun, tree.foliage.most, radius) < 0
                hides = hides & met[len(self.prisms) + number]
                outlines.hide(outlines.hull(tree.crown, hides, radius))
            bounds.append(outlines.free_area() / glass.area)
        return bounds[0], bounds[1]

    def beam_share(
        self, glass: Glass, p: Floats, q: Floats, seconds: Floats, met: Bools | None = None
    ) -> Floats:
        """Mean over the glass of the share of the beam that arrives, crowns weakening it: (n,).

        `met` as for `lit_share`.
        """
        if met is None:
            met = self._met(glass, p, q)
        share, known = self._beam_past_lone(glass, p, q, seconds, met)
        unknown = np.flatnonzero(~known)
        if len(unknown):
            part = p[unknown], q[unknown], seconds[unknown]
            share[unknown] = self._beam_drawn(glass, *part, met[:, unknown])
        return share

    def _beam_past_lone(
        self, glass: Glass, p: Floats, q: Floats, seconds: Floats, met: Bools
    ) -> tuple[Floats, Bools]:
        """`beam_share` in closed form, and where it is known: while of the shadows of plates and of
        what may touch the glass (`met`, (s, n)) no two crowns' meet there, or one covers it.
        """
        shadows = LoneShadows(open_pane(glass, p, q), p, q)
        for plate in glass.plates:
            shadows.add(plate_before(plate, glass.reveal), np.arange(len(p)))
        for numbers, prisms in self._alike:
            which, index = np.nonzero(met[numbers])
            if len(index):
                shadows.add_prisms(prisms, which, index)
        for tree, where in zip(self.trees, met[len(self.prisms) :], strict=True):
            index = np.flatnonzero(where)
            shadows.add(tree.crown, index, tree.foliage.share(seconds[index]))
        left, known = shadows.left()
        return left / glass.area, known

    def _beam_drawn(
        self, glass: Glass, p: Floats, q: Floats, seconds: Floats, met: Bools
    ) -> Floats:
        """`beam_share` by polygons."""
        import shapely

        outlines = Outlines(glass, p, q)
        for prism, where in zip(self.prisms, met, strict=False):
            if where.any():
                outlines.hide(outlines.hull(prism, where))
        free = outlines.free()
        total = np.asarray(shapely.area(free), dtype=np.float64)
        in_the_way = [
            (tree, where)
            for tree, where in zip(self.trees, met[len(self.prisms) :], strict=True)
            if where.any()
        ]
        crowns = [outlines.hull(tree.crown, where) for tree, where in in_the_way]
        lost = [tree.foliage.share(seconds) - 1.0 for tree, _ in in_the_way]
        # The product of the crowns' shares, multiplied out: one term for every set of crowns.
        for together, weight, index in overlaps(crowns, lost):
            covered = shapely.intersection(together[index], free[index], grid_size=GRID)
            total[index] += weight[index] * shapely.area(covered)
        return np.clip(total / glass.area, 0.0, 1.0)

    def _met(self, glass: Glass, p: Floats, q: Floats) -> Bools:
        """Which of the sun's directions a solid may throw its shadow on the glass in: (s, n)."""
        local = np.stack([p, q, np.ones_like(p)]) / np.sqrt(p * p + q * q + 1.0)
        exact = np.zeros(p.shape)
        met = [solid.touches(glass.corners, local, exact) for solid in self.solids]
        return np.array(met, dtype=bool).reshape(len(met), len(p))
