"""Where shadows lie on lines in the plane of the glass, for many shadows at once."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from suncover.facade.yard.solids import Crown

Floats = NDArray[np.float64]

Chord = tuple[Floats, Floats]
"""Where a shadow's part of a line begins and ends, (n,) each; begins after its end where none."""


class Crowns(NamedTuple):
    """One crown for each of n directions of the sun, as `Crown` has them: `middle` and `up` (3, n),
    `shape` and `form` (3, 3, n), `half` (2, n) its half-axes, across and upright; all before the
    plane of the glass, or all cut by it.
    """

    middle: Floats
    up: Floats
    shape: Floats
    form: Floats
    half: Floats
    is_whole: bool

    @classmethod
    def of(cls, crowns: Sequence[Crown], *, is_whole: bool) -> Crowns:
        """Some crowns, of which all are whole or none is."""
        middle, up = (
            np.array([getattr(crown, name) for crown in crowns]).reshape(-1, 3).T
            for name in ("middle", "up")
        )
        shape, form = (
            np.array([getattr(crown, name) for crown in crowns]).reshape(-1, 3, 3)
            for name in ("shape", "form")
        )
        half = np.array([(crown.across, crown.upright) for crown in crowns]).reshape(-1, 2).T
        return cls(middle, up, shape.transpose(1, 2, 0), form.transpose(1, 2, 0), half, is_whole)

    def take(self, index: NDArray[np.int64]) -> Crowns:
        """The crowns of an `index` (n,)."""
        middle, up, half = (side.take(index, axis=1) for side in (self.middle, self.up, self.half))
        shape, form = (side.take(index, axis=2) for side in (self.shape, self.form))
        return Crowns(middle, up, shape, form, half, self.is_whole)

    def rounded(self, vectors: Floats) -> Floats:
        """Vectors (3, ..., n) in the space in which each crown is the unit ball."""
        across, upright = self.half
        lengthwise = sum(axis * part for axis, part in zip(self.up, vectors, strict=True))
        change = (1.0 / upright - 1.0 / across) * lengthwise
        return np.stack(
            [part / across + axis * change for axis, part in zip(self.up, vectors, strict=True)]
        )


def in_order(begin: Floats, end: Floats) -> Chord:
    """Chords of d shadows (d, ...) in the order in which they begin.

    By exchanges of neighbours: d is small, and to sort along the first axis takes far longer.
    """
    begins, ends = list(begin), list(end)
    for last in range(len(begins) - 1, 0, -1):
        for first, second in pairwise(range(last + 1)):
            pair = begins[first], begins[second]
            ordered = pair[0] <= pair[1]
            begins[first], begins[second] = np.minimum(*pair), np.maximum(*pair)
            ends[first], ends[second] = (
                np.where(ordered, ends[first], ends[second]),
                np.where(ordered, ends[second], ends[first]),
            )
    return np.stack(begins), np.stack(ends)


def edge_chords(ends: Floats, p: Floats, q: Floats, levels: Floats) -> Chord:
    """Where shadows lie on the four lines at `levels` (4, n): of x for the first two, of y for the
    others; (4, n) each.

    `ends` (2, 3, e, n): x, y, z of both ends of all edges of the solid of each direction (n,).
    """
    x = ends[:, 0] - p * ends[:, 2]
    y = ends[:, 1] - q * ends[:, 2]
    along = np.stack([y, y, x, x])
    across = np.stack([x, x, y, y])
    across -= levels[:, None, None]
    starts, stops = across[:, 0], across[:, 1]
    crosses = (starts <= 0.0) != (stops <= 0.0)
    with np.errstate(divide="ignore", invalid="ignore"):
        place = along[:, 0] + starts / (starts - stops) * (along[:, 1] - along[:, 0])
    begin = np.where(crosses, place, np.inf).min(axis=1)
    return begin, np.where(crosses, place, -np.inf).max(axis=1)


def crown_chords(
    crown: Crown | Crowns, p: Floats, q: Floats, levels: Floats, axes: Sequence[int] = (0, 0, 1, 1)
) -> Chord:
    """Where a crown's shadow lies on lines: one at each of `levels` (k, n), of x where its axis is
    0 and of y where it is 1; (k, n) each.

    Its shadow is an ellipse, (x - c)' S^-1 (x - c) <= 1, with the ellipsoid's matrix seen along the
    sun's rays for S. A crown that reaches behind the glass ends in the ellipse in its plane.
    """
    shape, middle = crown.shape, crown.middle
    square = np.stack(
        [
            shape[0, 0] - 2.0 * p * shape[0, 2] + p * p * shape[2, 2],
            shape[1, 1] - 2.0 * q * shape[1, 2] + q * q * shape[2, 2],
        ]
    )
    mixed = shape[0, 1] - q * shape[0, 2] - p * shape[1, 2] + p * q * shape[2, 2]
    centre = np.stack([middle[0] - p * middle[2], middle[1] - q * middle[2]])
    across, along = np.asarray(axes), 1 - np.asarray(axes)
    away = levels - centre[across]
    begin, end = _ellipse_chord(square[across], square[along], mixed, away)
    for number, axis in enumerate(() if crown.is_whole else axes):
        line = axis, away[number]
        ends = _cut_chord(crown, (begin[number], end[number]), (p, q), (square, mixed), line)
        at_glass = _section_chord(crown, axis, levels[number], centre[1 - axis])
        begin[number] = np.minimum(ends[0], at_glass[0])
        end[number] = np.maximum(ends[1], at_glass[1])
    return centre[along] + begin, centre[along] + end


def _ellipse_chord(across: Floats, along: Floats, mixed: Floats, away: Floats) -> Chord:
    """An ellipse's chord `away` from its middle: S has `across`, `along`, and `mixed` beside."""
    inside = across - away * away
    spread = np.sqrt(np.maximum((across * along - mixed * mixed) * inside, 0.0)) / across
    middle = mixed / across * away
    crosses = inside > 0.0
    return np.where(crosses, middle - spread, np.inf), np.where(crosses, middle + spread, -np.inf)


def _cut_chord(
    crown: Crown | Crowns,
    chord: Chord,
    sun: tuple[Floats, Floats],
    matrix: tuple[Floats, Floats],
    line: tuple[int, Floats],
) -> Chord:
    """A chord without such of its ends as lie where rays graze the crown behind the glass."""
    shape = crown.shape
    (square, mixed), (axis, away) = matrix, line
    lean = [shape[0, 2] - sun[0] * shape[2, 2], shape[1, 2] - sun[1] * shape[2, 2]]
    determinant = square[0] * square[1] - mixed * mixed
    ends = []
    for end, no_end in zip(chord, (np.inf, -np.inf), strict=True):
        place = np.where(np.isfinite(end), end, 0.0)
        point = (away, place) if axis == 0 else (place, away)
        # S^-1 (x - c), which leads back to the point of the crown whose shadow is x.
        back = (
            (square[1] * point[0] - mixed * point[1]) / determinant,
            (square[0] * point[1] - mixed * point[0]) / determinant,
        )
        depth = crown.middle[2] + lean[0] * back[0] + lean[1] * back[1]
        ends.append(np.where(depth > 0.0, end, no_end))
    return ends[0], ends[1]


def _section_chord(crown: Crown | Crowns, axis: int, level: Floats, centre: Floats) -> Chord:
    """The chord of the ellipse in which the plane of the glass cuts a crown, from `centre`."""
    form = crown.form
    x = level - crown.middle[axis]
    z = -crown.middle[2]
    a = form[1 - axis, 1 - axis]
    b = form[0, 1] * x + form[1 - axis, 2] * z
    c = form[axis, axis] * x * x + 2.0 * form[axis, 2] * x * z + form[2, 2] * z * z - 1.0
    inside = b * b - a * c
    spread = np.sqrt(np.maximum(inside, 0.0)) / a
    middle = crown.middle[1 - axis] - b / a - centre
    crosses = inside > 0.0
    return np.where(crosses, middle - spread, np.inf), np.where(crosses, middle + spread, -np.inf)
