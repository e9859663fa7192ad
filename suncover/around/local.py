"""Metres east and north of a site, by the shortest way on the ellipsoid (WGS 84).

A point lies where the geodesic from the site leads: so far, in that direction. Distances from the
site and directions at it are exact, which is what shadows hang on.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

METRES_A_DEGREE = 111_132.0  # of latitude, about; longitudes are less


def local_metres(coordinates: Floats, latitude: float, longitude: float) -> Floats:
    """Metres east and north (n, 2) of the site for longitudes and latitudes (n, 2) in degrees."""
    from geographiclib.constants import Constants
    from geographiclib.geodesic import Geodesic

    earth = Geodesic(Constants.WGS84_a, Constants.WGS84_f)
    found = np.empty(coordinates.shape)
    for row, (east, north) in enumerate(coordinates.tolist()):
        line = earth.Inverse(latitude, longitude, north, east)
        way = np.radians(line["azi1"])
        found[row] = line["s12"] * np.sin(way), line["s12"] * np.cos(way)
    return found


def roughly_away(coordinates: Floats, latitude: float, longitude: float) -> float:
    """About how far the nearest of some points is, in metres; never more than 2 % too far."""
    east = (coordinates[:, 0] - longitude + 180.0) % 360.0 - 180.0
    north = coordinates[:, 1] - latitude
    width = np.cos(np.radians(np.clip(coordinates[:, 1], -89.9, 89.9)))
    return float(np.hypot(east * width, north).min()) * METRES_A_DEGREE
