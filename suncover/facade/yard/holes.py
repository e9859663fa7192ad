"""Is there a hole between three shadows that cover the rim of the open glass?

From a point in none of them, each of three convex shadows is seen within less than half a turn, and
together they take up the rim. So each two of them meet on the rim, and no point is in all three.

Where each two do meet there, take such points as the corners of a triangle: each of its sides lies
in one of the shadows. If those cover the triangle, a point of it is in all three (Knaster,
Kuratowski and Mazurkiewicz, from memory); if they leave a hole in the glass, none is. On lines
across the glass, what all three have in common is longest where that is a concave function of the
line's place: halving finds it, from a line through the middle corner of the triangle, which meets
all three.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from suncover.facade.yard.cover import HAIR, Cover, Rim
from suncover.facade.yard.solid_arrays import SolidArrays

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

# How often the place of a line is halved: to a millionth of the glass. After the first few only
# where three shadows have less in common than this, in metres.
HALVINGS, FIRST, ENOUGH = 20, 5, 1e-3


@dataclass(frozen=True)
class Holes:
    """Of three shadows at m instants, whether it is `known` that they leave a hole or none: its
    `width` (m,), in metres, below 0 how much they have in common; and a `place` (2, m) in it or in
    all of them.
    """

    known: Bools
    width: Floats
    place: Floats

    @property
    def deep(self) -> Bools:
        """Whether all three have more in common than rounding."""
        return np.isfinite(self.width) & (self.width < -HAIR)

    @classmethod
    def between(
        cls, arrays: SolidArrays, slopes: Floats, cover: Cover, solids: Ints, who: Ints
    ) -> Holes:
        """Between the shadows `who` (3, m) of those that cover the rim, or if the third is -1
        between all, if these are three: those of `solids` (d, m) under a sun of `slopes` (2, m).
        """
        there = (cover.begin <= cover.end).any(axis=1)
        all_three = there.sum(axis=0) == len(who)
        first = np.argsort(~there, axis=0, kind="stable")[: len(who)]
        three = np.where(all_three, first, who)
        known = (three[2] >= 0) & (three < len(solids)).all(axis=0)
        width, place = np.full(len(known), -np.inf), np.zeros((2, len(known)))
        some = np.flatnonzero(known)
        corners, met = cover.take(some).met(three[:, some])
        some = some[met]
        deepest = _Lines(
            arrays, solids[three[:, some], some], slopes[:, some], cover.take(some).rim
        ).deepest(np.sort(corners[..., met], axis=1))
        place[:, some], width[some] = deepest[:2], -deepest[2]
        # Between more than these three, some other may fill a hole.
        return cls(known & (all_three | (width < -HAIR)), width, place)


@dataclass(frozen=True)
class _Lines:
    """Lines across the open glass at m instants, and what three `solids` (3, m) hide of them."""

    arrays: SolidArrays
    solids: Ints
    slopes: Floats
    rim: Rim

    def common(self, levels: Floats, which: Ints) -> tuple[Floats, Floats]:
        """Of lines at `levels` (4, k) in those of `which` (k,), of x for two of them, of y for the
        others: how long a part all three hide, below 0 what it falls short of that; and its middle.
        """
        p, q = self.slopes[:, which]
        begin, end = self.arrays.chords(self.solids[:, which], p, q, levels)
        begin = np.maximum(begin.max(axis=0), self.rim.begin[:, which])
        end = np.minimum(end.min(axis=0), self.rim.end[:, which])
        with np.errstate(invalid="ignore"):
            return end - begin, (begin + end) / 2.0

    def deepest(self, corners: Floats) -> Floats:
        """Where on any of the lines all three hide the longest part, and how long it is: (3, m).

        `corners` (2, 3, m): on both axes between where to look, and amid them the place of a line
        that meets all three.
        """
        low, amid, high = corners.swapaxes(0, 1).copy()
        left = np.arange(corners.shape[-1])
        length, middle = (values[::2] for values in self.common(np.repeat(amid, 2, axis=0), left))
        for number in range(HALVINGS):
            if number >= FIRST:
                left = left[length[:, left].max(axis=0) < ENOUGH]
            at = low[:, left], amid[:, left], high[:, left]
            tried = np.stack([(at[0] + at[1]) / 2.0, (at[1] + at[2]) / 2.0], axis=1)
            longer, between = (
                values.reshape(2, 2, -1).swapaxes(0, 1)
                for values in self.common(tried.reshape(4, -1), left)
            )
            down, up = longer > length[:, left]
            way = [down, up & ~down]
            down, up = tried.swapaxes(0, 1)
            low[:, left] = np.select(way, [at[0], at[1]], down)
            high[:, left] = np.select(way, [at[1], at[2]], up)
            amid[:, left] = np.select(way, [down, up], at[1])
            length[:, left] = np.select(way, longer, length[:, left])
            middle[:, left] = np.select(way, between, middle[:, left])
        lines = np.stack([[amid[0], middle[0], length[0]], [middle[1], amid[1], length[1]]])
        return np.where(length[0] >= length[1], *lines)
