"""A plan's closings in another year: last year's plan, held against this year's sun."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import time
from zoneinfo import ZoneInfo

from suncover.base import clock
from suncover.plan.closings.shade_plan import Closing, in_time_order


def moved_to_year(closings: Sequence[Closing], year: int, zone: ZoneInfo) -> tuple[Closing, ...]:
    """A plan's closings at the same dates and clock times, with the first of them in `year`.

    Those of 29 February are left out where there is no such day.
    """
    if not closings:
        return ()
    years = year - closings[0].date.year
    moved = []
    for closing in closings:
        close = _in_other_year(closing.close, years, zone)
        opens = _in_other_year(closing.open, years, zone)
        if close is not None and opens is not None and close < opens:
            day = clock.local_date(close, zone)
            moved.append(replace(closing, date=day, close=close, open=opens))
    return tuple(in_time_order(moved))


def _in_other_year(instant: int, years: int, zone: ZoneInfo) -> int | None:
    day, seconds = clock.local_date(instant, zone), instant + clock.utc_offset(instant, zone)
    hours, remainder = divmod(seconds % clock.DAY_S, 3600)
    try:
        moved = day.replace(year=day.year + years)
    except ValueError:  # 29 February
        return None
    return clock.instant_of(moved, time(hours, remainder // 60, remainder % 60), zone)
