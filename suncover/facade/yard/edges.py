"""The edges of solids with flat sides as arrays, and those that bound what the glass loses to them.

From one point of the glass, the sides of what such a solid hides go through some of its edges.
Which of its edges these are hangs on which side of the plane through an edge and the point each
corner lies: a linear function of the point. So edges that have all corners on one side from all
corners of the glass have them there from every point of it.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from suncover.facade.yard.chords import Chord
from suncover.facade.yard.solids import Prism

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

# Of a corner's distance from a plane, what is rounding: a share of its distance from the point.
ROUNDING = 1e-10

# Stands for a slope of zero.
TINY = 1e-30


class Lines(NamedTuple):
    """Edges of solids as `lines` (6, f, k): of each its moment, the product of both ends, and the
    way along it.

    What a point x sees of an edge lies in a plane at right angles to moment - x × way.
    """

    lines: Floats

    @classmethod
    def of(cls, ends: Floats) -> Lines:
        """Through `ends` (2, 3, f, k)."""
        return cls(np.concatenate([np.cross(ends[0], ends[1], axis=0), ends[1] - ends[0]]))

    def take(self, index: Ints) -> Lines:
        """Those of some of the solids."""
        return Lines(self.lines.take(index, axis=2))

    def normals(self, points: Floats) -> Floats:
        """At right angles to the planes through the edges and points (2, n) of the glass: (3, f,
        n).
        """
        (x, y), (right, up, out) = points, self.lines[3:]
        normals = self.lines[:3].copy()
        normals[0] -= y * out
        normals[1] += x * out
        normals[2] -= x * up - y * right
        return normals

    def chords(self, p: Floats, q: Floats, levels: Floats) -> Chord:
        """Where shadows that these edges bound, each with the shadow on one side, lie on the four
        lines at `levels` (4, n): of x for the first two, of y for the others; (4, n) each.
        """
        right, up, out = self.lines[3:]
        form = self.lines[0] * p + self.lines[1] * q + self.lines[2]
        right, up = up - out * q, out * p - right
        # A line along a level leaves all of it or nothing.
        right[right == 0.0] = up[up == 0.0] = TINY
        begins, ends = np.empty_like(levels), np.empty_like(levels)
        for first, across, along in ((0, right, up), (2, up, right)):
            place, slope, begin = form / along, across / along, along > 0.0
            begin_place, end_place = np.where(begin, place, -np.inf), np.where(begin, np.inf, place)
            for number in (first, first + 1):
                shift = slope * levels[number]
                begins[number] = (begin_place - shift).max(axis=0)
                ends[number] = (end_place - shift).min(axis=0)
        return begins, ends


class EdgeTable(NamedTuple):
    """Solids with flat sides: both ends of their edges (2, 3, e, k), their corners (3, c, k), and
    all edges as lines.
    """

    ends: Floats
    corners: Floats
    lines: Lines

    @classmethod
    def of(cls, solids: Sequence[Prism]) -> EdgeTable:
        """Of solids with about as many edges; those with fewer repeat one."""
        edges = max(len(solid.all_edges) for solid in solids)
        corners = max(len(solid.corners) for solid in solids)
        ends = np.empty((len(solids), 2, 3, edges))
        points = np.empty((len(solids), 3, corners))
        for slots, at, solid in zip(ends, points, solids, strict=True):
            edge_ends = solid.corners[solid.all_edges].transpose(1, 2, 0)
            slots[..., : edge_ends.shape[2]], slots[..., edge_ends.shape[2] :] = (
                edge_ends,
                edge_ends[..., -1:],
            )
            count = len(solid.corners)
            at[:, :count], at[:, count:] = solid.corners.T, solid.corners.T[:, -1:]
        ends = np.ascontiguousarray(ends.transpose(1, 2, 3, 0))
        return cls(ends, np.ascontiguousarray(points.transpose(1, 2, 0)), Lines.of(ends))

    def take(self, index: Ints) -> EdgeTable:
        """Some of the solids."""
        ends, corners = self.ends.take(index, axis=3), self.corners.take(index, axis=2)
        return EdgeTable(ends, corners, self.lines.take(index))

    def sides_of_corners(self, points: Floats) -> tuple[Floats, Floats]:
        """How far each corner lies out of the plane through each edge and a point of the glass (2,
        k), and what of that is rounding: (e, c, k) each; both by some factor.
        """
        normals = self.lines.normals(points)
        corners = self.corners.copy()
        corners[:2] -= points[:, None]
        side = sum(normals[axis][:, None] * corners[axis] for axis in range(3))
        far = np.sqrt((corners * corners).sum(axis=0))
        size = np.sqrt((normals * normals).sum(axis=0))
        return np.asarray(side), ROUNDING * size[:, None] * far

    def faces(self) -> Floats:
        """Of each edge the planes of the two faces that meet there, or one twice, as forms of a
        point of the glass (1, x, y): its distance from them, in metres, (2, 3, e, k).

        The edge bounds what a point loses to the solid if the point is on like sides of both. What
        is no edge, as there are corners all round it, has two planes of which no point is.
        """
        start, way = self.ends[0], self.lines.lines[3:]
        way = way / np.sqrt((way * way).sum(axis=0))
        corners = self.corners[:, None] - start[:, :, None]
        beside = corners - way[:, :, None] * (corners * way[:, :, None]).sum(axis=0)
        far = np.sqrt((beside * beside).sum(axis=0))
        farthest = np.take_along_axis(beside, far.argmax(axis=1)[None, :, None], axis=2)
        # Corners on the edge tell nothing of its faces.
        beside = np.where(far <= ROUNDING * far.max(axis=1, keepdims=True), farthest, beside)
        first = farthest / far.max(axis=1)[:, None]
        second = np.cross(way[:, :, None], first, axis=0)
        angles = np.arctan2((beside * second).sum(axis=0), (beside * first).sum(axis=0))
        angles = np.sort(angles, axis=1)
        gaps = np.diff(angles, axis=1, append=angles[:, :1] + 2.0 * np.pi)
        widest = gaps.argmax(axis=1)[:, None]
        after = (widest + 1) % angles.shape[1]
        bounds = [np.take_along_axis(angles, which, axis=1)[:, 0] for which in (widest, after)]
        planes = []
        for angle in bounds:
            normal = np.cos(angle) * second[:, :, 0] - np.sin(angle) * first[:, :, 0]
            planes.append(np.stack([-(normal * start).sum(axis=0), normal[0], normal[1]]))
        none = np.take_along_axis(gaps, widest, axis=1)[:, 0] < np.pi
        beyond = np.array([[1.0, 0.0, 0.0], [-1.0, 0.0, 0.0]])[:, :, None, None] * self.far
        return np.where(none, beyond, np.stack(planes))

    @property
    def far(self) -> Floats:
        """How far the farthest corner of each is from the lower left corner of the glass: (k,)."""
        return np.asarray(np.sqrt((self.corners * self.corners).sum(axis=0)).max(axis=0))


class MixedEdges(NamedTuple):
    """All edges of those k solids of which it hangs on the point of the glass which of them bound
    what it loses: their `lines`, the `most` that the normals measure, the planes of their `faces`
    (2, 3, e, k), and below which distance from these is rounding, `loose` (k,); at the `place` (p,)
    of a solid in its table.
    """

    lines: Lines
    most: Floats
    faces: Floats
    loose: Floats
    place: Ints

    @classmethod
    def of(cls, table: EdgeTable, corners: Sequence[Floats], mixed: Bools) -> MixedEdges:
        """Of those of a table that are `mixed` (k,), before glasses with `corners` (2, k) each."""
        own, index = table.take(np.flatnonzero(mixed)), np.flatnonzero(mixed)
        most = _largest(own.lines, [points[:, index] for points in corners])
        loose = ROUNDING * (own.far + np.hypot(*corners[-1][:, index]))
        return cls(own.lines, most, own.faces(), loose, np.cumsum(mixed) - 1)

    def take(self, place: Ints) -> MixedEdges:
        """Those of some places in the table."""
        own = self.place[place]
        faces, most = self.faces.take(own, axis=3), self.most.take(own, axis=1)
        return MixedEdges(self.lines.take(own), most, faces, self.loose[own], own)

    def sides(self, points: Floats) -> tuple[Floats, Bools, Bools]:
        """For points that move from one place to another (2, 2, k): by which factor a line has the
        solid on the one side, (e, k); whether it is a side of what any of them loses, and whether
        of none of them.
        """
        x, y = points.swapaxes(0, 1)[:, :, None, None]
        off = self.faces[:, 0] + self.faces[:, 1] * x + self.faces[:, 2] * y
        low, high = off.min(axis=0), off.max(axis=0)
        ahead, behind = (low >= -self.loose).all(axis=0), (high <= self.loose).all(axis=0)
        never = (low > self.loose).any(axis=0) & (high < -self.loose).any(axis=0)
        return np.where(ahead, 1.0, -1.0), ahead | behind, never


class Outline(NamedTuple):
    """Of the k solids of a table, the `lines` that bound what they hide, with the solid on the one
    side of each; the `most` (f, k) that their normals measure from any point of the glass; and
    `mixed` (k,) where the lines hang on the point. Of these the `edges`.
    """

    lines: Lines
    most: Floats
    mixed: Bools
    edges: MixedEdges

    @classmethod
    def of(cls, table: EdgeTable, sizes: Floats) -> Outline:
        """Of solids before glasses of `sizes` (2, k)."""
        corners = [sizes * np.array(share)[:, None] for share in ((0, 0), (1, 0), (0, 1), (1, 1))]
        sides = []
        for points in corners:
            side, loose = table.sides_of_corners(points)
            sides.append(np.where(np.abs(side) <= loose, 0.0, side))
        low, high = np.minimum.reduce(sides), np.maximum.reduce(sides)
        ahead, behind = (high <= 0.0).all(axis=1), (low >= 0.0).all(axis=1)
        never = (low > 0.0).any(axis=1) & (high < 0.0).any(axis=1)
        kept = ahead | behind
        # What has fewer than three sides is too flat to tell.
        mixed = ~(never | kept).all(axis=0) | (kept.sum(axis=0) < 3)
        most = int(kept.sum(axis=0).max(initial=1))
        order = np.argsort(~kept, axis=0, kind="stable")[:most]
        order = np.where(np.take_along_axis(kept, order, axis=0), order, order[0])
        turned = np.where(behind & ~ahead, table.ends[::-1], table.ends)
        order = np.broadcast_to(order, (2, 3, *order.shape))
        lines = Lines.of(np.take_along_axis(turned, order, axis=2))
        edges = MixedEdges.of(table, corners, mixed)
        return cls(lines, _largest(lines, corners), mixed, edges)


def _largest(lines: Lines, points: Sequence[Floats]) -> Floats:
    """The most (f, k) that the normals of `lines` measure from any point of the glass, by its
    corners (2, k) each: a normal changes evenly from point to point.
    """
    normals = np.stack([lines.normals(at) for at in points])
    return np.asarray(np.sqrt((normals * normals).sum(axis=1)).max(axis=0))
