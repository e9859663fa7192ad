"""What a text of a site file holds: its tables, what it draws, and its faults with their places."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, time
from functools import lru_cache
from pathlib import Path
from typing import Any

from suncover.base.errors import Fault, FileFaults, RequestError
from suncover.site.file.edit import with_values
from suncover.site.file.sitefile import site_from_tables, site_from_text, with_named_files
from suncover.site.file.tables import renamed, toml_value, with_table, without_table
from suncover.site.file.toml_places import Path as ValuePath
from suncover.site.finding import place_of
from suncover.site.model import Site

Json = dict[str, Any]
MOST_CHANGES = 500
_MISSING = re.compile(r"^`(\w+)` is missing")


@dataclass(frozen=True)
class Judged:
    """A text with the site it describes, or None and all that is wrong with it."""

    text: str
    site: Site | None
    faults: tuple[Fault, ...]

    @property
    def sound(self) -> Site:
        """The site; raises `FileFaults` where there is none."""
        if self.site is None:
            raise FileFaults(self.faults)
        return self.site


@lru_cache(maxsize=16)
def judged(text: str, file: Path) -> Judged:
    """What a text says as the content of `file`, whose folder holds the files that it names."""
    try:
        site = site_from_text(text, file)
        return Judged(text, with_named_files(site, file.absolute().parent), ())
    except FileFaults as wrong:
        return Judged(text, None, wrong.faults)


def judged_json(judged: Judged) -> Json:
    """The answer of `judge`."""
    raw = tables(judged.text)
    return {
        "faults": faults_json(judged.faults, raw),
        "tables": _as_json(raw),
        "site": None if judged.site is None else site_json(judged.site),
        "sketch": None if judged.site is not None else _sketch(raw),
    }


def _sketch(raw: Mapping[str, Any]) -> Json | None:
    """What can be drawn of a site that has no window yet: as a sound one, without windows."""
    if raw.get("window") or "site" not in raw or not raw.get("wall"):
        return None
    stand_in = {"name": "-", "azimuth": 0.0, "width": 1.0, "height": 1.0}
    parts = {kind: raw[kind] for kind in ("site", "wall", "obstacle", "tree") if kind in raw}
    try:
        site = site_from_tables({**parts, "window": [stand_in]})
    except FileFaults:
        return None
    return {**site_json(site), "windows": []}


def faults_json(faults: tuple[Fault, ...], raw: Mapping[str, Any]) -> list[Json]:
    """Faults as data; `path` is that of the value which a fault is about, where there is one."""
    names: dict[ValuePath, str] = {
        (kind, index): str(entry["name"])
        for kind, entries in raw.items()
        if isinstance(entries, list)
        for index, entry in enumerate(entries)
        if isinstance(entry, dict) and "name" in entry
    }
    paths: dict[str, ValuePath] = {}
    for path in _paths(raw, ()) if faults else ():
        paths.setdefault(place_of(path, names), path)
    return [
        {
            "file": Path(fault.file).name,
            "line": fault.line,
            "column": fault.column,
            "place": fault.place,
            "message": fault.message,
            "path": [*paths.get(fault.place, ()), *_MISSING.findall(fault.message)[:1]],
        }
        for fault in faults
    ]


def changed(text: str, changes: list[Json]) -> str:
    """The text with changes, one after the other: of a value (`path`, `value`; None takes it away),
    one more table (`add`, its path, and its `values`), or one less (`drop`, its path).

    Another name of an entry is put wherever it is named.

    Raises
    ------
    RequestError
        When a change is none, or the text cannot be changed there.
    """
    if len(changes) > MOST_CHANGES:
        raise RequestError(f"at most {MOST_CHANGES} changes are made at once")
    values: dict[ValuePath, str | None] = {}
    for change in changes:
        path, sort = _path_of(change)
        if sort != "path":
            text, values = with_values(text, values) if values else text, {}
            entry = change.get("values", {})
            if not isinstance(entry, dict):
                raise RequestError("the `values` of a table are an object")
            text = with_table(text, path, entry) if sort == "add" else without_table(text, path)
            continue
        value = change.get("value")
        if len(path) == 3 and path[2] == "name" and isinstance(value, str) and value.strip():
            text, values = with_values(text, values) if values else text, {}
            text = renamed(text, str(path[0]), int(path[1]), value)
        elif value is not None and path[0] not in tables(text) and isinstance(path[1], str):
            for key in path[:1:-1]:
                value = {str(key): value}
            text = with_table(text, path[:1], {str(path[1]): value})
        else:
            values[path] = None if value is None else toml_value(value)
    return with_values(text, values) if values else text


def _path_of(change: object) -> tuple[ValuePath, str]:
    """Where a change is, and of which sort: path, add or drop."""
    fields = change if isinstance(change, dict) else {}
    sort = next((key for key in ("add", "drop") if key in fields), "path")
    path = fields.get(sort)
    if not isinstance(path, list) or len(path) < (1 if sort == "add" else 2):
        raise RequestError('a change has a `path`, such as ["window", 0, "sill"]')
    if not all(type(part) in (str, int) for part in path):
        raise RequestError("a path holds keys of the site file and numbers from 0")
    if any(isinstance(part, str) and not part.isidentifier() for part in path):
        raise RequestError("a path holds keys of the site file and numbers from 0")
    if not isinstance(path[0], str):
        raise RequestError("a path begins with the name of a table")
    return tuple(path), sort


def tables(text: str) -> dict[str, Any]:
    """The tables of a text; none where it is no TOML."""
    try:
        return tomllib.loads(text)
    except (tomllib.TOMLDecodeError, RecursionError):
        return {}


def _paths(value: object, path: ValuePath) -> Iterator[ValuePath]:
    """The paths of all values, outer ones first."""
    if path:
        yield path
    parts: Iterator[tuple[str | int, object]] = iter(())
    if isinstance(value, dict):
        parts = iter(value.items())
    elif isinstance(value, list):
        parts = iter(enumerate(value))
    for key, inner in parts:
        yield from _paths(inner, (*path, key))


def _as_json(value: Any) -> Any:
    """A value of TOML as JSON has it: dates and times as texts, no infinity."""
    if isinstance(value, dict):
        return {key: _as_json(inner) for key, inner in value.items()}
    if isinstance(value, list):
        return [_as_json(inner) for inner in value]
    if isinstance(value, (date, time)):
        return value.isoformat()
    if isinstance(value, float) and not abs(value) < float("inf"):
        return str(value)
    return value


def site_json(site: Site) -> Json:
    """A sound site as it was understood: metres, degrees, positions on the plan."""
    return {
        "name": site.place.name,
        "latitude": site.place.latitude,
        "longitude": site.place.longitude,
        "zone": site.place.zone_name,
        "windows": [
            {
                "name": window.name,
                "azimuth": window.azimuth,
                "tilt": window.tilt,
                "width": window.width,
                "height": window.height,
                "sill": window.sill,
                "reveal": window.reveal,
                "floor": window.floor,
                "position": window.position,
                "facade": window.facade,
                "overhang": window.overhang and window.overhang.model_dump(),
                "fins": [fin.model_dump() for fin in window.fins],
                "shades": [s.name for s in site.all_shades() if window.name in s.windows],
            }
            for window in site.windows
        ],
        "walls": [
            {"name": wall.name, "start": wall.start, "azimuth": wall.azimuth, "length": wall.length}
            for wall in site.walls
        ],
        "obstacles": [
            {
                "name": block.name,
                "footprint": block.footprint,
                "base": block.base,
                "top": block.top,
            }
            for block in site.obstacles
        ],
        "trees": [
            {
                "name": tree.name,
                "trunk": tree.trunk,
                "width": tree.width,
                "bottom": tree.bottom,
                "top": tree.top,
            }
            for tree in site.trees
        ],
        "weather": site.weather is not None,
    }
