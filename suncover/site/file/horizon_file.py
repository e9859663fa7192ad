"""Reading a far horizon from the CSV that public solar services give.

Two kinds of file are known, by the line that names their columns:

- `A` (or `A_hor`) and `H_hor`: as PVGIS, the European Commission's open service, writes it.
  Azimuths count from the south, west positive: -180 north, -90 east, 0 south, 90 west.
- `azimuth` and `elevation` (or `horizon_azimuth` and `horizon_elevation`, as pvlib calls them once
  it has read the former): azimuths count from true north, clockwise: 90 east, 180 south.

Columns may be parted by commas, semicolons, tabs or blanks, as the line of their names is; others
are passed over. Where they are not parted by commas, a number may have a decimal comma. Lines
before the columns' names are a head, of which latitude and longitude are compared with the site's.
The table ends with the first line that does not begin with a number.
"""

from __future__ import annotations

import math
import os
import re
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import takewhile

from suncover.base.errors import Fault, FileFaults
from suncover.base.textfile import one_fault, printable, read_text

# Degrees between the site and the place of its horizon, at the most: about 11 km. Our own bound.
SAME_PLACE = 0.1

_FROM_SOUTH = ({"a", "a_hor"}, {"h_hor"})
_FROM_NORTH = ({"azimuth", "horizon_azimuth"}, {"elevation", "horizon_elevation"})
_WANTED = (
    'name the columns in a line: "azimuth,elevation" where azimuths count from true north, '
    '"A,H_hor" where they count from the south, as PVGIS has them'
)

Points = tuple[tuple[float, float], ...]
_Wrong = tuple[int | None, str]  # the line, and what is wrong with it


@dataclass(frozen=True)
class _Table:
    """The rows of a file below the line that names the columns."""

    width: int
    columns: tuple[int, int]
    south: bool
    rows: list[tuple[int, list[str]]]


def read_horizon(path: str | os.PathLike[str], latitude: float, longitude: float) -> Points:
    """The points of a horizon: azimuth (clockwise from true north, 0 to 360), elevation; degrees.

    `latitude` and `longitude` are the site's.

    Raises
    ------
    FileFaults
        When the file cannot be read, its columns have other names, a number is out of bounds, or
        the horizon belongs to another place.
    """
    lines = read_text(path).splitlines()
    table = _table(lines)
    if table is None:
        raise one_fault(path, f"no line names the columns of a horizon; {_WANTED}")
    head = lines[: table.rows[0][0] - 1] if table.rows else lines
    points, wrong = _points(table)
    wrong = [*_elsewhere(head, latitude, longitude), *wrong]
    if not points and not wrong:
        raise one_fault(path, "there is no number below the columns' names")
    if wrong:
        name = printable(os.fspath(path))
        raise FileFaults([Fault(name, printable(message), "", line) for line, message in wrong])
    return tuple(sorted(points.items()))


def _table(lines: list[str]) -> _Table | None:
    """The table of a file, up to the first line that begins with no number; None without one."""
    for number, line in enumerate(lines):
        mark = next((mark for mark in ";,\t" if mark in line), None)
        cells = _cells(line, mark)
        for names, south in ((_FROM_SOUTH, True), (_FROM_NORTH, False)):
            columns = _columns(cells, names)
            if columns:
                rows = enumerate((_cells(row, mark) for row in lines[number + 1 :]), number + 2)
                filled = ((row, cells) for row, cells in rows if any(cells))
                return _Table(len(cells), columns, south, list(takewhile(_has_number, filled)))
    return None


def _has_number(row: tuple[int, list[str]]) -> bool:
    return _number(row[1][0]) is not None


def _cells(line: str, mark: str | None) -> list[str]:
    """The cells of a line; tabs and blanks may stand in a row between two."""
    parts = line.split(mark) if mark in (";", ",") else line.split()
    cells = [cell.strip().strip('"') for cell in parts]
    return cells if mark == "," else [cell.replace(",", ".") for cell in cells]


def _columns(cells: list[str], names: tuple[set[str], set[str]]) -> tuple[int, int] | None:
    """Where azimuth and elevation stand, if these are the names of columns."""
    lower = [cell.lower() for cell in cells]
    azimuth, elevation = (
        next((index for index, cell in enumerate(lower) if cell in kind), None) for kind in names
    )
    return None if azimuth is None or elevation is None else (azimuth, elevation)


def _points(table: _Table) -> tuple[dict[float, float], list[_Wrong]]:
    """Elevation by azimuth from true north, and the lines that are wrong."""
    points: dict[float, float] = {}
    faults: list[_Wrong] = []
    for line, cells in table.rows:
        if len(cells) > table.width and any(cells[table.width :]):
            faults.append(
                (
                    line,
                    f"{len(cells)} cells under {table.width} names; where numbers have decimal "
                    "commas, part the columns by semicolons",
                )
            )
            continue
        azimuth, elevation = (
            _number(cells[column]) if column < len(cells) else None for column in table.columns
        )
        if wrong := _wrong(azimuth, elevation, south=table.south):
            faults.append((line, wrong))
        elif azimuth is not None and elevation is not None:
            turned = (azimuth + 180.0 if table.south else azimuth) % 360.0
            # North may stand at both ends of the table.
            if points.setdefault(turned, elevation) != elevation:
                faults.append((line, f"azimuth {azimuth:g} stands twice, with two elevations"))
    return points, faults


def _number(cell: str) -> float | None:
    try:
        value = float(cell)
    except ValueError:
        return None
    return value if math.isfinite(value) else None


def _wrong(azimuth: float | None, elevation: float | None, *, south: bool) -> str | None:
    """What is wrong with an azimuth and an elevation."""
    if azimuth is None or elevation is None:
        return "azimuth and elevation should be two numbers, in degrees"
    low, high = (-180, 180) if south else (0, 360)
    if not low <= azimuth <= high:
        whence = "the south, as A does" if south else "true north"
        return f"azimuth {azimuth:g} is not between {low} and {high}, counted from {whence}"
    if not -90 <= elevation <= 90:
        return f"elevation {elevation:g} is not between -90 and 90"
    return None


def _elsewhere(head: list[str], latitude: float, longitude: float) -> Iterator[_Wrong]:
    """Where the head of the file names another place."""
    for number, line in enumerate(head, 1):
        match = re.match(
            r'"?\s*(latitude|longitude)\b[^:,;\t]*[:,;\t]\s*(\S+)', line, re.IGNORECASE
        )
        value = _number(match[2].strip('",;')) if match else None
        if match is None or value is None:
            continue
        key = match[1].lower()
        site = latitude if key == "latitude" else longitude
        if abs((value - site + 180) % 360 - 180) > SAME_PLACE:
            yield (
                number,
                f"this horizon belongs to {key} {value:g}, the site has {site:g}; "
                "get the horizon of the site",
            )
