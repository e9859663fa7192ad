"""Remarks on a shade's plan where it could not keep to its rules."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence
from datetime import date
from itertools import pairwise
from typing import Protocol

from suncover.base import clock
from suncover.base.spell import Spell, intersect
from suncover.plan.closings import reasons
from suncover.plan.motor import Motor, Row


class WordedRow(Row, Protocol):
    """A closing with its reason."""

    @property
    def reason(self) -> str:
        """Why it is there, and what bent it."""


def remarks_on(
    motor: Motor,
    closings: Sequence[WordedRow],
    *,
    no_room: bool = False,
    leave_out: Collection[date] = (),
) -> tuple[str, ...]:
    """Where closings could not keep to what was asked; `no_room` where quiet hours left the motor
    no time at all for others. The dates to `leave_out` are judged by another motor's limit.
    """
    remarks = [reasons.no_room()] if no_room else []
    over = {day: n for day, n in motor.over_limit(closings).items() if day not in leave_out}
    if over and motor.rules.moves is not None:
        gaps = [Spell(before.open, after.close) for before, after in pairwise(closings)]
        held_up = {clock.local_date(gap.start, motor.zone) for gap in intersect(motor.up, gaps)}
        quiet = set(_dates_by_quiet(motor, closings))
        remarks.append(reasons.too_many_moves(over, motor.rules.moves, held_up, quiet))
    return tuple(remarks)


def _dates_by_quiet(motor: Motor, closings: Iterable[WordedRow]) -> Iterator[date]:
    """The dates of moves that quiet hours have shifted."""
    for row in closings:
        for instant in (row.close, row.open):
            if "quiet hours" in row.reason or motor.at_quiet_edge(instant):
                yield clock.local_date(instant, motor.zone)
