"""Is there a hole between three shadows that cover the rim of the open glass?

From a point in none of them, each of three convex shadows is seen within less than half a turn, and
together they take up the rim. So each two of them meet on the rim, and no point is in all three.

Where each two do meet there, take such points as the corners of a triangle: each of its sides lies
in one of the shadows. If those cover the triangle, a point of it is in all three (Knaster,
Kuratowski and Mazurkiewicz, from memory); if they leave a hole in the glass, none is. On lines
across the glass, what all three have in common is longest where that is a concave function of the
line's place: a search finds it, from a line through the middle corner of the triangle, which meets
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

# In so many parts each half is cut of where the line may be, one time after the other: to a
# millionth. But no more where three shadows have as much in common, in metres, or where what the
# longest may be more is so many times smaller.
ROUNDS, ENOUGH, CLEAR = (2, *5 * (16,)), 1e-3, 50.0


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
        if len(some):
            own = solids[three[:, some], some]
            lines = _Lines(arrays, own, slopes[:, some], cover.rim.take(some))
            deepest = lines.deepest(np.sort(corners[..., met], axis=1))
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

    def take(self, which: Ints) -> _Lines:
        """At some of the instants."""
        return _Lines(
            self.arrays, self.solids[:, which], self.slopes[:, which], self.rim.take(which)
        )

    def common(self, levels: Floats) -> tuple[Floats, Floats]:
        """Of lines at `levels` (2, k, m), of x and of y, an even number k of each: how long a part
        all three hide, below 0 what it falls short of that; and its middle. (2, k, m) each.
        """
        shape, here = levels.shape, np.tile(np.arange(levels.shape[2]), levels.shape[1] // 2)
        solids, slopes, rim = self.solids[:, here], self.slopes[:, here], self.rim.take(here)
        begin, end = self.arrays.chords(solids, *slopes, levels.reshape(4, -1))
        begin = np.maximum(begin.max(axis=0), rim.begin).reshape(shape)
        end = np.minimum(end.min(axis=0), rim.end).reshape(shape)
        with np.errstate(invalid="ignore"):
            return end - begin, (begin + end) / 2.0

    def deepest(self, corners: Floats) -> Floats:
        """Where on any of the lines all three hide the longest part, and how long it is: (3, m).

        `corners` (2, 3, m): on both axes between where to look, and amid them the place of a line
        that meets all three.
        """
        found = np.empty((3, corners.shape[2]))
        left, lines = np.arange(corners.shape[2]), self
        for parts in ROUNDS:
            low, amid, high = corners.swapaxes(0, 1)[:, :, None]
            share = np.arange(parts)[:, None] / parts
            places = [low + (amid - low) * share, amid + (high - amid) * share, high]
            levels = np.concatenate(places, axis=1)
            length, middle = lines.common(levels[:, :-1])
            best = length.argmax(axis=1)[:, None]
            beside = np.concatenate([np.maximum(best - 1, 0), best, best + 1], axis=1)
            corners = np.take_along_axis(levels, beside, axis=1)
            middle = np.take_along_axis(middle, best, axis=1)[:, 0]
            length = np.concatenate([length, np.full_like(high, -np.inf)], axis=1)
            length = np.take_along_axis(length, beside, axis=1)
            level, deep = corners[:, 1], length[:, 1]
            across = [[level[0], middle[0], deep[0]], [middle[1], level[1], deep[1]]]
            axis = deep.argmax(axis=0)
            found[:, left] = np.where(axis == 0, *np.array(across))
            more = _more(corners, length)[axis, np.arange(len(axis))]
            deep = deep.max(axis=0)
            open_yet = np.flatnonzero((deep < ENOUGH) & (more > np.abs(deep) / CLEAR))
            if len(open_yet) == 0:
                break
            left, lines, corners = left[open_yet], lines.take(open_yet), corners[..., open_yet]
        return found


def _more(places: Floats, length: Floats) -> Floats:
    """By how much a concave function may be more than in the middle of three `places` (2, 3, m),
    where it is most: a line through its values at two of them bounds it beyond.
    """
    with np.errstate(divide="ignore", invalid="ignore"):
        step, rise = np.diff(places, axis=1), np.diff(length, axis=1)
        ahead = np.stack(
            [rise[:, 0] / step[:, 0] * step[:, 1], -rise[:, 1] / step[:, 1] * step[:, 0]]
        )
    return np.asarray(np.where(np.isnan(ahead), np.inf, ahead).max(axis=0))
