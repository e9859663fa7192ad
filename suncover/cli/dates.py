"""The time now, and which days a command is about where its options leave that open.

Nowhere else in the package is it asked what time or day it is; the linter sees to that.
"""

from __future__ import annotations

import math
import time
from datetime import UTC, date, datetime, timedelta
from itertools import pairwise
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

import click

from suncover.base.clock import LAST_DATE
from suncover.cli.options import check_range
from suncover.cli.output import remark

if TYPE_CHECKING:
    from suncover.site.model import MonthDay, Shade, Site

Dates = tuple[date, date]


def now_in(zone: ZoneInfo | None) -> datetime:
    """The time now by the clocks of a zone; by those of this machine, without one."""
    return datetime.now(UTC).astimezone(zone)


def unix_now() -> float:
    """Seconds since 1970, UTC."""
    return time.time()


def today_in(zone: ZoneInfo | None) -> date:
    """Today's date by the clocks of a time zone; by those of this machine, without one."""
    return now_in(zone).date()


def instant_in(text: str | None, zone: ZoneInfo) -> int:
    """The instant that a person asks for, in whole unix seconds begun; this one, without a text."""
    if text is None:
        return int(now_in(zone).timestamp())
    from suncover.base.instant_text import parse_instant

    try:
        return math.floor(parse_instant(text, zone))
    except ValueError as error:
        raise click.UsageError(f"--at {error}") from None


def clocks_here() -> tuple[float, float]:
    """Hours ahead of UTC of this machine's clocks, in January and July of a recent year."""
    days = (datetime(2026, 1, 15, tzinfo=UTC), datetime(2026, 7, 15, tzinfo=UTC))
    january, july = (
        (day.astimezone().utcoffset() or timedelta()).total_seconds() / 3600 for day in days
    )
    return january, july


def calendar_year(first: date | None, last: date | None, zone: ZoneInfo) -> Dates:
    """The days asked for; without any, this year.

    With `first` alone it runs to the end of that year, with `last` alone from its beginning.
    """
    if first is not None and last is not None:
        return _checked(first, last)
    year = (first or last or today_in(zone)).year
    chosen = first or date(year, 1, 1), last or date(year, 12, 31)
    _say_dates(*chosen)
    return chosen


def season_ahead(first: date | None, last: date | None, site: Site) -> Dates:
    """The days asked for; without any, from today to the end of the season, this or the next.

    Before a season it runs from the season's first day. With several shades it covers the seasons
    of all of them; where one has no season, it is a year from today. With `first` alone the same
    goes from that day on; with `last` alone it runs from today to it.
    """
    if first is not None and last is not None:
        return _checked(first, last)
    today = today_in(site.place.zone)
    if last is not None:
        if last < today:
            raise click.UsageError(f"--to {last} lies before today, {today}; give --from as well")
        chosen = today, last
    elif first is not None:
        chosen = first, _season_after(first, site)[1]
    else:
        chosen = _season_after(today, site)
    _say_dates(*chosen)
    return chosen


def _checked(first: date, last: date) -> Dates:
    check_range(first, last)
    return first, last


def _say_dates(first: date, last: date) -> None:
    remark(f"taking {first} to {last}; choose other days with --from and --to")


def _season_after(day: date, site: Site) -> Dates:
    """From the first day of a season that runs on `day` or comes next, or `day`, to its last."""
    spans = [_shade_span(day, shade, site) for shade in site.all_shades()]
    first, last = min(first for first, _ in spans), max(last for _, last in spans)
    return min(first, LAST_DATE), min(last, LAST_DATE)


def _shade_span(day: date, shade: Shade, site: Site) -> Dates:
    season = site.need_of(shade).plan_season
    first, last = _span_after(day, season)
    if season is not None and shade.quiet is not None and shade.in_quiet == "early":
        # On its last evening it may close for the sun of the morning after.
        last = min(last + timedelta(days=1), LAST_DATE)
    return first, last


def _span_after(day: date, season: tuple[MonthDay, MonthDay] | None) -> Dates:
    if season is None:
        return day, _year_later(day)
    from suncover.base.clock import in_season

    # Nine years hold every season: one of 29 February alone may come but once in eight.
    days = [day + timedelta(days=number) for number in range(9 * 366)]
    first = next(day for day in days if in_season(day, season))
    for earlier, later in pairwise(days):
        if earlier >= first and not in_season(later, season):
            return first, min(earlier, _year_later(first))
    return first, _year_later(first)


def _year_later(day: date) -> date:
    """The last of the twelve months that begin on a day."""
    try:
        return day.replace(year=day.year + 1) - timedelta(days=1)
    except ValueError:  # 29 February
        return day.replace(year=day.year + 1, day=28)
