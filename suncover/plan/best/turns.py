"""Closings that are not worth their turn at a supply: other plans for crowds of motors.

    own best choices ──> spread ──> crowds that it cost something ──> other choices of the crowd ──┐
                                         ^                                                         │
                                         └────────────── the cheapest, all of it spread anew <─────┘

Each unit (a shade, or a group) is first planned as if it had a supply of its own. Spreading the
starts then makes some closings longer, and what that costs may be more than one of them is worth.
For each crowd of closings whose starts were in each other's way, every plan that its units could
have in that stretch of time is weighed with its starts spread, as long as it could pay: without any
spreading it must cost less than what the crowd costs now. So a crowd's plan is the best there is
with all else as it is, unless there are more than `MOST_WAYS` that could pay. Crowds are taken one
after another, which may miss what two of them would have to do together; what comes out dearer in
all is not done.
"""

from __future__ import annotations

import math
from bisect import bisect_left, bisect_right
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

from suncover.base import clock
from suncover.base.spell import Spell
from suncover.plan.best.optimise import Chances, Choice, Problem
from suncover.plan.best.units import Pricer, Unit, ups_of
from suncover.plan.best.ways import AROUND_S, Stretch, with_full_runs
from suncover.plan.closings.shade_plan import Closing
from suncover.plan.sharing.groups import own_ups
from suncover.plan.sharing.own_way import own_way
from suncover.plan.sharing.supply import run_seconds, spread_starts
from suncover.site.model import Shade, Site, Supply

MOST_WAYS = 200
"""Ways to change one crowd that are looked into, the cheapest ones by themselves first."""
MOST_ROUNDS = 3
"""How often all crowds are looked at again after changes."""
LEAST_GAIN = 1e-6

Choices = dict[str, list[Choice]]
"""The closings of each unit, by the name of its first shade."""
Rows = dict[str, list[Closing]]
"""Closings by the name of their shade."""
Numbered = dict[str, tuple[dict[int, Closing], list[Closing]]]
"""Closings by the name of their shade: by the number of the unit's choice, and its own beside."""


class Item(NamedTuple):
    """One closing of a unit, by its number."""

    unit: str
    number: int


@dataclass
class Turns:
    """The units of a site by the names of their first shades, and what closings of theirs cost.

    `alone` has the own closings of shades of a group that go their own way at times.
    """

    site: Site
    units: Mapping[str, Unit]
    pricer: Pricer
    problems: Mapping[str, Problem]
    alone: Mapping[str, Sequence[Closing]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.shades = {
            member.sun.shade.name: member.sun.shade
            for unit in self.units.values()
            for member in unit.members
        }
        self._up: dict[str, tuple[Spell, ...]] = {}
        self._apart: dict[str, tuple[Spell, ...]] = {}
        for unit in self.units.values():
            ups = ups_of(unit)
            self._up |= zip(unit.shades, ups, strict=True)
            self._apart |= zip(unit.shades, own_ups(ups), strict=True)
        self._chances: dict[str, Chances] = {}
        self._nothing = {name: self.pricer.price(name, ()).cost for name in self.shades}

    def rows(self, choices: Mapping[str, Sequence[Choice]]) -> Rows:
        """The closings of all shades of the units, as they are wanted."""
        return {
            shade: sorted([*kept.values(), *own], key=lambda row: row.close)
            for shade, (kept, own) in self.numbered(choices).items()
        }

    def numbered(self, choices: Mapping[str, Sequence[Choice]]) -> Numbered:
        """The same: those of the choices by their numbers, and those in place of others."""
        zone = self.site.place.zone
        found: Numbered = {}
        for name, mine in choices.items():
            for shade in self.units[name].shades:
                rows = [
                    Closing(
                        shade,
                        clock.local_date(one.draft.close, zone),
                        one.draft.close,
                        one.draft.open,
                        0,
                        "",
                        one.stop,
                    )
                    for one in mine
                ]
                own = self.alone.get(shade, ())
                way = own_way(self.shades[shade], self._apart[shade], rows, own, zone)
                found[shade] = {n: rows[n] for n in way.kept}, [own[n] for n in way.own]
        return found

    def spread(self, rows: Rows) -> Rows:
        """The same after their supplies have spread their starts."""
        found = dict(rows)
        for supply in self.site.supplies:
            asked = {name: rows.get(name, []) for name in supply.shades}
            moved = spread_starts(supply, self.shades, asked, self.site.place.zone, up=self._up)
            found |= {name: list(mine) for name, mine in moved.items() if name in rows}
        return found

    def cost(self, rows: Rows) -> float:
        """What some closings cost, against having none."""
        return sum(
            self.pricer.price(name, mine).cost - self._nothing[name] for name, mine in rows.items()
        )

    def chances(self, unit: str) -> Chances:
        """Every closing that a unit may make."""
        if unit not in self._chances:
            self._chances[unit] = Chances(self.problems[unit])
        return self._chances[unit]

    def sharing(self, names: Iterable[str]) -> list[str]:
        """The units that share a supply with some units, and those themselves."""
        shades = {shade for name in names for shade in self.units[name].shades}
        for supply in self.site.supplies:
            if not shades.isdisjoint(supply.shades):
                shades.update(supply.shades)
        return [name for name, unit in self.units.items() if not shades.isdisjoint(unit.shades)]

    def reach(self, choices: Mapping[str, Sequence[Choice]]) -> int:
        """By how much a start may be moved where these closings are in each other's way, or a few
        more of them: each of the others at its worst place, and quiet hours far.
        """
        runs = 4 + 2 * sum(
            len(mine) * len(self.units[name].members) for name, mine in choices.items()
        )
        longest = max(run_seconds(shade) for shade in self.shades.values())
        gap = max((math.ceil(supply.gap) for supply in self.site.supplies), default=0)
        return runs * (longest + max(longest, gap))


def worth_their_turns(turns: Turns, choices: Choices) -> Choices:
    """The closings of all units, with others in place of those not worth their turn at a supply."""
    for _ in range(MOST_ROUNDS):
        before = turns.cost(turns.spread(turns.rows(choices)))
        better = _once_better(turns, choices)
        # Crowds are changed one by one; only all of it spread together tells what that comes to.
        if turns.cost(turns.spread(turns.rows(better))) > before - LEAST_GAIN:
            break
        choices = better
    return choices


def _once_better(turns: Turns, choices: Choices) -> Choices:
    """The same after a look at each crowd."""
    spread = turns.spread(turns.rows(choices))
    better = {name: list(mine) for name, mine in choices.items()}
    changed = set()
    for crowd in _crowds(turns, choices, spread):
        numbers: dict[str, tuple[int, int]] = {}
        for item in crowd:
            at = better[item.unit].index(choices[item.unit][item.number])
            first, last = numbers.get(item.unit, (at, at))
            numbers[item.unit] = min(first, at), max(last, at)
        for name, mine in _best_way(turns, better, numbers).items():
            first, last = numbers[name]
            better[name][first : last + 1] = mine
            changed.add(name)
    for name in changed:
        better[name] = with_full_runs(turns.chances(name), better[name])
    return better


def _around(choices: Choices, numbers: Mapping[str, tuple[int, int]]) -> Choices:
    """All other closings within some hours of a crowd, whose starts it may meet."""
    crowd = [
        one for name, (first, last) in numbers.items() for one in choices[name][first : last + 1]
    ]
    begin = min(one.draft.close for one in crowd) - AROUND_S
    end = max(one.draft.open for one in crowd) + AROUND_S
    found = {}
    for name, mine in choices.items():
        low = bisect_left(mine, begin, key=lambda one: one.draft.open)
        high = bisect_right(mine, end, key=lambda one: one.draft.close)
        first, last = numbers.get(name, (high, high))
        found[name] = [*mine[low:first], *mine[last + 1 : high]]
    return found


def _best_way(turns: Turns, choices: Choices, numbers: Mapping[str, tuple[int, int]]) -> Choices:
    """What the units of a crowd do instead; nothing where there is nothing better."""
    here = {name: choices[name][first : last + 1] for name, (first, last) in numbers.items()}
    near = turns.sharing(numbers)
    around = _around({name: choices[name] for name in near}, numbers)

    def spread_cost(way: Choices) -> float:
        joined = {
            name: sorted([*mine, *way.get(name, ())], key=lambda one: one.draft.close)
            for name, mine in around.items()
        }
        return turns.cost(turns.spread(turns.rows(joined)))

    others = turns.cost(turns.rows(around))
    now = spread_cost(here)
    if now - turns.cost(turns.rows(here)) - others < LEAST_GAIN:
        return {}
    reach = turns.reach(here)
    stretches = {
        name: Stretch(turns.chances(name), choices[name], first, last, reach)
        for name, (first, last) in numbers.items()
    }
    best: Choices = {}
    for bound, way in _ways(stretches, others, now):
        if bound >= now - LEAST_GAIN:
            break
        if way == here:
            continue
        then = spread_cost(way)
        if then < now - LEAST_GAIN:
            best, now = way, then
    return best


def _ways(
    stretches: Mapping[str, Stretch], others: float, limit: float
) -> list[tuple[float, Choices]]:
    """Ways for all units of a crowd with what they cost at the least, the cheapest first.

    `others` is what the closings around them cost in any case.
    """
    least = others + sum(stretch.least for stretch in stretches.values())
    ways: list[tuple[float, Choices]] = [(least, {})]
    for name, stretch in stretches.items():
        more = [
            (bound - stretch.least + way.bound, {**known, name: list(way.choices)})
            for bound, known in ways
            for way in stretch.ways(limit - least + stretch.least)
            if bound - stretch.least + way.bound < limit - LEAST_GAIN
        ]
        ways = sorted(more, key=lambda one: one[0])[:MOST_WAYS]
    return ways


def _crowds(turns: Turns, choices: Choices, spread: Rows) -> list[list[Item]]:
    """Closings whose starts are in each other's way, where any of them had to move."""
    wanted = turns.numbered(choices)
    unit_of = {shade: unit for unit in choices for shade in turns.units[unit].shades}
    first: dict[Item, Item] = {}  # of those known to be in one crowd
    moved: set[Item] = set()

    def leader(item: Item) -> Item:
        while first.setdefault(item, item) != item:
            item = first[item]
        return item

    for supply in turns.site.supplies:
        reaches: list[tuple[int, int, Item]] = []
        for shade in supply.shades:
            for number, row in wanted[shade][0].items():
                item = Item(unit_of[shade], number)
                spans = _reaches(supply, turns.shades[shade], row, spread[shade])
                reaches += [(begin, end, item) for begin, end, _ in spans]
                if any(late for _, _, late in spans):
                    moved.add(item)
        reaches.sort()
        until, last = 0, None
        for begin, end, item in reaches:
            one = leader(item)
            if last is not None and begin < until:
                first[one] = leader(last)
            if last is None or end > until:
                until, last = end, item
    _fill(first, leader)
    crowds: dict[Item, list[Item]] = {}
    for item in first:
        crowds.setdefault(leader(item), []).append(item)
    return [sorted(crowd) for crowd in crowds.values() if not moved.isdisjoint(crowd)]


def _fill(first: dict[Item, Item], leader: Callable[[Item], Item]) -> None:
    """What lies between two closings of a unit in one crowd belongs to it too."""
    for _ in range(len(first)):
        places: dict[tuple[str, Item], list[int]] = {}
        for item in first:
            places.setdefault((item.unit, leader(item)), []).append(item.number)
        before = {item: leader(item) for item in first}
        for (unit, crowd), numbers in places.items():
            for number in range(min(numbers), max(numbers)):
                first[leader(Item(unit, number))] = leader(crowd)
        if all(leader(item) == one for item, one in before.items()):
            return


def _reaches(
    supply: Supply, shade: Shade, row: Closing, spread: Sequence[Closing]
) -> list[tuple[int, int, bool]]:
    """From when to when each of a closing's two starts is in the way of others, and if it moved."""
    after = run_seconds(shade) + math.ceil(supply.gap)
    # Openings only ever go later; so may a closing that waits for the end of quiet hours.
    shared = spread[bisect_left(spread, row.open, key=lambda one: one.open)]
    return [
        (
            min(shared.close, row.close),
            max(shared.close, row.close) + after,
            shared.close != row.close,
        ),
        (row.open, shared.open + after, shared.open != row.open),
    ]
