"""Other plans that a unit could have in a stretch of time, the ones that might pay.

    Chances, choices to replace ──> Stretch ──> ways that cost less than a limit

What a closing is worth may change a little where a supply moves its starts: it may then cover some
need beside its own. So a way has a bound, below which no moving of starts brings it.
"""

from __future__ import annotations

from bisect import bisect_left
from collections import Counter
from collections.abc import Iterator, Sequence
from itertools import islice
from typing import NamedTuple

from suncover.base import clock
from suncover.plan.best.optimise import Chance, Chances, Choice
from suncover.plan.closings.stops import FULL, run_of

AROUND_S = 12 * 3600
"""Spells that begin within so long of the closings that are replaced may be closed for instead."""
MOST_FOUND = 2000
"""Ways at which the search for more of them ends."""
_NEAR = 6  # choices to either side that may share a date with those between


class Way(NamedTuple):
    """Closings, and the least that they can cost wherever their starts are moved to."""

    bound: float
    choices: tuple[Choice, ...]


class _Option(NamedTuple):
    bound: float
    chance: Chance
    after: int  # the place of the first beginning after it


class Stretch:
    """The part of a unit's plan between two of its closings, and what it could be instead.

    `choices` number `first` to `last` are to be replaced; `reach` is by how many seconds a start
    may be moved.
    """

    def __init__(
        self, chances: Chances, choices: Sequence[Choice], first: int, last: int, reach: int
    ) -> None:
        self._chances = chances
        self._before = choices[max(first - _NEAR, 0) : first]
        self._after = choices[last + 1 : last + 1 + _NEAR]
        self._reach = reach
        self._places, self._options = self._found(choices[first].begin, choices[last].end)
        self._least = [0.0] * (len(self._places) + 1)
        for at in reversed(range(len(self._places))):
            taken = [one.bound + self._least[one.after] for one in self._options[at]]
            self._least[at] = min([self._least[at + 1], *taken])

    @property
    def least(self) -> float:
        """What no way to replace the choices costs less than, against no closing there."""
        return self._least[0]

    def ways(self, limit: float) -> list[Way]:
        """Ways to replace the choices that can cost less than `limit`, the cheapest first."""
        chains = islice(self._chains(0, -1, 0.0, limit), MOST_FOUND)
        found = [Way(bound, tuple(self._choice(one) for one in chain)) for bound, chain in chains]
        allowed = [
            way
            for way in found
            if self._moves_allow([*self._before, *way.choices])
            and self._moves_allow([*way.choices, *self._after])
        ]
        return sorted(allowed, key=lambda way: way.bound)

    def _found(self, begin: int, end: int) -> tuple[list[int], list[list[_Option]]]:
        """Beginnings in the stretch, and the closings that may be made from each of them."""
        chances = self._chances
        low = bisect_left(chances.begins, begin - AROUND_S)
        high = bisect_left(chances.begins, end + AROUND_S)
        before = after = None
        if self._before:
            low = max(low, bisect_left(chances.begins, self._before[-1].end))
            before = bisect_left(chances.ends, self._before[-1].end)
        if self._after:
            after = bisect_left(chances.begins, self._after[0].begin)
            high = min(high, after)
        places = [at for at in range(low, high) if before is None or chances.follows(at, before)]
        options = []
        for at in places:
            mine = [
                chance
                for chance in chances.from_begin(at)
                if after is None or self._precedes(chance, after)
            ]
            ends = [bisect_left(chances.begins, chances.ends[chance.end]) for chance in mine]
            options.append(
                [
                    _Option(self._bound(chance), chance, bisect_left(places, end))
                    for chance, end in zip(mine, ends, strict=True)
                ]
            )
        return places, options

    def _precedes(self, chance: Chance, after: int) -> bool:
        chances = self._chances
        ends = chances.ends[chance.end] <= chances.begins[after]
        return ends and chances.follows(after, chance.end)

    def _bound(self, chance: Chance) -> float:
        """The least that a closing can cost, wherever its starts are moved to."""
        problem = self._chances.problem
        best = problem.best
        draft, reach = chance.draft, self._reach
        more = sum(
            need.between(draft.close - reach, draft.close + self._chances.timing.travel)
            + need.between(draft.open, draft.open + reach)
            for need in self._chances.need
        )
        own = chance.lost * chance.stop / FULL - chance.gain
        return own + 2 * best.move * len(problem.parts) - best.sun * more / 60

    def _chains(
        self, at: int, end: int, bound: float, limit: float
    ) -> Iterator[tuple[float, list[Chance]]]:
        """Closings one after another with their bound, where that is less than the limit."""
        if bound + self._least[at] >= limit:
            return
        if at == len(self._places):
            yield bound, []
            return
        if end < 0 or self._chances.follows(self._places[at], end):
            for one in self._options[at]:
                then = self._chains(one.after, one.chance.end, bound + one.bound, limit)
                for whole, rest in then:
                    yield whole, [one.chance, *rest]
        yield from self._chains(at + 1, end, bound, limit)

    def _choice(self, chance: Chance) -> Choice:
        begin, end = self._chances.begins[chance.begin], self._chances.ends[chance.end]
        return Choice(chance.draft, chance.stop, 0, begin, end)

    def _moves_allow(self, choices: Sequence[Choice]) -> bool:
        """Whether no date has more moves than the shade may make, counted before quiet hours."""
        most = self._chances.problem.shade.moves
        if most is None:
            return True
        timing, zone = self._chances.timing, self._chances.problem.zone
        count: Counter[int] = Counter()
        for choice in choices:
            close = choice.begin - timing.lead - timing.travel
            count[clock.local_ordinal(close, zone)] += 1
            count[clock.local_ordinal(choice.end + timing.lag, zone)] += 1
        return max(count.values(), default=0) <= most


def with_full_runs(chances: Chances, choices: Sequence[Choice]) -> list[Choice]:
    """The choices with the full runs that `home_after` asks for between them."""
    shade = chances.problem.shade
    if shade.home_after is None:
        return list(choices)
    made, partial = [], 0
    for choice in choices:
        asked = chances.stop_for(choice.begin, choice.end)
        down, partial = run_of(asked, partial, shade)
        made.append(choice._replace(stop=down.position, home=down.home))
    return made
