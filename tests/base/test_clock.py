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

# Zones whose clocks jump in ways that differ: by an hour at night, by half an hour, at midnight
# itself, over a whole date, and St John's, which until 2011 went back from 00:01 to 23:01.
ODD_ZONES = [
    "America/New_York",
    "Europe/Zurich",
    "Australia/Lord_Howe",
    "America/Santiago",
    "Africa/Cairo",
    "Pacific/Apia",
    "America/St_Johns",
    "Africa/Casablanca",
    "Asia/Kathmandu",
    "Pacific/Auckland",
    "America/Havana",
]
zones = st.sampled_from(ODD_ZONES).map(ZoneInfo)
dates = st.dates(date(1975, 1, 1), date(2037, 12, 31))
times = st.times().map(lambda moment: moment.replace(microsecond=0))
FIVE_MINUTES = 300


def reading(instant: int, zone: ZoneInfo) -> datetime:
    """What the local clock shows, from the standard library alone."""
    return datetime.fromtimestamp(instant, UTC).astimezone(zone).replace(tzinfo=None)


@pytest.mark.parametrize(
    ("name", "day", "hours"),
    [
        ("America/New_York", date(2026, 3, 8), 23),
        ("America/New_York", date(2026, 11, 1), 25),
        ("Europe/Zurich", date(2026, 6, 1), 24),
        ("Australia/Lord_Howe", date(2026, 10, 4), 23.5),
        ("Australia/Lord_Howe", date(2026, 4, 5), 24.5),
        ("America/Santiago", date(2026, 9, 6), 23),
        ("America/Santiago", date(2026, 4, 4), 25),
        ("Africa/Cairo", date(2026, 4, 24), 23),
    ],
)  # fmt: skip
def test_length_of_a_day(name, day, hours):
    """Against pandas: from midnight to midnight, shifted forward where there is none."""
    bounds = clock.day_bounds(day, ZoneInfo(name))
    midnights = pd.DatetimeIndex([day, day + timedelta(days=1)]).tz_localize(
        name, nonexistent="shift_forward"
    )
    assert [bounds.start, bounds.end] == [midnight.timestamp() for midnight in midnights]
    assert bounds.seconds == hours * 3600


def test_a_skipped_date_has_no_length_and_its_neighbours_are_whole():
    """Samoa went from 29 to 31 December 2011 (IANA time zone database)."""
    days = [clock.day_bounds(date(2011, 12, day), ZoneInfo("Pacific/Apia")) for day in (29, 30, 31)]
    assert [day.seconds / 3600 for day in days] == [24, 0, 24]
    assert days[0].end == days[2].start == datetime(2011, 12, 30, 10, tzinfo=UTC).timestamp()


@given(zones, dates, times)
@example(ZoneInfo("America/New_York"), date(2026, 3, 8), time(2, 30))
@example(ZoneInfo("America/New_York"), date(2026, 11, 1), time(1, 30))
@example(ZoneInfo("Pacific/Apia"), date(2011, 12, 30), time(10))
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
    ("name", "day", "wall", "shown"),
    [
        ("America/New_York", date(2026, 3, 8), time(2, 30), "2026-03-08T03:00:00-04:00"),
        ("America/New_York", date(2026, 11, 1), time(1, 30), "2026-11-01T01:30:00-04:00"),
        ("America/Santiago", date(2026, 9, 6), time(0), "2026-09-06T01:00:00-03:00"),
        ("Pacific/Apia", date(2011, 12, 30), time(10), "2011-12-31T00:00:00+14:00"),
    ],
)  # fmt: skip
def test_clock_times_on_days_when_clocks_jump(name, day, wall, shown):
    zone = ZoneInfo(name)
    assert clock.iso_local(clock.instant_of(day, wall, zone), zone) == shown


@given(zones, st.integers(-2_208_988_800, 7_258_118_399))
def test_offset_date_and_text_of_an_instant_agree_with_zoneinfo(zone, instant):
    """From 1900 to 2199; old local mean times are rounded, so they may differ by half a minute."""
    local = datetime.fromtimestamp(instant, UTC).astimezone(zone)
    offset = local.utcoffset()
    assert offset is not None
    rounding = abs(clock.utc_offset(instant, zone) - offset.total_seconds())
    assert rounding <= (30 if offset.total_seconds() % 60 else 0)
    text = clock.iso_local(instant, zone)
    assert datetime.fromisoformat(text).timestamp() == instant
    assert clock.local_date(instant, zone).isoformat() == text[:10]
    assert clock.clock_text(instant, zone) == text[11:16]
    if not rounding:
        assert text == local.isoformat()


def test_offset_with_seconds_is_written_in_whole_minutes_and_still_names_the_instant():
    """Amsterdam kept +00:19:32 until 1937 (IANA time zone database); RFC 3339 has no seconds."""
    zone = ZoneInfo("Europe/Amsterdam")
    instant = int(datetime(1930, 1, 1, 12, tzinfo=UTC).timestamp())
    assert clock.iso_local(instant, zone) == "1930-01-01T12:20:00+00:20"


@given(zones, dates)
def test_days_follow_each_other_without_gap_or_overlap(zone, day):
    today, tomorrow = (clock.day_bounds(day + timedelta(days=n), zone) for n in (0, 1))
    assert today.end == tomorrow.start
    assert clock.dates_bounds(day, day + timedelta(days=1), zone) == Spell(
        today.start, tomorrow.end
    )


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


SUMMER = ((4, 15), (10, 15))
WINTER = ((11, 1), (2, 28))


@pytest.mark.parametrize(
    ("season", "day", "inside"),
    [
        (None, date(2026, 1, 1), True),
        (SUMMER, date(2026, 4, 14), False),
        (SUMMER, date(2026, 4, 15), True),
        (SUMMER, date(2026, 10, 15), True),
        (SUMMER, date(2026, 10, 16), False),
        (WINTER, date(2026, 12, 31), True),
        (WINTER, date(2026, 1, 1), True),
        (WINTER, date(2028, 2, 29), False),
        (WINTER, date(2026, 10, 31), False),
        (((2, 29), (3, 10)), date(2026, 2, 28), False),
        (((2, 29), (3, 10)), date(2026, 3, 1), True),
        (((2, 29), (3, 10)), date(2028, 2, 29), True),
        (((2, 1), (2, 29)), date(2026, 2, 28), True),
        (((2, 1), (2, 29)), date(2026, 3, 1), False),
        (((6, 1), (6, 1)), date(2026, 6, 1), True),
        (((6, 1), (6, 1)), date(2026, 6, 2), False),
    ],
)  # fmt: skip
def test_in_season(season, day, inside):
    assert clock.in_season(day, season) is inside


def test_season_spells_are_the_days_of_the_season():
    zone = ZoneInfo("Africa/Cairo")
    first, last = date(2026, 1, 1), date(2026, 12, 31)
    (summer,) = clock.season_spells(SUMMER, first, last, zone)
    assert summer == Spell(
        clock.day_bounds(date(2026, 4, 15), zone).start,
        clock.day_bounds(date(2026, 10, 15), zone).end,
    )
    early, late = clock.season_spells(WINTER, first, last, zone)
    assert [clock.iso_local(edge, zone)[:10] for edge in (early.start, early.end, late.start)] == [
        "2026-01-01",
        "2026-03-01",
        "2026-11-01",
    ]
    assert clock.season_spells(None, first, last, zone) == (clock.dates_bounds(first, last, zone),)


@pytest.mark.parametrize(
    ("quiet", "day", "shown"),
    [
        ((time(21, 30), time(7)), date(2026, 6, 1), ["2026-06-01T21:30:00-04:00", "2026-06-02T07:00:00-04:00"]),
        ((time(13), time(14, 15)), date(2026, 6, 1), ["2026-06-01T13:00:00-04:00", "2026-06-01T14:15:00-04:00"]),
        ((time(21, 30), time(2, 30)), date(2026, 3, 7), ["2026-03-07T21:30:00-05:00", "2026-03-08T03:00:00-04:00"]),
        ((time(21, 30), time(1, 30)), date(2026, 10, 31), ["2026-10-31T21:30:00-04:00", "2026-11-01T01:30:00-04:00"]),
        ((time(2, 10), time(2, 50)), date(2026, 3, 8), []),
        ((time(9), time(9)), date(2026, 6, 1), ["2026-06-01T09:00:00-04:00", "2026-06-02T09:00:00-04:00"]),
    ],
)  # fmt: skip
def test_quiet_hours_of_one_day(quiet, day, shown):
    zone = ZoneInfo("America/New_York")
    spells = clock.quiet_spells(quiet, day, day, zone)
    assert [clock.iso_local(edge, zone) for s in spells for edge in (s.start, s.end)] == shown


def test_quiet_hours_run_on_over_a_date_that_does_not_exist():
    """Samoa went from 29 to 31 December 2011 (IANA time zone database)."""
    zone = ZoneInfo("Pacific/Apia")
    nights = clock.quiet_spells(
        (time(21, 30), time(7)), date(2011, 12, 29), date(2011, 12, 31), zone
    )
    assert [clock.iso_local(edge, zone) for s in nights for edge in (s.start, s.end)] == [
        "2011-12-29T21:30:00-10:00",
        "2011-12-31T07:00:00+14:00",
        "2011-12-31T21:30:00+14:00",
        "2012-01-01T07:00:00+14:00",
    ]


@given(zones, dates, times, times, st.integers(0, 40))
def test_quiet_hours_are_sorted_disjoint_and_start_on_their_dates(zone, first, begin, end, days):
    last = first + timedelta(days=days)
    spells = clock.quiet_spells((begin, end), first, last, zone)
    edges = [edge for spell in spells for edge in (spell.start, spell.end)]
    assert all(before < after for before, after in pairwise(edges))
    for spell in spells:
        assert spell.start >= clock.instant_of(first, begin, zone)
        assert spell.end <= clock.instant_of(last + timedelta(days=1), end, zone)


def test_no_quiet_hours_at_all():
    assert clock.quiet_spells(None, date(2026, 1, 1), date(2026, 1, 9), ZoneInfo("UTC")) == ()


def test_dates_between_has_both_ends():
    assert clock.dates_between(date(2026, 2, 27), date(2026, 3, 1)) == [
        date(2026, 2, 27),
        date(2026, 2, 28),
        date(2026, 3, 1),
    ]


def test_dates_are_written_as_people_say_them():
    assert [clock.date_text(date(2026, month, 9)) for month in (1, 5, 12)] == [
        "9 Jan",
        "9 May",
        "9 Dec",
    ]
