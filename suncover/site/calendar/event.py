"""An event of a household's own calendar that means something for shades, once it has been read."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from suncover.site.calendar.ics_values import Length, Moment, Rule

Do = Literal["up", "down"]

MOST_TIMES = 100_000
"""Times that events may come to in a stretch of time: our own bound."""


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
