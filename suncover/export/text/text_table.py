"""Plain tables of text for a screen or a pipe: columns in step, nothing wider than 80 characters.

Names are a user's own: what could steer a terminal is written as an escape, and wide characters
(Chinese, Japanese, most emoji) count two columns.
"""

from __future__ import annotations

import textwrap
import unicodedata
from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import NamedTuple

from suncover.base.textfile import printable

WIDTH = 80
SPACE = 2  # between columns

Style = Callable[[str], str]
"""Makes a text stand out; `str` leaves it plain."""


class Column(NamedTuple):
    """A column's heading, and how its cells are set.

    A `wrap` column, the last one only, takes what width is left and breaks into lines; other cells
    that are wider than `most` are cut.
    """

    title: str
    right: bool = False
    most: int = 40
    wrap: bool = False


def width_of(text: str) -> int:
    """How many columns a terminal gives to a printable text."""
    wide = sum(unicodedata.east_asian_width(character) in "WF" for character in text)
    marks = sum(unicodedata.combining(character) > 0 for character in text)
    return len(text) + wide - marks


def fit(text: str, width: int, *, right: bool = False) -> str:
    """The text in exactly `width` columns: filled up with blanks, or cut with a `…`."""
    shown = cut(text, width)
    blanks = " " * (width - width_of(shown))
    return blanks + shown if right else shown + blanks


def cut(text: str, width: int) -> str:
    """The text made printable, in at most `width` columns."""
    shown = printable(text)
    if width_of(shown) <= width:
        return shown
    while shown and width_of(shown) > width - 1:
        shown = shown[:-1]
    return f"{shown}…"


def wrapped(text: str, *, first: str = "", indent: str | None = None) -> list[str]:
    """The text made printable and broken into lines of at most 80 columns.

    The first line begins with `first`, the others with `indent` (blanks of the same width if left
    out).
    """
    later = " " * width_of(first) if indent is None else indent
    return _broken(printable(text), WIDTH, first, later)


def _broken(text: str, width: int, first: str, later: str) -> list[str]:
    # textwrap counts characters: room for the wide ones is kept by counting each of them twice.
    doubled = "".join(
        "\0" + character if unicodedata.east_asian_width(character) in "WF" else character
        for character in text
    )
    lines: list[str] = []
    # A word that is cut may leave the mark of a wide character on the line before it.
    for room in (width, width - 1):
        broken = textwrap.wrap(
            doubled, room, initial_indent=first, subsequent_indent=later, break_on_hyphens=False
        )
        lines = [line.replace("\0", "") for line in broken]
        if all(width_of(line) <= width for line in lines):
            break
    return lines or [first.rstrip()]


def table(
    columns: Sequence[Column],
    rows: Iterable[Sequence[str]],
    *,
    indent: str = "  ",
    strong: Style = str,
) -> Iterator[str]:
    """The lines of a table; the headings are made to stand out by `strong`."""
    cells = [[printable(cell) for cell in row] for row in rows]
    widths = [
        min(
            max([width_of(column.title), *(width_of(row[number]) for row in cells)]),
            max(column.most, width_of(column.title)),
        )
        for number, column in enumerate(columns)
    ]
    if columns[-1].wrap:
        width_taken = len(indent) + sum(widths[:-1]) + SPACE * (len(columns) - 1)
        widths[-1] = max(WIDTH - width_taken, 20)
    yield strong(_line(columns, [column.title for column in columns], widths, indent))
    for row in cells:
        if columns[-1].wrap:
            *cells_before, text = row
            first, *lines_after = _broken(text, widths[-1], "", "")
            yield _line(columns, [*cells_before, first], widths, indent)
            hang = " " * (WIDTH - widths[-1])
            yield from (f"{hang}{line}" for line in lines_after)
        else:
            yield _line(columns, row, widths, indent)


def _line(
    columns: Sequence[Column], cells: Sequence[str], widths: Sequence[int], indent: str
) -> str:
    parts = (
        fit(cell, width, right=column.right)
        for column, cell, width in zip(columns, cells, widths, strict=True)
    )
    return (indent + (" " * SPACE).join(parts)).rstrip()


def joined(lines: Iterable[str]) -> str:
    """Lines as one text that ends in a line feed."""
    return "".join(f"{line}\n" for line in lines)
