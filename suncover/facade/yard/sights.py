"""Does a solid hide the sun from a point of the glass along a whole stretch of the sun's path?

As in `cones`, but for pairs of any point and any solid, each along a path of its own: the point
loses the sun all along, or nowhere. The point may move itself, evenly from one place to another:
a side's form in the sun's direction is linear in the point as well, so that along a parabola it is
a cubic in time, which lies between its Bernstein coefficients.
"""

from __future__ import annotations

from functools import lru_cache
from math import comb

import numpy as np
from numpy.typing import NDArray

from suncover.facade.yard.cones import PARABOLA, Path
from suncover.facade.yard.solid_arrays import SolidArrays

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

# Pairs looked at together: what fits in a processor's cache is done several times as fast.
AT_ONCE = 1024


class Sights:
    """Sights of the solids from points of the glass."""

    def __init__(self, arrays: SolidArrays) -> None:
        self._arrays = arrays

    def always(self, points: Floats, solids: Ints, path: Path) -> Bools:
        """Whether each of `points` (2, 2, n) loses the sun to its solid (n,) all along its path.

        A point moves evenly from the first of its places to the last, while the sun goes along a
        parabola, whose nodes the path has; points that stay have twice the same place, and any
        path.
        """
        return self._hold(points, solids, path, inside=True)

    def never(self, points: Floats, solids: Ints, path: Path) -> Bools:
        """Whether it loses the sun nowhere on its path: likewise."""
        return self._hold(points, solids, path, inside=False)

    def _hold(self, points: Floats, solids: Ints, path: Path, *, inside: bool) -> Bools:
        hold = np.zeros(len(solids), dtype=bool)
        table, plate = self._arrays.table[solids], self._arrays.plate[solids]
        table = np.where(plate >= 0, len(self._arrays.tables), table)
        for kind in (*self._arrays.kinds, len(self._arrays.tables)):
            rows = np.flatnonzero(table == kind)
            for begin in range(0, len(rows), AT_ONCE):
                index = rows[begin : begin + AT_ONCE]
                place, part = self._arrays.place[solids[index]], path.take(index)
                moving = points.take(index, axis=2)
                if kind < 0:
                    hold[index] = self._round(kind, place, moving, part, inside=inside)
                elif kind == len(self._arrays.tables):
                    sides = np.stack([self._plate_sides(at, plate[index]) for at in moving])
                    hold[index] = _holds(*_along(sides, part), inside=inside)
                else:
                    hold[index] = self._flat(kind, place, moving, part, inside=inside)
        return hold

    def _flat(self, kind: int, place: Ints, points: Floats, path: Path, *, inside: bool) -> Bools:
        outline = self._arrays.outlines[kind]
        mixed = outline.mixed[place]
        if not mixed.any():
            values = product_of_lines(outline.lines.take(place).lines, points, path)
            return _holds(values, outline.most.take(place, axis=1) * path.slack, inside=inside)
        hold = np.empty(len(place), dtype=bool)
        index = np.flatnonzero(~mixed)
        part = points.take(index, axis=2), path.take(index)
        hold[index] = self._flat(kind, place[index], *part, inside=inside)
        index = np.flatnonzero(mixed)
        part = points.take(index, axis=2), path.take(index)
        hold[index] = self._mixed(kind, place[index], *part, inside=inside)
        return hold

    def _mixed(self, kind: int, place: Ints, points: Floats, path: Path, *, inside: bool) -> Bools:
        """Of solids of which it hangs on the point which edges bound what they hide."""
        edges = self._arrays.outlines[kind].edges.take(place)
        turn, sides, never = edges.sides(points)
        values = product_of_lines(edges.lines.lines * turn, points, path)
        hold = _holds(values, edges.most * path.slack, sides, inside=inside)
        if inside:
            hold &= (sides | never).all(axis=0) & (sides.sum(axis=0) >= 3)
        return hold

    def _plate_sides(self, points: Floats, plate: Ints) -> Floats:
        """As `cones.wall_cones` has the sides of plates: (3, 3, n)."""
        side = self._arrays.plate_sides[plate]
        line, begin, end, far = self._arrays.plate_places[:, plate]
        along = np.where(side == 0, points[0], points[1])
        away = np.where(side == 0, line - points[1], np.abs(line - points[0]))
        none = np.zeros_like(away)
        # In the plate's own axes: along it, towards it, out of the glass.
        rows = np.stack(
            [
                np.stack([none, -far, away]),
                np.stack([-away, begin - along, none]),
                np.stack([away, along - end, none]),
            ],
            axis=1,
        )
        right, up = np.where(side == 0, rows[0], rows[1]), np.where(side == 0, rows[1], rows[0])
        return np.stack([np.where(side == 2, -right, right), up, rows[2]])

    def _round(self, kind: int, place: Ints, points: Floats, path: Path, *, inside: bool) -> Bools:
        crowns = self._arrays.crowns[-1 - kind].take(place)
        to = np.repeat(crowns.middle[None], 2, axis=0)
        to[:, :2] -= points
        to = crowns.rounded(to.swapaxes(0, 1)).swapaxes(0, 1)
        along = crowns.rounded(path.nodes).swapaxes(0, 1)
        off = path.slack / crowns.half.min(axis=0)
        if path.is_parabola:
            return _met(to, along, off, always=inside)
        return _met_from(to[0], along, off, always=inside)


@lru_cache
def _weights(first: int, second: int) -> Floats:
    """What products of the coefficients of two polynomials, so many of each, count for those of
    their product: (first + second - 1, first * second).
    """
    weights = np.zeros((first + second - 1, first, second))
    for number, other in np.ndindex(first, second):
        several = comb(first - 1, number) * comb(second - 1, other)
        weights[number + other, number, other] = several / comb(first + second - 2, number + other)
    return weights.reshape(len(weights), -1)


def product(first: Floats, second: Floats) -> Floats:
    """Bernstein coefficients (c, f, n) of the scalar products of vectors that are polynomials: of
    each of the `first` (a, k, f, n) with the `second` (b, k, n), by their own coefficients.
    """
    weights = _weights(len(first), len(second))
    products = np.einsum("akfn,bkn->abfn", first, second)
    values = weights @ products.reshape(weights.shape[1], products[0, 0].size)
    return np.asarray(values.reshape(len(weights), *products.shape[2:]))


def product_of_lines(lines: Floats, points: Floats, path: Path) -> Floats:
    """What bounds by how much the sun stands out of the planes through `lines` (6, f, n), as
    `edges.Lines` has them, and `points` (2, 2, n), as `Sights.always` has them: (b, f, n).

    It is the product of two lines by their moments and ways, here the edge and the ray from the
    point: 0 where they meet, and its sign tells on which side they pass each other.
    """
    (x, y), (right, up, out) = points.swapaxes(0, 1)[:, :, None], path.nodes
    rays = np.empty((len(points), len(out), 6, len(path.slack)))
    for number, side in enumerate((right, up, out, y * out, -x * out, x * up - y * right)):
        rays[:, :, number] = side
    along = rays[0]
    if path.is_parabola:
        weights = _weights(2, PARABOLA)
        along = weights @ rays.reshape(weights.shape[1], rays[0, 0].size)
        along = along.reshape(len(weights), *rays.shape[2:])
    return np.asarray(np.einsum("kfn,ckn->cfn", lines, along))


def least_along(sides: Floats, path: Path) -> Floats:
    """The least values (f, n) of forms (2, k, f, n), that change evenly from the first to the last,
    along paths. As for `Sights.always`, with which components it may be.
    """
    values, slack = _along(sides, path)
    return np.asarray(values.min(axis=0) - slack)


def _along(forms: Floats, path: Path) -> tuple[Floats, Floats]:
    """What bounds the values of forms (2, k, f, n), the first and the last, along the nodes of
    paths, (b, f, n), and by how much they may stray from that, (f, n).
    """
    slack = np.sqrt((forms * forms).sum(axis=1)).max(axis=0) * path.slack
    if path.is_parabola:
        return product(forms, path.nodes.swapaxes(0, 1)), slack
    return np.einsum("kfn,kcn->cfn", forms[0], path.nodes), slack


def _met(to: Floats, along: Floats, off: Floats, *, always: bool) -> Bools:
    """Whether rays meet the unit ball `always`, or never: along parabolas with nodes `along` (3, 3,
    n) from points that see its middle at `to`, from the first of two places to the last (2, 3, n),
    with directions that stray by `off` (n,).

    A ray along a passes the middle, seen at b, at a distance whose square is b² - (a·b)² / a². With
    a off by e it changes by no more than twice the distance times k, and k², where k is e |b| / a.
    """
    view, ray = to[:, :, None], along[:, :, None]
    square, ahead, length = product(view, to), product(view, along), product(ray, along)
    hit = product(ahead[:, None], ahead) - product(square[:, None] - 1.0, length)
    shortest, farthest = length.min(axis=(0, 1)), np.sqrt(square.max(axis=(0, 1)))
    shift = off * farthest / np.sqrt(np.maximum(shortest, 1e-30))
    most = (4.0 * shift + 4.0 * shift**2) * length.max(axis=(0, 1))
    if not always:
        # Past it, or leading away from it.
        past, behind = hit.max(axis=(0, 1)) < -most, ahead.max(axis=(0, 1)) < -off * farthest
        outside = square.min(axis=(0, 1)) > 1.0
        return np.asarray((past | behind & outside) & (shortest > 0.0))
    before = ahead.min(axis=(0, 1)) > off * farthest
    return np.asarray((hit.min(axis=(0, 1)) > most) & before & (shortest > 0.0))


def _met_from(to: Floats, along: Floats, off: Floats, *, always: bool) -> Bools:
    """The same from points that stay, seeing it at `to` (3, n), along any paths with nodes `along`
    (c, 3, n): as `cones.RoundCones` has it.
    """
    square = (to * to).sum(axis=0)
    tangent = np.sqrt(np.maximum(square - 1.0, 0.0))
    ahead, slack = (along * to).sum(axis=1), (tangent + np.sqrt(square)) * off
    within = square <= 1.0
    if always:
        above = tangent * np.sqrt((along * along).sum(axis=1)) - ahead
        return np.asarray(within | (above.max(axis=0) < -slack))
    mean = along.mean(axis=0)
    mean = mean / np.sqrt((mean * mean).sum(axis=0))
    below = tangent * (along * mean).sum(axis=1) - ahead
    return np.asarray(~within & (below.min(axis=0) > slack))


def _holds(values: Floats, slack: Floats, sides: Bools | None = None, *, inside: bool) -> Bools:
    """Whether paths are all `inside` of cones, by what bounds the values of their sides' forms (b,
    f, n) to within a `slack` (f, n), or all outside of them; of their `sides` (f, n), or all.
    """
    if inside:
        within = values.max(axis=0) < -slack
        return np.asarray((within if sides is None else within | ~sides).all(axis=0))
    beyond = values.min(axis=0) > slack
    return np.asarray((beyond if sides is None else beyond & sides).any(axis=0))
