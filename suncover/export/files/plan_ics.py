"""A plan as a calendar file (iCalendar): one event for each closing, in the order of the CSV.

- Times are instants in UTC: the sun keeps no wall clock, and no reader can get them wrong for want
  of a time zone (RFC 5545, 3.3.5, form 2).
- The UID stays the same while the site (its name and place), the shade, the date and the closing's
  number on that date do, so importing a plan made anew changes events and does not double them. A
  plan that begins later has the same date and number for it (`Closing.place`). It is a hash, so
  that it tells nobody anything (RFC 7986, 5.3).
- No clock is read here: the same plan gives the same bytes. DTSTAMP, which every event must have,
  is therefore one moment in the past for all: never later than a change made in a calendar.
- Events do not make anybody busy (TRANSP:TRANSPARENT).
"""

from __future__ import annotations

import json
import re
from collections import Counter
from collections.abc import Iterable
from datetime import UTC, date, datetime, timedelta
from functools import cache
from typing import TYPE_CHECKING
from uuid import UUID, uuid5

from suncover.plan.closings.shade_plan import Closing, in_time_order

if TYPE_CHECKING:
    from icalendar import Calendar, Event, Timezone, vText

    from suncover.site.model import Place

PRODUCT = "-//suncover//plan of shades//EN"
UID_NAMESPACE = UUID("89be84d1-d8fa-4590-9d73-1b913203306f")  # drawn at random, once for all plans
STAMP = datetime(2000, 1, 1, tzinfo=UTC)
REFRESH = timedelta(hours=12)
REMINDER = "The plan ends today. Make the next one with `suncover plan` and import it."

# RFC 5545, 3.3.11: no control characters in a text, but for the tab and the line break.
_NO_CONTROLS = dict.fromkeys((*range(9), 11, 12, *range(14, 32), 127), " ")


def plan_ics(closings: Iterable[Closing], place: Place, *, ends: date | None = None) -> bytes:
    """The file's bytes for the closings of any shades of the site at `place`.

    With `ends`, the plan's last day, that day has one event more, which says that the plan ends.
    """
    calendar = empty_calendar(place)
    numbers: Counter[tuple[str, str]] = Counter()
    for closing in in_time_order(closings):
        day = closing.date.isoformat()
        numbers[closing.shade, day] += 1
        number = numbers[closing.shade, day]
        if closing.place is not None:
            day, number = closing.place.date.isoformat(), closing.place.number
        calendar.add_component(_event(closing, event_uid(place, closing.shade, day, number)))
    if ends is not None:
        calendar.add_component(reminder(place, ends))
    elif not numbers:
        # A calendar must hold a component (RFC 5545, 3.6); a plan without closings has no event.
        calendar.add_component(utc_zone())
    content: bytes = calendar.to_ical()
    return content


def empty_calendar(place: Place) -> Calendar:
    """A calendar without events, by the name of the site."""
    from icalendar import Calendar, vDuration

    calendar = Calendar()
    calendar.add("VERSION", "2.0")
    calendar.add("PRODID", PRODUCT)
    # RFC 7986, 5.1 and 5.7, each beside the older property that many readers know alone.
    calendar["NAME"] = calendar["X-WR-CALNAME"] = calendar_text(f"{place.name}: shades")
    calendar["REFRESH-INTERVAL"] = vDuration(REFRESH, params={"VALUE": "DURATION"})
    calendar["X-PUBLISHED-TTL"] = vDuration(REFRESH)
    return calendar


def event_uid(place: Place, shade: str, day: str, number: int) -> str:
    """The UID of a shade's closing number 1, 2 … of a date (ISO 8601) at a site.

    JSON keeps the parts apart whatever the names hold. Two sites of one name in different places
    have different UIDs.
    """
    parts = [place.name, float(place.latitude), float(place.longitude), shade, day, number]
    return str(uuid5(UID_NAMESPACE, json.dumps(parts)))


def _event(closing: Closing, uid: str) -> Event:
    closed = "closed" if closing.position == 100 else f"{closing.position} % closed"
    event = new_event(uid, f"{closing.shade} {closed}", closing.reason)
    event.add("DTSTART", datetime.fromtimestamp(closing.close, UTC))
    event.add("DTEND", datetime.fromtimestamp(closing.open, UTC))
    return event


def new_event(uid: str, summary: str, description: str) -> Event:
    """An event that makes nobody busy; when it is, is still to be added."""
    from icalendar import Event

    event = Event()
    event.add("UID", uid)
    event.add("DTSTAMP", STAMP)
    event["SUMMARY"] = calendar_text(summary)
    event["DESCRIPTION"] = calendar_text(description)
    event.add("TRANSP", "TRANSPARENT")
    return event


def reminder(place: Place, ends: date) -> Event:
    """An event of the whole of a plan's last day, which says that it ends."""
    uid = event_uid(place, "", str(ends.year), 0)
    event = new_event(uid, f"Renew the plan for the shades of {place.name}", REMINDER)
    event.add("DTSTART", ends)
    event.add("DTEND", ends + timedelta(days=1))
    return event


def utc_zone() -> Timezone:
    """The zone of the events' times: a component where there is no event."""
    from icalendar import Timezone, TimezoneStandard

    standard = TimezoneStandard()
    standard.add("DTSTART", datetime(1970, 1, 1))  # noqa: DTZ001  (local time by RFC 5545, 3.6.5)
    standard.add("TZOFFSETFROM", timedelta(0))
    standard.add("TZOFFSETTO", timedelta(0))
    standard.add("TZNAME", "UTC")
    zone = Timezone()
    zone.add("TZID", "Etc/UTC")
    zone.add_component(standard)
    return zone


def calendar_text(text: str) -> vText:
    """The text as a property's value, without control characters that a calendar must not hold."""
    return _text_kind()(text.translate(_NO_CONTROLS))


@cache
def _text_kind() -> type[vText]:
    from icalendar import vText

    class Text(vText):
        """A text escaped as RFC 5545 (3.3.11) has it; icalendar makes line breaks of "\\N" too."""

        def to_ical(self) -> bytes:
            escaped = re.sub(r"[\\;,]", r"\\\g<0>", str(self))
            return re.sub(r"\r\n?|\n", r"\\n", escaped).encode()

    return Text
