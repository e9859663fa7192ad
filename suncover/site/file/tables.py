"""Adding and taking away whole tables of a site file's text; all other lines stay as they are."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import Any

from suncover.base.errors import RequestError
from suncover.site.file.edit import tables_in, value_at, with_values, with_windows_added
from suncover.site.file.toml_places import Path, TomlPlaces
from suncover.site.interview.values import toml_text
from suncover.site.rules.names import NAMED_BY

_BARE = re.compile(r"[A-Za-z0-9_-]+")


def toml_value(value: object) -> str:
    """A value as TOML has it: numbers, texts, lists and inline tables.

    Raises
    ------
    RequestError
        When a site file holds no such value.
    """
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, (int, float)):
        return repr(value)
    if isinstance(value, str):
        return toml_text(value)
    if isinstance(value, list):
        return f"[{', '.join(map(toml_value, value))}]"
    if isinstance(value, dict) and all(map(_BARE.fullmatch, value)):
        return f"{{ {', '.join(f'{key} = {toml_value(inner)}' for key, inner in value.items())} }}"
    raise RequestError(f"{type(value).__name__} is no value of a site file")


def with_table(text: str, path: Path, values: Mapping[str, object]) -> str:
    """A site file's text with one more table: `("window",)` or `("money",)` at its end,
    `("window", 0, "fin")` in that window.

    Raises
    ------
    RequestError
        When there is no such entry, the text is no TOML, or a value is none.
    """
    raw = tables_in(text)
    if not all(map(_BARE.fullmatch, values)):
        raise RequestError("a table has keys of the site file")
    lines = [f"{key} = {toml_value(value)}" for key, value in values.items()]
    if len(path) == 1:
        kind = str(path[0])
        head = f"[{kind}]" if kind in _SINGLE else f"[[{kind}]]"
        if kind in _SINGLE and kind in raw:
            raise RequestError(f"there is a [{kind}] already")
        if isinstance(raw.get(kind), list) and TomlPlaces(text).span((kind, 0)) is None:
            raise RequestError(f"the file has its {kind}s on one line; write it there by hand")
        return with_windows_added(text, ["\n".join([head, *lines])])
    present = value_at(raw, path)
    if isinstance(present, list) and present:
        places = TomlPlaces(text)
        source = text.encode()
        span = places.span((*path, len(present) - 1))
        if span is not None and source[span[0] : span[0] + 2] == b"[[":
            end = _line_end(
                source, max(end for _, end in places.table_spans((*path, len(present) - 1)))
            )
            head = f"[[{'.'.join(str(part) for part in path if isinstance(part, str))}]]"
            added = "\n" + "\n".join([head, *lines]) + "\n"
            if "\r\n" in text:
                added = added.replace("\n", "\r\n")
            return (source[:end] + added.encode() + source[end:]).decode()
    before = list(present) if isinstance(present, list) else []
    return with_values(text, {path: toml_value([*before, dict(values)])})


_SINGLE = ("site", "need", "keeper", "weather", "best", "money")


def without_table(text: str, path: Path) -> str:
    """A site file's text without a table, `("window", 0)` or `("window", 0, "overhang")`.

    What names it goes with it: its name in the lists of others, and an entry whose list it was
    alone in. The comment lines straight above its header stay.

    Raises
    ------
    RequestError
        When there is no such table, or it cannot be taken out without harm to the layout.
    """
    raw = tables_in(text)
    entry = value_at(raw, path)
    if not isinstance(entry, dict):
        raise RequestError("there is no such entry in the file; read it again")
    name = entry.get("name")
    if len(path) == 2 and isinstance(name, str):
        text = _without_name(text, raw, str(path[0]), name)
    return _cut(text, path)


def _cut(text: str, path: Path) -> str:
    source, places = text.encode(), TomlPlaces(text)
    span = places.span(path)
    if span is not None and source[span[0] : span[0] + 1] == b"[":
        for start, end in sorted(places.table_spans(path), reverse=True):
            begin = source.rfind(b"\n", 0, start) + 1
            before = source[:begin]
            behind = source[_line_end(source, end) :]
            blank = before.endswith((b"\n\n", b"\r\n\r\n"))
            if blank and (not behind or behind.startswith((b"\n", b"\r\n"))):
                before = before[: -2 if before.endswith(b"\r\n") else -1]
            source = before + behind
        return source.decode()
    if isinstance(path[-1], int):
        entries = value_at(tables_in(text), path[:-1])
        left = [entry for number, entry in enumerate(list_of(entries)) if number != path[-1]]
        return with_values(text, {path[:-1]: toml_value(left) if left else None})
    return with_values(text, {path: None})


def _without_name(text: str, raw: Mapping[str, Any], kind: str, name: str) -> str:
    """The text without that name in lists of other tables."""
    empty: list[Path] = []
    for table, key in NAMED_BY.get(kind, ()):
        for index, entry in enumerate(list_of(raw.get(table))):
            names = entry.get(key) if isinstance(entry, dict) else None
            if isinstance(names, list) and name in names:
                left = [listed_name for listed_name in names if listed_name != name]
                if left:
                    text = with_values(text, {(table, index, key): toml_value(left)})
                else:
                    empty.append((table, index))
    for entry_path in reversed(empty):
        text = without_table(text, entry_path)
    return text


def renamed(text: str, kind: str, index: int, name: str) -> str:
    """A site file's text with another name of an entry, wherever it is named.

    Raises
    ------
    RequestError
        As `with_values`.
    """
    raw = tables_in(text)
    entry = value_at(raw, (kind, index))
    old = entry.get("name") if isinstance(entry, dict) else None
    changes: dict[Path, str | None] = {(kind, index, "name"): toml_value(name)}
    alike = [entry for entry in list_of(raw.get(kind)) if isinstance(entry, dict)]
    if isinstance(old, str) and sum(entry.get("name") == old for entry in alike) == 1:
        for table, key in NAMED_BY.get(kind, ()):
            for number, row in enumerate(list_of(raw.get(table))):
                references = row.get(key) if isinstance(row, dict) else None
                if references == old:
                    changes[table, number, key] = toml_value(name)
                elif isinstance(references, list) and old in references:
                    swapped = [
                        name if listed_name == old else listed_name for listed_name in references
                    ]
                    changes[table, number, key] = toml_value(swapped)
    return with_values(text, changes)


def list_of(value: object) -> Sequence[Any]:
    """The value where it is a list; nothing where not."""
    return value if isinstance(value, list) else ()


def _line_end(source: bytes, end: int) -> int:
    return source.find(b"\n", end) + 1 or len(source)
