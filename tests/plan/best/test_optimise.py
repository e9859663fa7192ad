"""The best plan is the best: against a search through every plan there is, and by hand."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import UTC, date, datetime, time
from itertools import pairwise
from math import inf, isclose
from random import Random
from zoneinfo import ZoneInfo

import pytest

from suncover.base import clock
from suncover.base.spell import Spell, intersect, overlap_seconds, subtract, total_seconds, union
from suncover.plan.best.optimise import LONGEST_GAP_S, Problem, best_choice
from suncover.plan.best.weigh import Part
from suncover.plan.closings.rules import Draft, obey_quiet
from suncover.plan.closings.shade_plan import drafts_before_quiet, drafts_by_rules
from suncover.plan.motor import Motor, moves_by_date, timing_of
from suncover.site.model import Shade
from suncover.site.weights import Best

ZONES = [ZoneInfo(name) for name in ("Europe/Oslo", "America/New_York", "Australia/Lord_Howe")]
BEGIN = {"Europe/Oslo": (2026, 3, 28), "America/New_York": (2026, 10, 31)}
HOUR = 3600


Pair = tuple[int, int]


def raw_of(problem: Problem, pairs: Sequence[Pair]) -> list[Draft]:
    """The closings for the spells between pairs of a beginning and an end, before quiet hours."""
    timing, spells = timing_of(problem.motor.rules), problem.spells
    drafts = []
    for begin, end in pairs:
        held = [n for n, spell in enumerate(spells) if spell.start < end and spell.end > begin]
        close, opens = begin - timing.lead - timing.travel, end + timing.lag
        drafts.append(Draft(close, opens, held[0], held[-1]))
    return drafts


def cost_of(problem: Problem, pairs: Sequence[Pair]) -> float:  # noqa: PLR0911  (a line a limit)
    """What a plan costs, by the definition and with nothing but sums of spells; inf if it breaks
    a limit.
    """
    shade, spells, zone = problem.motor.rules, problem.spells, problem.motor.zone
    timing = timing_of(shade)
    drafts, final = raw_of(problem, pairs), []
    for draft, (_, end) in zip(drafts, pairs, strict=True):
        ends = [Spell(end - 1, end)] * len(spells)
        final += obey_quiet([draft], ends, problem.motor).drafts
    if len(final) < len(drafts):
        return inf
    for before, after in pairwise(drafts):
        least = 1 if stays_up(problem, before.open, after.close) else max(timing.merge, 1)
        if after.close - before.open < least:
            return inf
    if any(after.close <= before.open for before, after in pairwise(final)):
        return inf
    moves: dict[date, int] = {}
    for draft, (begin, end) in zip(drafts, pairs, strict=True):
        held = overlap_seconds(spells, [Spell(begin, end)])
        if held < timing.shortest or not bridgeable(problem, draft):
            return inf
        for at in (draft.close, draft.open):
            day = clock.local_date(at, zone)
            moves[day] = moves.get(day, 0) + 1
    by_rules = moves_by_date(drafts_before_quiet(problem.motor, spells)[0], zone)
    most = inf if shade.moves is None else shade.moves
    if any(n > max(most, by_rules.get(day, 0)) for day, n in moves.items()):
        return inf
    if any(not clock.in_season(clock.local_date(d.close, zone), problem.season) for d in final):
        return inf
    return price(problem, final, pairs, timing.travel)


def stays_up(problem: Problem, start: int, end: int) -> bool:
    """Whether the shade has to be up at some time from `start` to `end`."""
    return start < end and overlap_seconds(problem.motor.up, [Spell(start, end)]) > 0


def bridgeable(problem: Problem, draft: Draft) -> bool:
    """Whether each gap in a closing is short, or its two sides could not be apart anyhow."""
    timing = timing_of(problem.motor.rules)
    ruled = drafts_by_rules(problem.motor, problem.spells, None)
    bridged = {n for each in ruled for n in range(each.first, each.last)}
    held = problem.spells[draft.first : draft.last + 1]
    for number, (one, other) in enumerate(pairwise(held), draft.first):
        opens, closes = one.end + timing.lag, other.start - timing.lead - timing.travel
        if stays_up(problem, opens, closes):
            return False
        apart = closes - opens
        room = problem.motor.free_to_close(closes).at - problem.motor.free_to_open(opens).at
        if number in bridged:
            continue  # the rules do it too
        if min(apart, room) > LONGEST_GAP_S and apart >= timing.merge and room >= 1:
            return False
    return True


def price(problem: Problem, final: list[Draft], pairs: Sequence[Pair], travel: int) -> float:
    shade, best = problem.motor.rules, problem.best
    covered = union(Spell(min(d.close + travel, d.open), d.open) for d in final)
    missed = 0.0
    for part in problem.parts:
        worth = part.worth if part.worth is not None else [1.0] * len(part.need)
        for piece, each in zip(part.need, worth, strict=True):
            missed += each * total_seconds(subtract([piece], covered))
    lost, partial = 0.0, 0
    for draft, (begin, end) in zip(final, pairs, strict=True):
        asked = max(
            position
            for part in problem.parts
            for spell, position in zip(part.spells, part.positions, strict=True)
            if spell.start < end and spell.end > begin
        )
        stop = min(stop for stop in shade.stops if stop >= asked)
        if stop < 100 and shade.home_after is not None and partial >= shade.home_after:
            stop = 100
        partial = 0 if stop == 100 else partial + 2
        for part in problem.parts:
            needless = subtract([Spell(draft.close, draft.open)], part.spells)
            lost += overlap_seconds(needless, problem.light) * stop / 100
    moves = 2 * len(final) * len(problem.parts)
    return best.sun * missed / 60 + best.daylight * lost / 60 + best.move * moves


def every_plan(problem: Problem) -> float:
    """The least cost of all: every choice of beginnings and ends, one closing after another."""
    begins = sorted({spell.start for part in problem.parts for spell in part.spells})
    ends = sorted({spell.end for part in problem.parts for spell in part.spells})

    def plans(after: int) -> Iterator[list[Pair]]:
        yield []
        for begin in begins:
            for end in ends:
                if after <= begin < end:
                    for rest in plans(end):
                        yield [(begin, end), *rest]

    return min(cost_of(problem, pairs) for pairs in plans(begins[0]))


def random_spells(random: Random, start: int, most: int) -> list[Spell]:
    pace = random.choice([2 * HOUR, 5 * HOUR, 12 * HOUR])
    at, spells = start, []
    for _ in range(random.randint(1, most)):
        at += random.randint(1, pace)
        length = random.choice([60, 600, 1800, 2 * HOUR, 5 * HOUR])
        spells.append(Spell(at, at + random.randint(1, length)))
        at = spells[-1].end + 1
    return spells


def random_part(
    random: Random, spells: list[Spell], season: clock.Season | None, zone: ZoneInfo
) -> Part:
    """The spells with how far down they ask the shade to be, and mostly pieces of random worth."""
    asked = tuple(spells)
    if season is not None:
        first, last = (clock.local_date(t, zone) for t in (spells[0].start, spells[-1].end))
        asked = intersect(asked, clock.season_spells(season, first, last, zone))
    positions = [random.choice([100.0, 100.0, 15.0, 55.0]) for _ in spells]
    if random.random() < 0.3:
        return Part(spells, asked, positions)
    pieces = []
    for spell in asked:
        cuts = sorted(random.randint(spell.start, spell.end) for _ in range(random.randint(0, 3)))
        edges = [spell.start, *cuts, spell.end]
        pieces += [Spell(a, b) for a, b in pairwise(edges) if a < b]
    worth = [random.choice([0.0, 0.1, 1.0, 4.0]) * random.random() for _ in pieces]
    return Part(spells, pieces, positions, worth)


def random_problem(random: Random, parts: int = 1, most: int = 6) -> Problem:
    """Spells within three days or so for each part, some with a change of the clocks."""
    zone = random.choice(ZONES)
    year, month, day = BEGIN.get(zone.key, (2026, 6, 20))
    start = int(datetime(year, month, day, tzinfo=UTC).timestamp())
    pick = random.choice
    stops = pick([(100,), (100,), (50, 100), (20, 60, 100)])
    rules = {
        "travel": pick([0, 75, 600]),
        "lead": pick([0, 2, 20]),
        "lag": pick([0, 2, 20]),
        "merge": pick([0, 0, 30, 120]),
        "shortest": pick([0, 0, 10, 45]),
        "moves": pick([None, 2, 3, 4]),
        "quiet": pick([None, (time(21, 30), time(7)), (time(12), time(14))]),
        "in_quiet": pick(["early", "late"]),
        "home_after": pick([None, 1, 2, 3]) if len(stops) > 1 else None,
    }
    shade = Shade.model_validate({"name": "r", "windows": ["w"], "stops": stops, **rules})
    season = random.choice([None, None, ((3, 29), (10, 31)), ((6, 21), (6, 22))])
    drawn = [random_spells(random, start, most) for _ in range(parts)]
    days = [Spell(start + n * 86400 + 5 * HOUR, start + n * 86400 + 18 * HOUR) for n in range(6)]
    light = union([*days, *(spell for spells in drawn for spell in spells)])
    prices = pick([1.0, 0.5]), pick([0.0, 0.2, 1.0]), pick([0.0, 2.0, 15.0, 60.0])
    best = Best(**dict(zip(("sun", "daylight", "move"), prices, strict=True)))
    found = [random_part(random, spells, season, zone) for spells in drawn]
    up = random_up(random, drawn) if random.random() < 0.4 else ()
    return Problem(Motor(shade, zone, up), found, light, season, best)


def random_up(random: Random, drawn: list[list[Spell]]) -> tuple[Spell, ...]:
    """Times between two spells, each long or short, in which the shade has to be up."""
    spells = union(spell for mine in drawn for spell in mine)
    found = []
    for one, other in pairwise(spells):
        if random.random() < 0.5:
            cuts = sorted(random.randint(one.end, other.start) for _ in range(2))
            found.append(Spell(*cuts) if random.random() < 0.7 else Spell(one.end, other.start))
    return tuple(spell for spell in found if spell.start < spell.end)


def hold_to_every_plan(problem: Problem, name: object) -> None:
    """What is found costs what is said, and no plan of all costs less."""
    cost, choices = best_choice(problem)
    assert isclose(cost, every_plan(problem), abs_tol=1e-6), (name, problem)
    pairs = [(choice.begin, choice.end) for choice in choices]
    assert isclose(cost_of(problem, pairs), cost, abs_tol=1e-6), (name, problem)


@pytest.mark.parametrize("seed", range(4))
def test_no_plan_of_all_costs_less(seed):
    """A hundred random days for each seed, most with minutes that differ in worth."""
    random = Random(seed)
    for number in range(100):
        hold_to_every_plan(random_problem(random), (seed, number))


@pytest.mark.parametrize("seed", range(4))
def test_no_plan_of_all_costs_less_for_shades_that_move_together(seed):
    random = Random(100 + seed)
    for number in range(50):
        parts = random.choice([2, 2, 3])
        problem = random_problem(random, parts, most=2 if parts == 2 else 1)
        hold_to_every_plan(problem, (seed, number))


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(1000, 1020))
def test_no_plan_of_all_costs_less_on_thousands_of_days(seed):
    """Ten thousand random days: of one shade, and of two or three that move together."""
    random = Random(seed)
    for number in range(500):
        parts = random.choice([1, 2, 3])
        problem = random_problem(random, parts, most={1: 6, 2: 3, 3: 2}[parts])
        hold_to_every_plan(problem, (seed, number))


def problem_of(*minutes: tuple[int, int], best: Best | None = None, **rules: object) -> Problem:
    """A June day in UTC with light all day; spells from and to minutes of the day."""
    start = int(datetime(2026, 6, 1, tzinfo=UTC).timestamp())
    spells = [Spell(start + 60 * a, start + 60 * b) for a, b in minutes]
    facts = {"name": "r", "windows": ["w"], "lead": 0, "lag": 0, "merge": 0, "shortest": 0}
    shade = Shade.model_validate({**facts, **rules})
    light = [Spell(start, start + 86400)]
    zone = ZoneInfo("Etc/UTC")
    part = Part(spells, spells, [100.0] * len(spells))
    return Problem(Motor(shade, zone), [part], light, None, best or Best())


def held(problem: Problem) -> list[tuple[int, int]]:
    return [(one.draft.first, one.draft.last) for one in best_choice(problem)[1]]


@pytest.mark.parametrize(
    ("spells", "rules", "expected", "cost"),
    [
        ([], {}, [], 0.0),
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
)
def test_worked_by_hand(spells, rules, expected, cost):
    problem = problem_of(*spells, **rules)
    assert held(problem) == expected
    assert best_choice(problem)[0] == pytest.approx(cost)


def test_a_shade_half_down_loses_half_the_light():
    problem = problem_of((600, 660), (680, 720), stops=[50, 100])
    half = replace(problem, parts=[replace(problem.parts[0], positions=[40.0, 45.0])])
    cost, choices = best_choice(half)
    assert [(one.draft.first, one.draft.last, one.stop) for one in choices] == [(0, 1, 50)]
    assert cost == pytest.approx(4 + 0.2 * 20 / 2)


def test_minutes_of_little_worth_are_not_closed_for():
    """Ten minutes at 0.3 are three; two moves cost four. At 0.5 they are five."""
    problem = problem_of((600, 610))
    for each, expected in ((0.3, []), (0.5, [(0, 0)])):
        assert held(replace(problem, parts=[replace(problem.parts[0], worth=[each])])) == expected


def together(*shades: list[tuple[int, int]], **weights: float) -> Problem:
    """Shades that move together on a June day, each with its spells."""
    alone = [problem_of(*spells) for spells in shades]
    parts = [problem.parts[0] for problem in alone]
    return replace(alone[0], parts=parts, best=Best(**weights))


def spans(problem: Problem) -> list[tuple[int, int]]:
    """The best plan's closings in minutes of the day."""
    return [(c.begin // 60 % 1440, c.end // 60 % 1440) for c in best_choice(problem)[1]]


def test_shades_that_move_together_weigh_each_other():
    """Worked by hand: one has sun from 10:00 to 12:00, the other from 11:50 to 12:20.

    Both down from 10:00 to 12:20 lets in nothing and costs the one 20 minutes of daylight, the
    other 110: 26, and four moves of 2. Where a minute of daylight counts more than one of sun, they
    go down only while both want it, and let in 110 and 20 minutes.
    """
    spells = [(600, 720)], [(710, 740)]
    assert spans(together(*spells)) == [(600, 740)]
    assert best_choice(together(*spells))[0] == pytest.approx(26 + 8)
    assert spans(together(*spells, daylight=1.01)) == [(710, 720)]
    assert best_choice(together(*spells, daylight=1.01))[0] == pytest.approx(130 + 8)
    # Ten minutes in common of two shades are not worth four moves of 5.1.
    assert spans(together(*spells, daylight=1.01, move=5.1)) == []
