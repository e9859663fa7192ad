"""When a shade is down by the rules, and how far, without a word on why: what sums over many years
of plans need.
"""

from __future__ import annotations

from typing import NamedTuple

from suncover.base.spell import Spell
from suncover.plan.closings.shade_plan import drafts_by_rules
from suncover.plan.closings.stops import held_by_each, positions_of
from suncover.plan.unit import Unit


class Lowering(NamedTuple):
    """What of a closing moves its motor: when it starts to close and to open, and how far it
    closes, as in `Closing`.
    """

    close: int
    open: int
    position: int


def lowerings_of(unit: Unit) -> list[Lowering]:
    """The closings by the rules of a shade that is a unit by itself, in order of time."""
    drafts = drafts_by_rules(unit.motor, [want.spell for want in unit.wants], unit.season)
    held = held_by_each(unit.wants, [Spell(draft.close, draft.open) for draft in drafts])
    downs = positions_of(unit.motor.rules, held)
    return [
        Lowering(draft.close, draft.open, down.position)
        for draft, down in zip(drafts, downs, strict=True)
    ]
