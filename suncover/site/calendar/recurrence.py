"""The days on which something repeats, by a rule of recurrence (RFC 5545, 3.3.10).

Only rules by whole days are known: daily, weekly, monthly, yearly. The days of a stretch of time
are looked at all at once, and every part of the rule takes some of them away. So the work is
bounded by the length of the stretch, also for a rule that no day ever fulfils (30 February); going
from one day to the next until one fits would go on to the end of all calendars.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Any

import numpy as np
from numpy.typing import NDArray

from suncover.site.calendar.ics_values import Rule

LAST_DAY = date(9999, 12, 31)
_EPOCH = date(1970, 1, 1).toordinal()
_Days = NDArray[np.int64]  # counted from 1 January 1970
_Mask = NDArray[np.bool_]


def days_of(rule: Rule, start: date, first: date, last: date) -> list[date]:
    """The days from `first` to `last` (both included) on which a rule that begins on `start` falls.

    `start` is one of them whether the rule says so or not, and counts as the first.
    """
    begin = _number(start)
    end = min(_number(last), _number(rule.until or LAST_DAY))
    # Without a count, what was before `first` bears on nothing.
    low = begin if rule.count is not None else max(begin, _number(first))
    if end < low:
        return [start] if first <= start <= last else []
    days = _whole_periods(rule, low, end)
    fits = _fits(rule, start, days)
    if rule.positions:
        fits &= _at_positions(rule, days, fits)
    chosen = days[fits & (days > begin) & (days <= end)]
    if low <= begin:
        chosen = np.concatenate([np.array([begin], dtype=np.int64), chosen])
    if rule.count is not None:
        chosen = chosen[: rule.count]
    return [date.fromordinal(int(day) + _EPOCH) for day in chosen if day >= _number(first)]


def _number(day: date) -> int:
    return day.toordinal() - _EPOCH


def _whole_periods(rule: Rule, low: int, high: int) -> _Days:
    """Every day of the weeks, months or years that hold the days from `low` to `high`."""
    margin = {"DAILY": 0, "WEEKLY": 7, "MONTHLY": 31, "YEARLY": 366}[rule.frequency]
    first, last = max(low - margin, _number(date.min)), min(high + margin, _number(LAST_DAY))
    days = np.arange(first, last + 1, dtype=np.int64)
    periods = _period(rule, days)
    ends = np.searchsorted(days, [low, high])
    inside: _Mask = (periods >= periods[ends[0]]) & (periods <= periods[ends[1]])
    result: _Days = days[inside]
    return result


def _as_dates(days: _Days) -> NDArray[Any]:
    return days.astype("datetime64[D]")


def _months(days: _Days) -> _Days:
    """Months since January 1970."""
    return _as_dates(days).astype("datetime64[M]").astype(np.int64)


def _years(days: _Days) -> _Days:
    """Years since 1970."""
    return _as_dates(days).astype("datetime64[Y]").astype(np.int64)


def _first_days(numbers: _Days, unit: str) -> _Days:
    """The first day of each of some months (`M`) or years (`Y`)."""
    first: _Days = numbers.astype(f"datetime64[{unit}]").astype("datetime64[D]").astype(np.int64)
    return first


def _weekday(days: _Days) -> _Days:
    return (days + 3) % 7  # 1 January 1970 was a Thursday


def _period(rule: Rule, days: _Days) -> _Days:
    """The number of the day, week, month or year in which each day lies."""
    if rule.frequency == "DAILY":
        return days
    if rule.frequency == "WEEKLY":
        return (days + 3 - rule.week_start) // 7
    return _months(days) if rule.frequency == "MONTHLY" else _years(days)


def _fits(rule: Rule, start: date, days: _Days) -> _Mask:
    """Which days every part of the rule allows; what it leaves open is as on `start`."""
    began = _period(rule, np.array([_number(start)], dtype=np.int64))[0]
    fits: _Mask = (_period(rule, days) - began) % rule.interval == 0
    months = _months(days)
    month_day = days - _first_days(months, "M") + 1
    from_end = days - _first_days(months + 1, "M")
    free = not (rule.month_days or rule.year_days or rule.week_numbers or rule.weekdays)
    in_months, on_days = rule.months, rule.month_days
    if free and rule.frequency in ("MONTHLY", "YEARLY"):
        on_days = (start.day,)
        if rule.frequency == "YEARLY" and not in_months:
            in_months = (start.month,)
    if in_months:
        fits &= np.isin(months % 12 + 1, in_months)
    if on_days:
        fits &= np.isin(month_day, on_days) | np.isin(from_end, on_days)
    if rule.year_days:
        years = _years(days)
        fits &= np.isin(days - _first_days(years, "Y") + 1, rule.year_days) | np.isin(
            days - _first_days(years + 1, "Y"), rule.year_days
        )
    if rule.week_numbers:
        fits &= _in_weeks(rule, days)
    weekdays = rule.weekdays
    only_weeks = rule.week_numbers and not (on_days or rule.year_days)
    if not weekdays and (only_weeks or (free and rule.frequency == "WEEKLY")):
        weekdays = ((0, start.weekday()),)
    if weekdays:
        fits &= _on_weekdays(rule, weekdays, days)
    return fits


def _in_weeks(rule: Rule, days: _Days) -> _Mask:
    """Which days lie in the weeks of those numbers (ISO 8601's, with the rule's first weekday)."""
    # A week belongs to the year that holds its fourth day.
    fourth = days - (days + 3 - rule.week_start) % 7 + 3
    years = _years(fourth)
    number = (fourth - _first_days(years, "Y")) // 7 + 1
    weeks = (_first_days(years + 1, "Y") - 1 - fourth) // 7 + 1
    inside: _Mask = np.isin(number, rule.week_numbers) | np.isin(-weeks, rule.week_numbers)
    return inside


def _on_weekdays(rule: Rule, weekdays: Sequence[tuple[int, int]], days: _Days) -> _Mask:
    """Which days are those weekdays, by their number in the month or year where they have one."""
    by_year = rule.frequency == "YEARLY" and not rule.months
    unit = "Y" if by_year else "M"
    periods = _years(days) if by_year else _months(days)
    nth = (days - _first_days(periods, unit)) // 7 + 1
    from_end = -((_first_days(periods + 1, unit) - 1 - days) // 7) - 1
    chosen = np.zeros(len(days), dtype=bool)
    for number, weekday in weekdays:
        on = _weekday(days) == weekday
        if number > 0:
            on &= nth == number
        elif number < 0:
            on &= from_end == number
        chosen |= on
    return chosen


def _at_positions(rule: Rule, days: _Days, fits: _Mask) -> _Mask:
    """Of the days that fit, which are the first, second, … or last of their period."""
    index = np.flatnonzero(fits)
    periods = _period(rule, days)[index]
    places = np.arange(len(index))
    begins = np.searchsorted(periods, periods, side="left")
    ends = np.searchsorted(periods, periods, side="right")
    at_position = np.isin(places - begins + 1, rule.positions) | np.isin(
        places - ends, rule.positions
    )
    chosen = np.zeros(len(days), dtype=bool)
    chosen[index[at_position]] = True
    return chosen
