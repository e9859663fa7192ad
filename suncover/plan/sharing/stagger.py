"""Starts of motors that share a supply, moved as little as can be.

    Starts (when they are wanted) ──> clusters in each other's way ──> least_shift ──> instants

A closing only ever starts sooner, an opening later. No more motors run at once than the supply can
take, two starts are a gap apart, no start lies in quiet hours or moves a shade that has to stay up,
and a shade has opened before it closes again. Of all ways to do that, the one is sought that moves
the starts by the fewest seconds in all.

It is found by branch and bound. Leave out what starts ask of each other, and each is where it is
wanted. Then take two starts that are too near, motors that are too many at once, or a start in
quiet hours, and try each way out: this one before that one, or that one before this one; before
the quiet hours or after them. Each way is one more inequality `t_j - t_i >= a`, and the least shift
under a set of such inequalities is known exactly (`_Node`). It never falls as inequalities are
added, so the first case without trouble, cheapest cases first, is the least of all.

Clusters keep that small: starts that are in nobody's way are no part of it. If the best of each
cluster by itself leaves no two clusters in each other's way, it is the best of all; where it does
not, the two become one cluster and are solved anew.
"""

from __future__ import annotations

import heapq
from collections.abc import Callable, Hashable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import count, pairwise
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from suncover.plan.closings.rules import Blocked
from suncover.plan.sharing.assignment import assigned

MOST_WORK = 50_000
"""Cases looked into for one cluster, times the square of its starts, before it is left to a guess.

Clusters of up to eight starts of any kinds mostly come out before; closings alone or openings alone
that run equally long do at any size.
"""
MOST_STARTS = 40
"""Starts of a cluster that is looked into at all."""

_NEVER = -(10**15)  # no inequality: less than any that is there


class Start(NamedTuple):
    """A start of a motor: when it is wanted (unix seconds), and how long the motor then runs.

    `back` is true for a closing, which may start sooner but not later; an opening may start later
    but not sooner, and neither goes past its `limit` where it has one. Starts of the same `kind`
    are alike but for the time and may change places.
    """

    wanted: int
    seconds: int
    back: bool
    kind: Hashable
    blocked: Blocked = Blocked((), ())
    limit: int | None = None


def is_past(limit: int | None, at: int, *, back: bool) -> bool:
    """Whether a start must not be at that time for its limit, whatever else there is room for."""
    if limit is None:
        return False
    return at < limit if back else at > limit


Pair = tuple[int, int]
"""Two starts by number: the first has ended when the second begins."""


@dataclass(frozen=True)
class Limits:
    """What a supply can take: motors at once, and seconds from one start to the next."""

    at_once: int
    gap: int


class _Arc(NamedTuple):
    """`t[second] - t[first] >= apart`; the number after the last start stands for time 0."""

    first: int
    second: int
    apart: int


@dataclass(frozen=True)
class _Node:
    """Some starts with inequalities between them.

    `apart[i, j]` is the most that they ask `t_j - t_i` to be, over any chain of them. By itself
    each closing is then best at `-apart[i, n]` and each opening at `apart[n, i]`. Where these two
    quarrel, the least shift is a linear program whose dual is an assignment of closings to openings
    (a flow of one unit from each closing to each opening, all other paths by way of time 0): the
    most that pairs can quarrel, each start in one pair.
    """

    starts: Sequence[Start]
    apart: NDArray[np.int64]

    def with_arc(self, arc: _Arc) -> _Node | None:
        """The same with one more inequality, None if that cannot be."""
        first, second, least = arc
        if least + self.apart[second, first] > 0:
            return None
        into, out = self.apart[:, first], self.apart[second]
        chained = np.where(
            (into[:, None] > _NEVER) & (out[None, :] > _NEVER), into[:, None] + least + out, _NEVER
        )
        return _Node(self.starts, np.maximum(self.apart, chained))

    def solved(self) -> tuple[int, list[int]]:
        """The least shift in all, and where the starts are then."""
        total, pairs = self._quarrels()
        apart = self.apart
        last = len(self.starts)
        if not pairs:
            places = [
                int(-apart[i, last] if start.back else apart[last, i])
                for i, start in enumerate(self.starts)
            ]
            return total, places
        paired = {i for pair in pairs for i in pair}
        tight = [_Arc(o, c, int(-apart[c, o])) for c, o in pairs]
        for i, start in enumerate(self.starts):
            if i not in paired and start.back:
                tight.append(_Arc(last, i, int(-apart[i, last])))
            elif i not in paired:
                tight.append(_Arc(i, last, int(-apart[last, i])))
        node: _Node = self
        for arc in tight:
            further = node.with_arc(arc)
            assert further is not None  # what the assignment makes tight can be so together
            node = further
        return total, [int(node.apart[last, i]) for i in range(last)]

    def _quarrels(self) -> tuple[int, list[Pair]]:
        """The least shift in all, and the pairs of a closing and an opening that quarrel for it."""
        apart, last = self.apart, len(self.starts)
        total = 0
        for i, start in enumerate(self.starts):
            moved = apart[i, last] + start.wanted if start.back else apart[last, i] - start.wanted
            total += int(moved)
        closings = [i for i, start in enumerate(self.starts) if start.back]
        openings = [i for i, start in enumerate(self.starts) if not start.back]
        rows = []
        for c in closings:
            quarrel = {
                o: int(apart[c, o] - apart[c, last] - apart[last, o])
                for o in openings
                if apart[c, o] > apart[c, last] + apart[last, o]
            }
            if quarrel:
                rows.append((c, quarrel))
        gain, pairs = _most(rows)
        return total + gain, pairs


def _most(rows: Sequence[tuple[int, dict[int, int]]]) -> tuple[int, list[Pair]]:
    """The most that pairs of a row and one of its columns can be worth, each in one pair."""
    if not rows:
        return 0, []
    columns = sorted({column for _, worth in rows for column in worth})
    # A column of no worth for each row, to be left alone in.
    cost = [[-worth.get(column, 0) for column in columns] + [0] * len(rows) for _, worth in rows]
    pairs, total = [], 0
    for (row, worth), at in zip(rows, assigned(cost), strict=True):
        if at < len(columns) and columns[at] in worth:
            pairs.append((row, columns[at]))
            total += worth[columns[at]]
    return total, pairs


class Found(NamedTuple):
    """Instants for some starts, and whether it is proven that none move them less."""

    places: list[int]
    proven: bool


@lru_cache(maxsize=20_000)  # plans are weighed that differ by a closing: most clusters come again
def _least_shift(
    starts: tuple[Start, ...], limits: Limits, order: tuple[Pair, ...]
) -> Found | None:
    return least_shift(starts, limits, order)


def least_shift(starts: Sequence[Start], limits: Limits, order: Sequence[Pair]) -> Found | None:
    """When to start so that the starts move by the fewest seconds in all.

    None where there is no way. After so many cases (`MOST_WORK`) it is a guess: the first way that
    comes of the best case so far. None as well where that leads nowhere.
    """
    root = _root(starts, limits, order)
    if root is None:
        return None
    ticket = count()
    heap = [(*root.solved(), next(ticket), root)]
    for _ in range(max(MOST_WORK // len(starts) ** 2, 1)):
        if not heap:
            return None
        _, places, _, node = heapq.heappop(heap)
        ways = _ways_out(starts, places, limits)
        if ways is None:
            return Found(places, proven=True)
        for further in _further(node, ways):
            heapq.heappush(heap, (*further.solved(), next(ticket), further))
    while heap:
        _, places, _, node = heapq.heappop(heap)
        ways = _ways_out(starts, places, limits)
        if ways is None:
            return Found(places, proven=False)
        heap = [(*further.solved(), next(ticket), further) for further in _further(node, ways)]
        heapq.heapify(heap)
    return None


def _further(node: _Node, ways: Sequence[_Arc]) -> Iterator[_Node]:
    """The cases that a case falls into."""
    for arc in ways:
        further = node.with_arc(arc)
        if further is not None:
            yield further


def _root(starts: Sequence[Start], limits: Limits, order: Sequence[Pair]) -> _Node | None:
    """The starts with what holds in any case.

    Of starts of a kind the one that is wanted first may as well come first: change places with
    another, and each is still in time and the sum the same. Then it is known which of them
    have to be over when.
    """
    last = len(starts)
    apart = np.full((last + 1, last + 1), _NEVER, dtype=np.int64)
    np.fill_diagonal(apart, 0)
    node: _Node | None = _Node(starts, apart)
    arcs = [_Arc(i, j, starts[i].seconds) for i, j in order]
    for i, start in enumerate(starts):
        quiet = start.blocked.around(start.wanted)
        if start.back:
            arcs.append(_Arc(i, last, -(quiet.start if quiet else start.wanted)))
        else:
            arcs.append(_Arc(last, i, quiet.end if quiet else start.wanted))
        if start.limit is not None:
            limit = start.limit
            arcs.append(_Arc(last, i, limit) if start.back else _Arc(i, last, -limit))
    bound = {i for pair in order for i in pair}  # not free to change places
    kinds: dict[Hashable, list[int]] = {}
    for i in sorted(range(last), key=lambda i: starts[i].wanted):
        if i not in bound:
            one = starts[i]
            kinds.setdefault((one.back, one.seconds, one.kind, one.limit), []).append(i)
    for alike in kinds.values():
        arcs += [_Arc(i, j, limits.gap) for i, j in pairwise(alike)]
        for i, j in zip(alike, alike[limits.at_once :], strict=False):
            arcs.append(_Arc(i, j, starts[i].seconds))
    for arc in arcs:
        node = node.with_arc(arc) if node is not None else None
    return node


def _ways_out(starts: Sequence[Start], places: Sequence[int], limits: Limits) -> list[_Arc] | None:
    """The inequalities of which one at least has to hold where these starts cannot be; None if
    they can.
    """
    last = len(starts)
    for i, (start, place) in enumerate(zip(starts, places, strict=True)):
        quiet = start.blocked.around(place)
        if quiet is not None:
            return [_Arc(i, last, -quiet.start), _Arc(last, i, quiet.end)]
    for crowd in _crowds(starts, places, limits):
        if limits.at_once == 1 or abs(places[crowd[0]] - places[crowd[1]]) < limits.gap:
            i, j = crowd[:2]
            alone = limits.at_once == 1
            return [
                _Arc(i, j, max(limits.gap, starts[i].seconds if alone else 0)),
                _Arc(j, i, max(limits.gap, starts[j].seconds if alone else 0)),
            ]
        return [_Arc(i, j, starts[i].seconds) for i in crowd for j in crowd if i != j]
    return None


def _crowds(starts: Sequence[Start], places: Sequence[int], limits: Limits) -> Iterator[list[int]]:
    """Starts that are in each other's way: two that are too near, or one more at once than may be.

    Of each start, with those before it.
    """
    running: list[int] = []
    before: int | None = None
    for i in sorted(range(len(starts)), key=lambda i: places[i]):
        if before is not None and places[i] - places[before] < limits.gap:
            yield [before, i]
        running = [j for j in running if places[j] + starts[j].seconds > places[i]]
        running.append(i)
        if len(running) > limits.at_once:
            yield running[-limits.at_once - 1 :]
        before = i


Rule = Callable[[Sequence[Start]], list[int]]
"""A rule of thumb: instants for some starts that are in nobody's way but each other's."""


def staggered(
    starts: Sequence[Start], limits: Limits, order: Sequence[Pair], rule: Rule
) -> list[int]:
    """When to start each of any number of starts, with the fewest seconds moved in all.

    `order` has pairs of which the first must have ended when the second begins, each start the
    first of one pair at most. Where that cannot be, it is not kept (the two have to become one).
    `rule` serves for clusters that are too large.
    """
    follower = dict(order)
    cluster = list(range(len(starts)))
    members = {i: [i] for i in cluster}
    places = [0] * len(starts)
    changed = set(cluster)
    while changed:
        for name in changed:
            mine = members[name]
            for i, place in zip(mine, _placed(starts, mine, limits, follower, rule), strict=True):
                places[i] = place
        changed = set()
        for crowd in _all_crowds(starts, places, limits, order):
            names = sorted({cluster[i] for i in crowd})
            for name in names[1:]:
                for i in members[name]:
                    cluster[i] = names[0]
                members[names[0]] += members.pop(name)
                changed.discard(name)
                changed.add(names[0])
    return places


def _all_crowds(
    starts: Sequence[Start], places: Sequence[int], limits: Limits, order: Sequence[Pair]
) -> Iterator[Sequence[int]]:
    yield from _crowds(starts, places, limits)
    for i, j in order:
        if places[i] + starts[i].seconds > places[j]:
            yield (i, j)


def _placed(
    starts: Sequence[Start],
    mine: Sequence[int],
    limits: Limits,
    follower: Mapping[int, int],
    rule: Rule,
) -> list[int]:
    """Instants for the starts of one cluster."""
    some = tuple(starts[i] for i in mine)
    if len(some) > MOST_STARTS:
        return rule(some)
    number = {i: n for n, i in enumerate(mine)}
    bound = tuple((number[i], number[j]) for i in mine if (j := follower.get(i)) in number)
    found = _least_shift(some, limits, bound)
    if found is None and bound:
        found = _least_shift(some, limits, ())
    if found is not None and (found.proven or bound):
        return found.places
    thumb = rule(some)
    return thumb if found is None else min(found.places, thumb, key=lambda at: _moved(some, at))


def _moved(starts: Sequence[Start], places: Sequence[int]) -> int:
    """Seconds that the starts are moved in all."""
    return sum(abs(start.wanted - place) for start, place in zip(starts, places, strict=True))
