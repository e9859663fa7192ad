"""The cheapest assignment: against every one there is."""

from __future__ import annotations

from itertools import permutations
from random import Random

from suncover.plan.sharing.assignment import assigned


def test_no_assignment_of_all_costs_less() -> None:
    random = Random(1)
    for _ in range(500):
        rows = random.randint(1, 4)
        wide = random.randint(rows, 6)
        reach = random.choice([1, 3, 1000])
        cost = [[random.randint(-reach, reach) for _ in range(wide)] for _ in range(rows)]
        found = assigned(cost)
        assert len(set(found)) == rows
        least = min(
            sum(row[column] for row, column in zip(cost, some, strict=True))
            for some in permutations(range(wide), rows)
        )
        assert sum(row[column] for row, column in zip(cost, found, strict=True)) == least


def test_nothing_is_assigned_to_nothing() -> None:
    assert assigned([]) == []
