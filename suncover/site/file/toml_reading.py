"""A site file's text with slips in it, read as far as can be, so that all mistakes come at once.

Each slip of the pen that TOML does not take becomes a fault. Then the line is mended as it was
surely meant, or its value is replaced by one that no key takes, and reading goes on after it:

    height = 1,4      reported; read as 1.4
    height = about    reported; read as text, and what that breaks on this line is not reported
    [[window]         reported; read as [[window]]
    [[win dow]]       reported; passed over up to the next table
"""

from __future__ import annotations

import os
import re
import tomllib
from collections.abc import Iterator
from typing import Any, NamedTuple

from suncover.base.errors import Fault, FileFaults
from suncover.site.file.toml_text import parse_toml

MOST_SLIPS = 20
"""So many slips are told; a file with more of them is hardly TOML."""

MOST_READ = 3_000_000
"""Characters read again in all for one file, so that a huge one takes no longer."""

_LONGEST_LINE = 300  # longer ones are not mended
# A text with none of these tables is no site file.
_SITE_FILE = r"^[ \t]*\[{1,2}[ \t]*(?:site|window|shade|need)\b"
_STAND_IN = "0001-01-01T00:00:00"  # a value of TOML that no key takes
_KEY = r"""^\s*((?:[\w.-]+|"[^"]*"|'[^']*')\s*)="""
_HEADER = r"^\s*\[\[?\s*[A-Za-z_]"  # and not a list within a list
_DOUBLE, _SINGLE = "[“”„‟«»]", "[‘’‚‛]"


class TomlReading(NamedTuple):
    """What has been read of a text, and what was wrong in it.

    `text` is what was read, line by line the same as the file's but for the mended ones, whose
    numbers are in `lines`. With `gaps` a key may be missing that the file has; with `holes`, whole
    tables.
    """

    raw: dict[str, Any]
    text: str
    faults: tuple[Fault, ...] = ()
    lines: frozenset[int] = frozenset()
    gaps: bool = False
    holes: bool = False


class _Mending(NamedTuple):
    """Lines `first` to `last` (from 0) that others stand in for."""

    first: int
    last: int
    lines: tuple[str, ...]
    gap: bool = False
    hole: bool = False

    def mended(self, lines: list[str]) -> list[str]:
        count = self.last - self.first + 1
        put = [*self.lines, *([""] * (count - len(self.lines)))]
        return [*lines[: self.first], *put, *lines[self.last + 1 :]]


def read_toml(text: str, file: str | os.PathLike[str]) -> TomlReading:
    """The tables of a text, with every slip in it as a fault.

    Raises
    ------
    FileFaults
        When hardly anything of it can be read: the first fault, where reading stopped.
    """
    try:
        return TomlReading(parse_toml(text, file), text)
    except FileFaults as wrong:
        first = wrong
    if not re.search(_SITE_FILE, text, re.MULTILINE):
        raise first
    return _read_on(text, file, first)


def _read_on(text: str, file: str | os.PathLike[str], first: FileFaults) -> TomlReading:
    faults: list[Fault] = []
    slips: set[int] = set()
    gaps = holes = False
    lines, budget = text.split("\n"), MOST_READ
    wrong: FileFaults | None = first
    raw: dict[str, Any] = {}
    while wrong is not None:
        [fault] = wrong.faults
        faults.append(fault)
        if fault.line is None or len(faults) >= MOST_SLIPS:
            return TomlReading({} if fault.line is None else raw, "", tuple(faults), holes=True)
        for mending in _mendings(lines, fault.line - 1, fault.message):
            budget -= len(text)
            if budget < 0:
                return TomlReading({}, "", tuple(faults), holes=True)
            tried = mending.mended(lines)
            try:
                raw, wrong = parse_toml("\n".join(tried), file), None
            except FileFaults as other:
                # What is wrong must come later now.
                if (other.faults[0].line or 0) <= fault.line:
                    continue
                wrong = other
            lines = tried
            slips |= set(range(mending.first + 1, mending.last + 2))
            gaps, holes = gaps or mending.gap, holes or mending.hole
            break
        else:
            return TomlReading({}, "", tuple(faults), holes=True)
    return TomlReading(raw, "\n".join(lines), tuple(faults), frozenset(slips), gaps, holes)


def _mendings(lines: list[str], at: int, message: str) -> Iterator[_Mending]:
    """Ways to go on after what is wrong in line `at` (from 0), the likeliest first."""
    line = lines[at]
    for mended in _mended_lines(line) if len(line) <= _LONGEST_LINE else ():
        if mended != line and _is_toml(mended):
            yield _Mending(at, at, (mended,))
    if "not closed" in message and at > 0:  # which is noticed only at the next line
        yield from _closed_before(lines, at)
    start = None if re.match(_HEADER, line) else _statement(lines, at)
    if start is not None:
        yield _Mending(start, at, (_with_stand_in(lines[start]),))
    if re.match(_HEADER, line):
        end = next(
            (n for n in range(at + 1, len(lines)) if re.match(_HEADER, lines[n])), len(lines)
        )
        yield _Mending(at, end - 1, (), hole=True)
    yield _Mending(at, at, (), gap="given twice" not in message)


def _closed_before(lines: list[str], at: int) -> Iterator[_Mending]:
    """A list that should have ended before line `at`: closed there, or replaced."""
    last = next((number for number in range(at - 1, -1, -1) if lines[number].strip()), 0)
    for brackets in ("]", "]]"):
        yield _Mending(last, last, (lines[last].rstrip() + brackets,))
    if (start := _statement(lines, last)) is not None:
        yield _Mending(start, last, (_with_stand_in(lines[start]),))


def _with_stand_in(line: str) -> str:
    """The line of a key with a value that no key takes."""
    key = re.match(_KEY, line)
    return f"{key[0] if key else line} {_STAND_IN}"


def _statement(lines: list[str], at: int) -> int | None:
    """The line on which the value begins that goes on, or should have ended, at a line."""
    for number in range(at, -1, -1):
        if re.match(_KEY, lines[number]):
            return number
        if number < at and re.match(_HEADER, lines[number]):
            return None
    return None


def _mended_lines(line: str) -> Iterator[str]:
    """A line as it was probably meant."""
    straight = re.sub(_SINGLE, "'", re.sub(_DOUBLE, '"', line))
    yield straight
    yield re.sub("[−–—]", "-", line)
    yield re.sub(r"=(\s*[+-]?\d+),(\d+)\s*(#.*)?$", r"=\1.\2", line)
    yield f'{straight.rstrip()}"'
    if header := re.fullmatch(r"\s*(\[+)\s*([\w.\"' -]*?)\s*\]*\s*(#.*)?", line):
        opened = header[1][:2]
        yield f"{opened}{header[2]}{']' * len(opened)}"
    if split := re.fullmatch(r"(\s*[\w.-]+)\s*[:\s]\s*([^=]+)", line):
        yield f"{split[1]} = {split[2]}"
    if pair := re.fullmatch(r"(\s*[\w.-]+\s*=)\s*[\"']?([^\"'#]+?)[\"']?\s*(#.*)?", straight):
        yield f'{pair[1]} "{pair[2]}"'
    yield line.replace("\\", "\\\\")


def _is_toml(line: str) -> bool:
    try:
        tomllib.loads(line)
    except (ValueError, RecursionError):
        return False
    return True
