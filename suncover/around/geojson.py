"""The buildings and trees of a GeoJSON file (RFC 7946), as public map data have them.

Heights come from the properties `height` and `min_height` (metres, or text with a unit), else from
`building:levels` and `building:min_level`. A building is a polygon with one of these, or with
`building` or `building:part`; a tree is a point with `natural=tree`.

Of thousands of features in a public map some are drawn or tagged wrong. One of them is no reason to
refuse all others, nor to lose it without a word: what is wrong is reported beside what was read.
"""

from __future__ import annotations

import json
import math
import os
import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from suncover.base.errors import Fault, FileFaults
from suncover.base.textfile import one_fault, printable, read_text
from suncover.site.kinds.lengths import parse_length

Floats = NDArray[np.float64]

MOST_BYTES = 300_000_000
MOST_FAULTS = 20
LONGEST_NAME = 60
LEVEL_M = 3.0  # a storey; common practice where a map has no height
LEAST_M = 0.01  # of a height: heights are given to the centimetre
CROWN = ("diameter_crown", "crown_diameter")
METRES = re.compile(r"\bmet(re|er)s?\b", re.IGNORECASE)
IDS = ("@id", "id", "osm_id", "gml_id", "fid")


@dataclass(frozen=True)
class Building:
    """A polygon of a map: rings (k, 2) of longitude and latitude, the first outer, others holes.

    `base` and `top` in metres above the ground, `top` None where the map does not say; `doubt` is
    what of its heights could not be read, and of which feature.
    """

    ids: tuple[str, ...]
    name: str | None
    rings: tuple[Floats, ...]
    base: float
    top: float | None
    part: bool
    by_levels: bool
    doubt: str | None = None


@dataclass(frozen=True)
class MapTree:
    """A tree of a map: longitude and latitude; metres, None where the map does not say; `doubt` is
    what of it could not be read, and of which feature.
    """

    ids: tuple[str, ...]
    name: str | None
    point: Floats
    height: float | None
    crown: float | None
    bottom: float | None
    evergreen: bool | None
    doubt: str | None = None


class Map(NamedTuple):
    """What a map has, and its features that had to be `passed_over`: which, and what is wrong."""

    buildings: list[Building]
    trees: list[MapTree]
    passed_over: list[str]

    @property
    def unread(self) -> list[str]:
        """All that cannot be read in it, wherever it is: of which feature, and what is wrong."""
        things: list[Building | MapTree] = [*self.buildings, *self.trees]
        doubts = dict.fromkeys(thing.doubt for thing in things if thing.doubt is not None)
        return [*self.passed_over, *doubts]


def read_map(path: str | os.PathLike[str]) -> Map:
    """The buildings and trees of a GeoJSON file; other features are none of its things.

    Raises
    ------
    FileFaults
        When the file cannot be read or is no GeoJSON, or when something is wrong with the place of
        each building and tree in it.
    """
    return map_of(read_text(path, MOST_BYTES), path)


def map_of(text: str, path: str | os.PathLike[str]) -> Map:
    """The map in the text of a GeoJSON file; `path` is the file's name in messages."""
    try:
        raw = json.loads(text)
    except json.JSONDecodeError as error:
        raise one_fault(path, f"this is no JSON: {error.msg}", error.lineno, error.colno) from None
    except RecursionError:
        raise one_fault(path, "this is no GeoJSON: it is nested too deeply") from None
    if not isinstance(raw, dict) or raw.get("type") not in ("FeatureCollection", "Feature"):
        raise one_fault(
            path, 'this is no GeoJSON map; it needs "type": "FeatureCollection" (RFC 7946)'
        )
    features = raw.get("features") if raw["type"] == "FeatureCollection" else [raw]
    if not isinstance(features, list):
        raise one_fault(path, '"features" should be a list')
    buildings: list[Building] = []
    trees: list[MapTree] = []
    wrong: list[tuple[str, str]] = []
    for number, feature in enumerate(features, 1):
        label = f"feature {number}{_label(feature)}"
        try:
            for thing in _things(feature, label):
                if isinstance(thing, Building):
                    buildings.append(thing)
                else:
                    trees.append(thing)
        except ValueError as error:
            wrong.append((label, printable(str(error))))
    if wrong and not (buildings or trees):
        name = printable(os.fspath(path))
        faults = [Fault(name, fault_text, label) for label, fault_text in wrong[:MOST_FAULTS]]
        if len(wrong) > MOST_FAULTS:
            faults.append(Fault(name, f"… and {len(wrong) - MOST_FAULTS} more"))
        raise FileFaults(faults)
    return Map(buildings, trees, [f"{label}: {fault_text}" for label, fault_text in wrong])


def _label(feature: Any) -> str:
    """The id and the name of a feature, in brackets."""
    if not isinstance(feature, dict):
        return ""
    properties = feature.get("properties")
    name = as_a_name(properties.get("name")) if isinstance(properties, dict) else None
    labels = [*_ids(feature)[:1], *([] if name is None else [f'"{name}"'])]
    return f" ({printable(', '.join(labels))})" if labels else ""


def as_a_name(text: Any) -> str | None:
    """A text of a map in one line, short enough for a name; None where there is none."""
    if not isinstance(text, str):
        return None
    line = "".join(letter if letter.isprintable() else " " for letter in text)
    return " ".join(line.split())[:LONGEST_NAME].rstrip() or None


def _ids(feature: Mapping[str, Any]) -> tuple[str, ...]:
    properties = feature.get("properties")
    tags = properties if isinstance(properties, dict) else {}
    candidates = [feature.get("id"), *(tags.get(key) for key in IDS)]
    return tuple(dict.fromkeys(str(value) for value in candidates if value not in (None, "")))


def _things(feature: Any, label: str) -> Iterator[Building | MapTree]:
    """The buildings, or the tree, that a feature is; ValueError where its place is missing."""
    if not isinstance(feature, dict) or feature.get("type") != "Feature":
        raise ValueError('this should be an object with "type": "Feature"')
    properties, geometry = feature.get("properties") or {}, feature.get("geometry")
    if not isinstance(properties, dict):
        raise ValueError('"properties" should be an object')
    if geometry is None:
        return
    if not isinstance(geometry, dict):
        raise ValueError('"geometry" should be an object')
    kind, coordinates = geometry.get("type"), geometry.get("coordinates")
    name = as_a_name(properties.get("name"))
    if kind == "Point" and properties.get("natural") == "tree":
        yield _tree(_ids(feature), name, properties, coordinates, label)
    elif kind in ("Polygon", "MultiPolygon") and _is_building(properties):
        doubts: list[str] = []
        base, top, by_levels = _heights(properties, doubts)
        polygons = [coordinates] if kind == "Polygon" else coordinates
        if not isinstance(polygons, list):
            raise ValueError('"coordinates" should be a list')
        for rings in [_rings(polygon) for polygon in polygons]:
            yield Building(
                _ids(feature),
                name,
                rings,
                base,
                top,
                properties.get("building:part") not in (None, "no"),
                by_levels,
                _doubt_text(label, doubts),
            )


def _is_building(properties: Mapping[str, Any]) -> bool:
    values = [properties.get("building"), properties.get("building:part")]
    if any(value not in (None, "no", False) for value in values):
        return True
    return values == [None, None] and any(
        properties.get(key) is not None for key in ("height", "building:levels")
    )


def _doubt_text(label: str, doubts: list[str]) -> str | None:
    return printable(f"{label}: {'; '.join(doubts)}") if doubts else None


def _if_read(
    read: Callable[[Mapping[str, Any], str], float | None],
    properties: Mapping[str, Any],
    key: str,
    doubts: list[str],
) -> float | None:
    """A property, None where it is not there, or is no such thing, which is one of the `doubts`."""
    try:
        return read(properties, key)
    except ValueError as error:
        doubts.append(str(error))
        return None


def _heights(properties: Mapping[str, Any], doubts: list[str]) -> tuple[float, float | None, bool]:
    """Base and top in metres, and whether levels tell them; what cannot be read adds to `doubts`.

    What cannot be read is not there. Without a base it stands on the ground, and shades more.
    """
    top, base = (_if_read(_metres, properties, key, doubts) for key in ("height", "min_height"))
    levels, first = (
        _if_read(_number, properties, f"building:{key}", doubts) for key in ("levels", "min_level")
    )
    by_levels = top is None and levels is not None
    if by_levels and levels is not None:
        top = levels * LEVEL_M
    if base is None:
        base = 0.0 if first is None else first * LEVEL_M
    if top is not None and top < base + LEAST_M:
        doubts.append(f"its height, {top:g} m, is not above its min_height, {base:g} m")
        return 0.0, None, False
    return base, top, by_levels


def _metres(properties: Mapping[str, Any], key: str) -> float | None:
    """A length in metres: a number, or text with or without a unit."""
    value = properties.get(key)
    if value is None or value == "":
        return None
    if isinstance(value, str):
        text = METRES.sub("m", value.strip().lstrip("~").replace(",", "."))
        try:
            return _finite(float(text), key)
        except ValueError:
            pass
        try:
            return parse_length(text)
        except ValueError as error:
            raise ValueError(f"{key}: {error}") from None
    return _number(properties, key)


def _number(properties: Mapping[str, Any], key: str) -> float | None:
    value = properties.get(key)
    if value is None or value == "":
        return None
    try:
        if isinstance(value, bool):
            raise TypeError
        return _finite(float(value), key)
    except (TypeError, ValueError):
        raise ValueError(f"{key}: {str(value)[:40]!r} is not a number") from None


def _finite(value: float, key: str) -> float:
    if not math.isfinite(value):
        raise ValueError(f"{key}: this is not a number that can be used")
    return value


def _rings(polygon: Any) -> tuple[Floats, ...]:
    if not isinstance(polygon, list) or not polygon:
        raise ValueError("a polygon should be a list of rings")
    return tuple(_points(ring, 4) for ring in polygon)


def _points(points: Any, fewest: int) -> Floats:
    """Longitudes and latitudes (n, 2); heights of points are passed over."""
    try:
        points_read = np.array([[float(point[0]), float(point[1])] for point in points])
    except (TypeError, ValueError, IndexError, KeyError):
        raise ValueError("points should be [longitude, latitude] in degrees") from None
    if len(points_read) < fewest:
        raise ValueError(f"a ring needs at least {fewest} points, the last the same as the first")
    # Written so that nan is refused as well.
    if not (np.abs(points_read) <= (180.0, 90.0)).all():
        raise ValueError(
            "points lie outside -180 to 180 and -90 to 90; RFC 7946 has longitude, latitude in "
            "degrees (WGS 84), so convert the map"
        )
    return points_read


def _tree(
    ids: tuple[str, ...],
    name: str | None,
    properties: Mapping[str, Any],
    point: Any,
    label: str,
) -> MapTree:
    doubts: list[str] = []
    crowns = [_if_read(_metres, properties, key, doubts) for key in CROWN]
    height, bottom = (
        _if_read(_metres, properties, key, doubts) for key in ("height", "min_height")
    )
    cycle = properties.get("leaf_cycle")
    evergreen_by = {"evergreen": True, "deciduous": False}
    return MapTree(
        ids,
        name,
        _points([point], 1)[0],
        height,
        next((crown for crown in crowns if crown is not None), None),
        bottom,
        evergreen_by.get(cycle) if isinstance(cycle, str) else None,
        _doubt_text(label, doubts),
    )
