"""A year of weather as the comparison takes it: even rows of means, with no holes.

Rows come from files (`suncover.weather_files`) with whatever clock the file keeps. Here they become
one year in unix seconds, by these rules:

- The instant of a row is the middle of its interval. What the stamp means (the interval's start,
  middle or end) is settled before, by the file's format or by the site file; nothing is guessed.
- A typical year, put together from months of several years, is laid into one calendar year,
  `TYPICAL_YEAR`. The file's own clock decides the month and the day; a 29 February in it is left
  out. A year that really was keeps its own calendar, and its 29 February counts.
- Missing rows and missing values are filled from the same time of day on the nearest days that
  have it, half from either side, for up to `LONGEST_GAP` days on end. More is a fault.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from suncover.base.errors import RequestError
from suncover.base.instants import seconds_of
from suncover.base.shown import short_repr
from suncover.sun.position import DAY

Floats = NDArray[np.float64]
Instants = NDArray[np.int64]

# The calendar year that a typical year is laid into. A common year (typical years have 365 days)
# midway between two leap years, so that the sun's positions differ least from those of any other.
TYPICAL_YEAR = 2026
# Days on end that are filled: past a week the days beside say little about those between.
LONGEST_GAP = 7
SHORTEST_STEP, LONGEST_STEP = 60, 3600
# Nowhere on Earth is the sun up for much more than half of the year's hours, and no light of a moon
# or a town comes near so many W/m².
MOST_LIGHT, NIGHT = 0.7, 20.0
# A whole year, give or take what a file may lack at its ends.
SHORTEST_YEAR, LONGEST_YEAR = 364.0, 366.5


class WeatherTrouble(Exception):
    """Rows of which no year can be made; `row` is the first one concerned, if any.

    For the reader of the file to turn into a fault with its place.
    """

    def __init__(self, message: str, row: int | None = None) -> None:
        self.row = row
        super().__init__(message)


@dataclass(frozen=True)
class WeatherRows:
    """Rows of a file, n of them, in its order: W/m², °C, nan where a value is missing.

    `middle` (n,) unix seconds of each interval's middle; `offset` (n,) or a number, seconds that
    the file's clock is ahead of UTC. `place` is the station's latitude and longitude in degrees,
    where the file says; `typical` that the file's kind is always a typical year.
    """

    middle: Instants
    offset: Instants
    ghi: Floats
    dni: Floats
    dhi: Floats
    temperature: Floats | None
    source: str
    place: tuple[float, float] | None = None
    typical: bool = False
    remarks: tuple[str, ...] = ()


@dataclass(frozen=True)
class LightRows:
    """Light in rows, n of them, of one length: any instants.

    `start` (n,) unix seconds of each row's start, `step` its length in seconds; `ghi`, `dni`, `dhi`
    (n,) W/m², means over the row.
    """

    __repr__ = short_repr

    start: Floats
    step: float
    ghi: Floats
    dni: Floats
    dhi: Floats


@dataclass(frozen=True)
class WeatherYear(LightRows):
    """A year in even rows without holes; beside the light, `temperature` (n,) in °C, or None if it
    is not known.

    Lists, Series and one-column frames are taken for arrays, and a `DatetimeIndex` with a zone for
    `start`. `typical` says that its calendar year is nominal; `clear` that there is no measurement
    in it. `elsewhere` says that it is another region's weather, too far off to tell money by.
    `place` is its station's latitude and longitude in degrees, where known; `remarks` are sentences
    for a person. `fits` is the place for which it was found to be possible.

    Raises
    ------
    RequestError
        When its rows make no year: numbers missing, negative or of another count, uneven rows, less
        or more than a year.
    """

    __repr__ = short_repr

    temperature: Floats | None
    source: str
    typical: bool = False
    clear: bool = False
    place: tuple[float, float] | None = None
    remarks: tuple[str, ...] = ()
    elsewhere: bool = False
    fits: tuple[float, float] | None = None

    def __post_init__(self) -> None:
        fields = {"start": seconds_of(self.start), "step": float(self.step)}
        fields |= {name: _column(getattr(self, name), name) for name in ("ghi", "dni", "dhi")}
        if self.temperature is not None:
            fields["temperature"] = _column(self.temperature, "temperature")
        for name, value in fields.items():
            object.__setattr__(self, name, value)
        if wrong := list(self._wrong()):
            raise RequestError(f"weather {self.source}: {'; '.join(wrong)}")

    def _wrong(self) -> Iterator[str]:
        """What is wrong with the columns, and what would be right."""
        count = len(self.start)
        for name in ("ghi", "dni", "dhi", "temperature"):
            column = getattr(self, name)
            if column is None:
                continue
            if len(column) != count:
                yield f"{name} has {len(column)} rows and start {count}; give each row both"
            elif not np.isfinite(column).all():
                lost = int((~np.isfinite(column)).sum())
                yield f"{name} is missing in {lost} rows; fill them, or let `read_weather` do it"
            elif name != "temperature" and column.min(initial=0.0) < 0.0:
                yield f"{name} is below 0 W/m² in some rows; set an instrument's zero to 0"
        if not SHORTEST_STEP <= self.step <= LONGEST_STEP or DAY % self.step:
            yield f"its rows are {_spoken(self.step)} long; 1 to 60 minutes that fill a day will do"
            return
        if count < 2 or not np.allclose(np.diff(self.start), self.step, atol=0.5):
            yield "its rows are uneven; each should start when the one before it ends"
        elif not SHORTEST_YEAR <= count * self.step / DAY <= LONGEST_YEAR:
            yield f"its rows make {count * self.step / DAY:.0f} days; a whole year is needed"

    @property
    def end(self) -> float:
        """When the last row ends, unix seconds."""
        return float(self.start[-1] + self.step)


def _column(values: Any, name: str) -> Floats:
    """Numbers of any kind as an array (n,)."""
    try:
        column = np.asarray(values, dtype=np.float64)
    except (TypeError, ValueError):
        raise RequestError(f"weather: {name} is not all numbers; give W/m² or °C") from None
    if column.ndim == 2 and 1 in column.shape:
        column = column.ravel()
    if column.ndim != 1:
        raise RequestError(f"weather: {name} has {column.ndim} dimensions; give one column")
    return column


def year_of(rows: WeatherRows) -> WeatherYear:
    """The year that the rows of a file make.

    Raises
    ------
    WeatherTrouble
        When they are uneven, less or more than a year, twice the same, or too much is missing.
    """
    if len(rows.middle) < 2:
        raise WeatherTrouble("there are no rows of weather in it; a year is needed")
    typical = is_typical(rows)
    if typical:
        rows = _laid_into_one_year(rows)
    step = _step_of(rows.middle)
    _check_order(rows.middle)
    index = _grid_index(rows.middle, step)
    count = int(index[-1]) + 1
    _check_span(rows.middle, step, count)
    columns = {name: _placed(getattr(rows, name), index, count) for name in ("ghi", "dni", "dhi")}
    missing: NDArray[np.bool_] = np.any(np.isnan(np.stack(list(columns.values()))), axis=0)
    filled = {name: _filled(column, missing, step) for name, column in columns.items()}
    if not filled["ghi"].any():
        raise WeatherTrouble("there is no light in it at all; look at the column ghi")
    for name, column in filled.items():
        light = float((column > NIGHT).mean())
        if light > MOST_LIGHT:
            raise WeatherTrouble(
                f"there is light in {light:.0%} of all hours, also at night; look at the column "
                f"{name} and its unit"
            )
    temperature = None
    if rows.temperature is not None and not np.isnan(rows.temperature).all():
        placed = _placed(rows.temperature, index, count)
        temperature = _filled(placed, np.isnan(placed), step)
    start: Floats = np.arange(count, dtype=np.float64) * step + (rows.middle[0] - step / 2.0)
    return WeatherYear(
        start,
        float(step),
        filled["ghi"],
        filled["dni"],
        filled["dhi"],
        temperature,
        rows.source,
        typical,
        place=rows.place,
        remarks=rows.remarks + _gap_remark(int(missing.sum()), count),
    )


def _local(rows: WeatherRows) -> NDArray[np.datetime64]:
    """What the file's clock shows in the middle of each row."""
    return np.asarray((rows.middle + rows.offset).astype("datetime64[s]"))


def is_typical(rows: WeatherRows) -> bool:
    """Whether it is a typical year, by its kind or because its months are of several years."""
    if rows.typical:
        return True
    months = _local(rows).astype("datetime64[M]")
    distinct = np.unique(months)
    years = distinct.astype("datetime64[Y]").astype(int)
    of_year = distinct.astype(int) % 12
    each_once = len(np.unique(of_year)) == len(distinct)
    jumbled = len(np.unique(years)) > 1 and bool((np.diff(distinct).astype(int) != 1).any())
    return each_once and jumbled


def _laid_into_one_year(rows: WeatherRows) -> WeatherRows:
    """The rows with their local dates in `TYPICAL_YEAR`, in order of time; no 29 February."""
    local = _local(rows)
    month = local.astype("datetime64[M]")
    into = month - local.astype("datetime64[Y]").astype("datetime64[M]")
    begin = (np.datetime64(str(TYPICAL_YEAR), "M") + into).astype("datetime64[s]")
    middle = (begin + (local - month.astype("datetime64[s]"))).astype(np.int64) - rows.offset
    leap = (into == np.timedelta64(1, "M")) & (
        local.astype("datetime64[D]") - month.astype("datetime64[D]") == np.timedelta64(28, "D")
    )
    keep = np.flatnonzero(~leap)
    order = keep[np.argsort(middle[keep], kind="stable")]
    return WeatherRows(
        middle[order],
        rows.offset[order],
        rows.ghi[order],
        rows.dni[order],
        rows.dhi[order],
        None if rows.temperature is None else rows.temperature[order],
        rows.source,
        rows.place,
        True,
        rows.remarks,
    )


def _step_of(middle: Instants) -> int:
    """The length of a row in seconds: the commonest distance of two neighbours."""
    gaps, counts = np.unique(np.diff(middle), return_counts=True)
    step = int(gaps[np.argmax(counts)])
    if not SHORTEST_STEP <= step <= LONGEST_STEP or DAY % step:
        raise WeatherTrouble(
            f"most rows are {_spoken(step)} apart; they should be 1 to 60 minutes apart, a time "
            "that goes evenly into a day"
        )
    return step


def _spoken(seconds: float) -> str:
    return f"{seconds / 60:g} minutes" if abs(seconds) < 7200 else f"{seconds / 3600:g} hours"


def _check_order(middle: Instants) -> None:
    wrong = np.flatnonzero(np.diff(middle) <= 0)
    if len(wrong):
        row = int(wrong[0]) + 1
        order = "is the same as" if middle[row] == middle[row - 1] else "is earlier than"
        raise WeatherTrouble(f"the time of this row {order} that of the row before it", row)


def _grid_index(middle: Instants, step: int) -> NDArray[np.int64]:
    """Number of each row on the even grid that starts with the first."""
    since = middle - middle[0]
    off = np.flatnonzero(since % step)
    if len(off):
        row = int(off[0])
        raise WeatherTrouble(
            f"the rows are {_spoken(step)} apart, but this one stands between two such times", row
        )
    return np.asarray(since // step)


def _check_span(middle: Instants, step: int, count: int) -> None:
    days = count * step / DAY
    dates = middle[[0, -1]].astype("datetime64[s]").astype("datetime64[D]")
    first, last = str(dates[0]), str(dates[1])
    if days < SHORTEST_YEAR:
        raise WeatherTrouble(f"the rows go from {first} to {last} only; a whole year is needed")
    if days > LONGEST_YEAR:
        raise WeatherTrouble(
            f"the rows go from {first} to {last}, more than a year; keep the rows of one year"
        )


def _placed(column: Floats, index: NDArray[np.int64], count: int) -> Floats:
    placed = np.full(count, np.nan)
    placed[index] = column
    return placed


def _filled(column: Floats, missing: NDArray[np.bool_], step: int) -> Floats:
    """The column with what is missing taken from the same time on the days beside."""
    if not missing.any():
        return column
    daily = int(DAY) // step
    values = np.where(missing, np.nan, column)
    before, after = values, values
    for _ in range(LONGEST_GAP):
        # The year's end lies beside its beginning.
        before = np.where(np.isnan(before), np.roll(before, daily), before)
        after = np.where(np.isnan(after), np.roll(after, -daily), after)
    total = np.nan_to_num(before) + np.nan_to_num(after)
    sides = (~np.isnan(before)).astype(float) + ~np.isnan(after)
    if (sides == 0).any():
        lost = int(np.flatnonzero(sides == 0)[0])
        raise WeatherTrouble(
            f"more than {LONGEST_GAP} days on end are missing or empty, about day "
            f"{lost // daily + 1} of the file; use a file that has them"
        )
    return np.where(missing, total / np.maximum(sides, 1.0), column)


def _gap_remark(missing: int, count: int) -> tuple[str, ...]:
    if not missing:
        return ()
    return (f"{missing} of {count} rows were missing and are filled from the days beside them.",)
