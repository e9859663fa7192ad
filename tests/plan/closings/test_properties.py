"""What holds for every plan, whatever the sun, the rules, the zone and how its clocks jump."""

from datetime import UTC, date, datetime
from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st
from plan_cases import cases

from suncover.base import clock
from suncover.base.spell import Spell, intersect, seconds_in_each, subtract, union
from suncover.plan.closings.shade_plan import make_shade_plan, motor_moves_by_date


def closed(plan):
    return tuple(Spell(closing.close, closing.open) for closing in plan.closings)


def starts_of(plan):
    return [start for closing in plan.closings for start in (closing.close, closing.open)]


@given(cases())
def test_closings_are_dated_and_hold_their_sun_and_all_else_is_said(case):
    shade, spells, zone, season = case
    plan = make_shade_plan(*case)
    assert all(closing.close < closing.open for closing in plan.closings)
    assert all(before.open < after.close for before, after in pairwise(plan.closings))
    for closing in plan.closings:
        assert closing.date.isoformat() == clock.iso_local(closing.close, zone)[:10]
        assert clock.in_season(closing.date, season)
        assert "\n" not in closing.reason
        assert closing.reason.startswith("sun ")
        assert closing.sun_seconds >= shade.shortest * 60 or "after quiet hours" in closing.reason
    found = [closing.sun_seconds for closing in plan.closings]
    assert found == seconds_in_each(spells, closed(plan))
    assert all(found)
    asked = spells
    if spells and season is not None:
        first, last = (clock.local_date(at, zone) for at in (spells[0].start, spells[-1].end))
        asked = intersect(spells, clock.season_spells(season, first, last, zone))
    uncovered = tuple(Spell(part.start, part.end) for part in plan.uncovered)
    assert all(part.start < part.end and part.why for part in plan.uncovered)
    assert union(uncovered) == union(subtract(asked, closed(plan)))


@given(cases())
def test_quiet_hours_are_kept_by_their_list_and_by_the_clock_on_the_wall(case):
    """The latter by the standard library's clock alone; hours that it shows twice are left out."""
    shade, _, zone, _ = case
    plan, travel = make_shade_plan(*case), int(shade.travel)
    if shade.quiet is None or not plan.closings:
        return
    begin, end = shade.quiet
    nights = clock.quiet_spells(
        shade.quiet,
        date.fromordinal(plan.closings[0].date.toordinal() - 3),
        date.fromordinal(clock.local_ordinal(plan.closings[-1].open, zone) + 3),
        zone,
    )
    for start in starts_of(plan):
        assert all(start + travel <= night.start or start >= night.end for night in nights)
        for instant in range(start, start + travel, 30):
            now, soon, ago = (
                datetime.fromtimestamp(instant + hours * 3600, UTC).astimezone(zone)
                for hours in (0, 3, -3)
            )
            if now.utcoffset() == ago.utcoffset() == soon.utcoffset():
                wall = now.time()
                assert not (begin <= wall < end if begin < end else not end <= wall < begin)


@given(cases())
def test_merge_and_the_limit_of_moves_bind_before_quiet_hours_and_are_remarked_after(case):
    """A gap of `merge` keeps runs apart, where it is no shorter than one."""
    shade, spells, zone, season = case
    free = make_shade_plan(shade.model_copy(update={"quiet": None}), spells, zone, season)
    for before, after in pairwise(free.closings):
        assert after.close - before.open >= shade.merge * 60
    plan = make_shade_plan(*case)
    over = [
        max(motor_moves_by_date(made.closings, zone).values(), default=0) > (shade.moves or 9999)
        for made in (free, plan)
    ]
    assert not over[0]
    assert free.remarks == ()
    assert over[1] == any("moves on" in remark for remark in plan.remarks)
    early = shade.model_copy(update={"in_quiet": "early", "shortest": 0.0})
    plan = make_shade_plan(early, spells, zone, None)
    assert plan.uncovered == () or plan.remarks != (), "early leaves none, where there is room"


@given(cases(), st.randoms(use_true_random=False))
def test_the_order_and_the_overlaps_of_the_spells_do_not_matter(case, random):
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
    assert make_shade_plan(shade, halves, zone, season) == make_shade_plan(*case)
