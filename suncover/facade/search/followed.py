"""Crossings followed from day to day: where to look first on days between others.

On neighbouring days the sun comes to the glass, or leaves it, at nearly the same time, past the
same edge: a smooth curve over the days. Where days before and after are known, a day between can be
looked at close to either side of the instant that the curve says. It only says where to look: what
is lit there is found as ever.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from suncover.facade.search.ragged import members
from suncover.sun.position import DAY

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]


@dataclass(frozen=True)
class Crossings:
    """Crossings (k,): the `block` of each, the `day` in it, its instant on the block's first day,
    and whether the sun `comes`.
    """

    block: Ints
    day: Ints
    times: Floats
    comes: Bools

    @classmethod
    def joined(cls, several: Sequence[Crossings]) -> Crossings:
        """Several, one after the other."""
        block, day, times, comes = (
            np.concatenate([getattr(crossings, name) for crossings in several])
            for name in ("block", "day", "times", "comes")
        )
        return cls(block, day, times, comes)

    def on(self, days: Sequence[int], block: Ints, day: Ints) -> tuple[Ints, Floats]:
        """Where the crossings of some `days` lead on others, those of each `block` (m,) on a `day`
        (m,): to which of these m each belongs, and its instant; (n,) each.

        As a polynomial through the instants of all of the days: those of blocks that have the same
        crossings on each.
        """
        many, slot = len(days), np.searchsorted(days, self.day)
        order = np.lexsort((self.times, slot, self.block))
        group = (self.block * many + slot)[order]
        first = np.flatnonzero(np.diff(group, prepend=-1))
        count = np.diff(np.append(first, len(group)))
        number = members(count)[1]
        # The first crossings of all days of a block, then the second ones.
        order = order[np.lexsort((group % many, number, group // many))]
        along, size = np.zeros((0, many)), int(self.block.max(initial=-1)) + 1
        held = np.zeros((size, many), dtype=np.int64)
        held[group[first] // many, group[first] % many] = count
        alike = (held == held[:, :1]).all(axis=1)
        order = order[alike[self.block[order]]]
        along = self.times[order].reshape(-1, many)
        comes = self.comes[order].reshape(-1, many)
        kept = (comes == comes[:, :1]).all(axis=1)
        along, owner = along[kept], self.block[order].reshape(-1, many)[kept, 0]
        begin = np.searchsorted(owner, block, side="left")
        which, step = members(np.searchsorted(owner, block, side="right") - begin)
        weights = _weights(days, day[which])
        return which, (along[begin[which] + step] * weights).sum(axis=1) + day[which] * DAY


def _weights(days: Sequence[int], day: Ints) -> Floats:
    """By which a polynomial's values on some `days` give those on each `day` (m,): (m, days).

    Lagrange's form.
    """
    weights = np.ones((len(day), len(days)))
    for number, known in enumerate(days):
        for other in set(days) - {known}:
            weights[:, number] *= (day - other) / (known - other)
    return weights
