"""How plans of all shades of a home are rounded, drawn together and given settings.

What is asked, `variants` says; here is what it takes. Shades that move together stay alike, and
shades that share a supply wait for each other.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date

from suncover.base import clock
from suncover.base.spell import Spell, intersect, subtract, union
from suncover.plan.closings.changed import with_rows
from suncover.plan.closings.shade_plan import Closing, ShadePlan
from suncover.plan.sharing.supply import Grid, Motors, asked_too_much, overloads, share
from suncover.plan.timers.days import Pattern
from suncover.plan.timers.dial import Dial, Every
from suncover.plan.timers.rounding import round_closings
from suncover.plan.timers.settings import TimerPlan, make_timer_plan, plan_of_settings
from suncover.plan.timers.spread import spread_settings
from suncover.plan.timers.steady import steady_closings
from suncover.plan.unit import Unit
from suncover.site.model import Site

MOST_STEP_MIN = 15
"""Starts that share a supply go on to the next round time where times are round to this at most."""
LONG_ROUNDING_STEP_MIN = 5
"""The steps by which they go on where times are rounder, so that shades do not wait for hours."""
MOST_TRIES = 12
"""How often days on which settings can't hold are set apart, before what is left is told."""

Rows = Mapping[str, Sequence[Closing]]


class VariedHome:
    """A site's units and what their plans are varied by; times are round to `minutes`, if any."""

    def __init__(
        self, site: Site, units: Sequence[Unit], dial: Dial, minutes: int | None = None
    ) -> None:
        self._site, self._units, self._dial = site, units, dial
        self._step = 1
        if minutes is not None:
            self._step = 60 * (minutes if minutes <= MOST_STEP_MIN else LONG_ROUNDING_STEP_MIN)
        self._members = {m.shade.name: (unit, m) for unit in units for m in unit.members}
        self._motors: Motors = {name: m.motor for name, (_, m) in self._members.items()}

    def shared(self, plans: Sequence[ShadePlan], daily: Sequence[ShadePlan]) -> list[ShadePlan]:
        """Grown plans as the supplies can take them, by what they can take of the daily ones."""
        grid = Grid(self._step, self._dial.reading)
        return share(self._site, self._units, plans, daily, grid)

    def _with(self, plans: Sequence[ShadePlan], rows: Rows) -> list[ShadePlan]:
        return [with_rows(plan, rows[plan.shade], *self._members[plan.shade]) for plan in plans]

    def rounded(self, plans: Sequence[ShadePlan], minutes: int) -> list[ShadePlan]:
        """The plans with round times, for all shades of a group that moves together alike."""
        daily = {plan.shade: plan.closings for plan in plans}
        rows: dict[str, Sequence[Closing]] = {}
        for unit in self._units:
            kept_off: dict[tuple[int, int], list[Spell]] = {}  # by all shades that close then
            for member in unit.members:
                for row in daily[member.shade.name]:
                    kept_off.setdefault((row.close, row.open), []).extend(member.motor.up)
            for name in unit.shades:
                ups = [union(kept_off[row.close, row.open]) for row in daily[name]]
                rows[name] = round_closings(unit.motor, daily[name], self._dial, minutes, ups)
        return self._with(plans, rows)

    def steady(self, plans: Sequence[ShadePlan], tolerance: int) -> list[ShadePlan]:
        """The plans with days drawn together, alike for all shades that move together."""
        daily = {plan.shade: plan.closings for plan in plans}
        rows: dict[str, Sequence[Closing]] = {}
        for unit in self._units:
            rows |= self._drawn(unit, {name: daily[name] for name in unit.shades}, tolerance)
        return self._with(plans, rows)

    def _drawn(self, unit: Unit, daily: Rows, tolerance: int) -> Rows:
        joint = _joint_rows(unit, list(daily.values()))
        if joint is None:
            alone = [(unit.alone(m), {m.shade.name: daily[m.shade.name]}) for m in unit.members]
            return {
                k: v
                for part, part_daily in alone
                for k, v in self._drawn(part, part_daily, tolerance).items()
            }
        apart = [Spell(row.close, row.open) for rows in daily.values() for row in rows if row.apart]
        still = union([*apart, *(up for member in unit.members for up in member.motor.up)])
        rows: dict[str, Sequence[Closing]] = {}
        drawn = steady_closings(unit.motor, joint, tolerance, still)
        for (name, shade_rows), before, after in zip(daily.items(), joint, drawn, strict=True):
            drawn_rows = dict(zip(before, after, strict=True))
            rows[name] = [drawn_rows.get(row, row) for row in shade_rows]
        return rows

    def timers(
        self, plans: Sequence[ShadePlan], every: Every, dates: tuple[date, date]
    ) -> list[TimerPlan]:
        """One setting per period for each shade, spread over supplies; days on which settings can't
        hold keep the times of the plan.
        """
        daily = {plan.shade: plan.closings for plan in plans}
        apart: dict[str, list[Spell]] = {unit.name: [] for unit in self._units}
        for _ in range(MOST_TRIES):
            by_shade: dict[str, TimerPlan] = {}
            for unit in self._units:
                by_shade |= self._settings(unit, daily, every, dates, apart[unit.name])
            self._spread(by_shade, every)
            unsettled = False
            for unit in self._units:
                wrong = [
                    s for name in unit.shades for s in self._wrong(unit, by_shade[name], by_shade)
                ]
                new = subtract(union(wrong), union(apart[unit.name]))
                apart[unit.name] += new
                unsettled = unsettled or bool(new)
            if not unsettled:
                break
        return [by_shade[plan.shade] for plan in plans]

    def _settings(
        self,
        unit: Unit,
        daily: Rows,
        every: Every,
        dates: tuple[date, date],
        apart: Sequence[Spell],
    ) -> dict[str, TimerPlan]:
        """One setting per period for each shade of a unit."""
        by_shade = [daily[name] for name in unit.shades]
        seasons = tuple(member.season for member in unit.members)
        # What keeps one of a group down keeps all of it down; it stays up when all of it does.
        down = [happening.spell for happening in unit.exceptions if happening.do == "down"]
        shared = union([*down, *unit.motor.up, *apart])
        timers = {}
        pattern = _joint_rows(unit, by_shade) or by_shade
        every_row = [row for rows in pattern for row in rows] if len(by_shade) > 1 else []
        for member, joint_rows, shade_rows in zip(unit.members, pattern, by_shade, strict=True):
            by_persons = [happening.spell for happening in member.sun.exceptions]
            by_persons += [Spell(row.close, row.open) for row in shade_rows if row.apart]
            by_persons += [*down, *unit.motor.up]
            timers[member.shade.name] = make_timer_plan(
                unit.motor_of(member),
                shade_rows,
                self._dial,
                every,
                dates=dates,
                exceptions=union([*shared, *by_persons]),
                pattern=Pattern(unit.motor, joint_rows, seasons, shared, every_row),
                personal=union(by_persons),
            )
        return timers

    def _spread(self, timers: dict[str, TimerPlan], every: Every) -> None:
        """Spreads the settings of shades that share a supply."""
        for supply in self._site.supplies:
            settings = {name: timers[name].settings for name in supply.shades}
            spread = spread_settings(supply, self._motors, settings, self._dial, step=self._step)
            for name, shade_settings in spread.items():
                if shade_settings != list(settings[name]):
                    timer = timers[name]
                    unit, member = self._members[name]
                    motor = unit.motor_of(member)
                    spread_timer = plan_of_settings(
                        motor, shade_settings, timer.daily, self._dial, every
                    )
                    remarks = (
                        remark for remark in timer.remarks if remark not in spread_timer.remarks
                    )
                    timers[name] = replace(spread_timer, remarks=(*remarks, *spread_timer.remarks))

    def _wrong(
        self, unit: Unit, timer: TimerPlan, timers: Mapping[str, TimerPlan]
    ) -> Iterator[Spell]:
        """When the rows of a timer do what the daily plan does not and must not be: close out of
        season, on too many moves, beyond the supply, or too late.
        """
        member = self._members[timer.shade][1]
        motor = member.motor
        too_busy = set(self._overloads(timer.shade, timers))
        over = unit.motor.over_limit(timer.rows)
        seasons = [part.season for part in unit.members]
        for row, number in zip(timer.rows, timer.origin, strict=True):
            if timer.settings[number].apart:
                continue
            days = {clock.local_date(at, motor.zone) for at in (row.close, row.open)}
            wrong = (
                not any(clock.in_season(row.date, season) for season in seasons)
                or motor.breaks_up(row)
                or not days.isdisjoint(over)
                or not too_busy.isdisjoint((row.close, row.open))
            )
            if wrong:
                yield Spell(row.close, row.close + 1)
        spans = [Spell(row.close, row.open) for row in timer.daily]
        rows = [Spell(row.close, row.open) for row in timer.rows]
        for lost in subtract(union(spans), union(rows)):
            for span in spans:
                if intersect([span], [lost]):
                    yield Spell(span.start, span.start + 1)

    def _overloads(self, shade: str, timers: Mapping[str, TimerPlan]) -> Iterator[int]:
        """When a shade's supply is asked for too much."""
        for supply in self._site.supplies:
            if shade in supply.shades:
                rows = [row for name in supply.shades for row in timers[name].rows]
                yield from overloads(supply, self._motors, rows)

    def with_timer(
        self, daily: ShadePlan, timer: TimerPlan, timers: Sequence[TimerPlan]
    ) -> ShadePlan:
        """The plan that a timer makes of the daily one."""
        plan = with_rows(daily, timer.rows, *self._members[daily.shade])
        timer_remarks = [remark for remark in timer.remarks if remark not in plan.remarks]
        remarks = (*self._busy(daily.shade, timers), *plan.remarks, *timer_remarks)
        return replace(plan, remarks=remarks)

    def _busy(self, shade: str, timers: Sequence[TimerPlan]) -> Iterator[str]:
        """Where settings ask a supply for too much all the same, with the first of its shades."""
        rows = [row for timer in timers for row in timer.rows]
        for supply in self._site.supplies:
            if shade in supply.shades[:1]:
                too_much = asked_too_much(supply, self._motors, rows)
                if too_much is not None:
                    yield f"{too_much}: one timer does not know what the others do"


def _joint_rows(
    unit: Unit, by_shade: Sequence[Sequence[Closing]]
) -> Sequence[Sequence[Closing]] | None:
    """All closings of a unit for each of its shades; None where a supply has made them differ."""
    if any(unit.own_ups):
        return whole_of(by_shade)
    return by_shade if len({len(shade_rows) for shade_rows in by_shade}) == 1 else None


def whole_of(by_shade: Sequence[Sequence[Closing]]) -> list[tuple[Closing, ...]] | None:
    """All closings of a group for each of its shades, those that it does not make as another does.

    `by_shade` has their closings, sorted and disjoint, some going their own way at times. None
    where the others do not correspond, as where a supply has joined some of one shade alone.
    """
    rows = [
        (row, n) for n, shade_rows in enumerate(by_shade) for row in shade_rows if not row.apart
    ]
    places: list[dict[int, Closing]] = []
    until = 0
    for row, number in sorted(rows, key=lambda pair: (pair[0].close, pair[0].open)):
        if not places or row.close >= until:
            places.append({})
        if number in places[-1]:
            return None
        places[-1][number] = row
        until = max(until, row.open)
    return [
        tuple(place.get(number, next(iter(place.values()))) for place in places)
        for number in range(len(by_shade))
    ]
