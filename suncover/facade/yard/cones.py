"""What fixed points of the glass lose of the sky: cones, over whole stretches of the sun's path.

From one point, a convex solid hides a convex cone of directions. A prism's cone, a plate's and the
reveal's have flat sides: "outside" is one linear form above 0, "inside" all of them below 0. A
crown's is round, and convex as well: inside is a convex function below 0, outside a linear form
that touches it from below above 0.

A stretch of the sun's path is given by its nodes. Between them the sun strays from the straight
lines through neighbouring nodes by no more than `slack`, so that what holds at all nodes by more
than that holds all along.

A convex solid hides all of a convex piece of glass if it hides its corners: so a lattice of points
tells about whole cells of the glass.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from suncover.facade.glazed import Glass, Plate
from suncover.facade.yard.cone_sides import cone_sides
from suncover.facade.yard.solids import Crown, Prism

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

# Numbers worked out together: what fits in a processor's cache is done several times as fast.
AT_ONCE = 1 << 17
# Nodes of a parabola.
PARABOLA = 3


class Path(NamedTuple):
    """Stretches of the sun's path: `nodes` (3, c, m) unit vectors in the window's axes at c nodes
    of each of m, and `slack` (m,), how far the sun may stray from between them, in radians.
    """

    nodes: Floats
    slack: Floats

    @property
    def is_parabola(self) -> bool:
        """Whether the nodes are those of a parabola: its ends, and amid them where its tangents
        there meet.
        """
        return len(self.nodes[0]) == PARABOLA

    def take(self, keep: NDArray[np.intp]) -> Path:
        """Only the stretches that `keep` picks."""
        return Path(self.nodes.take(keep, axis=2), self.slack[keep])


class Stretch(NamedTuple):
    """Stretches of time from `begin` to `end` (m,), unix seconds, or of the same time of day on
    each day between; and the sun's path in them.
    """

    begin: Floats
    end: Floats
    path: Path

    def take(self, keep: NDArray[np.intp]) -> Stretch:
        """Only those that `keep` picks."""
        return Stretch(self.begin[keep], self.end[keep], self.path.take(keep))

    @classmethod
    def joined(cls, stretches: Sequence[Stretch]) -> Stretch:
        """Several, one after the other."""
        nodes = np.concatenate([stretch.path.nodes for stretch in stretches], axis=-1)
        path = Path(nodes, np.concatenate([stretch.path.slack for stretch in stretches]))
        begin, end = (
            np.concatenate([getattr(stretch, name) for stretch in stretches])
            for name in ("begin", "end")
        )
        return cls(begin, end, path)


@dataclass(frozen=True)
class FlatCones:
    """Cones with flat sides from g points: unit normals `rows` (g, f, 3), pointing out of them."""

    rows: Floats

    def inside(self, path: Path) -> Bools:
        """Whether each point is in the shade all along each stretch: (g, m)."""
        inside = np.empty((len(self.rows), len(path.slack)), dtype=bool)
        for part, high in self._extremes(path, np.maximum):
            inside[:, part] = high.max(axis=1) < -path.slack[part]
        return inside

    def outside(self, path: Path) -> Bools:
        """Whether each point is in the shade on none of each stretch: (g, m)."""
        outside = np.empty((len(self.rows), len(path.slack)), dtype=bool)
        for part, low in self._extremes(path, np.minimum):
            outside[:, part] = low.max(axis=1) > path.slack[part]
        return outside

    def pairs_touched(self, cone: NDArray[np.intp], path: Path) -> Bools:
        """Whether any of each stretch is not outside of its `cone` (m,)."""
        rows = self.rows.transpose(1, 2, 0)[:, :, cone]
        low = np.full((self.rows.shape[1], len(cone)), np.inf)
        for node in path.nodes.swapaxes(0, 1):
            forms = rows[:, 0] * node[0] + rows[:, 1] * node[1] + rows[:, 2] * node[2]
            np.minimum(low, forms, out=low)
        return np.asarray((low <= path.slack).all(axis=0))

    def hide(self, directions: Floats) -> Bools:
        """Whether each of `directions` (3, m) is inside each point's cone: (g, m)."""
        hidden = np.empty((len(self.rows), directions.shape[1]), dtype=bool)
        faces, flat = self.rows.shape[1], self.rows.reshape(-1, 3)
        for part in _pieces(directions.shape[1], len(flat)):
            forms = (flat @ directions[:, part]).reshape(len(hidden), faces, -1)
            hidden[:, part] = forms.max(axis=1) <= 0.0
        return hidden

    def hide_pairs(self, cone: NDArray[np.intp], directions: Floats) -> Bools:
        """Whether each of `directions` (3, m) is inside its `cone` (m,)."""
        rows = self.rows.transpose(1, 2, 0)[:, :, cone]
        forms = rows[:, 0] * directions[0] + rows[:, 1] * directions[1] + rows[:, 2] * directions[2]
        return np.asarray(forms.max(axis=0) <= 0.0)

    def beyond(self, path: Path) -> Bools:
        """Whether each stretch is outside of each point's cone by each of its sides: (g, f, m)."""
        outside = np.empty((*self.rows.shape[:2], len(path.slack)), dtype=bool)
        for part, low in self._extremes(path, np.minimum):
            outside[:, :, part] = low > path.slack[part]
        return outside

    def _extremes(self, path: Path, extreme: np.ufunc) -> Iterator[tuple[slice, Floats]]:
        """The least or the largest of each form (g, f, k) at the nodes of some stretches after
        others.
        """
        count, faces, _ = self.rows.shape
        flat = self.rows.reshape(-1, 3)
        for part in _pieces(len(path.slack), count * faces):
            values = flat @ path.nodes[:, 0, part]
            for node in path.nodes[:, 1:, part].swapaxes(0, 1):
                extreme(values, flat @ node, out=values)
            yield part, values.reshape(count, faces, -1)


@dataclass(frozen=True)
class RoundCones:
    """Cones from g points to a crown, blown up by `scale`.

    In the space in which the crown is the unit ball, a ray along `a` from a point that sees its
    middle at `to` misses it where sqrt(to² - scale²) |a| - to·a is above 0.
    """

    crown: Crown
    points: Floats
    scale: float = 1.0

    def inside(self, path: Path) -> Bools:
        """Whether each point is in the shade all along each stretch: (g, m)."""
        along = self._rounded(path)
        highest = self._extreme(along, np.sqrt((along * along).sum(axis=0)), np.maximum)
        return (highest < -self._slack(path)) | self._within

    def outside(self, path: Path) -> Bools:
        """Whether each point is in the shade on none of each stretch: (g, m)."""
        along = self._rounded(path)
        middle = along.mean(axis=1)
        middle = middle / np.sqrt((middle * middle).sum(axis=0))
        # The plane that touches the round cone in the middle's direction stands in for it.
        ahead = (along * middle[:, None, :]).sum(axis=0)
        return (self._extreme(along, ahead, np.minimum) > self._slack(path)) & ~self._within

    def _rounded(self, path: Path) -> Floats:
        nodes = path.nodes
        return self.crown.rounded(nodes.reshape(3, -1)).reshape(nodes.shape)

    def _extreme(self, along: Floats, length: Floats, extreme: np.ufunc) -> Floats:
        """The least or the largest of each form (g, m) at the nodes `along` (3, c, m), that count
        as of `length` (c, m).
        """
        _, weights = self._forms
        values = weights @ np.concatenate([length[None, 0], along[:, 0]])
        for node in range(1, len(length)):
            at_node = weights @ np.concatenate([length[None, node], along[:, node]])
            extreme(values, at_node, out=values)
        return np.asarray(values)

    def _slack(self, path: Path) -> Floats:
        square, weights = self._forms
        steepest = (weights[:, 0] + np.sqrt(square)) / min(self.crown.across, self.crown.upright)
        return np.asarray(steepest[:, None] * path.slack)

    @property
    def _within(self) -> Bools:
        return np.asarray(self._forms[0] <= self.scale**2)[:, None]

    def hide(self, directions: Floats) -> Bools:
        """Whether each of `directions` (3, m) meets the crown from each point: (g, m)."""
        _, weights = self._forms
        along = self.crown.rounded(directions)
        length = np.sqrt((along * along).sum(axis=0))
        hidden = weights @ np.concatenate([length[None], along]) < 0.0
        return np.asarray(hidden | self._within)

    def hide_pairs(self, cone: NDArray[np.intp], directions: Floats) -> Bools:
        """Whether each of `directions` (3, m) meets the crown from the point of its `cone` (m,)."""
        square, weights = self._forms
        along = self.crown.rounded(directions)
        length = np.sqrt((along * along).sum(axis=0))
        forms = (weights[cone].T * np.concatenate([length[None], along])).sum(axis=0)
        return np.asarray((forms < 0.0) | (square[cone] <= self.scale**2))

    @cached_property
    def _forms(self) -> tuple[Floats, Floats]:
        """The square of `to` (g,), and what a ray's length and itself count for (g, 4)."""
        to = self.crown.rounded((self.crown.middle - self.points).T)
        square = (to * to).sum(axis=0)
        return square, np.column_stack([np.sqrt(np.maximum(square - self.scale**2, 0.0)), -to.T])


Cones = FlatCones | RoundCones


def cones_of(solids: Sequence[Prism | Crown], points: Floats) -> list[Cones]:
    """The cones of each solid from `points` (g, 3) on the glass."""
    prisms = [solid for solid in solids if isinstance(solid, Prism)]
    flat_cones = []
    if prisms:
        rays = _corners(prisms)[:, None] - points[:, None]
        rows, number = _rows(rays.reshape(-1, *rays.shape[2:]))
        most = number.reshape(len(prisms), -1).max(axis=1, initial=1)
        rows_of_solid = rows.reshape(*rays.shape[:2], -1, 3)
        flat_cones = [
            FlatCones(solid_rows[:, :sides])
            for solid_rows, sides in zip(rows_of_solid, most, strict=True)
        ]
    flat = iter(flat_cones)
    return [
        RoundCones(solid, points) if isinstance(solid, Crown) else next(flat) for solid in solids
    ]


def touching_glass(prisms: Sequence[Prism], corners: Floats) -> FlatCones:
    """A cone for each prism: the directions in which it may throw its shadow on any of a glass with
    such `corners` (c, 3).
    """
    rays = _corners(prisms)[:, None] - corners[:, None]
    return FlatCones(cone_rows(rays.reshape(len(prisms), -1, 3)))


def _corners(prisms: Sequence[Prism]) -> Floats:
    """The corners of all, (n, k, 3); the last of one that has fewer stands for the rest."""
    most = max((len(prism.corners) for prism in prisms), default=1)
    corners = np.empty((len(prisms), most, 3))
    for slots, prism in zip(corners, prisms, strict=True):
        slots[: len(prism.corners)] = prism.corners
        slots[len(prism.corners) :] = prism.corners[-1]
    return corners


def touching(solid: Prism | Crown, cells: Floats) -> Cones:
    """For each cell of the glass, by its corners (c, 4, 3), all like each other: the directions in
    which a solid may throw its shadow on any of it.
    """
    if isinstance(solid, Crown):
        middles = cells.mean(axis=1)
        spread = float(np.sqrt(((cells[0] - middles[0]) ** 2).sum(axis=1)).max())
        scale = 1.0 + spread / min(solid.across, solid.upright)
        return RoundCones(solid, middles, scale)
    rays = solid.corners - cells[:, :, None]
    return FlatCones(cone_rows(rays.reshape(len(cells), -1, 3)))


def wall_cones(glass: Glass, points: Floats) -> Iterator[FlatCones]:
    """The cones of the reveal's four sides and of the plates, from `points` (g, 3) on the glass or
    behind it, within its outline.
    """
    x, y, z = points.T
    none, deep = np.zeros_like(x), glass.reveal - z
    if deep.max(initial=0.0) > 0.0:
        for sides in (
            (-deep, none, glass.width - x),
            (deep, none, x),
            (none, -deep, glass.height - y),
            (none, deep, y),
        ):
            yield FlatCones(_unit(np.stack(sides, axis=-1)[:, None, :]))
    for plate in glass.plates:
        yield FlatCones(_plate_rows(plate, points))


def _plate_rows(plate: Plate, points: Floats) -> Floats:
    """A plate hides the directions (u, v, n) that meet its plane before its outer edge, between its
    ends. Of an overhang `line - y` above: (line - y) n <= far v and begin <= x + (line - y) u / v
    <= end; the fins likewise.
    """
    x, y, z = points.T
    none, far = np.zeros_like(x), plate.far - z
    if plate.kind == "top":
        up = plate.line - y
        rows = [(none, -far, up), (-up, plate.begin - x, none), (up, x - plate.end, none)]
    elif plate.kind == "right":
        aside = plate.line - x
        rows = [(-far, none, aside), (plate.begin - y, -aside, none), (y - plate.end, aside, none)]
    else:
        aside = x - plate.line
        rows = [(far, none, aside), (y - plate.begin, -aside, none), (plate.end - y, aside, none)]
    return _unit(np.stack([np.stack(row, axis=-1) for row in rows], axis=1))


def _unit(rows: Floats) -> Floats:
    size = np.sqrt((rows * rows).sum(axis=-1, keepdims=True))
    return np.asarray(rows / np.where(size > 0.0, size, 1.0))


def cone_rows(rays: Floats) -> Floats:
    """Unit normals of the cones that `rays` (g, k, 3; all with z > 0) span: m·d <= 0 within.

    Shape (g, f, 3). A cone with fewer sides repeats one; one that spans no solid angle holds no
    direction before the glass.
    """
    return _rows(rays)[0]


def _rows(rays: Floats) -> tuple[Floats, NDArray[np.intp]]:
    """`cone_rows`, and how many sides each cone has: (g,)."""
    sides, number = cone_sides(rays)
    first = np.cumsum(number) - number
    rows = np.tile([0.0, 0.0, 1.0], (len(rays), int(number.max(initial=1)), 1))
    has = np.flatnonzero(number)
    rows[has] = sides[first[has]][:, None, :]
    owner = np.repeat(np.arange(len(rays)), number)
    rows[owner, np.arange(len(owner)) - first[owner]] = sides
    return rows, number


def _pieces(count: int, size: int) -> Iterator[slice]:
    step = max(1, AT_ONCE // max(size, 1))
    for begin in range(0, count, step):
        yield slice(begin, begin + step)
