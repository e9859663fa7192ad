"""Local time, all of it: days, clock times, seasons, quiet hours, and how an instant is written.

Everywhere else time is unix seconds in UTC. Clocks jump, so these rules hold here:

- A clock time on a date means the first moment at which the clock shows that time or a later one.
  So a time that does not exist that day is the first moment after the jump, and of one that happens
  twice the first is meant.
- A day runs from its 00:00 to the next day's 00:00, in that sense. It lasts 23, 23.5, 24, 24.5 or
  25 hours, or none at all where a zone skips a date to cross the date line.
- The date of an instant is the one its local clock shows. (Some zones once set clocks back across
  midnight, from 00:01 to 23:01: in that hour the clock shows the old date though the new day has
  begun.)
- RFC 3339 writes offsets in whole minutes, and old local mean times have seconds. Such an offset is
  rounded to the nearest minute wherever it is used, so that what is written is still the exact
  instant and its date is the date that is written.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Sequence
from datetime import date, datetime, time, timedelta
from functools import lru_cache
from itertools import pairwise
from typing import Any
from zoneinfo import ZoneInfo

from suncover.base.errors import RequestError
from suncover.base.spell import Spell, union
from suncover.base.years import END_SECOND, FIRST_SECOND, FIRST_YEAR, LAST_YEAR

MonthDay = tuple[int, int]
Season = tuple[MonthDay, MonthDay]
Quiet = tuple[time, time]

DAY_S = 86400
FIRST_DATE = date(FIRST_YEAR, 1, 1)
LAST_DATE = date(LAST_YEAR, 12, 31)
YEARS = f"{FIRST_DATE.year} to {LAST_DATE.year}"

_EPOCH_ORDINAL = date(1970, 1, 1).toordinal()
# A year more to either side, for the days around a plan's.
_FIRST_INSTANT, _END_INSTANT = FIRST_SECOND - 366 * DAY_S, END_SECOND + 366 * DAY_S
_CHUNK_S = 1 << 25  # one table of offsets covers about 388 days
# No zone has two changes within this time: the nearest two of the IANA database (2026f) are a week
# apart, in Recife in 2000 and in Gaza in 2040.
_SAMPLE_S = 2 * DAY_S
_MONTHS = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"]


def _read_offset(instant: int, zone: ZoneInfo) -> int:
    """Seconds that the zone's clocks are ahead of UTC, to the nearest whole minute."""
    offset = datetime.fromtimestamp(instant, zone).utcoffset()
    assert offset is not None  # a ZoneInfo always knows
    return (offset.days * DAY_S + offset.seconds + 30) // 60 * 60


def _change_between(low: int, high: int, zone: ZoneInfo) -> int:
    """The first second of the new offset, which holds at `high` but not at `low`."""
    old = _read_offset(low, zone)
    while high - low > 1:
        middle = (low + high) // 2
        if _read_offset(middle, zone) == old:
            low = middle
        else:
            high = middle
    return high


@lru_cache(maxsize=4096)
def _offset_table(zone: ZoneInfo, chunk: int) -> tuple[tuple[int, ...], tuple[int, ...]]:
    """Where each offset starts within a chunk of time, and the offsets.

    The time zone library answers for one instant at a time; a table of the few changes answers a
    plan's hundred thousand questions.
    """
    if not isinstance(zone, ZoneInfo):
        raise RequestError(f'{zone!r:.40} is no time zone; give one such as ZoneInfo("Asia/Tokyo")')
    start, end = chunk * _CHUNK_S, (chunk + 1) * _CHUNK_S
    starts, offsets = [start], [_read_offset(start, zone)]
    for low, high in pairwise([*range(start, end, _SAMPLE_S), end - 1]):
        offset = _read_offset(high, zone)
        if offset != offsets[-1]:
            starts.append(_change_between(low, high, zone))
            offsets.append(offset)
    return tuple(starts), tuple(offsets)


def _offset_and_end(instant: int, zone: ZoneInfo) -> tuple[int, int]:
    """The offset at an instant, and an instant up to which it holds without a break."""
    chunk = instant // _CHUNK_S
    starts, offsets = _offset_table(zone, chunk)
    index = bisect_right(starts, instant)
    return offsets[index - 1], starts[index] if index < len(starts) else (chunk + 1) * _CHUNK_S


def utc_offset(instant: int, zone: ZoneInfo) -> int:
    """Seconds that local clocks are ahead of UTC at an instant (whole minutes)."""
    starts, offsets = _offset_table(zone, instant // _CHUNK_S)
    return offsets[bisect_right(starts, instant) - 1]


def offsets_between(start: int, end: int, zone: ZoneInfo) -> list[tuple[int, int]]:
    """The offsets that hold from `start` to `end`: since which instant, and seconds."""
    offsets = []
    at = start
    while at <= end:
        offset, until = _offset_and_end(at, zone)
        offsets.append((at, offset))
        at = until
    return offsets


def instant_of(day: date, wall: time, zone: ZoneInfo) -> int:
    """The instant at which the clock shows `wall` on `day`; unix seconds.

    A time that does not exist that day is the first moment after the jump; of one that happens
    twice it is the first.
    """
    seconds = wall.hour * 3600 + wall.minute * 60 + wall.second
    reading = (day.toordinal() - _EPOCH_ORDINAL) * DAY_S + seconds
    at = reading - DAY_S  # offsets are less than a day, so no clock has shown the reading before
    while True:
        offset, end = _offset_and_end(at, zone)
        if reading < end + offset:
            return max(at, reading - offset)
        at = end


def instant_by_old_offset(day: date, seconds: int, zone: ZoneInfo) -> int:
    """The instant at which the clock shows so many seconds after 0:00 on `day`, as calendars mean.

    That is `instant_of`, but for a time that does not exist that day: it counts by the offset
    before the jump, so that 2:30 is 3:30 where clocks go from 2:00 to 3:00 (RFC 5545, 3.3.5).
    """
    at = instant_of(day, time(seconds // 3600, seconds // 60 % 60, seconds % 60), zone)
    reading = (day.toordinal() - _EPOCH_ORDINAL) * DAY_S + seconds
    return at if at + utc_offset(at, zone) == reading else reading - utc_offset(at - 1, zone)


def day_bounds(day: date, zone: ZoneInfo) -> Spell:
    """A local calendar day, from its first moment up to the next day's; may be empty."""
    return Spell(
        instant_of(day, time.min, zone), instant_of(day + timedelta(days=1), time.min, zone)
    )


def dates_bounds(first: date, last: date, zone: ZoneInfo) -> Spell:
    """All of the local days from `first` to `last`, both included.

    Raises RequestError when they are no dates, run backwards or lie outside 1900 to 2199.
    """
    first, last = a_date(first), a_date(last)
    if last < first:
        raise RequestError(f"the last date, {last}, is before the first, {first}; swap them")
    for day in (first, last):
        if not FIRST_DATE <= day <= LAST_DATE:
            raise RequestError(f"{day} is too far off; give dates from {YEARS}")
    return Spell(day_bounds(first, zone).start, day_bounds(last, zone).end)


def a_date(day: object) -> date:
    """A local day as it was given, once it is sure that it is one.

    Raises
    ------
    RequestError
        When it is of another kind; it says how to make a date of it.
    """
    if isinstance(day, datetime):
        raise RequestError(
            f"{day.isoformat()} is a time, and a local day is asked for; give its date: .date()"
        )
    if isinstance(day, date):
        return day
    if isinstance(day, str):
        raise RequestError(f'"{day[:40]}" is text; give a date: date.fromisoformat("2027-04-15")')
    kind = type(day).__name__
    raise RequestError(f"{kind} is no kind of date; give one such as datetime.date(2027, 4, 15)")


def dates_between(first: date, last: date) -> list[date]:
    """Every date from `first` to `last`, both included."""
    ordinals = range(first.toordinal(), last.toordinal() + 1)
    return [date.fromordinal(ordinal) for ordinal in ordinals]


def local_ordinal(instant: int, zone: ZoneInfo) -> int:
    """The number of the date that the local clock shows, as `date.toordinal` counts."""
    return (instant + utc_offset(instant, zone)) // DAY_S + _EPOCH_ORDINAL


def local_ordinals(instants: Sequence[int], zone: ZoneInfo) -> list[int]:
    """`local_ordinal` of each of some instants."""
    if not instants:
        return []
    starts, offsets = zip(*offsets_between(min(instants), max(instants), zone), strict=True)
    return [
        (instant + offsets[bisect_right(starts, instant) - 1]) // DAY_S + _EPOCH_ORDINAL
        for instant in instants
    ]


def _whole_second(instant: Any) -> int:
    """An instant in any form as the second begun; unix seconds pass quickly."""
    if type(instant) is int and _FIRST_INSTANT <= instant < _END_INSTANT:
        return instant
    from suncover.base.instants import second_of  # noqa: PLC0415 - numbers only where needed

    return math.floor(second_of(instant))


def local_date(instant: Any, zone: ZoneInfo) -> date:
    """The date that the local clock shows at an instant: unix seconds, or in any other form."""
    instant = _whole_second(instant)
    return date.fromordinal(local_ordinal(instant, zone))


def iso_local(instant: Any, zone: ZoneInfo) -> str:
    """An instant as ISO 8601 local time with its UTC offset: `2026-06-01T09:12:40-04:00`.

    `instant` is unix seconds, or in any other form; of a second begun the whole is written.
    """
    instant = _whole_second(instant)
    offset = utc_offset(instant, zone)
    days, seconds = divmod(instant + offset, DAY_S)
    day = date.fromordinal(days + _EPOCH_ORDINAL).isoformat()
    hours, minutes = divmod(seconds // 60, 60)
    sign = "-" if offset < 0 else "+"
    ahead_h, ahead_min = divmod(abs(offset) // 60, 60)
    clock = f"{hours:02d}:{minutes:02d}:{seconds % 60:02d}"
    return f"{day}T{clock}{sign}{ahead_h:02d}:{ahead_min:02d}"


def offset_text(day: date, wall: time, zone: ZoneInfo) -> str:
    """The UTC offset of a time on the local clock, as it ends an ISO 8601 time: `-04:00`."""
    return iso_local(instant_of(day, wall, zone), zone)[-6:]


def ordinal_and_clock(instant: int, zone: ZoneInfo) -> tuple[int, str]:
    """The date (its ordinal) and the time, to the minute begun, that the local clock shows."""
    days, seconds = divmod(instant + utc_offset(instant, zone), DAY_S)
    return days + _EPOCH_ORDINAL, f"{seconds // 3600:02d}:{seconds // 60 % 60:02d}"


def clock_text(instant: int, zone: ZoneInfo) -> str:
    """What the local clock shows, to the minute begun: `09:12`."""
    return ordinal_and_clock(instant, zone)[1]


def date_text(day: date) -> str:
    """A date as people say it, without the year: `1 Jun`."""
    return f"{day.day} {_MONTHS[day.month - 1]}"


def in_season(day: date, season: Season | None) -> bool:
    """Whether a date lies in a season; always, if there is none.

    Both ends count. A season whose last day comes before its first wraps over the new year. In a
    year without 29 February, a season that starts with it starts on 1 March and one that ends with
    it ends on 28 February.
    """
    if season is None:
        return True
    first, last = season
    month_day = (day.month, day.day)
    if first <= last:
        return first <= month_day <= last
    return month_day >= first or month_day <= last


@lru_cache(maxsize=256)
def season_spells(
    season: Season | None, first: date, last: date, zone: ZoneInfo
) -> tuple[Spell, ...]:
    """The days from `first` to `last` that are in the season, as sorted, disjoint spells."""
    if season is None:
        return union([Spell(day_bounds(first, zone).start, day_bounds(last, zone).end)])
    return union(
        day_bounds(day, zone) for day in dates_between(first, last) if in_season(day, season)
    )


@lru_cache(maxsize=256)
def quiet_spells(quiet: Quiet | None, first: date, last: date, zone: ZoneInfo) -> tuple[Spell, ...]:
    """The quiet hours that begin on a date from `first` to `last`, as sorted, disjoint spells.

    Hours whose end is at or before their begin run on into the next day. Quiet hours that the
    clocks jump over that night are left out.
    """
    if quiet is None:
        return ()
    begin, end = quiet
    overnight = timedelta(days=0 if begin < end else 1)
    return union(
        Spell(instant_of(day, begin, zone), instant_of(day + overnight, end, zone))
        for day in dates_between(first, last)
    )
