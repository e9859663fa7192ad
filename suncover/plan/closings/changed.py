"""A plan with other closings in place of its own: rounded, spread over a supply, or for a timer."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from suncover.base.clock import local_date
from suncover.base.spell import Spell, intersect, seconds_in_each, subtract, union
from suncover.plan.closings.reasons import joined_reasons, requoted
from suncover.plan.closings.shade_plan import Closing, ShadePlan, Uncovered, sunny

if TYPE_CHECKING:
    from suncover.plan.needs import Want

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
    whole = Spell(before.close, max(before.open, after.open))
    later = requoted(after.reason, Spell(after.close, after.open), whole, zone)
    runs = [run for run in (before.run_seconds, after.run_seconds) if run is not None]
    return replace(
        before,
        open=whole.end,
        sun_seconds=before.sun_seconds + after.sun_seconds,
        position=max(before.position, after.position),
        run_seconds=max(runs, default=None),
        apart=before.apart or after.apart,
        reason=joined_reasons(before.reason, later, between),
    )


def with_closings(plan: ShadePlan, closings: Sequence[Closing], sun: Sequence[Spell]) -> ShadePlan:
    """The plan with these closings (sorted, disjoint).

    `sun` (sorted, disjoint) is what `Closing.sun_seconds` counts. What the closings cover of
    `uncovered` is taken out of it.
    """
    rows = [Spell(closing.close, closing.open) for closing in closings]
    counted = seconds_in_each(sun, rows)
    return replace(
        plan,
        closings=tuple(
            replace(closing, sun_seconds=seconds)
            for closing, seconds in zip(closings, counted, strict=True)
        ),
        uncovered=tuple(
            replace(part, start=left.start, end=left.end)
            for part in plan.uncovered
            for left in subtract([Spell(part.start, part.end)], rows)
        ),
    )


def with_waits(
    plan: ShadePlan,
    asked: Sequence[Closing],
    needed: Sequence[Spell],
    wants: Sequence[Want] | None = None,
) -> ShadePlan:
    """The plan with what its closings leave uncovered that start later than was asked.

    `needed` (sorted, disjoint) is when the shade has to be down, `wants` what for: the sun, if left
    out.
    """
    rows = [Spell(closing.close, closing.open) for closing in plan.closings]
    wanted = union(Spell(closing.close, closing.open) for closing in asked)
    parts = list(plan.uncovered)
    for lost in intersect(subtract(wanted, rows), needed):
        at = next((n for n, part in enumerate(parts) if part.end == lost.start), None)
        if at is None:
            sun = wants is None or bool(intersect([lost], sunny(wants)))
            parts.append(Uncovered(plan.shade, lost.start, lost.end, WAITS, "quiet", sun))
        else:
            parts[at] = replace(parts[at], end=lost.end)
    parts.sort(key=lambda part: (part.start, part.end))
    return replace(plan, uncovered=tuple(parts))
