"""Weather as CSV with named columns: time,ghi,dni,dhi and, where it is known, temp_air.

`time` is ISO 8601 with its UTC offset (a time without one would be anybody's guess), the light in
W/m² and the temperature in °C. Columns may stand in any order and others may stand between them. An
empty cell, or a number below -20, is a missing value.
"""

from __future__ import annotations

import csv
import io
import os
from collections.abc import Iterator
from datetime import datetime
from typing import Literal

import numpy as np

from suncover.base.clock import FIRST_DATE, LAST_DATE, YEARS
from suncover.base.errors import Fault, FileFaults
from suncover.base.textfile import one_fault, printable
from suncover.sun.weather.year import WeatherRows, WeatherTrouble, is_typical

NEEDED = ("time", "ghi", "dni", "dhi")
TEMPERATURE = "temp_air"
# No sunlight on Earth is stronger: beyond it the unit is another (Wh/m² a day, kJ/m²).
STRONGEST, FAINTEST = 2000.0, -20.0
COLDEST, HOTTEST = -70.0, 60.0  # °C; beyond, the unit is another


def is_weather_csv(text: str) -> bool:
    """Whether the first line names one of the columns at least."""
    names = _names(text.split("\n", 1)[0])
    return any(name in NEEDED for name in names)


def _names(line: str) -> list[str]:
    return [name.strip().strip('"').lower() for name in line.split(",")]


def read_weather_csv(
    text: str, file: str | os.PathLike[str], stamp: Literal["start", "middle", "end"]
) -> WeatherRows:
    """The rows of a CSV; `file` is its name in messages.

    Raises
    ------
    FileFaults
        With every fault, each with its line.
    """
    reader = csv.reader(io.StringIO(text))
    header = [name.strip().lower() for name in next(reader)]
    if missing := [name for name in NEEDED if name not in header]:
        raise one_fault(
            file,
            f"the column {' and '.join(missing)} is missing; the first line should name time, "
            "ghi, dni and dhi",
            1,
        )
    rows = _Rows(file, header)
    for cells in reader:
        if cells and any(cell.strip() for cell in cells):
            rows.add(cells, reader.line_num)
    rows.stop_if_wrong()
    return rows.as_weather(stamp)


class _Rows:
    """The rows read so far, and what is wrong with them."""

    def __init__(self, file: str | os.PathLike[str], header: list[str]) -> None:
        self._file = printable(os.fspath(file))
        self._columns = [header.index(name) for name in NEEDED]
        self._warmth = header.index(TEMPERATURE) if TEMPERATURE in header else None
        self._faults: list[Fault] = []
        self._seconds: list[int] = []
        self._offsets: list[int] = []
        self._light: list[tuple[float, ...]] = []
        self._temperatures: list[float] = []
        self._lines: list[int] = []

    def add(self, cells: list[str], line: int) -> None:
        """One row of the file; what is wrong in it is kept for `stop_if_wrong`."""
        count = max(*self._columns, self._warmth or 0) + 1
        if len(cells) < count:
            self._fault(line, f"this row has {len(cells)} cells; the first line has more names")
            return
        instant = self._time(cells[self._columns[0]], line)
        light = tuple(
            self._number(cells[place], line, name, (FAINTEST, STRONGEST, "W/m²"))
            for place, name in zip(self._columns[1:], NEEDED[1:], strict=True)
        )
        warmth = np.nan
        if self._warmth is not None:
            limits = (COLDEST, HOTTEST, "°C")
            warmth = self._number(cells[self._warmth], line, TEMPERATURE, limits)
        if instant is None:
            return
        self._seconds.append(instant[0])
        self._offsets.append(instant[1])
        self._light.append(light)
        self._temperatures.append(warmth)
        self._lines.append(line)

    def _time(self, cell: str, line: int) -> tuple[int, int] | None:
        """Unix seconds and offset of a stamp."""
        text = cell.strip()
        try:
            stamp = datetime.fromisoformat(text)
        except ValueError:
            self._fault(
                line, f'time: "{text[:40]}" is not a time such as 2023-06-01T13:00:00-07:00'
            )
            return None
        if not FIRST_DATE.year <= stamp.year <= LAST_DATE.year:
            self._fault(line, f"time: the year {stamp.year} is outside {YEARS}")
            return None
        offset = stamp.utcoffset()
        if offset is None:
            self._fault(
                line,
                f'time: "{text[:40]}" has no UTC offset; write one at its end, such as -07:00 or Z',
            )
            return None
        return round(stamp.timestamp()), round(offset.total_seconds())

    def _number(self, cell: str, line: int, name: str, limits: tuple[float, float, str]) -> float:
        low, high, unit = limits
        text = cell.strip()
        if not text or text.lower() in ("nan", "na", "null"):
            return float("nan")
        try:
            value = float(text)
        except ValueError:
            self._fault(line, f'{name}: "{text[:40]}" is not a number')
            return float("nan")
        if value > high:
            self._fault(line, f"{name}: {value:g} is above {high:g} {unit}; check the unit")
        return value if value >= low else float("nan")

    def _fault(self, line: int, message: str) -> None:
        self._faults.append(Fault(self._file, printable(message), "", line))

    def stop_if_wrong(self) -> None:
        """Raise what was found wrong."""
        if self._faults:
            raise FileFaults(self._faults)

    def as_weather(self, stamp: Literal["start", "middle", "end"]) -> WeatherRows:
        """The rows with the middles of their intervals, as the stamp means them."""
        seconds = np.array(self._seconds, dtype=np.int64)
        if len(seconds) < 2:
            raise WeatherTrouble("there are no rows of weather in it; a year is needed")
        gaps, counts = np.unique(np.diff(seconds), return_counts=True)
        half = int(gaps[np.argmax(counts)]) // 2
        to_middle = {"start": half, "middle": 0, "end": -half}[stamp]
        light = np.array(self._light, dtype=np.float64)
        light = np.where(light < 0.0, 0.0, light)
        rows = WeatherRows(
            seconds + to_middle,
            np.array(self._offsets, dtype=np.int64),
            light[:, 0],
            light[:, 1],
            light[:, 2],
            np.array(self._temperatures) if self._warmth is not None else None,
            os.path.basename(self._file),  # noqa: PTH119  (a name for people, not a path)
        )
        self._check_order(rows)
        return rows

    def _check_order(self, rows: WeatherRows) -> None:
        """Times that repeat or run backwards, by line; a typical year's jumps are none."""
        if is_typical(rows):
            return
        for at in self._out_of_order():
            repeats = self._seconds[at] == self._seconds[at - 1]
            order = "is the same as in" if repeats else "is earlier than in"
            self._fault(self._lines[at], f"time: it {order} the row before")
        self.stop_if_wrong()

    def _out_of_order(self) -> Iterator[int]:
        for at in range(1, len(self._seconds)):
            if self._seconds[at] <= self._seconds[at - 1]:
                yield at
