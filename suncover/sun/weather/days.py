"""The days of a weather year: to which local day and month each row belongs, and how warm it is."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from suncover.base.clock import day_bounds, in_season, local_date
from suncover.site.model import MonthDay
from suncover.sun.weather.year import WeatherYear

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

MONTHS = 12


@dataclass(frozen=True)
class YearDays:
    """Local days of a year's rows.

    `day` (rows,) numbers the row's day in `dates`; `month` (rows,) is 0 to 11. A year that starts
    within a day has that day's first part at its end: both are one day. `warmth` (days,) is the
    mean of each day's highest and lowest temperature in °C, the daily mean of degree days; None
    where the temperature is not known.
    """

    dates: tuple[date, ...]
    day: NDArray[np.intp]
    month: NDArray[np.intp]
    warmth: Floats | None

    def sums(self, rows: Floats) -> Floats:
        """Sums of `rows` (rows,) for each day, (days,)."""
        return np.asarray(np.bincount(self.day, rows, len(self.dates)), dtype=np.float64)

    def monthly(self, rows: Floats) -> Floats:
        """Sums of `rows` (rows,) for each month, (12,)."""
        return np.asarray(np.bincount(self.month, rows, MONTHS), dtype=np.float64)

    def season(self, season: tuple[MonthDay, MonthDay] | None) -> Bools:
        """Whether each day is in a season, (days,)."""
        return np.array([in_season(day, season) for day in self.dates])


def days_of(weather: WeatherYear, zone: ZoneInfo) -> YearDays:
    """The local days of a weather year in a time zone."""
    middle = weather.start + weather.step / 2.0
    first, last = local_date(int(middle[0]), zone), local_date(int(middle[-1]), zone)
    dates = [first + timedelta(days=number) for number in range((last - first).days + 1)]
    begins = np.array([day_bounds(day, zone).start for day in dates])
    place = np.searchsorted(begins, middle, side="right") - 1
    number_of: dict[tuple[int, int], int] = {}
    number = [number_of.setdefault((day.month, day.day), len(number_of)) for day in dates]
    day = np.array(number)[place]
    month = np.array([day.month - 1 for day in dates])[place]
    shown_dates = tuple(dates[number.index(index)] for index in range(len(number_of)))
    return YearDays(shown_dates, day, month, _warmth(weather, day, len(number_of)))


def _warmth(weather: WeatherYear, day: NDArray[np.intp], count: int) -> Floats | None:
    if weather.temperature is None:
        return None
    high, low = np.full(count, -np.inf), np.full(count, np.inf)
    np.maximum.at(high, day, weather.temperature)
    np.minimum.at(low, day, weather.temperature)
    return np.asarray((high + low) / 2.0)


def cooling_degree_days(warmth: Floats, base: float = 18.333) -> float:
    """Sum of what each day's mean (°C) has above `base`; 18.333 °C is 65 °F, the usual base."""
    return float(np.maximum(warmth - base, 0.0).sum())
