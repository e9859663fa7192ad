"""Metres east and north of a site, by the shortest way on the ellipsoid (WGS 84).

A point lies where the geodesic from the site leads: so far, in that direction. Distances from the
site and directions at it are exact, which is what shadows hang on.
"""

from __future__ import annotations

import numpy as np
from numpy.polynomial import chebyshev
from numpy.typing import NDArray

Floats = NDArray[np.float64]

METRES_A_DEGREE = 111_132.0  # of latitude, about; longitudes are less
# Within so many degrees of latitude, and as far east and west, polynomials of this degree follow
# the geodesics to a micrometre.
NEAR, DEGREE = 0.1, 6
FARTHEST_NORTH = 80.0  # beyond, meridians run together too fast


def local_metres(coordinates: Floats, latitude: float, longitude: float) -> Floats:
    """Metres east and north (n, 2) of the site for longitudes and latitudes (n, 2) in degrees."""
    side = NEAR / np.cos(np.radians(latitude))
    scaled = np.column_stack(
        [turned(coordinates[:, 0] - longitude) / side, (coordinates[:, 1] - latitude) / NEAR]
    )
    near = (np.abs(scaled) <= 1.0).all(axis=1) & (abs(latitude) <= FARTHEST_NORTH)
    metres = np.empty(coordinates.shape)
    if np.count_nonzero(near) > (DEGREE + 1) ** 2:
        # So many points follow from a few: by Chebyshev polynomials through the few.
        node = chebyshev.chebpts1(DEGREE + 1)
        x, y = (grid.ravel() for grid in np.meshgrid(node, node))
        exact = _geodesics(
            np.column_stack([longitude + side * x, latitude + NEAR * y]), latitude, longitude
        )
        degrees = [DEGREE, DEGREE]
        through = np.linalg.solve(chebyshev.chebvander2d(x, y, degrees), exact)
        metres[near] = chebyshev.chebvander2d(scaled[near, 0], scaled[near, 1], degrees) @ through
    else:
        near[:] = False
    metres[~near] = _geodesics(coordinates[~near], latitude, longitude)
    return metres


def _geodesics(coordinates: Floats, latitude: float, longitude: float) -> Floats:
    from geographiclib.constants import Constants
    from geographiclib.geodesic import Geodesic

    earth = Geodesic(Constants.WGS84_a, Constants.WGS84_f)
    metres = np.empty(coordinates.shape)
    for row, (east, north) in enumerate(coordinates.tolist()):
        line = earth.Inverse(latitude, longitude, north, east)
        way = np.radians(line["azi1"])
        metres[row] = line["s12"] * np.sin(way), line["s12"] * np.cos(way)
    return metres


def turned(longitudes: Floats) -> Floats:
    """Differences of longitudes as turns from -180 to 180."""
    return np.asarray((longitudes + 180.0) % 360.0 - 180.0)


def roughly_away(coordinates: Floats, latitude: float, longitude: float) -> float:
    """About how far the box about some points is, in metres: none between them, nor on a line from
    one to another, is nearer than 0.98 of it.
    """
    east = turned(coordinates[:, 0] - longitude)
    north = coordinates[:, 1] - latitude
    width = np.cos(np.radians(np.minimum(np.abs(coordinates[:, 1]).max(), 89.9)))
    away_east, away_north = (
        max(float(side.min()), -float(side.max()), 0.0) for side in (east, north)
    )
    return float(np.hypot(away_east * width, away_north)) * METRES_A_DEGREE
