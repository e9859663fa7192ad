"""How much of something lies in a stretch of time: seconds of spells, each second worth something.

    pieces, worth ──> Measure ──> before(instant), between(start, end)

A piece is a spell in which each second is worth the same. Looking up a stretch takes two searches,
however many pieces lie in it.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from itertools import accumulate

import numpy as np
from numpy.typing import NDArray

from suncover.base.spell import Spell

Ints = NDArray[np.int64]


class Measure:
    """The worth of some pieces (sorted, disjoint) up to an instant.

    `worth` has what a second of each piece is worth, one number a piece; 1 if left out, and then
    all sums are whole seconds.
    """

    def __init__(self, pieces: Sequence[Spell], worth: Sequence[float] | None = None) -> None:
        self._ends = [piece.end for piece in pieces]
        self._starts = [piece.start for piece in pieces]
        self._worth: Sequence[float] = [1] * len(pieces) if worth is None else worth
        sums = (
            weight * (piece.end - piece.start)
            for piece, weight in zip(pieces, self._worth, strict=True)
        )
        self._sums: list[float] = [0, *accumulate(sums)]

    @property
    def total(self) -> float:
        """The worth of all pieces."""
        return self._sums[-1]

    def before(self, instant: int) -> float:
        """The worth of what lies before an instant."""
        index = bisect_left(self._ends, instant)
        total = self._sums[index]
        if index < len(self._starts) and self._starts[index] < instant:
            total += (instant - self._starts[index]) * self._worth[index]
        return total

    def between(self, start: int, end: int) -> float:
        """The worth of what lies from `start` to `end`; 0 if that is no time."""
        return self.before(end) - self.before(start) if end > start else 0

    def between_each(self, starts: Ints, ends: Ints) -> NDArray[np.float64]:
        """`between` for many stretches at once, (n,) each; of spells without `worth` alone."""
        worth = self._each_before(ends) - self._each_before(starts)
        return np.asarray(np.where(ends > starts, worth, 0.0))

    def _each_before(self, instants: Ints) -> NDArray[np.float64]:
        index = np.searchsorted(self._ends, instants)
        # After the last piece there is none that an instant may be in.
        starts = np.append(np.array(self._starts, dtype=np.int64), instants.max(initial=0))
        begun = np.maximum(instants - starts[index], 0)
        return np.asarray(np.array(self._sums)[index] + begun, dtype=np.float64)
