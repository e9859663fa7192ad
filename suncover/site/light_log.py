"""The log of a light sensor on a window: CSV with the columns time,value, any unit.

Times are ISO 8601 with their offset from UTC, or without one by the site's clocks. The interval is
any steady one up to 15 minutes; rows may be missing.
"""

from __future__ import annotations

import math
import os
from dataclasses import dataclass
from datetime import datetime
from functools import partial
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from suncover.base.clock import FIRST_DATE, LAST_DATE, YEARS
from suncover.base.csv_text import rows_of
from suncover.base.errors import Fault, FileFaults
from suncover.base.textfile import one_fault, printable, read_text

Floats = NDArray[np.float64]

MOST_BYTES = 60_000_000  # a year of every 30 seconds, and some
MOST_FAULTS = 20
MOST_VALUE = 1e12  # no sensor reads as much, in any unit
LONGEST_S = 900.0  # between readings
STEADY = 0.9  # share of the steps that must be the usual one, or lie within a tenth of it
_EXAMPLE = "2027-06-01 09:15 or 2027-06-01T09:15:00+02:00"
_HEADER = "the first line should be time,value, with commas or semicolons between cells"


@dataclass(frozen=True)
class LightLog:
    """Readings `values` (n,) at `times` (n,): unix seconds by the logger's clock, ascending.

    `interval` is the usual step in seconds.
    """

    times: Floats
    values: Floats
    interval: float


def read_light(path: str | os.PathLike[str], zone: ZoneInfo) -> LightLog:
    """The log in a CSV file; `zone` is that of the site's clocks.

    Raises
    ------
    FileFaults
        When the file cannot be read, a line of it is wrong, or its interval is not steady or longer
        than 15 minutes.
    """
    return light_from_text(read_text(path, MOST_BYTES), zone, path)


def light_from_text(text: str, zone: ZoneInfo, file: str | os.PathLike[str] = "log") -> LightLog:
    """The log in the text of a CSV file; `file` is its name in messages.

    Raises
    ------
    FileFaults
        As `read_light`.
    """
    times, values = columns_from_text(text, zone, file)
    if len(times) < 2:
        number = "is one reading" if len(times) else "are no readings"
        raise one_fault(file, f"there {number}; at least two are needed")
    order = np.argsort(times, kind="stable")
    times, values = times[order], values[order]
    fresh = np.append(True, np.diff(times) > 0.0)
    times, values = times[fresh], values[fresh]
    if len(times) < 2:
        raise one_fault(file, "all readings are of one time; at least two are needed")
    steps = np.diff(times)
    interval = float(np.median(steps))
    if interval > LONGEST_S:
        raise one_fault(
            file,
            f"the readings are {interval / 60:.0f} minutes apart; 15 minutes are the most that "
            "still tell when the sun came",
        )
    steady = np.abs(steps - interval) <= 0.1 * interval
    # A gap is a step that is missing, not another interval.
    even = np.mean(steady | (steps > 1.9 * interval))
    if even < STEADY:
        raise one_fault(
            file,
            f"the interval between the readings is not steady: {even:.0%} of them are "
            f"{interval / 60:.3g} min apart; all should be, but for gaps",
        )
    return LightLog(times, values, interval)


def columns_from_text(
    text: str, zone: ZoneInfo, file: str | os.PathLike[str]
) -> tuple[Floats, Floats]:
    """Times (unix seconds) and values of a CSV's columns time,value, in the file's order.

    Cells without a value are left out.

    Raises
    ------
    FileFaults
        When the columns are missing or a line is wrong.
    """
    faults: list[Fault] = []
    name = printable(os.fspath(file))

    def wrong(line: int, place: str, message: str) -> None:
        faults.append(Fault(name, printable(message), place, line))

    rows = rows_of(text)
    line, header = next(rows, (1, []))
    columns = [cell.strip().casefold() for cell in header]
    missing = [f"`{needed}`" for needed in ("time", "value") if needed not in columns]
    if not header:
        wrong(line, "", f"the file is empty; {_HEADER}")
    elif missing:
        what = "columns {} and {} are" if len(missing) > 1 else "column {} is"
        wrong(line, "", f"the {what.format(*missing)} missing; {_HEADER}")
    times: list[float] = []
    values: list[float] = []
    if not faults:
        time_column, value_column = columns.index("time"), columns.index("value")
        last = -math.inf
        for line, cells in rows:
            if len(cells) <= max(time_column, value_column):
                wrong(line, "", "this line has too few cells; it needs time and value")
                continue
            # A decimal comma would leave its whole part alone as the value.
            if any(cell.strip() for cell in cells[len(columns) :]):
                wrong(
                    line,
                    "",
                    f"this line has {len(cells)} cells and the first line {len(columns)}; numbers "
                    "with decimal commas need semicolons between cells",
                )
                continue
            value = _value(cells[value_column], partial(wrong, line))
            time = _time(cells[time_column], zone, last, partial(wrong, line))
            if time is not None:
                last = time
                if value is not None:
                    times.append(time)
                    values.append(value)
    if len(faults) > MOST_FAULTS:
        faults[MOST_FAULTS:] = [Fault(name, f"… and {len(faults) - MOST_FAULTS} more")]
    if faults:
        raise FileFaults(faults)
    return np.array(times), np.array(values)


def _value(cell: str, wrong: partial[None]) -> float | None:
    """A reading; None where there is none, as loggers leave cells empty or write nan."""
    text = cell.strip().replace(",", ".")
    if not text or text.casefold() in ("nan", "na", "null", "-"):
        return None
    try:
        value = float(text)
    except ValueError:
        wrong("value", f'"{cell.strip()[:40]}" is not a number')
        return None
    if MOST_VALUE < abs(value) < math.inf:
        wrong("value", f"{value:g} is more than any sensor reads")
    return value if math.isfinite(value) else None


def _time(cell: str, zone: ZoneInfo, last: float, wrong: partial[None]) -> float | None:
    """An instant; without an offset by the site's clocks, the second time of an hour that comes
    twice where the first would run backwards.
    """
    text = cell.strip()
    try:
        read = datetime.fromisoformat(text)
        if len(text) < len("2027-06-01T09"):
            raise ValueError
    except ValueError:
        wrong("time", f'"{text[:40]}" is not a date and time such as {_EXAMPLE}')
        return None
    if not FIRST_DATE <= read.date() <= LAST_DATE:
        wrong("time", f"the year {read.year} is outside {YEARS}")
        return None
    if read.tzinfo is not None:
        return read.timestamp()
    first = read.replace(tzinfo=zone).timestamp()
    second = read.replace(tzinfo=zone, fold=1).timestamp()
    # Only an hour that comes twice: in one that does not exist, the fold has the earlier instant.
    backwards = second > first <= last
    return second if backwards and last - first <= 7200.0 else first
