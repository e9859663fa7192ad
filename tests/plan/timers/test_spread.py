"""Settings of timers on one supply: no day has too many motors, and each shade is in time."""

from datetime import date, time
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st
from plan_cases import home, spans

from suncover.base import clock
from suncover.base.spell import Spell, subtract
from suncover.plan.closings.shade_plan import Closing, make_shade_plan
from suncover.plan.motor import Motor
from suncover.plan.season import ShadeSun, plans_for
from suncover.plan.sharing.supply import overloads
from suncover.plan.timers.dial import Dial
from suncover.plan.timers.settings import make_timer_plan, plan_of_settings
from suncover.plan.timers.spread import spread_settings
from suncover.plan.timers.variants import Variant, vary
from suncover.site.model import Shade, Supply

ZONE = ZoneInfo("Etc/UTC")
DIAL = Dial(ZONE)
FIRST, LAST = date(2026, 5, 28), date(2026, 6, 10)
NIGHTS = [None, (time(21, 30), time(7)), (time(12), time(13)), (time(23), time(1, 30))]


@st.composite
def timers_on_a_supply(draw):
    start = clock.day_bounds(FIRST, ZONE).start
    every = draw(st.sampled_from(["day", "week", "month"]))
    motors, timers = {}, {}
    for number in range(draw(st.integers(1, 4))):
        name = f"shade {number}"
        travel, quiet = draw(st.sampled_from([0, 20, 75, 600])), draw(st.sampled_from(NIGHTS))
        shade = Shade(name=name, windows=("w",), travel=travel, shortest=0, quiet=quiet)
        # Few times of day, so that many motors want to run at once.
        numbers = st.tuples(st.integers(0, 13), st.integers(4, 9), st.integers(1, 9))
        spells = [
            Spell(start + 86400 * day + 7200 * a, start + 86400 * day + 7200 * a + 1200 * n)
            for day, a, n in draw(st.lists(numbers, max_size=8))
        ]
        motors[name] = Motor(shade, ZONE)
        daily = make_shade_plan(shade, spells, ZONE, None).closings
        timers[name] = make_timer_plan(motors[name], daily, DIAL, every, dates=(FIRST, LAST))
    at_once, gap = draw(st.integers(1, 2)), draw(st.sampled_from([0, 5, 90]))
    return Supply(name="s", shades=tuple(motors), at_once=at_once, gap=gap), motors, timers, every


@given(timers_on_a_supply(), st.sampled_from([1, 300]))
def test_no_day_has_too_many_motors_and_all_is_covered(case, step):
    supply, motors, timers, every = case
    before = {name: timer.settings for name, timer in timers.items()}
    rows = []
    for name, mine in spread_settings(supply, motors, before, DIAL, step=step).items():
        made = plan_of_settings(motors[name], mine, timers[name].daily, DIAL, every)
        assert subtract(spans(timers[name].rows), spans(made.rows)) == ()
        assert made.remarks == timers[name].remarks or not timers[name].settings
        for one, after in pairwise(made.rows):
            assert one.open + motors[name].run <= after.close
        rows += made.rows
    assert list(overloads(supply, motors, rows)) == []


@pytest.mark.parametrize(("step", "sooner"), [(1, 60), (300, 300)], ids=["seconds", "five minutes"])
def test_of_two_alike_one_goes_first(step, sooner):
    """Worked by hand: two runs of 60 s that all week want to start at 10:00 and at 15:00."""
    motors = {n: Motor(Shade(name=n, windows=("w",), travel=60), ZONE) for n in "ab"}
    days = clock.dates_between(date(2026, 6, 1), date(2026, 6, 7))
    at = [clock.instant_of(day, time(10), ZONE) for day in days]
    timers = {}
    for name, motor in motors.items():
        rows = [Closing(name, day, t, t + 18000, 0, "") for day, t in zip(days, at, strict=True)]
        dates = days[0], days[-1]
        timers[name] = make_timer_plan(motor, rows, DIAL, "week", dates=dates).settings
    spread = spread_settings(Supply(name="s", shades=("a", "b")), motors, timers, DIAL, step=step)
    times = [(one.close, one.open) for mine in spread.values() for one in mine]
    assert sorted(close for close, _ in times) == [36000 - sooner, 36000]
    assert sorted(opens for _, opens in times) == [54000, 54000 + sooner]


def test_a_day_on_which_clocks_bring_settings_together_keeps_the_daily_plan():
    """Both settings begin in the hour that is jumped: on that night, at 03:00 in New York."""
    supply = [{"name": "box", "shades": ["a", "b"]}]
    shades = {"a": {"travel": 60}, "b": {"travel": 60}}
    place = 36.1, -79.95, "America/New_York"
    site = home({"a": 95, "b": 95}, shades, place, supply=supply)
    suns = []
    for shade, minute in zip(site.all_shades(), (10, 40), strict=True):
        close = clock.instant_of(date(2027, 3, 13), time(2, minute), site.place.zone)
        spells = (Spell(close, close + 10800),)
        suns.append(ShadeSun(shade, {shade.windows[0]: spells}, spells))
    dates = (date(2027, 3, 13), date(2027, 3, 14))
    made = vary(site, suns, plans_for(site, suns), dates, Variant(every="week"))
    by_hand = (
        "on 14 Mar the setting of the period can't hold: set the timer for that day, or switch it "
        "off"
    )
    assert [plan.remarks for plan in made.plans] == [(by_hand,)] * 2
    assert [len(plan.closings) for plan in made.plans] == [1, 1]
    fixed = vary(site, suns, plans_for(site, suns), dates, Variant(every="week", ignores_dst=True))
    assert [plan.remarks for plan in fixed.plans] == [(), ()]
