"""A year of weather from a DataFrame, such as pvlib's readers give."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any, Literal

import numpy as np

from suncover.base.errors import RequestError
from suncover.sun.weather.csv import COLDEST, FAINTEST, HOTTEST, NEEDED, STRONGEST, TEMPERATURE
from suncover.sun.weather.year import WeatherRows, WeatherTrouble, WeatherYear, year_of

if TYPE_CHECKING:
    import pandas as pd

STAMPS = ("start", "middle", "end")


def weather_from_frame(
    frame: pd.DataFrame,
    *,
    stamp: Literal["start", "middle", "end"],
    place: tuple[float, float] | None = None,
    source: str = "frame",
    typical: bool = False,
) -> WeatherYear:
    """The year in a DataFrame with the columns ghi, dni, dhi (W/m²) and, where known, temp_air
    (°C), however they are capitalised, and others beside them.

    Its index are instants with a time zone, as pvlib's readers have them, in whose clock a typical
    year's months are counted. `stamp` is what an instant means of its interval; pvlib's `read_tmy3`
    keeps the file's "end", `read_tmy2` gives the "start", `read_nsrdb_psm4` the "middle". `place`
    is the station's latitude and longitude in degrees; `typical` says that the year is a typical
    one where its months do not show it, as of `read_tmy2`. Rows that are missing or nan are filled
    from the days beside, as those of a file are, and counted in a remark.

    Raises
    ------
    RequestError
        When it is no such frame, or its rows make no year.
    """
    if stamp not in STAMPS:
        raise RequestError(f'stamp: "{stamp}" is none of {", ".join(STAMPS)}')
    columns = {str(name).strip().lower(): name for name in getattr(frame, "columns", ())}
    if missing := [name for name in NEEDED[1:] if name not in columns]:
        lost = " and ".join(missing)
        raise RequestError(f"the frame has no column {lost}; it needs ghi, dni, dhi")
    index: Any = frame.index
    if getattr(index, "tz", None) is None:
        raise RequestError(
            "the frame's index is not of times with a time zone; give it one, as by tz_localize"
        )
    if len(index) < 2:
        raise RequestError("the frame has no rows of weather; a year is needed")
    index = _as_filed(index)
    seconds = index.tz_convert("UTC").tz_localize(None).to_numpy("datetime64[s]").astype(np.int64)
    local = index.tz_localize(None).to_numpy("datetime64[s]").astype(np.int64)
    gaps, counts = np.unique(np.diff(seconds), return_counts=True)
    half = int(gaps[np.argmax(counts)]) // 2
    light = [
        _column(frame[columns[name]], name, (FAINTEST, STRONGEST, "W/m²")) for name in NEEDED[1:]
    ]
    warmth = None
    if TEMPERATURE in columns:
        limits = (COLDEST, HOTTEST, "°C")
        warmth = _column(frame[columns[TEMPERATURE]], TEMPERATURE, limits)
    ghi, dni, dhi = (np.where(column < 0.0, 0.0, column) for column in light)
    rows = WeatherRows(
        seconds + {"start": half, "middle": 0, "end": -half}[stamp],
        local - seconds,
        ghi,
        dni,
        dhi,
        warmth,
        source,
        place,
        typical,
    )
    try:
        return year_of(rows)
    except WeatherTrouble as trouble:
        row_text = "" if trouble.row is None else f"row {trouble.row + 1}: "
        raise RequestError(f"the frame: {row_text}{trouble}") from None


def _as_filed(index: Any) -> Any:
    """The index, with what pvlib's TMY3 reader moves put back: in a leap year it has the last hour
    of 28 February on 1 March.
    """
    before = index[:-1]
    moved = np.append(
        False,
        index[1:].is_leap_year
        & (index[1:].month == 3)
        & (index[1:].day == 1)
        & (index[1:].hour == 0)
        & (before.month == 2)
        & (before.day == 28)
        & (before.hour == 23),
    )
    return index.where(~moved, index - np.timedelta64(1, "D")) if moved.any() else index


def _column(values: Any, name: str, limits: tuple[float, float, str]) -> Any:
    """A column as numbers, nan where it is missing or a code for missing."""
    low, high, unit = limits
    try:
        column = np.asarray(values, dtype=np.float64)
    except (TypeError, ValueError):
        raise RequestError(f"the frame's column {name} is not all numbers") from None
    highest = float(np.nanmax(column, initial=-math.inf))
    if highest > high:
        raise RequestError(
            f"the frame's column {name} has {highest:g}, above {high:g} {unit}; check the unit"
        )
    return np.where(column < low, np.nan, column)
