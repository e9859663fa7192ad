"""How much of the glass is lit, by cells of it: past everything before it, for overhangs of any
depth at once.

The glass is cut into level strips, and each strip into cells. A shadow covers a part of a strip's
height, and in it a stretch from left to right; so it covers a share of each cell, which is exact
for one straight edge through a cell. What several shadows leave of a cell is the product of what
each leaves: exact where no two edges share a cell, close elsewhere, with nothing lost in the mean.
So overhang, fins, reveal, obstacles and crowns are taken together, not one by one over the whole
glass.

An overhang's shadow sinks with its depth and is otherwise the same. So for each strip it is worked
out what a shadow takes of it at its upper edge, a, and at its lower edge, b, and any depth follows:
where the shadow has reached the upper part f of the strip's height, it takes  a f + (b - a) f² / 2.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from suncover.facade.frame import Slopes
from suncover.facade.glazed import Glass, Plate
from suncover.facade.yard.chords import crown_chords
from suncover.facade.yard.solids import Crown, Prism
from suncover.facade.yard.surroundings import Surroundings

Floats = NDArray[np.float64]

STRIPS, CELLS = 6, 6
"""Strips of the glass, and cells in each."""
_GAUSS = (0.5 - 1.0 / np.sqrt(12.0), 0.5 + 1.0 / np.sqrt(12.0))
# Where a strip's two levels are: Gauss's rule, exact for a cubic.
AT_ONCE = 3000
# Directions that are worked out together: what they need stays in the processor's cache.


@dataclass(frozen=True)
class Strips:
    """The lit shares of the glass's strips from n directions, at overhangs of any depth.

    `open` (strips, n) are shares of the glass without the overhang, `upper` and `lower` what it
    would take of them, were its shadow everywhere as it is at the strip's upper and lower edge.
    `low` and `tall` (n,) say where the part that the reveal leaves open begins above the
    glass's lower edge, and how high it is; `rise` (n,) is each direction's slope up the glass;
    `line` the overhang's height above the lower edge, `reveal` how far the wall's face stands
    before the glass: metres.
    """

    open: Floats
    upper: Floats
    lower: Floats
    low: Floats
    tall: Floats
    rise: Floats
    line: float
    reveal: float

    def share(self, depth: float) -> Floats:
        """Share of the glass that is lit under an overhang of that depth in metres, (n,)."""
        if depth <= 0.0:
            return np.asarray(self.open.sum(axis=0))
        count = len(self.open)
        step = np.where(self.tall > 0.0, self.tall, 1.0) / count
        tops = self.low + (np.arange(count)[:, None] + 1.0) * step
        edge = self.line - self.rise * (self.reveal + depth)
        reached = np.clip((tops - edge) / step, 0.0, 1.0)
        reached = np.where(self.rise > 0.0, reached, 0.0)
        shaded = self.upper * reached + (self.lower - self.upper) * reached**2 / 2.0
        return np.asarray((self.open - shaded).sum(axis=0))

    def lost(self, weights: Floats, depths: Floats) -> Floats:
        """What an overhang of each of `depths` (m, rising, metres) takes from the sum of weighted
        shares, (m, c); `weights` (n, c) are those of c sums over the directions.

        Each strip's loss sets in where the shadow reaches its upper edge, and stays as it is from
        where it reaches the lower; in between it is a parabola of the depth. All of them are summed
        up between the depths at once.
        """
        count = len(self.open)
        met = np.flatnonzero((self.rise > 0.0) & (self.tall > 0.0))
        rise, step = self.rise[met], self.tall[met] / count
        tops = self.low[met] + (np.arange(count)[:, None] + 1.0) * step
        begin = (self.line - tops) / rise - self.reveal
        upper, lower = self.upper[:, met], self.lower[:, met]
        losing = (upper + lower > 0.0) & (begin < depths[-1])
        begin, upper, lower = begin[losing], upper[losing], lower[losing]
        full = np.broadcast_to(step / rise, losing.shape)[losing]
        direction_of = np.broadcast_to(met, losing.shape)[losing]
        linear, square = upper / full, (lower - upper) / (2.0 * full**2)
        curve = np.stack(
            [-linear * begin + square * begin**2, linear - 2.0 * square * begin, square]
        )
        ended = -curve
        ended[0] += (upper + lower) / 2.0
        starts, ends = (np.searchsorted(depths, at, side="left") for at in (begin, begin + full))
        powers = np.stack([np.ones_like(depths), depths, depths**2])
        total = np.zeros((len(depths), weights.shape[1]))
        for column in range(weights.shape[1]):
            weight = weights[direction_of, column]
            for power, begun, ended_power in zip(powers, curve, ended, strict=True):
                changes = np.bincount(starts, weight * begun, len(depths) + 1)
                changes += np.bincount(ends, weight * ended_power, len(depths) + 1)
                total[:, column] += power * np.cumsum(changes)[:-1]
        return total


def overhang_of(glass: Glass) -> Plate | None:
    """The overhang among a glass's plates."""
    return next((plate for plate in glass.plates if plate.kind == "top"), None)


def depth_of(glass: Glass) -> float:
    """How far a glass's overhang stands out from the wall's face, metres; 0 without one."""
    roof = overhang_of(glass)
    return 0.0 if roof is None else roof.far - glass.reveal


def leaves_at(around: Surroundings, seconds: Floats) -> Floats:
    """What each crown lets through at `seconds` (n,): (trees, n)."""
    shares = [tree.foliage.share(seconds) for tree in around.trees]
    return np.stack(shares) if shares else np.zeros((0, len(seconds)))


def may_touch(glass: Glass, around: Surroundings, slopes: Slopes) -> NDArray[np.bool_]:
    """Whether anything around may throw its shadow on the glass from each direction, (n,)."""
    local, exact = slopes.directions, np.zeros(len(slopes.p))
    touched = np.zeros(len(slopes.p), dtype=bool)
    solids: list[Prism | Crown] = [*around.prisms, *(tree.crown for tree in around.trees)]
    for solid in solids:
        touched |= solid.touches(glass.corners, local, exact)
    return touched


def lit_strips(
    glass: Glass,
    around: Surroundings | None,
    slopes: Slopes,
    leaves: Floats,
    roof: Plate | None = None,
) -> Strips:
    """The strips of a glass for n directions, all in front of it.

    `leaves` (trees, n) is what each crown lets through. `roof` is the overhang whose depth is left
    open, in place of any that the glass has.
    """
    roof = roof or overhang_of(glass)
    p, q = slopes.p, slopes.q
    batches = [
        _Piece(glass, around, p[part], q[part]).strips(leaves[:, part], roof)
        for part in np.array_split(np.arange(len(p)), max(1, -(-len(p) // AT_ONCE)))
    ]
    lit, upper, lower = (np.concatenate(parts, axis=1) for parts in zip(*batches, strict=True))
    low, tall = _open_part(glass.height, glass.reveal * q)
    line = glass.height if roof is None else roof.line
    return Strips(lit, upper, lower, low, tall, q, line, glass.reveal)


def _open_part(size: float, shift: Floats) -> tuple[Floats, Floats]:
    """Where the part of the glass begins that the reveal leaves open, and its length: (n,) each."""
    low, high = np.clip(-shift, 0.0, size), np.clip(size - shift, 0.0, size)
    return low, np.maximum(high - low, 0.0)


class _Piece:
    """Some directions, and the cells of the glass; arrays are (strips, cells, n)."""

    def __init__(self, glass: Glass, around: Surroundings | None, p: Floats, q: Floats) -> None:
        self._glass, self._around = glass, around
        self._p, self._q = p, q
        # Strips and cells are even parts of what the reveal leaves open.
        low, tall = _open_part(glass.height, glass.reveal * q)
        left, wide = _open_part(glass.width, glass.reveal * p)
        self._area = tall * wide / (glass.area * STRIPS * CELLS)
        self._tall, self._wide = (np.where(size > 0.0, size, 1.0) for size in (tall, wide))
        self._tall, self._wide = self._tall / STRIPS, self._wide / CELLS
        self._low = low + np.arange(STRIPS)[:, None] * self._tall
        self._left = left + np.arange(CELLS)[:, None] * self._wide

    def strips(self, leaves: Floats, roof: Plate | None) -> tuple[Floats, Floats, Floats]:
        """`open`, `upper` and `lower` of `Strips`, (strips, n) each."""
        left = np.broadcast_to(self._area, (STRIPS, CELLS, len(self._p))).copy()
        for plate in self._glass.plates:
            if plate.kind != "top":
                left *= 1.0 - self._covered(*self._fin(plate))
        for solid, lets, touched in self._solids(leaves):
            part = _Piece(self._glass, None, self._p[touched], self._q[touched])
            cover = part._prism(solid) if isinstance(solid, Prism) else part._crown(solid)
            left[:, :, touched] *= 1.0 - cover * (1.0 - lets[touched])
        lit = left.sum(axis=1)
        if roof is None:
            return lit, np.zeros_like(lit), np.zeros_like(lit)
        ends = (self._low + self._tall, self._low)
        upper, lower = ((left * self._covered(*self._roof(roof, y))).sum(axis=1) for y in ends)
        return lit, upper, lower

    def _solids(self, leaves: Floats) -> Iterator[tuple[Prism | Crown, Floats, NDArray[np.intp]]]:
        """What stands around, what it lets through, and which directions it may matter in."""
        if self._around is None:
            return
        p, q = self._p, self._q
        local = np.stack([p, q, np.ones_like(p)]) / np.sqrt(p * p + q * q + 1.0)
        exact, opaque = np.zeros(p.shape), np.zeros(p.shape)
        solids: list[tuple[Prism | Crown, Floats]] = [
            (prism, opaque) for prism in self._around.prisms
        ]
        solids += [
            (tree.crown, lets) for tree, lets in zip(self._around.trees, leaves, strict=True)
        ]
        for solid, lets in solids:
            touched = np.flatnonzero(solid.touches(self._glass.corners, local, exact))
            if len(touched):
                yield solid, lets, touched

    def _covered(self, begin: Floats, end: Floats) -> Floats:
        """Cover of the cells by a shadow from `begin` to `end` (strips, n) in each strip."""
        covered = np.minimum(end[:, None, :], self._left + self._wide)
        covered -= np.maximum(begin[:, None, :], self._left)
        return np.asarray(np.clip(covered / self._wide, 0.0, 1.0))

    @property
    def _middle(self) -> Floats:
        return self._low + self._tall / 2.0

    def _roof(self, roof: Plate, y: Floats) -> tuple[Floats, Floats]:
        """Where an overhang's shadow lies on the levels `y` (strips, n), were it deep enough."""
        rise = np.where(self._q > 0.0, self._q, np.inf)
        shift = self._p * ((roof.line - y) / rise)
        return roof.begin - shift, roof.end - shift

    def _fin(self, fin: Plate) -> tuple[Floats, Floats]:
        """Where a fin's shadow lies on the strips."""
        p, q, y = self._p, self._q, self._middle
        with np.errstate(divide="ignore", invalid="ignore"):
            ends = np.stack([(fin.begin - y) / q, (fin.end - y) / q])
        level = (fin.begin <= y) & (y <= fin.end)
        near = np.where(q == 0.0, np.where(level, 0.0, np.inf), ends.min(axis=0))
        far = np.where(q == 0.0, np.where(level, np.inf, -np.inf), ends.max(axis=0))
        near, far = np.maximum(near, 0.0), np.minimum(far, fin.far)
        toward = p < 0.0 if fin.kind == "left" else p > 0.0
        in_shadow = toward & (near < far)
        edge_near, edge_far = (
            fin.line - p * np.where(in_shadow, near, 0.0),
            fin.line - p * np.where(in_shadow, far, 0.0),
        )
        return (
            np.where(in_shadow, np.minimum(edge_near, edge_far), np.inf),
            np.where(in_shadow, np.maximum(edge_near, edge_far), -np.inf),
        )

    def _prism(self, prism: Prism) -> Floats:
        corners = prism.corners
        x = corners[:, 0, None] - corners[:, 2, None] * self._p
        y = corners[:, 1, None] - corners[:, 2, None] * self._q
        low = np.maximum(self._low, y.min(axis=0))
        high = np.minimum(self._low + self._tall, y.max(axis=0))
        tall = np.clip((high - low) / self._tall, 0.0, 1.0)
        cover = [self._covered(*self._chord(prism, x, y, low + (high - low) * at)) for at in _GAUSS]
        return np.asarray((cover[0] + cover[1]) / 2.0 * tall[:, None, :])

    @staticmethod
    def _chord(prism: Prism, x: Floats, y: Floats, level: Floats) -> tuple[Floats, Floats]:
        """Where a prism's shadow, with corners at `x`, `y` (k, n), lies on levels (strips, n)."""
        begin = np.full(level.shape, np.inf)
        end = np.full(level.shape, -np.inf)
        for a, b in prism.all_edges:
            rise = y[b] - y[a]
            share = (level - y[a]) / np.where(rise == 0.0, 1.0, rise)
            crosses = (rise != 0.0) & (share >= 0.0) & (share <= 1.0)
            at = x[a] + share * (x[b] - x[a])
            np.minimum(begin, at, out=begin, where=crosses)
            np.maximum(end, at, out=end, where=crosses)
        return begin, end

    def _crown(self, crown: Crown) -> Floats:
        cover = []
        for at in _GAUSS:
            levels = self._low + self._tall * at
            chord = crown_chords(crown, self._p, self._q, levels, axes=[1] * STRIPS)
            cover.append(self._covered(*chord))
        return np.asarray((cover[0] + cover[1]) / 2.0)
