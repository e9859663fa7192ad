"""Plans other than the daily one to the second: round times, steady times, timers that know less.

    daily plans ──> rounded ──┬──> days drawn together (`steady`) ──> the supply once more
                              └──> one setting a period (`settings`) ──> spread over the supply

All of it only ever grows the closings of the daily plan: each starts no later and ends no sooner.
Where something it must not do would come of that, the daily times stay: they are known to be
possible.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import TYPE_CHECKING, get_args

from suncover.base import clock
from suncover.base.errors import RequestError
from suncover.base.shown import short_repr
from suncover.plan.closings.shade_plan import ShadePlan
from suncover.plan.timers.dial import Dial, Every, standing_dial
from suncover.plan.unit import ShadeSun, units_of
from suncover.site.model import Site

if TYPE_CHECKING:
    from suncover.plan.timers.settings import TimerPlan


@dataclass(frozen=True)
class Variant:
    """What is asked of the plan: round times of so many minutes, one setting per period.

    `ignores_dst` is for a timer whose clock stays as it is on the plan's first day. With
    `steady_minutes`, days whose times are no farther apart are drawn together; that does not go
    with one setting per period.
    """

    round_minutes: int | None = None
    every: Every | None = None
    ignores_dst: bool = False
    steady_minutes: int | None = None

    def __post_init__(self) -> None:
        """Refuses periods that there are not, and minutes that cannot be.

        Raises
        ------
        RequestError
            It says what would be right.
        """
        if self.every is not None and self.every not in get_args(Every):
            raise RequestError(f"every {self.every!r}: give one of {', '.join(get_args(Every))}")
        if self.round_minutes is not None and not self.round_minutes >= 1:
            raise RequestError(f"times cannot be round to {self.round_minutes} min; give 1 or more")
        if self.steady_minutes is not None and not self.steady_minutes >= 0:
            raise RequestError(f"{self.steady_minutes} min are no distance; give 0 or more")

    @property
    def varies(self) -> bool:
        """Whether any of it makes another plan than the one day by day, to the second."""
        return (self.round_minutes, self.every, self.steady_minutes) != (None, None, None)


@dataclass(frozen=True)
class VariedPlans:
    """The plans of all shades as asked; `timers` is empty where they are made day by day."""

    __repr__ = short_repr

    plans: tuple[ShadePlan, ...]
    timers: tuple[TimerPlan, ...]
    dial: Dial


def vary(
    site: Site,
    suns: Sequence[ShadeSun],
    plans: Sequence[ShadePlan],
    dates: tuple[date, date],
    variant: Variant,
) -> VariedPlans:
    """The daily plans of a site's shades as a variant asks; `suns` and `plans` go together.

    Raises
    ------
    RequestError
        When the dates are none or run backwards.
    """
    zone = site.place.zone
    clock.dates_bounds(*dates, zone)
    dial = standing_dial(zone, dates[0]) if variant.ignores_dst else Dial(zone)
    if not variant.varies:
        return VariedPlans(tuple(plans), (), dial)

    from suncover.plan.timers.varied import VariedHome  # noqa: PLC0415 - most ask for no more

    home = VariedHome(site, units_of(site, suns), dial, variant.round_minutes)
    varied = list(plans)
    if variant.round_minutes is not None:
        varied = home.shared(home.rounded(varied, variant.round_minutes), varied)
    if variant.steady_minutes is not None:
        varied = home.shared(home.steady(varied, 60 * variant.steady_minutes), varied)
    if variant.every is None:
        return VariedPlans(tuple(varied), (), dial)
    timers = home.timers(varied, variant.every, dates)
    with_timers = [
        home.with_timer(daily, timer, timers) for daily, timer in zip(varied, timers, strict=True)
    ]
    # What rounding adds belongs to the timer's price too.
    priced = [replace(t, daily=daily.closings) for t, daily in zip(timers, plans, strict=True)]
    return VariedPlans(tuple(with_timers), tuple(priced), dial)
