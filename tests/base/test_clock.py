"""Local time: held against pandas and zoneinfo, which read the IANA time zone rules themselves."""
# ruff: noqa: E501  (a case to a line)

from datetime import UTC, date, datetime, time, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

import pandas as pd
import pytest
from hypothesis import assume, example, given
from hypothesis import strategies as st

from suncover.base import clock
from suncover.base.errors import RequestError
from suncover.base.spell import Spell

NEW_YORK, SAMOA = ZoneInfo("America/New_York"), ZoneInfo("Pacific/Apia")
# Zones whose clocks jump in ways that differ: by an hour at night, by half an hour, at midnight
# itself, over a whole date, and St John's, which until 2011 went back from 00:01 to 23:01.
ODD_ZONES = [
    *("America/New_York", "Europe/Zurich", "Australia/Lord_Howe", "America/Santiago"),
    *("Africa/Cairo", "Pacific/Apia", "America/St_Johns", "Africa/Casablanca", "Asia/Kathmandu"),
    *("Pacific/Auckland", "America/Havana"),
]
zones = st.sampled_from(ODD_ZONES).map(ZoneInfo)
dates = st.dates(date(1975, 1, 1), date(2037, 12, 31))
times = st.times().map(lambda moment: moment.replace(microsecond=0))
FIVE_MINUTES = 300


def reading(instant, zone):
    """What the local clock shows, from the standard library alone."""
    return datetime.fromtimestamp(instant, UTC).astimezone(zone).replace(tzinfo=None)


def edges(spells, zone):
    return [clock.iso_local(edge, zone) for spell in spells for edge in (spell.start, spell.end)]


@pytest.mark.parametrize(
    ("name", "day", "hours"),
    [
        ("America/New_York", date(2026, 3, 8), 23),
        ("America/New_York", date(2026, 11, 1), 25),
        ("Europe/Zurich", date(2026, 6, 1), 24),
        ("Australia/Lord_Howe", date(2026, 10, 4), 23.5),
        ("Australia/Lord_Howe", date(2026, 4, 5), 24.5),
        ("America/Santiago", date(2026, 9, 6), 23),  # without a midnight
        ("America/Santiago", date(2026, 4, 4), 25),  # back at midnight
        ("Africa/Cairo", date(2026, 4, 24), 23),
    ],
)
def test_length_of_a_day(name, day, hours):
    """Against pandas: from midnight to midnight, shifted forward where there is none."""
    bounds = clock.day_bounds(day, ZoneInfo(name))
    midnights = pd.DatetimeIndex([day, day + timedelta(days=1)])
    midnights = midnights.tz_localize(name, nonexistent="shift_forward")
    assert [bounds.start, bounds.end] == [midnight.timestamp() for midnight in midnights]
    assert bounds.seconds == hours * 3600


def test_a_skipped_date_has_no_length_and_its_neighbours_are_whole():
    """Samoa went from 29 to 31 December 2011 (IANA time zone database)."""
    days = [clock.day_bounds(date(2011, 12, day), SAMOA) for day in (29, 30, 31)]
    assert [day.seconds / 3600 for day in days] == [24, 0, 24]
    assert days[0].end == days[2].start == datetime(2011, 12, 30, 10, tzinfo=UTC).timestamp()
    nights = clock.quiet_spells(
        (time(21, 30), time(7)), date(2011, 12, 29), date(2011, 12, 31), SAMOA
    )
    assert edges(nights, SAMOA) == [
        "2011-12-29T21:30:00-10:00",
        "2011-12-31T07:00:00+14:00",
        "2011-12-31T21:30:00+14:00",
        "2012-01-01T07:00:00+14:00",
    ]


@given(zones, dates, times)
@example(NEW_YORK, date(2026, 3, 8), time(2, 30))
@example(NEW_YORK, date(2026, 11, 1), time(1, 30))
@example(SAMOA, date(2011, 12, 30), time(10))
@example(ZoneInfo("America/St_Johns"), date(2006, 10, 29), time(0, 0, 30))
@example(ZoneInfo("America/St_Johns"), date(2006, 10, 28), time(23, 30))
def test_clock_time_is_the_first_moment_that_shows_it_or_a_later_one(zone, day, wall):
    instant = clock.instant_of(day, wall, zone)
    wanted = datetime.combine(day, wall)
    assert reading(instant, zone) >= wanted
    earlier = [instant - 1, *range(instant - FIVE_MINUTES, instant - 30 * 3600, -FIVE_MINUTES)]
    assert all(reading(moment, zone) < wanted for moment in earlier)


@given(zones, dates, times)
@example(ZoneInfo("Australia/Lord_Howe"), date(2026, 4, 5), time(1, 45))
@example(ZoneInfo("Africa/Casablanca"), date(2026, 2, 15), time(2, 30))
@example(ZoneInfo("America/Havana"), date(2026, 3, 8), time(0, 30))
def test_clock_time_agrees_with_pandas(zone, day, wall):
    """pandas 3 `tz_localize`, where clocks jump by an hour: of other jumps it misses the end."""
    shown = pd.Timestamp(datetime.combine(day, wall))
    if zone.key in ("Australia/Lord_Howe", "Pacific/Apia"):
        assume(shown.tz_localize(zone, ambiguous=True, nonexistent="NaT") is not pd.NaT)
    either = [
        shown.tz_localize(zone, ambiguous=summer, nonexistent="shift_forward").timestamp()
        for summer in (True, False)
    ]
    assert clock.instant_of(day, wall, zone) == min(either)


@pytest.mark.parametrize(
    ("zone", "day", "wall", "shown"),
    [
        (NEW_YORK, date(2026, 3, 8), time(2, 30), "2026-03-08T03:00:00-04:00"),
        (NEW_YORK, date(2026, 11, 1), time(1, 30), "2026-11-01T01:30:00-04:00"),
        (ZoneInfo("America/Santiago"), date(2026, 9, 6), time(0), "2026-09-06T01:00:00-03:00"),
        (SAMOA, date(2011, 12, 30), time(10), "2011-12-31T00:00:00+14:00"),
    ],
    ids=["does not exist", "happens twice", "no midnight", "no such date"],
)
def test_clock_times_on_days_when_clocks_jump(zone, day, wall, shown):
    assert clock.iso_local(clock.instant_of(day, wall, zone), zone) == shown


@given(zones, st.integers(-2_208_988_800, 7_258_118_399))
def test_offset_date_and_text_of_an_instant_agree_with_zoneinfo(zone, instant):
    """From 1900 to 2199; old local mean times are rounded, so they may differ by half a minute."""
    local = datetime.fromtimestamp(instant, UTC).astimezone(zone)
    offset = local.utcoffset().total_seconds()
    rounding = abs(clock.utc_offset(instant, zone) - offset)
    assert rounding <= (30 if offset % 60 else 0)
    text = clock.iso_local(instant, zone)
    assert datetime.fromisoformat(text).timestamp() == instant
    assert clock.local_date(instant, zone).isoformat() == text[:10]
    assert clock.clock_text(instant, zone) == text[11:16]
    if not rounding:
        assert text == local.isoformat()


@pytest.mark.parametrize(
    ("name", "day"),
    [
        ("America/Recife", date(2000, 10, 8)),
        ("Asia/Gaza", date(2040, 10, 20)),
        ("Africa/Tunis", date(1943, 4, 17)),
        ("Europe/Simferopol", date(1944, 4, 3)),
    ],
)
def test_changes_that_follow_each_other_within_days_are_all_seen(name, day):
    """The nearest that the IANA time zone database has: 7, 7, 8 and 10 days apart."""
    zone = ZoneInfo(name)
    begin = int(datetime.combine(day - timedelta(days=10), time(), UTC).timestamp())
    hours = range(begin, begin + 30 * 86_400, 3_600)
    offsets = [clock.utc_offset(hour, zone) for hour in hours]
    assert offsets == [
        datetime.fromtimestamp(hour, zone).utcoffset().total_seconds() for hour in hours
    ]
    assert sum(before != after for before, after in pairwise(offsets)) == 2


@given(zones, dates, st.lists(st.integers(0, 400 * 86_400), max_size=30))
def test_dates_of_many_instants_are_those_of_the_standard_library(zone, day, seconds):
    """In any order, over the changes of a year."""
    begin = int(datetime.combine(day, time(), UTC).timestamp())
    instants = [begin + second for second in seconds]
    expected = [reading(instant, zone).date().toordinal() for instant in instants]
    assert clock.local_ordinals(instants, zone) == expected


def test_offset_with_seconds_is_written_in_whole_minutes_and_still_names_the_instant():
    """Amsterdam kept +00:19:32 until 1937 (IANA time zone database); RFC 3339 has no seconds."""
    instant = int(datetime(1930, 1, 1, 12, tzinfo=UTC).timestamp())
    assert clock.iso_local(instant, ZoneInfo("Europe/Amsterdam")) == "1930-01-01T12:20:00+00:20"


@given(zones, dates)
def test_days_follow_each_other_without_gap_or_overlap(zone, day):
    today, tomorrow = (clock.day_bounds(day + timedelta(days=n), zone) for n in (0, 1))
    assert today.end == tomorrow.start
    both = Spell(today.start, tomorrow.end)
    assert clock.dates_bounds(day, day + timedelta(days=1), zone) == both


@pytest.mark.parametrize(
    ("first", "last", "message"),
    [
        (date(2026, 5, 2), date(2026, 5, 1), "the last date, 2026-05-01, is before the first, 2026-05-02; swap them"),
        (date(1, 1, 1), date(2026, 5, 1), "0001-01-01 is too far off; give dates from 1900 to 2199"),
        (date(2026, 5, 1), date(9999, 12, 31), "9999-12-31 is too far off; give dates from 1900 to 2199"),
    ],
)  # fmt: skip
def test_dates_that_make_no_range_are_refused(first, last, message):
    with pytest.raises(RequestError) as caught:
        clock.dates_bounds(first, last, ZoneInfo("Europe/Zurich"))
    assert str(caught.value) == message


SUMMER, WINTER = ((4, 15), (10, 15)), ((11, 1), (2, 28))


@pytest.mark.parametrize(
    ("season", "inside", "outside"),
    [
        (None, ["2026-01-01"], []),
        (SUMMER, ["2026-04-15", "2026-10-15"], ["2026-04-14", "2026-10-16"]),
        (WINTER, ["2026-12-31", "2026-01-01"], ["2028-02-29", "2026-10-31"]),
        (((2, 29), (3, 10)), ["2026-03-01", "2028-02-29"], ["2026-02-28"]),
        (((2, 1), (2, 29)), ["2026-02-28"], ["2026-03-01"]),
        (((6, 1), (6, 1)), ["2026-06-01"], ["2026-06-02"]),
    ],
)
def test_in_season(season, inside, outside):
    for days, expected in ((inside, True), (outside, False)):
        assert {clock.in_season(date.fromisoformat(day), season) for day in days} <= {expected}


def test_season_spells_are_the_days_of_the_season():
    zone = ZoneInfo("Africa/Cairo")
    year = date(2026, 1, 1), date(2026, 12, 31)
    (summer,) = clock.season_spells(SUMMER, *year, zone)
    days = [clock.day_bounds(date(2026, *day), zone) for day in SUMMER]
    assert summer == Spell(days[0].start, days[1].end)
    winter = edges(clock.season_spells(WINTER, *year, zone), zone)
    assert [edge[:10] for edge in winter] == [
        "2026-01-01",
        "2026-03-01",
        "2026-11-01",
        "2027-01-01",
    ]
    assert clock.season_spells(None, *year, zone) == (clock.dates_bounds(*year, zone),)


@pytest.mark.parametrize(
    ("quiet", "day", "shown"),
    [
        ((time(21, 30), time(7)), date(2026, 6, 1), ["2026-06-01T21:30:00-04:00", "2026-06-02T07:00:00-04:00"]),
        ((time(13), time(14, 15)), date(2026, 6, 1), ["2026-06-01T13:00:00-04:00", "2026-06-01T14:15:00-04:00"]),
        ((time(21, 30), time(2, 30)), date(2026, 3, 7), ["2026-03-07T21:30:00-05:00", "2026-03-08T03:00:00-04:00"]),
        ((time(21, 30), time(1, 30)), date(2026, 10, 31), ["2026-10-31T21:30:00-04:00", "2026-11-01T01:30:00-04:00"]),
        ((time(2, 10), time(2, 50)), date(2026, 3, 8), []),
        ((time(9), time(9)), date(2026, 6, 1), ["2026-06-01T09:00:00-04:00", "2026-06-02T09:00:00-04:00"]),
        (None, date(2026, 6, 1), []),
    ],
)  # fmt: skip
def test_quiet_hours_of_one_day(quiet, day, shown):
    assert edges(clock.quiet_spells(quiet, day, day, NEW_YORK), NEW_YORK) == shown


@given(zones, dates, times, times, st.integers(0, 40))
def test_quiet_hours_are_sorted_disjoint_and_start_on_their_dates(zone, first, begin, end, days):
    last = first + timedelta(days=days)
    spells = clock.quiet_spells((begin, end), first, last, zone)
    all_edges = [edge for spell in spells for edge in (spell.start, spell.end)]
    assert all(before < after for before, after in pairwise(all_edges))
    for spell in spells:
        assert spell.start >= clock.instant_of(first, begin, zone)
        assert spell.end <= clock.instant_of(last + timedelta(days=1), end, zone)


def test_dates_between_has_both_ends_and_dates_are_written_as_people_say_them():
    found = clock.dates_between(date(2026, 2, 27), date(2026, 3, 1))
    assert [clock.date_text(day) for day in found] == ["27 Feb", "28 Feb", "1 Mar"]
    assert clock.date_text(date(2026, 12, 9)) == "9 Dec"
