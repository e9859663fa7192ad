"""A table of windows: what its columns mean, and a site's rows as the tables of a site file.

A column is a key of `[[window]]` as it stands in a site file (`azimuth`, `overhang.depth`,
`fin.left.depth`), or a key of another table with that table's name before it (`site.latitude`,
`need.beam`, `shade.travel`, `weather.file`). Columns that begin with an underscore are passed over.
"""

from __future__ import annotations

import math
import re
import tomllib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from functools import cache
from typing import Any, NamedTuple, get_args, get_origin

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from suncover.base.errors import Fault, FileFaults
from suncover.base.textfile import printable
from suncover.site.file.sitefile import site_from_tables
from suncover.site.finding import Path, meant
from suncover.site.kinds.kind import shown
from suncover.site.model import Fin, Need, Place, Shade, Site, Weather, Window

SHARED: dict[str, type[BaseModel]] = {"site": Place, "need": Need, "weather": Weather}
"""Tables that a site has once: its rows say the same in their columns, or nothing."""

Rows = Sequence[tuple[int, Sequence[Any]]]
"""Rows of the table: the line of each, and its cells."""

_NEED_SPOTS = ("spots", "fading")  # a row holds one window and no spots behind it
_SIDES = ("left", "right")
_WHOLE = re.compile(r"[+-]?\d{1,18}")


class Column(NamedTuple):
    """Where a column's cells go: the table, the keys in it, and whether they are text for sure."""

    table: str
    keys: tuple[str, ...]
    text: bool


@cache
def known_columns() -> dict[str, Column]:
    """Every column that there may be, by its name."""
    columns: dict[str, Column] = {}
    tables: dict[str, type[BaseModel]] = {**SHARED, "shade": Shade}
    for name, model in tables.items():
        for keys, text in _keys_of(model):
            if (name, *keys) != ("shade", "windows"):  # the row's window
                columns[".".join((name, *keys))] = Column(name, keys, text)
    for keys, text in _keys_of(Window):
        columns[".".join(keys)] = Column("window", keys, text)
    for side in _SIDES:
        for keys, text in _keys_of(Fin):
            if keys != ("side",):
                columns[".".join(("fin", side, *keys))] = Column(
                    "window", ("fin", side, *keys), text
                )
    return columns


def _keys_of(model: type[BaseModel]) -> Iterator[tuple[tuple[str, ...], bool]]:
    """The keys of a table and of the tables in it, each with whether its value is text alone."""
    for name, field in model.model_fields.items():
        key, kinds = field.alias or name, set(_kinds(field))
        inner = [kind for kind in kinds if isinstance(kind, type) and issubclass(kind, BaseModel)]
        if inner == [Fin] or key in _NEED_SPOTS:
            continue
        for kind in inner:
            yield from (((key, *keys), text) for keys, text in _keys_of(kind))
        if not inner:
            yield (key,), bool(kinds) and all(kind is str for kind in kinds)


def _kinds(field: FieldInfo) -> Iterator[Any]:
    todo = [field.annotation]
    while todo:
        kind: Any = todo.pop()
        if get_origin(kind) is tuple:
            yield tuple
        elif inner := get_args(kind):
            # Of a value with marks only the value, of a choice of words the words' kind.
            todo += [
                type(argument) if isinstance(argument, str) else argument for argument in inner
            ]
        elif kind is not type(None) and isinstance(kind, type):
            yield kind


def check_columns(names: Sequence[str], file: str) -> None:
    """Refuses a header with columns that mean nothing, are given twice, or lack what all need.

    Raises
    ------
    FileFaults
        All that is wrong with it.
    """
    columns = known_columns()
    wrong: list[str] = []
    own_names = [name for name in names if not name.startswith("_")]
    for number, name in enumerate(own_names):
        if name not in columns:
            near = meant(name, columns)
            hint = f", did you mean `{near}`?" if near else "; begin the names of your own with _"
            wrong.append(f"unknown column `{name[:60]}`{hint}")
        elif name in own_names[:number]:
            wrong.append(f"the column `{name}` stands there twice; take one away")
    needed = ("site.name", "site.latitude", "site.longitude", "name", "width", "height")
    wrong += [f"the column `{name}` is missing" for name in needed if name not in own_names]
    if not {"azimuth", "compass", "wall"} & set(own_names):
        wrong.append("the column `azimuth` is missing (or `compass`, or `wall`)")
    if wrong:
        raise FileFaults([Fault(printable(file), printable(text), "", 1) for text in wrong])


def is_blank(cell: object) -> bool:
    """Whether a cell says nothing: empty, null, or not a number."""
    return cell is None or cell == "" or (isinstance(cell, float) and math.isnan(cell))


def site_of_rows(names: Sequence[str], rows: Rows, file: str) -> Site:
    """The `Site` of some rows, each with its line in the table.

    Raises
    ------
    FileFaults
        Everything that is wrong in them.
    """
    lines: dict[Path, int] = {}
    try:
        tables = _tables(names, rows, file, lines)
        begin = rows[0][0] if rows else None
        return site_from_tables(tables, file, lambda path: lines.get(path[:2], begin))
    except FileFaults as wrong:
        site = _values_of(names, rows[0][1]).get("site.name") if _fits(names, rows) else None
        site_text = f'site "{site[1]}"' if site else ""
        places = [": ".join(filter(None, (site_text, fault.place))) for fault in wrong.faults]
        raise FileFaults(
            [
                replace(fault, place=printable(place))
                for fault, place in zip(wrong.faults, places, strict=True)
            ]
        ) from None


def _fits(names: Sequence[str], rows: Rows) -> bool:
    return bool(rows) and len(rows[0][1]) == len(names)


def _tables(names: Sequence[str], rows: Rows, file: str, lines: dict[Path, int]) -> dict[str, Any]:
    """The rows as the tables of a site file; `lines` gets the line of each window and shade."""
    tables: dict[str, Any] = {}
    shades: dict[str, dict[str, Any]] = {}
    windows: list[dict[str, Any]] = []
    faults: list[Fault] = []
    first: dict[tuple[str, str], tuple[int, Any]] = {}
    for line, cells in rows:
        if len(cells) != len(names):
            message = f"{len(cells)} cells under {len(names)} columns; quote cells with commas"
            faults.append(Fault(printable(file), message, "", line))
            continue
        values = _values_of(names, cells)
        window = _nested(values, "window")
        lines["window", len(windows)] = line
        windows.append(_with_fins(window))
        if covers := _nested(values, "shade"):
            covers.setdefault("name", window.get("name"))
            shade_name = str(covers["name"])
            lines.setdefault(("shade", len(shades)), line)
            shades.setdefault(shade_name, {}).setdefault("windows", []).append(window.get("name"))
            _merge(shades[shade_name], covers)
        else:
            shade_name = ""
        for name, (column, value) in values.items():
            if column.table == "window":
                continue
            if column.table == "shade":
                key = (shade_name, name)
            else:
                key = ("", name)
                _put(tables.setdefault(column.table, {}), column.keys, value)
            before, earlier = first.setdefault(key, (line, value))
            if earlier != value:
                message = (
                    f"{shown(value)}, but line {before} of the same "
                    f"{'shade' if shade_name else 'site'} says {shown(earlier)}; make them the same"
                )
                faults.append(Fault(printable(file), printable(message), name, line))
    if faults:
        raise FileFaults(faults)
    tables["window"] = windows
    if shades:
        tables["shade"] = list(shades.values())
    return tables


def _values_of(names: Sequence[str], cells: Sequence[Any]) -> dict[str, tuple[Column, Any]]:
    """The cells that say something, by the name of their column."""
    columns = known_columns()
    return {
        name: (columns[name], _value(cell, text=columns[name].text))
        for name, cell in zip(names, cells, strict=True)
        if not name.startswith("_") and not is_blank(cell)
    }


def _nested(values: Mapping[str, tuple[Column, Any]], table: str) -> dict[str, Any]:
    """One table of a row, with the tables in it."""
    result: dict[str, Any] = {}
    for column, value in values.values():
        if column.table == table:
            _put(result, column.keys, value)
    return result


def _put(table: dict[str, Any], keys: Sequence[str], value: Any) -> None:
    """Sets a value; what was there before stays."""
    for key in keys[:-1]:
        table = table.setdefault(key, {})
    table.setdefault(keys[-1], value)


def _merge(table: dict[str, Any], update: Mapping[str, Any]) -> None:
    for key, value in update.items():
        if isinstance(value, dict):
            _merge(table.setdefault(key, {}), value)
        else:
            table.setdefault(key, value)


def _with_fins(window: dict[str, Any]) -> dict[str, Any]:
    """The window with its fins as a site file has them, a list."""
    if "fin" in window:
        fins = window["fin"]
        window["fin"] = [{"side": side, **fins[side]} for side in _SIDES if side in fins]
    return window


def _value(cell: Any, *, text: bool) -> Any:
    """A cell as a site file would have it: text, a number, or a list as TOML writes it."""
    if not isinstance(cell, str) or text:
        return cell
    cell = cell.strip()
    if cell.startswith("["):
        try:
            return tomllib.loads(f"v = {cell}")["v"]
        except (tomllib.TOMLDecodeError, RecursionError):
            return cell
    if _WHOLE.fullmatch(cell):
        return int(cell)
    try:
        return float(cell)
    except ValueError:
        return cell
