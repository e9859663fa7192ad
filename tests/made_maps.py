"""GeoJSON maps of streets made for tests, about a place on the globe."""

import json
from pathlib import Path

import numpy as np
from geographiclib.geodesic import Geodesic

EARTH = Geodesic.WGS84


def at(latitude: float, longitude: float, east: float, north: float) -> list[float]:
    """The longitude and latitude of a point so many metres east and north."""
    azimuth, distance = np.degrees(np.arctan2(east, north)), np.hypot(east, north)
    end = EARTH.Direct(latitude, longitude, azimuth, distance)
    return [end["lon2"], end["lat2"]]


def box(latitude: float, longitude: float, middle: tuple[float, float], size: float) -> list:
    """A square ring about a point, closed, counterclockwise."""
    east, north = middle
    half = size / 2
    corners = [(-half, -half), (half, -half), (half, half), (-half, half), (-half, -half)]
    return [at(latitude, longitude, east + x, north + y) for x, y in corners]


def building(rings: list, **properties: object) -> dict:
    """A polygon feature with `building=yes`."""
    properties = {"building": "yes", **properties}
    return {
        "type": "Feature",
        "id": properties.pop("id", None),
        "properties": properties,
        "geometry": {"type": "Polygon", "coordinates": rings},
    }


def street(latitude: float, longitude: float, count: int, seed: int = 1) -> list[dict]:
    """Houses all about, of all heights; none at the middle."""
    random = np.random.default_rng(seed)
    found = []
    for number in range(count):
        away, way = 15 + 300 * np.sqrt(random.random()), random.uniform(0, 2 * np.pi)
        middle = (away * np.sin(way), away * np.cos(way))
        ring = box(latitude, longitude, middle, random.uniform(5, 14))
        found.append(building([ring], id=f"way/{number}", height=round(random.uniform(2, 25), 1)))
    return found


def write_map(path: Path, features: list[dict]) -> Path:
    """A GeoJSON file of features."""
    path.write_text(json.dumps({"type": "FeatureCollection", "features": features}))
    return path
