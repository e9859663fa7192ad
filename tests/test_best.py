"""The best plan of a site: never dearer than the plan by the rules, and said in plain words."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import pytest

from suncover import pipeline
from suncover.best import BestPlan, best_plan, light_of, loosened, rule_cost
from suncover.clock import dates_bounds
from suncover.site import Site

DATES = date(2026, 5, 20), date(2026, 6, 20)
SHADES: dict[str, dict[str, Any]] = {
    "plain": {},
    "early": {"travel": 75, "quiet": ["21:30", "07:00"]},
    "late": {"travel": 75, "quiet": ["21:30", "07:00"], "in_quiet": "late"},
    "moves": {"moves": 2, "merge": 0},
    "shortest": {"shortest": 120},
}


def site_of(rules: dict[str, Any], latitude: float = 47.0, **best: float) -> Site:
    """Two windows that have sun at different times, behind one shade."""
    windows = [
        {"name": "east", "azimuth": 100, "width": 1, "height": 1},
        {
            "name": "west",
            "azimuth": 265,
            "width": 1,
            "height": 1,
            "skyline": [[255, 0], [255, 60], [270, 60], [270, 0]],
        },
    ]
    return Site.model_validate(
        {
            "site": {
                "name": "s",
                "latitude": latitude,
                "longitude": 8.0,
                "timezone": "Europe/Oslo",
            },
            "window": windows,
            "shade": [{"name": "roller", "windows": ["east", "west"], **rules}],
            "best": best,
        }
    )


def best_of(site: Site) -> tuple[BestPlan, float]:
    (sun,) = pipeline.shade_sun(site, *DATES)
    light = light_of(site, dates_bounds(*DATES, site.place.zone))
    return best_plan(site, sun, light), rule_cost(site, sun, light)


@pytest.mark.parametrize("rules", SHADES.values(), ids=SHADES)
@pytest.mark.parametrize("latitude", [47.0, 69.6], ids=["mid latitude", "midnight sun"])
def test_it_costs_no_more_than_the_plan_by_the_rules(
    rules: dict[str, Any], latitude: float
) -> None:
    for weights in ({}, {"daylight": 1.0}, {"move": 40.0}, {"sun": 0.1}):
        site = site_of(rules, latitude, **weights)
        best, by_rules = best_of(site)
        assert best.cost <= by_rules + 1e-6
        again = site.best.sun * best.missed / 60 + site.best.daylight * best.needless / 60
        # The motor's own run lets in what a late closing has not yet covered.
        slack = site.best.sun * len(best.plan.closings) * site.shades[0].travel / 60
        assert again + site.best.move * best.moves <= best.cost + 1e-6
        assert best.cost <= again + site.best.move * best.moves + slack + 1e-6


def test_where_moves_and_light_cost_nothing_all_sun_is_covered() -> None:
    best, _ = best_of(site_of({"shortest": 0}, daylight=0.0, move=0.0))
    assert best.missed == 0
    assert best.cost == 0


def test_where_a_move_costs_a_day_nothing_closes_and_the_plan_says_why() -> None:
    best, _ = best_of(site_of({}, move=1000.0))
    assert best.plan.closings == ()
    assert {part.rule for part in best.plan.uncovered} == {"best"}
    assert "more in daylight and moves than it is worth" in best.plan.uncovered[0].why


def test_dearer_moves_are_never_more_moves() -> None:
    moves = [best_of(site_of({"merge": 0}, move=move))[0].moves for move in (0, 2, 10, 60, 300)]
    assert moves == sorted(moves, reverse=True)
    assert moves[0] > moves[-1]


def test_a_looser_limit_is_never_worse() -> None:
    site = site_of({"moves": 2, "quiet": ["21:30", "09:00"], "in_quiet": "late"})
    (sun,) = pipeline.shade_sun(site, *DATES)
    light = light_of(site, dates_bounds(*DATES, site.place.zone))
    now = best_plan(site, sun, light)
    steps = list(loosened(site, sun, light))
    assert [step.limit for step in steps] == [
        "3 moves a day",
        "merge 20 min",
        "shortest 5 min",
        "no quiet hours",
    ]
    assert all(step.plan.cost <= now.cost + 1e-6 for step in steps)
    assert steps[-1].plan.cost < now.cost


def test_days_are_planned_one_by_one() -> None:
    """What is best for a week is best for each of its days: nothing is bridged over the night."""
    site = site_of({})
    zone = site.place.zone
    first = date(2026, 6, 1)
    light = light_of(site, dates_bounds(first, first + timedelta(days=6), zone))
    days = [first + timedelta(days=number) for number in range(7)]
    each = [best_plan(site, pipeline.shade_sun(site, day, day)[0], light) for day in days]
    week = best_plan(site, pipeline.shade_sun(site, days[0], days[-1])[0], light)
    assert week.plan.closings == tuple(c for one in each for c in one.plan.closings)
    assert week.cost == pytest.approx(sum(one.cost for one in each))


def test_a_shade_without_need_has_an_empty_plan() -> None:
    site = site_of({})
    (sun,) = pipeline.shade_sun(site, *DATES)
    none = replace(sun, needed=dict.fromkeys(sun.needed, ()))
    best = best_plan(site, none, ())
    assert (best.plan.closings, best.plan.uncovered, best.cost) == ((), (), 0)
