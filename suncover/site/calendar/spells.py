"""When an event of a calendar is on: each of its repetitions within a stretch of time."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from zoneinfo import ZoneInfo

from suncover.base.errors import RequestError
from suncover.base.spell import Spell
from suncover.base.textfile import printable
from suncover.site.calendar import ics_values
from suncover.site.calendar.event import MOST_TIMES, CalendarEvent
from suncover.site.calendar.ics_values import Length, Moment
from suncover.site.calendar.recurrence import days_of


def spells_of(event: CalendarEvent, span: Spell, zone: ZoneInfo) -> Iterator[Spell]:
    """When an event is on within a span of time, each time whole; `zone` is the site's.

    Raises
    ------
    RequestError
        When it is on more often than can be dealt with.
    """
    for start, length in _starts(event, span):
        if _is_skipped(event, start, zone):
            continue
        spell = length.spell(start, zone)
        if spell.start < span.end and spell.end > max(span.start, spell.start):
            yield spell


def _starts(event: CalendarEvent, span: Spell) -> Iterator[tuple[Moment, Length]]:
    margin = timedelta(days=2)
    longest = timedelta(days=event.length.days, seconds=event.length.seconds)
    first = _date_before(ics_values.utc_day(span.start), margin + longest)
    last = ics_values.utc_day(span.end) + margin
    days: set[date] = {event.start.day}
    for rule in event.rules:
        days.update(days_of(rule, event.start.day, first, last))
    if len(days) > MOST_TIMES:
        raise RequestError(
            f'calendar event "{printable(event.name)}" comes to more than {MOST_TIMES} times in '
            "these years; end its rule sooner (UNTIL)"
        )
    for day in sorted(days):
        yield event.start.on(day), event.length
    yield from event.more


def _date_before(day: date, by: timedelta) -> date:
    return date.fromordinal(max(day.toordinal() - by.days - 1, 1))


def _is_skipped(event: CalendarEvent, start: Moment, zone: ZoneInfo) -> bool:
    if start.day in event.skipped_days:
        return True
    return bool(event.skipped_instants) and start.instant(zone) in event.skipped_instants
