"""Shadows on level ground, as outlines on the plan: of upright prisms and of crowns."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from suncover.facade.yard.footprints import convex_parts

Floats = NDArray[np.float64]
ROUND = 48  # corners of a crown's outline
GRID = 1e-6  # metres: without one, a union of parts that only touch may lose one of them


def shadow_way(azimuth: float, elevation: float) -> Floats:
    """How far the shadow of a point 1 m above the ground lies from it, metres east and north (2,).

    `azimuth` and `elevation` of the sun in degrees; it has to be up.
    """
    length = 1.0 / math.tan(math.radians(elevation))
    turned = math.radians(azimuth)
    return -length * np.array([math.sin(turned), math.cos(turned)])


def prism_shadow(
    footprint: Sequence[tuple[float, float]], base: float, top: float, way: Floats
) -> Any:
    """The shadow on the ground of an upright prism, a polygon or several; `way` by `shadow_way`.

    What lies below the ground casts none.
    """
    import shapely

    parts: list[Any] = []
    for corners in convex_parts(tuple(footprint)):
        points = np.asarray(corners)[:, :2]
        ends = [points + max(height, 0.0) * way for height in (base, top)]
        parts.append(shapely.convex_hull(shapely.multipoints(np.concatenate(ends))))
    return shapely.union_all(parts, grid_size=GRID)


def crown_shadow(
    trunk: tuple[float, float], width: float, bottom: float, top: float, way: Floats
) -> Any:
    """The shadow on the ground of an ellipsoid of revolution about the vertical: an ellipse.

    Along the shadow's way a point of the ellipsoid (x, z), x² / a² + z² / b² = 1, falls on
    x + z c, whose greatest value is √(a² + b² c²), c the way's length; across it, on ±a.
    """
    import shapely

    across, upright, middle = width / 2.0, (top - bottom) / 2.0, (top + bottom) / 2.0
    length = float(np.hypot(*way))
    ahead = way / length if length > 0.0 else np.array([1.0, 0.0])
    aside = np.array([-ahead[1], ahead[0]])
    turn = np.linspace(0.0, 2.0 * math.pi, ROUND, endpoint=False)
    far = math.hypot(across, upright * length)
    ring = np.outer(np.cos(turn) * far, ahead) + np.outer(np.sin(turn) * across, aside)
    return shapely.polygons(np.asarray(trunk) + middle * way + ring)
