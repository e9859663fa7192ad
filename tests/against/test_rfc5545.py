"""The calendar file against RFC 5545 and RFC 7986, byte by byte, and in readers of other makers.

Readers: the Python packages icalendar, ics, vobject and recurring-ical-events, and the JavaScript
package ical.js, the strictest of them.
"""

import re
from collections import Counter
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import icalendar
import ics
import pytest
import recurring_ical_events
import vobject
from hypothesis import example, given
from hypothesis import strategies as st
from ical_js import read_with_ical_js

from suncover.base.spell import Spell
from suncover.export.files.plan_ics import plan_ics
from suncover.plan.closings.shade_plan import Closing, make_shade_plan
from suncover.site.model import Place, Shade

HOME = Place(
    name="Larkspur, Lane; ¶ 🙂", latitude=36.10, longitude=-79.95, timezone="America/New_York"
)
# Commas, semicolons, backslashes, emoji and lengths that must be folded. A backslash before an n is
# left to the test of any names: ics 0.7 takes it for a line break.
NAMES = [
    "kitchen roller",
    "office; the big one, north \\ east",
    "🙂" * 40,
    "ü" * 75,
    "Schlafzimmer, Dachfenster über der Treppe zum Garten und noch ein Stück weiter",
]


def plan_over_jumps():
    """Plans of several shades over both nights of 2026 on which clocks jump in New York."""
    zone = ZoneInfo("America/New_York")
    closings = []
    for number, name in enumerate(NAMES):
        rules = {"name": name, "windows": ["w"], "travel": 75, "quiet": (time(21, 30), time(7))}
        shade = Shade.model_validate(rules)
        spells = [
            Spell(int(start.timestamp()), int(start.timestamp()) + 4000 + 600 * number)
            for day in (*range(66, 69), *range(303, 307))
            for hour in (0, 5, 14)
            for start in [datetime(2026, 1, 1, hour, 13, 7, tzinfo=UTC) + timedelta(days=day)]
        ]
        closings += make_shade_plan(shade, spells, zone, None, windows={name: spells}).closings
    return closings


CLOSINGS = plan_over_jumps()
CONTENT = plan_ics(CLOSINGS, HOME)


def rows_wanted():
    """What every reader must find, but for the UIDs: summary, start, end, description."""
    return sorted((f"{c.shade} closed", c.close, c.open, c.reason) for c in CLOSINGS)


# --- The bytes

NAME = "[A-Z0-9-]+"
# RFC 5545, 3.1: name *(";" param ) ":" value; our parameters need no quotes. CONTROL is excluded.
CONTENT_LINE = re.compile(
    f'({NAME})((?:;{NAME}=[^\x00-\x1f\x7f",;:]+)*):([^\x00-\x08\x0a-\x1f\x7f]*)'
)
# 3.3.11: in a TEXT, backslash, semicolon, comma and line break are escaped, and nothing else.
TEXT = re.compile(r"(?:[^\\;,]|\\[\\;,nN])*")
UTC_TIME = re.compile(r"\d{8}T\d{6}Z")  # 3.3.5, form 2


def content_lines(content):
    """Name, parameters and value of each line, after the checks that hold for all lines."""
    assert content.endswith(b"\r\n")
    raw = content[:-2].split(b"\r\n")
    for line in raw:
        assert len(line) <= 75, "3.1: lines longer than 75 octets are folded"
        assert b"\r" not in line
        assert b"\n" not in line
        line.decode("utf-8")  # no fold within a character
        assert line.lstrip(b" \t"), "a line with nothing in it"
    unfolded = content[:-2].decode("utf-8").replace("\r\n ", "").replace("\r\n\t", "")
    matches = [CONTENT_LINE.fullmatch(line) for line in unfolded.split("\r\n")]
    assert all(matches)
    return [match.group(1, 2, 3) for match in matches if match]


def properties(lines, component):
    """The properties of each such component, each of which may come once only."""
    found, stack = [], []
    for name, parameters, value in lines:
        if name == "BEGIN":
            stack.append(value)
            if value == component:
                found.append({})
        elif name == "END":
            assert stack.pop() == value
        elif stack[-1] == component:
            assert name not in found[-1], f"{name} comes twice"
            found[-1][name] = (parameters, value)
    assert stack == []
    return found


def assert_keeps_to_the_standards(content):
    lines = content_lines(content)
    assert lines[0] == ("BEGIN", "", "VCALENDAR")
    assert lines[-1] == ("END", "", "VCALENDAR")
    (calendar,) = properties(lines, "VCALENDAR")
    assert calendar["VERSION"] == ("", "2.0")  # 3.7.4, required
    assert TEXT.fullmatch(calendar["PRODID"][1])  # 3.7.3, required
    assert "METHOD" not in calendar  # this is no invitation
    assert TEXT.fullmatch(calendar["NAME"][1])  # RFC 7986, 5.1
    assert calendar["REFRESH-INTERVAL"] == (";VALUE=DURATION", "PT12H")  # RFC 7986, 5.7
    events = properties(lines, "VEVENT")
    kinds = Counter(value for name, _, value in lines if name == "BEGIN")
    assert sum(kinds.values()) > 1, "3.6: a calendar holds a component"
    if events:
        assert set(kinds) == {"VCALENDAR", "VEVENT"}
    for event in events:
        # 3.6.1: DTSTAMP and UID required; DTSTART too where there is no METHOD; DTEND after it.
        for name in ("DTSTAMP", "DTSTART", "DTEND"):
            assert event[name][0] == ""
            assert UTC_TIME.fullmatch(event[name][1])
        assert event["DTSTART"][1] < event["DTEND"][1]
        assert event["UID"][1]
        assert event["TRANSP"] == ("", "TRANSPARENT")  # 3.8.2.7
        assert TEXT.fullmatch(event["SUMMARY"][1])
        assert TEXT.fullmatch(event["DESCRIPTION"][1])
    assert len({event["UID"][1] for event in events}) == len(events)  # 3.8.4.7, unique


def test_a_plan_keeps_to_the_standards():
    assert_keeps_to_the_standards(CONTENT)


def test_a_plan_without_closings_keeps_to_the_standards_and_has_no_event():
    content = plan_ics([], HOME)
    assert_keeps_to_the_standards(content)
    assert read_with_icalendar(content) == []


any_name = st.text(
    st.characters(exclude_categories=["Cs", "Cc", "Zl", "Zp"]) | st.sampled_from("\\;,:\"'n 🙂ü"),
    min_size=1,
    max_size=120,
)


@given(any_name, any_name, any_name)
@example(site="Lane\\North", shade="bay\\North", reason="\\N; \\n, \\\\N")
def test_any_names_keep_to_the_standards_and_come_back(site, shade, reason):
    closing = Closing(shade, date(2026, 6, 1), 1_780_304_400, 1_780_308_000, 60, reason)
    content = plan_ics([closing], HOME.model_copy(update={"name": site}))
    assert_keeps_to_the_standards(content)
    for read in (read_with_icalendar, read_with_vobject):
        ((_, *row),) = read(content)
        assert row == [f"{shade} closed", closing.close, closing.open, reason]


# --- Readers


def row_of(event):
    times = (int(event[key].dt.timestamp()) for key in ("DTSTART", "DTEND"))
    return (str(event["UID"]), str(event["SUMMARY"]), *times, str(event["DESCRIPTION"]))


def read_with_icalendar(content):
    calendar = icalendar.Calendar.from_ical(content)
    assert all(component.errors == [] for component in calendar.walk())
    return [row_of(event) for event in calendar.walk("VEVENT")]


def read_with_recurring_ical_events(content):
    calendar = icalendar.Calendar.from_ical(content)
    events = recurring_ical_events.of(calendar).between((2026, 1, 1), (2027, 1, 1))
    return [row_of(event) for event in events]


def read_with_vobject(content):
    return [
        (
            event.uid.value, event.summary.value, int(event.dtstart.value.timestamp()),
            int(event.dtend.value.timestamp()), event.description.value,
        )
        for event in vobject.readOne(content.decode()).contents.get("vevent", [])
    ]  # fmt: skip


def read_with_ics(content):
    return [
        (
            str(event.uid), str(event.name), event.begin.int_timestamp, event.end.int_timestamp,
            str(event.description),
        )
        for event in ics.Calendar(content.decode()).events
    ]  # fmt: skip


@pytest.mark.parametrize(
    "read",
    [read_with_icalendar, read_with_recurring_ical_events, read_with_vobject, read_with_ics],
    ids=["icalendar", "recurring-ical-events", "vobject", "ics"],
)
def test_every_reader_finds_the_same_events(read):
    rows = read(CONTENT)
    assert sorted(row[1:] for row in rows) == rows_wanted()
    assert len({row[0] for row in rows}) == len(CLOSINGS)


@pytest.mark.parametrize("viewer_zone", ["America/Chicago", "Pacific/Auckland"])
def test_ical_js_finds_the_same_events_wherever_the_viewer_is(viewer_zone):
    """Strict mode; a zone that the reader would have to guess shows as another time here."""
    found = read_with_ical_js(CONTENT, viewer_zone)
    assert sorted(tuple(row[1:]) for row in found["rows"]) == rows_wanted()
    assert len({row[0] for row in found["rows"]}) == len(CLOSINGS)
    assert found["name"] == f"{HOME.name}: shades"
    assert found["refresh"] == ["duration", "PT12H"]
