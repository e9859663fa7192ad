"""By how much the shadows on a glass may change while the sun moves a little.

The shadow of a point at depth z moves by z times the change of p and q. An edge of a shadow that
spans dx by dy on the glass sweeps no more than z (|dp| dy + |dq| dx) of it.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from suncover.facade.glazed import Glass
from suncover.facade.yard.cones import Path
from suncover.facade.yard.solids import Crown, Prism

Floats = NDArray[np.float64]

# A cosine of incidence below which nothing is known, and what stands for no bound of a slope.
LOWEST_COSINE, BOUNDLESS = 1e-6, 1e9
# Of the farthest of a shadow's corners from an edge's line, what is rounding.
ROUNDING = 1e-9
# Stands for an edge that lies amid a shadow.
AMID = 2


class Sway(NamedTuple):
    """The ranges of the slopes p and q along each of m stretches of the sun's path."""

    p_low: Floats
    p_high: Floats
    q_low: Floats
    q_high: Floats

    @classmethod
    def along(cls, path: Path) -> Sway:
        """Those of paths between two nodes; all there are where they come near to behind the glass.

        Between the nodes, p and q of a straight path grow or fall all the way.
        """
        u, v, n = path.nodes
        lowest = n.min(axis=0) - path.slack
        front = lowest > LOWEST_COSINE
        n = np.where(front, n, 1.0)
        p, q = u / n, v / n
        # From u / n, a path that strays by so much in u and in n comes off by no more than this.
        off = path.slack / np.where(front, lowest, 1.0)
        p_off, q_off = off * (1.0 + np.abs(p).max(axis=0)), off * (1.0 + np.abs(q).max(axis=0))
        far = np.where(front, 0.0, BOUNDLESS)
        return cls(
            p.min(axis=0) - p_off - far,
            p.max(axis=0) + p_off + far,
            q.min(axis=0) - q_off - far,
            q.max(axis=0) + q_off + far,
        )

    @property
    def in_front(self) -> NDArray[np.bool_]:
        """Whether the sun stays before the glass all along each stretch."""
        return np.asarray(self.p_high < BOUNDLESS / 2.0)

    def take(self, keep: NDArray[np.intp]) -> Sway:
        """Only the stretches that `keep` picks."""
        return Sway._make(array[keep] for array in self)

    def swept(self, width: Floats | float, height: Floats | float) -> Floats:
        """What an edge `width` by `height` sweeps for each metre of depth: m²."""
        return np.asarray((self.p_high - self.p_low) * height + (self.q_high - self.q_low) * width)


def swept(solid: Prism | Crown, glass: Glass, sway: Sway) -> Floats:
    """At most so many m² of the glass may a solid's shadow give free or take: (m,).

    Its front, or its back, sweeps no more than an edge as wide and as high as the glass.
    """
    if isinstance(solid, Crown):
        deep = float(solid.middle[2]) + solid.depth
        area = deep * sway.swept(glass.width, glass.height)
        return np.where(_crown_near(solid, glass, sway), area, 0.0)
    deep = float(np.abs(solid.corners[:, 2]).max())
    bound = deep * sway.swept(glass.width, glass.height)
    return np.minimum(bound, _edges_swept(solid, glass, sway))


def _edges_swept(prism: Prism, glass: Glass, sway: Sway) -> Floats:
    """What all edges sweep that may throw their shadows on the glass."""
    edges = prism.all_edges
    ranges = []
    for axis, low, high in ((0, sway.p_low, sway.p_high), (1, sway.q_low, sway.q_high)):
        begins, stops = (prism.corners[edges[:, end]] for end in (0, 1))
        at = [
            end[:, axis, None] - np.stack([low, high])[:, None] * end[:, 2, None]
            for end in (begins, stops)
        ]
        span = at[1] - at[0]
        near = (np.maximum(*at).max(axis=0) >= 0.0) & (
            np.minimum(*at).min(axis=0) <= (glass.width, glass.height)[axis]
        )
        most, least = np.abs(span).max(axis=0), np.abs(span).min(axis=0)
        ranges.append((near, most, np.where(span[0] * span[1] > 0.0, least, 0.0)))
    (near_x, most_x, least_x), (near_y, most_y, least_y) = ranges
    # An edge aslant leaves the glass sideways or up before it has crossed all of it.
    with np.errstate(divide="ignore", invalid="ignore"):
        wide = np.fmin(glass.height * most_x / least_y, np.inf)
        high = np.fmin(glass.width * most_y / least_x, np.inf)
    wide = np.minimum(np.minimum(wide, most_x), glass.width)
    high = np.minimum(np.minimum(high, most_y), glass.height)
    deep = np.abs(prism.corners[edges, 2]).max(axis=1)
    areas = deep[:, None] * sway.swept(wide, high)
    seen = near_x & near_y & (Edges.of(prism).sides(sway) != AMID)
    return np.asarray(np.where(seen, areas, 0.0).sum(axis=0))


@dataclass(frozen=True, eq=False)
class Edges:
    """Edges of prisms: where they begin, their `lines` from there to their ends (e, 3), and all
    corners of the prism of each (e, k, 3).
    """

    begin: Floats
    lines: Floats
    corners: Floats

    @classmethod
    def of(cls, prism: Prism) -> Edges:
        """All of a prism's."""
        begin, end = (prism.corners[prism.all_edges[:, number]] for number in (0, 1))
        return cls(
            begin, end - begin, np.broadcast_to(prism.corners, (len(begin), *prism.corners.shape))
        )

    @cached_property
    def _normals(self) -> Floats:
        return np.cross(self.lines[:, None], self.corners - self.begin[:, None])

    def sides(self, sway: Sway) -> NDArray[np.int8]:
        """On which side of the shadow of each its prism's lies: (e, m).

        1 where all corners are on the side of positive det(edge, corner, sun), -1 on the other,
        `AMID` where there surely are some on either, so that it is no edge of the shadow, and else
        0. A corner's distance from an edge's line grows with m·(p, q, 1), where m is at right
        angles to the triangle of the three in space.
        """
        middle = np.stack([sway.p_low + sway.p_high, sway.q_low + sway.q_high]) / 2.0
        spread = np.stack([sway.p_high - sway.p_low, sway.q_high - sway.q_low]) / 2.0
        distance = self._normals[..., :2] @ middle + self._normals[..., 2:]
        loose = np.abs(self._normals[..., :2]) @ spread
        # Corners in one line with the edge are on neither side.
        least = ROUNDING * np.abs(distance).max(axis=1)
        low, high = distance - loose, distance + loose
        amid = (low.max(axis=1) > least) & (high.min(axis=1) < -least)
        above, below = low.min(axis=1) >= -least, high.max(axis=1) <= least
        sides = np.where(above, 1, np.where(below, -1, 0))
        return np.where(amid, AMID, sides).astype(np.int8)


def _crown_near(crown: Crown, glass: Glass, sway: Sway) -> NDArray[np.bool_]:
    """Whether the box about a crown's shadow may meet the glass."""
    shape = crown.stretch @ crown.stretch
    near = np.ones(sway.p_low.shape, dtype=bool)
    slopes = ((sway.p_low, sway.p_high), (sway.q_low, sway.q_high))
    for axis, size in enumerate((glass.width, glass.height)):
        centres, reaches = [], []
        for slope in slopes[axis]:
            centres.append(crown.middle[axis] - slope * crown.middle[2])
            square = shape[axis, axis] - 2 * slope * shape[axis, 2] + slope**2 * shape[2, 2]
            reaches.append(np.sqrt(square))
        reach = np.maximum(*reaches)
        near &= (np.maximum(*centres) + reach >= 0.0) & (np.minimum(*centres) - reach <= size)
    return near
