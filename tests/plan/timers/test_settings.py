"""One setting for a whole period covers all that the daily plan covers, whatever clocks do."""

from datetime import UTC, date, datetime, time, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st
from plan_cases import JUMPS, cases, spans

from suncover.base import clock
from suncover.base.spell import Spell, intersect, subtract, union
from suncover.plan.closings.shade_plan import Closing, make_shade_plan
from suncover.plan.motor import Motor
from suncover.plan.timers.dial import Dial, standing_dial
from suncover.plan.timers.rounding import round_closings
from suncover.plan.timers.settings import make_timer_plan
from suncover.site.model import Shade

EVERY = ["day", "week", "month"]
ONE = timedelta(days=1)
ROLLER = Shade(name="r", windows=("w",))


def dates_of(case):
    _, spells, zone, _ = case
    if not spells:
        return date(2026, 6, 1), date(2026, 6, 2)
    return clock.local_date(spells[0].start, zone), clock.local_date(spells[-1].end, zone)


def timer_of(case, every, *, ignores=False, minutes=0, **more):
    shade, spells, zone, season = case
    dates = dates_of(case)
    dial = standing_dial(zone, dates[0]) if ignores else Dial(zone)
    closings = make_shade_plan(shade, spells, zone, season).closings
    if minutes:
        closings = round_closings(Motor(shade, zone), closings, dial, minutes)
    motor = Motor(shade, dial.zone)
    return make_timer_plan(motor, closings, dial, every, dates=dates, season=season, **more)


def is_daily(timer):
    return any("daily plan is kept" in remark for remark in timer.remarks)


def period_of(day, every):
    """The period in which a day lies, as `date` formats it (ISO 8601 weeks)."""
    return day.strftime({"day": "%Y-%m-%d", "week": "%G-W%V", "month": "%Y-%m"}[every])


kinds = st.tuples(st.sampled_from(EVERY), st.booleans(), st.sampled_from([0, 1, 5, 30]))


@given(cases(), kinds)
def test_a_setting_covers_the_daily_plan_and_keeps_to_its_shade_and_period(case, kind):
    every, ignores, minutes = kind
    timer = timer_of(case, every, ignores=ignores, minutes=minutes)
    shade, _, zone, season = case
    assert subtract(spans(timer.daily), spans(timer.rows)) == ()
    if is_daily(timer):
        assert timer.rows == timer.daily
        return
    for before, after in pairwise(timer.rows):
        assert before.open + max(int(shade.travel), 1) <= after.close
    assert timer.extra_seconds >= 0
    assert len(timer.origin) == len(timer.rows)
    first = [s.first.toordinal() * 86400 + s.close for s in timer.settings]
    assert first == sorted(first)
    if ignores or minutes:
        return
    # A timer's day that turns in the afternoon closes in the morning after: on the next date.
    for setting in timer.settings:
        if not setting.apart:
            closes = setting.first + setting.close // 86400 * ONE
            assert setting.period == period_of(closes, every)
    # No setting goes past the limits of its shade, ...
    for period in {period_of(setting.first, every) for setting in timer.settings}:
        own = (s for s in timer.settings if period_of(s.first, every) == period)
        times = sorted({(s.close, s.open) for s in own})
        for before, after in pairwise(times):
            assert after[0] - before[1] >= shade.merge * 60
        assert shade.moves is None or len(times) == 1 or 2 * len(times) <= shade.moves
    # ... nor closes after the dates or the season, unless it has to.
    dates = dates_of(case)
    for row in timer.rows:
        day = clock.local_date(row.close, zone)
        within = dates[0] <= day <= dates[1] and clock.in_season(day, season)
        assert within or intersect(spans(timer.daily), [Spell(row.close, row.open)])


@given(cases(), st.sampled_from(EVERY))
def test_rows_are_at_the_clock_times_of_their_setting(case, every):
    """By the standard library's clock alone; dates with a change of clocks near are left out."""
    zone = case[2]
    timer = timer_of(case, every)
    for number, row in zip(timer.origin, timer.rows, strict=True):
        setting = timer.settings[number]
        near = [
            datetime.fromtimestamp(row.close + days * 86400, UTC).astimezone(zone).utcoffset()
            for days in range(-2, 4 + (row.open - row.close) // 86400)
        ]
        if len(set(near)) > 1:
            continue
        close, opens = (
            datetime.fromtimestamp(at, UTC).astimezone(zone).replace(tzinfo=None)
            for at in (row.close, row.open)
        )
        midnight = datetime.combine(close.date() - setting.close // 86400 * ONE, time.min)
        assert close - midnight == timedelta(seconds=setting.close)
        assert opens - midnight == timedelta(seconds=setting.open)


@given(cases(), st.sampled_from([1, 5, 15, 60]), st.booleans())
def test_rounding_never_uncovers_and_keeps_quiet(case, minutes, ignores):
    shade, spells, zone, season = case
    closings = make_shade_plan(shade, spells, zone, season).closings
    first, last = dates_of(case)
    dial = standing_dial(zone, first) if ignores else Dial(zone)
    rounded = round_closings(Motor(shade, zone), closings, dial, minutes)
    assert subtract(spans(closings), spans(rounded)) == ()
    # No second more than a step at each end, and what a change of clocks puts in between.
    before, after = (sum(s.seconds for s in spans(rows)) for rows in (closings, rounded))
    assert after <= before + 2 * len(closings) * (60 * minutes + 7200)
    travel = int(shade.travel)
    for one, other in pairwise(rounded):
        assert one.open + max(travel, 1) <= other.close
    if shade.quiet is None:
        for row in rounded:
            ends = row.close, row.open
            about = [clock.utc_offset(at + h * 3600, zone) for at in ends for h in (-2, 2)]
            jump = min(about) != clock.utc_offset(row.close, zone)
            assert jump or all(dial.reading(at) % (60 * minutes) == 0 for at in ends)
        return
    nights = clock.quiet_spells(shade.quiet, first - 4 * ONE, last + 4 * ONE, zone)
    for start in (at for row in rounded for at in (row.close, row.open)):
        assert all(start + travel <= night.start or start >= night.end for night in nights)


@pytest.mark.parametrize(("name", "day"), JUMPS)
def test_readings_of_a_clock_lead_back_to_their_instant(name, day):
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


def timer_on(rules, spells, dates, zone, every, *, ignores=False, **more):
    shade = ROLLER.model_validate({"name": "r", "windows": ["w"], **rules})
    closings = make_shade_plan(shade, spells, zone, None).closings
    dial = standing_dial(zone, dates[0]) if ignores else Dial(zone)
    return make_timer_plan(Motor(shade, dial.zone), closings, dial, every, dates=dates, **more)


def week_of_shade(rules, *, ignores=False):
    """Sun from 09:00 solar time or so, a minute earlier each day, over the change of 8 March."""
    zone, dates = ZoneInfo("America/New_York"), (date(2026, 3, 2), date(2026, 3, 15))
    first = clock.instant_of(dates[0], time(9), zone)
    spells = [Spell(first + d * 86340, first + d * 86340 + 7200) for d in range(14)]
    rules = {"lead": 0, "lag": 0, **rules}
    return timer_on(rules, spells, dates, zone, "week", ignores=ignores), zone


def test_a_weeks_setting_takes_the_earliest_and_the_latest_clock_time():
    timer, zone = week_of_shade({})
    first, second = timer.settings
    week = ("2026-W10", date(2026, 3, 2), date(2026, 3, 8))
    assert (first.period, first.first, first.last) == week
    # The sun of the Sunday comes an hour later by the clocks, which have gone forward that night:
    # from 09:00 of the Monday, less five minutes, to 11:54 on the Sunday.
    assert (first.close, first.open) == (9 * 3600 - 5 * 60, 12 * 3600 - 6 * 60)
    assert (second.close, second.open) == (10 * 3600 - 13 * 60, 12 * 3600 - 7 * 60)
    assert clock.iso_local(timer.rows[6].close, zone) == "2026-03-08T08:55:00-04:00"
    # Seven days of 2 h 59 min and seven of 2 h 6 min, in place of fourteen of 2 h.
    assert timer.extra_seconds == 60 * (7 * 59 + 7 * 6)
    assert timer.extra_moves == 0


def test_a_timer_that_ignores_summer_time_keeps_the_suns_pace():
    timer, zone = week_of_shade({}, ignores=True)
    assert timer.extra_seconds == 60 * 14 * 6
    assert clock.iso_local(timer.rows[6].close, zone) == "2026-03-08T09:54:00-04:00"
    _, second = timer.settings
    assert (second.close, second.open) == (9 * 3600 - 13 * 60, 11 * 3600 - 7 * 60)


def test_closings_over_midnight_belong_to_one_setting():
    """Quiet hours bring each closing to the evening before, that of Monday to Sunday's week."""
    timer, _ = week_of_shade({"quiet": ["21:30", "10:00"]})
    assert [s.period for s in timer.settings] == ["2026-W09", "2026-W10", "2026-W11"]
    assert (timer.settings[0].first, timer.settings[0].last) == (date(2026, 3, 1),) * 2
    times = {(s.close, s.open > 86400) for s in timer.settings}
    assert times == {((21 * 60 + 30) * 60, True)}


def test_a_shade_that_is_down_at_every_time_of_day_keeps_its_daily_plan():
    zone, first = ZoneInfo("Europe/Oslo"), date(2026, 6, 1)
    starts = [clock.instant_of(first + n * ONE, time(2 * n % 24), zone) for n in range(12)]
    spells = [Spell(start, start + 7200) for start in starts]
    timer = timer_on({}, spells, (first, date(2026, 6, 12)), zone, "month")
    assert timer.rows == make_shade_plan(ROLLER, spells, zone, None).closings
    assert "one setting cannot hold" in timer.remarks[0]


def test_a_leap_day_is_a_day_of_its_month():
    zone, dates = ZoneInfo("Europe/Zurich"), (date(2028, 2, 1), date(2028, 2, 29))
    starts = [clock.instant_of(day, time(9), zone) for day in clock.dates_between(*dates)]
    timer = timer_on({}, [Spell(start, start + 7200) for start in starts], dates, zone, "month")
    (setting,) = timer.settings
    assert (setting.days[-1], timer.extra_seconds) == (dates[1], 0)
    none = timer_on({}, [], dates, zone, "week")
    assert (none.settings, none.rows, none.remarks) == ((), (), ())


@given(cases().filter(lambda case: case[1]), st.sampled_from(EVERY), st.data())
def test_days_that_an_exception_touches_keep_the_daily_plan(case, every, data):
    """Whatever the exception: on those days the rows of the daily plan and no others, and all that
    the daily plan covers is covered on all days.
    """
    shade, spells, *_ = case
    start = data.draw(st.integers(spells[0].start - 86400, spells[-1].end + 86400))
    length = data.draw(st.sampled_from([60, 7200, 86400, 3 * 86400]))
    exception = Spell(start, start + length)
    timer = timer_of(case, every, exceptions=[exception])
    closings = make_shade_plan(*case).closings
    assert subtract(spans(closings), spans(timer.rows)) == ()
    if is_daily(timer):
        return
    # Gaps in which the motor has no time to open are bridged for a timer.
    short = [
        Spell(one.open, other.close)
        for one, other in pairwise(closings)
        if one.open < other.close < one.open + int(shade.travel)
    ]
    daily = union([*spans(closings), *short])
    assert intersect(spans(timer.rows), [exception]) == intersect(daily, [exception])


def test_a_week_with_a_day_to_stay_up_is_parted():
    """Worked by hand: down from 14:00 to 18:00 each day of a week but Thursday, when it is up."""
    zone = ZoneInfo("Europe/Oslo")
    days = [date(2026, 6, 8) + n * ONE for n in range(7)]
    starts = [clock.instant_of(day, time(14), zone) for day in days]
    closings = [
        Closing("r", day, at, at + 4 * 3600, 0, "sun")
        for day, at in zip(days, starts, strict=True)
        if day.weekday() != 3
    ]
    thursday, dates = clock.day_bounds(days[3], zone), (days[0], days[-1])
    motor = Motor(ROLLER, zone)
    timer = make_timer_plan(motor, closings, Dial(zone), "week", dates=dates, exceptions=[thursday])
    assert [(s.first, s.last) for s in timer.settings] == [(days[0], days[2]), (days[4], days[6])]
    assert [(row.close, row.open) for row in timer.rows] == [(c.close, c.open) for c in closings]
    (remark,) = timer.remarks
    assert remark.startswith("on 11 Jun an exception rules and not the setting of the period")
