"""The buildings and trees of a GeoJSON file (RFC 7946), as public map data have them.

Heights come from the properties `height` and `min_height` (metres, or text with a unit), else from
`building:levels`, on which stands what `roof:height` or `roof:levels` tell, and
`building:min_level`. A building is a polygon with one of these, or with `building` or
`building:part`; a tree is a point with `natural=tree`.

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
BUILDINGS = ("building", "building:part")
NOTHING = (None, "")  # tables made into maps have every key in every feature
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
    except ValueError:  # a whole number of more digits than Python reads
        raise one_fault(path, "this is no GeoJSON: a number in it has too many digits") from None
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
    if geometry is not None and not isinstance(geometry, dict):
        raise ValueError('"geometry" should be an object')
    is_tree, is_building = properties.get("natural") == "tree", _is_building(properties)
    if not (is_tree or is_building):
        return
    ids, name = _ids(feature), as_a_name(properties.get("name"))
    places = list(_places(geometry))
    points = [place for kind, place in places if kind == "Point" and is_tree]
    outlines = [_rings(place) for kind, place in places if kind == "Polygon" and is_building]
    for point in points:
        yield _tree(ids, name, properties, point, label)
    if outlines:
        doubts: list[str] = []
        base, top, by_levels = _heights(properties, doubts)
        part, doubt = _is_tagged(properties, "building:part"), _doubt_text(label, doubts)
        for rings in outlines:
            yield Building(ids, name, rings, base, top, part, by_levels, doubt)
    if not (points or outlines) and _has_height(properties):
        if is_tree:
            raise ValueError("a tree with a height should have a Point")
        if any(_is_tagged(properties, key) for key in BUILDINGS):
            raise ValueError("a building with a height should have a Polygon")


def _places(geometry: Mapping[str, Any] | None) -> Iterator[tuple[str, Any]]:
    """The points and polygons of a geometry, one by one: what they are, and their coordinates."""
    pending: list[Any] = [] if geometry is None else [geometry]
    while pending:
        shape = pending.pop()
        if not isinstance(shape, dict):
            raise ValueError('"geometries" should be objects')
        kind = shape.get("type")
        inside = shape.get("geometries" if kind == "GeometryCollection" else "coordinates")
        if kind in ("Point", "Polygon"):
            yield kind, inside
        elif kind in ("MultiPoint", "MultiPolygon", "GeometryCollection"):
            if not isinstance(inside, list):
                raise ValueError('"coordinates" and "geometries" should be lists')
            if kind == "GeometryCollection":
                pending += reversed(inside)
            else:
                yield from ((kind.removeprefix("Multi"), place) for place in inside)


def _is_building(properties: Mapping[str, Any]) -> bool:
    if any(_is_tagged(properties, key) for key in BUILDINGS):
        return True
    return _has_height(properties) and all(properties.get(key) in NOTHING for key in BUILDINGS)


def _is_tagged(properties: Mapping[str, Any], key: str) -> bool:
    return properties.get(key) not in (*NOTHING, "no", False)


def _has_height(properties: Mapping[str, Any]) -> bool:
    return any(properties.get(key) not in NOTHING for key in ("height", "building:levels"))


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
        top = levels * LEVEL_M + max(_roof(properties, doubts), 0.0)
    if base is None:
        base = 0.0 if first is None else first * LEVEL_M
    if top is not None and top < base + LEAST_M:
        doubts.append(f"its height, {top:g} m, is not above its min_height, {base:g} m")
        return 0.0, None, False
    return base, top, by_levels


def _roof(properties: Mapping[str, Any], doubts: list[str]) -> float:
    """What the roof adds to the storeys, which do not count those within it."""
    height = _if_read(_metres, properties, "roof:height", doubts)
    if height is not None:
        return height
    return LEVEL_M * (_if_read(_number, properties, "roof:levels", doubts) or 0.0)


def _metres(properties: Mapping[str, Any], key: str) -> float | None:
    """A length in metres: a number, or text with or without a unit."""
    value = properties.get(key)
    if value in NOTHING:
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
    if value in NOTHING:
        return None
    try:
        if isinstance(value, bool):
            raise TypeError
        return _finite(float(value), key)
    except (TypeError, ValueError, OverflowError):
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
    except (TypeError, ValueError, IndexError, KeyError, OverflowError):
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
