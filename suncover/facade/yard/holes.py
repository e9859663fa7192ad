"""Is there a hole between three shadows that cover the rim of the open glass?

From a point in none of them, each of three convex shadows is seen within less than half a turn, and
together they take up the rim. So each two of them meet on the rim, and no point is in all three.

Where each two do meet there, take such points as the corners of a triangle: each of its sides lies
in one of the shadows. If those cover the triangle, a point of it is in all three (Knaster,
Kuratowski and Mazurkiewicz, from memory); if they leave a hole in the glass, none is. How much all
three have in common of a line across the glass is a concave function of the line's place: where it
is most, is found from a line through the middle corner of the triangle, which meets all three.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from suncover.facade.yard.chords import in_order
from suncover.facade.yard.cover import HAIR, Cover, Rim
from suncover.facade.yard.solid_arrays import SolidArrays

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

# Into how many parts each half is cut of where the line may be, one time after the other: to a
# millionth. But no more where three shadows have as much in common, in metres, or where what it may
# be more is so many times less than what they fall short of it.
ROUNDS, ENOUGH, CLEAR = (2, 8, *4 * (24,)), 1e-3, 4.0


class Holes(NamedTuple):
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
        cls, arrays: SolidArrays, slopes: Floats, cover: Cover, solids: Ints, shadows: Ints
    ) -> Holes:
        """Between the `shadows` (3, m) of those that cover the rim, or if the third is -1
        between all, if these are three: those of `solids` (d, m) under a sun of `slopes` (2, m).
        """
        on_rim = (cover.begin <= cover.end).any(axis=1)
        alone = on_rim.sum(axis=0) == len(shadows)
        three = np.where(alone, np.argsort(~on_rim, axis=0, kind="stable")[: len(shadows)], shadows)
        known = (three[2] >= 0) & (three < len(solids)).all(axis=0)
        width, place = np.full(len(known), -np.inf), np.zeros((2, len(known)))
        index = np.flatnonzero(known)
        corners, met = cover.take(index).met(three[:, index])
        index = index[met]
        if len(index):
            hiding = solids[three[:, index], index]
            lines = Lines(arrays, hiding, slopes[:, index], cover.rim.take(index))
            length, place[:, index] = lines.longest(np.sort(corners[..., met], axis=1))
            width[index] = -length
        # Between more than these three, some other may fill a hole.
        return cls(known & (alone | (width < -HAIR)), width, place)


class Lines(NamedTuple):
    """Lines across the open glass at m instants, and what three `solids` (3, m) hide of them under
    a sun of `slopes` (2, m).
    """

    arrays: SolidArrays
    solids: Ints
    slopes: Floats
    rim: Rim

    def take(self, index: Ints) -> Lines:
        """At some of the instants."""
        picked = self.solids[:, index], self.slopes[:, index]
        return Lines(self.arrays, *picked, self.rim.take(index))

    def longest(self, corners: Floats) -> tuple[Floats, Floats]:
        """How long a part of a line all three hide at the most, below 0 what it falls short of any;
        and its middle, or that of the widest gap between them: (m,) and (2, m).

        `corners` (2, 3, m): on both axes between where to look, and amid them the place of a line
        that meets all three.
        """
        most, place = np.empty(corners.shape[2]), np.empty(corners.shape[1:])[:2]
        left, lines = np.arange(len(most)), self
        for parts in ROUNDS:
            low, amid, high = corners.swapaxes(0, 1)[:, :, None]
            share = np.arange(parts)[:, None] / parts
            levels = np.concatenate([low + (amid - low) * share, amid + (high - amid) * share], 1)
            common, gaps = lines.parts(levels)
            place[:, left] = _widest(levels, *common)[1]
            width, between = _widest(levels, *gaps)
            gap = np.flatnonzero((width > HAIR) & (common[0] < 0.0).all(axis=(0, 1)))
            place[:, left[gap]] = between[:, gap]
            # The longest on each axis, and its neighbours. Of lines in one place, where the middle
            # is one of the ends, it is the one that has others beside it.
            best = common[0].argmax(axis=1)[:, None]
            amid_is = np.take_along_axis(common[0], best, axis=1) <= common[0][:, [parts]]
            best = np.where(amid_is, parts, best)
            near = np.clip(best + np.arange(-2, 3)[:, None], 0, levels.shape[1])
            length, levels = (
                np.concatenate([values, last], axis=1)
                for values, last in ((common[0], np.full_like(high, -np.inf)), (levels, high))
            )
            length, levels = (
                np.take_along_axis(values, near, axis=1) for values in (length, levels)
            )
            instant = np.arange(len(left))
            axis = length[:, 2].argmax(axis=0)
            most[left] = length[axis, 2, instant]
            more = _more(levels[axis, :, instant].T, length[axis, :, instant].T)
            unsure = (most[left] < ENOUGH) & (more > np.abs(most[left]) / CLEAR)
            if not unsure.any():
                break
            open_index = np.flatnonzero(unsure)
            left, lines, corners = (
                left[open_index],
                lines.take(open_index),
                levels[:, 1:4, open_index],
            )
        return most, place

    def parts(self, levels: Floats) -> tuple[tuple[Floats, Floats], tuple[Floats, Floats]]:
        """Of lines at `levels` (2, k, m), of x and of y, an even number k of each, from where to
        where all three hide them, and the widest gap between them: how long, below 0 where there is
        none, and the middle. (2, k, m) each.
        """
        shape, instant = levels.shape, np.tile(np.arange(levels.shape[2]), levels.shape[1] // 2)
        p, q = self.slopes[:, instant]
        rim = self.rim.take(instant)
        begin, end = self.arrays.chords(self.solids[:, instant], p, q, levels.reshape(4, -1))
        missed = begin > end
        begin, end = np.where(missed, np.inf, begin), np.where(missed, -np.inf, end)
        begin, end = in_order(begin, end)
        common = np.maximum(begin[-1], rim.begin), np.minimum(end.min(axis=0), rim.end)
        between = np.maximum(np.maximum.accumulate(end, axis=0)[:-1], rim.begin)
        beyond = np.minimum(begin[1:], rim.end)
        gaps = beyond - between
        widest = gaps.argmax(axis=0)[None]
        ends = (np.take_along_axis(ends, widest, axis=0)[0] for ends in (between, beyond))
        with np.errstate(invalid="ignore"):
            length = (common[1] - common[0]).reshape(shape)
            middles = [((first + last) / 2.0).reshape(shape) for first, last in (common, ends)]
        return (length, middles[0]), (gaps.max(axis=0).reshape(shape), middles[1])


def _widest(levels: Floats, width: Floats, middle: Floats) -> tuple[Floats, Floats]:
    """The largest `width` on any line at `levels` (2, k, m), and where its `middle` is: (m,) and
    (2, m).
    """
    instant = np.arange(levels.shape[2])
    axis, number = np.divmod(width.reshape(-1, len(instant)).argmax(axis=0), levels.shape[1])
    place = np.stack([levels[axis, number, instant], middle[axis, number, instant]])
    return width[axis, number, instant], np.where(axis == 0, place, place[::-1])


def _more(places: Floats, values: Floats) -> Floats:
    """By how much a concave function may be more, between the neighbours of the third of five
    `places` (5, m), than there, where its `values` (5, m) are largest.

    Between two places it lies below the lines through its values at both before, and both after.
    """
    bounds = []
    for x, y in ((places, values), (-places[::-1], values[::-1])):
        with np.errstate(divide="ignore", invalid="ignore"):
            slope = np.diff(y, axis=0) / np.diff(x, axis=0)
            before = slope[1] * (x[3] - x[2])
            after = y[3] - slope[3] * (x[3] - x[2]) - y[2]
        lines = [np.where(np.isnan(line), np.inf, line) for line in (before, after)]
        bounds.append(np.where(x[3] > x[2], np.minimum(*lines), 0.0))
    return np.asarray(np.maximum(*bounds))
