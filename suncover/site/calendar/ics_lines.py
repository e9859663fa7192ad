"""The lines of an iCalendar file (RFC 5545, 3.1), put into events, each with its number.

Lines that were folded are whole again. Only what stands in an event itself is kept: alarms in it,
tasks and notes are passed over. Time zones are kept for the place that they name.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import NamedTuple

Wrong = tuple[int | None, str]
"""A line's number, and what is wrong with it."""

_LINE_END = re.compile(r"\r\n|\n|\r")  # not the other ends that `splitlines` knows


class Line(NamedTuple):
    """One property: its name (upper case), its parameters as they stand there, and its value."""

    number: int
    name: str
    head: str
    value: str

    def parameter(self, name: str) -> str:
        """The value of a parameter, without its quotes; empty if it is not there."""
        for part in _split_unquoted(self.head, ";"):
            key, _, value = part.partition("=")
            if key.strip().upper() == name:
                return value.strip().strip('"')
        return ""


@dataclass
class Block:
    """A component of the file: the line on which it begins, and its own properties."""

    number: int
    name: str
    lines: list[Line] = field(default_factory=list)

    def first(self, name: str) -> Line | None:
        """The first property of a name."""
        return next((line for line in self.lines if line.name == name), None)

    def all(self, name: str) -> list[Line]:
        """All properties of a name."""
        return [line for line in self.lines if line.name == name]


def blocks_of(text: str) -> tuple[list[Block], list[Wrong]]:
    """The events and time zones of a file, and what is wrong with the way it is built."""
    blocks: list[Block] = []
    wrong: list[Wrong] = []
    stack: list[Block] = []
    calendars = 0
    for line in _lines(text):
        if line.name == "BEGIN":
            stack.append(Block(line.number, line.value.strip().upper()))
            calendars += stack[-1].name == "VCALENDAR"
        elif line.name == "END":
            name = line.value.strip().upper()
            if not stack or stack[-1].name != name:
                begun = f"{stack[-1].name} of line {stack[-1].number} is open" if stack else ""
                hint = begun or "nothing has begun that could end here"
                return [], [(line.number, f"END:{name[:40]} does not fit: {hint}; export it anew")]
            block = stack.pop()
            if block.name in ("VEVENT", "VTIMEZONE"):
                blocks.append(block)
        elif stack:
            stack[-1].lines.append(line)
    if not calendars:
        wrong.append(
            (None, "this is no iCalendar file (no line says BEGIN:VCALENDAR); export it as .ics")
        )
    elif stack:
        wrong.append(
            (
                stack[-1].number,
                f"{stack[-1].name} begins here and never ends: the file is cut off; export it anew",
            )
        )
    return blocks, wrong


def _lines(text: str) -> Iterator[Line]:
    number, parts = 0, [""]
    for at, raw in enumerate(_LINE_END.split(text), 1):
        if raw[:1] in (" ", "\t") and number:
            parts.append(raw[1:])
            continue
        if number:
            yield _line(number, "".join(parts))
        number, parts = at, [raw]
    yield _line(number, "".join(parts))


def _line(number: int, text: str) -> Line:
    """A line without a colon has no value."""
    colon = text.find(":")
    if '"' in text[:colon]:
        head = next(_split_unquoted(text, ":"))
        colon = len(head)
    head, value = (text[:colon], text[colon + 1 :]) if colon >= 0 else (text, "")
    name, _, parameters = head.partition(";")
    return Line(number, name.strip().upper(), parameters, value)


def _split_unquoted(text: str, mark: str) -> Iterator[str]:
    """The parts of a text between marks that stand in no quotes."""
    part: list[str] = []
    for number, piece in enumerate(text.split('"')):
        if number % 2:
            part.append(f'"{piece}"')
            continue
        first, *later_parts = piece.split(mark)
        part.append(first)
        for later_part in later_parts:
            yield "".join(part)
            part = [later_part]
    yield "".join(part)


def plain(value: str) -> str:
    """A text value without its backslashes (3.3.11), on one line."""
    text = re.sub(r"\\([nN\\,;:])", lambda escape: _ESCAPES.get(escape[1], escape[1]), value)
    return " ".join(text.split())


def plain_list(value: str) -> list[str]:
    """The members of a list of texts, parted by commas that no backslash stands before."""
    return [plain(part) for part in re.split(r"(?<!\\),", value)]


_ESCAPES = {"n": " ", "N": " "}
