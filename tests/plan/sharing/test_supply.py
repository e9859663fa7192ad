"""Starts are spread so that a supply never runs too many motors, and every shade is in time."""

from dataclasses import replace
from datetime import date, time
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st
from plan_cases import JUMPS, home, spans

from suncover.base import clock
from suncover.base.spell import Spell, intersect, subtract, union
from suncover.plan.best.plans import best_plans
from suncover.plan.closings.shade_plan import Closing, make_shade_plan
from suncover.plan.motor import Motor
from suncover.plan.season import light_of, season_plan, shade_sun
from suncover.plan.sharing.supply import Grid, overloads, spread_starts
from suncover.site.model import Shade, Supply

NIGHTS = [None, (time(21, 30), time(7)), (time(12), time(13)), (time(23), time(1, 30))]
UTC = ZoneInfo("Etc/UTC")


def motors_of(shades, zone=UTC, up=None):
    return {name: Motor(shade, zone, (up or {}).get(name, ())) for name, shade in shades.items()}


def spread_over(supply, shades, rows, zone=UTC, *, step=1, up=None):
    return spread_starts(supply, motors_of(shades, zone, up), rows, grid=Grid(step))


def overloads_in(supply, shades, rows):
    return list(overloads(supply, motors_of(shades), rows))


@st.composite
def shared(draw):
    name, day = draw(st.sampled_from(JUMPS))
    zone = ZoneInfo(name)
    start = clock.day_bounds(day, zone).start - 86400
    shades, closings = {}, {}
    for number in range(draw(st.integers(1, 5))):
        label = f"shade {number}"
        shade = Shade(
            name=label,
            windows=("w",),
            travel=draw(st.sampled_from([0, 20, 75, 600])),
            merge=draw(st.sampled_from([0, 30])),
            shortest=0,
            quiet=draw(st.sampled_from(NIGHTS)),
        )
        # Few starts, so that many motors want to run at once.
        parts = draw(st.lists(st.tuples(st.integers(0, 40), st.integers(1, 9)), max_size=6))
        spells = [Spell(start + 3600 * a, start + 3600 * a + 1200 * n) for a, n in parts]
        shades[label] = shade
        closings[label] = make_shade_plan(shade, spells, zone, None).closings
    at_once, gap = draw(st.integers(1, 3)), draw(st.sampled_from([0, 0.5, 5, 90]))
    supply = Supply(name="s", shades=tuple(shades), at_once=at_once, gap=gap)
    return supply, shades, closings, zone


@given(shared(), st.sampled_from([1, 1, 300]))
def test_a_supply_is_never_overloaded_and_every_shade_is_in_time_and_quiet(case, step):
    supply, shades, closings, zone = case
    spread = spread_over(supply, shades, closings, zone, step=step)
    starts = sorted(
        (at, max(int(shades[name].travel), 1))
        for name, rows in spread.items()
        for row in rows
        for at in (row.close, row.open)
    )
    for at, _ in starts:
        assert sum(s <= at < s + seconds for s, seconds in starts) <= supply.at_once
    for before, after in pairwise(starts):
        assert after[0] - before[0] >= supply.gap
    assert overloads_in(supply, shades, [row for rows in spread.values() for row in rows]) == []
    for name, rows in spread.items():
        assert subtract(spans(closings[name]), spans(rows)) == ()
        travel, quiet = int(shades[name].travel), shades[name].quiet
        for before, after in pairwise(rows):
            assert before.open + max(travel, 1) <= after.close
        if quiet is None or not rows:
            continue
        first, last = (rows[n].date.toordinal() for n in (0, -1))
        dates = date.fromordinal(first - 3), date.fromordinal(last + 5)
        nights = clock.quiet_spells(quiet, *dates, zone)
        for row in rows:
            assert row.date == clock.local_date(row.close, zone)
            for start in (row.close, row.open):
                assert all(start + travel <= n.start or start >= n.end for n in nights)


def closing(name, close, opens):
    return Closing(name, date(1970, 1, 2), close, opens, 0, "")


def shades_of(names, **keys):
    return {name: Shade(name=name, windows=("w",), travel=60, **keys) for name in names}


PAIR = Supply(name="s", shades=("a", "b"))


def test_closings_that_a_supply_joins_keep_the_longer_run():
    """Two starts have to be 100 s apart and are 70 s: the shade stays down, as far as the farther
    of its two closings goes, with the motor's run that goes there.
    """
    part = replace(closing("a", 100_000, 110_000), position=25, run_seconds=18.1, sun_seconds=60)
    far = replace(closing("a", 110_070, 120_000), position=75, run_seconds=47.9, sun_seconds=30)
    for first, second in ((part, far), (replace(far, close=part.close, open=part.open), part)):
        later = replace(second, close=far.close, open=far.open)
        supply = Supply(name="s", shades=("a",), gap=100)
        (one,) = spread_over(supply, shades_of("a"), {"a": (first, later)})["a"]
        assert (one.position, one.run_seconds, one.sun_seconds) == (75, 47.9, 90)
        assert one.reason.endswith("the supply left no time to open in between")


@pytest.mark.parametrize("gap", [300, 900, 1800])
def test_late_closings_that_a_supply_joins_wait_for_their_turn(gap):
    """Both close at 07:00, as quiet hours end; one opens at 07:20 and closes a minute after."""
    shades = shades_of("ab", quiet=(time(21), time(7)), in_quiet="late")
    day, two, one = 86_400, ((25_200, 26_400), (26_460, 28_800)), ((25_200, 27_000),)
    asked = {
        name: tuple(closing(name, day + close, day + opens) for close, opens in pairs)
        for name, pairs in (("a", two), ("b", one))
    }
    supply = Supply(name="s", shades=("a", "b"), gap=gap)
    found = spread_over(supply, shades, asked)
    assert overloads_in(supply, shades, [row for mine in found.values() for row in mine]) == []
    (joined,), (waits,) = found["a"], found["b"]
    assert (joined.close, joined.open >= day + 28_800) == (day + 25_200, True)
    assert day + 25_200 + gap <= waits.close < waits.open


def test_the_last_keeps_its_time_and_the_others_go_before_it():
    """Worked by hand: three runs of 60 s that all want to start at 100,000, one at a time."""
    rows = {n: (closing(n, 100_000, 110_000),) for n in "abc"}
    spread = spread_over(Supply(name="s", shades=tuple("abc")), shades_of("abc"), rows)
    assert sorted(mine[0].close for mine in spread.values()) == [99_880, 99_940, 100_000]
    assert sorted(mine[0].open for mine in spread.values()) == [110_000, 110_060, 110_120]


def late_home(end, *, box=True):
    """Three windows to the east of a home in Córdoba; their shades close late."""
    names = ["one", "two", "three"]
    keys = {"travel": 30, "quiet": ["22:00", end], "in_quiet": "late"}
    place = -31.42, -64.18, "America/Argentina/Cordoba"
    tables = {"supply": [{"name": "box", "shades": names}]} if box else {}
    return home(dict.fromkeys(names, 90), dict.fromkeys(names, keys), place, **tables)


def test_closings_that_wait_for_the_end_of_quiet_hours_wait_in_turn():
    """Not on the evening before: at 07:30:00, 07:30:30 and 07:31:00, with the sun that this lets in
    told as let in.
    """
    first, last = date(2026, 11, 3), date(2026, 11, 9)
    sites = [late_home("07:30", box=box) for box in (False, True)]
    before, after = (season_plan(site, first, last) for site in sites)
    closings = [closing for plan in after for closing in plan.closings]
    assert all("after quiet hours" in closing.reason for closing in closings)
    for day in clock.dates_between(first, last):
        starts = [clock.iso_local(c.close, sites[0].place.zone)[:19] for c in closings]
        mine = sorted(start for start in starts if start.startswith(f"{day}"))
        assert mine == [f"{day}T{at}" for at in ("07:30:00", "07:30:30", "07:31:00")]
    let_in = [
        sum(part.end - part.start for plan in plans for part in plan.uncovered)
        for plans in (before, after)
    ]
    assert let_in[1] - let_in[0] == 7 * (30 + 60)


def test_late_closings_of_many_days_are_crowds_of_a_day_each():
    """Else the best plan would weigh every way through all days at once, and never end."""
    first, last = date(2026, 11, 1), date(2026, 12, 20)
    site = late_home("07:30")
    light = light_of(site, clock.dates_bounds(first, last, site.place.zone))
    for best in best_plans(site, shade_sun(site, first, last), light):
        assert len(best.plan.closings) == 50


@pytest.mark.parametrize("end", ["06:28", "06:31", "06:33", "06:34", "06:35"])
def test_just_after_quiet_hours_too_no_shade_goes_back_over_them(end):
    """The sun comes about 06:37, so the motors start about 06:34: soon after they may."""
    site = late_home(end)
    for plan in season_plan(site, date(2026, 11, 3), date(2026, 11, 9)):
        assert len(plan.closings) == 7
        for each in plan.closings:
            assert clock.iso_local(each.close, site.place.zone)[11:16] >= end
            assert each.close % 86400 < 86400 / 2  # in the morning, UTC-3


def test_no_start_comes_nearer_to_a_time_to_stay_up():
    """Worked by hand: a has to be up until 100,000 s and again from 110,000 s, and takes 60 s to
    run; b may start at any time.
    """
    shades, supply = shades_of("ab"), PAIR
    rows = {n: (closing(n, 100_000, 109_940),) for n in "ab"}
    up = {"a": (Spell(99_000, 100_000), Spell(110_000, 120_000))}
    spread = spread_over(supply, shades, rows, up=up)
    assert spread["a"] == rows["a"]
    assert (spread["b"][0].close, spread["b"][0].open) == (99_940, 110_000)
    # Where neither may give way, both stay up in time, and the supply is told of.
    both = spread_over(supply, shades, rows, up=up | {"b": up["a"]})
    assert both == rows
    assert overloads_in(supply, shades, [*both["a"], *both["b"]]) == [100_000, 109_940]


@given(shared(), st.data())
def test_motors_are_still_while_their_shades_stay_up(case, data):
    """Times to stay up between two closings, of any length that leaves the runs as wanted room."""
    supply, shades, closings, zone = case
    up = {}
    for name, rows in closings.items():
        run = max(int(shades[name].travel), 1)
        gaps = [(one.open + run, other.close) for one, other in pairwise(rows)]
        cuts = [
            sorted(data.draw(st.tuples(st.integers(*gap), st.integers(*gap))))
            for gap in gaps
            if gap[0] < gap[1] and data.draw(st.booleans())
        ]
        up[name] = tuple(Spell(low, high) for low, high in cuts if low < high)
    for name, rows in spread_over(supply, shades, closings, zone, up=up).items():
        travel = int(shades[name].travel)  # one that takes no time may open as that begins
        assert subtract(spans(closings[name]), spans(rows)) == ()
        assert intersect(union(Spell(row.close, row.open + travel) for row in rows), up[name]) == ()


def test_a_plan_that_fits_is_left_alone_and_overloads_are_told():
    shades = shades_of("ab")
    rows = {"a": (closing("a", 100_000, 110_000),), "b": (closing("b", 100_060, 110_060),)}
    assert spread_over(Supply(name="s", shades=("a", "b"), gap=60), shades, rows) == rows
    near = [closing("a", 100_000, 110_000), closing("b", 100_059, 110_100)]
    assert overloads_in(PAIR, shades, near) == [100_059]
    slow = Supply(name="s", shades=("a", "b"), at_once=2, gap=110)
    assert overloads_in(slow, shades, near) == [100_059, 110_100]
