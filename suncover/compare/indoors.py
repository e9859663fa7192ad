"""Did a plan keep a room cooler? Days with closings beside days without, at one warmth outdoors.

Each whole day's mean indoors is explained by the outdoor mean of the day and of the day before, the
sun that was seen, where a light log tells it, and by whether a shade closed: ordinary least
squares. Days are not independent of each other, so the standard error is that of W. Newey and K.
West (Econometrica 55, 1987, pp. 703-708), and the interval is Student's.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from statistics import NormalDist
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from suncover.base.clock import dates_bounds, local_date
from suncover.site.temperature_log import TemperatureLog
from suncover.sun.weather.year import WeatherYear

Floats = NDArray[np.float64]

LIMIT = 26.0  # °C: upper limit of cooled rooms, category II (EN 16798-1:2019, table B.2)
WHOLE = 0.9  # of a day's readings, without which it is left out
LEAST_DAYS = 5  # of either kind, and beyond what is estimated
CONFIDENCE = 0.95
ALIKE = (
    0.99  # share of closings that the other columns explain: beyond, the two cannot be separated
)


@dataclass(frozen=True)
class IndoorDay:
    """A whole day of the log: mean, highest temperature indoors and mean outdoors (°C; None where
    that is not known), seconds above the limit, and whether a shade closed.
    """

    date: date
    mean: float
    highest: float
    outdoor: float | None
    above: float
    closed: bool


@dataclass(frozen=True)
class Indoors:
    """What an indoor log says of a plan's closings.

    `effect` is by how many degrees a day's mean is higher on days with closings (below 0: cooler)
    at the same warmth outdoors, within `low` to `high` with 95 % confidence. All three are None,
    and `why_not` says why there is none. `by_sun` says that the sun seen was allowed
    for.
    """

    limit: float
    days: tuple[IndoorDay, ...]
    left_out: int
    effect: float | None
    low: float | None
    high: float | None
    why_not: str | None = None
    by_sun: bool = False

    @property
    def is_told(self) -> bool:
        """Whether closings made a difference that is not chance: 0 lies outside the interval."""
        return self.low is not None and self.high is not None and self.low * self.high > 0.0

    def above(self, *, closed: bool) -> tuple[int, float]:
        """How many days with (without) closings there are, and their seconds above the limit."""
        days = [day for day in self.days if day.closed == closed]
        return len(days), sum(day.above for day in days)


def indoors(
    log: TemperatureLog,
    outdoor: TemperatureLog | None,
    closed: Collection[date],
    zone: ZoneInfo,
    *,
    limit: float = LIMIT,
    sun: Mapping[date, float] | None = None,
    first: date | None = None,
    last: date | None = None,
) -> Indoors:
    """What an indoor log says: hours above `limit` (°C), and days in `closed` beside the others.

    `sun` is how many seconds of sun were seen on a day; days without it are left out of the
    comparison if it is given. Only days from `first` to `last`, where given, count.
    """
    inside = _days_of(log, zone, limit)
    outside = {} if outdoor is None else _days_of(outdoor, zone, limit)
    chosen = [
        day
        for day in sorted(inside)
        if (first is None or day >= first) and (last is None or day <= last)
    ]
    days = tuple(
        IndoorDay(
            day,
            inside[day][0],
            inside[day][1],
            outside[day][0] if day in outside else None,
            inside[day][2],
            day in closed,
        )
        for day in chosen
    )
    logged_days = {local_date(int(time), zone) for time in log.times.tolist()}
    left_out = len(logged_days) - len(days)
    result = Indoors(limit, days, left_out, None, None, None, by_sun=sun is not None)
    estimate = _effect(days, outside, sun)
    if isinstance(estimate, str):
        return _untold(result, estimate)
    effect, low, high = estimate
    return Indoors(limit, days, left_out, effect, low, high, by_sun=sun is not None)


def outdoor_of(weather: WeatherYear) -> TemperatureLog | None:
    """The temperature outdoors of a year that was measured; None for a typical or a made one."""
    if weather.typical or weather.clear or weather.elsewhere or weather.temperature is None:
        return None
    return TemperatureLog(weather.start + weather.step / 2.0, weather.temperature, weather.step)


def _untold(result: Indoors, why_not: str) -> Indoors:
    return Indoors(
        result.limit, result.days, result.left_out, None, None, None, why_not, result.by_sun
    )


def _days_of(
    log: TemperatureLog, zone: ZoneInfo, limit: float
) -> dict[date, tuple[float, float, float]]:
    """Mean, highest and seconds above the limit of each day that the log has nearly all of."""
    by_day = {}
    day, last = local_date(int(log.times[0]), zone), local_date(int(log.times[-1]), zone)
    while day <= last:
        span = dates_bounds(day, day, zone)
        begin, end = np.searchsorted(log.times, [span.start, span.end])
        values = log.values[begin:end]
        if len(values) and len(values) * log.interval >= WHOLE * (span.end - span.start):
            # A share of the readings, not a count of them: a few may be missing.
            share = float(np.mean(values > limit))
            length = float(span.end - span.start)
            by_day[day] = float(values.mean()), float(values.max()), share * length
        day += timedelta(days=1)
    return by_day


def _effect(
    days: tuple[IndoorDay, ...],
    outside: Mapping[date, tuple[float, float, float]],
    sun: Mapping[date, float] | None,
) -> tuple[float, float, float] | str:
    """The closings' effect and its interval in degrees, or why the days do not show it."""
    if not any(day.date in outside for day in days):
        return "the temperature outdoors on these days is not known"
    before = timedelta(days=1)
    used = [
        day
        for day in days
        if day.date in outside and day.date - before in outside and (sun is None or day.date in sun)
    ]
    count = sum(day.closed for day in used)
    for number, kind in ((count, "with"), (len(used) - count, "without")):
        if number < LEAST_DAYS:
            return (
                f"there are {number} days {kind} closings of which all is known; {LEAST_DAYS} of "
                "either kind are needed"
            )
    columns = [
        [float(day.closed), 1.0, outside[day.date][0], outside[day.date - before][0]]
        + ([] if sun is None else [sun[day.date] / 3600.0])
        for day in used
    ]
    model = np.array(columns)
    numbers = np.array([day.date.toordinal() for day in used])
    return _least_squares(model, np.array([day.mean for day in used]), numbers)


def _least_squares(
    model: Floats, means: Floats, days: NDArray[np.int64]
) -> tuple[float, float, float] | str:
    """The first column's weight and its 95 % interval, days that are near being alike."""
    rows = len(model)
    free = rows - np.linalg.matrix_rank(model)
    unexplained = (
        model[:, 0] - model[:, 1:] @ np.linalg.lstsq(model[:, 1:], model[:, 0], rcond=None)[0]
    )
    spread = model[:, 0] - model[:, 0].mean()
    if 1.0 - float(unexplained @ unexplained) / float(spread @ spread) > ALIKE:
        return "days with closings cannot be kept apart from warm or sunny days"
    if free < LEAST_DAYS:
        return f"{rows} days are too few to allow for the temperature outdoors"
    inverse = np.linalg.pinv(model.T @ model)
    weights = inverse @ (model.T @ means)
    scores = model * (means - model @ weights)[:, None]
    # Newey and West's weights fall off to nothing over so many days (their rule of thumb).
    lags = max(1, int(4.0 * (rows / 100.0) ** (2.0 / 9.0)))
    apart = np.abs(days[:, None] - days[None, :])
    middle = scores.T @ np.maximum(1.0 - apart / (lags + 1.0), 0.0) @ scores
    robust = float((inverse @ middle @ inverse)[0, 0]) * rows / free
    residuals = means - model @ weights
    usual = float(inverse[0, 0]) * float(residuals @ residuals) / free
    # Of few days the robust error is often too small: never less than the plain one.
    error = float(np.sqrt(max(robust, usual)))
    reach = _student(int(free)) * error
    return float(weights[0]), float(weights[0]) - reach, float(weights[0]) + reach


def _student(free: int) -> float:
    """Half the width of the 95 % interval of Student's t (M. Abramowitz and I. Stegun, Handbook of
    Mathematical Functions, 1964, 26.7.5); to 0.003 from 5 degrees of freedom on.
    """
    z = NormalDist().inv_cdf(0.5 + CONFIDENCE / 2.0)
    first = (z**3 + z) / 4.0
    second = (5.0 * z**5 + 16.0 * z**3 + 3.0 * z) / 96.0
    third = (3.0 * z**7 + 19.0 * z**5 + 17.0 * z**3 - 15.0 * z) / 384.0
    return z + first / free + second / free**2 + third / free**3
