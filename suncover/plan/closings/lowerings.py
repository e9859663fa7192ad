"""When a shade is down by the rules, and how far, without a word on why: what sums over many years
of plans need.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from suncover.base.spell import Spell
from suncover.plan.closings.rules import Draft
from suncover.plan.closings.shade_plan import drafts_and_room, drafts_by_rules
from suncover.plan.closings.stops import Down, positions_of, wants_in_each
from suncover.plan.motor import FULL
from suncover.plan.unit import Unit


class Lowering(NamedTuple):
    """The moves of a closing: when the motor starts to close and to open, and how far it closes, as
    in `Closing`.
    """

    close: int
    open: int
    position: int


class ShadeMoves(NamedTuple):
    """The moves of a shade's plan, and in words where the plan could not keep to its rules."""

    shade: str
    closings: tuple[Lowering, ...]
    remarks: tuple[str, ...] = ()


def lowerings_of(unit: Unit) -> list[Lowering]:
    """The closings by the rules of a shade that is a unit by itself, in order of time."""
    spells = [want.spell for want in unit.wants]
    return _lowered(unit, drafts_by_rules(unit.motor, spells, unit.season))


def moves_without_remarks(unit: Unit) -> ShadeMoves | None:
    """What the plan by the rules of such a unit moves; None where there is something to remark."""
    spells = [want.spell for want in unit.wants]
    drafts, has_room = drafts_and_room(unit.motor, spells, unit.season)
    if not has_room or unit.motor.over_limit(drafts):
        return None
    return ShadeMoves(unit.members[0].shade.name, tuple(_lowered(unit, drafts)))


def _lowered(unit: Unit, drafts: Sequence[Draft]) -> list[Lowering]:
    downs = [Down()] * len(drafts)
    if unit.motor.rules.stops != (FULL,):
        wants_by_row = wants_in_each(
            unit.wants, [Spell(draft.close, draft.open) for draft in drafts]
        )
        downs = positions_of(unit.motor.rules, wants_by_row)
    return [
        Lowering(draft.close, draft.open, down.position)
        for draft, down in zip(drafts, downs, strict=True)
    ]
