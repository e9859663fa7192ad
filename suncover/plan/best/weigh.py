"""What closings of a shade come to: need let in, heat, daylight lost, and moves.

    Member ──> part_of ──> Part ──> Scales: what one closing covers and loses ──> Price of a plan

This is the one place that weighs a plan: for the best one, for what it costs beside that by the
rules, and for what one step of a limit would bring.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from suncover.base.spell import Spell, subtract, union
from suncover.plan.best.measure import Measure
from suncover.plan.closings import stops
from suncover.plan.closings.shade_plan import Closing
from suncover.plan.motor import Row
from suncover.plan.unit import Member, Unit
from suncover.site.model import Site

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

J_PER_KWH = 3.6e6


@dataclass(frozen=True)
class Part:
    """What one shade asks for.

    `spells` (sorted, disjoint) is when it is to be down; `need` the part of them that counts as
    need (in season), in pieces (sorted, disjoint, they may touch); `worth` what a minute of each
    piece counts, in minutes, 1 if left out; `positions` how far down each spell asks the shade to
    be, in per cent. `watts` is the heat of each piece where sun counts by that. `up` (sorted,
    disjoint) is when the shade goes its own way, as it has to stay up and others need not.
    """

    spells: Sequence[Spell]
    need: Sequence[Spell]
    positions: Sequence[float]
    worth: Sequence[float] | None = None
    watts: Sequence[float] = ()
    up: Sequence[Spell] = ()


def part_of(site: Site, member: Member, up: Sequence[Spell] = ()) -> Part:
    """What a member of a unit asks for; `up` is when it goes its own way."""
    wants_by_spell = stops.wants_in_each(member.wants, member.needed)
    positions = [max((want.position for want in wants), default=100.0) for wants in wants_by_spell]
    if site.best.by == "minutes":
        return Part(member.needed, member.need, positions, up=up)
    from suncover.heat.need_heat import worth_by_heat  # noqa: PLC0415 - most weigh minutes

    apart_from_heat = union(want.spell for want in member.wants if want.need != "heat")
    pieces, worth, watts = worth_by_heat(site, member.shade, member.need, apart_from_heat)
    return Part(member.needed, pieces, positions, worth, tuple(watts), up)


class Scales:
    """What one shade's closings cover and lose; its motor runs for `travel` seconds.

    A closing covers need from the end of its run until it opens, and loses daylight from the start
    of its run: all that no need of the shade's asks for.
    """

    def __init__(self, part: Part, travel: int, light: Sequence[Spell]) -> None:
        self._travel = travel
        self.need = Measure(part.need)
        self.worth = self.need if part.worth is None else Measure(part.need, part.worth)
        self.heat = Measure(part.need, part.watts) if part.watts else None
        self._free = Measure(subtract(light, union(part.spells)))

    def covered(self, row: Row, measure: Measure) -> float:
        """The need (or what it is worth, or its heat) that a closing keeps off."""
        return measure.between(min(row.close + self._travel, row.open), row.open)

    def of_each(self, close: Ints, opens: Ints) -> tuple[Floats, Floats]:
        """The need that many closings keep off, and the daylight that they lose, (n,) seconds."""
        covered = self.need.between_each(np.minimum(close + self._travel, opens), opens)
        return covered, self._free.between_each(close, opens)

    def lost(self, row: Row) -> float:
        """Seconds of daylight with the shade down and nothing of its own that asks for it."""
        return self._free.between(row.close, row.open)


@dataclass(frozen=True)
class Price:
    """What the closings of a shade come to.

    `missed` and `needless` are seconds of need left uncovered and of daylight with the shade down
    for nothing, `heat` the kWh that the missed need lets in (0 where sun counts by minutes), `cost`
    all of it and the moves, in minutes of sun let in.
    """

    missed: int
    needless: int
    heat: float
    cost: float

    @classmethod
    def sum(cls, prices: Iterable[Price]) -> Price:
        """What several shades come to."""
        addends = list(prices)
        return cls(
            sum(price.missed for price in addends),
            sum(price.needless for price in addends),
            sum(price.heat for price in addends),
            sum(price.cost for price in addends),
        )


class Pricer:
    """Prices closings of the shades of some units, as the optimiser does."""

    def __init__(self, site: Site, units: Sequence[Unit], light: Sequence[Spell]) -> None:
        self._best = site.best
        self._scales = {
            member.shade.name: Scales(part_of(site, member), unit.motor.timing.travel, light)
            for unit in units
            for member in unit.members
        }

    def price(self, shade: str, closings: Sequence[Closing]) -> Price:
        """What the closings (sorted, disjoint) of a shade come to."""
        best, scales = self._best, self._scales[shade]
        missed, worth = scales.need.total, scales.worth.total
        heat = scales.heat.total if scales.heat else 0.0
        needless, lost = 0.0, 0.0
        for row in closings:
            missed -= scales.covered(row, scales.need)
            worth -= scales.covered(row, scales.worth)
            heat -= scales.covered(row, scales.heat) if scales.heat else 0.0
            free = scales.lost(row)
            needless += free
            lost += free * row.position / 100
        cost = best.sun * worth / 60 + best.daylight * lost / 60 + best.move * 2 * len(closings)
        return Price(int(missed), int(needless), max(heat, 0.0) / J_PER_KWH, cost)
