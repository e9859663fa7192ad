"""The best plan under what a household will bear, found exactly: for a shade, or for several that
move together.

    Parts (what each shade asks for) ──> Chances (what each closing would be) ──> best_choice

A plan is a choice of closings. Each goes from the beginning of one spell to the end of the same or
a later one, and is timed by the shade's own rules: from `travel` and `lead` before it to `lag`
after it, then moved out of quiet hours. What a plan costs, in minutes of sun let in, each shade's
part added to the others' (but while one of them goes its own way):

    sun      x  minutes of need that are left uncovered, each for what it is worth
    daylight x  minutes of daylight with the shade down and nothing of its own that asks for it,
                times how far down it is
    move     x  moves of the motor, two for each closing

Limits hold whatever that costs: closings are not nearer to each other than `merge`, none holds less
need than `shortest`, no date has more than `moves` (counted before quiet hours, as ever), none is
dated out of season, and the shade stays down over no gap longer than `LONGEST_GAP_S` to save moves,
unless the rules bridge it too. Nor over one in which it has to stay up, however near to each other
that leaves two closings. On a date on which the rules themselves make more than `moves` for that,
so may the best plan: what the rules can do it can do as well.

Closings of a plan share no second, so what each one covers is its own, and the cost is that of
doing nothing plus a price for each closing. The minimum is found by dynamic programming over the
beginnings of spells. What a choice leaves for those after it is all in its state: the last closing
while that still bears on the next, the moves of its date, and the moves since the last full run.
So no other plan within the limits costs less.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from typing import TYPE_CHECKING, Any, NamedTuple

from suncover.base import clock
from suncover.base.spell import Spell, union
from suncover.plan.best.measure import Measure
from suncover.plan.best.weigh import Part, Scales
from suncover.plan.closings.rules import Draft, obey_quiet
from suncover.plan.closings.shade_plan import drafts_before_quiet, drafts_by_rules
from suncover.plan.closings.stops import run_of, stop_for
from suncover.plan.motor import FULL, Motor, any_in

if TYPE_CHECKING:
    from suncover.site.weights import Best

LONGEST_GAP_S = 6 * 3600
"""A gap longer than this is not bridged to save moves: the shade goes up between two days."""


@dataclass(frozen=True)
class Problem:
    """The parts of shades that move at the same times, mostly of one alone, and what binds them.

    `motor` has the rules for all of them, and stays up when all have to; `light` is when it is
    light outdoors.
    """

    motor: Motor
    parts: Sequence[Part]
    light: Sequence[Spell]
    season: clock.Season | None
    best: Best

    @cached_property
    def spells(self) -> tuple[Spell, ...]:
        """When any of the shades is to be down."""
        return union(spell for part in self.parts for spell in part.spells)


class Chance(NamedTuple):
    """A closing that may be made.

    `draft` is after quiet hours and counts the problem's spells; `begin` and `end` are the numbers
    of the spells' beginning and end that it is there for. `closes_on` and `opens_on` are its dates
    before quiet hours. `gain` is the need that it covers and `lost` the daylight that it would take
    all the way down, both as costs, and `shades` how many shades make it; `stop` how far down it
    goes: by its need, or all the way after `home` moves to or from a stop on the way since the last
    full run.
    """

    draft: Draft
    begin: int
    end: int
    closes_on: int
    opens_on: int
    gain: float
    lost: float
    shades: int
    stop: int
    home: int = 0


class Choice(NamedTuple):
    """A closing of the best plan, how far down it goes (per cent), and what it is there for: the
    spells from `begin` to `end`. `home` as in stops.Down.
    """

    draft: Draft
    stop: int
    home: int
    begin: int
    end: int


class _State(NamedTuple):
    """What earlier choices leave for later ones.

    `last` is the number of the end at which the last closing ends, -1 once it bears on nothing;
    `day` and `moves` are the date of its opening and the moves on it; `partial` the moves to or
    from a stop on the way since the last full run.
    """

    last: int
    day: int
    moves: int
    partial: int


class _Path(NamedTuple):
    """The cheapest way into a state: what it costs, and its closings, the last one first."""

    cost: float
    moves: int
    chain: tuple[Chance, object] | None

    @property
    def rank(self) -> tuple[float, int]:
        """The less the better; costs that differ by nothing but rounding are the same."""
        return round(self.cost, 6), self.moves


class Chances:
    """Every closing that may be made for a problem, and how two of them bear on each other."""

    def __init__(self, problem: Problem) -> None:
        motor = problem.motor
        self.problem = problem
        self.timing = timing = motor.timing
        self.spells = problem.spells
        self._starts = [spell.start for spell in self.spells]
        self._all = Measure(self.spells)
        self.scales = [Scales(part, timing.travel, problem.light) for part in problem.parts]
        self.begins = sorted({spell.start for part in problem.parts for spell in part.spells})
        self.ends = sorted({spell.end for part in problem.parts for spell in part.spells})
        before = timing.travel + timing.lead
        self._closes = [at - before for at in self.begins]
        self._opens = [at + timing.lag for at in self.ends]
        self.closes_on = [clock.local_ordinal(at, motor.zone) for at in self._closes]
        self.opens_on = [clock.local_ordinal(at, motor.zone) for at in self._opens]
        self._quiet_closes = [motor.free_to_close(at).at for at in self._closes]
        self._quiet_opens = [motor.free_to_open(at).at for at in self._opens]
        ruled = drafts_by_rules(motor, self.spells, None)
        self._bridged = {gap for draft in ruled for gap in range(draft.first, draft.last)}
        self._more = motor.over_limit(drafts_before_quiet(motor, self.spells)[0])

    def most_moves(self, ordinal: int) -> float:
        """The moves that a date may have: the limit, or what the rules need for more."""
        limit = self.problem.motor.rules.moves
        if limit is None:
            return float("inf")
        return self._more.get(date.fromordinal(ordinal), limit) if self._more else limit

    def from_begin(self, number: int) -> Iterator[Chance]:
        """Each closing that begins with a spell's beginning, the shortest first."""
        first = reached = bisect_right(self._starts, self.begins[number]) - 1
        for end in range(bisect_right(self.ends, self.begins[number]), len(self.ends)):
            last = bisect_left(self._starts, self.ends[end]) - 1
            if any(not self._bridgeable(gap) for gap in range(reached, last)):
                return
            reached = last
            chance = self._chance(number, end, first, last)
            if chance is not None:
                yield chance

    def _bridgeable(self, number: int) -> bool:
        """Whether one closing may hold a spell and the next: the gap is short, or has to be."""
        end = bisect_left(self.ends, self.spells[number].end)
        begin = bisect_left(self.begins, self.spells[number + 1].start)
        if self._up_between(end, begin):
            return False
        if number in self._bridged:
            return True
        raw = self._closes[begin] - self._opens[end]
        moved = self._quiet_closes[begin] - self._quiet_opens[end]
        return min(raw, moved) <= LONGEST_GAP_S or raw < self.timing.merge or moved < 1

    def _chance(self, begin: int, end: int, first: int, last: int) -> Chance | None:
        motor, best = self.problem.motor, self.problem.best
        start, stop = self.begins[begin], self.ends[end]
        if self._all.between(start, stop) < self.timing.shortest:
            return None
        raw = Draft(self._closes[begin], self._opens[end], 0, 0)
        # The rule asks when the sun has gone: here, that is the end of this closing's.
        outcome = obey_quiet([raw], [Spell(start, stop)], motor)
        if not outcome.drafts:
            return None
        draft = outcome.drafts[0]._replace(first=first, last=last)
        if not clock.in_season(clock.local_date(draft.close, motor.zone), self.problem.season):
            return None
        until = draft.open + self.timing.travel
        scales = [
            scales
            for part, scales in zip(self.problem.parts, self.scales, strict=True)
            if not any_in(part.up, draft.close, until)
        ]
        return Chance(
            draft,
            begin,
            end,
            self.closes_on[begin],
            self.opens_on[end],
            best.sun * sum(scale.covered(draft, scale.worth) for scale in scales) / 60,
            best.daylight * sum(scale.lost(draft) for scale in scales) / 60,
            len(scales),
            self.stop_for(start, stop),
        )

    def stop_for(self, start: int, end: int) -> int:
        """How far down the shades go for the spells from `start` to `end`, in per cent."""
        position = 0.0
        for part in self.problem.parts:
            low = bisect_right(part.spells, start, key=lambda spell: spell.end)
            high = bisect_left(part.spells, end, key=lambda spell: spell.start)
            position = max(position, *part.positions[low:high], 0.0)
        return stop_for(self.problem.motor.rules, position)

    def follows(self, begin: int, last: int) -> bool:
        """Whether a closing that begins at `begin` may come after one that ends at `last`."""
        apart = self._closes[begin] - self._opens[last]
        room = self._quiet_closes[begin] - self._quiet_opens[last]
        shortest_gap = 1 if self._up_between(last, begin) else max(self.timing.merge, 1)
        return apart >= shortest_gap and room >= 1

    def _up_between(self, end: int, begin: int) -> bool:
        """Whether the shade has to stay up at some time after an end and before a beginning."""
        return self.problem.motor.held_up(self._opens[end], self._closes[begin])


def best_choice(problem: Problem) -> tuple[float, list[Choice]]:
    """The least that a plan can cost, and its closings.

    Of plans that cost the same, one with the fewest moves.
    """
    if not problem.spells:
        return 0.0, []
    chances = Chances(problem)
    begins = chances.begins
    uncovered_cost = problem.best.sun * sum(scale.worth.total for scale in chances.scales) / 60
    table: list[dict[_State, _Path]] = [{} for _ in range(len(begins) + 1)]
    table[0][_State(-1, 0, 0, 0)] = _Path(uncovered_cost, 0, None)
    for number in range(len(begins)):
        options = list(chances.from_begin(number))
        for reached, path in table[number].items():
            state = _forgetting(reached, number, chances)
            _keep(table[number + 1], state, path)
            if state.last >= 0:
                continue  # too near to the last closing for any of them
            for chance in options:
                step = _step(state, path, chance, chances)
                if step is not None:
                    after = bisect_left(begins, chances.ends[chance.end])
                    _keep(table[after], *step)
        table[number] = {}  # done with: only the chains are needed
    path = min(table[-1].values(), key=lambda path: path.rank)
    return path.cost, _unchained(path, chances)


def _keep(states: dict[_State, _Path], state: _State, path: _Path) -> None:
    rival = states.get(state)
    if rival is None or path.rank < rival.rank:
        states[state] = path


def _forgetting(state: _State, number: int, chances: Chances) -> _State:
    """The state without what no longer matters from the beginning `number` on.

    What follows the last closing at one beginning follows it at every later one.
    """
    if state.last >= 0 and chances.follows(number, state.last):
        state = state._replace(last=-1)
    if state.day < chances.closes_on[number]:
        state = state._replace(day=0, moves=0)
    return state


def _step(
    state: _State, path: _Path, chance: Chance, chances: Chances
) -> tuple[_State, _Path] | None:
    """The state after one more closing, or None where a limit forbids it."""
    best, rules = chances.problem.best, chances.problem.motor.rules
    on_day = state.moves if state.day == chance.closes_on else 0
    counts = {chance.closes_on: on_day + 1, chance.opens_on: 1}
    if chance.opens_on == chance.closes_on:
        counts = {chance.closes_on: on_day + 2}
    if rules.moves is not None and any(n > chances.most_moves(day) for day, n in counts.items()):
        return None
    down, partial = run_of(chance.stop, state.partial, rules)
    cost = path.cost - chance.gain + chance.lost * down.position / FULL
    cost += 2 * best.move * chance.shades
    closing = chance._replace(stop=down.position, home=down.home)
    after = _State(chance.end, chance.opens_on, counts[chance.opens_on], partial)
    return after, _Path(cost, path.moves + 2, (closing, path.chain))


def _unchained(path: _Path, chances: Chances) -> list[Choice]:
    """The closings of a path, the first one first."""
    choices: list[Choice] = []
    chain: Any = path.chain  # a pair of a chance and the chain before it, and so on
    while chain is not None:
        chance, chain = chain
        begin, end = chances.begins[chance.begin], chances.ends[chance.end]
        choices.append(Choice(chance.draft, chance.stop, chance.home, begin, end))
    return choices[::-1]
