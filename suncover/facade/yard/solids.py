"""Things that stand before a window: upright prisms and tree crowns, in the window's own axes.

A solid is convex. Seen from one point, the directions in which a convex solid hides the sky are a
convex cone; seen from all of the glass, the directions in which it hides *some* point's sky are a
convex cone as well, and so are those in which it hides *every* point's (the corners decide). So
"does it touch this window's sun" and "does it take all of it" are a few dot products, for single
directions and for whole patches of sky. Only what lies between needs the outline of its shadow.

Coordinates are those of `suncover.facade.plates`: x along the glass, y up it, z out of it, metres.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache, cached_property
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from suncover.facade.yard.cone_sides import cone_sides

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

# What lies nearer to the plane of the glass than this, in metres, or behind it, shades nothing.
NEAREST = 1e-6
# Corners of the polygon that stands for a crown's elliptic shadow. Its corners lie on an ellipse
# blown up so that both have one area: nowhere are the outlines farther apart than 0.00005 of the
# crown's radius, 0.2 mm for a crown of 8 m, which its shadow crosses in less than a second.
OUTLINE = 256


class Standpoint(NamedTuple):
    """Where a window is on the site.

    `origin` (3,) is the middle of its glass's lower edge, metres east, north and up from the site's
    origin; `axes` are the window's, `width` that of its glass.
    """

    origin: Floats
    axes: Floats
    width: float

    def local(self, points: Floats) -> Floats:
        """Points (k, 3) of the site (east, north, up) in the window's coordinates x, y, z."""
        turned = (points - self.origin) @ self.axes.T
        turned[:, 0] += self.width / 2.0
        return np.asarray(turned)


@dataclass(frozen=True)
class Prism:
    """A convex solid by its corners, shape (k, 3), all of them in front of the glass.

    `edges` (e, 2) tell which corners an edge joins; if left out, any two may be.
    """

    corners: Floats
    edges: NDArray[np.intp] | None = None

    @cached_property
    def all_edges(self) -> NDArray[np.intp]:
        """Pairs of corners, all edges among them: (e, 2)."""
        if self.edges is not None:
            return self.edges
        return np.column_stack(np.triu_indices(len(self.corners), 1))

    def outline(self, p: Floats, q: Floats) -> Floats:
        """Where its corners throw their shadows on the plane of the glass: shape (n, k, 2)."""
        z = self.corners[:, 2]
        x = self.corners[:, 0] - p[:, None] * z
        y = self.corners[:, 1] - q[:, None] * z
        return np.stack([x, y], axis=-1)

    def hides(self, points: Floats, sun: Floats, radius: Floats) -> Bools:
        """Whether all of `points` (m, 3) lose the sun to it for every direction within `radius`.

        `sun` (3, n) unit vectors in the window's axes, `radius` (n,) in degrees.
        """
        hidden = np.ones(sun.shape[1], dtype=bool)
        for point in points:
            hidden &= _inside(self._cone(tuple(point)), sun, radius)
        return hidden

    def touches(self, points: Floats, sun: Floats, radius: Floats) -> Bools:
        """Whether a point within the hull of `points` may lose the sun to it, for any direction."""
        return ~_outside(self._cone(*map(tuple, points)), sun, radius)

    def _cone(self, *points: tuple[float, ...]) -> Floats:
        cones: dict[tuple[tuple[float, ...], ...], Floats] = self._cones
        if points not in cones:
            rays = np.concatenate([self.corners - np.array(point) for point in points])
            cones[points], _ = cone_sides(rays[None])
        return cones[points]

    @cached_property
    def _cones(self) -> dict[tuple[tuple[float, ...], ...], Floats]:
        return {}


@dataclass(frozen=True)
class Crown:
    """An ellipsoid of revolution about the vertical, with half-axes `across` and `upright`, metres.

    `middle` (3,) and the vertical `up` (3,) in the window's axes.
    """

    middle: Floats
    up: Floats
    across: float
    upright: float

    @property
    def in_front(self) -> bool:
        """Whether any of it stands before the plane of the glass."""
        return bool(self.middle[2] + self.depth > NEAREST)

    @property
    def is_whole(self) -> bool:
        """Whether all of it stands before the plane of the glass, so that its outline is a ring."""
        return self._section is None

    def outline(self, p: Floats, q: Floats) -> Floats:
        """Points round its shadow on the plane of the glass, in order: shape (n, k, 2)."""
        outline = np.empty((len(p), OUTLINE if self.is_whole else 2 * OUTLINE, 2))
        for index, rings in self.rings(p, q):
            outline[index, : rings.shape[1]] = rings
            outline[index, rings.shape[1] :] = rings[:, -1:]
        return outline

    def rings(self, p: Floats, q: Floats) -> Iterator[tuple[NDArray[np.intp], Floats]]:
        """The same in as few points as do: of which of the directions, and their points."""
        blown = np.sqrt(2.0 * np.pi / OUTLINE / np.sin(2.0 * np.pi / OUTLINE))
        points, z = self._rim(p, q, np.full(p.shape, blown), OUTLINE)
        front = (z > 0.0).all(axis=1) | (self._section is None)
        uncut, cut = np.flatnonzero(front), np.flatnonzero(~front)
        if len(uncut):
            yield uncut, points[uncut]
        if len(cut):
            yield cut, self._cut_rings(p[cut], q[cut], points[cut], z[cut])

    def _cut_rings(self, p: Floats, q: Floats, points: Floats, z: Floats) -> Floats:
        """Outlines where rays graze it behind the plane of the glass, too: there it ends in the
        ellipse that the plane cuts.

        Round both, only what is farthest out its way counts: of the one what lies before the plane,
        of the other where rays that graze the crown do so behind it.
        """
        assert self._section is not None
        first, second = points[:, 0], points[:, OUTLINE // 4]
        middle = (points[:, 0] + points[:, OUTLINE // 2]) / 2.0
        first, second = first - middle, second - middle
        backward = first[:, 0] * second[:, 1] < first[:, 1] * second[:, 0]
        points = np.where(backward[:, None, None], points[:, ::-1], points)
        z = np.where(backward[:, None], z[:, ::-1], z)
        ring, normals = self._section
        aside = -(p[:, None] * normals[:, 0] + q[:, None] * normals[:, 1])
        ways = np.stack([*np.broadcast_arrays(normals[:, 0], normals[:, 1], aside)], axis=-1)
        grazed = ways @ self.stretch
        size = np.sqrt((grazed * grazed).sum(axis=-1))
        behind = self.middle[2] + (grazed @ self.stretch[2]) / size <= 0.0
        flat = np.broadcast_to(ring, (len(p), *ring.shape))
        return _joined(_run(points, z > 0.0), _run(flat, behind))

    def point_of_shadow(self, p: Floats, q: Floats) -> tuple[Floats, Floats]:
        """x and y of some point amid its shadow on the plane of the glass: (n,) each."""
        if self._section is None:
            z = self.middle[2]
            return self.middle[0] - p * z, self.middle[1] - q * z
        x, y = self._section[0].mean(axis=0)
        return np.full_like(p, x), np.full_like(q, y)

    def rough_outline(
        self, p: Floats, q: Floats, glass: Floats, radius: Floats, *, grow: float, corners: int
    ) -> Floats:
        """Points (n, `corners`, 2) whose hull bounds its shadow on the glass for whole patches.

        For `grow` 1 the hull holds the shadow from every direction within `radius` degrees of each
        (p, q), for -1 it lies within it. `glass` (m, 3) are the corners of the glass.
        """
        away = self._farthest(glass) * np.sin(np.radians(radius))
        scale = 1.0 + grow * away / min(self.across, self.upright)
        if grow > 0.0:
            # What may lie behind the plane of the glass only makes the hull larger.
            return self._rim(p, q, scale / np.cos(np.pi / corners), corners)[0]
        points, z = self._rim(p, q, np.maximum(scale, 0.0), corners)
        front = z > 0.0
        some_front = points[np.arange(len(p)), front.argmax(axis=1)]
        return np.where(front[:, :, None], points, some_front[:, None, :])

    def _rim(self, p: Floats, q: Floats, scale: Floats, corners: int) -> tuple[Floats, Floats]:
        """Where the rays that graze it, blown up by `scale`, meet the plane of the glass.

        Points (n, `corners`, 2), and how far before that plane they graze it, (n, `corners`).
        """
        # In the space in which it is a ball: the great circle at right angles to the rays.
        rays = np.stack([p, q, np.ones_like(p)])
        along = self.rounded(rays)
        along = along / np.sqrt((along * along).sum(axis=0))
        flat = np.abs(along[2]) < 0.9
        helper = np.where(flat, np.array([[0.0], [0], [1]]), np.array([[1.0], [0], [0]]))
        first = np.cross(along, helper, axis=0)
        first = first / np.sqrt((first * first).sum(axis=0))
        second = np.cross(along, first, axis=0)
        turn = 2.0 * np.pi * np.arange(corners) / corners
        ball = first[:, :, None] * np.cos(turn) + second[:, :, None] * np.sin(turn)
        ball = ball * scale[:, None]
        x, y, z = (
            self.middle[row] + (self.stretch[row][:, None, None] * ball).sum(axis=0)
            for row in (0, 1, 2)
        )
        return np.stack([x - p[:, None] * z, y - q[:, None] * z], axis=-1), z

    @cached_property
    def stretch(self) -> Floats:
        """The matrix that makes the unit ball the ellipsoid."""
        upright = (self.upright - self.across) * np.outer(self.up, self.up)
        return np.asarray(self.across * np.eye(3) + upright)

    @cached_property
    def shape(self) -> Floats:
        """Its matrix (3, 3): points x with x' shape^-1 x = 1 from its middle are its surface."""
        return np.asarray(self.stretch @ self.stretch)

    @cached_property
    def form(self) -> Floats:
        """The inverse of its `shape`."""
        return np.asarray(np.linalg.inv(self.shape))

    @property
    def depth(self) -> float:
        """How far it reaches from its middle at right angles to the glass."""
        return float(np.sqrt((self.stretch[2] ** 2).sum()))

    @cached_property
    def _section(self) -> tuple[Floats, Floats] | None:
        """The ellipse in which the plane of the glass cuts it, if it does: points of it and ways
        straight out from it there, (OUTLINE, 2) each, counter-clockwise.
        """
        height = -self.middle[2] / self.depth
        if abs(height) >= 1.0:
            return None
        shape = self.shape
        # Of the crown's shape, what is seen from straight before it, less what lies off the plane.
        level = shape[:2, :2] - np.outer(shape[:2, 2], shape[:2, 2]) / shape[2, 2]
        root = np.linalg.cholesky(level * (1.0 - height * height))
        turn = 2.0 * np.pi * np.arange(OUTLINE) / OUTLINE
        circle = np.stack([np.cos(turn), np.sin(turn)], axis=-1)
        middle = self.middle[:2] - shape[:2, 2] / shape[2, 2] * self.middle[2]
        return middle + circle @ root.T, circle @ np.linalg.inv(root)

    def hides(self, points: Floats, sun: Floats, radius: Floats) -> Bools:
        """As `Prism.hides`."""
        hidden = np.ones(sun.shape[1], dtype=bool)
        # Off the middle line by `radius`, a ray has moved by at most this much where it meets the
        # crown; an ellipsoid smaller by that share of its least half-axis leaves room for it.
        away = self._farthest(points) * np.sin(np.radians(radius))
        scale = 1.0 - away / min(self.across, self.upright)
        for point in points:
            hidden &= self._met(point, sun, scale) & (scale > 0.0)
        return hidden

    def touches(self, points: Floats, sun: Floats, radius: Floats) -> Bools:
        """As `Prism.touches`."""
        middle = points.mean(axis=0)
        spread = float(np.sqrt(((points - middle) ** 2).sum(axis=1)).max())
        away = self._farthest(points) * np.sin(np.radians(radius)) + spread
        return self._met(middle, sun, 1.0 + away / min(self.across, self.upright))

    def _farthest(self, points: Floats) -> float:
        reach = np.sqrt(((self.middle - points) ** 2).sum(axis=1)).max()
        return float(reach) + max(self.across, self.upright)

    def _met(self, point: Floats, sun: Floats, scale: Floats) -> Bools:
        """Whether rays from `point` meet the ellipsoid blown up by `scale` (n,)."""
        to_middle = self.rounded((self.middle - point)[:, None])
        along = self.rounded(sun)
        ahead = (to_middle * along).sum(axis=0)
        length = (along * along).sum(axis=0)
        distance = float((to_middle * to_middle).sum())
        inside = distance <= scale * scale
        near = distance * length - ahead * ahead < scale**2 * length
        return np.asarray(inside | ((ahead > 0.0) & near), dtype=bool)

    def rounded(self, vectors: Floats) -> Floats:
        """Vectors (3, n) in the space in which the ellipsoid is the unit ball."""
        lengthwise = (self.up[:, None] * vectors).sum(axis=0)
        change = 1.0 / self.upright - 1.0 / self.across
        return np.asarray(vectors / self.across + self.up[:, None] * lengthwise * change)


def _inside(facets: Floats, sun: Floats, radius: Floats) -> Bools:
    if len(facets) == 0:
        return np.zeros(sun.shape[1], dtype=bool)
    return np.asarray((facets @ sun).max(axis=0) < -np.sin(np.radians(radius)))


def _outside(facets: Floats, sun: Floats, radius: Floats) -> Bools:
    if len(facets) == 0:
        return np.ones(sun.shape[1], dtype=bool)
    return np.asarray((facets @ sun).max(axis=0) > np.sin(np.radians(radius)))


def prism_before_glass(
    base_corners: Floats, base: float, top: float, frame: Standpoint
) -> Prism | None:
    """The part in front of the glass of an upright prism, or None if all of it lies behind.

    `base_corners` (k, 2) metres east and north of the site's origin, convex; `base` and `top` above
    the site's ground.
    """
    count = len(base_corners)
    world = np.concatenate(
        [
            np.column_stack([base_corners, np.full(count, base)]),
            np.column_stack([base_corners, np.full(count, top)]),
        ]
    )
    local = frame.local(world)
    edges = _upright_edges(count)
    front = local[:, 2] > NEAREST
    if not front.any():
        return None
    if front.all():
        return Prism(local, edges)
    crossing = edges[front[edges[:, 0]] != front[edges[:, 1]]]
    begin, end = local[crossing[:, 0]], local[crossing[:, 1]]
    share = (NEAREST - begin[:, 2]) / (end[:, 2] - begin[:, 2])
    cut = begin + share[:, None] * (end - begin)
    cut[:, 2] = NEAREST
    # Edges in front stay, those that are cut go to where they are, and all such places are joined.
    number = np.cumsum(front) - 1
    kept, places = edges[front[edges].all(axis=1)], front.sum() + np.arange(len(cut))
    inner = np.where(front[crossing[:, 0]], crossing[:, 0], crossing[:, 1])
    across = places[np.column_stack(np.triu_indices(len(cut), 1))]
    joined = [number[kept], np.column_stack([number[inner], places]), across]
    return Prism(np.concatenate([local[front], cut]), np.concatenate(joined))


@cache
def _upright_edges(count: int) -> NDArray[np.intp]:
    """The edges of an upright prism: `count` corners below, and as many above them in one order."""
    low, high = np.arange(count), np.arange(count) + count
    after = np.roll(np.arange(count), -1)
    rings = np.column_stack([low, after]), np.column_stack([high, after + count])
    edges = np.concatenate([*rings, np.column_stack([low, high])])
    edges.flags.writeable = False
    return edges


def crown_before_glass(
    trunk: tuple[float, float], width: float, bottom: float, top: float, frame: Standpoint
) -> Crown | None:
    """A tree's crown, `width` across, from `bottom` to `top` above the site's ground; or None.

    None if all of it lies behind the glass.
    """
    middle = frame.local(np.array([[*trunk, (bottom + top) / 2.0]]))[0]
    crown = Crown(middle, frame.axes[:, 2], width / 2.0, (top - bottom) / 2.0)
    return crown if crown.in_front else None


def _run(ring: Floats, keep: Bools) -> tuple[Floats, Bools]:
    """Rings (n, k, 2) turned so that the one run of points to `keep` (n, k) comes first.

    The others repeat the last of them. And whether there are any to keep: (n,).
    """
    begins = keep & ~np.roll(keep, 1, axis=1)
    number = keep.sum(axis=1)
    place = np.minimum(np.arange(keep.shape[1]), np.maximum(number, 1)[:, None] - 1)
    place = (begins.argmax(axis=1)[:, None] + place) % keep.shape[1]
    return np.take_along_axis(ring, place[:, :, None], axis=1), number > 0


def _joined(first_run: tuple[Floats, Bools], second_run: tuple[Floats, Bools]) -> Floats:
    """Two runs as one ring; where one of them is empty, the other alone."""
    first = np.where(first_run[1][:, None, None], first_run[0], second_run[0][:, :1])
    second = np.where(second_run[1][:, None, None], second_run[0], first_run[0][:, -1:])
    return np.concatenate([first, second], axis=1)
