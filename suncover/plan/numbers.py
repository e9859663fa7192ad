"""By which date and number a closing is known: the same whatever the dates of its plan.

A plan that begins later lacks the closings before its first ones on the same date, and what began
the evening before may begin later in it. So the first closings are found again in a plan of the
same kind that begins some days sooner, and have their date and number there.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from datetime import date, timedelta

from suncover.base.clock import FIRST_DATE, LAST_DATE
from suncover.plan.closings.shade_plan import Closing, Place, ShadePlan

DAYS_BEFORE = 3

PlanFor = Callable[[date, date], Iterable[ShadePlan]]
"""Plans of the same kind for other dates, both included."""


def numbered(plans: Sequence[ShadePlan], first: date, plan_for: PlanFor) -> list[ShadePlan]:
    """Plans whose sun begins on the date `first`, with each closing's `place`."""
    if not any(row.date <= first for plan in plans for row in plan.closings):
        return [replace(plan, closings=_placed(plan.closings, first, ())) for plan in plans]
    start = max(first - timedelta(days=DAYS_BEFORE), FIRST_DATE)
    end = min(first + timedelta(days=1), LAST_DATE)
    earlier = {plan.shade: plan.closings for plan in plan_for(start, end)}
    return [
        replace(plan, closings=_placed(plan.closings, first, earlier.get(plan.shade, ())))
        for plan in plans
    ]


def places_of(rows: Sequence[Closing]) -> list[Place]:
    """The date of each closing of a shade, and its number on that date."""
    count: Counter[date] = Counter()
    places = []
    for row in rows:
        count[row.date] += 1
        places.append(Place(row.date, count[row.date]))
    return places


def _placed(
    rows: Sequence[Closing], first: date, earlier: Sequence[Closing]
) -> tuple[Closing, ...]:
    placed_before = list(zip(earlier, places_of(earlier), strict=True))
    used: set[Place] = set()
    result = []
    for row, own_place in zip(rows, places_of(rows), strict=True):
        place = own_place
        if row.date <= first:
            matches = (p for r, p in placed_before if r.close < row.open and row.close < r.open)
            before = sum(r.date == row.date and r.open <= row.close for r, _ in placed_before)
            place = next(matches, Place(row.date, before + 1))
        number = place.number
        while place._replace(number=number) in used:
            number += 1
        place = place._replace(number=number)
        used.add(place)
        result.append(replace(row, place=place))
    return tuple(result)
