"""What holds for every plan, whatever the sun, the rules, the zone and how its clocks jump."""

from __future__ import annotations

from datetime import UTC, date, datetime
from itertools import pairwise
from random import Random

from hypothesis import given, settings
from hypothesis import strategies as st
from plan_cases import (
    Case,
    cases,
)

from suncover.base import clock
from suncover.base.spell import Spell, intersect, seconds_in_each, subtract, union
from suncover.plan.closings.shade_plan import ShadePlan, make_shade_plan, motor_moves_by_date


def plan_of(case: Case) -> ShadePlan:
    return make_shade_plan(*case)


def closed(plan: ShadePlan) -> tuple[Spell, ...]:
    return tuple(Spell(closing.close, closing.open) for closing in plan.closings)


@given(cases())
def test_closings_are_sorted_disjoint_and_dated_by_their_start(case: Case) -> None:
    _, spells, zone, season = case
    plan = plan_of(case)
    assert all(closing.close < closing.open for closing in plan.closings)
    assert all(before.open < after.close for before, after in pairwise(plan.closings))
    for closing in plan.closings:
        assert closing.date.isoformat() == clock.iso_local(closing.close, zone)[:10]
        assert clock.in_season(closing.date, season)
        assert "\n" not in closing.reason
        assert closing.reason.startswith("sun ")
    assert [closing.sun_seconds for closing in plan.closings] == seconds_in_each(
        spells, closed(plan)
    )
    assert all(closing.sun_seconds > 0 for closing in plan.closings)


@settings(max_examples=300)
@given(cases())
def test_without_quiet_hours_gaps_of_merge_keep_the_motor_runs_apart(case: Case) -> None:
    """As long as `merge` is no shorter than a run; quiet hours may leave less."""
    shade = case[0]
    if shade.quiet is not None or 60 * shade.merge < shade.travel:
        return
    closings, travel = plan_of(case).closings, int(shade.travel)
    assert all(before.open + travel <= after.close for before, after in pairwise(closings))


@settings(max_examples=300)
@given(cases())
def test_no_run_of_the_motor_meets_quiet_hours(case: Case) -> None:
    shade, _, zone, _ = case
    plan, travel = plan_of(case), int(shade.travel)
    if shade.quiet is None or not plan.closings:
        return
    nights = clock.quiet_spells(
        shade.quiet,
        date.fromordinal(plan.closings[0].date.toordinal() - 3),
        date.fromordinal(clock.local_ordinal(plan.closings[-1].open, zone) + 3),
        zone,
    )
    for closing in plan.closings:
        for start in (closing.close, closing.open):
            assert all(start + travel <= night.start or start >= night.end for night in nights)


@settings(max_examples=300)
@given(cases())
def test_the_clock_on_the_wall_never_shows_quiet_hours_while_the_motor_runs(case: Case) -> None:
    """By the standard library's clock alone; hours that the clock shows twice are left out."""
    shade, _, zone, _ = case
    if shade.quiet is None:
        return
    begin, end = shade.quiet
    for closing in plan_of(case).closings:
        for start in (closing.close, closing.open):
            for instant in range(start, start + int(shade.travel), 10):
                now, soon, ago = (
                    datetime.fromtimestamp(instant + hours * 3600, UTC).astimezone(zone)
                    for hours in (0, 3, -3)
                )
                if now.utcoffset() == ago.utcoffset() == soon.utcoffset():
                    wall = now.time()
                    quiet = begin <= wall < end if begin < end else not end <= wall < begin
                    assert not quiet


@settings(max_examples=300)
@given(cases())
def test_every_second_asked_for_is_covered_or_said_to_be_uncovered(case: Case) -> None:
    _, spells, zone, season = case
    plan = plan_of(case)
    asked = spells
    if spells and season is not None:
        first = clock.local_date(spells[0].start, zone)
        last = clock.local_date(spells[-1].end, zone)
        asked = intersect(spells, clock.season_spells(season, first, last, zone))
    uncovered = tuple(Spell(part.start, part.end) for part in plan.uncovered)
    assert all(part.start < part.end and part.why for part in plan.uncovered)
    assert union(uncovered) == union(subtract(asked, closed(plan)))


@given(cases())
def test_no_two_closings_are_nearer_than_merge_unless_quiet_hours_made_it(case: Case) -> None:
    shade, spells, zone, season = case
    free = shade.model_copy(update={"quiet": None})
    plan = make_shade_plan(free, spells, zone, season)
    for before, after in pairwise(plan.closings):
        assert after.close - before.open >= shade.merge * 60


@settings(max_examples=300)
@given(cases())
def test_the_limit_of_moves_is_kept_before_quiet_hours_and_remarked_after(case: Case) -> None:
    shade, spells, zone, season = case
    free = make_shade_plan(shade.model_copy(update={"quiet": None}), spells, zone, season)
    over = [
        plan
        for plan in (free, plan_of(case))
        if shade.moves
        and max(motor_moves_by_date(plan.closings, zone).values(), default=0) > shade.moves
    ]
    assert free not in over
    assert free.remarks == ()
    assert bool(over) == any("moves on" in remark for remark in plan_of(case).remarks)


@given(cases())
def test_every_closing_holds_shortest_unless_it_waited_for_quiet_hours(case: Case) -> None:
    shade, _, _, _ = case
    for closing in plan_of(case).closings:
        assert closing.sun_seconds >= shade.shortest * 60 or "after quiet hours" in closing.reason


@given(cases())
def test_early_leaves_no_sun_uncovered_for_quiet_hours_that_leave_room(case: Case) -> None:
    shade, spells, zone, _ = case
    early = shade.model_copy(update={"in_quiet": "early", "shortest": 0.0})
    plan = make_shade_plan(early, spells, zone, None)
    assert plan.uncovered == () or plan.remarks != ()


@given(cases())
def test_the_same_input_gives_the_same_plan(case: Case) -> None:
    assert plan_of(case) == plan_of(case)


@given(cases(), st.randoms(use_true_random=False))
def test_the_order_and_the_overlaps_of_the_spells_do_not_matter(case: Case, random: Random) -> None:
    shade, spells, zone, season = case
    halves = [
        half
        for spell in spells
        for half in (
            Spell(spell.start, (spell.start + spell.end + 1) // 2),
            Spell((spell.start + spell.end) // 2, spell.end),
        )
    ]
    random.shuffle(halves)
    assert make_shade_plan(shade, halves, zone, season) == plan_of(case)
