"""The best plan of a shade under what a household will bear, found exactly.

    spells that need covering ──> Chances (what each closing would be) ──> best_groups ──> ShadePlan

A plan is a choice of closings. Each is there for a run of spells, number `first` to `last`, and is
timed by the shade's own rules: from `travel` and `lead` before the first spell to `lag` after the
last, then moved out of quiet hours. What a plan costs, in minutes of sun let in:

    sun      x  minutes of need that are left uncovered
    daylight x  minutes of daylight with the shade down and nothing that asks for it, times how far
                down it is
    move     x  moves of the motor, two for each closing

Limits hold whatever that costs: closings are not nearer to each other than `merge`, none holds less
need than `shortest`, no date has more than `moves` (counted before quiet hours, as ever), none is
dated out of season, and the shade stays down over no gap longer than `LONGEST_GAP_S`.

The minimum is found by dynamic programming over the spells. What a choice leaves for the spells
after it is all in its state: the last closing while that still bears on the next, the moves of its
date, and the moves since the last full run. So no other plan within the limits costs less.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import accumulate
from typing import TYPE_CHECKING, NamedTuple
from zoneinfo import ZoneInfo

from suncover import clock, plan_rules
from suncover.plan_positions import FULL
from suncover.plan_rules import Draft
from suncover.spell import Spell, subtract, union

if TYPE_CHECKING:
    from suncover.site import Shade
    from suncover.site_best import Best

LONGEST_GAP_S = 6 * 3600
"""A gap longer than this is not bridged to save moves: the shade goes up between two days."""


class Measure:
    """How many seconds of some spells lie before an instant: quick for any stretch of time."""

    def __init__(self, spells: Sequence[Spell]) -> None:
        self._ends = [spell.end for spell in spells]
        self._starts = [spell.start for spell in spells]
        self._sums = [0, *accumulate(spell.end - spell.start for spell in spells)]

    def before(self, instant: int) -> int:
        """Seconds of the spells before an instant."""
        index = bisect_left(self._ends, instant)
        whole = self._sums[index]
        if index < len(self._starts) and self._starts[index] < instant:
            whole += instant - self._starts[index]
        return whole

    def between(self, start: int, end: int) -> int:
        """Seconds of the spells from `start` to `end`; 0 if that is no time."""
        return self.before(end) - self.before(start) if end > start else 0


@dataclass(frozen=True)
class Problem:
    """One shade's spells (sorted, disjoint) with what is asked of them.

    `asked` is the part of the spells that counts as need (in season), `light` when it is light
    outdoors, `positions` how far down each spell asks the shade to be, in per cent.
    """

    shade: Shade
    spells: Sequence[Spell]
    asked: Sequence[Spell]
    light: Sequence[Spell]
    positions: Sequence[float]
    zone: ZoneInfo
    season: clock.Season | None
    best: Best


class Chance(NamedTuple):
    """A closing that may be made: its draft after quiet hours, its dates before them, its price.

    `price` has no part for the spells before it; `stop` is how far down it goes by its need.
    """

    draft: Draft
    closes_on: int
    opens_on: int
    sun_price: float
    light_price: float
    stop: int


class _State(NamedTuple):
    """What earlier choices leave for later ones.

    `last` is the number of the spell at which the last closing ends, -1 once it bears on nothing;
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


class Chances:
    """Every closing that may be made for a problem, and how two of them bear on each other."""

    def __init__(self, problem: Problem) -> None:
        shade = problem.shade
        self.problem = problem
        self.timing = plan_rules.timing_of(shade)
        self.need = Measure(problem.asked)
        self._all = Measure(problem.spells)
        self._free = Measure(subtract(problem.light, union(problem.spells)))
        self.singles: list[Draft | None] = []
        spells = problem.spells
        if spells:
            first = clock.local_date(spells[0].start, problem.zone)
            last = clock.local_date(spells[-1].end, problem.zone)
            self._blocked = plan_rules.blocked_starts(
                shade.quiet, self.timing.travel, first, last, problem.zone
            )
        self.raw = plan_rules.closings_for(spells, self.timing)
        self.closes_on = [clock.local_ordinal(draft.close, problem.zone) for draft in self.raw]
        self.opens_on = [clock.local_ordinal(draft.open, problem.zone) for draft in self.raw]
        self.opens = [self._moved(draft).open for draft in self.raw]

    def _moved(self, draft: Draft) -> Draft:
        """A closing out of quiet hours, whether there is any use in it or not."""
        at_close, at_open = self._blocked.around(draft.close), self._blocked.around(draft.open)
        early = self.problem.shade.in_quiet == "early"
        if at_close is not None:
            close = at_close.start if early else at_close.end
            draft = draft._replace(close=close, early=early, late=not early)
        return draft if at_open is None else draft._replace(open=at_open.end, waits=True)

    def from_spell(self, first: int) -> Iterator[Chance]:
        """Each closing that begins with a spell, the shortest first."""
        spells = self.problem.spells
        for last in range(first, len(spells)):
            if last > first and not self._bridgeable(last - 1):
                return
            chance = self._chance(first, last)
            if chance is not None:
                yield chance

    def _bridgeable(self, number: int) -> bool:
        """Whether one closing may hold a spell and the next: the gap is short, or has to be."""
        raw = self.raw[number + 1].close - self.raw[number].open
        moved = self._moved(self.raw[number + 1]).close - self.opens[number]
        near = min(raw, moved)
        return near <= LONGEST_GAP_S or raw < self.timing.merge or moved < 1

    def _chance(self, first: int, last: int) -> Chance | None:
        spells, shade, best = self.problem.spells, self.problem.shade, self.problem.best
        start, end = spells[first].start, spells[last].end
        if self._all.between(start, end) < self.timing.shortest:
            return None
        raw = Draft(self.raw[first].close, self.raw[last].open, first, last)
        outcome = plan_rules.obey_quiet(
            [raw], spells, self._blocked, early=shade.in_quiet == "early"
        )
        if not outcome.kept:
            return None
        draft = outcome.kept[0]
        day = clock.local_date(draft.close, self.problem.zone)
        if not clock.in_season(day, self.problem.season):
            return None
        down = max(min(draft.close + self.timing.travel, draft.open), start)
        late = self.need.between(start, min(down, end))
        asked = max(self.problem.positions[first : last + 1])
        return Chance(
            draft,
            self.closes_on[first],
            self.opens_on[last],
            best.sun * late / 60,
            best.daylight * self._free.between(draft.close, draft.open) / 60,
            next((stop for stop in shade.stops if stop >= asked - 1e-9), FULL),
        )

    def follows(self, chance: Chance, last: int) -> bool:
        """Whether a closing may come after one that ends with spell number `last`."""
        apart = self.raw[chance.draft.first].close - self.raw[last].open
        room = chance.draft.close - self.opens[last]
        return apart >= max(self.timing.merge, 1) and room >= 1

    def let_in(self, number: int, last: int) -> float:
        """What it costs to leave a spell uncovered after a closing that ends with spell `last`."""
        spell = self.problem.spells[number]
        start = spell.start if last < 0 else max(spell.start, self.opens[last])
        return self.problem.best.sun * self.need.between(start, spell.end) / 60

    def credit(self, chance: Chance) -> float:
        """What a closing that quiet hours bring forward covers of the spells before its own."""
        start = self.problem.spells[chance.draft.first].start
        down = chance.draft.close + self.timing.travel
        return self.problem.best.sun * self.need.between(down, start) / 60

    def bears(self, last: int, number: int) -> bool:
        """Whether a closing that ends with spell `last` still matters at spell `number`."""
        # Where it opens only after the spell has begun, the two are too near as well.
        begins = self._moved(self.raw[number]).close
        apart = self.raw[number].close - self.raw[last].open
        return apart < max(self.timing.merge, 1) or begins - self.opens[last] < 1


def best_groups(problem: Problem) -> tuple[float, list[tuple[Draft, int]]]:
    """The least that a plan can cost, and its closings with how far down each goes (per cent).

    Of plans that cost the same, one with the fewest moves.
    """
    if not problem.spells:
        return 0.0, []
    chances = Chances(problem)
    count = len(problem.spells)
    table: list[dict[_State, _Path]] = [{} for _ in range(count + 1)]
    table[0][_State(-1, 0, 0, 0)] = _Path(0.0, 0, None)
    for number in range(count):
        options = list(chances.from_spell(number))
        for reached, path in table[number].items():
            state = _forgetting(reached, number, chances)
            skipped = path._replace(cost=path.cost + chances.let_in(number, state.last))
            _keep(table[number + 1], state, skipped)
            for chance in options:
                step = _step(state, path, chance, chances)
                if step is not None:
                    _keep(table[chance.draft.last + 1], *step)
        table[number] = {}  # done with: only the chains are needed
    path = min(table[count].values(), key=lambda path: path[:2])
    return path.cost, _unchained(path)


def _keep(states: dict[_State, _Path], state: _State, path: _Path) -> None:
    known = states.get(state)
    if known is None or path[:2] < known[:2]:
        states[state] = path


def _forgetting(state: _State, number: int, chances: Chances) -> _State:
    """The state without what no longer matters from spell `number` on."""
    if state.last >= 0 and not chances.bears(state.last, number):
        state = state._replace(last=-1)
    if state.day < chances.closes_on[number]:
        state = state._replace(day=0, moves=0)
    return state


def _step(
    state: _State, path: _Path, chance: Chance, chances: Chances
) -> tuple[_State, _Path] | None:
    """The state after one more closing, or None where a limit forbids it."""
    best, shade = chances.problem.best, chances.problem.shade
    if state.last >= 0 and not chances.follows(chance, state.last):
        return None
    on_day = state.moves if state.day == chance.closes_on else 0
    counts = [on_day + 1, 1] if chance.opens_on != chance.closes_on else [on_day + 2]
    if shade.moves is not None and max(counts) > shade.moves:
        return None
    stop, partial = _run(chance.stop, state.partial, shade)
    cost = path.cost + chance.sun_price - chances.credit(chance)
    cost += chance.light_price * stop / FULL + 2 * best.move
    made = chance._replace(stop=stop)
    after = _State(chance.draft.last, chance.opens_on, counts[-1], partial)
    return after, _Path(cost, path.moves + 2, (made, path.chain))


def _run(stop: int, partial: int, shade: Shade) -> tuple[int, int]:
    """Where a closing ends, and the moves on the way since the last full run after it."""
    if stop == FULL:
        return FULL, 0
    if shade.home_after is None:
        return stop, 0
    if partial >= shade.home_after:
        return FULL, 0
    return stop, partial + 2


def _unchained(path: _Path) -> list[tuple[Draft, int]]:
    """The closings of a path, the first one first."""
    found: list[tuple[Draft, int]] = []
    chain = path.chain
    while chain is not None:
        chance, rest = chain
        found.append((chance.draft, chance.stop))
        chain = rest  # type: ignore[assignment]  # a chain of the same kind, which has no name
    return found[::-1]
