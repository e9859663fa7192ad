"""Events of a household's calendar: what is read, what it comes to, and what is refused."""
# ruff: noqa: E501  (a case to a line)

from datetime import date, datetime
from time import process_time
from zoneinfo import ZoneInfo

import icalendar
import pytest
import recurring_ical_events

from suncover.base import clock
from suncover.base.errors import FileFaults
from suncover.site.calendar.events import calendar_from_text
from suncover.site.calendar.spells import spells_of
from suncover.site.sharing import EventMeaning

BERLIN = ZoneInfo("Europe/Berlin")
BOTH = ("east", "south roller")
AWAY = EventMeaning(words=("holiday", "away"), do="down", shades=BOTH)
CLEANING = EventMeaning(words=("cleaning",), do="up", shades=BOTH, narrow="by title")
YEAR = clock.dates_bounds(date(2027, 1, 1), date(2027, 12, 31), BERLIN)


def event(*lines: str) -> str:
    return "\r\n".join(["BEGIN:VEVENT", *lines, "END:VEVENT"])


def calendar(*events: str) -> str:
    head = "BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//home//EN\r\n"
    return head + "\r\n".join(events) + "\r\nEND:VCALENDAR\r\n"


def holiday(*lines: str) -> str:
    return calendar(event("UID:1", "SUMMARY:Holiday", *lines))


def read(text):
    return calendar_from_text(text, (AWAY, CLEANING), BERLIN, "family.ics")


def times(text):
    """When all events of a file are on, in local time."""
    spells = sorted(spell for one in read(text) for spell in spells_of(one, YEAR, BERLIN))
    return [tuple(clock.iso_local(at, BERLIN)[:16] for at in (s.start, s.end)) for s in spells]


@pytest.mark.parametrize(
    ("lines", "expected"),
    [
        ("DTSTART;VALUE=DATE:20270710 DTEND;VALUE=DATE:20270725", "07-10T00:00/07-25T00:00"),
        ("DTSTART;VALUE=DATE:20270710", "07-10T00:00/07-11T00:00"),
        ("DTSTART;VALUE=DATE:20270710 DTEND;VALUE=DATE:20270710", "07-10T00:00/07-11T00:00"),
        ("DTSTART;VALUE=DATE:20270710 DURATION:P2W", "07-10T00:00/07-24T00:00"),
        ("DTSTART:20270710T130000 DTEND:20270710T150000", "07-10T13:00/07-10T15:00"),
        ("DTSTART:20270710T130000Z DURATION:PT1H30M", "07-10T15:00/07-10T16:30"),
        # Another zone, by its own name, by that of Windows, and behind a path.
        ("DTSTART;TZID=America/New_York:20270710T080000 DURATION:PT1H", "07-10T14:00/07-10T15:00"),
        ("DTSTART;TZID=Eastern_Standard_Time:20270710T080000 DURATION:PT1H", "07-10T14:00/07-10T15:00"),
        ('DTSTART;TZID="/own.example/2027/America/New_York":20270710T080000 DURATION:PT1H', "07-10T14:00/07-10T15:00"),
        ("DTSTART:20270710T130000", ""),
        # A day by the clock and 24 hours over a change of the clocks, and a time that is not there.
        ("DTSTART:20270327T120000 DURATION:P1D", "03-27T12:00/03-28T12:00"),
        ("DTSTART:20270327T120000 DURATION:PT24H", "03-27T12:00/03-28T13:00"),
        ("DTSTART:20270328T023000 DURATION:PT1H", "03-28T03:30/03-28T04:30"),
        ("DTSTART;VALUE=DATE:20270710 STATUS:CANCELLED", ""),
        ("DTSTART;VALUE=DATE:20261230 DTEND;VALUE=DATE:20270103", "2026-12-30T00:00/01-03T00:00"),
        ("DTSTART:20270701T130000 DURATION:PT1H RRULE:FREQ=DAILY;COUNT=4 EXDATE:20270702T130000 RDATE:20270720T090000",
         "07-01T13:00/07-01T14:00 07-03T13:00/07-03T14:00 07-04T13:00/07-04T14:00 07-20T09:00/07-20T10:00"),
        ("DTSTART:20270701T130000 DURATION:PT1H RDATE;VALUE=PERIOD:20270720T090000/PT2H,20270721T090000/20270721T093000 EXDATE;VALUE=DATE:20270701",
         "07-20T09:00/07-20T11:00 07-21T09:00/07-21T09:30"),
    ],
)  # fmt: skip
def test_when_an_event_is_on(lines, expected):
    found = times(holiday(*(line.replace("_Standard_", " Standard ") for line in lines.split())))
    assert ["/".join(at.removeprefix("2027-") for at in pair) for pair in found] == expected.split()


def test_one_of_a_series_is_moved_and_another_cancelled():
    berlin = "TZID=Europe/Berlin:202706"
    text = calendar(
        event("UID:7", "SUMMARY:Away", f"DTSTART;{berlin}01T120000", f"DTEND;{berlin}01T140000",
              "RRULE:FREQ=WEEKLY;UNTIL=20270622T100000Z"),
        event("UID:7", "SUMMARY:Away", f"RECURRENCE-ID;{berlin}08T120000",
              f"DTSTART;{berlin}09T080000", f"DTEND;{berlin}09T090000"),
        event("UID:7", "SUMMARY:Away", "STATUS:CANCELLED", "RECURRENCE-ID:20270615T100000Z",
              "DTSTART:20270615T100000Z"),
    )  # fmt: skip
    starts = [start[5:] for start, _ in times(text)]
    assert starts == ["06-01T12:00", "06-09T08:00", "06-22T12:00"]


@pytest.mark.parametrize(
    ("lines", "expected"),
    [
        (("SUMMARY:HOLIDAY in Rome",), ("down", BOTH)),
        (("SUMMARY:Holidays",), None),
        (("SUMMARY:Rome", "CATEGORIES:Family,Away"), ("down", BOTH)),
        (("SUMMARY:Rome", "CATEGORIES:Far away"), None),
        (("SUMMARY:Cleaning: South  Roller",), ("up", ("south roller",))),
        (("SUMMARY:Window cleaning",), ("up", BOTH)),
        (("SUMMARY:Cleaning before the holi", " day"), ("down", BOTH)),
        (("SUMMARY;LANGUAGE=en:Dentist\\, then away",), ("down", BOTH)),
        (("DESCRIPTION:holiday",), None),
    ],
)
def test_what_an_event_means(lines, expected):
    found = read(calendar(event("UID:1", *lines, "DTSTART;VALUE=DATE:20270710")))
    assert [(one.do, one.shades) for one in found] == ([] if expected is None else [expected])


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", "this is no iCalendar file"),
        ("title,date\nholiday,2027-07-10\n", "this is no iCalendar file"),
        (holiday("DTSTART;VALUE=DATE:20270710")[:90], "the file is cut off"),
        ("BEGIN:VCALENDAR\nEND:VEVENT\n", "family.ics:2: END:VEVENT does not fit"),
        ("BEGIN:VCALENDAR\n" * 100_000, "family.ics:100000: VCALENDAR begins here and never ends"),
        (holiday(), 'family.ics:4: event "Holiday": it has no DTSTART'),
        (holiday("DTSTART:20270230"), 'family.ics:7: event "Holiday": "20270230" is no day'),
        (holiday("DTSTART:2027-07-10"), '"2027-07-10" is not a date such as 20270710'),
        (holiday("DTSTART:20270710T250000"), "has no such time of day"),
        (holiday("DTSTART:20270710", "DTEND:20270709"), ":8: event"),
        (holiday("DTSTART:20270710", "DTEND:20270710T120000"), "begins with a date and ends with"),
        (holiday("DTSTART:20270710", "DURATION:-P1D"), '"-P1D" is not a length of time'),
        (holiday("DTSTART;TZID=Europe/Berln:20270710T120000"), 'did you mean "Europe/Berlin"?'),
        (holiday("DTSTART;TZID=../../etc/passwd:20270710T120000"), "is not the name of a time zone"),
        (holiday("DTSTART:20270710", "RRULE:FREQ=SECONDLY"), "more than once a day"),
        (holiday("DTSTART:20270710", "RRULE:FREQ=DAILY;BYHOUR=1,2"), "more than once a day"),
        (holiday("DTSTART:20270710", "RRULE:EVERY=DAY"), "is not a rule such as FREQ=WEEKLY"),
        (holiday("DTSTART:20270710", "RRULE:FREQ=DAILY;INTERVAL=0"), "whole number from 1 up"),
        (holiday("DTSTART:20270710", "RRULE:FREQ=WEEKLY;BYDAY=XX"), '"XX" in the rule is not a'),
        (holiday("DTSTART:20270710", "RRULE:FREQ=YEARLY;BYMONTH=13"), "is not from 1 to 12"),
        (holiday("DTSTART:18000101", "RRULE:FREQ=DAILY;COUNT=9"), "counted from before 1900"),
        (holiday("DTSTART:20270710", "EXRULE:FREQ=DAILY"), "EXRULE is no longer used"),
        (holiday("DTSTART:20270710", "EXDATE:tomorrow"), '"tomorrow" is not a date'),
        (holiday("DTSTART:20270101", *["RRULE:FREQ=DAILY"] * 50_000), "ics:4: more events and repetitions mean"),
        (holiday("DTSTART:20270101", "DURATION:P100000D", "RRULE:FREQ=DAILY"), "repeats and lasts longer than 10 y"),
        (holiday("DTSTART:20270710", f"RDATE:{'20270711,' * 30_000}20270711"), "choose rarer words"),
        (holiday("RECURRENCE-ID;RANGE=THISANDFUTURE:20270710", "DTSTART:20270710"), "a series that changes from one day on"),
        (calendar(*[event("UID:1", "SUMMARY:Away", "DTSTART:20270710")] * 1001), "choose rarer words"),
    ],
)  # fmt: skip
def test_what_is_refused(text, message):
    before = process_time()
    with pytest.raises(FileFaults) as caught:
        read(text)
    assert message in str(caught.value)
    assert process_time() - before < 3.0  # far more than it takes; it must not be forever


def test_all_faults_are_told_at_once():
    text = calendar(
        event("UID:1", "SUMMARY:Holiday", "DTSTART:soon", "RRULE:FREQ=NEVER"),
        event("UID:2", "SUMMARY:Dentist", "DTSTART:soon"),
        event("UID:3", "SUMMARY:Away", "DTSTART:20270710", "RRULE:FREQ=NEVER", "EXDATE:x"),
    )
    with pytest.raises(FileFaults) as caught:
        read(text)
    assert [fault.line for fault in caught.value.faults] == [7, 8, 19, 20]


def test_a_long_title_is_cut_where_it_is_shown():
    found = read(calendar(event("SUMMARY:Holiday " + "x" * 100_000, "DTSTART:20270710")))
    assert found[0].name == "Holiday " + "x" * 51 + "…"


def test_many_endless_events_end_soon():
    rules = ["DAILY", "DAILY;BYMONTH=2;BYMONTHDAY=30", "YEARLY;COUNT=999999999", "WEEKLY"]
    events = [
        event(f"UID:{n}", "SUMMARY:Away", "DTSTART:19000101", f"RRULE:FREQ={rules[n % 4]}")
        for n in range(200)
    ]
    before = process_time()
    found = read(calendar(*events))
    count = sum(1 for one in found for _ in spells_of(one, YEAR, BERLIN))
    assert count == 50 * (365 + 52 + 1)
    assert process_time() - before < 10.0


def test_the_same_as_independent_readers_see():
    """icalendar with recurring-ical-events, general-purpose readers of RFC 5545."""
    new_york = "TZID=America/New_York:2027"
    text = calendar(
        event("UID:1", "SUMMARY:Away", f"DTSTART;{new_york}0301T200000", f"DTEND;{new_york}0302T060000",
              "RRULE:FREQ=WEEKLY;BYDAY=MO,TH;UNTIL=20271115T235959Z",
              f"EXDATE;{new_york}0311T200000,20270701T200000"),
        event("UID:2", "SUMMARY:Holiday", "DTSTART;VALUE=DATE:20250712", "DTEND;VALUE=DATE:20250716",
              "RRULE:FREQ=YEARLY;BYMONTH=7,12;BYDAY=2SA"),
        event("UID:3", "SUMMARY:Away for lunch", "DTSTART:20270129T113000Z", "DURATION:PT45M",
              "RRULE:FREQ=MONTHLY;BYDAY=MO,TU,WE,TH,FR;BYSETPOS=-1;COUNT=9",
              "RDATE:20270809T113000Z"),
        event("UID:1", "SUMMARY:Away", f"RECURRENCE-ID;{new_york}0401T200000",
              f"DTSTART;{new_york}0402T200000", f"DTEND;{new_york}0402T210000"),
    )  # fmt: skip

    def instant(at):
        at = at if isinstance(at, datetime) else datetime(at.year, at.month, at.day, tzinfo=BERLIN)
        return int(at.timestamp())

    year = (datetime(start, 1, 1, tzinfo=BERLIN) for start in (2027, 2028))
    found = recurring_ical_events.of(icalendar.Calendar.from_ical(text)).between(*year)
    theirs = {(instant(one["DTSTART"].dt), instant(one["DTEND"].dt)) for one in found}
    ours = {(s.start, s.end) for one in read(text) for s in spells_of(one, YEAR, BERLIN)}
    assert ours == theirs
    assert len(ours) > 75
