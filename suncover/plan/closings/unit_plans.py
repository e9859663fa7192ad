"""The plan of a unit as that of each of its shades; one that has to stay up goes its own way.

    Unit ──> choose: by the rules, or the best ──> its plan ──> for each member ──> own way

Somebody may be working at a shade of a group. So it takes no part in a closing that would have it
down while it has to stay up and the others need not, or have its motor run. In the span of that
closing it does what its own plan has there, by its own rules, and goes with the group before and
after.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from dataclasses import replace
from datetime import date
from typing import NamedTuple

from suncover.base.clock import local_date
from suncover.base.spell import Spell, intersect, seconds_in_each, subtract, union
from suncover.plan.closings import reasons
from suncover.plan.closings.remarks import remarks_on
from suncover.plan.closings.shade_plan import (
    Closing,
    ShadePlan,
    Uncovered,
    for_exceptions_alone,
    sun_in_each,
)
from suncover.plan.closings.stops import Down, run_of, run_seconds
from suncover.plan.exceptions import with_reasons
from suncover.plan.motor import Motor, any_in, moves_by_date
from suncover.plan.unit import Member, Unit
from suncover.site.model import Shade

Choose = Callable[[Unit], ShadePlan]
"""How the plan of a unit is chosen: its closings at the times for all of its shades."""


def plans_of(unit: Unit, choose: Choose) -> list[ShadePlan]:
    """The plans of a unit's shades, in its order."""
    joint = with_reasons(unit.exceptions, choose(unit), unit.motor.zone)
    plans = []
    for member, up in zip(unit.members, unit.own_ups, strict=True):
        plan = _for_member(member, joint)
        if up:
            alone = plans_of(unit.alone(member), choose)[0]
            plan = with_own_way(replace(member.motor, up=up), plan, alone)
            no_room = reasons.no_room() in (*joint.remarks, *alone.remarks)
            remarks = member_remarks(unit, member, plan.closings, no_room=no_room)
            plan = replace(plan, remarks=remarks)
        plans.append(plan)
    return plans


def _for_member(member: Member, joint: ShadePlan) -> ShadePlan:
    """The plan of a unit for one of its shades."""
    shade = member.shade
    rows = [Spell(closing.close, closing.open) for closing in joint.closings]
    closings = list(joint.closings)
    for number, seconds in enumerate(seconds_in_each(member.sun.counted, rows)):
        row = closings[number]
        run = run_seconds(shade, row.position)
        if (row.shade, row.sun_seconds, row.run_seconds) != (shade.name, seconds, run):
            closings[number] = replace(row, shade=shade.name, sun_seconds=seconds, run_seconds=run)
    left = tuple(_left_by(member, joint.uncovered))
    return ShadePlan(shade.name, tuple(closings), left, joint.remarks)


def _left_by(member: Member, uncovered: Sequence[Uncovered]) -> Iterator[Uncovered]:
    """What a unit leaves uncovered of one member's need, and whether that is of sun."""
    starts, with_sun = [s.start for s in member.needed], sun_in_each(member.needed, member.wants)
    sunless = for_exceptions_alone(member.wants)
    for part in uncovered:
        parts = intersect([Spell(part.start, part.end)], member.needed)
        dark = intersect(parts, sunless)
        for piece in sorted([*subtract(parts, dark), *dark]):
            sun = with_sun[bisect_right(starts, piece.start) - 1] and piece not in dark
            yield replace(part, shade=member.shade.name, start=piece.start, end=piece.end, sun=sun)


def own_dates(rows: Iterable[Closing], motor: Motor) -> set[date]:
    """The dates on which a shade goes its own way: its own limit of moves holds then."""
    return {day for row in rows if row.apart for day in _dates(row, motor)}


def over_limit(
    unit: Unit, member: Member, rows: Sequence[Closing], own_days: Collection[date]
) -> dict[date, int]:
    """The dates on which a member of a unit has more moves than the limit, and how many: that of
    the unit, or on the `own_days` on which it goes its own way, the shade's.
    """
    joint, alone = unit.motor.over_limit(rows), member.motor.over_limit(rows)
    over = {day: moves for day, moves in joint.items() if day not in own_days}
    over |= {day: moves for day, moves in alone.items() if day in own_days}
    return dict(sorted(over.items()))


def member_remarks(
    unit: Unit,
    member: Member,
    rows: Sequence[Closing],
    *,
    no_room: bool,
) -> tuple[str, ...]:
    """Where the closings of a member could not keep to what was asked of its unit, or of itself."""
    own_days = own_dates(rows, member.motor)
    joint = replace(unit.motor, up=member.motor.up)
    remarks = remarks_on(joint, rows, no_room=no_room, leave_out=own_days)
    if own_days:
        joint_days = moves_by_date(rows, joint.zone).keys() - own_days
        remarks += remarks_on(member.motor, rows, leave_out=joint_days)
    return remarks


class OwnWay(NamedTuple):
    """What a shade of a group does: the numbers of the group's closings that it keeps to, and those
    of its own closings that take the place of the others.
    """

    from_group: tuple[int, ...]
    from_own: tuple[int, ...]


def own_way(motor: Motor, group: Sequence[Closing], own_rows: Sequence[Closing]) -> OwnWay:
    """Which closings of its group a shade makes, and which of its own in place of the rest.

    `motor` has the shade's own rules, and is up when the shade has to be and the others need not;
    `group` and `own_rows` are sorted and disjoint. The rest are the group's closings that meet such
    a time, and those that have no room beside the shade's own: less than a run of its motor apart
    from one of them, or on a date on which the two together would be more than its moves.
    """
    clashing = {n for n, row in enumerate(group) if motor.breaks_up(row)}
    dropped: set[int] = set()
    instead: list[int] = []
    while clashing:
        dropped |= clashing
        spans = union(_spells(group[n] for n in sorted(dropped)))
        instead = [n for n, row in enumerate(own_rows) if any_in(spans, row.close, row.open)]
        rows = [own_rows[n] for n in instead]
        remaining = {n: row for n, row in enumerate(group) if n not in dropped}
        near = union(Spell(row.close - motor.run, row.open + motor.run) for row in rows)
        clashing = {n for n, row in remaining.items() if any_in(near, row.close, row.open)}
        days = {day for row in rows for day in _dates(row, motor)}
        crowded = motor.over_limit([*remaining.values(), *rows]).keys() & days
        clashing |= {
            n for n, row in remaining.items() if not crowded.isdisjoint(_dates(row, motor))
        }
    return OwnWay(tuple(n for n in range(len(group)) if n not in dropped), tuple(instead))


def with_own_way(motor: Motor, group: ShadePlan, own_plan: ShadePlan) -> ShadePlan:
    """The plan of a shade of a group, as `own_way` makes it of the group's and its own.

    What is left uncovered is as in the plan that the shade keeps to at that time; the remarks are
    those of the group's.
    """
    way = own_way(motor, group.closings, own_plan.closings)
    if len(way.from_group) == len(group.closings):
        return group
    group_rows, instead = (
        [group.closings[n] for n in way.from_group],
        [own_plan.closings[n] for n in way.from_own],
    )
    rows = sorted(
        [*group_rows, *(replace(row, apart=True) for row in instead)], key=lambda r: r.close
    )
    dropped = _spells(row for n, row in enumerate(group.closings) if n not in way.from_group)
    # Outside the group's closings that it leaves out, its plan is the group's.
    down = _spells(rows)
    uncovered = [
        replace(part, start=piece.start, end=piece.end)
        for part in group.uncovered
        for piece in subtract([Spell(part.start, part.end)], down)
    ]
    uncovered += [
        replace(part, start=piece.start, end=piece.end)
        for part in own_plan.uncovered
        for piece in intersect([Spell(part.start, part.end)], dropped)
    ]
    uncovered.sort(key=lambda part: (part.start, part.end))
    return replace(group, closings=_with_full_runs(motor.rules, rows), uncovered=tuple(uncovered))


def _spells(rows: Iterable[Closing]) -> list[Spell]:
    return [Spell(row.close, row.open) for row in rows]


def _dates(row: Closing, motor: Motor) -> set[date]:
    return {local_date(row.close, motor.zone), local_date(row.open, motor.zone)}


def _with_full_runs(shade: Shade, rows: Sequence[Closing]) -> tuple[Closing, ...]:
    """The rows of two plans with the full runs that `home_after` asks for between them."""
    result, moves = list(rows), 0
    for number, row in enumerate(rows):
        down, moves = run_of(row.position, moves, shade)
        if down.position != row.position:
            reason = row.reason.removesuffix(reasons.with_stop("", Down(row.position)))
            result[number] = replace(
                row,
                position=down.position,
                run_seconds=run_seconds(shade, down.position),
                reason=reasons.with_stop(reason, down),
            )
    return tuple(result)
