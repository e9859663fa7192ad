"""The elliptic shadows of a crown on the plane of the glass, and what they take of panes.

Where a shadow is made the unit disc, a pane, or any convex shape on it, is a polygon: each of its
sides gives a piece of triangle where it runs in the disc, and pieces of the disc where it does not.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from suncover.facade.yard.common_parts import Panes, Sides
from suncover.facade.yard.solids import Crown

Floats = NDArray[np.float64]

# m² of a shadow that are rounding.
ROUNDING = 1e-9


class Discs(NamedTuple):
    """Ellipses (n,), each of which is the unit disc in u and v: about (`x`, `y`), x is `root` u and
    y is `lean` u + `rest` v.
    """

    x: Floats
    y: Floats
    root: Floats
    lean: Floats
    rest: Floats

    @classmethod
    def of(cls, crown: Crown, p: Floats, q: Floats) -> Discs:
        """A crown's shadows from suns of slopes `p` and `q` (n,)."""
        shape = crown.stretch @ crown.stretch
        xx = shape[0, 0] - 2.0 * p * shape[0, 2] + p * p * shape[2, 2]
        yy = shape[1, 1] - 2.0 * q * shape[1, 2] + q * q * shape[2, 2]
        xy = shape[0, 1] - q * shape[0, 2] - p * shape[1, 2] + p * q * shape[2, 2]
        # The root of the ellipse's matrix.
        root = np.sqrt(xx)
        lean = xy / root
        rest = np.sqrt(np.maximum(yy - lean * lean, 0.0))
        x, y, z = crown.middle
        return cls(x - p * z, y - q * z, root, lean, rest)

    @property
    def box(self) -> Panes:
        """The boxes about them."""
        tall = np.hypot(self.lean, self.rest)
        return Panes(self.x - self.root, self.x + self.root, self.y - tall, self.y + tall)

    def of_disc(self, x: Floats, y: Floats) -> tuple[Floats, Floats]:
        """Points of the glass (k, n) where each ellipse is the disc."""
        u = (x - self.x) / self.root
        return u, (y - self.y - self.lean * u) / self.rest

    def touching(self, crown: Crown, p: Floats, q: Floats, points: tuple[Floats, Floats]) -> Floats:
        """How far before the glass rays from `points` of the discs (k, n) are amid the crown, or
        touch it, metres.
        """
        shape, (u, v) = crown.stretch @ crown.stretch, points
        # Evenly more from one side to the other.
        first = (shape[0, 2] - p * shape[2, 2]) / self.root
        second = (shape[1, 2] - q * shape[2, 2] - self.lean * first) / self.rest
        return np.asarray(crown.middle[2] + first * u + second * v)

    def area_within(self, sides: Sides) -> Floats:
        """The m² that they have in common with convex shapes: (n,)."""
        begin, end = self.of_disc(sides.x, sides.y), self.of_disc(sides.x2, sides.y2)
        return np.asarray(_disc_beside(*begin, *end).sum(axis=0) * self.root * self.rest)


def crown_areas(crown: Crown, p: Floats, q: Floats, panes: Panes) -> tuple[Floats, Panes]:
    """The area of a crown's shadow on each pane: (n,); nan where some of the crown that throws it
    may lie behind the glass. And the box about the shadow.
    """
    discs, corners = Discs.of(crown, p, q), panes.sides
    covered = np.clip(discs.area_within(corners), 0.0, panes.area)
    covered = np.where(panes.area > 0.0, covered, 0.0)
    behind = discs.touching(crown, p, q, discs.of_disc(corners.x, corners.y)).min(axis=0) <= 0.0
    return np.where(behind & (covered > ROUNDING), np.nan, covered), discs.box


def _disc_beside(u: Floats, v: Floats, u2: Floats, v2: Floats) -> Floats:
    """The signed area of the unit disc between its middle and the line from (u, v) to (u2, v2)."""
    du, dv = u2 - u, v2 - v
    size = du * du + dv * dv
    size = np.where(size > 0.0, size, 1.0)
    toward = u * du + v * dv
    square = toward * toward - size * (u * u + v * v - 1.0)
    reach = np.sqrt(np.maximum(square, 0.0))
    enters = np.clip((-toward - reach) / size, 0.0, 1.0)
    leaves = np.clip((-toward + reach) / size, 0.0, 1.0)
    first, last = (u + enters * du, v + enters * dv), (u + leaves * du, v + leaves * dv)
    inside = first[0] * last[1] - first[1] * last[0]
    return (_turn(u, v, *first) + inside + _turn(*last, u2, v2)) / 2.0


def _turn(u: Floats, v: Floats, u2: Floats, v2: Floats) -> Floats:
    """The angle at the middle from one point to another, in radians."""
    return np.arctan2(u * v2 - v * u2, u * u2 + v * v2)
