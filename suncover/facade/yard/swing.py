"""How the sun moves along stretches of its way past a glass, and what that may change of its light.

`Swing` has the ranges of the slopes and the way in which they turn; `Change` the bounds of what is
won and lost meanwhile, which add up.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from suncover.facade.glazed import AnyGlass
from suncover.facade.yard.cones import Path
from suncover.facade.yard.drift import LOWEST_COSINE, Sway

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

# Of a path that strays by its slack from a straight one, an eighth of the squared step times the
# bound of its acceleration, s x s' strays by no more than so many times as much for a whole step;
# and what is rounding.
TURNING, ROUNDING = 4.2, 1e-9


class Change(NamedTuple):
    """What may change along each of m stretches, m² or shares of a glass.

    At no time faster than `gain` or `loss` for a whole stretch is it won or lost; and what is won
    up to an instant and lost after it, or the other way round, is no more than `both`. Glass that
    no other shadow hides is won and lost at no time slower than `least_gain` and `least_loss`.
    """

    gain: Floats
    loss: Floats
    both: Floats
    least_gain: Floats
    least_loss: Floats

    @classmethod
    def of(
        cls, ways: Floats, most: Floats, both: Floats | None = None, least: Floats | float = 0.0
    ) -> Change:
        """Areas that are swept: given free where their way is 1, taken where it is -1, else
        either.
        """
        return cls(
            np.where(ways < 0.0, 0.0, most),
            np.where(ways > 0.0, 0.0, most),
            most if both is None else both,
            np.where(ways > 0.0, least, 0.0),
            np.where(ways < 0.0, least, 0.0),
        )

    @property
    def speed(self) -> tuple[Floats, Floats]:
        """The slowest and the fastest growth, for a whole stretch; below 0 it falls."""
        return self.least_gain - self.loss, self.gain - self.least_loss

    def plus(self, other: Change) -> Change:
        """Both changes together."""
        return Change(*(first + second for first, second in zip(self, other, strict=True)))

    def times(self, factor: Floats | float) -> Change:
        """So many times the change."""
        return Change(*(part * factor for part in self))

    def or_any(self, where: Bools) -> Change:
        """The change, and anything `where` it is not bounded."""
        most = (np.where(where, np.inf, part) for part in self[:3])
        return Change(*most, *(np.where(where, 0.0, part) for part in self[3:]))

    def unless_hidden(self, hidden: Bools) -> Change:
        """The change where it may be `hidden`, so that there may be none."""
        return Change(*self[:3], *(np.where(hidden, 0.0, part) for part in self[3:]))

    def bounds(self, begin: Floats, end: Floats) -> tuple[Floats, Floats]:
        """The least and the most on the way, of what is so much at the begin and at the end."""
        middle = (begin + end) / 2.0
        least = np.maximum(np.maximum(begin - self.loss, end - self.gain), middle - self.both / 2.0)
        most = np.minimum(np.minimum(begin + self.gain, end + self.loss), middle + self.both / 2.0)
        return least, most


class Swing(NamedTuple):
    """The ranges of p and q along m stretches between two nodes, and how the sun moves there.

    The middle of the ranges and half of how far they go, `middle` and `half` (2, m). `turn` (3, m),
    the vector s x s' for a whole step, is known to `loose` (m,); the square of the cosine of
    incidence lies between those two of `squares` (2, m).
    """

    sway: Sway
    middle: Floats
    half: Floats
    turn: Floats
    loose: Floats
    squares: Floats

    @classmethod
    def along(cls, path: Path) -> Swing:
        """Those of paths between two nodes."""
        sway = Sway.along(path)
        low, high = np.stack([sway.p_low, sway.q_low]), np.stack([sway.p_high, sway.q_high])
        (u, v, n), (u2, v2, n2) = path.nodes[:, 0], path.nodes[:, 1]
        turn = np.stack([v * n2 - n * v2, n * u2 - u * n2, u * v2 - v * u2])
        ahead = path.nodes[2]
        least, most = ahead.min(axis=0) - path.slack, ahead.max(axis=0) + path.slack
        squares = np.stack([np.maximum(least, LOWEST_COSINE), most]) ** 2
        loose = TURNING * path.slack + ROUNDING
        return cls(sway, (low + high) / 2.0, (high - low) / 2.0, turn, loose, squares)

    def take(self, keep: NDArray[np.intp]) -> Swing:
        """Only the stretches that `keep` picks."""
        return Swing(self.sway.take(keep), *(array[..., keep] for array in self[1:]))

    def fastest(self, volume: Floats, loose: Floats | None = None) -> Floats:
        """What a det(e, s, s') / n² comes to at the most, where det is known to `loose`."""
        loose = self.loose if loose is None else loose
        return np.asarray((np.abs(volume) + loose) / self.squares[0])

    def slowest(self, volume: Floats, loose: Floats | None = None) -> Floats:
        """What it comes to at the least."""
        loose = self.loose if loose is None else loose
        return np.asarray(np.maximum(np.abs(volume) - loose, 0.0) / self.squares[1])

    def way(self, volume: Floats, loose: Floats | None = None) -> Floats:
        """Its sign all along, or 0 where that is not known."""
        loose = self.loose if loose is None else loose
        return np.where(np.abs(volume) > loose, np.sign(volume), 0.0)

    def open_glass(self, glass: AnyGlass) -> tuple[Floats, Floats, Floats, Floats]:
        """What the reveal leaves of a glass all along: from left to right, and up."""
        r = glass.reveal
        return (
            np.maximum(-r * self.sway.p_low, 0.0),
            glass.width - np.maximum(r * self.sway.p_high, 0.0),
            np.maximum(-r * self.sway.q_low, 0.0),
            glass.height - np.maximum(r * self.sway.q_high, 0.0),
        )
