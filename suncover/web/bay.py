"""A bay of three windows that stands out of a wall, as walls and windows of the site file.

The wall ends where the bay begins and goes on after it; what is measured along it moves with its
part. Seen from above, outdoors below:

    ──── wall ────┐                      ┌──── wall, on ────
                   ╲                    ╱
         bay left   ╲                  ╱   bay right        135 degrees inside at its two corners,
                     └── bay middle ──┘                     225 where it leaves the wall
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from suncover.base.errors import RequestError
from suncover.site.file.tables import list_of
from suncover.site.kinds.values import AnyLength, LengthAboveZero, LengthFromZero
from suncover.site.tape.reading import number

Json = dict[str, Any]
BEND = 45.0
"""Degrees by which each side of the bay turns; common practice for bays of three."""
FRAME_M = 0.10
"""From the corners of the bay to the glass: a frame's and a post's width, ours."""
_LEAST_PANE_M = 0.1
PARTS = ("left", "middle", "right")


@dataclass(frozen=True)
class _Bay:
    """Which wall it is in, where along it it begins and ends, and the lengths of its walls."""

    wall: int
    start: float
    end: float
    side: float
    middle: float


def bay_changes(tables: Mapping[str, Any], fields: Mapping[str, Any]) -> list[Json]:
    """What turns a stretch of a wall into a bay, as changes of the text.

    Fields: `wall`, its name; `along`, metres to the bay's left end; `width`, of its mouth; `out`,
    how far it stands out; `height` and `sill` of the glass. Lengths may be text with a unit.

    Raises
    ------
    RequestError
        When there is no such wall or the bay does not fit into it.
    """
    walls = [wall for wall in list_of(tables.get("wall")) if isinstance(wall, dict)]
    index = next((i for i, w in enumerate(walls) if w.get("name") == fields.get("wall")), None)
    length = None if index is None else number(LengthAboveZero, walls[index].get("length"))
    if index is None or length is None:
        raise RequestError("choose a wall of the house for the bay")
    along = _length(fields, "along", LengthFromZero)
    width, out, height = (
        _length(fields, key, LengthAboveZero) for key in ("width", "out", "height")
    )
    sill = _length(fields, "sill", LengthFromZero)
    if along <= 0.0 or along + width >= length:
        raise RequestError(f"a bay begins and ends within its wall, which is {length:g} m long")
    bay = _Bay(
        index,
        along,
        along + width,
        out / math.sin(math.radians(BEND)),
        width - 2.0 * out / math.tan(math.radians(BEND)),
    )
    if min(bay.side, bay.middle) < 2.0 * FRAME_M + _LEAST_PANE_M:
        raise RequestError("that leaves no room for three panes; make it wider, or less deep")
    return [*_walls(tables, walls, bay), *_windows(tables, walls[index], bay, height, sill)]


def _length(fields: Mapping[str, Any], key: str, kind: Any) -> float:
    value = number(kind, fields.get(key))
    if value is None:
        raise RequestError(f"`{key}` of the bay is no length, such as 2.4 or 8 ft")
    return float(value)


def _walls(tables: Mapping[str, Any], walls: list[dict[str, Any]], at: _Bay) -> list[Json]:
    """The wall cut in two with the bay between; what came after it comes after its second part."""
    wall, start, end = walls[at.wall], at.start, at.end
    name, length = str(wall["name"]), float(number(LengthAboveZero, wall["length"]))
    on = f"{name}, on"
    bay = [f"{name}, bay {part}" for part in PARTS]
    rows = [
        (bay[0], at.side, name, 180.0 + BEND),
        (bay[1], at.middle, bay[0], 180.0 - BEND),
        (bay[2], at.side, bay[1], 180.0 - BEND),
        (on, length - end, bay[2], 180.0 + BEND),
    ]
    changes: list[Json] = [{"path": ["wall", at.wall, "length"], "value": _short(start)}]
    changes += [
        {"path": ["wall", index, "after"], "value": on}
        for index, wall_of in enumerate(walls)
        if wall_of.get("after") == name
    ]
    for number_of, window in enumerate(list_of(tables.get("window"))):
        along = number(AnyLength, window.get("along")) if window.get("wall") == name else None
        if along is None:
            continue
        glass = number(LengthAboveZero, window.get("width")) or 0.0
        if along < end and along + glass > start:
            raise RequestError(f'the window "{window.get("name")}" is there already')
        if along >= end:
            changes.append({"path": ["window", number_of, "wall"], "value": on})
            changes.append({"path": ["window", number_of, "along"], "value": _short(along - end)})
    for new, size, after, corner in rows:
        values = {"name": new, "length": _short(size), "after": after, "corner": corner}
        changes.append({"add": ["wall"], "values": values})
    return changes


def _windows(
    tables: Mapping[str, Any], wall: Mapping[str, Any], at: _Bay, height: float, sill: float
) -> list[Json]:
    names = {
        window.get("name") for window in list_of(tables.get("window")) if isinstance(window, dict)
    }
    changes = []
    for part, size in zip(PARTS, (at.side, at.middle, at.side), strict=True):
        name, count = f"bay {part}", 1
        while name in names:
            count += 1
            name = f"bay {part} {count}"
        values = {
            "name": name,
            "wall": f"{wall['name']}, bay {part}",
            "along": FRAME_M,
            "width": _short(size - 2.0 * FRAME_M),
            "height": _short(height),
            "sill": _short(sill),
        }
        changes.append({"add": ["window"], "values": values})
    return changes


def _short(length: float) -> float:
    return round(length, 3)
