"""Plans other than the daily one to the second: round times, and timers that know less.

shade_sun ──> plan_for ──> round_closings ──> make_timer_plan ──> rows
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

from suncover.pipeline import ShadeSun
from suncover.plan import ShadePlan
from suncover.plan_changed import with_closings
from suncover.rounding import round_closings
from suncover.site import Site
from suncover.timers import Dial, Every, TimerPlan, make_timer_plan, standing_dial


@dataclass(frozen=True)
class Variant:
    """What is asked of the plan: round times of so many minutes, one setting per period.

    `ignores_dst` is for a timer whose clock stays as it is on the plan's first day.
    """

    round_minutes: int | None = None
    every: Every | None = None
    ignores_dst: bool = False


@dataclass(frozen=True)
class VariedPlans:
    """The plans of all shades as asked; `timers` is empty where they are made day by day."""

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
    """The daily plans of a site's shades as a variant asks; `suns` and `plans` go together."""
    zone = site.place.zone
    dial = standing_dial(zone, dates[0]) if variant.ignores_dst else Dial(zone)
    varied: list[ShadePlan] = []
    timers: list[TimerPlan] = []
    for sun, daily in zip(suns, plans, strict=True):
        shade, closings = sun.shade, daily.closings
        if variant.round_minutes is not None:
            minutes = variant.round_minutes
            closings = round_closings(shade, closings, dial, minutes, sun=sun.counted)
        if variant.every is None:
            varied.append(with_closings(daily, closings, sun.counted))
            continue
        season = site.need_of(shade).plan_season
        timer = make_timer_plan(
            shade, closings, dial, variant.every, dates=dates, season=season, sun=sun.counted
        )
        # What rounding adds belongs to the timer's price too.
        timers.append(replace(timer, daily=daily.closings))
        remarks = (*daily.remarks, *timer.remarks)
        varied.append(replace(with_closings(daily, timer.rows, sun.counted), remarks=remarks))
    return VariedPlans(tuple(varied), tuple(timers), dial)
