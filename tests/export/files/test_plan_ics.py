"""The calendar file as it is written: its bytes, its identifiers and what changes them."""

import re
from datetime import date
from itertools import product
from uuid import UUID

from suncover.export.files.plan_ics import event_uid, plan_ics
from suncover.plan.closings.shade_plan import Closing
from suncover.site.model import Place

HOME = Place(name="Larkspur Lane", latitude=36.10, longitude=-79.95, timezone="America/New_York")
SUN = "sun 09:12–11:40 on kitchen"


def closing(shade="kitchen roller", day=1, hour=9, *, minute=0, reason=SUN, position=100):
    """One hour of a day in June 2026, UTC."""
    start = 1_780_272_000 + (day - 1) * 86400 + hour * 3600 + minute * 60
    return Closing(shade, date(2026, 6, day), start, start + 3600, 1800, reason, position)


def values_of(closings, name):
    """The values of a property in their calendar, its lines unfolded."""
    lines = plan_ics(closings, HOME).decode().replace("\r\n ", "").split("\r\n")
    return [line.split(":", 1)[1] for line in lines if re.match(f"{name}[:;]", line)]


def test_the_whole_file_as_it_is_written():
    """A change alarm, not evidence: calendars compare an event with the one they had."""
    assert plan_ics([closing()], HOME).decode().split("\r\n") == [
        "BEGIN:VCALENDAR",
        "VERSION:2.0",
        "PRODID:-//suncover//plan of shades//EN",
        "NAME:Larkspur Lane: shades",
        "X-WR-CALNAME:Larkspur Lane: shades",
        "REFRESH-INTERVAL;VALUE=DURATION:PT12H",
        "X-PUBLISHED-TTL:PT12H",
        "BEGIN:VEVENT",
        "SUMMARY:kitchen roller closed",
        "DTSTART:20260601T090000Z",
        "DTEND:20260601T100000Z",
        "DTSTAMP:20000101T000000Z",
        f"UID:{event_uid(HOME, 'kitchen roller', '2026-06-01', 1)}",
        f"DESCRIPTION:{SUN}",
        "TRANSP:TRANSPARENT",
        "END:VEVENT",
        "END:VCALENDAR",
        "",
    ]


def test_the_same_plan_gives_the_same_bytes_in_any_order():
    made = [closing(day=2), closing(), closing("study"), closing(hour=15)]
    assert plan_ics(made, HOME) == plan_ics(list(reversed(made)), HOME)
    kitchen = "kitchen roller closed"
    assert values_of(made, "SUMMARY") == [kitchen, "study closed", kitchen, kitchen]


def test_a_uid_is_the_place_in_the_day_and_not_the_time():
    before = values_of([closing(hour=9), closing(hour=15)], "UID")
    moved = [closing(hour=9, minute=7, reason="later"), closing(hour=17, position=50)]
    assert values_of(moved, "UID") == before
    year = [closing(f"shade {n}", d, h) for n, d, h in product(range(5), range(1, 31), (9, 12, 15))]
    uids = values_of(year, "UID")
    assert len(set(uids)) == len(year)
    assert all(str(UUID(uid)) == uid for uid in uids)


def test_uids_differ_with_each_part_they_are_made_of():
    """Names with blanks, quotes and commas in them are never taken for each other's parts."""
    changes = ({}, {"name": 'Larkspur", "Lane'}, {"latitude": 36.11}, {"longitude": 79.95})
    homes = [HOME.model_copy(update=change) for change in changes]
    shades = ["a", "a 1", 'a", "b', "a,2026-06-01", "ä", "a\u0308", "🙂"]
    parts = list(product(homes, shades, ["2026-06-01", "2026-06-11"], [1, 11]))
    assert len({event_uid(*each) for each in parts}) == len(parts)


def test_a_uid_tells_nothing_and_the_elevation_or_zone_do_not_change_it():
    """RFC 7986, 5.3: no private data in a UID; a random-looking UUID is what it recommends."""
    uid = event_uid(HOME, "kitchen roller", "2026-06-01", 1)
    assert UUID(uid).version == 5
    corrected = HOME.model_copy(update={"elevation": 270.0, "timezone": None, "albedo": 0.3})
    assert event_uid(corrected, "kitchen roller", "2026-06-01", 1) == uid


def test_an_event_says_how_far_the_shade_closes_in_clean_text():
    assert values_of([closing(position=60)], "SUMMARY") == ["kitchen roller 60 % closed"]
    control = [closing("bell\x07 \x7froller\ttab", reason="one\rtwo\r\nthree")]
    assert values_of(control, "SUMMARY") == ["bell   roller\ttab closed"]
    assert values_of(control, "DESCRIPTION") == ["one\\ntwo\\nthree"]
