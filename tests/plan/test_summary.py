"""What a plan comes to and what its limits cost, against the audit and against plans in full."""

from datetime import date

import numpy as np
import pytest

from suncover.base import clock
from suncover.base.spell import Spell, intersect, subtract, total_seconds, union
from suncover.export.text.summary_text import steps_lines
from suncover.plan import season
from suncover.plan.audit import audit_plan
from suncover.plan.best.looser import ALONE, looser, tighter_margins
from suncover.plan.best.plans import best_plans, steps, unit_plans
from suncover.plan.closings.shade_plan import ShadePlan, make_shade_plan
from suncover.plan.season import light_of
from suncover.plan.summary import PAIR, Step, steps_by_rules, summary_of
from suncover.plan.unit import leader_of, units_of
from suncover.site.file.sitefile import site_from_text
from suncover.site.model import Shade, Site

# A step in the skyline, and one of two degrees.
STEPS = [[60, 0], [75, 0], [75, 40], [85, 40], [85, 0], [110, 0], [110, 30], [112, 30], [112, 0]]
HOME = f"""
site = {{name = "Kentia House", latitude = -31.53, longitude = 159.07, \
timezone = "Australia/Lord_Howe"}}
need.season = ["09-20", "03-31"]
window = [
  {{name = "east", azimuth = 80, width = 1.2, height = 1.2, skyline = {STEPS}}},
  {{name = "north", azimuth = 5, width = 2, height = 1.4, overhang = {{depth = 0.8, gap = 0.2}}}},
  {{name = "west", azimuth = 280, width = 1, height = 1, \
skyline = [[250, 20], [260, 50], [275, 0], [290, 60], [300, 0]]}},
]
shade = [
  {{name = "east roller", windows = ["east"], travel = 70, moves = 2, \
quiet = ["21:00", "07:15"], in_quiet = "late"}},
  {{name = "north roller", windows = ["north"], travel = 40, lead = 0, lag = 5, shortest = 200}},
  {{name = "west roller", windows = ["west"], merge = 20}},
]
"""
GROUP = 'group = [{name = "sunny side", shades = ["north roller", "west roller"]}]'
SUPPLY = 'supply = [{name = "box", shades = ["north roller", "west roller"], gap = 20}]'
DATES = (date(2026, 9, 10), date(2026, 12, 20))  # over the season's begin and a change of clocks
SPAN = clock.dates_bounds(*DATES, site_from_text(HOME).place.zone)


def _parts(text: str):
    site = site_from_text(text)
    suns = season.shade_sun(site, *DATES)
    return site, suns, light_of(site, SPAN)


@pytest.mark.parametrize("more", ["", GROUP, SUPPLY], ids=["alone", "group", "supply"])
def test_the_summary_says_what_the_audit_says(more):
    site, suns, light = _parts(HOME + more)
    plans = season.plans_for(site, suns)
    summary = summary_of(site, suns, plans, SPAN, light)
    closings = [closing for plan in plans for closing in plan.closings]
    audit = audit_plan(site, sorted(closings, key=lambda one: one.close), *DATES)
    assert summary.overloads == audit.overloads
    for mine, theirs, plan, sun in zip(summary.shades, audit.shades, plans, suns, strict=True):
        assert mine.shade == theirs.shade
        # A motor that closes after quiet hours lets sun in while it is running.
        running = [
            Spell(one.close, min(one.close + round(sun.shade.travel), one.open))
            for one in plan.closings
        ]
        late = total_seconds(intersect(union(season.needed_by(sun)), running))
        assert mine.uncovered == late + sum(part.end - part.start for part in plan.uncovered)
        assert mine.needless == theirs.needless
        assert mine.moves == max(theirs.moves.values())
        assert mine.run_seconds == max(theirs.run_seconds.values())
        assert mine.in_quiet == theirs.in_quiet
        if not more:
            # The audit leaves out what `shortest` lets in and another rule happens to cover.
            assert 0 <= mine.covered - theirs.promised < 3600


def _in_full(site: Site, suns, name: str, rules) -> tuple[int, int, int]:
    """Seconds uncovered, seconds needless and moves of one shade's plan by the rules, in full."""
    sun = next(sun for sun in suns if sun.shade.name == name)
    needed = union(season.needed_by(sun))
    light = light_of(site, SPAN)
    dates = site.need_of(sun.shade).plan_season
    return _sums(make_shade_plan(rules, needed, site.place.zone, dates), rules, needed, light)


def _sums(plan: ShadePlan, rules, needed, light) -> tuple[int, int, int]:
    rows = [Spell(closing.close, closing.open) for closing in plan.closings]
    down = [Spell(min(row.start + round(rules.travel), row.end), row.end) for row in rows]
    uncovered = total_seconds(subtract(needed, down))
    return uncovered, total_seconds(intersect(subtract(rows, needed), light)), PAIR * len(rows)


def test_steps_are_what_plans_in_full_come_to():
    site, suns, light = _parts(HOME)
    steps = {(step.name, step.limit): step for step in steps_by_rules(site, suns, light)}
    told = 0
    for sun in suns:
        shade = sun.shade
        now = _in_full(site, suns, shade.name, shade)
        for limit, rules in [*looser(shade, PAIR), tighter_margins(shade)]:
            then = _in_full(site, suns, shade.name, rules)
            step = steps.pop((shade.name, limit))
            # Each month's seconds are whole, so no sum is off.
            assert sum(step.uncovered.values()) == now[0] - then[0], (shade.name, limit)
            assert sum(step.needless.values()) == now[1] - then[1], (shade.name, limit)
            assert step.moves == then[2] - now[2], (shade.name, limit)
            told += step.changes
    assert not steps
    assert told >= 6  # of 11: most of these limits bind


def test_what_a_group_costs_is_told():
    """Its shades by themselves against moving together: both plans in full."""
    site, suns, light = _parts(HOME + GROUP)
    told = list(steps_by_rules(site, suns, light))
    assert {step.name for step in told} == {"sunny side", "east roller"}
    (step,) = [step for step in told if step.limit == ALONE]
    names = site.groups[0].shades
    mine = [sun for sun in suns if sun.shade.name in names]
    rules = leader_of([sun.shade for sun in mine])
    plans = {plan.shade: plan for plan in season.plans_for(site, suns)}
    together = np.sum(
        [_sums(plans[sun.shade.name], rules, union(season.needed_by(sun)), light) for sun in mine],
        axis=0,
    )
    alone = np.sum([_in_full(site, suns, sun.shade.name, sun.shade) for sun in mine], axis=0)
    gains = sum(step.uncovered.values()), sum(step.needless.values()), -step.moves
    assert (step.name, gains) == ("sunny side", tuple(together - alone))
    assert step.changes
    # The best plans of the shades by themselves are those of a home without the group.
    best = list(steps(site, units_of(site, suns), light))
    (apart,) = [step for step in best if step.limit == ALONE]
    free = site_from_text(HOME)
    own = {one.plan.shade: one for one in best_plans(free, suns, light)}
    assert apart.after.cost == pytest.approx(sum(own[name].price.cost for name in names))
    assert apart.after.cost < apart.before.cost
    assert apart.moves == sum(own[name].moves for name in names) - sum(
        2 * len(plan.closings) for plan in unit_plans(site, units_of(site, suns)[-1], light)
    )


@pytest.mark.parametrize(("merge", "steps"), [(0, []), (5, ["merge 0 min"])])
def test_a_shade_without_limits_has_none_to_loosen(merge, steps):
    shade = Shade(name="r", windows=("w",), merge=merge, shortest=0)
    assert [limit for limit, _ in looser(shade, PAIR)] == steps


def test_the_month_that_gains_most_is_named():
    dates = (date(2027, 5, 2), date(2027, 6, 30))
    may, june = date(2027, 5, 1), date(2027, 6, 1)
    step = Step("roller", "6 moves a day", {may: 30 * 720, june: 30 * 60}, {june: -120}, 8)
    said = " ".join(" ".join(steps_lines([step], dates)).split())
    assert (
        "- roller, 6 moves a day: 6 h 30 min less left uncovered (12 min a day in May); 2 min more "
        "closing for nothing; 8 more moves"
    ) in said


def test_no_month_is_named_that_was_not_asked_for():
    """A closing on the evening before the first day counts with the first month."""
    dates = (date(2027, 3, 1), date(2027, 4, 15))
    february, march, april = (date(2027, month, 1) for month in (2, 3, 4))
    needless = {february: 2700, march: 31 * 240, april: 15 * 240}
    step = Step("roller", "no quiet hours", {}, needless, 0)
    said = " ".join(" ".join(steps_lines([step], dates)).split())
    assert "3 h 49 min less closing for nothing (5 min a day)" in said
