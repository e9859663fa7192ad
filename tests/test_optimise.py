"""The best plan is the best: against a search through every plan there is, and by hand."""

from __future__ import annotations

from datetime import UTC, datetime, time
from itertools import pairwise, product
from math import inf, isclose
from random import Random
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from suncover import clock, plan_rules
from suncover.optimise import LONGEST_GAP_S, Measure, Problem, best_groups
from suncover.plan_rules import Draft
from suncover.site import Shade
from suncover.site_best import Best
from suncover.spell import Spell, intersect, overlap_seconds, subtract, total_seconds, union

ZONES = [ZoneInfo(name) for name in ("Europe/Oslo", "America/New_York", "Australia/Lord_Howe")]
BEGIN = {"Europe/Oslo": (2026, 3, 28), "America/New_York": (2026, 10, 31)}
HOUR = 3600


def cost_of(problem: Problem, drafts: list[Draft]) -> float:  # noqa: PLR0911  (a line a limit)
    """What a plan costs, by the definition and with nothing but sums of spells; inf if it breaks
    a limit.
    """
    shade, spells, zone = problem.shade, problem.spells, problem.zone
    timing = plan_rules.timing_of(shade)
    blocked = plan_rules.blocked_starts(
        shade.quiet,
        timing.travel,
        clock.local_date(spells[0].start, zone),
        clock.local_date(spells[-1].end, zone),
        zone,
    )
    outcome = plan_rules.obey_quiet(drafts, spells, blocked, early=shade.in_quiet == "early")
    if len(outcome.kept) < len(drafts):
        return inf
    final = outcome.kept
    if any(after.close - before.open < max(timing.merge, 1) for before, after in pairwise(drafts)):
        return inf
    if any(after.close <= before.open for before, after in pairwise(final)):
        return inf
    moves: dict[object, int] = {}
    for draft in drafts:
        held = spells[draft.first : draft.last + 1]
        if total_seconds(held) < timing.shortest or not bridgeable(problem, draft, blocked):
            return inf
        for at in (draft.close, draft.open):
            day = clock.local_date(at, zone)
            moves[day] = moves.get(day, 0) + 1
    if shade.moves is not None and max(moves.values(), default=0) > shade.moves:
        return inf
    if any(not clock.in_season(clock.local_date(d.close, zone), problem.season) for d in final):
        return inf
    return price(problem, final, timing.travel)


def bridgeable(problem: Problem, draft: Draft, blocked: plan_rules.Blocked) -> bool:
    """Whether each gap in a closing is short, or its two sides could not be apart anyhow."""
    timing = plan_rules.timing_of(problem.shade)
    early = problem.shade.in_quiet == "early"
    for one, other in pairwise(problem.spells[draft.first : draft.last + 1]):
        opens, closes = one.end + timing.lag, other.start - timing.lead - timing.travel
        apart = closes - opens
        at_open, at_close = blocked.around(opens), blocked.around(closes)
        opens = opens if at_open is None else at_open.end
        if at_close is not None:
            closes = at_close.start if early else at_close.end
        room = closes - opens
        if min(apart, room) > LONGEST_GAP_S and apart >= timing.merge and room >= 1:
            return False
    return True


def price(problem: Problem, final: list[Draft], travel: int) -> float:
    shade, best = problem.shade, problem.best
    covered = union(Spell(min(d.close + travel, d.open), d.open) for d in final)
    missed = total_seconds(subtract(problem.asked, covered))
    lost, partial = 0.0, 0
    for draft in final:
        asked = max(problem.positions[draft.first : draft.last + 1])
        stop = min(stop for stop in shade.stops if stop >= asked)
        if stop < 100 and shade.home_after is not None and partial >= shade.home_after:
            stop = 100
        partial = 0 if stop == 100 else partial + 2
        needless = subtract([Spell(draft.close, draft.open)], problem.spells)
        lost += overlap_seconds(needless, problem.light) * stop / 100
    return best.sun * missed / 60 + best.daylight * lost / 60 + best.move * 2 * len(final)


def every_plan(problem: Problem) -> float:
    """The least cost of all: each spell is left, begins a closing, or goes on with the last one."""
    timing = plan_rules.timing_of(problem.shade)
    least = inf
    for choice in product("-+=", repeat=len(problem.spells)):
        groups: list[list[int]] = []
        for number, what in enumerate(choice):
            if what == "+":
                groups.append([number, number])
            elif what == "=":
                if not groups or groups[-1][1] != number - 1:
                    break
                groups[-1][1] = number
        else:
            drafts = [
                Draft(
                    problem.spells[first].start - timing.lead - timing.travel,
                    problem.spells[last].end + timing.lag,
                    first,
                    last,
                )
                for first, last in groups
            ]
            least = min(least, cost_of(problem, drafts))
    return least


def random_problem(random: Random) -> Problem:
    """Up to six spells within three days or so, some of which hold a change of the clocks."""
    zone = random.choice(ZONES)
    year, month, day = BEGIN.get(zone.key, (2026, 6, 20))
    start = int(datetime(year, month, day, tzinfo=UTC).timestamp())
    pace = random.choice([2 * HOUR, 5 * HOUR, 12 * HOUR])
    at, spells = start, []
    for _ in range(random.randint(1, 6)):
        at += random.randint(1, pace)
        length = random.choice([60, 600, 1800, 2 * HOUR, 5 * HOUR])
        spells.append(Spell(at, at + random.randint(1, length)))
        at = spells[-1].end + 1
    stops = random.choice([(100,), (100,), (50, 100), (20, 60, 100)])
    shade = Shade.model_validate(
        {
            "name": "r",
            "windows": ["w"],
            "travel": random.choice([0, 75, 600]),
            "lead": random.choice([0, 2, 20]),
            "lag": random.choice([0, 2, 20]),
            "merge": random.choice([0, 0, 30, 120]),
            "shortest": random.choice([0, 0, 10, 45]),
            "moves": random.choice([None, 2, 3, 4]),
            "quiet": random.choice([None, (time(21, 30), time(7)), (time(12), time(14))]),
            "in_quiet": random.choice(["early", "late"]),
            "stops": stops,
            "home_after": random.choice([None, 1, 2, 3]) if len(stops) > 1 else None,
        }
    )
    season = random.choice([None, None, ((3, 29), (10, 31)), ((6, 21), (6, 22))])
    asked = tuple(spells)
    if season is not None:
        first, last = (clock.local_date(t, zone) for t in (spells[0].start, spells[-1].end))
        asked = intersect(asked, clock.season_spells(season, first, last, zone))
    days = [Spell(start + n * 86400 + 5 * HOUR, start + n * 86400 + 18 * HOUR) for n in range(6)]
    light = union([*days, *spells])
    positions = [random.choice([100.0, 100.0, 15.0, 55.0]) for _ in spells]
    best = Best(
        sun=random.choice([1.0, 0.5]),
        daylight=random.choice([0.0, 0.2, 1.0]),
        move=random.choice([0.0, 2.0, 15.0, 60.0]),
    )
    return Problem(shade, spells, asked, light, positions, zone, season, best)


@pytest.mark.parametrize("seed", range(16))
def test_no_plan_of_all_costs_less(seed: int) -> None:
    """Two hundred random days for each seed: 3,200 in all, each against up to 3**6 plans."""
    random = Random(seed)
    for number in range(200):
        problem = random_problem(random)
        cost, groups = best_groups(problem)
        least = every_plan(problem)
        assert isclose(cost, least, abs_tol=1e-6), (seed, number, problem)
        timing = plan_rules.timing_of(problem.shade)
        raw = plan_rules.closings_for(problem.spells, timing)
        drafts = [Draft(raw[d.first].close, raw[d.last].open, d.first, d.last) for d, _ in groups]
        assert isclose(cost_of(problem, drafts), cost, abs_tol=1e-6)


def problem_of(*minutes: tuple[int, int], best: Best | None = None, **rules: object) -> Problem:
    """A June day in UTC with light all day; spells from and to minutes of the day."""
    start = int(datetime(2026, 6, 1, tzinfo=UTC).timestamp())
    spells = [Spell(start + 60 * a, start + 60 * b) for a, b in minutes]
    facts = {"name": "r", "windows": ["w"], "lead": 0, "lag": 0, "merge": 0, "shortest": 0}
    shade = Shade.model_validate({**facts, **rules})
    light = [Spell(start, start + 86400)]
    zone = ZoneInfo("Etc/UTC")
    return Problem(shade, spells, spells, light, [100.0] * len(spells), zone, None, best or Best())


def held(problem: Problem) -> list[tuple[int, int]]:
    return [(draft.first, draft.last) for draft, _ in best_groups(problem)[1]]


@pytest.mark.parametrize(
    ("spells", "rules", "expected", "cost"),
    [
        # Three minutes of sun are not worth two moves of two minutes each.
        ([(600, 603)], {}, [], 3.0),
        ([(600, 605)], {}, [(0, 0)], 4.0),
        # A gap of 19 minutes costs 3.8 in daylight, opening in it 4 in moves; 21 cost 4.2.
        ([(600, 660), (679, 720)], {}, [(0, 1)], 7.8),
        ([(600, 660), (681, 720)], {}, [(0, 0), (1, 1)], 8.0),
        # With two moves a day: bridging two hours costs 24 of light, leaving half an hour 30.
        ([(600, 660), (780, 810)], {"moves": 2}, [(0, 1)], 28.0),
        # ... and leaving twenty minutes 20.
        ([(600, 660), (780, 800)], {"moves": 2}, [(0, 0)], 24.0),
        # `shortest` holds whatever it costs: eight minutes of sun are let in.
        ([(600, 608)], {"shortest": 10}, [], 8.0),
    ],
    ids=[
        "let in",
        "closed for",
        "bridged",
        "opened",
        "moves, bridged",
        "moves, let in",
        "shortest",
    ],
)
def test_worked_by_hand(
    spells: list[tuple[int, int]],
    rules: dict[str, object],
    expected: list[tuple[int, int]],
    cost: float,
) -> None:
    problem = problem_of(*spells, **rules)
    assert held(problem) == expected
    assert best_groups(problem)[0] == pytest.approx(cost)


def test_a_shade_half_down_loses_half_the_light() -> None:
    problem = problem_of((600, 660), (680, 720), stops=[50, 100])
    half = Problem(**{**vars(problem), "positions": [40.0, 45.0]})
    cost, groups = best_groups(half)
    assert [(d.first, d.last, stop) for d, stop in groups] == [(0, 1, 50)]
    assert cost == pytest.approx(4 + 0.2 * 20 / 2)


def test_nothing_needed_is_nothing_done() -> None:
    assert best_groups(problem_of()) == (0.0, [])


@settings(max_examples=200)
@given(
    st.lists(st.tuples(st.integers(0, 300), st.integers(0, 60)), max_size=8),
    st.integers(-10, 400),
    st.integers(-10, 400),
)
def test_a_measure_counts_seconds(parts: list[tuple[int, int]], start: int, end: int) -> None:
    spells = union(Spell(a, a + length) for a, length in parts)
    inside = {second for spell in spells for second in range(spell.start, spell.end)}
    expected = len(inside & set(range(start, end)))
    assert Measure(spells).between(start, end) == expected
