"""What convex shadows on a pane have in common, in closed form, for many suns at once.

Each shadow is what some half-planes have in common, and so is any overlap of them: each of its
sides runs along one of their lines, between where the others cut that. An overlap with a round
shadow is told by the same sides.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

# The sine of an angle between two lines that is rounding, which counts as none.
PARALLEL = 1e-12
# Numbers worked out together: bounds the memory, and keeps them in the cache.
AT_ONCE = 1 << 16


class Panes(NamedTuple):
    """Rectangles of glass, (n,) each."""

    left: Floats
    right: Floats
    low: Floats
    high: Floats

    @property
    def area(self) -> Floats:
        """Their areas in m²; 0 where nothing is left."""
        return np.maximum(self.right - self.left, 0.0) * np.maximum(self.high - self.low, 0.0)

    def take(self, index: NDArray[np.intp]) -> Panes:
        """The panes of an `index`."""
        return Panes(*(side[index] for side in self))

    @property
    def sides(self) -> Sides:
        """Their outlines."""
        x = np.stack([self.left, self.right, self.right, self.left])
        y = np.stack([self.low, self.low, self.high, self.high])
        return Sides(x, y, np.roll(x, -1, axis=0), np.roll(y, -1, axis=0))

    @property
    def half_planes(self) -> HalfPlanes:
        """Their four sides."""
        none = np.zeros_like(self.left)
        full = none + 1.0
        return HalfPlanes(
            np.stack([-full, full, none, none]),
            np.stack([none, none, -full, full]),
            np.stack([-self.left, self.right, -self.low, self.high]),
        )


class HalfPlanes(NamedTuple):
    """Points with a x + b y <= c, where (a, b) is of length 1: (h, n) each.

    Where a and b are 0 and c is not less, there is none.
    """

    a: Floats
    b: Floats
    c: Floats

    def take(self, index: NDArray[np.intp] | slice) -> HalfPlanes:
        """Those for some of the suns."""
        return HalfPlanes(*(values[:, index] for values in self))


class Sides(NamedTuple):
    """The sides of convex shapes, anticlockwise, from (x, y) to (x2, y2): (h, n) each.

    What is no side begins and ends at one point.
    """

    x: Floats
    y: Floats
    x2: Floats
    y2: Floats

    def area(self) -> Floats:
        """The areas of the shapes: (n,)."""
        return np.asarray((self.x * self.y2 - self.y * self.x2).sum(axis=0) / 2.0)


def sides(planes: HalfPlanes) -> Sides:
    """The sides of what all half-planes have in common, which has to be bounded."""
    count = planes.a.shape[1]
    pieces = -(-count * planes.a.shape[0] ** 2 // AT_ONCE)
    if pieces > 1:
        parts = [
            sides(planes.take(slice(int(part[0]), int(part[-1]) + 1)))
            for part in np.array_split(np.arange(count), min(pieces, count))
        ]
        return Sides(*(np.concatenate(values, axis=1) for values in zip(*parts, strict=True)))
    a, b, c = planes
    # How a line, in the direction (-b, a) from its point (a c, b c), is cut by each other one.
    sine = a[:, None] * b[None] - b[:, None] * a[None]
    cosine = a[:, None] * a[None] + b[:, None] * b[None]
    room = c[None] - c[:, None] * cosine
    with np.errstate(divide="ignore", invalid="ignore"):
        at = room / sine
    # Of two that run alike, the inner one counts; of two in one place, the first. One that runs
    # the other way cuts all or nothing.
    rank = np.arange(len(a))
    inner = (c[:, None] < c[None]) | (c[:, None] == c[None]) & (rank[:, None] <= rank)[..., None]
    parallel = np.abs(sine) < PARALLEL
    lost = parallel & ~np.where(cosine > 0.0, inner, room >= 0.0)
    begin = np.where((sine < 0.0) & ~parallel, at, -np.inf).max(axis=1)
    end = np.where((sine > 0.0) & ~parallel, at, np.where(lost, -np.inf, np.inf)).min(axis=1)
    side = ((a != 0.0) | (b != 0.0)) & (end > begin)
    begin, end = np.where(side, begin, 0.0), np.where(side, end, 0.0)
    x, y = a * c, b * c
    return Sides(x - b * begin, y + a * begin, x - b * end, y + a * end)
