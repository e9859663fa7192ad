"""Plans with round clock times: each closing a little sooner, each opening a little later."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from suncover.base import clock
from suncover.base.spell import Spell, seconds_in_each
from suncover.plan.closings import rules
from suncover.plan.closings.changed import joined, moved
from suncover.plan.closings.shade_plan import Closing
from suncover.plan.timers.settings import Dial

if TYPE_CHECKING:
    from suncover.site.model import Shade


def round_closings(
    shade: Shade,
    closings: Sequence[Closing],
    dial: Dial,
    minutes: int,
    *,
    sun: Sequence[Spell] = (),
    ups: Sequence[Sequence[Spell]] | None = None,
) -> tuple[Closing, ...]:
    """A shade's closings (sorted) with clock times that are whole multiples of some minutes.

    Rounding goes outward, so that nothing is uncovered by it. A time that would come to lie in
    quiet hours, or in a time of `ups` (each sorted, disjoint; one for each of the closings), stays
    as it is. Closings that then overlap, or are too near for the motor, are one. `sun` (sorted,
    disjoint) is what `Closing.sun_seconds` counts.
    """
    if not closings:
        return ()
    travel, zone, step = rules.timing_of(shade).travel, dial.zone, 60 * minutes
    last = clock.local_date(closings[-1].open, zone)
    blocked = rules.blocked_starts(shade.quiet, travel, closings[0].date, last, zone)
    rounded: list[Closing] = []
    for number, closing in enumerate(closings):
        close, opens = _before(closing.close, dial, step), _after(closing.open, dial, step)
        close = closing.close if blocked.around(close) else close
        opens = closing.open if blocked.around(opens) else opens
        if ups is not None:
            close, opens = _kept_off(ups[number], closing, (close, opens), travel)
        if rounded and close < rounded[-1].open + max(travel, 1):
            later = moved(closing, close, opens, zone)
            rounded[-1] = joined(rounded[-1], later, "; and ", zone)
        else:
            rounded.append(moved(closing, close, opens, zone))
    counted = seconds_in_each(sun, [Spell(closing.close, closing.open) for closing in rounded])
    return tuple(
        replace(closing, sun_seconds=seconds)
        for closing, seconds in zip(rounded, counted, strict=True)
    )


def _kept_off(
    up: Sequence[Spell], closing: Closing, ends: tuple[int, int], travel: int
) -> tuple[int, int]:
    """New ends of a closing, each as it was where the new one would reach into an `up` spell."""
    close, opens = ends
    if rules.any_in(up, close, closing.close):
        close = closing.close
    if rules.any_in(up, closing.open, opens + travel):
        opens = closing.open
    return close, opens


def _before(instant: int, dial: Dial, step: int) -> int:
    """The last round reading at or before an instant; where clocks jump over it, the jump."""
    reading = dial.reading(instant)
    wanted = reading // step * step
    near = instant - (reading - wanted)
    return near if dial.reading(near) == wanted else min(dial.instant(wanted), instant)


def _after(instant: int, dial: Dial, step: int) -> int:
    """The first round reading at or after an instant; where clocks jump over it, the jump."""
    reading = dial.reading(instant)
    wanted = -(-reading // step) * step
    near = instant + (wanted - reading)
    if dial.reading(near) == wanted:
        return near
    jumped = dial.instant(wanted)
    return jumped if jumped >= instant else near
