"""What a text of a site file holds: its tables, what it draws, and its faults with their places."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, time
from functools import lru_cache
from pathlib import Path
from typing import Any

from suncover.base.errors import Fault, FileFaults, RequestError
from suncover.site.file.edit import with_values
from suncover.site.file.sitefile import site_from_text, with_named_files
from suncover.site.file.toml_places import Path as ValuePath
from suncover.site.finding import place_of
from suncover.site.interview.values import toml_text
from suncover.site.model import Site

Json = dict[str, Any]


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


def judged_json(one: Judged) -> Json:
    """The answer of `judge`."""
    raw = _raw(one.text)
    return {
        "faults": faults_json(one.faults, raw),
        "tables": _plain(raw),
        "site": None if one.site is None else site_json(one.site),
    }


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
            "path": list(paths.get(fault.place, ())),
        }
        for fault in faults
    ]


def changed(text: str, changes: list[Json]) -> str:
    """The text with other values: each change has a `path` and a `value`, None to take it away.

    Raises
    ------
    RequestError
        When a change is none, or the text cannot be changed there.
    """
    wanted: dict[ValuePath, str | None] = {}
    for change in changes:
        path = tuple(change.get("path", ())) if isinstance(change, dict) else ()
        if len(path) < 2 or not all(type(part) in (str, int) for part in path):
            raise RequestError('a change has a `path`, such as ["window", 0, "sill"]')
        if any(isinstance(part, str) and not part.isidentifier() for part in path):
            raise RequestError("a path holds keys of the site file and numbers from 0")
        value = change.get("value")
        wanted[path] = None if value is None else _toml(value)
    return with_values(text, wanted)


def _toml(value: object) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, (int, float)):
        return repr(value)
    if isinstance(value, str):
        return toml_text(value)
    if isinstance(value, list):
        return f"[{', '.join(map(_toml, value))}]"
    raise RequestError(f"{type(value).__name__} is no value of a site file")


def _raw(text: str) -> dict[str, Any]:
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


def _plain(value: Any) -> Any:
    """A value of TOML as JSON has it: dates and times as texts, no infinity."""
    if isinstance(value, dict):
        return {key: _plain(inner) for key, inner in value.items()}
    if isinstance(value, list):
        return [_plain(inner) for inner in value]
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
                "overhang": window.overhang and window.overhang.model_dump(),
                "shades": [s.name for s in site.all_shades() if window.name in s.windows],
            }
            for window in site.windows
        ],
        "walls": [
            {"name": wall.name, "start": wall.start, "azimuth": wall.azimuth, "length": wall.length}
            for wall in site.walls
        ],
        "obstacles": [
            {"name": block.name, "footprint": block.footprint, "top": block.top}
            for block in site.obstacles
        ],
        "trees": [
            {"name": tree.name, "trunk": tree.trunk, "width": tree.width} for tree in site.trees
        ],
        "weather": site.weather is not None,
    }
