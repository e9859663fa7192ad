"""Reading a plan from its CSV: ours, or one that a person has changed in a spreadsheet; or from a
DataFrame with the same columns.

Needed are the columns `shade`, `close` and `open`; `date`, `minutes`, `sun_minutes`, `reason`,
`position`, `run_seconds` and `peak` are read where they are there, and any others are passed over.
What counts is `close` and `open`, without an offset by the site's clocks: `date`, `minutes` and
`peak` follow from them and may be out of date.
"""

from __future__ import annotations

import math
import os
from collections.abc import Iterable, Iterator, Mapping
from datetime import date, datetime, time
from itertools import pairwise
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from suncover.base import clock
from suncover.base.csv_text import rows_of, text_cell, text_of_cell
from suncover.base.errors import Fault, FileFaults, RequestError
from suncover.base.textfile import printable, read_text
from suncover.export.files.plan_csv import PLAN_COLUMNS
from suncover.plan.closings.shade_plan import Closing, in_time_order
from suncover.site.finding import meant

if TYPE_CHECKING:
    import pandas as pd

MOST_BYTES = 50_000_000
LONGEST_GAP_S = 5 * 366 * 86_400  # without a row: no plan has that
NEEDED = ("shade", "close", "open")
COLUMNS = (*PLAN_COLUMNS, "position", "run_seconds", "peak")
_EXAMPLE = date(2027, 6, 1), time(13, 30)


def read_plan(
    path: str | os.PathLike[str] | pd.DataFrame, shades: Iterable[str], zone: ZoneInfo
) -> tuple[Closing, ...]:
    """The closings in a plan's CSV file, in order of time.

    In place of the file's path it takes a DataFrame as `suncover.frame` makes it, in which faults
    name rows, counted from 1.

    `shades` are the names that they may be of, `zone` the site's time zone, by which closings are
    dated.

    Raises
    ------
    FileFaults
        When the file cannot be read or any line of it is wrong; it names every fault.
    """
    if not isinstance(path, (str, os.PathLike)):
        reader = _Reader("plan frame", dict.fromkeys(shades), zone, by_hand=False)
        return _plan_of(_rows_of_frame(path), reader)
    return plan_from_text(read_text(path, MOST_BYTES), shades, zone, path)


def plan_from_text(
    text: str, shades: Iterable[str], zone: ZoneInfo, file: str | os.PathLike[str] = "plan"
) -> tuple[Closing, ...]:
    """The closings in the text of a plan's CSV file; `file` is its name in messages.

    Raises
    ------
    FileFaults
        As `read_plan`.
    """
    reader = _Reader(printable(os.fspath(file)), dict.fromkeys(shades), zone)
    return _plan_of(rows_of(text), reader)


def _plan_of(rows: Iterator[tuple[int, list[str]]], reader: _Reader) -> tuple[Closing, ...]:
    """The closings of the first line and the rows below it."""
    line, header = next(rows, (1, []))
    columns = [cell.strip().casefold() for cell in header]
    reader.check_header(columns, line)
    closings: list[Closing] = []
    lines: list[int] = []
    if not reader.faults:
        for line, cells in rows:
            closing = reader.closing(columns, cells, line)
            if closing is not None:
                closings.append(closing)
                lines.append(line)
    reader.stop_if_wrong()
    reader.check_years(closings, lines)
    reader.stop_if_wrong()
    return tuple(in_time_order(closings))


def _rows_of_frame(frame: pd.DataFrame) -> Iterator[tuple[int, list[str]]]:
    """The columns of a DataFrame, and then its rows, numbered from 1, as cells of a CSV file.

    Raises
    ------
    RequestError
        When it is no DataFrame.
    """
    if not hasattr(frame, "columns") or not hasattr(frame, "itertuples"):
        kind = type(frame).__name__
        raise RequestError(f"{kind} is no plan; give the path of a CSV file, or a DataFrame")
    yield 0, [str(name) for name in frame.columns]
    for number, row in enumerate(frame.itertuples(index=False, name=None), 1):
        yield number, [_cell(value) for value in row]


def _cell(value: object) -> str:
    """A value of a frame as a plan's CSV has it; nothing where it is missing."""
    if value is None or value != value:  # noqa: PLR0124 - nan, NaT
        return ""
    if isinstance(value, str):
        return text_cell(value)
    if isinstance(value, date):  # and times
        return value.isoformat()
    if isinstance(value, float) and value.is_integer():
        return str(int(value))
    return str(value)


class _Reader:
    """What a row may name, and what has been found wrong so far."""

    def __init__(
        self, file: str, shades: Mapping[str, None], zone: ZoneInfo, *, by_hand: bool = True
    ) -> None:
        """`by_hand`: a time without offset may have been typed, and is by the site's clocks."""
        self.faults: list[Fault] = []
        self._by_hand = by_hand
        self._file = file
        self._shades = shades
        self._zone = zone

    def wrong(self, line: int, column: str, message: str) -> None:
        self.faults.append(Fault(self._file, printable(message), column, line or None))

    def stop_if_wrong(self) -> None:
        if self.faults:
            raise FileFaults(self.faults)

    def check_header(self, columns: list[str], line: int) -> None:
        missing = [name for name in NEEDED if name not in columns]
        for name in missing:
            near = meant(name, [column for column in columns if column not in COLUMNS])
            hint = f"is `{near}` meant for it?" if near else f"a plan has {','.join(PLAN_COLUMNS)}"
            self.wrong(line, "", f"the column `{name}` is missing from the first line; {hint}")
        for name in dict.fromkeys(columns):
            if name in COLUMNS and columns.count(name) > 1:
                self.wrong(line, "", f"the column `{name}` stands twice; keep one of them")

    def check_years(self, closings: list[Closing], lines: list[int]) -> None:
        """Rows that lie apart from most others by years: the days between would all be replayed."""
        order = sorted(range(len(closings)), key=lambda number: closings[number].close)
        gaps = [
            at
            for at, (before, after) in enumerate(pairwise(order), 1)
            if closings[after].close - closings[before].open > LONGEST_GAP_S
        ]
        runs = [order[first:end] for first, end in pairwise([0, *gaps, len(order)])]
        largest = max(runs, key=len, default=[])
        for number in sorted(number for run in runs if run is not largest for number in run):
            year, usual = closings[number].date.year, closings[largest[0]].date.year
            self.wrong(
                lines[number],
                "close",
                f"the year {year} lies far from the plan's other rows, of {usual}; check the year",
            )

    def closing(self, columns: list[str], cells: list[str], line: int) -> Closing | None:
        """One row, or None when anything in it is wrong."""
        before = len(self.faults)
        if len(cells) < len(columns) or any(cell.strip() for cell in cells[len(columns) :]):
            self.wrong(
                line, "", f"this row has {len(cells)} cells; the first line has {len(columns)}"
            )
            return None
        row = {name: cell for name, cell in zip(columns, cells, strict=False) if name in COLUMNS}
        shade = self._shade(row["shade"], line)
        close = self._time(row["close"], line, "close")
        opens = self._time(row["open"], line, "open")
        if close is not None and opens is not None and opens <= close:
            self.wrong(line, "open", "it opens before it closes; `open` must be after `close`")
        if close is not None and opens is not None and opens - close > LONGEST_GAP_S:
            self.wrong(line, "open", "it opens years after it closes; check the year")
        self._check_date(row.get("date", ""), line)
        self._number(row.get("minutes", ""), line, "minutes")
        sun = self._number(row.get("sun_minutes", ""), line, "sun_minutes") or 0.0
        self._number(row.get("peak", ""), line, "peak")
        run = self._number(row.get("run_seconds", ""), line, "run_seconds")
        position = self._position(row.get("position", ""), line)
        if len(self.faults) > before or close is None or opens is None:
            return None
        return Closing(
            shade,
            clock.local_date(close, self._zone),
            close,
            opens,
            round(60 * sun),
            text_of_cell(row.get("reason", "")),
            position,
            run,
        )

    def _shade(self, cell: str, line: int) -> str:
        for name in (text_of_cell(cell), text_of_cell(cell.strip())):
            if name in self._shades:
                return name
        name = text_of_cell(cell.strip())
        near = meant(name, list(self._shades))
        hint = f'did you mean "{near}"?' if near else "write it as the site file does"
        self.wrong(line, "shade", f'the site has no shade "{name[:60]}"; {hint}')
        return name

    def _time(self, cell: str, line: int, column: str) -> int | None:
        text = cell.strip()
        try:
            stamp = datetime.fromisoformat(text) if len(text) > 10 else None
        except ValueError:
            stamp = None
        if stamp is None:
            example = clock.iso_local(clock.instant_of(*_EXAMPLE, self._zone), self._zone)
            self.wrong(line, column, f'"{text[:40]}" is not a time such as {example}')
            return None
        if not clock.FIRST_DATE.year <= stamp.year <= clock.LAST_DATE.year:
            years = f"{clock.FIRST_DATE.year} to {clock.LAST_DATE.year}"
            self.wrong(line, column, f'"{text[:40]}" is too far off; give a year from {years}')
            return None
        if stamp.utcoffset() is None and self._by_hand:  # off a clock at home
            return clock.instant_of(stamp.date(), stamp.time(), self._zone)
        if stamp.utcoffset() is None:
            offset = clock.offset_text(stamp.date(), stamp.time(), self._zone)
            self.wrong(
                line,
                column,
                f'"{text[:40]}" has no UTC offset; make the column aware: the site\'s clocks '
                f"are at {offset} then",
            )
            return None
        return math.floor(stamp.timestamp() + 0.5)

    def _check_date(self, cell: str, line: int) -> None:
        text = cell.strip()
        try:
            if text:
                date.fromisoformat(text)
        except ValueError:
            self.wrong(line, "date", f'"{text[:40]}" is not a date of the form YYYY-MM-DD')

    def _number(self, cell: str, line: int, column: str) -> float | None:
        text = cell.strip()
        if not text:
            return None
        try:
            value = float(text.replace(",", "."))
        except ValueError:
            value = math.nan
        if not 0 <= value < math.inf:
            self.wrong(line, column, f'"{text[:40]}" is not a number from 0 up')
            return None
        return value

    def _position(self, cell: str, line: int) -> int:
        text = cell.strip()
        if not text:
            return 100
        value = int(text) if text.isascii() and text.isdigit() and len(text) <= 3 else 0
        if not 1 <= value <= 100:
            self.wrong(line, "position", f'"{text[:40]}" is not a whole number from 1 to 100')
        return value
