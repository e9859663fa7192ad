"""What is seen of some glasses past all that stands before them: lit or dark, and by what."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from suncover.facade.yard.cover import HAIR, Cover, Rim
from suncover.facade.yard.holes import Holes
from suncover.facade.yard.solid_arrays import SolidArrays

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]


class Looks(NamedTuple):
    """Looks at m glasses, each at an instant.

    `value` (m,) is above 0 where some of the glass is lit, and how much, in metres; `known` (m,)
    where that is sure. Where it is lit, `spot` (2, m) is a place on the rim of what is, which goes
    on into the glass by about `inward` (2, m). Where it is dark, `hides` (3, m) are up to three
    shadows that hide it by themselves: the solids of each, a bit for each of those looked at (what
    hides only together has several); 0 for none. Its `corners` (4, m) are hidden by these, by their
    place. Where those of an edge's corners do not meet, a third is `between` (4, m), else -1. What
    is `shared` (2, 4, m), places on each edge or nan, is hidden by both of these, or by the first
    and the third and by the third and the last; and what is `amid` (2, m) by all three, if there
    are three.
    """

    value: Floats
    known: Bools
    spot: Floats
    inward: Floats
    hides: Ints
    corners: Ints
    between: Ints
    shared: Floats
    amid: Floats

    @classmethod
    def none(cls, count: int) -> Looks:
        """Places for so many looks: dark, for no known reason."""
        return cls(
            np.full(count, -1.0),
            np.ones(count, dtype=bool),
            np.zeros((2, count)),
            np.zeros((2, count)),
            np.zeros((3, count), dtype=np.int64),
            np.zeros((4, count), dtype=np.int64),
            np.full((4, count), -1),
            np.full((2, 4, count), np.nan),
            np.zeros((2, count)),
        )

    @classmethod
    def joined(cls, parts: Sequence[Looks]) -> Looks:
        """Several, one after the other."""
        return cls(*(np.concatenate(arrays, axis=-1) for arrays in zip(*parts, strict=True)))

    @property
    def lit(self) -> Bools:
        """Whether any of the glass is lit, where that is known."""
        return self.value > 0.0

    def take(self, index: Ints) -> Looks:
        """Some of them."""
        return Looks._make(array.take(index, axis=-1) for array in self)

    def put(self, index: Ints, looks: Looks) -> None:
        """Puts other `looks` in the places of an `index`."""
        for array, values in zip(self, looks, strict=True):
            array[..., index] = values


class Sun(NamedTuple):
    """The sun over m glasses, each by its number `owner` (m,): slopes `p` and `q` (m,), and the
    share of the beam that is `needed` (m,) to count.
    """

    owner: Ints
    p: Floats
    q: Floats
    needed: Floats


def look(
    arrays: SolidArrays, sun: Sun, solids: Ints, shares: Floats, *, reasons: bool = True
) -> Looks:
    """What is seen of each glass past `solids` (d, m), which let through `shares` (d, m) each.

    Without `reasons`, only the value and whether it is known.
    """
    rim = Rim.of(arrays.sizes[:, sun.owner], arrays.reveals[sun.owner], sun.p, sun.q)
    begin, end = arrays.chords(solids, sun.p, sun.q, rim.levels)
    begin, end, masks = _dark(begin, end, shares, sun.needed)
    cover = Cover(rim, begin, end)
    looks = Looks.none(len(sun.p))
    looks.value[:] = cover.value
    lit = looks.lit
    # Two shadows that cover all edges cover all; so does what leaves no open glass at all.
    crowded = (begin <= end).any(axis=1).sum(axis=0) > 2
    looks.known[:] = lit | ~crowded | (rim.least <= HAIR)
    if reasons:
        looks.spot[:], looks.inward[:] = cover.spots()
    index = np.flatnonzero(~lit if reasons else ~looks.known)
    if len(index) and len(masks):
        part = cover.take(index)
        shadows, corners, between = part.hiding()
        hidden = shadows[0] >= 0
        several = hidden & (shadows[2] >= 0) | ~hidden & ~looks.known[index]
        looks.known[index[hidden]] = True
        amid = np.zeros((2, len(index)))
        if several.any():
            among = np.flatnonzero(several)
            at = index[among]
            slopes = np.stack([sun.p[at], sun.q[at]])
            holes = Holes.between(
                arrays, slopes, part.take(among), solids[:, at], shadows[:, among]
            )
            looks.known[at] = holes.known
            looks.value[at] = np.maximum(looks.value[at], holes.width)
            amid[:, among] = looks.spot[:, at] = holes.place
            looks.inward[:, at] = 0.0
            hidden[among] &= holes.deep
        looks.hides[:, index] = np.where(hidden & (shadows >= 0), masks[shadows], 0)
        looks.corners[:, index] = corners
        looks.between[:, index] = between
        looks.shared[..., index] = part.shared(shadows, corners, between)
        looks.amid[:, index] = amid
    return looks


def _dark(
    begin: Floats, end: Floats, shares: Floats, needed: Floats
) -> tuple[Floats, Floats, Ints]:
    """Chords (d, 4, m) of those shadows alone in which too little arrives, with those that only
    several crowns together make; and of each which of the solids make it, a bit for each.
    """
    masks = [1 << number for number in range(len(begin))]
    dark = shares < needed
    weak = ~dark & (shares < 1.0)
    more_begin, more_end = [], []
    for size in range(2, int(weak.sum(axis=0).max(initial=0)) + 1):
        for together_numbers in map(list, combinations(range(len(begin)), size)):
            together = weak[together_numbers].all(axis=0) & (
                shares[together_numbers].prod(axis=0) < needed
            )
            if together.any():
                first, last = begin[together_numbers].max(axis=0), end[together_numbers].min(axis=0)
                overlap = together & (first <= last)
                more_begin.append(np.where(overlap, first, np.inf))
                more_end.append(np.where(overlap, last, -np.inf))
                masks.append(sum(1 << number for number in together_numbers))
    begin = np.where(dark[:, None], begin, np.inf)
    end = np.where(dark[:, None], end, -np.inf)
    if more_begin:
        begin, end = np.concatenate([begin, more_begin]), np.concatenate([end, more_end])
    return begin, end, np.array(masks, dtype=np.int64)
