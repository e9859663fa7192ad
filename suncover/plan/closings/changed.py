"""A plan with other closings in place of its own: rounded, spread over a supply, or for a timer."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from zoneinfo import ZoneInfo

from suncover.base.clock import local_date
from suncover.base.spell import Spell, intersect, seconds_in_each, subtract, union
from suncover.plan.closings import reasons
from suncover.plan.closings.reasons import joined_reasons, requoted
from suncover.plan.closings.shade_plan import Closing, ShadePlan, Uncovered, sunny
from suncover.plan.closings.unit_plans import member_remarks
from suncover.plan.unit import Member, Unit

WAITS = "after quiet hours its motor waits for its turn at the supply"


def moved(closing: Closing, close: int, opens: int, zone: ZoneInfo) -> Closing:
    """The closing at other times, which its reason then names."""
    if (close, opens) == (closing.close, closing.open):
        return closing
    reason = requoted(closing.reason, Spell(closing.close, closing.open), Spell(close, opens), zone)
    day = local_date(close, zone)
    return replace(closing, date=day, close=close, open=opens, reason=reason)


def joined(before: Closing, after: Closing, between: str, zone: ZoneInfo) -> Closing:
    """Two closings of a shade as one, from the start of the first to the end of the later one.

    It goes as far down as either, with the longer run of the motor. `between` stands between their
    reasons. What is counted in it has to be counted anew where the gap between them counts too.
    """
    span = Spell(before.close, max(before.open, after.open))
    later_reason = requoted(after.reason, Spell(after.close, after.open), span, zone)
    runs = [run for run in (before.run_seconds, after.run_seconds) if run is not None]
    return replace(
        before,
        open=span.end,
        sun_seconds=before.sun_seconds + after.sun_seconds,
        position=max(before.position, after.position),
        run_seconds=max(runs, default=None),
        apart=before.apart or after.apart,
        reason=joined_reasons(before.reason, later_reason, between),
    )


def with_rows(plan: ShadePlan, rows: Sequence[Closing], unit: Unit, member: Member) -> ShadePlan:
    """The plan of a member of a unit with these closings (sorted, disjoint) in place of its own.

    What they cover of `uncovered` is taken out of it; what they leave open that the plan's closings
    held is reported, as a wait for the supply. The remark on moves is made again.
    """
    new, old = _spells(rows), _spells(plan.closings)
    closings = tuple(
        replace(row, sun_seconds=seconds)
        for row, seconds in zip(rows, seconds_in_each(member.sun.counted, new), strict=True)
    )
    parts = [
        replace(part, start=left.start, end=left.end)
        for part in plan.uncovered
        for left in subtract([Spell(part.start, part.end)], new)
    ]
    for lost in intersect(subtract(union(old), new), member.needed):
        at = next((n for n, part in enumerate(parts) if part.end == lost.start), None)
        if at is None:
            sun = bool(intersect([lost], sunny(member.wants)))
            parts.append(Uncovered(plan.shade, lost.start, lost.end, WAITS, "quiet", sun))
        else:
            parts[at] = replace(parts[at], end=lost.end)
    parts.sort(key=lambda part: (part.start, part.end))
    return replace(
        plan,
        closings=closings,
        uncovered=tuple(parts),
        remarks=_remarks(plan, closings, unit, member),
    )


def _remarks(
    plan: ShadePlan, closings: Sequence[Closing], unit: Unit, member: Member
) -> tuple[str, ...]:
    no_room = reasons.no_room() in plan.remarks
    before = member_remarks(unit, member, plan.closings, no_room=no_room)
    further = [remark for remark in plan.remarks if remark not in before]
    return (*member_remarks(unit, member, closings, no_room=no_room), *further)


def _spells(rows: Sequence[Closing]) -> list[Spell]:
    return [Spell(row.close, row.open) for row in rows]
