"""The log of a thermometer: CSV with the columns time,value, in °C, at most an hour apart."""

from __future__ import annotations

import os
from dataclasses import dataclass
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from suncover.base.textfile import one_fault, read_text
from suncover.site.light_log import MOST_BYTES, columns_from_text

COLDEST, HOTTEST = -60.0, 60.0  # °C: beyond, the values are of another unit
LONGEST_S = 3600.0  # between readings


@dataclass(frozen=True)
class TemperatureLog:
    """Readings `values` (n,) in °C at `times` (n,): unix seconds, ascending.

    `interval` is the usual step in seconds.
    """

    times: NDArray[np.float64]
    values: NDArray[np.float64]
    interval: float


def read_temperature(path: str | os.PathLike[str], zone: ZoneInfo) -> TemperatureLog:
    """The log in a CSV file; `zone` is that of the site's clocks.

    Raises
    ------
    FileFaults
        When the file cannot be read, a line of it is wrong, its values are no °C, or it has fewer
        than two readings or none for hours.
    """
    return temperature_from_text(read_text(path, MOST_BYTES), zone, path)


def temperature_from_text(
    text: str, zone: ZoneInfo, file: str | os.PathLike[str] = "log"
) -> TemperatureLog:
    """The log in the text of a CSV file; `file` is its name in messages.

    Raises
    ------
    FileFaults
        As `read_temperature`.
    """
    times, values = columns_from_text(text, zone, file)
    times, first = np.unique(times, return_index=True)
    values = values[first]
    if len(times) < 2:
        raise one_fault(file, "there are fewer than two readings")
    low, high = float(values.min()), float(values.max())
    if low < COLDEST or high > HOTTEST:
        raise one_fault(
            file, f"values go from {low:g} to {high:g}; temperatures in °C are asked for"
        )
    interval = float(np.median(np.diff(times)))
    if interval > LONGEST_S:
        raise one_fault(
            file, f"the readings are {interval / 60:.0f} minutes apart; an hour is the most"
        )
    return TemperatureLog(times, values, interval)
