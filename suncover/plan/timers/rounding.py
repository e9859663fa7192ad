"""Plans with round clock times: each closing a little sooner, each opening a little later."""

from __future__ import annotations

from collections.abc import Sequence

from suncover.base.spell import Spell
from suncover.plan.closings.changed import joined, moved
from suncover.plan.closings.shade_plan import Closing
from suncover.plan.motor import Motor, any_in
from suncover.plan.timers.dial import Dial


def round_closings(
    motor: Motor,
    closings: Sequence[Closing],
    dial: Dial,
    minutes: int,
    ups: Sequence[Sequence[Spell]] | None = None,
) -> list[Closing]:
    """Closings (sorted) with clock times that are whole multiples of some minutes.

    Rounding goes outward, so that nothing is uncovered by it. A time that would come to lie in
    quiet hours, or in a time of `ups` (each sorted, disjoint; one for each of the closings), stays
    as it is. Closings that then overlap, or are too near for the motor, are one.
    """
    step, travel = 60 * minutes, motor.timing.travel
    rounded: list[Closing] = []
    for number, closing in enumerate(closings):
        close, opens = _before(closing.close, dial, step), _after(closing.open, dial, step)
        up = ups[number] if ups is not None else motor.up
        if motor.blocked(close) or any_in(up, close, closing.close):
            close = closing.close
        if motor.blocked(opens) or any_in(up, closing.open, opens + travel):
            opens = closing.open
        if rounded and motor.too_near(rounded[-1].open, close):
            before = closings[number - 1]
            if not any_in(up, before.open, closing.close):
                row = moved(closing, close, opens, motor.zone)
                rounded[-1] = joined(rounded[-1], row, "; and ", motor.zone)
                continue
            # It has to be up in between: the two keep their times there.
            close = closing.close
            rounded[-1] = moved(rounded[-1], rounded[-1].close, before.open, motor.zone)
        rounded.append(moved(closing, close, opens, motor.zone))
    return rounded


def _before(instant: int, dial: Dial, step: int) -> int:
    """The last round reading at or before an instant; where clocks jump over it, the jump."""
    reading = dial.reading(instant)
    target = reading // step * step
    near = instant - (reading - target)
    return near if dial.reading(near) == target else min(dial.instant(target), instant)


def _after(instant: int, dial: Dial, step: int) -> int:
    """The first round reading at or after an instant; where clocks jump over it, the jump."""
    reading = dial.reading(instant)
    target = -(-reading // step) * step
    near = instant + (target - reading)
    if dial.reading(near) == target:
        return near
    jumped = dial.instant(target)
    return jumped if jumped >= instant else near
