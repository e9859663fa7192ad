"""The flat sides of cones that a few rays from one point span."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]


def cone_sides(rays: Floats) -> tuple[Floats, Ints]:
    """Unit normals of the sides of g convex cones, pointing out of them, and how many each has.

    `rays` (g, k, 3), all with z > 0, span the cones: m·d <= 0 within, for each normal m. The
    normals (f, 3) stand one cone after another; of (g,) numbers, 0 is for one without solid angle.
    """
    import shapely

    flat = rays[:, :, :2] / rays[:, :, 2:]
    hulls = np.asarray(shapely.convex_hull(shapely.linestrings(flat)))
    solid = np.flatnonzero(shapely.get_type_id(hulls) == shapely.GeometryType.POLYGON)
    corners, owner = shapely.get_coordinates(hulls[solid], return_index=True)
    centre = shapely.get_coordinates(shapely.centroid(hulls[solid]))
    side = np.flatnonzero(owner[1:] == owner[:-1])
    owner = owner[side]
    begin = np.column_stack([corners[side], np.ones(len(side))])
    end = np.column_stack([corners[side + 1], np.ones(len(side))])
    within = np.column_stack([centre[owner], np.ones(len(side))])
    # The plane through the point and two neighbouring rays, turned away from the cone's middle.
    normals = np.cross(end, begin)
    size = np.sqrt((normals * normals).sum(axis=1))
    turn = np.sign((normals * within).sum(axis=1))
    kept = np.flatnonzero((size > 0.0) & (turn != 0.0))
    number = np.bincount(solid[owner[kept]], minlength=len(rays))
    return -normals[kept] * (turn[kept] / size[kept])[:, None], number
