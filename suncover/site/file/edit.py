"""Changing single values in a site file, with all of its comments and its layout kept.

Values are replaced where they stand and nothing else is touched. (A TOML library would write the
file anew, and move tables of one kind together that stand apart.) What comes out is read again
before anybody gets it.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from suncover.base.errors import RequestError
from suncover.site.aspect import FORMS
from suncover.site.file.toml_places import Path, TomlPlaces


@dataclass(frozen=True)
class _Edit:
    start: int
    end: int
    text: str


def with_azimuths(text: str, azimuths: Mapping[str, tuple[float, float]]) -> str:
    """A site file's text with other azimuths: degrees and one standard deviation, by window name.

    A compass bearing or a wall on a map is put out of use, and stays as a comment. Of a window in a
    [[wall]] it is the wall that gets the azimuth, and with it all of its windows.

    Raises
    ------
    RequestError
        When the text cannot be changed there; it says what to write by hand.
    """
    file = _File(text)
    changed_tables: set[Path] = set()
    for name, (azimuth, sd) in azimuths.items():
        window = file.facing_table(name)
        if window in changed_tables:
            continue
        changed_tables.add(window)
        instead_of = (*FORMS[1:], "corner") if window[0] == "wall" else FORMS[1:]
        file.set((*window, "azimuth"), _number(azimuth), after=["name"], instead_of=instead_of)
        file.comment_out((*window, "measured"))
        file.set((*window, "azimuth_sd"), _number(sd), after=["azimuth", *instead_of, "name"])
    return file.changed()


def with_overhang(text: str, name: str, depth: float, gap: float) -> str:
    """A site file's text with another depth and gap of a window's overhang, in metres.

    Raises
    ------
    RequestError
        As `with_azimuths`; also when the file has no such overhang (it may be a canopy's).
    """
    file = _File(text)
    roof: Path = ("window", file.index_of("window", name), "overhang")
    file.set((*roof, "depth"), _number(depth))
    file.set((*roof, "gap"), _number(gap), after=["depth"])
    return file.changed()


def with_values(text: str, changes: Mapping[Path, str | None]) -> str:
    """A site file's text with other values at some paths, each as TOML has it; None takes it away.

    A key that is not there is added after the first key of its table. A table that is not there is
    made as an inline one, of all its keys among the changes. The line of what is taken away stays
    as a comment; of an inline table a member goes, and with the last member the table.

    Raises
    ------
    RequestError
        As `with_azimuths`; also when the text is no TOML, or has no such entry.
    """
    file = _File(text)
    missing: dict[Path, dict[str, Any]] = {}
    for path, value in changes.items():
        base = next((path[:end] for end in range(2, len(path)) if not file.holds(path[:end])), path)
        inner = path[len(base) :]
        if value is None:
            file.take_away(path)
        elif not inner or not all(isinstance(key, str) for key in (base[-1], *inner)):
            file.set_or_add(path, value)
        else:
            table = missing.setdefault(base, {})
            for key in inner[:-1]:
                table = table.setdefault(str(key), {})
            table[str(inner[-1])] = value
    for path, values in missing.items():
        file.set_or_add(path, _inline(values))
    return file.changed()


def _inline(values: Mapping[str, Any]) -> str:
    """An inline table of values as TOML has them, tables among them."""
    inside = (f"{k} = {_inline(v) if isinstance(v, dict) else v}" for k, v in values.items())
    return f"{{ {', '.join(inside)} }}"


def with_skyline(text: str, name: str, points: Sequence[tuple[float, float]]) -> str:
    """A site file's text with another skyline of a window: azimuths and elevations in degrees.

    Raises
    ------
    RequestError
        As `with_azimuths`.
    """
    file = _File(text)
    window: Path = ("window", file.index_of("window", name))
    shown = ", ".join(f"[{_number(azimuth)}, {_number(up)}]" for azimuth, up in points)
    file.set((*window, "skyline"), f"[{shown}]", after=["height"])
    return file.changed()


def with_horizon(text: str, points: str) -> str:
    """A site file's text with another far horizon, `points` as TOML has them.

    A file of the horizon is put out of use, and stays as a comment.

    Raises
    ------
    RequestError
        As `with_azimuths`.
    """
    file = _File(text)
    after = ("timezone", "elevation", "longitude", "latitude", "name")
    file.set(("site", "horizon"), points, after=after, instead_of=["horizon_file"])
    return file.changed()


def with_windows_added(text: str, tables: Sequence[str]) -> str:
    """A site file's text with more tables at its end, each as the text of its lines."""
    line_end = "\r\n" if "\r\n" in text else "\n"
    before = text if not text or text.endswith("\n") else text + line_end
    added = "".join("\n" + table.rstrip("\n") + "\n" for table in tables)
    return before + added.replace("\n", line_end)


def _number(value: float) -> str:
    """A number as a person would write it: at most two decimals, none if none are needed."""
    return f"{round(value, 2):.2f}".rstrip("0").rstrip(".")


class _File:
    """The text of a site file, and the changes to it so far."""

    def __init__(self, text: str) -> None:
        self._source = text.encode()
        self._raw = tables_in(text)
        self._places = TomlPlaces(text)
        self._edits: list[_Edit] = []
        self._line_end = "\r\n" if "\r\n" in text else "\n"
        self._wanted: list[tuple[Path, str | None]] = []

    def index_of(self, kind: str, name: str) -> int:
        """The place of an entry in the file."""
        for index, entry in enumerate(self._raw.get(kind, ())):
            if entry.get("name") == name:
                return index
        raise RequestError(f'there is no {kind} "{name}" in the file')

    def facing_table(self, name: str) -> Path:
        """The table that says which way a window faces: its own, or that of its wall or window."""
        seen: set[str] = set()
        while name not in seen:
            seen.add(name)
            entry = self._raw["window"][self.index_of("window", name)]
            if isinstance(wall := entry.get("wall"), str):
                return "wall", self.index_of("wall", wall)
            beside = entry.get("right_of", entry.get("left_of"))
            if beside is None or any(form in entry for form in FORMS):
                break
            name = beside
        return "window", self.index_of("window", name)

    def set(
        self,
        path: Path,
        value: str,
        *,
        after: Sequence[str] = (),
        instead_of: Sequence[str] = (),
    ) -> None:
        """Gives a key a value.

        If the key is not there: in place of the first of `instead_of`, whose old line stays as a
        comment, or on a line of its own after the first of the keys `after`.
        """
        self._wanted.append((path, value))
        span = self._places.span(path)
        if span is not None:
            self._edits.append(_Edit(*span, value))
            return
        for replaced in instead_of:
            if self._has((*path[:-1], replaced)):
                self.comment_out((*path[:-1], replaced), first=f"{path[-1]} = {value}")
                return
        for near in after:
            if self._has((*path[:-1], near)):
                self._add_after((*path[:-1], near), f"{path[-1]} = {value}")
                return
        raise self._by_hand(path, value)

    def holds(self, path: Path) -> bool:
        """Whether there is anything at a path."""
        return value_at(self._raw, path) is not None

    def take_away(self, path: Path) -> None:
        """Makes the line of a key a comment, or takes it out of its inline table."""
        key, value = self._places.span(path, key=True), self._places.span(path)
        table, around = value_at(self._raw, path[:-1]), self._places.span(path[:-1])
        is_inline = around is not None and self._source[around[0] : around[0] + 1] == b"{"
        if not is_inline or key is None or value is None or around is None:
            self.comment_out(path)
            return
        if isinstance(table, dict) and len(table) == 1:
            self.comment_out(path[:-1])
            return
        start, end = key[0], value[1]
        behind = self._source[end : around[1]].lstrip()
        if behind.startswith(b","):
            end = around[1] - len(behind[1:].lstrip())
        else:
            start = self._source.rfind(b",", around[0], start)
        self._wanted.append((path, None))
        self._edits.append(_Edit(start, end, ""))

    def set_or_add(self, path: Path, value: str) -> None:
        """Gives a key a value; where it is not there, after the first key of its table."""
        table = value_at(self._raw, path[:-1])
        if not isinstance(table, dict):
            raise RequestError("there is no such entry in the file; read it again")
        values = [key for key, content in table.items() if _is_simple(content)]
        around = self._places.span(path[:-1])
        if values or around is None or self._has(path):
            self.set(path, value, after=values[:1])
            return
        self._wanted.append((path, value))
        if self._source[around[0] : around[0] + 1] == b"[":  # a header with no value below it
            end = self._source.find(b"\n", around[0]) + 1 or len(self._source)
            start = "" if self._source[end - 1 : end] == b"\n" else self._line_end
            line = f"{start}{path[-1]} = {value}{self._line_end}"
        else:  # an inline table of tables alone
            inside = self._source[around[0] : around[1] - 1].rstrip()
            end = around[0] + len(inside)
            line = f"{',' if inside != b'{' else ''} {path[-1]} = {value}"
        self._edits.append(_Edit(end, end, line))

    def comment_out(self, path: Path, first: str | None = None) -> None:
        """Makes the lines of a key a comment, after a line `first`; nothing if it is not there."""
        if not self._has(path):
            return
        start, end = self._lines_of(path)
        old = self._source[start:end].decode()
        comment = "".join(f"# {line}" for line in old.splitlines(keepends=True))
        self._wanted.append((path, None))
        self._edits.append(_Edit(start, end, (first + self._line_end if first else "") + comment))

    def changed(self) -> str:
        """The text with all changes, which is what was wanted and is still TOML."""
        result = self._source
        for edit in sorted(self._edits, key=lambda edit: (edit.start, edit.end), reverse=True):
            result = result[: edit.start] + edit.text.encode() + result[edit.end :]
        text = result.decode()
        try:
            raw = tomllib.loads(text)
        except tomllib.TOMLDecodeError:
            raise self._by_hand(*self._wanted[0]) from None
        for path, value in self._wanted:
            meant = None if value is None else tomllib.loads(f"v = {value}")["v"]
            if value_at(raw, path) != meant:
                raise self._by_hand(path, value)
        return text

    def _has(self, path: Path) -> bool:
        return self._places.span(path, key=True) is not None

    def _lines_of(self, path: Path) -> tuple[int, int]:
        """The whole lines of a key and its value, if nothing else stands on them."""
        key, value = self._places.span(path, key=True), self._places.span(path)
        if key is None or value is None:
            raise self._by_hand(path, None)
        start = self._source.rfind(b"\n", 0, key[0]) + 1
        end = self._source.find(b"\n", value[1]) + 1 or len(self._source)
        before, behind = self._source[start : key[0]], self._source[value[1] : end].strip()
        if before.strip() or (behind and not behind.startswith(b"#")):
            raise self._by_hand(path, None)
        return start, end

    def _add_after(self, path: Path, line: str) -> None:
        """A line after a key's own, or in an inline table a further member."""
        span = self._places.span(path)
        if span is None:
            raise self._by_hand(path, None)
        try:
            _, end = self._lines_of(path)
        except RequestError:
            self._edits.append(_Edit(span[1], span[1], f", {line}"))
            return
        last = self._source[end - 1 : end] == b"\n"
        start = self._source.rfind(b"\n", 0, span[0]) + 1
        indent = len(self._source[start:end]) - len(self._source[start:end].lstrip(b" \t"))
        pad = self._source[start : start + indent].decode()
        shown = f"{pad}{line}{self._line_end}" if last else f"{self._line_end}{pad}{line}"
        self._edits.append(_Edit(end, end, shown))

    def _by_hand(self, path: Path, value: str | None) -> RequestError:
        index = path[1]
        place, key = f"[{path[0]}]", str(index)
        if isinstance(index, int):
            place = f'{path[0]} "{self._raw[str(path[0])][index].get("name")}"'
            key = ".".join(str(part) for part in path[2:])
        change = f"take `{key}` away" if value is None else f"write {key} = {value}"
        return RequestError(
            f"the file cannot be changed at {place} without harm to its layout; "
            f"{change} there by hand"
        )


def _is_simple(content: object) -> bool:
    """Is it a value on lines of its own, not a table or a list of tables?"""
    if isinstance(content, list):
        return not any(isinstance(entry, dict) for entry in content)
    return not isinstance(content, dict)


def tables_in(text: str) -> dict[str, Any]:
    """The tables of a site file's text.

    Raises
    ------
    RequestError
        When it is no TOML.
    """
    try:
        return tomllib.loads(text)
    except (tomllib.TOMLDecodeError, RecursionError) as error:
        raise RequestError(f"the text is no TOML ({error}); mend that first") from None


def value_at(raw: object, path: Path) -> object:
    """The value at a path; None if there is none."""
    for part in path:
        if isinstance(raw, dict):
            raw = raw.get(part)
        elif isinstance(raw, list) and isinstance(part, int) and 0 <= part < len(raw):
            raw = raw[part]
        else:
            return None
    return raw
