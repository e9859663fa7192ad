"""The best plan of a site: never dearer than the plan by the rules, and said in plain words."""

from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import pytest
from plan_cases import home

from suncover.base.clock import dates_bounds
from suncover.base.spell import Spell, intersect, total_seconds, union
from suncover.plan import season
from suncover.plan.best.plans import BestPlan, best_plans, steps
from suncover.plan.unit import units_of
from suncover.site.model import Site

DATES = date(2026, 5, 20), date(2026, 6, 10)
SHADES: dict[str, dict[str, Any]] = {
    "plain": {},
    "early": {"travel": 75, "quiet": ["21:30", "07:00"]},
    "late": {"travel": 75, "quiet": ["21:30", "07:00"], "in_quiet": "late"},
    "moves": {"moves": 2, "merge": 0},
    "shortest": {"shortest": 120},
}


EAST = {"azimuth": 100, "width": 1, "height": 1}
BLOCKED = [[255, 0], [255, 60], [270, 60], [270, 0]]
WINDOWS = {"east": EAST, "west": {"azimuth": 265, "width": 1, "height": 1, "skyline": BLOCKED}}


def site_of(rules, latitude=47.0, **best):
    """Two windows that have sun at different times, behind one shade."""
    shades = {"roller": {"windows": ["east", "west"], **rules}}
    return home(WINDOWS, shades, (latitude, 8.0, "Europe/Oslo"), best=best)


def best_of(site: Site, first: date = DATES[0], last: date = DATES[1]) -> BestPlan:
    """The best plan of a site's only shade."""
    (best,) = every_best(site, first, last)
    return best


def every_best(site: Site, first: date = DATES[0], last: date = DATES[1]) -> list[BestPlan]:
    light = season.light_of(site, dates_bounds(first, last, site.place.zone))
    return best_plans(site, season.shade_sun(site, first, last), light)


@pytest.mark.parametrize("rules", SHADES.values(), ids=SHADES)
@pytest.mark.parametrize("latitude", [47.0, 69.6], ids=["mid latitude", "midnight sun"])
def test_it_costs_no_more_than_the_plan_by_the_rules(rules, latitude):
    for weights in ({}, {"daylight": 1.0, "move": 40.0}, {"sun": 0.1}):
        site = site_of(rules, latitude, **weights)
        best = best_of(site)
        assert best.price.cost <= best.by_rules + 1e-6
        price = best.price
        # What a motor that closes late lets in while it is running is missed, too.
        (sun,) = season.shade_sun(site, *DATES)
        travel = round(sun.shade.travel)
        runs = [Spell(one.close, min(one.close + travel, one.open)) for one in best.plan.closings]
        running = total_seconds(intersect(union(season.needed_by(sun)), runs))
        left = sum(part.end - part.start for part in best.plan.uncovered)
        assert price.missed == left + running
        again = site.best.sun * price.missed / 60 + site.best.daylight * price.needless / 60
        assert again + site.best.move * best.moves == pytest.approx(price.cost)


def test_where_moves_and_light_cost_nothing_all_sun_is_covered():
    best = best_of(site_of({"shortest": 0}, daylight=0.0, move=0.0))
    assert best.price.missed == 0
    assert best.price.cost == pytest.approx(0)


def test_where_a_move_costs_a_day_nothing_closes_and_the_plan_says_why():
    best = best_of(site_of({}, move=1000.0))
    assert best.plan.closings == ()
    assert {part.rule for part in best.plan.uncovered} == {"best"}
    assert "is worth what it costs in daylight and moves" in best.plan.uncovered[0].why


def test_what_a_limit_keeps_uncovered_is_told_as_its_doing():
    best = best_of(site_of({"shortest": 900}))
    assert best.plan.closings == ()
    assert {part.rule for part in best.plan.uncovered} == {"shortest"}
    assert sum(part.end - part.start for part in best.plan.uncovered) == best.price.missed


def test_dearer_moves_are_never_more_moves():
    moves = [best_of(site_of({"merge": 0}, move=move)).moves for move in (0, 2, 10, 60, 300)]
    assert moves == sorted(moves, reverse=True)
    assert moves[0] > moves[-1]


def test_a_looser_limit_is_never_worse():
    site = site_of({"moves": 2, "quiet": ["21:30", "09:00"], "in_quiet": "late"})
    light = season.light_of(site, dates_bounds(*DATES, site.place.zone))
    found = list(steps(site, units_of(site, season.shade_sun(site, *DATES)), light))
    assert [step.limit for step in found] == [
        "3 moves a day",
        "merge 20 min",
        "shortest 5 min",
        "no quiet hours",
    ]
    assert all(step.after.cost <= step.before.cost + 1e-6 for step in found)
    assert found[-1].after.cost < found[-1].before.cost
    assert found[0].before == best_of(site).price


def test_days_are_planned_one_by_one():
    """What is best for a week is best for each of its days: nothing is bridged over the night."""
    site = site_of({})
    days = [date(2026, 6, 1) + timedelta(days=number) for number in range(7)]
    each = [best_of(site, day, day) for day in days]
    week = best_of(site, days[0], days[-1])
    assert week.plan.closings == tuple(c for one in each for c in one.plan.closings)
    assert week.price.cost == pytest.approx(sum(one.price.cost for one in each))


def test_a_shade_without_need_has_an_empty_plan():
    site = site_of({})
    (sun,) = season.shade_sun(site, *DATES)
    none = replace(sun, needed=dict.fromkeys(sun.needed, ()))
    (best,) = best_plans(site, [none], ())
    assert (best.plan.closings, best.plan.uncovered, best.price.cost) == ((), (), 0)


def test_by_heat_little_sun_is_let_in_and_strong_sun_is_not():
    """The same minutes: sun through a hand's breadth of glass against sun through a wide pane."""
    narrow, wide = (site_of({}, by="heat", kwh=30) for _ in range(2))
    slim = [window.model_copy(update={"width": 0.03}) for window in narrow.windows]
    narrow = narrow.model_copy(update={"windows": tuple(slim)})
    assert best_of(narrow).plan.closings == ()
    assert best_of(wide).plan.closings != ()
    best = best_of(wide)
    assert best.price.cost <= best.by_rules + 1e-6
    # Dearer heat never lets more of it in.
    heat = [best_of(site_of({}, by="heat", kwh=kwh)).price.heat for kwh in (0, 5, 50, 500)]
    assert heat == sorted(heat, reverse=True)
    assert heat[0] > heat[-1]


def grouped(move, **best):
    """Two shades, one over each window, in a group."""
    group = [{"name": "g", "shades": ["east", "west"], "move": move}]
    shades = {name: {"moves": 4, "shortest": 0} for name in ("east", "west")}
    return home(WINDOWS, shades, (47.0, 8.0, "Europe/Oslo"), group=group, best=best)


@pytest.mark.parametrize("daylight", [0.05, 0.2, 1.0])
def test_shades_that_move_together_have_one_best_plan(daylight):
    """It costs no less than each one's own best and no more than the plan by the rules."""
    together, own = (every_best(grouped(move, daylight=daylight)) for move in ("together", "own"))
    times = [[(c.close, c.open, c.position) for c in one.plan.closings] for one in together]
    assert times[0] == times[1]
    cost = sum(one.price.cost for one in together)
    assert sum(one.price.cost for one in own) <= cost + 1e-6
    assert cost <= sum(one.by_rules for one in together) + 1e-6
