"""Shades that move together: what each of them needs, and for what, stays its own."""

from __future__ import annotations

from datetime import date
from itertools import pairwise

import pytest

from suncover.base.clock import dates_bounds
from suncover.plan import season
from suncover.plan.best.plans import best_plans
from suncover.plan.closings.shade_plan import ShadePlan
from suncover.plan.closings.stops import run_seconds
from suncover.plan.timers.variants import Variant, vary
from suncover.site.file.sitefile import site_from_text
from suncover.site.model import Site

ROOM = """
[site]
name = "s"
latitude = 47.0
longitude = 8.0
timezone = "Europe/Zurich"
[[window]]
name = "left"
azimuth = 180
width = 1
height = 1.4
sill = 0.8
[[window]]
name = "right"
azimuth = 180
width = 1
height = 1.4
sill = 0.8
[[spot]]
name = "desk"
window = "left"
distance = 1.4
height = 0.75
[[spot]]
name = "bench"
window = "right"
distance = 1.0
height = 0.75
"""
LEFT = """
[[shade]]
name = "left roller"
windows = ["left"]
travel = 30
"""
RIGHT = """
[[shade]]
name = "right roller"
windows = ["right"]
travel = 60
"""
STOPS = "stops = [25, 50, 75, 100]\n"
THIN = 'roller = {tube = "50 mm", thickness = "0.5 mm", drop = 1.4}\n'
THICK = 'roller = {tube = "40 mm", thickness = "0.9 mm", drop = 1.4}\n'
GLARE = 'need = {for = ["glare"]}\n'
SLEEP = 'need = {for = ["heat", "sleep"], sleep = {dark = ["21:30", "07:15"]}}\n'
GROUP = """
[[group]]
name = "g"
shades = ["left roller", "right roller"]
"""
FIRST, LAST = date(2027, 9, 20), date(2027, 9, 23)


def made(text: str, *, best: bool = False) -> tuple[Site, dict[str, ShadePlan]]:
    """A site's plans for some days in September, by the names of the shades."""
    site = site_from_text(text)
    suns = season.shade_sun(site, FIRST, LAST)
    if best:
        light = season.light_of(site, dates_bounds(FIRST, LAST, site.place.zone))
        return site, {one.plan.shade: one.plan for one in best_plans(site, suns, light)}
    return site, {plan.shade: plan for plan in season.plans_for(site, suns)}


@pytest.mark.parametrize("best", [False, True], ids=["by rules", "best"])
def test_each_shade_of_a_group_has_its_own_run_of_the_motor(best: bool) -> None:
    """30 s and 60 s for all the way; half the cloth takes less than half, by how thick it rolls."""
    text = ROOM + LEFT + STOPS + THIN + GLARE + RIGHT + STOPS + THICK + GLARE + GROUP
    site, plans = made(text, best=best)
    for shade in site.shades:
        for closing in plans[shade.name].closings:
            assert closing.run_seconds == run_seconds(shade, closing.position)
    runs = {name: {c.run_seconds for c in plan.closings} for name, plan in plans.items()}
    assert runs["left roller"].isdisjoint(runs["right roller"])
    assert {c.position for plan in plans.values() for c in plan.closings} == {50}


def test_a_group_goes_as_far_down_as_the_best_plan_and_says_why_in_its_words() -> None:
    text = ROOM + LEFT + STOPS + GLARE + RIGHT + "stops = [50, 80, 100]\n" + GLARE + GROUP
    ruled, best = made(text)[1], made(text, best=True)[1]
    for name, plan in ruled.items():
        assert [(c.close, c.open) for c in plan.closings] == [
            (c.close, c.open) for c in best[name].closings
        ]
        assert [(c.position, c.reason) for c in plan.closings] == [
            (c.position, c.reason) for c in best[name].closings
        ]
        assert all(c.reason.startswith("glare ") and c.position == 50 for c in plan.closings)


def test_a_group_stops_only_where_all_of_its_shades_do() -> None:
    """Both desks ask for 50 % at the most, and the other shade stops at 60 and 80 %."""
    text = ROOM + LEFT + STOPS + GLARE + RIGHT + "stops = [60, 80, 100]\n" + GLARE + GROUP
    for plan in made(text)[1].values():
        assert {c.position for c in plan.closings} == {100}


def test_a_full_run_of_a_group_comes_when_one_of_its_shades_needs_it() -> None:
    text = ROOM + LEFT + STOPS + "home_after = 4\n" + GLARE + RIGHT + STOPS + GLARE + GROUP
    for plan in made(text)[1].values():
        assert [c.position for c in plan.closings] == [50, 50, 100, 50]
        assert "find its place again after 4 moves" in plan.closings[2].reason


@pytest.mark.parametrize("other", [GLARE, ""], ids=["glare", "heat"])
def test_a_group_names_what_any_of_its_shades_closes_for(other: str) -> None:
    _, plans = made(ROOM + LEFT + SLEEP + RIGHT + other + GROUP)
    left, right = (plans[name].closings for name in ("left roller", "right roller"))
    assert [c.reason for c in left] == [c.reason for c in right]
    nights = [c for c in left if "dark for sleep 21:30 to 07:15 next day" in c.reason]
    assert len(nights) == 4
    assert all(c.sun_seconds == 0 for c in nights)
    days = [c for c in left if c not in nights]
    assert len(days) == 4
    for closing in days:
        assert closing.reason.startswith("sun ")
        assert ("glare" in closing.reason) == (other == GLARE)


QUIET = 'quiet = ["21:00", "08:00"]\nin_quiet = "late"\n'


def test_what_a_group_leaves_of_a_shade_is_told_as_if_it_were_alone() -> None:
    """Sleep from 21:30 that quiet hours forbid; nobody asks for sun at night."""
    shades = LEFT + QUIET + SLEEP, RIGHT.replace("60", "30") + QUIET + SLEEP
    _, alone = made(ROOM + "".join(shades))
    _, plans = made(ROOM + "".join(shades) + GROUP)
    for name, plan in plans.items():
        assert plan.uncovered == alone[name].uncovered
        nights = [part for part in plan.uncovered if part.end - part.start > 8 * 3600]
        assert len(nights) == 4
        assert not any(part.sun for part in nights)
        for before, after in pairwise(plan.uncovered):
            assert before.end <= after.start


def test_only_the_shade_that_is_for_sleep_has_sleep_uncovered() -> None:
    _, plans = made(ROOM + LEFT + QUIET + SLEEP + RIGHT + QUIET + GROUP)
    both, sun = (plans[name].uncovered for name in ("left roller", "right roller"))
    assert [part for part in both if part.end - part.start > 8 * 3600 and not part.sun] == [
        part for part in both if not part.sun
    ]
    assert len(both) - len(sun) == 4
    assert sun
    assert all(part.sun for part in sun)


@pytest.mark.parametrize(
    "variant",
    [
        Variant(round_minutes=60),
        Variant(round_minutes=5, steady_minutes=5),
        Variant(round_minutes=30, every="week"),
        Variant(every="month"),
    ],
    ids=["round", "round, steady", "every week, round", "every month"],
)
def test_other_times_are_the_same_for_shades_with_other_motors(variant: Variant) -> None:
    """One runs for 30 s and one for 10 min, so that it may not start where the other may, in the
    minutes before quiet hours; and they have other seasons.
    """
    slow = RIGHT.replace("60", "600") + 'quiet = ["12:58", "15:00"]\n'
    need = 'need = {season = ["09-01", "09-21"]}\n'
    left = LEFT + 'quiet = ["12:58", "15:00"]\n' + need
    site = site_from_text(ROOM + left + slow + GROUP)
    suns = season.shade_sun(site, FIRST, LAST)
    plans = season.plans_for(site, suns)
    one, other = vary(site, suns, plans, (FIRST, LAST), variant).plans
    assert len(one.closings) >= 4
    assert [(c.close, c.open) for c in one.closings] == [(c.close, c.open) for c in other.closings]
