"""One setting for a whole period covers all that the daily plan covers, whatever clocks do."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from plan_cases import JUMPS, Case, cases

from suncover.base import clock
from suncover.base.spell import Spell, intersect, subtract, union
from suncover.plan.closings.shade_plan import Closing, make_shade_plan
from suncover.plan.motor import Motor
from suncover.plan.timers.rounding import round_closings
from suncover.plan.timers.settings import Dial, Every, TimerPlan, make_timer_plan, standing_dial
from suncover.site.model import Shade

EVERY: list[Every] = ["day", "week", "month"]
ONE = timedelta(days=1)


def spans(closings: tuple[Closing, ...]) -> tuple[Spell, ...]:
    return union(Spell(closing.close, closing.open) for closing in closings)


def dates_of(case: Case) -> tuple[date, date]:
    _, spells, zone, _ = case
    if not spells:
        return date(2026, 6, 1), date(2026, 6, 2)
    return clock.local_date(spells[0].start, zone), clock.local_date(spells[-1].end, zone)


def timer_of(case: Case, every: Every, *, ignores: bool = False, minutes: int = 0) -> TimerPlan:
    shade, spells, zone, season = case
    dates = dates_of(case)
    dial = standing_dial(zone, dates[0]) if ignores else Dial(zone)
    closings = make_shade_plan(shade, spells, zone, season).closings
    if minutes:
        closings = round_closings(Motor(shade, zone), closings, dial, minutes)
    return make_timer_plan(
        Motor(shade, dial.zone), closings, dial, every, dates=dates, season=season
    )


kinds = st.tuples(st.sampled_from(EVERY), st.booleans(), st.sampled_from([0, 1, 5, 30]))


@settings(max_examples=400)
@given(cases(), kinds)
def test_a_setting_covers_the_daily_plan_and_its_rows_are_apart(
    case: Case, kind: tuple[Every, bool, int]
) -> None:
    every, ignores, minutes = kind
    timer = timer_of(case, every, ignores=ignores, minutes=minutes)
    assert subtract(spans(timer.daily), spans(timer.rows)) == ()
    travel = int(case[0].travel)
    if timer.remarks and "daily plan is kept" in timer.remarks[0]:
        assert timer.rows == timer.daily
        return
    for before, after in pairwise(timer.rows):
        assert before.open + max(travel, 1) <= after.close
    assert timer.extra_seconds >= 0
    assert len(timer.origin) == len(timer.rows)


def by_zone_clock(row: Closing, zone: ZoneInfo) -> tuple[datetime, datetime]:
    """Closing and opening as the standard library's clock shows them."""
    close, opens = (
        datetime.fromtimestamp(at, UTC).astimezone(zone).replace(tzinfo=None)
        for at in (row.close, row.open)
    )
    return close, opens


@settings(max_examples=300)
@given(cases(), st.sampled_from(EVERY))
def test_rows_are_at_the_clock_times_of_their_setting(case: Case, every: Every) -> None:
    """By the standard library's clock alone; dates with a change of clocks near are left out."""
    zone = case[2]
    timer = timer_of(case, every)
    for number, row in zip(timer.origin, timer.rows, strict=True):
        setting = timer.settings[number]
        local = datetime.fromtimestamp(row.close, UTC).astimezone(zone)
        near = [
            datetime.fromtimestamp(row.close + days * 86400, UTC).astimezone(zone).utcoffset()
            for days in range(-2, 4 + (row.open - row.close) // 86400)
        ]
        if len(set(near)) > 1:
            continue
        close, opens = by_zone_clock(row, zone)
        midnight = datetime.combine(local.date() - setting.close // 86400 * ONE, time.min)
        assert close - midnight == timedelta(seconds=setting.close)
        assert opens - midnight == timedelta(seconds=setting.open)


def period_of(day: date, every: Every) -> str:
    """The period in which a day lies, as `date` formats it (ISO 8601 weeks)."""
    return day.strftime({"day": "%Y-%m-%d", "week": "%G-W%V", "month": "%Y-%m"}[every])


@settings(max_examples=300)
@given(cases(), st.sampled_from(EVERY))
def test_a_setting_is_called_by_the_period_in_which_it_first_closes(
    case: Case, every: Every
) -> None:
    """A timer's day that turns in the afternoon closes in the morning after: on the next date."""
    timer = timer_of(case, every)
    for setting in timer.settings:
        if not setting.apart and not any("daily plan is kept" in note for note in timer.remarks):
            closes = setting.first + setting.close // 86400 * ONE
            assert setting.period == period_of(closes, every)


@settings(max_examples=300)
@given(cases(), st.sampled_from(EVERY))
def test_no_setting_goes_past_the_limits_of_its_shade(case: Case, every: Every) -> None:
    shade = case[0]
    timer = timer_of(case, every)
    if any("daily plan is kept" in remark for remark in timer.remarks):
        return
    periods = {period_of(setting.first, every) for setting in timer.settings}
    for period in periods:
        own = (s for s in timer.settings if period_of(s.first, every) == period)
        times = sorted({(s.close, s.open) for s in own})
        for before, after in pairwise(times):
            assert after[0] - before[1] >= shade.merge * 60
        assert shade.moves is None or len(times) == 1 or 2 * len(times) <= shade.moves


@settings(max_examples=400)
@given(cases(), st.sampled_from([1, 5, 15, 60]), st.booleans())
def test_rounding_never_uncovers_and_keeps_quiet(case: Case, minutes: int, ignores: bool) -> None:
    shade, spells, zone, season = case
    closings = make_shade_plan(shade, spells, zone, season).closings
    dial = standing_dial(zone, dates_of(case)[0]) if ignores else Dial(zone)
    rounded = round_closings(Motor(shade, zone), closings, dial, minutes)
    assert subtract(spans(closings), spans(rounded)) == ()
    # No second more than a step at each end, and what a change of clocks puts in between.
    assert sum(s.seconds for s in spans(rounded)) <= sum(s.seconds for s in spans(closings)) + (
        2 * len(closings) * (60 * minutes + 7200)
    )
    travel = int(shade.travel)
    for before, after in pairwise(rounded):
        assert before.open + max(travel, 1) <= after.close
    if shade.quiet is None:
        for row in rounded:
            readings = [dial.reading(at) for at in (row.close, row.open)]
            jump = min(
                clock.utc_offset(at + h * 3600, zone)
                for at in (row.close, row.open)
                for h in (-2, 2)
            ) != clock.utc_offset(row.close, zone)
            assert jump or all(reading % (60 * minutes) == 0 for reading in readings)
        return
    nights = clock.quiet_spells(
        shade.quiet, dates_of(case)[0] - 4 * ONE, dates_of(case)[1] + 4 * ONE, zone
    )
    for row in rounded:
        for start in (row.close, row.open):
            assert all(start + travel <= night.start or start >= night.end for night in nights)


@pytest.mark.parametrize(("name", "day"), JUMPS)
def test_readings_of_a_clock_lead_back_to_their_instant(name: str, day: date) -> None:
    zone = ZoneInfo(name)
    dial = Dial(zone)
    start = clock.day_bounds(day, zone).start
    for instant in range(start - 86400, start + 2 * 86400, 299):
        reading = dial.reading(instant)
        wall = datetime.fromtimestamp(instant, UTC).astimezone(zone).replace(tzinfo=None)
        assert datetime.fromtimestamp(reading, UTC).replace(tzinfo=None) == wall
        assert dial.instant(reading) <= instant
        later = dial.reading_not_before(instant)
        assert instant <= dial.instant(later)
        assert later == reading or later - reading <= 7200


SUN_S = 2 * 3600


def sunny(day: date, wall: time, zone: ZoneInfo) -> Spell:
    start = clock.instant_of(day, wall, zone)
    return Spell(start, start + SUN_S)


def week_of_shade(rules: dict[str, object], **kind: bool) -> tuple[TimerPlan, ZoneInfo]:
    """Sun from 09:00 solar time or so, a minute earlier each day, over the change of 8 March."""
    zone = ZoneInfo("America/New_York")
    shade = Shade.model_validate({"name": "r", "windows": ["w"], "lead": 0, "lag": 0, **rules})
    first = clock.instant_of(date(2026, 3, 2), time(9), zone)
    spells = [Spell(first + d * 86340, first + d * 86340 + SUN_S) for d in range(14)]
    closings = make_shade_plan(shade, spells, zone, None).closings
    dates = date(2026, 3, 2), date(2026, 3, 15)
    dial = standing_dial(zone, dates[0]) if kind.get("ignores") else Dial(zone)
    return make_timer_plan(Motor(shade, dial.zone), closings, dial, "week", dates=dates), zone


def test_a_weeks_setting_takes_the_earliest_and_the_latest_clock_time() -> None:
    timer, zone = week_of_shade({})
    first, second = timer.settings
    assert (first.period, first.first, first.last) == (
        "2026-W10",
        date(2026, 3, 2),
        date(2026, 3, 8),
    )
    # The sun of the Sunday comes an hour later by the clocks, which have gone forward that night:
    # from 09:00 of the Monday, less five minutes, to 11:54 on the Sunday.
    assert (first.close, first.open) == (9 * 3600 - 5 * 60, 12 * 3600 - 6 * 60)
    assert (second.close, second.open) == (10 * 3600 - 13 * 60, 12 * 3600 - 7 * 60)
    assert clock.iso_local(timer.rows[6].close, zone) == "2026-03-08T08:55:00-04:00"
    # Seven days of 2 h 59 min and seven of 2 h 6 min, in place of fourteen of 2 h.
    assert timer.extra_seconds == 60 * (7 * 59 + 7 * 6)
    assert timer.extra_moves == 0


def test_a_timer_that_ignores_summer_time_keeps_the_suns_pace() -> None:
    timer, zone = week_of_shade({}, ignores=True)
    assert timer.extra_seconds == 60 * 14 * 6
    assert clock.iso_local(timer.rows[6].close, zone) == "2026-03-08T09:54:00-04:00"
    _, second = timer.settings
    assert (second.close, second.open) == (9 * 3600 - 13 * 60, 11 * 3600 - 7 * 60)


def test_closings_over_midnight_belong_to_one_setting() -> None:
    """Quiet hours bring each closing to the evening before, that of Monday to Sunday's week."""
    timer, _ = week_of_shade({"quiet": ["21:30", "10:00"]})
    periods = [(s.period, s.first, s.last, s.close // 60, s.open // 60) for s in timer.settings]
    assert [period[0] for period in periods] == ["2026-W09", "2026-W10", "2026-W11"]
    assert periods[0][1:3] == (date(2026, 3, 1), date(2026, 3, 1))
    assert {(close, opens > 1440) for *_, close, opens in periods} == {(21 * 60 + 30, True)}


def test_a_shade_that_is_down_at_every_time_of_day_keeps_its_daily_plan() -> None:
    zone = ZoneInfo("Europe/Oslo")
    shade = Shade(name="r", windows=("w",))
    spells = [sunny(date(2026, 6, 1) + n * ONE, time(2 * n % 24), zone) for n in range(12)]
    closings = make_shade_plan(shade, spells, zone, None).closings
    dates = date(2026, 6, 1), date(2026, 6, 12)
    timer = make_timer_plan(Motor(shade, zone), closings, Dial(zone), "month", dates=dates)
    assert timer.rows == closings
    assert "one setting cannot hold" in timer.remarks[0]


def test_a_leap_day_is_a_day_of_its_month() -> None:
    zone = ZoneInfo("Europe/Zurich")
    shade = Shade(name="r", windows=("w",))
    days = clock.dates_between(date(2028, 2, 1), date(2028, 2, 29))
    closings = make_shade_plan(
        shade, [sunny(day, time(9), zone) for day in days], zone, None
    ).closings
    timer = make_timer_plan(
        Motor(shade, zone), closings, Dial(zone), "month", dates=(days[0], days[-1])
    )
    (setting,) = timer.settings
    assert setting.days[-1] == date(2028, 2, 29)
    assert timer.extra_seconds == 0


def test_no_closings_are_no_settings() -> None:
    zone = ZoneInfo("Europe/Zurich")
    dates = date(2026, 1, 1), date(2026, 1, 31)
    timer = make_timer_plan(
        Motor(Shade(name="r", windows=("w",)), zone), [], Dial(zone), "week", dates=dates
    )
    assert (timer.settings, timer.rows, timer.remarks) == ((), (), ())


@settings(max_examples=300)
@given(cases(), st.sampled_from(EVERY), st.data())
def test_days_that_an_exception_touches_keep_the_daily_plan(
    case: Case, every: Every, data: st.DataObject
) -> None:
    """Whatever the exception: on those days the rows of the daily plan and no others, and all that
    the daily plan covers is covered on all days.
    """
    shade, spells, zone, season = case
    if not spells:
        return
    dates = dates_of(case)
    closings = make_shade_plan(shade, spells, zone, season).closings
    start = data.draw(st.integers(spells[0].start - 86400, spells[-1].end + 86400))
    length = data.draw(st.sampled_from([60, 7200, 86400, 3 * 86400]))
    exception = Spell(start, start + length)
    timer = make_timer_plan(
        Motor(shade, zone),
        closings,
        Dial(zone),
        every,
        dates=dates,
        season=season,
        exceptions=[exception],
    )
    assert subtract(spans(closings), spans(timer.rows)) == ()
    if any("daily plan is kept" in remark for remark in timer.remarks):
        return
    # Gaps in which the motor has no time to open are bridged for a timer.
    short = [
        Spell(one.open, other.close)
        for one, other in pairwise(closings)
        if one.open < other.close < one.open + int(shade.travel)
    ]
    daily = union([*spans(closings), *short])
    assert intersect(spans(timer.rows), [exception]) == intersect(daily, [exception])


def test_a_week_with_a_day_to_stay_up_is_parted() -> None:
    """Worked by hand: down from 14:00 to 18:00 each day of a week but Thursday, when it is up."""
    zone = ZoneInfo("Europe/Oslo")
    days = [date(2026, 6, 8) + n * ONE for n in range(7)]
    noon = [int(datetime.combine(day, time(14), zone).timestamp()) for day in days]
    closings = [
        Closing("r", day, at, at + 4 * 3600, 0, "sun")
        for day, at in zip(days, noon, strict=True)
        if day.weekday() != 3
    ]
    thursday = clock.day_bounds(days[3], zone)
    shade = Shade(name="r", windows=("w",))
    timer = make_timer_plan(
        Motor(shade, zone),
        closings,
        Dial(zone),
        "week",
        dates=(days[0], days[-1]),
        exceptions=[thursday],
    )
    assert [(s.first, s.last) for s in timer.settings] == [(days[0], days[2]), (days[4], days[6])]
    assert [(row.close, row.open) for row in timer.rows] == [(c.close, c.open) for c in closings]
    (remark,) = timer.remarks
    assert remark.startswith("on 11 Jun an exception rules and not the setting of the period")


@settings(max_examples=300)
@given(cases(), st.sampled_from(EVERY))
def test_no_setting_closes_after_the_dates_or_the_season(case: Case, every: Every) -> None:
    """Unless it has to, to cover what the daily plan covers."""
    _, spells, zone, season = case
    if not spells:
        return
    timer = timer_of(case, every)
    dates = dates_of(case)
    for row in timer.rows:
        day = clock.local_date(row.close, zone)
        within = dates[0] <= day <= dates[1] and clock.in_season(day, season)
        assert within or intersect(spans(timer.daily), [Spell(row.close, row.open)])
    first = [s.first.toordinal() * 86400 + s.close for s in timer.settings]
    assert first == sorted(first)
