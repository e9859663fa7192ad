"""Today and the next seven days: when each shade is closed on them, and why it stays up."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from suncover.base.clock import FIRST_DATE, LAST_DATE
from suncover.base.spell import union
from suncover.plan.closings.shade_plan import Closing, ShadePlan
from suncover.plan.exceptions import Happening
from suncover.plan.season import ShadeSun, plans_for, shade_sun
from suncover.report.calendar_days import Calendar, Drop, Piece
from suncover.report.doubt import Doubt, greatest_doubt
from suncover.report.sun_days import sun_up
from suncover.site.model import Shade, Site

WEEK = 8
"""Days shown one by one: today and the next seven."""
_BESIDE = timedelta(days=3)  # worked out before and after these, for closings that reach across


@dataclass(frozen=True)
class ShadeWeek:
    """A shade on today and the days after it, by the week's own calendar.

    `closings` are those that touch these days, whole; `drops` are their parts by day; `doubt` is
    about the sun on its windows; `kept_up` are the exceptions that have it stay up on some of the
    days.
    """

    shade: Shade
    closings: tuple[Closing, ...]
    drops: list[Drop]
    sun: list[Piece]
    doubt: Doubt | None = None
    kept_up: tuple[Happening, ...] = ()

    @property
    def closed(self) -> list[Piece]:
        """When it is down at all."""
        return [drop.piece for drop in self.drops]

    def drops_on(self, day: int) -> list[Drop]:
        """Its closings on a day of the week."""
        return [drop for drop in self.drops if drop.piece.day == day]


@dataclass(frozen=True)
class Week:
    """Today and the next seven days."""

    calendar: Calendar
    up: list[Piece]
    shades: tuple[ShadeWeek, ...]


Plans = Sequence[tuple[ShadeSun, ShadePlan]]
"""The sun that counts for each shade, and its plan."""


def plans_of(site: Site, suns: Sequence[ShadeSun]) -> Plans:
    """The plans for shades by their sun."""
    return list(zip(suns, plans_for(site, suns), strict=True))


def week_of(
    site: Site, at: date, doubts: Mapping[str, Doubt], year: Calendar, plans: Plans
) -> Week:
    """The days from `at` on; `plans` are those of the days of `year`.

    `doubts` is about the sun's times by window.
    """
    week = Calendar(at, min(at + timedelta(days=WEEK - 1), LAST_DATE), site.place.zone)
    first, last = max(week.first - _BESIDE, FIRST_DATE), min(week.last + _BESIDE, LAST_DATE)
    if not year.first <= first <= last <= year.last:
        plans = plans_of(site, shade_sun(site, first, last))
    shades = tuple(_shade_week(week, sun, plan, doubts) for sun, plan in plans)
    return Week(week, sun_up(site, week), shades)


def _shade_week(
    week: Calendar, sun: ShadeSun, plan: ShadePlan, doubts: Mapping[str, Doubt]
) -> ShadeWeek:
    span = week.bounds
    closings = tuple(
        closing
        for closing in plan.closings
        if closing.close < span.end and closing.open > span.start
    )
    needed = union(spell for spells in sun.needed.values() for spell in spells)
    kept_up = tuple(
        happening
        for happening in sun.exceptions
        if happening.do == "up"
        and happening.spell.start < span.end
        and happening.spell.end > span.start
    )
    return ShadeWeek(
        sun.shade,
        closings,
        week.drops(closings),
        week.pieces(needed),
        greatest_doubt(doubts.get(name) for name in sun.shade.windows),
        kept_up,
    )
