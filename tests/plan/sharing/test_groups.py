"""Shades that move together: what each of them needs, and for what, stays its own."""

from datetime import date
from itertools import pairwise

import pytest
from plan_cases import home

from suncover.plan import season
from suncover.plan.asked import asked_plans
from suncover.plan.closings.stops import run_seconds
from suncover.plan.timers.variants import Variant
from suncover.plan.unit import leader_of
from suncover.site.model import Shade

PANE = {"azimuth": 180, "width": 1, "sill": 0.8}
SPOTS = [
    {"name": name, "window": window, "distance": distance, "height": 0.75}
    for name, window, distance in (("desk", "left", 1.4), ("bench", "right", 1.0))
]
STOPS = {"stops": [25, 50, 75, 100]}
GLARE = {"need": {"for": ["glare"]}}
SLEEP = {"need": {"for": ["heat", "sleep"], "sleep": {"dark": ["21:30", "07:15"]}}}
LATE = {"quiet": ["21:00", "08:00"], "in_quiet": "late"}
THIN = {"roller": {"tube": "50 mm", "thickness": "0.5 mm", "drop": 1.4}}
THICK = {"roller": {"tube": "40 mm", "thickness": "0.9 mm", "drop": 1.4}}
FIRST, LAST = date(2027, 9, 20), date(2027, 9, 23)


def made(left, right, *, together=True, best=False, variant=Variant()):  # noqa: B008
    """The two shades of a room and their plans for some days in September."""
    shades = {"left": {"travel": 30, **left}, "right": {"travel": 60, **right}}
    group = [{"name": "g", "shades": ["left", "right"]}] if together else []
    windows = dict.fromkeys(shades, PANE)
    site = home(windows, shades, (47.0, 8.0, "Europe/Zurich"), group=group, spot=SPOTS)
    suns = season.shade_sun(site, FIRST, LAST)
    plans = asked_plans(site, suns, (FIRST, LAST), variant, best=best).varied.plans
    return site.shades, plans


def times(plan):
    return [(c.close, c.open) for c in plan.closings]


@pytest.mark.parametrize("best", [False, True], ids=["by rules", "best"])
def test_each_shade_of_a_group_has_its_own_run_of_the_motor(best):
    """30 s and 60 s for all the way; half the cloth takes less than half, by how thick it rolls."""
    shades, plans = made(STOPS | THIN | GLARE, STOPS | THICK | GLARE, best=best)
    for shade, plan in zip(shades, plans, strict=True):
        for closing in plan.closings:
            assert closing.run_seconds == run_seconds(shade, closing.position)
    left, right = ({c.run_seconds for c in plan.closings} for plan in plans)
    assert left.isdisjoint(right)
    assert {c.position for plan in plans for c in plan.closings} == {50}


def test_a_group_goes_as_far_down_as_the_best_plan_and_says_why_in_its_words():
    pair = STOPS | GLARE, {"stops": [50, 80, 100]} | GLARE
    for plan, best in zip(made(*pair)[1], made(*pair, best=True)[1], strict=True):
        assert times(plan) == times(best)
        assert [(c.position, c.reason) for c in plan.closings] == [
            (c.position, c.reason) for c in best.closings
        ]
        assert all(c.reason.startswith("glare ") and c.position == 50 for c in plan.closings)


def test_the_rules_of_a_group_are_the_widest_of_its_shades():
    wide = {"travel": 30, "lead": 5, "lag": 1, "merge": 20, "shortest": 15, "moves": 6}
    long = {"travel": 60, "lead": 2, "lag": 3, "merge": 40, "shortest": 5}
    one = Shade(name="a", windows=("w",), stops=(25, 50, 100), home_after=4, **wide)
    other = Shade(name="b", windows=("w",), stops=(50, 75, 100), **long)
    expected = {"travel": 60, "lead": 5, "lag": 3, "merge": 40, "shortest": 5, "moves": 6}
    expected |= {"stops": (50, 100), "home_after": 4}
    for pair in ((one, other), (other, one)):
        rules = leader_of(pair)
        assert {key: getattr(rules, key) for key in expected} == expected
        assert rules.name == pair[0].name


def test_a_group_stops_only_where_all_of_its_shades_do():
    """Both desks ask for 50 % at the most, and the other shade stops at 60 and 80 %."""
    for plan in made(STOPS | GLARE, {"stops": [60, 80, 100]} | GLARE)[1]:
        assert {c.position for c in plan.closings} == {100}


def test_a_full_run_of_a_group_comes_when_one_of_its_shades_needs_it():
    for plan in made(STOPS | GLARE | {"home_after": 4}, STOPS | GLARE)[1]:
        assert [c.position for c in plan.closings] == [50, 50, 100, 50]
        assert "find its place again after 4 moves" in plan.closings[2].reason


def test_each_shade_of_a_group_is_closed_for_in_its_own_season():
    left, right = ({"need": {"season": [day, day]}} for day in ("09-20", "09-22"))
    for plan in made(left, right)[1]:
        assert [closing.date.day for closing in plan.closings] == [20, 22]
        assert plan.uncovered == ()


@pytest.mark.parametrize("other", [GLARE, {}], ids=["glare", "heat"])
def test_a_group_names_what_any_of_its_shades_closes_for(other):
    left, right = (plan.closings for plan in made(SLEEP, other)[1])
    assert [c.reason for c in left] == [c.reason for c in right]
    nights = [c for c in left if "dark for sleep 21:30 to 07:15 next day" in c.reason]
    days = [c for c in left if c not in nights]
    assert len(nights) == len(days) == 4
    assert all(c.sun_seconds == 0 for c in nights)
    for closing in days:
        assert closing.reason.startswith("sun ")
        assert ("glare" in closing.reason) == (other == GLARE)


def is_night(part):
    return part.end - part.start > 8 * 3600


def test_what_a_group_leaves_of_a_shade_is_told_as_if_it_were_alone():
    """Sleep from 21:30 that quiet hours forbid; nobody asks for sun at night."""
    pair = LATE | SLEEP, LATE | SLEEP | {"travel": 30}
    for plan, alone in zip(made(*pair)[1], made(*pair, together=False)[1], strict=True):
        assert plan.uncovered == alone.uncovered
        nights = [part for part in plan.uncovered if is_night(part)]
        assert len(nights) == 4
        assert not any(part.sun for part in nights)
        assert all(a.end <= b.start for a, b in pairwise(plan.uncovered))


def test_only_the_shade_that_is_for_sleep_has_sleep_uncovered():
    both, sun = (plan.uncovered for plan in made(LATE | SLEEP, LATE)[1])
    dark = [part for part in both if not part.sun]
    assert [part for part in dark if is_night(part)] == dark
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
def test_other_times_are_the_same_for_shades_with_other_motors(variant):
    """One runs for 30 s and one for 10 min, so that it may not start where the other may, in the
    minutes before quiet hours; and they have other seasons.
    """
    quiet = {"quiet": ["12:58", "15:00"]}
    left = quiet | {"need": {"season": ["09-01", "09-21"]}}
    one, other = made(left, quiet | {"travel": 600}, variant=variant)[1]
    assert len(one.closings) >= 4
    assert times(one) == times(other)
