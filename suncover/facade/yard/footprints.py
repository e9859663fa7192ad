"""Footprints of obstacles, which need not be convex, as few convex polygons."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

# Footprints of more convex parts than this are left as they fall apart.
MOST_GROWN = 24
# Footprints whose parts are kept in memory.
KEPT = 2048


def convex_parts(footprint: Sequence[tuple[float, float]]) -> list[Floats]:
    """A simple polygon's corners (either way round) covered by few convex polygons, each (k, 2).

    Together they cover it exactly. They overlap where they can: two solids that only met in a
    common wall would each have to hide the seam alone.
    """
    return list(_convex_parts(tuple((float(x), float(y)) for x, y in footprint)))


@lru_cache(maxsize=KEPT)
def _convex_parts(footprint: tuple[tuple[float, float], ...]) -> tuple[Floats, ...]:
    # Every window of a site asks for the parts of the same obstacles.
    import shapely

    polygon = shapely.normalize(shapely.Polygon(footprint))
    if _is_convex(polygon):
        return (_fixed(_ring(polygon)),)
    parts = _merged(list(shapely.get_parts(shapely.constrained_delaunay_triangles(polygon))))
    if len(parts) <= MOST_GROWN:
        corners = shapely.points(np.concatenate([_ring(polygon), _across_notches(polygon)]))
        parts = [_grown(part, corners, polygon) for part in parts]
    return tuple(_fixed(_ring(part)) for part in parts)


def _fixed(corners: Floats) -> Floats:
    corners.flags.writeable = False
    return corners


def _merged(parts: list[Any]) -> list[Any]:
    """Triangles that share edges, put together across each edge where the whole stays convex.

    One look at each edge is enough: an edge that is needed once is needed all the more when others
    are gone (Hertel and Mehlhorn's way).
    """
    import shapely

    owner = list(range(len(parts)))

    def whole_of(number: int) -> int:
        while owner[number] != number:
            number = owner[number]
        return number

    first: dict[frozenset[tuple[float, float]], int] = {}
    for number, triangle in enumerate(list(parts)):
        corners = [tuple(corner) for corner in _ring(triangle).tolist()]
        for edge in zip(corners, corners[1:] + corners[:1], strict=True):
            kept, merged = whole_of(first.setdefault(frozenset(edge), number)), whole_of(number)
            joint = shapely.union(parts[kept], parts[merged])
            if kept != merged and _is_convex(joint):
                parts[kept], owner[merged] = joint, kept
    return [part for number, part in enumerate(parts) if owner[number] == number]


def _is_convex(shape: Any) -> bool:
    import shapely

    hull = shapely.convex_hull(shape)
    return bool(shape.geom_type == "Polygon" and hull.area <= shape.area * (1.0 + 1e-12))


def _ring(polygon: Any) -> Floats:
    import shapely

    return np.asarray(shapely.get_coordinates(polygon.exterior)[:-1])


def _grown(part: Any, corners: Any, polygon: Any) -> Any:
    """A convex part of `polygon`, with such of `corners` taken in as keep it within."""
    import shapely

    for corner in corners:
        larger = shapely.convex_hull(shapely.union(part, corner))
        outside = shapely.area(shapely.difference(larger, polygon))
        if larger.area > part.area and outside <= 1e-12 * polygon.area:
            part = larger
    return part


def _across_notches(polygon: Any) -> Floats:
    """Where the edges at inward corners, drawn on, first meet the polygon's outline: (k, 2)."""
    import shapely

    ring = _ring(shapely.orient_polygons(polygon))
    points = [np.zeros((0, 2))]
    far = 2.0 * float(np.ptp(ring, axis=0).sum())
    for before, corner, after in zip(
        np.roll(ring, 1, axis=0), ring, np.roll(ring, -1, axis=0), strict=True
    ):
        into, out = corner - before, after - corner
        if into[0] * out[1] - into[1] * out[0] >= 0.0:
            continue
        for way in (into, -out):
            end = corner + way / np.hypot(*way) * far
            inside = shapely.intersection(shapely.LineString([corner, end]), polygon)
            stretches = [shapely.get_coordinates(part) for part in shapely.get_parts(inside)]
            # The stretch that begins at the corner; others lie beyond gaps.
            nearest = min(
                stretches, key=lambda ends: float(np.hypot(*(ends - corner).T).min()), default=None
            )
            if nearest is not None:
                points.append(nearest[[np.hypot(*(nearest - corner).T).argmax()]])
    return np.concatenate(points)
