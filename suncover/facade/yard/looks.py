"""What is seen of some glasses past all that stands before them: lit or dark, and by what."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from suncover.facade.yard.cover import HAIR, Cover, Rim
from suncover.facade.yard.holes import Holes
from suncover.facade.yard.solid_arrays import SolidArrays

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]


@dataclass(frozen=True)
class Looks:
    """Looks at m glasses, each at an instant.

    `value` (m,) is above 0 where some of the glass is lit, and how much, in metres; `known` (m,)
    where that is sure. Where it is lit, `spot` (2, m) is a place on the rim of what is, which goes
    on into the glass by about `inward` (2, m). Where it is dark, `hides` (3, m) are up to three
    shadows that hide it by themselves: the solids of each, a bit for each of those looked at (what
    hides only together has several); 0 for none. Its `corners` (4, m) are hidden by these, by their
    place; what is `shared` (4, m), a place on each edge or nan, by those that hide the edge's
    corners; and what is `amid` (2, m) by all three, if there are three.
    """

    value: Floats
    known: Bools
    spot: Floats
    inward: Floats
    hides: Ints
    corners: Ints
    shared: Floats
    amid: Floats

    @classmethod
    def none(cls, many: int) -> Looks:
        """Places for so many looks: dark, for no known reason."""
        return cls(
            np.full(many, -1.0),
            np.ones(many, dtype=bool),
            np.zeros((2, many)),
            np.zeros((2, many)),
            np.zeros((3, many), dtype=np.int64),
            np.zeros((4, many), dtype=np.int64),
            np.full((4, many), np.nan),
            np.zeros((2, many)),
        )

    @classmethod
    def joined(cls, several: Sequence[Looks]) -> Looks:
        """Several, one after the other."""
        names = [each.name for each in fields(cls)]
        return cls(
            *(np.concatenate([getattr(one, name) for one in several], axis=-1) for name in names)
        )

    @property
    def lit(self) -> Bools:
        """Whether any of the glass is lit, where that is known."""
        return self.value > 0.0

    def take(self, which: Ints | Bools) -> Looks:
        """Some of them."""
        return Looks(*(getattr(self, each.name)[..., which] for each in fields(self)))

    def put(self, which: Ints, found: Looks) -> None:
        """Puts others in the places `which`."""
        for each in fields(self):
            getattr(self, each.name)[..., which] = getattr(found, each.name)


@dataclass(frozen=True)
class Sun:
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
    found = Looks.none(len(sun.p))
    found.value[:] = cover.value
    lit = found.lit
    # Two shadows that cover all edges cover all; so does what leaves no open glass at all.
    crowded = (begin <= end).any(axis=1).sum(axis=0) > 2
    found.known[:] = lit | ~crowded | (rim.least <= HAIR)
    if reasons:
        found.spot[:], found.inward[:] = cover.spots()
    asked = np.flatnonzero(~lit if reasons else ~found.known)
    if len(asked) and len(masks):
        part = cover.take(asked)
        who, corners = part.hiding()
        hidden = who[0] >= 0
        several = hidden & (who[2] >= 0) | ~hidden & ~found.known[asked]
        found.known[asked[hidden]] = True
        amid = np.zeros((2, len(asked)))
        if several.any():
            some = np.flatnonzero(several)
            at = asked[some]
            slopes = np.stack([sun.p[at], sun.q[at]])
            holes = Holes.between(arrays, slopes, part.take(some), solids[:, at], who[:, some])
            found.known[at] = holes.known
            found.value[at] = np.maximum(found.value[at], holes.width)
            amid[:, some] = found.spot[:, at] = holes.place
            found.inward[:, at] = 0.0
            hidden[some] &= holes.deep
        found.hides[:, asked] = np.where(hidden & (who >= 0), masks[who], 0)
        found.corners[:, asked] = corners
        found.shared[:, asked] = part.shared(who, corners)
        found.amid[:, asked] = amid
    return found


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
        for some in map(list, combinations(range(len(begin)), size)):
            together = weak[some].all(axis=0) & (shares[some].prod(axis=0) < needed)
            if together.any():
                first, last = begin[some].max(axis=0), end[some].min(axis=0)
                there = together & (first <= last)
                more_begin.append(np.where(there, first, np.inf))
                more_end.append(np.where(there, last, -np.inf))
                masks.append(sum(1 << number for number in some))
    begin = np.where(dark[:, None], begin, np.inf)
    end = np.where(dark[:, None], end, -np.inf)
    if more_begin:
        begin, end = np.concatenate([begin, more_begin]), np.concatenate([end, more_end])
    return begin, end, np.array(masks, dtype=np.int64)
