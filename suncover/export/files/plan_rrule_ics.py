"""A timer's settings as a calendar file: one event for each, repeated daily in wall-clock time.

- Where the timer keeps the clock on the wall, so do the events: their times carry the zone's name,
  and the file holds the zone (RFC 5545, 3.6.5), a part for each change of its clocks in the time of
  the plan. The onset of each is written in the offset that held before it, as 3.8.2.4 wants.
- A timer that ignores summer time keeps one offset: its events are in UTC, which it never leaves.
- An event that recurs has one length for all its days (3.8.5.3). A day on which clocks change
  within a closing, or jump over its beginning, therefore has an event of its own; so has one whose
  closing begins or ends in an hour that the clock shows twice, and that event is in UTC.
- The UID is made of the site, the shade, the period, the first day on which the event could have
  been in it had the plan begun sooner, and its number among those: so it stays the same in a week
  that has begun.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, timedelta
from typing import TYPE_CHECKING, Any

from suncover.base import clock
from suncover.base.clock import DAY_S
from suncover.export.files.plan_ics import (
    empty_calendar,
    event_uid,
    new_event,
    reminder,
    utc_zone,
)
from suncover.plan.closings.shade_plan import Closing
from suncover.plan.timers.dial import Dial
from suncover.plan.timers.settings import Setting, TimerPlan

if TYPE_CHECKING:
    from icalendar import Event, Timezone

    from suncover.site.model import Place

BEFORE_S = 366 * DAY_S  # how long before the first event the zone's own history begins


@dataclass(frozen=True)
class Run:
    """Closings on days in a row, all at one reading of the clock and of one length.

    It would have begun on the day `since`, had the plan done so.
    """

    period: str
    closings: tuple[Closing, ...]
    since: date


def plan_rrule_ics(
    plans: Iterable[TimerPlan], place: Place, dial: Dial, *, ends: date | None = None
) -> bytes:
    """The file's bytes for the timer plans of any shades of the site at `place`; `ends` as for
    `plan_ics`.
    """
    calendar = empty_calendar(place)
    runs = [run for plan in plans for run in runs_of(plan, dial)]
    runs.sort(key=lambda run: (run.closings[0].close, run.closings[0].shade))
    if not runs and ends is None:
        calendar.add_component(utc_zone())
    elif runs and dial.fixed is None:
        start = runs[0].closings[0].close
        end = max(run.closings[-1].open for run in runs)
        calendar.add_component(zone_component(dial, place.zone_name, start, end))
    numbers: dict[tuple[str, str], int] = {}
    for run in runs:
        key = run.closings[0].shade, f"{run.period} {run.since}"
        numbers[key] = numbers.get(key, 0) + 1
        uid = event_uid(place, *key, numbers[key])
        calendar.add_component(_event(run, uid, place, dial))
    if ends is not None:
        calendar.add_component(reminder(place, ends))
    content: bytes = calendar.to_ical()
    return content


def runs_of(plan: TimerPlan, dial: Dial) -> Iterator[Run]:
    """The rows of a timer plan, in runs that one rule of recurrence can say exactly."""
    by_setting: dict[int, list[Closing]] = {}
    for number, row in zip(plan.origin, plan.rows, strict=True):
        by_setting.setdefault(number, []).append(row)
    for number, rows in by_setting.items():
        setting = plan.settings[number]
        runs: list[list[Closing]] = []
        for row in rows:
            if runs and _follows(runs[-1], row, dial):
                runs[-1].append(row)
            else:
                runs.append([row])
        for rank, run in enumerate(runs):
            since = run[0].date if rank else _since(setting, run[0], dial)
            yield Run(setting.period, tuple(run), since)


def _since(setting: Setting, row: Closing, dial: Dial) -> date:
    """The date on which the run of a setting's first row would have begun, had the plan sooner."""
    days = 0 if setting.since is None else (setting.first - setting.since).days
    for _ in range(days):
        close, opens = (dial.instant(dial.reading(at) - DAY_S) for at in (row.close, row.open))
        day = clock.local_date(close, dial.zone)
        before = replace(row, close=close, open=opens, date=day)
        if not _follows([before], row, dial):
            break
        row = before
    return row.date


def _follows(run: Sequence[Closing], row: Closing, dial: Dial) -> bool:
    first, before = run[0], run[-1]
    next_day = dial.reading(row.close) - dial.reading(before.close) == DAY_S
    same_length = row.open - row.close == first.open - first.close
    return (
        next_day and same_length and _is_said_by_wall(first, dial) and _is_said_by_wall(row, dial)
    )


def _is_said_by_wall(row: Closing, dial: Dial) -> bool:
    """Whether readings of the clock tell when a closing is: not in an hour that it shows twice.

    RFC 5545, 3.3.5, takes such a reading as the first; not every reader of calendars does.
    """
    return not any(dial.shows_twice(dial.reading(at)) for at in (row.close, row.open))


def zone_component(dial: Dial, name: str, start: int, end: int) -> Timezone:
    """A zone's clocks from a year before `start` to a day after `end` (unix seconds)."""
    from icalendar import Timezone

    zone = Timezone()
    zone.add("TZID", name)
    since, old = start - BEFORE_S, 0
    for number, (at, offset) in enumerate(clock.offsets_between(since, end + DAY_S, dial.zone)):
        if number == 0:
            old = offset
        elif offset == old:  # a table's end, no change of clocks
            continue
        zone.add_component(_onset(dial, at, old, offset))
        old = offset
    return zone


def _onset(dial: Dial, at: int, old: int, new: int) -> Any:
    """The clocks from `at` on: when that is by the clocks before, and both offsets."""
    from icalendar import TimezoneDaylight, TimezoneStandard

    local = datetime.fromtimestamp(at, UTC).astimezone(dial.zone)
    part = TimezoneDaylight() if local.dst() else TimezoneStandard()
    part.add("DTSTART", datetime.fromtimestamp(at + old, UTC).replace(tzinfo=None))
    part.add("TZOFFSETFROM", timedelta(seconds=old))
    part.add("TZOFFSETTO", timedelta(seconds=new))
    part.add("TZNAME", local.tzname() or "")
    return part


def _event(run: Run, uid: str, place: Place, dial: Dial) -> Event:
    first = run.closings[0]
    event = new_event(uid, f"{first.shade} closed", first.reason)
    by_wall = dial.fixed is None and _is_said_by_wall(first, dial)
    for key, instant in (("DTSTART", first.close), ("DTEND", first.open)):
        if by_wall:
            wall = datetime.fromtimestamp(dial.reading(instant), UTC).replace(tzinfo=None)
            event.add(key, wall, parameters={"TZID": place.zone_name})
        else:
            event.add(key, datetime.fromtimestamp(instant, UTC))
    if len(run.closings) > 1:
        event.add("RRULE", {"FREQ": "DAILY", "COUNT": len(run.closings)})
    return event
