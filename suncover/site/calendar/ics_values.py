"""The values of an iCalendar event: dates, times, lengths of time and rules (RFC 5545, 3.3).

Each is read from its text, or refused with a sentence that says what would be right.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, timedelta
from typing import Any, Literal, NamedTuple, cast
from zoneinfo import ZoneInfo

from suncover.base import clock
from suncover.base.clock import DAY_S
from suncover.base.spell import Spell

Frequency = Literal["DAILY", "WEEKLY", "MONTHLY", "YEARLY"]
UTC_ZONE = ZoneInfo("UTC")
_MOST_DAYS = 120_000  # of an event: more than there are from 1900 to 2199
_FIRST_YEAR = 1500  # calendar programs write 1601 and 1604 for a year that they do not know
_MOST_INTERVAL = 1_000_000
_WEEKDAYS = ("MO", "TU", "WE", "TH", "FR", "SA", "SU")
_STAMP = re.compile(r"(\d{4})(\d{2})(\d{2})(?:T(\d{2})(\d{2})(\d{2})(Z?))?", re.ASCII)
_LENGTH = re.compile(
    r"([+-]?)P(?:(\d{1,9})W|(?:(\d{1,9})D)?(?:T(?=\d)(?:(\d{1,9})H)?(?:(\d{1,9})M)?(?:(\d{1,9})S)?)?)",
    re.ASCII,
)
_BYDAY = re.compile(r"([+-]?\d{1,2})?(MO|TU|WE|TH|FR|SA|SU)", re.ASCII)
# The lists of a rule: field of `Rule`, largest number, whether it may count from the end.
_LISTS = {
    "BYMONTH": ("months", 12, False),
    "BYMONTHDAY": ("month_days", 31, True),
    "BYYEARDAY": ("year_days", 366, True),
    "BYWEEKNO": ("week_numbers", 53, True),
    "BYSETPOS": ("positions", 366, True),
}


class IcsValueError(ValueError):
    """A value that cannot be read; its text is fit for a person."""


class Moment(NamedTuple):
    """A date, or a date and a time of day in seconds, on a zone's clock; None: the site's own."""

    day: date
    second: int | None
    zone: ZoneInfo | None

    def instant(self, site: ZoneInfo) -> int:
        """When that is, in unix seconds; of a date its first moment."""
        if self.second is None:
            return clock.day_bounds(self.day, site).start
        return clock.instant_by_old_offset(self.day, self.second, self.zone or site)

    def on(self, day: date) -> Moment:
        """The moment at the same clock time on another day."""
        return self._replace(day=day)


class Length(NamedTuple):
    """How long an event lasts: whole days by the clock, and seconds after them."""

    days: int
    seconds: int

    def spell(self, start: Moment, site: ZoneInfo) -> Spell:
        """From `start` on for this long."""
        last = clock.LAST_DATE + timedelta(days=300)  # far past every day that is asked about
        day = date.fromordinal(min(start.day.toordinal() + self.days, last.toordinal()))
        return Spell(start.instant(site), start.on(day).instant(site) + self.seconds)


@dataclass(frozen=True)
class Rule:
    """A rule by which something repeats, by whole days (3.3.10).

    Its lists are empty where the part is left out.

    `weekdays` holds pairs of a number (0 for every such weekday, else the first, second, … or from
    the end with -1, -2, …) and a weekday (0 Monday … 6 Sunday). `until` is the last day that may
    be one; `week_start` the weekday with which weeks begin.
    """

    frequency: Frequency
    interval: int = 1
    count: int | None = None
    until: date | None = None
    months: tuple[int, ...] = ()
    month_days: tuple[int, ...] = ()
    year_days: tuple[int, ...] = ()
    week_numbers: tuple[int, ...] = ()
    weekdays: tuple[tuple[int, int], ...] = ()
    positions: tuple[int, ...] = ()
    week_start: int = 0


def moment(text: str, zone: ZoneInfo | None) -> Moment:
    """A date (`20270710`) or a time (`20270710T130000`, with `Z` in UTC) on the clock of `zone`."""
    match = _STAMP.fullmatch(text.strip())
    if match is None:
        raise IcsValueError(f'"{text[:40]}" is not a date such as 20270710 or 20270710T130000')
    try:
        day = date(int(match[1]), int(match[2]), int(match[3]))
        if not _FIRST_YEAR <= day.year <= clock.LAST_DATE.year:
            raise ValueError
    except ValueError:
        raise IcsValueError(
            f'"{text[:40]}" is no day of the years {_FIRST_YEAR} to {clock.LAST_DATE.year}'
        ) from None
    if match[4] is None:
        return Moment(day, None, None)
    hours, minutes, seconds = int(match[4]), int(match[5]), min(int(match[6]), 59)  # 60: a leap
    if hours > 23 or minutes > 59 or int(match[6]) > 60:
        raise IcsValueError(f'"{text[:40]}" has no such time of day')
    second = hours * 3600 + minutes * 60 + seconds
    return Moment(day, second, UTC_ZONE if match[7] else zone)


def length(text: str) -> Length:
    """A length of time (`P2D`, `PT1H30M`)."""
    match = _LENGTH.fullmatch(text.strip())
    if match is None or not any(match.groups()[1:]) or match[1] == "-":
        raise IcsValueError(f'"{text[:40]}" is not a length of time such as P2D or PT1H30M')
    weeks, days, hours, minutes, seconds = (int(part or 0) for part in match.groups()[1:])
    all_days = min(7 * weeks + days, _MOST_DAYS)
    return Length(all_days, min(3600 * hours + 60 * minutes + seconds, _MOST_DAYS * DAY_S))


def rule(text: str, start: Moment, site: ZoneInfo) -> Rule:
    """A rule of recurrence for an event that begins at `start`."""
    parts: dict[str, str] = {}
    for piece in text.strip().split(";"):
        key, _, value = piece.partition("=")
        if key.strip():
            parts[key.strip().upper()] = value.strip().upper()
    frequency = parts.pop("FREQ", "")
    if frequency in ("SECONDLY", "MINUTELY", "HOURLY") or parts.keys() & {
        "BYSECOND",
        "BYMINUTE",
        "BYHOUR",
    }:
        raise IcsValueError("it repeats more than once a day; give each time an event of its own")
    if frequency not in ("DAILY", "WEEKLY", "MONTHLY", "YEARLY"):
        raise IcsValueError(f'"{text[:60]}" is not a rule such as FREQ=WEEKLY;BYDAY=MO')
    if "COUNT" in parts and start.day < clock.FIRST_DATE:
        raise IcsValueError(
            f"it is counted from before {clock.FIRST_DATE.year}; let it begin later"
        )
    parsed = Rule(
        cast("Frequency", frequency),
        interval=_count_from(parts.pop("INTERVAL", "1"), _MOST_INTERVAL),
        count=_count_from(parts.pop("COUNT"), None) if "COUNT" in parts else None,
        weekdays=_weekdays(parts.pop("BYDAY", "")),
        week_start=_weekday(parts.pop("WKST", "MO")),
    )
    parsed = replace(parsed, **_lists(parts))
    if "UNTIL" in parts:
        parsed = replace(parsed, until=_until(parts.pop("UNTIL"), start, site))
    if unknown := [key for key in parts if not key.startswith("X-")]:
        raise IcsValueError(f'the rule\'s part "{unknown[0][:30]}" is not known')
    return parsed


def _until(text: str, start: Moment, site: ZoneInfo) -> date:
    """The last day on whose time of `start` the event may begin."""
    end = moment(text, start.zone)
    if start.second is None or end.second is None:
        return end.day
    zone = start.zone or site
    instant = end.instant(site)
    day = clock.local_date(instant, zone)
    return day if start.on(day).instant(site) <= instant else day - timedelta(days=1)


def _count_from(text: str, most: int | None) -> int:
    if not text.isascii() or not text.isdigit() or not 0 < len(text) <= 9 or int(text) == 0:
        raise IcsValueError(f'"{text[:20]}" in the rule is not a whole number from 1 up')
    return int(text) if most is None else min(int(text), most)


def _weekday(text: str) -> int:
    if text not in _WEEKDAYS:
        raise IcsValueError(f'"{text[:20]}" in the rule is not a weekday such as MO')
    return _WEEKDAYS.index(text)


def _weekdays(text: str) -> tuple[tuple[int, int], ...]:
    weekdays = []
    for piece in text.split(",") if text else ():
        match = _BYDAY.fullmatch(piece.strip())
        if match is None:
            raise IcsValueError(f'"{piece[:20]}" in the rule is not a weekday such as MO or 1MO')
        weekdays.append((int(match[1] or 0), _WEEKDAYS.index(match[2])))
    return tuple(dict.fromkeys(weekdays))


def _lists(parts: dict[str, str]) -> dict[str, Any]:
    """The lists of numbers, by the fields of `Rule`; takes them out of the parts."""
    lists: dict[str, Any] = {}
    for key, (name, most, negative) in _LISTS.items():
        if key not in parts:
            continue
        numbers = []
        for piece in parts.pop(key).split(","):
            match = re.fullmatch(r"([+-]?)(\d{1,3})", piece.strip(), re.ASCII)
            value = int(match[2]) if match else 0
            if match is None or not 1 <= value <= most or (match[1] == "-" and not negative):
                raise IcsValueError(f'"{piece[:20]}" of {key} in the rule is not from 1 to {most}')
            numbers.append(-value if match[1] == "-" else value)
        lists[name] = tuple(dict.fromkeys(numbers))
    return lists


def utc_day(instant: int) -> date:
    """The date of an instant in UTC."""
    return datetime.fromtimestamp(instant, UTC).date()
