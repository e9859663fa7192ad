"""Is any of the glass in sun past all that stands before it? Exactly, instant by instant.

The open glass is a rectangle, and every shadow on it is convex. Followed round the rectangle's four
edges, each shadow covers one interval of each edge, so that a free place on an edge is found by
comparing interval ends. Where all four edges are dark, most often all of the glass is:

    Let two convex shadows A and B cover the rim of a convex piece of glass, and let a point x in it
    be in neither. A line through x keeps all of A on one side of it, another all of B. From x runs
    a ray on the other side of both; where it leaves the glass, the rim is in neither: so there is
    no such x.

Only a hole between three shadows or more can be free, and whether one is must be drawn.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from suncover.facade.glazed import Glass, Plate
from suncover.facade.yard.solids import Crown, Prism

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

# Metres of an edge below which a gap between two shadows is rounding, not sun.
HAIR = 1e-9

Chord = tuple[Floats, Floats]
"""Where a shadow's part of a line begins and ends, (n,) each; begins after its end where none."""


class Cover:
    """The shadows of `solids` and of the glass's plates along the edges of the open glass."""

    def __init__(self, glass: Glass, solids: Sequence[Prism | Crown]) -> None:
        self._glass = glass
        self._solids: list[Prism | Crown] = [*solids, *map(flat, glass.plates)]

    def state(self, p: Floats, q: Floats, shares: Floats, needed: Floats) -> Ints:
        """1 where some of the glass is in sun, -1 where none is, 0 where it must be drawn: (n,).

        `p`, `q` (n,) slopes of the sun, all before the glass. `shares` (s, n) what each solid lets
        through of the beam: 1 where it does not touch the glass or does not matter. `needed` (n,)
        the share of the beam that counts as sun.
        """
        glass, reveal = self._glass, self._glass.reveal
        low = np.stack([np.maximum(0.0, -reveal * p), np.maximum(0.0, -reveal * q)])
        high = np.stack([np.full_like(p, glass.width), np.full_like(q, glass.height)])
        high = np.minimum(high, high - reveal * np.stack([p, q]))
        answer = np.full(p.shape, -1, dtype=np.int64)
        some = np.flatnonzero((high - low > HAIR).all(axis=0))
        rim = _Rim(low[:, some], high[:, some], p[some], q[some])
        shares = np.concatenate([shares[:, some], self._plate_shares(p[some], q[some])])
        answer[some] = rim.state(self._solids, shares, needed[some])
        return answer

    def _plate_shares(self, p: Floats, q: Floats) -> Floats:
        plates = self._glass.plates
        toward = {"top": q > 0.0, "right": p > 0.0, "left": p < 0.0}
        shares = np.ones((len(plates), len(p)))
        for number, plate in enumerate(plates):
            shares[number, toward[plate.kind]] = 0.0
        return shares


def flat(plate: Plate) -> Prism:
    """A plate as a solid without thickness, from its outer edge in.

    It may go on behind the face of the wall, where its shadow misses the open glass: so that does
    not end just on the glass's edge.
    """
    begin, end = plate.drawn_ends
    ends = [(begin, -1.0), (end, -1.0), (end, plate.far), (begin, plate.far)]
    if plate.kind == "top":
        corners = [(along, plate.line, z) for along, z in ends]
    else:
        corners = [(plate.line, along, z) for along, z in ends]
    return Prism(np.array(corners), np.array([[0, 1], [1, 2], [2, 3], [3, 0]]))


class _Rim:
    """The edges of the open glass: left, right, lower, upper; from `low` (2, n) to `high`."""

    def __init__(self, low: Floats, high: Floats, p: Floats, q: Floats) -> None:
        self._p, self._q = p, q
        # Each edge lies at one level of one axis and runs along the other.
        self._levels = np.stack([low[0], high[0], low[1], high[1]])
        self._begin = np.stack([low[1], low[1], low[0], low[0]])
        self._end = np.stack([high[1], high[1], high[0], high[0]])

    def state(self, solids: Sequence[Prism | Crown], shares: Floats, needed: Floats) -> Ints:
        """As `Cover.state`."""
        # The shadows at each instant, one after the other: arrays as deep as there are at the most.
        there = shares < 1.0
        place = np.cumsum(there, axis=0) - 1
        deep = int(there.sum(axis=0).max(initial=0))
        begin = np.full((deep, 4, len(needed)), np.inf)
        end, share = -begin, np.ones((deep, len(needed)))
        for solid, which, slot, lets in zip(solids, there, place, shares, strict=True):
            some = np.flatnonzero(which)
            if len(some):
                chords = self._chords(solid, some)
                begin[slot[some], :, some] = chords[0].T
                end[slot[some], :, some] = chords[1].T
                share[slot[some], some] = lets[some]
        free = self._free(begin, end, share, needed)
        answer = np.where(free, 1, -1)
        left = np.flatnonzero(~free & (there.sum(axis=0) > 2))
        sure = self._two_hide(
            begin[:, :, left], end[:, :, left], share[:, left], needed[left], left
        )
        answer[left[~sure]] = 0
        return answer

    def _free(self, begin: Floats, end: Floats, share: Floats, needed: Floats) -> Bools:
        """Whether enough of the beam reaches a place on any edge.

        Along an edge the beam only grows at its beginning and where a shadow ends: just after them.
        """
        free = np.zeros(needed.shape, dtype=bool)
        for spot in (self._begin + HAIR, *(end + HAIR)):
            on_edge = (spot >= self._begin) & (spot < self._end - HAIR)
            some = np.flatnonzero(on_edge.any(axis=0) & ~free)
            here = spot[:, some]
            beam = np.ones(here.shape)
            for first, last, lets in zip(begin, end, share, strict=True):
                shaded = (first[:, some] <= here) & (here <= last[:, some])
                beam = np.where(shaded, beam * lets[some], beam)
            free[some] = (on_edge[:, some] & (beam >= needed[some])).any(axis=0)
        return free

    def _two_hide(
        self, begin: Floats, end: Floats, share: Floats, needed: Floats, which: Ints
    ) -> Bools:
        """Whether two shadows alone cover all edges, or two crowns' common one does."""
        low, high = self._begin[:, which] + HAIR, self._end[:, which] - HAIR
        covered = np.zeros(needed.shape, dtype=bool)
        dark = share < needed
        for one in range(len(begin)):
            for other in range(one, len(begin)):
                first, last = (begin[one], begin[other]), (end[one], end[other])
                starts = np.minimum(*first) <= low
                stops = np.maximum(*last) >= high
                meet = np.maximum(*first) <= np.minimum(*last)
                alone = ((first[0] <= low) & (last[0] >= high)) | (
                    (first[1] <= low) & (last[1] >= high)
                )
                whole = (alone | (starts & stops & meet)).all(axis=0)
                both = ((np.maximum(*first) <= low) & (np.minimum(*last) >= high)).all(axis=0)
                covered |= whole & dark[one] & dark[other]
                if one != other:
                    covered |= both & (share[one] * share[other] < needed)
        return covered

    def _chords(self, solid: Prism | Crown, some: Ints) -> Chord:
        """Where a solid's shadow lies on each edge: (4, m) each."""
        p, q, levels = self._p[some], self._q[some], self._levels[:, some]
        if isinstance(solid, Crown):
            return crown_chords(solid, p, q, levels)
        shadow = solid.corners[:, :2, None] - np.stack([p, q]) * solid.corners[:, 2, None, None]
        begins, ends = [], []
        for number, level in enumerate(levels):
            across, along = shadow[:, number // 2] - level, shadow[:, 1 - number // 2]
            begin, end = _crossed(across, along, solid.all_edges)
            begins.append(begin)
            ends.append(end)
        return np.stack(begins), np.stack(ends)


def _crossed(across: Floats, along: Floats, edges: NDArray[np.intp]) -> Chord:
    """Where edges between corners (k, n) cross the line `across` = 0: from where to where."""
    one, other = across[edges[:, 0]], across[edges[:, 1]]
    crosses = (one <= 0.0) != (other <= 0.0)
    share = one / np.where(crosses, one - other, 1.0)
    first = along[edges[:, 0]]
    place = first + share * (along[edges[:, 1]] - first)
    return (
        np.where(crosses, place, np.inf).min(axis=0),
        np.where(crosses, place, -np.inf).max(axis=0),
    )


def crown_chords(
    crown: Crown, p: Floats, q: Floats, levels: Floats, axes: Sequence[int] = (0, 0, 1, 1)
) -> Chord:
    """Where a crown's shadow lies on lines: one at each of `levels` (k, n), of x where its axis is
    0 and of y where it is 1; (k, n) each.

    Its shadow is an ellipse, (x - c)' S^-1 (x - c) <= 1, with the ellipsoid's matrix seen along the
    sun's rays for S. A crown that reaches behind the glass ends in the ellipse in its plane.
    """
    shape = crown.stretch @ crown.stretch
    square = np.stack(
        [
            shape[0, 0] - 2.0 * p * shape[0, 2] + p * p * shape[2, 2],
            shape[1, 1] - 2.0 * q * shape[1, 2] + q * q * shape[2, 2],
        ]
    )
    mixed = shape[0, 1] - q * shape[0, 2] - p * shape[1, 2] + p * q * shape[2, 2]
    centre = crown.middle[:2, None] - np.stack([p, q]) * crown.middle[2]
    begins, ends = [], []
    for axis, level in zip(axes, levels, strict=True):
        away = level - centre[axis]
        begin, end = _ellipse_chord(square[axis], square[1 - axis], mixed, away)
        if not crown.is_whole:
            begin, end = _cut_chord(crown, (begin, end), (p, q), (square, mixed), (axis, away))
            at_glass = _section_chord(crown, axis, level, centre[1 - axis])
            begin, end = np.minimum(begin, at_glass[0]), np.maximum(end, at_glass[1])
        begins.append(centre[1 - axis] + begin)
        ends.append(centre[1 - axis] + end)
    return np.stack(begins), np.stack(ends)


def _ellipse_chord(across: Floats, along: Floats, mixed: Floats, away: Floats) -> Chord:
    """An ellipse's chord `away` from its middle: S has `across`, `along`, and `mixed` beside."""
    inside = across - away * away
    spread = np.sqrt(np.maximum((across * along - mixed * mixed) * inside, 0.0)) / across
    middle = mixed / across * away
    there = inside > 0.0
    return np.where(there, middle - spread, np.inf), np.where(there, middle + spread, -np.inf)


def _cut_chord(
    crown: Crown,
    chord: Chord,
    sun: tuple[Floats, Floats],
    matrix: tuple[Floats, Floats],
    line: tuple[int, Floats],
) -> Chord:
    """A chord without such of its ends as lie where rays graze the crown behind the glass."""
    shape = crown.stretch @ crown.stretch
    (square, mixed), (axis, away) = matrix, line
    lean = [shape[0, 2] - sun[0] * shape[2, 2], shape[1, 2] - sun[1] * shape[2, 2]]
    whole = square[0] * square[1] - mixed * mixed
    found = []
    for end, nothing in zip(chord, (np.inf, -np.inf), strict=True):
        place = np.where(np.isfinite(end), end, 0.0)
        here = (away, place) if axis == 0 else (place, away)
        # S^-1 (x - c), which leads back to the point of the crown whose shadow is x.
        back = (
            (square[1] * here[0] - mixed * here[1]) / whole,
            (square[0] * here[1] - mixed * here[0]) / whole,
        )
        depth = crown.middle[2] + lean[0] * back[0] + lean[1] * back[1]
        found.append(np.where(depth > 0.0, end, nothing))
    return found[0], found[1]


def _section_chord(crown: Crown, axis: int, level: Floats, centre: Floats) -> Chord:
    """The chord of the ellipse in which the plane of the glass cuts a crown, from `centre`."""
    inverse = np.linalg.inv(crown.stretch)
    form = inverse @ inverse
    x = level - crown.middle[axis]
    z = -crown.middle[2]
    a = form[1 - axis, 1 - axis]
    b = form[0, 1] * x + form[1 - axis, 2] * z
    c = form[axis, axis] * x * x + 2.0 * form[axis, 2] * x * z + form[2, 2] * z * z - 1.0
    inside = b * b - a * c
    spread = np.sqrt(np.maximum(inside, 0.0)) / a
    middle = crown.middle[1 - axis] - b / a - centre
    there = inside > 0.0
    return np.where(there, middle - spread, np.inf), np.where(there, middle + spread, -np.inf)
