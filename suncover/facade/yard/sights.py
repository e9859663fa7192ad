"""Does a solid hide the sun from a point of the glass along a whole stretch of the sun's path?

As in `cones`, but for pairs of any point and any solid, each along a path of its own: the point
loses the sun all along, or nowhere. The point may move itself, evenly from one place to another:
a side's form in the sun's direction is linear in the point as well, so that along a parabola it is
a cubic in time, which lies between its Bernstein coefficients.
"""

from __future__ import annotations

from collections.abc import Sequence
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

    def sides(self, points: Floats, solids: Ints, path: Path) -> tuple[Bools, Bools]:
        """Whether each of `points` (2, 2, n) loses the sun to its solid (n,) all along its path,
        and whether nowhere on it: (n,) each.

        A point moves evenly from the first of its places to the last, while the sun goes along a
        parabola, whose nodes the path has; points that stay have twice the same place, and any
        path.
        """
        inside, outside = (np.zeros(len(solids), dtype=bool) for _ in range(2))
        table, plate = self._arrays.table[solids], self._arrays.plate[solids]
        table = np.where(plate >= 0, len(self._arrays.tables), table)
        for kind in (*self._arrays.kinds, len(self._arrays.tables)):
            rows = np.flatnonzero(table == kind)
            for begin in range(0, len(rows), AT_ONCE):
                index = rows[begin : begin + AT_ONCE]
                part, place = (
                    (points[..., index], path.take(index)),
                    self._arrays.place[solids[index]],
                )
                if kind < 0:
                    answer = self._round(kind, place, *part)
                elif kind == len(self._arrays.tables):
                    answer = self._plates(plate[index], *part)
                else:
                    answer = self._flat(kind, place, *part)
                inside[index], outside[index] = answer
        return inside, outside

    def _flat(self, kind: int, place: Ints, points: Floats, path: Path) -> tuple[Bools, Bools]:
        outline = self._arrays.outlines[kind]
        mixed = outline.mixed[place]
        inside, outside = (np.empty(len(place), dtype=bool) for _ in range(2))
        index = np.flatnonzero(~mixed)
        lines = outline.lines.take(place[index])
        normals = [lines.normals(at[:, index]) for at in points]
        inside[index], outside[index] = _margins(normals, path.take(index))
        index = np.flatnonzero(mixed)
        if len(index):
            table = self._arrays.tables[kind].take(place[index])
            first, last = (table.sides_of_corners(at[:, index]) for at in points)
            low = np.minimum(first[0] - first[1], last[0] - last[1])
            high = np.maximum(first[0] + first[1], last[0] + last[1])
            loose = np.maximum(first[1], last[1])
            ahead, behind = (high <= 2.0 * loose).all(axis=1), (low >= -2.0 * loose).all(axis=1)
            never = (low > 0.0).any(axis=1) & (high < 0.0).any(axis=1)
            turn, sides = np.where(ahead, 1.0, -1.0), np.logical_or(ahead, behind)
            normals = [table.lines.normals(at[:, index]) * turn for at in points]
            inside[index], outside[index] = _margins(normals, path.take(index), sides)
            # What is a side from one of both places only, is one of neither.
            inside[index] &= (sides | never).all(axis=0) & (sides.sum(axis=0) >= 3)
        return inside, outside

    def _plates(self, plate: Ints, points: Floats, path: Path) -> tuple[Bools, Bools]:
        return _margins([self._plate_sides(at, plate) for at in points], path)

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

    def _round(self, kind: int, place: Ints, points: Floats, path: Path) -> tuple[Bools, Bools]:
        crowns = self._arrays.crowns[-1 - kind].take(place)
        to = np.repeat(crowns.middle[None], 2, axis=0)
        to[:, :2] -= points
        to = crowns.rounded(to.swapaxes(0, 1)).swapaxes(0, 1)
        along = crowns.rounded(path.nodes).swapaxes(0, 1)
        off = path.slack / crowns.half.min(axis=0)
        return _met(to, along, off) if path.is_parabola else _met_from(to[0], along, off)


def product(first: Sequence[Floats], second: Sequence[Floats]) -> list[Floats]:
    """Bernstein coefficients of the scalar product of two vectors (k, ...) that are polynomials,
    each by its own coefficients.
    """
    degrees = len(first) - 1, len(second) - 1
    result = []
    for power in range(sum(degrees) + 1):
        terms = []
        for number in range(max(power - degrees[1], 0), min(power, degrees[0]) + 1):
            weight = comb(degrees[0], number) * comb(degrees[1], power - number)
            a, b = first[number], second[power - number]
            term = a[0] * b[0]
            for component, factor in zip(a[1:], b[1:], strict=True):
                term += component * factor
            terms.append(term if weight == 1 else weight * term)
        result.append(sum(terms[1:], terms[0]) / comb(sum(degrees), power))
    return result


def least_along(sides: Floats, nodes: Floats, slack: Floats) -> Floats:
    """The least value of forms (2, k, n), that change evenly from the first to the last, along
    paths with nodes (k, c, n): (n,). As for `Sights.sides`, with which components it may be.
    """
    size = np.sqrt((sides * sides).sum(axis=1)).max(axis=0)
    return np.asarray(np.minimum.reduce(_along(list(sides), nodes)) - slack * size)


def _along(forms: Sequence[Floats], nodes: Floats) -> list[Floats]:
    """What bounds the values of forms, the first and the last (k, ..., n), along paths."""
    points = list(nodes.swapaxes(0, 1))
    if len(points) == PARABOLA:
        return product(forms, points)
    return [product(forms[:1], [node])[0] for node in points]


def _met(to: Floats, along: Floats, off: Floats) -> tuple[Bools, Bools]:
    """Whether rays meet the unit ball always, and never: along parabolas with nodes `along` (3, 3,
    n) from points that see its middle at `to`, from the first of two places to the last (2, 3, n),
    with directions that stray by `off` (n,).

    A ray along a passes the middle, seen at b, at a distance whose square is b² - (a·b)² / a². With
    a off by e it changes by no more than twice the distance times k, and k², where k is e |b| / a.
    """
    view, ray = list(to), list(along)
    square, ahead, length = product(view, view), product(view, ray), product(ray, ray)
    near = product([form[None] for form in ahead], [form[None] for form in ahead])
    far = product([form[None] - 1.0 for form in square], [form[None] for form in length])
    hit = [view - ray for view, ray in zip(near, far, strict=True)]
    shortest = np.minimum.reduce(length)
    farthest = np.sqrt(np.maximum.reduce(square))
    shift = off * farthest / np.sqrt(np.maximum(shortest, 1e-30))
    most = (4.0 * shift + 4.0 * shift**2) * np.maximum.reduce(length)
    before = np.minimum.reduce(ahead) > off * farthest
    sure = shortest > 0.0
    return (np.minimum.reduce(hit) > most) & before & sure, (np.maximum.reduce(hit) < -most) & sure


def _met_from(to: Floats, along: Floats, off: Floats) -> tuple[Bools, Bools]:
    """The same from points that stay, seeing it at `to` (3, n), along any paths with nodes `along`
    (c, 3, n): as `cones.RoundCones` has it.
    """
    square = (to * to).sum(axis=0)
    tangent = np.sqrt(np.maximum(square - 1.0, 0.0))
    ahead, length = (along * to).sum(axis=1), np.sqrt((along * along).sum(axis=1))
    mean = along.mean(axis=0)
    mean = mean / np.sqrt((mean * mean).sum(axis=0))
    below = tangent * (along * mean).sum(axis=1) - ahead
    above = tangent * length - ahead
    slack = (tangent + np.sqrt(square)) * off
    within = square <= 1.0
    inside = within | (above.max(axis=0) < -slack)
    return inside, ~within & (below.min(axis=0) > slack)


def _margins(
    normals: Sequence[Floats], path: Path, sides: Bools | None = None
) -> tuple[Bools, Bools]:
    """Inside of cones with sides at right angles to `normals` (3, f, n), at the first and at the
    last, and outside of them, all along paths; of their `sides` (f, n), or all.
    """
    values = _along(normals, path.nodes[:, :, None])
    square = np.maximum(*((normal * normal).sum(axis=0) for normal in normals))
    slack = np.sqrt(square) * path.slack
    inside = np.maximum.reduce(values) < -slack
    outside = np.minimum.reduce(values) > slack
    if sides is not None:
        inside, outside = inside | ~sides, outside & sides
    return inside.all(axis=0), outside.any(axis=0)
