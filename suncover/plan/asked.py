"""The plans that a household asks for: by the rules or the best ones, and with what times.

suns ──> plans by the rules, or the best ──> vary ──> AskedPlans
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import TYPE_CHECKING

from suncover.base.clock import dates_bounds
from suncover.plan.closings.shade_plan import ShadePlan
from suncover.plan.numbers import numbered
from suncover.plan.season import light_of, plans_for, shade_sun
from suncover.plan.timers.variants import Variant, VariedPlans, vary
from suncover.plan.unit import ShadeSun
from suncover.site.model import Site

if TYPE_CHECKING:
    from suncover.plan.best.plans import BestPlan


@dataclass(frozen=True)
class AskedPlans:
    """The plans as asked, what they were made of day by day, and the best ones with their prices
    (None where the rules made them).
    """

    varied: VariedPlans
    daily: tuple[ShadePlan, ...]
    best: tuple[BestPlan, ...] | None


def asked_plans(
    site: Site,
    suns: Sequence[ShadeSun],
    dates: tuple[date, date],
    variant: Variant,
    *,
    best: bool = False,
    places: bool = True,
) -> AskedPlans:
    """The plans of all shades for their sun between two dates, both included.

    With `places` each closing has its place, by which a calendar knows it; that takes the sun of
    some days before.
    """
    result = _without_places(site, suns, dates, variant, best=best)
    if not places:
        return result

    def plan_for(first: date, last: date) -> Sequence[ShadePlan]:
        suns_near = shade_sun(site, first, last)
        return _without_places(site, suns_near, (first, last), variant, best=best).varied.plans

    plans = numbered(result.varied.plans, dates[0], plan_for)
    return replace(result, varied=replace(result.varied, plans=tuple(plans)))


def _without_places(
    site: Site,
    suns: Sequence[ShadeSun],
    dates: tuple[date, date],
    variant: Variant,
    *,
    best: bool,
) -> AskedPlans:
    chosen = None
    if best:
        from suncover.plan.best.plans import best_plans  # noqa: PLC0415 - most keep to the rules

        light = light_of(site, dates_bounds(*dates, site.place.zone))
        chosen = tuple(best_plans(site, suns, light))
        daily = [choice.plan for choice in chosen]
    else:
        daily = plans_for(site, suns)
    return AskedPlans(vary(site, suns, daily, dates, variant), tuple(daily), chosen)
