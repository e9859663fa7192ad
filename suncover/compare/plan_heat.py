"""The heat of any plan of the shades: the best, a timer's, one changed by hand, last year's."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from suncover.base.shown import short_repr
from suncover.compare.given import closings_of
from suncover.compare.money import Worth, day_kinds, spared_by_day, worth
from suncover.compare.year import Comparison
from suncover.plan.closings.shade_plan import Closing, ShadePlan

Floats = NDArray[np.float64]

THE_PLAN = "the plan"


@dataclass(frozen=True)
class PlanHeat:
    """What a plan does for the heat on its own days, in a year of weather.

    `days` counts them, from its first closing's date to its last's. `plan` and `rules` are worth
    beside shades that stay up on those days: of this plan, and of that by the site's rules. The sun
    let in, in kWh: with the shades `up_kwh`, by the plan, by the rules.
    """

    __repr__ = short_repr

    days: int
    plan: Worth
    rules: Worth
    up_kwh: float
    plan_kwh: float
    rules_kwh: float


def plan_heat(
    comparison: Comparison, plan: Iterable[ShadePlan] | Iterable[Closing]
) -> PlanHeat | None:
    """The heat of any plan, beside that of the site's rules; None for a plan without closings.

    Its closings are taken at the same dates and clock times of the weather's year.

    Raises
    ------
    RequestError
        When a closing is of no shade of the site.
    """
    rows = closings_of(plan)
    if not rows:
        return None
    extended = comparison.with_plan(THE_PLAN, rows)
    inside = _days_of(comparison, rows)
    kinds = day_kinds(comparison.site, comparison.days)
    names = [window.name for window in comparison.site.windows]

    def worth_of_days(option: str) -> Worth:
        cases = np.sum(
            [spared_by_day(extended, option, name, "overhang") for name in names], axis=0
        )
        cases = np.where(inside, cases, 0.0)
        money = comparison.site.money
        return worth(cases[0], kinds, money, cases=tuple(cases[1:]))

    def let_in(option: str) -> float:
        return float(extended.days.sums(extended.house(option))[inside].sum() / 1000.0)

    return PlanHeat(
        int(inside.sum()),
        worth_of_days(THE_PLAN),
        worth_of_days("both"),
        let_in("overhang"),
        let_in(THE_PLAN),
        let_in("both"),
    )


def _days_of(comparison: Comparison, rows: list[Closing]) -> NDArray[np.bool_]:
    """Which of the weather's days the plan is for, by month and day."""
    first, last = min(row.date for row in rows), max(row.date for row in rows)
    if (last - first).days >= 365:
        return np.ones(len(comparison.days.dates), dtype=bool)
    begin, end = (first.month, first.day), (last.month, last.day)
    days = [(day.month, day.day) for day in comparison.days.dates]
    if begin <= end:
        return np.array([begin <= day <= end for day in days])
    return np.array([day >= begin or day <= end for day in days])
