"""The audit passes every plan of ours and finds what a hand has broken in it."""

from dataclasses import replace
from datetime import date, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st
from plan_cases import cases, home

from suncover.base import clock
from suncover.base.spell import Spell, intersect, subtract, total_seconds
from suncover.plan import season
from suncover.plan.audit import (
    ROUNDING_S,
    audit_plan,
    audit_shade,
    down_at,
)
from suncover.plan.closings.shade_plan import Closing
from suncover.plan.motor import Motor
from suncover.plan.other_year import moved_to_year
from suncover.plan.season import ShadeSun
from suncover.site.model import Shade


def site_of(shade, need, zone="Europe/Zurich", latitude=47.0):
    window = {"azimuth": 120, "width": 1, "height": 1}
    shades = {"roller": {"windows": ["kitchen"], **shade}}
    return home({"kitchen": window}, shades, (latitude, 8.0, zone), need=need)


def synthetic(case):
    shade, spells, zone, season = case
    facts = shade.model_dump(exclude_unset=True, exclude={"name", "windows"})
    need = season and {"season": [f"{month:02d}-{day:02d}" for month, day in season]}
    site = site_of(facts, need or {}, zone.key)
    span = Spell(spells[0].start, spells[-1].end) if spells else Spell(0, 1)
    return site, ShadeSun(site.shades[0], {"kitchen": spells}, spells), span


@given(cases())
def test_an_untouched_plan_keeps_every_promise_however_its_rules_bend(case):
    site, sun, span = synthetic(case)
    (plan,) = season.plans_for(site, [sun])
    audit = audit_shade(site, sun, plan.closings, span, [span], by_rules=plan)
    assert not audit.broken
    assert audit.covered_share == 1
    assert audit.needless == audit.own_needless
    # What is promised and what the rules let in are the whole need of the season's dates.
    assert audit.closings == len(plan.closings)


@given(cases(), st.randoms(use_true_random=False))
def test_a_row_taken_out_leaves_its_sun_uncovered(case, random):
    site, sun, span = synthetic(case)
    shade = sun.shade.model_copy(update={"shortest": 0.0})
    sun = replace(sun, shade=shade)
    (plan,) = season.plans_for(site, [sun])
    if not plan.closings:
        return
    gone = random.choice(plan.closings)
    left = [closing for closing in plan.closings if closing is not gone]
    audit = audit_shade(site, sun, left, span, [span], by_rules=plan)
    travel = int(shade.travel)
    down = [Spell(min(gone.close + travel, gone.open), gone.open)]
    lost = [part for part in intersect(sun.counted, down) if part.seconds > ROUNDING_S]
    assert audit.missed == total_seconds(lost)
    assert audit.broken == bool(lost)


@given(
    st.lists(st.tuples(st.integers(0, 400), st.integers(1, 200)), min_size=1, max_size=6),
    st.sampled_from([0, 7, 30]),
)
def test_a_shade_is_down_as_its_motor_would_have_it(rows, travel):
    """Against a clock that ticks second by second: rows may overlap as badly as they like."""
    zone_day = date(2026, 6, 1)
    closings = [Closing("r", zone_day, a, a + length, 0, "") for a, length in rows]
    shade = Shade(name="r", windows=("w",), travel=travel)
    closes, opens = {a for a, _ in rows}, {a + length for a, length in rows}
    since: int | None = None
    expected = set()
    for second in range(700):
        if second in opens:
            since = None
        if second in closes and since is None:
            since = second
        if since is not None and second >= since + travel:
            expected.add(second)
    spells = down_at(closings, shade)(100)
    assert {s for spell in spells for s in range(spell.start, spell.end)} == expected


ZURICH = ZoneInfo("Europe/Zurich")
QUIET = {"travel": 75, "quiet": ["21:30", "07:00"]}
BENT: dict[str, dict[str, Any]] = {
    "plain": {},
    "early": QUIET,
    "late": {**QUIET, "in_quiet": "late"},
    "moves": {"moves": 2, "merge": 0},
    "shortest": {"shortest": 300},
}


@pytest.mark.parametrize("rules", BENT.values(), ids=BENT)
@pytest.mark.parametrize("latitude", [47.0, 69.6], ids=["mid latitude", "midnight sun"])
def test_the_dates_of_an_untouched_plan_are_found(rules, latitude):
    """Whatever day a plan begins on, also where its first closing is on the evening before."""
    site = site_of(rules, {"beam": 0, "season": ["05-01", "08-15"]}, "Europe/Oslo", latitude)
    for first in (date(2026, 4, 29), date(2026, 5, 1), date(2026, 6, 10)):
        for days in (0, 3):
            (plan,) = season.season_plan(site, first, first + timedelta(days=days))
            audit = audit_plan(site, plan.closings)
            assert audit is None or not audit.broken


def changed(number, minutes, what="close"):
    """The audit of a week's plan with one time changed; lead is 2 min, quiet hours from 21:30."""
    site = site_of(QUIET, {})
    plan = season.season_plan(site, date(2026, 6, 1), date(2026, 6, 7))[0]
    closings = list(plan.closings)
    old = closings[number]
    time = getattr(old, what) + 60 * minutes
    closings[number] = replace(old, **{what: time})
    audit = audit_plan(site, closings, date(2026, 6, 1), date(2026, 6, 7))
    return audit.shades[0]


def test_a_closing_that_opens_early_leaves_the_difference_uncovered():
    assert not changed(3, -2, "open").broken
    audit = changed(3, -12, "open")
    assert audit.missed == 600
    assert len(audit.uncovered) == 1
    site = site_of(QUIET, {})
    sun = season.shade_sun(site, date(2026, 6, 1), date(2026, 6, 7))[0].needed["kitchen"]
    assert audit.promised + audit.let_in == total_seconds(sun)
    assert subtract(audit.uncovered, sun) == ()
    assert clock.local_date(audit.uncovered[0].start, ZURICH) == date(2026, 6, 4)


def test_a_longer_closing_costs_daylight_and_breaks_nothing():
    audit = changed(3, 30, "open")
    assert not audit.broken
    assert audit.needless - audit.own_needless == 1800


def test_a_move_into_quiet_hours_is_found_and_its_edges_are_free():
    """Closings of the evening before start at 21:28:45, and their run of 75 s ends at 21:30."""
    assert changed(3, 0).in_quiet == ()
    audit = changed(3, 5)
    assert [move.what for move in audit.in_quiet] == ["close"]
    assert audit.broken
    assert audit.uncovered == ()
    for close, opens, found in (
        ("07:00:00", "21:28:45", []),
        ("06:59:59", "21:28:45", ["close"]),
        ("07:00:00", "21:28:46", ["open"]),
        ("06:00:00", "22:00:00", ["close", "open"]),
    ):
        day, site = date(2026, 6, 1), site_of(QUIET, {})
        times = [clock.time.fromisoformat(wall) for wall in (close, opens)]
        ends = [clock.instant_of(day, wall, ZURICH) for wall in times]
        moves = Motor(site.shades[0], ZURICH).in_quiet([Closing("roller", day, *ends, 0, "")])
        assert [move.what for move in moves] == found, (close, opens)


def test_a_plan_part_of_the_way_down_does_not_keep_off_the_heat():
    site = site_of({}, {})
    plan = season.season_plan(site, date(2026, 6, 1), date(2026, 6, 2))[0]
    half = [replace(closing, position=50) for closing in plan.closings]
    audit = audit_plan(site, half)
    assert audit.shades[0].covered_share == 0


def test_moves_over_the_limit_and_clashes_are_told_but_break_no_promise():
    site = site_of({"moves": 2, "travel": 60}, {})
    plan = season.season_plan(site, date(2026, 6, 1), date(2026, 6, 1))[0]
    (closing,) = plan.closings
    extra = Closing("roller", closing.date, closing.open + 30, closing.open + 900, 0, "")
    audit = audit_plan(site, [closing, extra])
    (shade,) = audit.shades
    assert not audit.broken
    assert shade.over_limit == {date(2026, 6, 1): 4}
    assert shade.clashes == (extra.close,)
    # A run of 60 s that is over just as the next begins is none.
    after = replace(extra, close=closing.open + 60)
    assert audit_plan(site, [closing, after]).shades[0].clashes == ()
    assert shade.run_seconds == {date(2026, 6, 1): 240.0}


def test_no_closings_and_no_dates_is_nothing_to_audit():
    site = site_of({}, {})
    assert audit_plan(site, []) is None
    audit = audit_plan(site, [], date(2026, 6, 1), date(2026, 6, 1))
    assert audit.broken
    assert audit.shades[0].covered_share == 0


def test_last_years_plan_drifts_by_less_than_a_lead_of_some_minutes():
    """The sun of a date comes back within a quarter of a day's drift: under a minute in June."""
    site = site_of({"lead": 3, "lag": 3}, {"season": ["05-01", "08-31"]})
    plan = season.season_plan(site, date(2026, 6, 1), date(2026, 6, 30))[0]
    moved = moved_to_year(plan.closings, 2027, ZURICH)
    assert [(c.date.month, c.date.day) for c in moved] == [
        (c.date.month, c.date.day) for c in plan.closings
    ]
    audit = audit_plan(site, moved)
    assert not audit.broken
    assert audit.first == date(2027, 6, 1)


def test_leap_days_fall_out_of_a_year_without_them_and_clock_times_stay():
    zone = ZoneInfo("America/New_York")
    rows = [
        Closing("r", day, clock.instant_of(day, clock.time(12), zone), 0, 0, "")
        for day in (date(2028, 2, 28), date(2028, 2, 29), date(2028, 3, 12))
    ]
    rows = [replace(row, open=row.close + 3600) for row in rows]
    moved = moved_to_year(rows, 2029, zone)
    # 12 March: summer time in 2028 (since that day) and in 2029 (since the 11th).
    assert [clock.iso_local(row.close, zone) for row in moved] == [
        "2029-02-28T12:00:00-05:00",
        "2029-03-12T12:00:00-04:00",
    ]
