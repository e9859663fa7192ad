"""Plain polygon checks for footprints: is it a proper area, and is a point inside it?

A polygon is a sequence of (east, north) corners in metres, either way round, the last joined to the
first. These run when a site file is read, so they keep to plain Python: a geometry library would
take longer to load than the file.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

Corner = tuple[float, float]


def without_closing_point(corners: tuple[Corner, ...]) -> tuple[Corner, ...]:
    """The corners, less a last one that only repeats the first (a habit of map formats)."""
    return corners[:-1] if len(corners) > 3 and corners[0] == corners[-1] else corners


def ring_fault(corners: Sequence[Corner]) -> str | None:
    """Why the corners bound no proper area, as a sentence; None if they do.

    Proper are at least three corners, no two neighbours alike, whose outline encloses an area and
    neither crosses nor touches itself.
    """
    count = len(corners)
    if count < 3:
        return f"a footprint needs at least three corners, not {count}"
    for index, corner in enumerate(corners):
        if corner == corners[index - 1]:
            return f"corners {(index - 1) % count + 1} and {index + 1} are the same point"
    if all(_turn(corners[0], corners[1], corner) == 0 for corner in corners):
        return "the corners lie on one line, so they enclose no area"
    crossing = _self_crossing(corners)
    if crossing:
        first, second = crossing
        return (
            f"the outline crosses or touches itself: side {first + 1} meets side {second + 1}; "
            "give the corners in their order round the outline"
        )
    return None


def _self_crossing(corners: Sequence[Corner]) -> tuple[int, int] | None:
    """Two sides (counted from 0, side n from corner n) that meet where they should not.

    Sides are taken by their western end, so that each is compared only with those whose span of
    east it overlaps: near n log n for real outlines instead of n².
    """
    count = len(corners)
    sides = [(corners[i], corners[(i + 1) % count]) for i in range(count)]
    west = [min(a[0], b[0]) for a, b in sides]
    east = [max(a[0], b[0]) for a, b in sides]
    open_sides: list[int] = []
    for side in sorted(range(count), key=west.__getitem__):
        open_sides = [open_side for open_side in open_sides if east[open_side] >= west[side]]
        for open_side in open_sides:
            low, high = sorted((side, open_side))
            if _sides_clash(sides[low], sides[high], high - low, count):
                return low, high
        open_sides.append(side)
    return None


def _sides_clash(
    first: tuple[Corner, Corner], second: tuple[Corner, Corner], steps: int, count: int
) -> bool:
    """Do second sides meet, apart from the corner that neighbours share?

    `steps` is how many sides `second` comes after `first` round the outline of `count` sides.
    """
    if steps == 1:
        return _folds_back(first[0], first[1], second[1])
    if steps == count - 1:
        return _folds_back(second[0], second[1], first[1])
    (a, b), (c, d) = first, second
    if max(a[1], b[1]) < min(c[1], d[1]) or max(c[1], d[1]) < min(a[1], b[1]):
        return False
    turns = _turn(a, b, c), _turn(a, b, d), _turn(c, d, a), _turn(c, d, b)
    if turns[0] * turns[1] < 0 and turns[2] * turns[3] < 0:
        return True
    return any(
        turn == 0 and _within(p, q, point)
        for turn, p, q, point in zip(turns, (a, a, c, c), (b, b, d, d), (c, d, a, b), strict=True)
    )


def _turn(a: Corner, b: Corner, c: Corner) -> float:
    """Twice the area of the triangle a b c: positive when it turns left, 0 on one line."""
    area = (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
    # Beneath the rounding of the products the sign says nothing.
    size = max(abs(b[0] - a[0]), abs(b[1] - a[1])) * max(abs(c[0] - a[0]), abs(c[1] - a[1]))
    return area if abs(area) > 1e-12 * size else 0.0


def _within(a: Corner, b: Corner, point: Corner) -> bool:
    """Does a point of the line a b lie between a and b, ends counted?"""
    return min(a[0], b[0]) <= point[0] <= max(a[0], b[0]) and (
        min(a[1], b[1]) <= point[1] <= max(a[1], b[1])
    )


def _folds_back(a: Corner, b: Corner, c: Corner) -> bool:
    """Does the outline a, b, c run back over itself at b?"""
    ahead = (b[0] - a[0]) * (c[0] - b[0]) + (b[1] - a[1]) * (c[1] - b[1])
    return _turn(a, b, c) == 0 and ahead < 0


def is_well_inside(point: Corner, corners: Sequence[Corner], margin_m: float) -> bool:
    """Is a point inside the polygon, and at least `margin_m` from its outline?"""
    x, y = point
    inside = False
    for (x1, y1), (x2, y2) in zip(corners, [*corners[1:], corners[0]], strict=True):
        if _distance(point, (x1, y1), (x2, y2)) < margin_m:
            return False
        if (y1 > y) != (y2 > y) and x < x1 + (y - y1) / (y2 - y1) * (x2 - x1):
            inside = not inside
    return inside


def _distance(point: Corner, a: Corner, b: Corner) -> float:
    """Metres from a point to the side a b."""
    along = (b[0] - a[0], b[1] - a[1])
    length_squared = along[0] ** 2 + along[1] ** 2
    share = 0.0
    if length_squared > 0:
        ahead = (point[0] - a[0]) * along[0] + (point[1] - a[1]) * along[1]
        share = min(1.0, max(0.0, ahead / length_squared))
    return math.dist(point, (a[0] + share * along[0], a[1] + share * along[1]))
