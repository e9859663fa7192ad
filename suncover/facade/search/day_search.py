"""Where the sun on glass among obstacles and trees begins and ends within pieces of single days."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from suncover.base.roots import find_changes
from suncover.facade.search.paths import stretches_of, sun_at
from suncover.facade.search.ragged import members
from suncover.facade.yard.looks import Looks
from suncover.facade.yard.yards import Parts, Yards
from suncover.sun.position import Observer

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]
Spells = tuple[Ints, Floats, Floats]
"""Of some pieces of time the part of the sky, the beginning and the end: (k,) each."""

# Seconds to either side of a crossing at which it is looked at again; and what is no longer than
# this is not looked into any more.
BESIDE, SHORT = 1.0, 6.0
# How closely a crossing is known at the least, in seconds.
CLOSE = 0.01
# In so many parts a piece is cut at the most, whatever else is looked into at the same time: what
# is found of a window does not hang on which others are asked for.
PARTS = 3


class Pieces(NamedTuple):
    """Pieces of time (m,), each of a `part` of the sky, and the looks at both ends of each."""

    part: Ints
    begin: Floats
    end: Floats
    first: Looks
    last: Looks

    @property
    def crossed(self) -> Bools:
        """Whether it is lit at one end and dark at the other."""
        return np.not_equal(self.first.lit, self.last.lit)

    def take(self, where: Bools) -> Pieces:
        """Some of them."""
        index = np.flatnonzero(where)
        looks = self.first.take(index), self.last.take(index)
        return Pieces(self.part[index], self.begin[index], self.end[index], *looks)

    @classmethod
    def joined(cls, several: Sequence[Pieces]) -> Pieces:
        """Several, one after the other."""
        part = np.concatenate([pieces.part for pieces in several])
        begin, end = (
            np.concatenate([getattr(pieces, name) for pieces in several])
            for name in ("begin", "end")
        )
        first = Looks.joined([pieces.first for pieces in several])
        return cls(part, begin, end, first, Looks.joined([pieces.last for pieces in several]))


class DaySearch:
    """The search through pieces of days, of some `parts` of the sky before some yards."""

    def __init__(self, yards: Yards, observer: Observer, parts: Parts) -> None:
        self._yards, self._observer, self._parts = yards, observer, parts
        self._lit: list[Spells] = []

    def lit(self, part: Ints, times: Floats) -> Spells:
        """What is lit of some pieces of time, that begin and end at neighbouring `times` (n,) of
        one `part` (n,) of the sky, in order.
        """
        none = np.zeros(0)
        self._lit = [(none.astype(np.int64), none, none)]
        looks = self._look(part, times)
        own = np.flatnonzero(part[1:] == part[:-1])
        first, last = looks.take(own), looks.take(own + 1)
        pieces = Pieces(part[own], times[own], times[own + 1], first, last)
        while len(pieces.part):
            left = self._past_crossings(pieces.take(pieces.crossed))
            pieces = Pieces.joined([pieces.take(~pieces.crossed), left])
            # All that has one state first: a search for crossings costs more than all of these.
            crossed = [pieces.take(pieces.crossed)]
            pieces = pieces.take(~pieces.crossed)
            while len(pieces.part):
                pieces = self._settled(pieces)
                crossed.append(pieces.take(pieces.crossed))
                pieces = pieces.take(~pieces.crossed)
            pieces = Pieces.joined(crossed)
        part, times, end = (np.concatenate(values) for values in zip(*self._lit, strict=True))
        return part, times, end

    def _look(self, part: Ints, times: Floats) -> Looks:
        return self._yards.look(self._parts, part, sun_at(times, self._observer))

    def _keep(self, part: Ints, begin: Floats, end: Floats, lit: Bools) -> None:
        self._lit.append((part[lit], begin[lit], end[lit]))

    def _past_crossings(self, pieces: Pieces) -> Pieces:
        """Finds a crossing in each of the pieces, and what is lit just about it; what is left."""
        if len(pieces.part) == 0:
            return pieces
        part, begin, end = pieces.part, pieces.begin, pieces.end
        crossing = self._crossing(pieces)
        low, high = np.maximum(crossing - BESIDE, begin), np.minimum(crossing + BESIDE, end)
        early, late = self._look(part, low), self._look(part, high)
        # Between both looks there is the one crossing, or none that matters.
        sure = (early.lit == pieces.first.lit) & (late.lit == pieces.last.lit)
        even = early.lit == late.lit
        self._keep(part, low, np.where(even, high, crossing), (sure | even) & early.lit)
        self._keep(part, crossing, high, sure & late.lit)
        left = [
            Pieces(part, begin, low, pieces.first, early).take(low > begin),
            Pieces(part, low, high, early, late).take(~sure & ~even),
            Pieces(part, high, end, late, pieces.last).take(high < end),
        ]
        return Pieces.joined(left)

    def _crossing(self, pieces: Pieces) -> Floats:
        """A zero of the looks' value in each piece."""

        def value(times: Floats, index: Ints) -> Floats:
            part, sun = pieces.part[index], sun_at(times, self._observer)
            return self._yards.look(self._parts, part, sun, reasons=False).value

        values = pieces.first.value, pieces.last.value
        return find_changes(value, pieces.begin, pieces.end, CLOSE, values)

    def _settled(self, pieces: Pieces) -> Pieces:
        """Settles such pieces as have one state all along; the others cut in smaller ones."""
        axes = self._yards.axes[self._parts.owner[pieces.part]]
        stretch = stretches_of(pieces.begin, pieces.end, self._observer, axes)
        sure = self._yards.holds(self._parts, pieces.part, stretch, pieces.first, pieces.last)
        sure |= pieces.end - pieces.begin < SHORT
        self._keep(pieces.part, pieces.begin, pieces.end, sure & pieces.first.lit)
        return self._cut(pieces.take(~sure))

    def _cut(self, pieces: Pieces) -> Pieces:
        """The pieces cut in parts, of which none needs be shorter than `SHORT`."""
        if len(pieces.part) == 0:
            return pieces
        length = pieces.end - pieces.begin
        count = np.clip(np.ceil(length / SHORT).astype(np.int64), 2, PARTS)
        piece, step = members(count - 1)
        inner = pieces.begin[piece] + length[piece] * (step + 1) / count[piece]
        looks = self._look(pieces.part[piece], inner)
        # The ends of all, those amid each piece between its own two.
        numbers = np.arange(len(length))
        order = np.argsort(np.concatenate([numbers, piece, numbers]), kind="stable")
        looks = Looks.joined([pieces.first, looks, pieces.last]).take(order)
        times = np.concatenate([pieces.begin, inner, pieces.end])[order]
        part = np.concatenate([pieces.part, pieces.part[piece], pieces.part])[order]
        last = np.cumsum(count + 1) - 1
        begin = np.delete(np.arange(len(times)), last)
        return Pieces(
            part[begin], times[begin], times[begin + 1], looks.take(begin), looks.take(begin + 1)
        )
