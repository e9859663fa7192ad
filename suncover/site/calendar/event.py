"""An event of a household's own calendar that means something for shades, once it has been read:
its dates, and the rules by which it repeats, by whole days (RFC 5545, 3.3.10).
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from suncover.site.calendar.ics_values import Length, Moment

Do = Literal["up", "down"]
Frequency = Literal["DAILY", "WEEKLY", "MONTHLY", "YEARLY"]

MOST_TIMES = 100_000
"""Times that events may come to in a stretch of time: our own bound."""


@dataclass(frozen=True)
class Rule:
    """One rule; its lists are empty where the part is left out.

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


@dataclass(frozen=True)
class CalendarEvent:
    """One event, with all its repetitions; `skipped` are the beginnings of those that are not.

    `names_none` says that its title might name shades and names none, so that it is for all.
    """

    name: str
    do: Do
    shades: tuple[str, ...]
    start: Moment
    length: Length
    rules: tuple[Rule, ...] = ()
    more: tuple[tuple[Moment, Length], ...] = ()
    skipped_days: frozenset[date] = frozenset()
    skipped_instants: frozenset[int] = frozenset()
    names_none: bool = False
