"""Closings at other times: what their reasons quote of quiet hours is the row's own time."""

import re
from dataclasses import replace
from datetime import UTC, date, datetime, time
from zoneinfo import ZoneInfo

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from plan_cases import cases

from suncover.base.clock import clock_text
from suncover.base.spell import Spell
from suncover.plan.closings.changed import moved, with_rows
from suncover.plan.closings.reasons import no_room
from suncover.plan.closings.shade_plan import Closing, ShadePlan, Uncovered, make_shade_plan
from suncover.plan.motor import Motor
from suncover.plan.needs import Want
from suncover.plan.sharing.supply import spread_starts
from suncover.plan.timers.dial import Dial
from suncover.plan.timers.rounding import round_closings
from suncover.plan.timers.steady import steady_closings
from suncover.plan.unit import ShadeSun, unit_of
from suncover.site.model import Shade, Supply

CLOSES = re.compile(r"closes (\d\d:\d\d), (?:before|after) quiet hours")
OPENS = re.compile(r"opens (\d\d:\d\d)[^;]*, after quiet hours")
ZONE, DAY = ZoneInfo("UTC"), date(2026, 6, 1)


def at(wall, day=1):
    return int(datetime.combine(date(2026, 6, day), time.fromisoformat(wall), UTC).timestamp())


def row(close, opens, reason=""):
    return Closing("r", DAY, close, opens, 0, reason)


@pytest.mark.parametrize(
    ("quoted", "close", "told"),
    [
        ("closes 20:59, before", "20:55:00", "closes 20:55, before"),
        ("closes 20:59, before", "20:58:20", "closes 20:58, before"),
        ("closes 20:59, after", "20:55:00", "closes 20:55, after"),
        ("closes 20:59, after", "20:59:25", "closes 20:59, after"),
    ],
    ids=["rounded", "seconds are cut", "after them", "the same"],
)
def test_a_closing_that_has_moved_quotes_its_own_time(quoted, close, told):
    reason = "sun 05:00–08:00 next day; {} quiet hours; opens {} next day, after quiet hours"
    old = row(at("20:59:25"), at("09:00", 2), reason.format(quoted, "09:00"))
    got = moved(old, at(close), at("09:05", 2), ZONE)
    assert got.reason == reason.format(told, "09:05")
    assert (got.close, got.open, got.date) == (at(close), at("09:05", 2), DAY)
    sooner = replace(old, reason="sun; opens 09:00 next day, before quiet hours")
    told = moved(sooner, at(close), at("08:45", 2), ZONE).reason
    assert told == "sun; opens 08:45 next day, before quiet hours"


def check(rows, zone):
    for each in rows:
        assert set(CLOSES.findall(each.reason)) <= {clock_text(each.close, zone)}, each
        assert set(OPENS.findall(each.reason)) <= {clock_text(each.open, zone)}, each


SHORT = {"travel": 600, "lead": 0, "lag": 0, "merge": 0, "shortest": 0}
# A supply joins all three; the last opens two days after the first closes.
THREE_NIGHTS = (
    Shade(name="roller", windows=("kitchen",), quiet=(time(0, 45), time(0, 15)), **SHORT),
    tuple(Spell(start, start + 1) for start in (1_775_048_400, 1_775_051_040, 1_775_137_436)),
    ZoneInfo("Australia/Lord_Howe"),
    None,
)


@example(THREE_NIGHTS, 5)
@given(cases(), st.sampled_from([5, 15, 60]))
def test_rows_of_any_plan_quote_their_own_times(case, minutes):
    shade, spells, zone, season = case
    shade = shade.model_copy(update={"quiet": shade.quiet or (time(21), time(7, 30))})
    daily = make_shade_plan(shade, spells, zone, season).closings
    check(daily, zone)
    rounded = round_closings(Motor(shade, zone), daily, Dial(zone), minutes)
    check(rounded, zone)
    check(steady_closings(Motor(shade, zone), [rounded], 900)[0], zone)
    twin = shade.model_copy(update={"name": "twin"})
    supply = Supply(name="box", shades=(shade.name, "twin"), gap=90)
    motors = {shade.name: Motor(shade, zone), "twin": Motor(twin, zone)}
    for rows in spread_starts(supply, motors, dict.fromkeys(motors, daily)).values():
        check(rows, zone)


def test_round_times_do_not_reach_into_a_time_to_stay_up():
    """Cleaning from 13 to 15: what ends before it and begins after it keeps its own times there."""
    motor = Motor(Shade(name="r", windows=("w",), travel=55), ZONE)
    cleaning = Spell(at("13:00"), at("15:00"))
    rows = [row(at("08:01"), cleaning.start - 55), row(cleaning.end, at("19:06"))]
    first, second = round_closings(motor, rows, Dial(ZONE), 5, [[cleaning]] * 2)
    assert (first.close, first.open) == (at("08:00"), cleaning.start - 55)
    assert (second.close, second.open) == (cleaning.end, at("19:10"))
    # Without it the first would end where the cleaning begins.
    first, _ = round_closings(motor, rows, Dial(ZONE), 5)
    assert first.open == at("13:00")


@pytest.mark.parametrize("need", ["heat", "sleep", None])
def test_what_a_late_closing_leaves_uncovered_is_told_for_what_it_is(need):
    """Asked for at 07:00, closed at 07:02 once the supply has room: two minutes are left."""
    wanted = Spell(at("06:30"), at("08:00"))
    asked = row(at("07:00"), wanted.end)
    wants = None if need is None else (Want(wanted, need, ""),)
    shade = Shade(name="r", windows=("w",))
    unit = unit_of("r", [ShadeSun(shade, {"w": (wanted,)}, (wanted,), wants)], [None], ZONE)
    later = Uncovered("r", at("09:00"), at("09:10"), "it is Sunday", "season", True)
    remarks = ("mind the step",) if need else (no_room(), "mind the step")
    plan = ShadePlan("r", (asked,), (later,), remarks)
    made = with_rows(plan, [replace(asked, close=at("07:02"))], unit, unit.members[0])
    why = "after quiet hours its motor waits for its turn at the supply"
    lost = Uncovered("r", at("07:00"), at("07:02"), why, "quiet", need != "sleep")
    assert (made.uncovered, made.remarks) == ((lost, later), remarks)
