"""Starts on one supply are moved by the fewest seconds there can be: against a search of all."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from random import Random

import pytest

from suncover.plan.closings.rules import Blocked
from suncover.plan.sharing.stagger import Limits, Pair, Start, least_shift, staggered
from suncover.plan.sharing.supply import rule_of_thumb


def can_be(
    starts: Sequence[Start], places: Sequence[int], limits: Limits, order: Sequence[Pair]
) -> bool:
    """Whether a supply can run these starts, second by second."""
    runs = [(at, at + start.seconds) for start, at in zip(starts, places, strict=True)]
    for (start, at), (begin, _) in zip(zip(starts, places, strict=True), runs, strict=True):
        if (at > start.wanted) if start.back else (at < start.wanted):
            return False
        if start.blocked.around(at) is not None:
            return False
        limit = at if start.limit is None else start.limit
        if (at < limit) if start.back else (at > limit):
            return False
        if sum(low <= begin < high for low, high in runs) > limits.at_once:
            return False
    ordered = sorted(places)
    if any(b - a < limits.gap for a, b in pairwise(ordered)):
        return False
    return all(places[i] + starts[i].seconds <= places[j] for i, j in order)


def shifts(total: int, count: int) -> Iterator[tuple[int, ...]]:
    """Every way to move so many starts by so many seconds in all."""
    if count == 1:
        yield (total,)
        return
    for first in range(total + 1):
        for rest in shifts(total - first, count - 1):
            yield (first, *rest)


def least_of_all(
    starts: Sequence[Start], limits: Limits, order: Sequence[Pair], most: int
) -> int | None:
    """The fewest seconds that the starts have to move in all, up to `most`."""
    for total in range(most + 1):
        for moves in shifts(total, len(starts)):
            places = [s.wanted + (-m if s.back else m) for s, m in zip(starts, moves, strict=True)]
            if can_be(starts, places, limits, order):
                return total
    return None


def moved(starts: Sequence[Start], places: Sequence[int]) -> int:
    return sum(abs(start.wanted - at) for start, at in zip(starts, places, strict=True))


NIGHTS = [Blocked((), ()), Blocked((), ()), Blocked((4,), (9,)), Blocked((-3, 11), (0, 14))]


def random_case(random: Random, most: int) -> tuple[list[Start], Limits, list[Pair]]:
    """Few seconds and short runs, so that a search of all is quick; mostly in each other's way."""
    spread, night = random.choice([0, 3, 8]), random.choice(NIGHTS)
    lengths = random.choice([[2], [1, 3], [1, 2, 3, 4]])
    starts = []
    for _ in range(random.randint(2, most)):
        blocked = random.choice([night, NIGHTS[0]])
        back = random.random() < 0.5
        wanted = random.randint(0, spread) + random.choice([0, 0, 2])
        room = random.choice([None, None, None, 0, 1, 3])
        limit = None if room is None else wanted - room if back else wanted + room
        starts.append(Start(wanted, random.choice(lengths), back, blocked, blocked, limit))
    order = [
        (i, j)
        for i, one in enumerate(starts)
        for j, other in enumerate(starts)
        if not one.back and other.back and one.wanted + one.seconds <= other.wanted
    ]
    order = [random.choice(order)] if order and random.random() < 0.5 else []
    return starts, Limits(random.randint(1, 3), random.choice([0, 0, 1, 2, 3])), order


def hold_to_all(starts: Sequence[Start], limits: Limits, order: Sequence[Pair], most: int) -> None:
    least = least_of_all(starts, limits, order, most)
    found = least_shift(starts, limits, order)
    case = (starts, limits, order, found, least)
    if found is not None:
        assert found.proven
        assert can_be(starts, found.places, limits, order), case
    if least is not None:
        assert found is not None, case
        assert moved(starts, found.places) == least, case
    elif found is not None:
        assert moved(starts, found.places) > most, case


@pytest.mark.parametrize("seed", range(4))
def test_no_way_moves_starts_less(seed: int) -> None:
    """Four hundred random cases of up to four starts, each against every way there is."""
    random = Random(seed)
    for _ in range(100):
        hold_to_all(*random_case(random, 4), most=14)


def starts_of(random: Random, number: int, lengths: Sequence[int]) -> list[Start]:
    """Closings and openings that want to start within five minutes, to the second."""
    return [
        Start(random.randint(0, 300), random.choice(lengths), random.random() < 0.5, None)
        for _ in range(number)
    ]


@pytest.mark.parametrize(
    ("number", "lengths", "at_once"),
    [(8, [20, 35, 60, 75], 1), (6, [20, 35, 60, 75], 2), (16, [60], 1)],
    ids=["eight", "six, two at once", "sixteen of a kind"],
)
def test_clusters_of_a_home_are_solved_and_better_than_by_rule_of_thumb(
    number: int, lengths: list[int], at_once: int
) -> None:
    random = Random(number)
    limits = Limits(at_once, 10)
    for _ in range(10):
        starts = starts_of(random, number, lengths)
        found = least_shift(starts, limits, [])
        assert found is not None
        assert found.proven
        assert can_be(starts, found.places, limits, [])
        assert moved(starts, found.places) <= moved(starts, rule_of_thumb(starts, limits))


def test_more_motors_than_can_be_solved_still_get_a_good_guess() -> None:
    random = Random(3)
    limits = Limits(2, 10)
    starts = starts_of(random, 24, [20, 35, 60, 75])
    found = least_shift(starts, limits, [])
    assert found is not None
    assert not found.proven
    assert can_be(starts, found.places, limits, [])


def test_clusters_apart_are_solved_apart_and_together_where_they_meet() -> None:
    """Two hundred random starts on three days are moved less than by rule of thumb."""
    random = Random(4)
    limits = Limits(1, 0)
    starts = [
        Start(day * 86400 + random.randint(0, 40000), 60, random.random() < 0.5, None)
        for day in range(3)
        for _ in range(67)
    ]
    places = staggered(starts, limits, [], lambda some: rule_of_thumb(some, limits))
    assert can_be(starts, places, limits, [])
    assert 0 < moved(starts, places) <= moved(starts, rule_of_thumb(starts, limits))
    # One of two in each other's way has to move by 30 s, and a third one has nothing to do with it.
    some = [Start(100, 60, True, None), Start(130, 60, False, None), Start(400, 60, True, None)]
    places = staggered(some, limits, [], lambda some: rule_of_thumb(some, limits))
    assert (moved(some, places), places[2]) == (30, 400)


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(100, 110))
def test_no_way_moves_starts_less_in_thousands_of_cases(seed: int) -> None:
    random = Random(seed)
    for _ in range(500):
        hold_to_all(*random_case(random, 5), most=16)
