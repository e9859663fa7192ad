"""Is any of the glass in sun past all that stands before it? Exactly, instant by instant.

The open glass is a rectangle, and every shadow on it is convex, and so is what two crowns hide only
together. Followed round the rectangle's four edges, each shadow covers one interval of each edge,
so that a free place on an edge is found by comparing interval ends. Where all four edges are dark,
most often all of the glass is:

    Let two convex shadows A and B cover the rim of a convex piece of glass, and let a point x in it
    be in neither. A line through x keeps all of A on one side of it, another all of B. From x runs
    a ray on the other side of both; where it leaves the glass, the rim is in neither: so there is
    no such x.

Three shadows hide all of it if they have a point in common besides (see `holes`). Whether a hole
between more is free must be drawn.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from itertools import combinations
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from suncover.facade.yard.chords import in_order

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

# Metres of an edge below which a gap between two shadows is rounding, not sun.
HAIR = 1e-9
# Edges are left, right, lower and upper; corners lower left, lower right, upper left, upper right.
# Of each corner the upright and the level edge that meet there; of each edge its two corners.
UPRIGHT, LEVEL = np.array([0, 1, 0, 1]), np.array([2, 2, 3, 3])
FIRST, LAST = np.array([0, 1, 0, 2]), np.array([2, 3, 1, 3])
# Which way each edge's inside lies, in x and y; and each corner's.
INSIDE = np.array([[1.0, -1.0, 0.0, 0.0], [0.0, 0.0, 1.0, -1.0]])
DIAGONAL = np.array([[1.0, -1.0, 1.0, -1.0], [1.0, 1.0, -1.0, -1.0]])


class Rim(NamedTuple):
    """The edges of the open glass at m instants. Each lies at one of the `levels` (4, m), of x or
    of y, and runs along the other from `begin` to `end` (4, m).
    """

    levels: Floats
    begin: Floats
    end: Floats

    @classmethod
    def of(cls, size: Floats, reveal: Floats | float, p: Floats, q: Floats) -> Rim:
        """Of glass of `size` (2, m) or (2, 1), behind a `reveal`, before a sun of slopes p and q
        (m,).
        """
        shift = -reveal * np.stack([p, q])
        low, high = np.maximum(shift, 0.0), size + np.minimum(shift, 0.0)
        return cls.between(low, high)

    @classmethod
    def between(cls, low: Floats, high: Floats) -> Rim:
        """Of a rectangle from `low` (2, m) to `high`."""
        levels = np.stack([low[0], high[0], low[1], high[1]])
        begin = np.stack([low[1], low[1], low[0], low[0]])
        return cls(levels, begin, np.stack([high[1], high[1], high[0], high[0]]))

    def take(self, index: Ints) -> Rim:
        """At some of the instants."""
        return Rim._make(array.take(index, axis=1) for array in self)

    @property
    def least(self) -> Floats:
        """The shorter of its sides; not above 0 where nothing is open: (m,)."""
        return np.asarray((self.end - self.begin).min(axis=0))

    def corner(self, corner: Ints) -> Floats:
        """The place (2, m) of one corner at each instant."""
        instant = np.arange(corner.shape[-1])
        return np.stack(
            [self.levels[UPRIGHT[corner], instant], self.levels[LEVEL[corner], instant]]
        )


@dataclass(frozen=True)
class Cover:
    """Shadows on the edges of the open glass: d of them at each of m instants, from `begin` to
    `end` (d, 4, m) on the line of each edge; begins after its end where it is not on the line, or
    lets through enough of the sun.
    """

    rim: Rim
    begin: Floats
    end: Floats

    def take(self, index: Ints) -> Cover:
        """At some of the instants."""
        begin, end = (ends.take(index, axis=2) for ends in (self.begin, self.end))
        return Cover(self.rim.take(index), begin, end)

    @cached_property
    def _off(self) -> Floats:
        """How far each corner is out of each shadow, in metres along the nearer edge's line; below
        0 how far it is in it: (d, 4, m).
        """
        upright, level = self.rim.levels[LEVEL], self.rim.levels[UPRIGHT]
        sideways = np.maximum(self.begin[:, UPRIGHT] - upright, upright - self.end[:, UPRIGHT])
        upward = np.maximum(self.begin[:, LEVEL] - level, level - self.end[:, LEVEL])
        out = (sideways > 0.0) & (upward > 0.0)
        return np.asarray(np.where(out, np.minimum(sideways, upward), np.maximum(sideways, upward)))

    @cached_property
    def _clear(self) -> Floats:
        """How far each corner is out of all shadows: (4, m)."""
        longest = (self.rim.end - self.rim.begin).max(axis=0)
        if len(self.begin) == 0:
            return np.broadcast_to(longest, (4, len(longest)))
        return np.asarray(np.minimum(self._off.min(axis=0), longest))

    @cached_property
    def _gaps(self) -> tuple[Floats, Floats]:
        """On each edge the widest gap between two shadows: where it begins and ends, (4, m) each.

        Ends before it begins where they overlap, by the least overlap. What is free up to a corner
        is the corner's, which knows how far along both its edges: a gap may be long, and go into
        the glass by a hair.
        """
        begin, end = in_order(self.begin, self.end)
        begin, reach = begin[1:], np.maximum.accumulate(end, axis=0)[:-1]
        first = np.maximum(reach, self.rim.begin)
        last = np.minimum(begin, self.rim.end)
        cornered = (reach < self.rim.begin) | (begin > self.rim.end)
        last = np.where(cornered & (first < last), first - 1.0, last)
        widest = (last - first).argmax(axis=0)[None]
        return (
            np.take_along_axis(first, widest, axis=0)[0],
            np.take_along_axis(last, widest, axis=0)[0],
        )

    @cached_property
    def value(self) -> Floats:
        """Above 0 where a place on an edge is free, below where none is: (m,).

        How wide the widest is, or how narrow the narrowest overlap that leaves none, in metres.
        """
        widest = self._clear.max(axis=0)
        if len(self.begin) > 1:
            first, last = self._gaps
            widest = np.maximum(widest, (last - first).max(axis=0))
        return np.asarray(np.minimum(widest, self.rim.least) - HAIR)

    def spots(self) -> tuple[Floats, Floats]:
        """Where the value is above 0, a free place on the rim, and about how far the free part
        reaches from it into the glass: (2, m) each.
        """
        corner = self._clear.argmax(axis=0)
        base, inward = self.rim.corner(corner), self._room(corner)
        if len(self.begin) < 2:
            return base, inward
        first, last = self._gaps
        edge = (last - first).argmax(axis=0)
        instant = np.arange(len(edge))
        wide = (last - first)[edge, instant]
        amid = np.flatnonzero(wide > self._clear.max(axis=0))
        edge = edge[amid]
        middle = ((first + last) / 2.0)[edge, amid]
        level = self.rim.levels[edge, amid]
        base[:, amid] = np.where(edge < 2, [level, middle], [middle, level])
        deep = np.minimum(wide[amid], self.rim.least[amid])
        inward[:, amid] = INSIDE[:, edge] * deep
        return base, inward

    def _room(self, corner: Ints) -> Floats:
        """From a `corner` (m,) how far along its edges to the next shadow: (2, m), signed."""
        instant = np.arange(len(corner))
        lengths = []
        for axis, edge in ((0, LEVEL[corner]), (1, UPRIGHT[corner])):
            most = (self.rim.end - self.rim.begin)[edge, instant]
            way = DIAGONAL[axis, corner]
            if len(self.begin):
                at = np.where(way > 0.0, self.rim.begin[edge, instant], self.rim.end[edge, instant])
                ahead = np.where(
                    way > 0.0, self.begin[:, edge, instant] - at, at - self.end[:, edge, instant]
                )
                ahead = np.where(ahead > 0.0, ahead, np.inf)
                most = np.minimum(most, ahead.min(axis=0))
            lengths.append(way * most)
        return np.stack(lengths)

    def hiding(self) -> tuple[Ints, Ints, Ints]:
        """Up to three shadows that hide all edges by themselves, by their numbers (3, m): -1 for
        none; which of these hides each corner (4, m), and which hides what those of both corners
        leave of each edge (4, m), -1 where these meet.

        One or two of them hide all of the glass. Three do if they have a point in common: from
        there, each hides the part of the glass before its own part of the rim.
        """
        width = len(self.rim.least)
        shadows, corners = np.full((3, width), -1), np.zeros((4, width), dtype=np.int64)
        between = np.full((4, width), -1)
        if len(self.begin) == 0:
            return shadows, corners, between
        index = np.flatnonzero((self._off.min(axis=0) <= HAIR).all(axis=0))
        for size in (1, 2, 3):
            for numbers in combinations(range(len(self.begin)), size):
                if len(index) == 0:
                    break
                off = self._off[list(numbers)].take(index, axis=2)
                first = off.argmin(axis=0)
                third, joined = self._joined(np.array(numbers), first, index)
                good = (off.min(axis=0) <= HAIR).all(axis=0) & joined
                shadows[:size, index[good]] = np.array(numbers)[:, None]
                corners[:, index[good]] = first[:, good]
                between[:, index[good]] = third[:, good]
                index = index[~good]
        return shadows, corners, between

    def _joined(self, numbers: Ints, corners: Ints, index: Ints) -> tuple[Ints, Bools]:
        """Whether along each edge the shadows that hide its `corners` (4, n) meet, or both meet a
        third, at some of the instants: which that is, (4, n), -1 for none, and (n,).
        """
        first, last = corners[FIRST], corners[LAST]
        joined = (first == last) | self._meet(numbers[first], numbers[last], index)
        third = np.where(joined, -1, 3 - first - last)
        if len(numbers) == 3:
            apart = np.flatnonzero(~joined.all(axis=0))
            at, amid = index[apart], numbers[third[:, apart]]
            sides = (self._meet(amid, numbers[end[:, apart]], at) for end in (first, last))
            joined[:, apart] |= np.logical_and(*sides)
        return third, np.asarray(joined.all(axis=0))

    def _meet(self, first: Ints, second: Ints, index: Ints) -> Bools:
        """Whether two shadows (4, n) meet on each edge."""
        begin, end = self._common(first, second, index)
        return np.asarray(begin <= end)

    def _common(self, first: Ints, second: Ints, index: Ints) -> tuple[Floats, Floats]:
        """From where to where two shadows (4, n) are on each edge: (4, n) each."""
        edge = np.arange(4)[:, None]
        begin = np.maximum(self.begin[first, edge, index], self.begin[second, edge, index])
        end = np.minimum(self.end[first, edge, index], self.end[second, edge, index])
        rim = self.rim.take(index)
        return np.maximum(begin, rim.begin), np.minimum(end, rim.end)

    def shared(self, shadows: Ints, corners: Ints, between: Ints) -> Floats:
        """On each edge, as `hiding` has it, the middle of what the shadows of its two corners have
        in common of it, or of what each has with the one between them: (2, 4, m); nan where nothing
        is, and the second where there is none between.
        """
        instant = np.arange(corners.shape[1])
        first, last = (shadows[corners[ends], instant] for ends in (FIRST, LAST))
        amid = shadows[between, instant]
        places = np.full((2, *corners.shape), np.nan)
        places[0] = self._middle(first, np.where(between < 0, last, amid), instant)
        index = np.flatnonzero((between >= 0).any(axis=0))
        second = self._middle(amid[:, index], last[:, index], index)
        places[1, :, index] = np.where(between[:, index] < 0, np.nan, second).T
        return places

    def _middle(self, first: Ints, second: Ints, index: Ints) -> Floats:
        begin, end = self._common(np.maximum(first, 0), np.maximum(second, 0), index)
        with np.errstate(invalid="ignore"):
            return np.where(begin <= end, (begin + end) / 2.0, np.nan)

    def met(self, three: Ints) -> tuple[Floats, Bools]:
        """Of each two of `three` shadows (3, m) a point that they have in common on the edges, the
        middle of the longest part that they have of one: (2, 3, m); and whether each two have one.
        """
        instant = np.arange(three.shape[1])
        places, met = [], np.ones(len(instant), dtype=bool)
        for pair in combinations(three, 2):
            first, second = (np.tile(number, (4, 1)) for number in pair)
            begin, end = self._common(first, second, instant)
            edge = (end - begin).argmax(axis=0)
            begin, end, level = (
                begin[edge, instant],
                end[edge, instant],
                self.rim.levels[edge, instant],
            )
            met &= begin <= end
            middle = (begin + end) / 2.0
            places.append(np.where(edge < 2, [level, middle], [middle, level]))
        return np.stack(places, axis=1), met
