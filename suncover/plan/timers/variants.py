"""Plans other than the daily one to the second: round times, steady times, timers that know less.

shade_sun ──> plans_for ──> round_closings ──┬──> (steady_closings) ──> supplies once more ──> rows
                                             └──> make_timer_plan ──> supplies once more ──> rows
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date
from zoneinfo import ZoneInfo

from suncover.base.shown import short_repr
from suncover.base.spell import Spell, union
from suncover.plan.closings.changed import with_closings, with_waits
from suncover.plan.closings.shade_plan import Closing, ShadePlan
from suncover.plan.exceptions import Happening, up_spells
from suncover.plan.season import ShadeSun, needed_by, plan_units, plans_for
from suncover.plan.sharing.groups import Member, joint_up, leader_of, own_ups
from suncover.plan.sharing.own_way import whole_of
from suncover.plan.sharing.supply import asked_too_much
from suncover.plan.timers.days import Pattern
from suncover.plan.timers.rounding import round_closings
from suncover.plan.timers.settings import (
    Dial,
    Every,
    TimerPlan,
    make_timer_plan,
    plan_of_settings,
    standing_dial,
)
from suncover.plan.timers.spread import spread_settings
from suncover.plan.timers.steady import steady_closings
from suncover.site.model import Shade, Site

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
    """The daily plans of a site's shades as a variant asks; `suns` and `plans` go together."""
    zone = site.place.zone
    dial = standing_dial(zone, dates[0]) if variant.ignores_dst else Dial(zone)
    rounded = list(plans)
    step = 1
    if variant.round_minutes is not None:
        minutes = variant.round_minutes
        step = 60 * (minutes if minutes <= MOST_STEP_MIN else LONG_ROUNDING_STEP_MIN)
        rounded = _rounded(site, suns, plans, dial, minutes)
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
        plan = with_closings(daily, timer.rows, sun.counted)
        waits = with_waits(plan, daily.closings, union(needed_by(sun)), sun.wants)
        varied.append(replace(waits, remarks=remarks))
    # What rounding adds belongs to the timer's price too.
    priced = [replace(t, daily=daily.closings) for t, daily in zip(timers, plans, strict=True)]
    return VariedPlans(tuple(varied), tuple(priced), dial)


def _rounded(
    site: Site, suns: Sequence[ShadeSun], plans: Sequence[ShadePlan], dial: Dial, minutes: int
) -> list[ShadePlan]:
    """The plans with round times, for all shades of a group that moves together alike."""
    by_name = {plan.shade: plan for plan in plans}
    for _, members in plan_units(site, suns):
        rules = leader_of([member.shade for member in members])
        kept_off: dict[tuple[int, int], list[Spell]] = {}  # by all shades that close then
        for member in members:
            for row in by_name[member.shade.name].closings:
                kept_off.setdefault((row.close, row.open), []).extend(member.up)
        for member in members:
            daily, sun = by_name[member.shade.name], member.counted
            ups = [union(kept_off[row.close, row.open]) for row in daily.closings]
            rows = round_closings(rules, daily.closings, dial, minutes, sun=sun, ups=ups)
            by_name[member.shade.name] = with_closings(daily, rows, sun)
    return [by_name[plan.shade] for plan in plans]


def _timers(
    site: Site,
    suns: Sequence[ShadeSun],
    plans: Sequence[ShadePlan],
    kind: tuple[Dial, Every, int],
    dates: tuple[date, date],
) -> list[TimerPlan]:
    """One setting per period for each shade, spread over supplies in steps of so many seconds."""
    dial, every, step = kind
    by_name = {sun.shade.name: sun for sun in suns}
    closings = {plan.shade: plan.closings for plan in plans}
    timers = {}
    for _, members in plan_units(site, suns):
        names = [member.shade.name for member in members]
        exceptions = [by_name[name].exceptions for name in names]
        patterns = _patterns(members, [closings[name] for name in names], exceptions)
        for member, pattern, own in zip(members, patterns, exceptions, strict=True):
            name, daily = member.shade.name, closings[member.shade.name]
            aside = [Spell(row.close, row.open) for row in daily if row.apart]
            aside += [one.spell for one in own]
            timers[name] = make_timer_plan(
                member.shade,
                daily,
                dial,
                every,
                dates=dates,
                sun=member.counted,
                exceptions=union([*pattern.exceptions, *aside]),
                pattern=pattern,
            )
    shades = {name: sun.shade for name, sun in by_name.items()}
    up = {sun.shade.name: up_spells(sun.exceptions) for sun in suns}
    for supply in site.supplies:
        settings = {name: timers[name].settings for name in supply.shades}
        spread = spread_settings(supply, shades, settings, dial, step=step, up=up)
        for name, mine in spread.items():
            if mine != list(settings[name]):
                counted, daily = by_name[name].counted, timers[name].daily
                remade = plan_of_settings(shades[name], mine, daily, dial, every, sun=counted)
                kept = tuple(r for r in timers[name].remarks if r not in remade.remarks)
                timers[name] = replace(remade, remarks=(*kept, *remade.remarks))
    return [timers[sun.shade.name] for sun in suns]


def _patterns(
    members: Sequence[Member],
    each: Sequence[Sequence[Closing]],
    exceptions: Sequence[Sequence[Happening]],
) -> list[Pattern]:
    """What the settings of shades that are planned as one are made of."""
    rules = leader_of([member.shade for member in members])
    seasons = tuple(member.season for member in members)
    # What keeps one of a group down keeps all of it down; it stays up when all of it does.
    down = [one.spell for mine in exceptions for one in mine if one.do == "down"]
    shared = union([*down, *joint_up([member.up for member in members])])
    return [Pattern(rules, whole, seasons, shared) for whole in _whole(members, each) or each]


def _whole(
    members: Sequence[Member], each: Sequence[Sequence[Closing]]
) -> Sequence[Sequence[Closing]] | None:
    """All closings of shades that are planned as one for each of them; None where a supply has
    made them differ.
    """
    if any(own_ups([member.up for member in members])):
        return whole_of(each)
    return each if len({len(mine) for mine in each}) == 1 else None


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
    by_name = {plan.shade: plan for plan in plans}
    for _, members in plan_units(site, suns):
        each = [by_name[member.shade.name].closings for member in members]
        for member, rows in zip(
            members, _drawn(members, each, site.place.zone, tolerance), strict=True
        ):
            name = member.shade.name
            by_name[name] = with_closings(by_name[name], rows, member.counted)
    return [by_name[plan.shade] for plan in plans]


def _drawn(
    members: Sequence[Member], each: Sequence[Sequence[Closing]], zone: ZoneInfo, tolerance: int
) -> list[list[Closing]]:
    """The closings of shades that are planned as one with days drawn together."""
    whole = _whole(members, each)
    if whole is None:
        return [
            row
            for member, mine in zip(members, each, strict=True)
            for row in _drawn([member], [mine], zone, tolerance)
        ]
    shades = [member.shade for member in members]
    apart = [Spell(row.close, row.open) for mine in each for row in mine if row.apart]
    still = union([*apart, *(spell for member in members for spell in member.up)])
    drawn = steady_closings(shades, whole, zone, tolerance, still)
    found = []
    for mine, all_of_them, then in zip(each, whole, drawn, strict=True):
        made = dict(zip(all_of_them, then, strict=True))
        found.append([made.get(row, row) for row in mine])
    return found
