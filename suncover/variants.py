"""Plans other than the daily one to the second: round times, steady times, timers that know less.

shade_sun ──> plans_for ──> round_closings ──┬──> (steady_closings) ──> supplies once more ──> rows
                                             └──> make_timer_plan ──> supplies once more ──> rows
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date

from suncover.exceptions_by_date import up_spells
from suncover.pipeline import ShadeSun, plan_units, plans_for
from suncover.plan import ShadePlan
from suncover.plan_changed import moved, with_closings
from suncover.rounding import kept_off, round_closings
from suncover.site import Shade, Site
from suncover.spell import union
from suncover.steady import steady_closings
from suncover.supply import asked_too_much
from suncover.timer_supply import spread_settings
from suncover.timers import Dial, Every, TimerPlan, make_timer_plan, plan_of_settings, standing_dial

MOST_STEP_MIN = 15
"""Starts that share a supply go on to the next round time where times are round to this at most."""
LONG_ROUNDING_STEP_MIN = 5
"""The steps by which they go on where times are rounder, so that shades do not wait for hours."""


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
    rounded = list(plans)
    step = 1
    if variant.round_minutes is not None:
        minutes = variant.round_minutes
        step = 60 * (minutes if minutes <= MOST_STEP_MIN else LONG_ROUNDING_STEP_MIN)
        for number, (sun, daily) in enumerate(zip(suns, plans, strict=True)):
            up = up_spells(sun.exceptions)
            rows = round_closings(sun.shade, daily.closings, dial, minutes, sun=sun.counted, up=up)
            rounded[number] = with_closings(daily, rows, sun.counted)
    if variant.steady_minutes is not None:
        drawn = _steady(site, suns, rounded, 60 * variant.steady_minutes)
        return VariedPlans(tuple(plans_for(site, suns, drawn, step=step)), (), dial)
    if variant.every is None:
        if step > 1:
            rounded = plans_for(site, suns, rounded, step=step)
        return VariedPlans(tuple(rounded), (), dial)
    timers = _timers(site, suns, rounded, (dial, variant.every, step), dates)
    varied: list[ShadePlan] = []
    for sun, daily, timer in zip(suns, plans, timers, strict=True):
        remarks = (*_busy(site, sun.shade, timers), *daily.remarks, *timer.remarks)
        varied.append(replace(with_closings(daily, timer.rows, sun.counted), remarks=remarks))
    # What rounding adds belongs to the timer's price too.
    priced = [replace(t, daily=daily.closings) for t, daily in zip(timers, plans, strict=True)]
    return VariedPlans(tuple(varied), tuple(priced), dial)


def _timers(
    site: Site,
    suns: Sequence[ShadeSun],
    plans: Sequence[ShadePlan],
    kind: tuple[Dial, Every, int],
    dates: tuple[date, date],
) -> list[TimerPlan]:
    """One setting per period for each shade, spread over supplies in steps of so many seconds."""
    dial, every, step = kind
    timers = {}
    for sun, plan in zip(suns, plans, strict=True):
        season = site.need_of(sun.shade).plan_season
        timers[sun.shade.name] = make_timer_plan(
            sun.shade,
            plan.closings,
            dial,
            every,
            dates=dates,
            season=season,
            sun=sun.counted,
            exceptions=union(one.spell for one in sun.exceptions),
        )
    by_name = {sun.shade.name: sun for sun in suns}
    shades = {name: sun.shade for name, sun in by_name.items()}
    for supply in site.supplies:
        settings = {name: timers[name].settings for name in supply.shades}
        spread = spread_settings(supply, shades, settings, dial, step=step)
        for name, mine in spread.items():
            if mine != list(settings[name]):
                counted, daily = by_name[name].counted, timers[name].daily
                remade = plan_of_settings(shades[name], mine, daily, dial, every, sun=counted)
                kept = tuple(r for r in timers[name].remarks if r not in remade.remarks)
                timers[name] = replace(remade, remarks=(*kept, *remade.remarks))
    return [timers[sun.shade.name] for sun in suns]


def _busy(site: Site, shade: Shade, timers: Sequence[TimerPlan]) -> Iterator[str]:
    """Where settings ask a supply for too much all the same, told with the first of its shades."""
    shades = {one.name: one for one in site.all_shades()}
    rows = [row for timer in timers for row in timer.rows]
    for supply in site.supplies:
        if shade.name in supply.shades[:1]:
            told = asked_too_much(supply, shades, rows, site.place.zone)
            if told is not None:
                yield f"{told}: one timer does not know what the others do"


def _steady(
    site: Site, suns: Sequence[ShadeSun], plans: Sequence[ShadePlan], tolerance: int
) -> list[ShadePlan]:
    """The plans with days drawn together, for all shades of a group that moves together alike."""
    zone, by_name = site.place.zone, {plan.shade: plan for plan in plans}
    counted = {sun.shade.name: sun.counted for sun in suns}
    up = {sun.shade.name: up_spells(sun.exceptions) for sun in suns}
    for _, members in plan_units(site, suns):
        shades = [member.shade for member in members]
        closings = [by_name[shade.name].closings for shade in shades]
        drawn = steady_closings(shades, closings, zone, tolerance)
        for shade, alike in zip(shades, drawn, strict=True):
            name, rows = shade.name, alike
            if up[name]:  # such a day keeps its own times
                rows = tuple(
                    moved(row, *kept_off(up[name], own, (row.close, row.open), shade), zone)
                    for own, row in zip(by_name[name].closings, alike, strict=True)
                )
            by_name[name] = with_closings(by_name[name], rows, counted[name])
    return [by_name[plan.shade] for plan in plans]
