"""Sums by month and year, against days counted by hand."""

from __future__ import annotations

from datetime import date, datetime
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from suncover.base.spell import Spell, total_seconds, union
from suncover.facade.periods import Period, by_date, month_labels, periods

ZONE = ZoneInfo("America/New_York")
H = 3600


def at(text: str) -> int:
    return int(datetime.fromisoformat(text).replace(tzinfo=ZONE).timestamp())


def spells_of(*texts):
    """Spells of 2026 from texts such as `05-31 08:00 05-31 09:30`."""
    ends = [(f"2026-{t[: len(t) // 2]}", f"2026-{t[len(t) // 2 + 1 :]}") for t in texts]
    return [Spell(at(start), at(end)) for start, end in ends]


TABLE = {
    "hours, days, earliest and latest": (
        ("05-31", "06-30"),
        [
            "05-31 08:00 05-31 09:00",
            "06-01 09:12 06-01 10:12",
            "06-01 17:00 06-01 18:30",
            "06-07 08:30 06-07 10:00",
        ],
        [("05", H, 1, 8 * H, 9 * H), ("06", 4 * H, 2, 8 * H + 1800, 18 * H + 1800)],
    ),
    "over midnight, of both days": (
        ("06-01", "07-31"),
        ["06-30 22:00 07-01 02:00"],
        [("06", 2 * H, 1, 22 * H, 24 * H), ("07", 2 * H, 1, 0, 2 * H)],
    ),
    "at every time of the clock": (
        ("06-01", "06-02"),
        ["06-01 00:00 06-01 12:00", "06-02 11:00 06-03 00:00"],
        [("06", 25 * H, 2, 0, 24 * H)],
    ),
    "none": (("06-01", "06-02"), [], [("06", 0, 0, None, None)]),
    # Clocks go back on 1 November in New York.
    "a day of 25 hours": (
        ("11-01", "11-01"),
        ["11-01 00:00 11-02 00:00"],
        [("11", 25 * H, 1, 0, 24 * H)],
    ),
}


@pytest.mark.parametrize("row", TABLE.values(), ids=TABLE)
def test_sums_of_months(row):
    dates, spells, expected = row
    first, last = (date.fromisoformat(f"2026-{day}") for day in dates)
    wanted = [Period(f"2026-{month}", *sums) for month, *sums in expected]
    assert periods(spells_of(*spells), first, last, ZONE) == wanted


def test_sun_round_midnight_is_earliest_in_the_evening_and_latest_next_morning():
    """Not 0:00 and 24:00, where the days are cut: the longest time without sun tells the ends."""
    spells = spells_of(
        "06-01 00:00 06-01 07:00",  # cut by the start of what was asked for
        "06-01 18:40 06-02 07:10",
        "06-02 18:30 06-03 06:50",
        "06-03 12:00 06-03 12:30",
        "06-03 18:50 06-04 00:00",
    )
    [one] = periods(spells, date(2026, 6, 1), date(2026, 6, 3), ZONE)
    # By the clock there is sun from 18:30 to 7:10 and from 12:00 to 12:30: the longest time
    # without any is from 12:30 to 18:30.
    assert (one.earliest, one.latest) == (18 * H + 1800, 12 * H + 1800)
    [one] = periods(spells[:3], date(2026, 6, 1), date(2026, 6, 3), ZONE)
    assert (one.earliest, one.latest) == (18 * H + 1800, 7 * H + 600)


def test_more_than_two_years_are_summed_by_year():
    two = periods([], date(2025, 1, 1), date(2026, 12, 31), ZONE)
    more = periods([], date(2025, 1, 1), date(2027, 1, 1), ZONE)
    assert [one.label for one in two][:2] == ["2025-01", "2025-02"]
    assert len(two) == 24
    assert month_labels(date(2026, 11, 30), date(2027, 1, 1)) == ["2026-11", "2026-12", "2027-01"]
    assert [one.label for one in more] == ["2025", "2026", "2027"]


def test_a_night_on_which_clocks_go_back_over_midnight_loses_nothing():
    """Until 2011 St. John's set its clocks from 00:01 back to 23:01 (IANA tz, America/St_Johns)."""
    zone = ZoneInfo("America/St_Johns")
    start = int(datetime(2010, 11, 6, 20, tzinfo=zone).timestamp())
    pieces = list(by_date([Spell(start, start + 12 * H)], zone))
    assert sum(piece.seconds for piece in pieces) == 12 * H
    assert {date.fromordinal(piece.ordinal) for piece in pieces} == {
        date(2010, 11, 6),
        date(2010, 11, 7),
    }


@given(
    st.lists(
        st.tuples(st.integers(0, 60 * 86400), st.integers(1, 3 * 86400)), min_size=1, max_size=8
    ),
    st.sampled_from(["America/New_York", "Australia/Lord_Howe", "Africa/Cairo", "Etc/GMT+12"]),
)
def test_no_second_is_lost_or_counted_twice(parts, name):
    zone = ZoneInfo(name)
    begin = at("2026-03-01 00:00")
    spells = union(Spell(begin + start, begin + start + length) for start, length in parts)
    pieces = list(by_date(spells, zone))
    assert sum(piece.seconds for piece in pieces) == total_seconds(spells)
    assert all(0 <= piece.starts < 86400 and 0 < piece.ends <= 86400 for piece in pieces)


@given(st.lists(st.tuples(st.integers(0, 95), st.integers(1, 95)), min_size=1, max_size=6))
def test_no_sun_falls_between_the_latest_and_the_earliest(parts):
    """Against a plain list of the quarters of an hour of the day that have sun."""
    zone, day = ZoneInfo("Etc/GMT"), 86400
    spells = [
        Spell((n + 1) * day + 900 * start, (n + 1) * day + 900 * (start + length))
        for n, (start, length) in enumerate(parts)
    ]
    spells = union(spells)
    [one] = periods(spells, date(1970, 1, 1), date(1970, 1, 31), zone)
    sunny = {
        quarter % 96 for spell in spells for quarter in range(spell.start // 900, spell.end // 900)
    }
    assert one.earliest is not None
    assert one.latest is not None
    assert one.earliest // 900 in sunny
    assert (one.latest // 900 - 1) in sunny
    assert (one.latest < one.earliest) == ({0, 95} <= sunny and len(sunny) < 96)
    if one.latest < one.earliest:
        assert not sunny & set(range(one.latest // 900, one.earliest // 900))
    else:
        assert sunny <= set(range(one.earliest // 900, one.latest // 900))
