"""Settings that repeat, as readers of other makers expand them: row for row as in the table.

Readers: the Python package recurring-ical-events (on icalendar), and the JavaScript package
ical.js, the strictest with zones.
"""

from datetime import UTC, date, datetime, time, timedelta
from functools import cache
from zoneinfo import ZoneInfo

import icalendar
import pytest
import recurring_ical_events
from ical_js import read_with_ical_js

from suncover.base import clock
from suncover.base.spell import Spell
from suncover.export.files.plan_rrule_ics import plan_rrule_ics
from suncover.plan.closings.shade_plan import make_shade_plan
from suncover.plan.motor import Motor
from suncover.plan.timers.dial import Dial, standing_dial
from suncover.plan.timers.settings import make_timer_plan
from suncover.site.model import Place, Shade

# Zone, latitude, longitude: north and south of the equator, a half-hour jump, jumps at midnight,
# no jumps, negative summer time in winter (IANA time zone database: Europe/Dublin).
PLACES = {
    "New York": ("America/New_York", 40.7, -74.0),
    "Lord Howe": ("Australia/Lord_Howe", -31.5, 159.1),
    "Santiago": ("America/Santiago", -33.4, -70.7),
    "Cairo": ("Africa/Cairo", 30.0, 31.2),
    "Dublin": ("Europe/Dublin", 53.3, -6.3),
    "Kathmandu": ("Asia/Kathmandu", 27.7, 85.3),
    "Tromsø": ("Europe/Oslo", 69.6, 18.9),
}


def place_of(name: str) -> Place:
    zone, latitude, longitude = PLACES[name]
    return Place(name=name, latitude=latitude, longitude=longitude, timezone=zone)


@cache
def timers_of(name, every, *, ignores):
    """A year and a month of sun in the morning and about midnight, and one over quiet hours."""
    zone = ZoneInfo(PLACES[name][0])
    dates = date(2027, 10, 1), date(2028, 10, 31)  # a leap day is in it
    dial = standing_dial(zone, dates[0]) if ignores else Dial(zone)
    start = clock.day_bounds(dates[0], zone).start
    shades = {
        "east": (Shade(name="east", windows=("w",)), 9 * 3600, 86400),
        "night": (Shade(name="night", windows=("w",), shortest=0), 0, 86400),
        "quiet": (
            Shade(name="quiet", windows=("w",), quiet=(time(21, 30), time(9, 15)), travel=75),
            8 * 3600,
            86395,
        ),
    }
    plans = []
    for shade, after, pace in shades.values():
        spells = [
            Spell(start + after + day * pace, start + after + day * pace + 3 * 3600)
            for day in range((dates[1] - dates[0]).days)
        ]
        closings = make_shade_plan(shade, spells, zone, None).closings
        plans.append(make_timer_plan(Motor(shade, zone), closings, dial, every, dates=dates))
    return plans, dial


def rows_wanted(plans):
    return sorted((f"{r.shade} closed", r.close, r.open) for plan in plans for r in plan.rows)


def read_with_recurring_ical_events(content):
    calendar = icalendar.Calendar.from_ical(content)
    events = recurring_ical_events.of(calendar).between((2027, 9, 1), (2029, 1, 1))
    return sorted(
        (str(e["SUMMARY"]), int(e["DTSTART"].dt.timestamp()), int(e["DTEND"].dt.timestamp()))
        for e in events
    )


# By week and by month everywhere; by turns on the wall and by a clock that ignores the jumps.
by_case = pytest.mark.parametrize(
    ("name", "every", "ignores"),
    [
        (name, every, (number + (every == "month")) % 2 == 1)
        for number, name in enumerate(PLACES)
        for every in ("week", "month")
    ],
)


@by_case
def test_recurring_ical_events_finds_the_rows_of_the_table(name, every, ignores):
    plans, dial = timers_of(name, every, ignores=ignores)
    content = plan_rrule_ics(plans, place_of(name), dial)
    assert content.count(b"RRULE") > 10
    assert read_with_recurring_ical_events(content) == rows_wanted(plans)


@by_case
def test_ical_js_finds_the_rows_of_the_table(name, every, ignores):
    plans, dial = timers_of(name, every, ignores=ignores)
    content = plan_rrule_ics(plans, place_of(name), dial)
    rows = read_with_ical_js(content, "America/Chicago")["rows"]
    assert sorted(tuple(row[1:4]) for row in rows) == rows_wanted(plans)


@pytest.mark.parametrize(
    ("name", "wall"),
    [("Cairo", time(23, 20)), ("Tromsø", time(2, 20)), ("Lord Howe", time(1, 45))],
)
def test_an_hour_that_the_clock_shows_twice_is_read_alike(name, wall):
    """RFC 5545, 3.3.5: the first of the two; ical.js takes Cairo's for the second."""
    zone = ZoneInfo(PLACES[name][0])
    dial = Dial(zone)
    shade = Shade(name="late", windows=("w",), lead=0, lag=0, shortest=0)
    dates = date(2028, 1, 1), date(2028, 12, 1)
    days = clock.dates_between(*dates)
    starts = [clock.instant_of(day, wall, zone) for day in days]
    spells = [Spell(start, start + 1200) for start in starts]
    closings = make_shade_plan(shade, spells, zone, None).closings
    plan = make_timer_plan(Motor(shade, zone), closings, dial, "month", dates=dates)
    twice = [row.close for row in plan.rows if dial.shows_twice(dial.reading(row.close))]
    assert len(twice) == 1
    content = plan_rrule_ics([plan], place_of(name), dial)
    assert (
        datetime.fromtimestamp(twice[0], UTC).strftime("DTSTART:%Y%m%dT%H%M%SZ") in content.decode()
    )
    assert read_with_recurring_ical_events(content) == rows_wanted([plan])
    rows = read_with_ical_js(content, "America/Chicago")["rows"]
    assert sorted(tuple(row[1:4]) for row in rows) == rows_wanted([plan])


@pytest.mark.parametrize("name", PLACES)
def test_the_zone_has_a_part_for_each_change_as_the_clocks_before_it_show_it(name):
    """RFC 5545, 3.8.2.4: the onset is a local time, in the offset that TZOFFSETFROM states."""
    plans, dial = timers_of(name, "month", ignores=False)
    calendar = icalendar.Calendar.from_ical(plan_rrule_ics(plans, place_of(name), dial))
    (component,) = calendar.walk("VTIMEZONE")
    assert str(component["TZID"]) == PLACES[name][0]
    zone = ZoneInfo(PLACES[name][0])
    for number, part in enumerate(component.subcomponents):
        before, after = part["TZOFFSETFROM"].td, part["TZOFFSETTO"].td
        onset = part["DTSTART"].dt
        assert onset.tzinfo is None
        instant = (onset - before).replace(tzinfo=ZoneInfo("UTC"))
        assert instant.astimezone(zone).utcoffset() == after
        if number:
            assert (instant - timedelta(seconds=1)).astimezone(zone).utcoffset() == before
        assert (part.name == "DAYLIGHT") == bool(instant.astimezone(zone).dst())
        assert not {"RRULE", "RDATE"} & set(part)


def test_a_standing_clock_is_written_in_utc_without_a_zone():
    plans, dial = timers_of("New York", "week", ignores=True)
    content = plan_rrule_ics(plans, place_of("New York"), dial)
    assert b"VTIMEZONE" not in content
    assert content.count(b"TZID") == 0


def test_the_same_plan_gives_the_same_bytes_and_no_uid_twice():
    plans, dial = timers_of("New York", "week", ignores=False)
    content = plan_rrule_ics(plans, place_of("New York"), dial)
    assert content == plan_rrule_ics(plans, place_of("New York"), dial)
    uids = [line for line in content.split(b"\r\n") if line.startswith(b"UID:")]
    assert len(set(uids)) == len(uids) == content.count(b"BEGIN:VEVENT")
    assert all(len(line) <= 75 for line in content.split(b"\r\n"))


def test_no_settings_are_a_calendar_all_the_same():
    dial = Dial(ZoneInfo("Europe/Zurich"))
    calendar = icalendar.Calendar.from_ical(plan_rrule_ics([], place_of("Dublin"), dial))
    assert calendar.walk("VEVENT") == []
    assert len(calendar.walk("VTIMEZONE")) == 1
    assert isinstance(calendar.walk("STANDARD")[0]["DTSTART"].dt, datetime)
