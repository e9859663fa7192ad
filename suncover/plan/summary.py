"""What a plan comes to, and what one step of each limit would bring.

ShadeSun, rows of a plan ──> summary_of ──> PlanSummary
ShadeSun ──> steps_by_rules ──> Step, from the rules alone: no sun is sought, no reason is written
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from suncover.base import clock
from suncover.base.shown import short_repr
from suncover.base.spell import Spell, clip, intersect, subtract, total_seconds, union
from suncover.plan.best.looser import ALONE, looser, tighter_margins
from suncover.plan.best.weigh import Part, Scales
from suncover.plan.closings.rules import Draft
from suncover.plan.closings.shade_plan import ShadePlan, drafts_by_rules
from suncover.plan.motor import Motor, QuietMove, moves_by_date
from suncover.plan.replay import (
    Overload,
    down_at,
    overloads_of,
    replayed,
    run_seconds_by_date,
    wanted_by_position,
)
from suncover.plan.unit import ShadeSun, Unit, units_of
from suncover.site.model import Shade, Site

Floats = NDArray[np.float64]

PAIR = 2  # moves: one more closing takes two


@dataclass(frozen=True)
class ShadeSummary:
    """What a plan does with one shade between its dates; lengths in seconds.

    `covered` and `uncovered` are the two parts of the need; `needless` is daylight with the shade
    down and nothing that asks for it. `moves` and `run_seconds` are the most on any date.
    """

    shade: str
    covered: int
    uncovered: int
    needless: int
    moves: int
    run_seconds: float
    in_quiet: tuple[QuietMove, ...]

    @property
    def needed(self) -> int:
        """The whole need."""
        return self.covered + self.uncovered


@dataclass(frozen=True)
class PlanSummary:
    """What a plan does with all shades, and where their supplies are asked for too much."""

    __repr__ = short_repr

    shades: tuple[ShadeSummary, ...]
    overloads: tuple[Overload, ...]


@dataclass(frozen=True)
class Step:
    """What the plan by the rules comes to with one limit a step looser, against what it is.

    `name` is that of a shade or a group, `limit` the looser one in words. `uncovered` and
    `needless` are how many seconds less there are of each (more if negative), by the first day of
    the month; `moves` how many more moves. Steps of one `limit` with `shared` share a line.
    """

    name: str
    limit: str
    uncovered: Mapping[date, int]
    needless: Mapping[date, int]
    moves: int
    shared: bool = False

    @property
    def changes(self) -> bool:
        """Whether the step makes any difference of a minute, or of a move."""
        sums = (sum(self.uncovered.values()), sum(self.needless.values()))
        return any(abs(seconds) >= 60 for seconds in sums) or self.moves != 0


def summary_of(
    site: Site,
    suns: Sequence[ShadeSun],
    plans: Sequence[ShadePlan],
    span: Spell,
    light: Sequence[Spell],
) -> PlanSummary:
    """What the plans (which go with `suns`) come to; `light` is when it is light outdoors."""
    shades = tuple(
        _shade_summary(site, sun, plan, clip(light, span.start, span.end))
        for sun, plan in zip(suns, plans, strict=True)
    )
    closings = [closing for plan in plans for closing in plan.closings]
    return PlanSummary(shades, overloads_of(site, closings))


def _shade_summary(
    site: Site, sun: ShadeSun, plan: ShadePlan, light: Sequence[Spell]
) -> ShadeSummary:
    shade, zone, closings = sun.shade, site.place.zone, plan.closings
    down = down_at(closings, shade)
    by_position = wanted_by_position(sun)
    covered_parts = [intersect(spells, down(position)) for position, spells in by_position.items()]
    covered = (
        covered_parts[0]
        if len(covered_parts) == 1
        else union(part for parts in covered_parts for part in parts)
    )
    wanted = union(spell for spells in by_position.values() for spell in spells)
    rows = replayed(closings)
    # While a motor that closes late is running, nothing is covered yet.
    running = subtract(intersect(wanted, rows), covered)
    uncovered = union([*(Spell(part.start, part.end) for part in plan.uncovered), *running])
    return ShadeSummary(
        shade.name,
        total_seconds(subtract(covered, uncovered)),
        total_seconds(uncovered),
        total_seconds(intersect(subtract(rows, wanted), light)),
        max(moves_by_date(closings, zone).values(), default=0),
        max(run_seconds_by_date(closings, shade, zone).values(), default=0.0),
        tuple(Motor(shade, zone).in_quiet(closings)),
    )


def steps_by_rules(site: Site, suns: Sequence[ShadeSun], light: Sequence[Spell]) -> Iterator[Step]:
    """The plan by the rules with each limit one step looser, for each shade or group of them.

    Before supplies spread the starts, and before times are rounded or settings drawn together.
    """
    for unit in units_of(site, suns):
        weighed = _Weighed(unit, light)
        yield from weighed.steps()
        # Members that stay up at different times go their own ways then: no plan of one for all is
        # what they are held against.
        if len(unit.members) > 1 and not any(unit.own_ups):
            alone = [_Weighed(unit.alone(m), light, weighed.months) for m in unit.members]
            yield weighed.apart(alone)


class _Weighed:
    """A unit, and what its closings are weighed by, month by month."""

    def __init__(
        self, unit: Unit, light: Sequence[Spell], months: Sequence[tuple[int, date]] | None = None
    ) -> None:
        self._unit, self._zone = unit, unit.motor.zone
        self.months = _months(unit.needed, self._zone) if months is None else months
        self._starts = [start for start, _ in self.months]
        # No looser limit changes how long a motor runs.
        travel = unit.motor.timing.travel
        self._scales = [
            Scales(Part(member.needed, member.needed, ()), travel, light) for member in unit.members
        ]

    def steps(self) -> Iterator[Step]:
        rules = self._unit.motor.rules
        if not self._unit.needed:
            return
        drafts = self._drafts(rules)
        before = self._weigh(drafts)
        margins = tighter_margins(rules)
        for limit, looser_rules in (*looser(rules, PAIR), *([margins] if margins else [])):
            if not self._binds(looser_rules, drafts):
                yield Step(self._unit.name, limit, {}, {}, 0)
                continue
            looser_drafts = self._drafts(looser_rules)
            after = self._weigh(looser_drafts)
            moves = PAIR * len(self._unit.members) * (len(looser_drafts) - len(drafts))
            shared = margins is not None and limit == margins[0]
            yield self._step(limit, before, after, moves, shared=shared)

    def apart(self, alone: Sequence[_Weighed]) -> Step:
        """What it brings if the shades of a group move `alone`, with these months."""
        rules = self._unit.motor.rules
        drafts = self._drafts(rules)
        drafted = [(member, member._drafts(member._unit.motor.rules)) for member in alone]
        after = np.sum([member._weigh(member_drafts) for member, member_drafts in drafted], axis=0)
        moves = PAIR * (
            sum(len(member_drafts) for _, member_drafts in drafted) - len(alone) * len(drafts)
        )
        return self._step(ALONE, self._weigh(drafts), after, moves)

    def _drafts(self, rules: Shade) -> list[Draft]:
        unit = self._unit.with_rules(rules)
        return drafts_by_rules(unit.motor, self._unit.needed, unit.season)

    def _binds(self, rules: Shade, drafts: Sequence[Draft]) -> bool:
        """Whether the limit that these rules loosen can have made any difference."""
        present = self._unit.motor.rules
        if rules.moves != present.moves:
            return any(draft.for_moves for draft in drafts)
        if rules.merge != present.merge:
            return any(draft.last > draft.first for draft in drafts)
        if rules.shortest != present.shortest:
            return sum(draft.last - draft.first + 1 for draft in drafts) < len(self._unit.needed)
        return True

    def _weigh(self, drafts: Sequence[Draft]) -> Floats:
        """Seconds of need that the closings cover and of daylight that they lose, month by month:
        (2, months).
        """
        ends = np.array([(draft.close, draft.open) for draft in drafts], dtype=np.int64)
        close, opens = ends.reshape(-1, 2).T
        months = np.maximum(np.searchsorted(self._starts, close, side="right") - 1, 0)
        sums = np.zeros((2, len(self.months)))
        for scales in self._scales:
            sums += [
                np.bincount(months, seconds, len(self.months))
                for seconds in scales.of_each(close, opens)
            ]
        return sums

    def _step(
        self, limit: str, before: Floats, after: Floats, moves: int, *, shared: bool = False
    ) -> Step:
        gained, spared = (
            self._by_month(seconds) for seconds in (after[0] - before[0], before[1] - after[1])
        )
        return Step(self._unit.name, limit, gained, spared, moves, shared=shared)

    def _by_month(self, seconds: Floats) -> dict[date, int]:
        return {
            day: round(amount)
            for (_, day), amount in zip(self.months, seconds.tolist(), strict=True)
            if amount
        }


def _months(spells: Sequence[Spell], zone: ZoneInfo) -> list[tuple[int, date]]:
    """The months that hold some spells, and those beside them: first instant, first day."""
    if not spells:
        return []
    margin = 31 * clock.DAY_S
    at = clock.local_date(spells[0].start - margin, zone).replace(day=1)
    end = clock.local_date(spells[-1].end, zone)
    months = []
    while at <= end:
        months.append((clock.day_bounds(at, zone).start, at))
        at = (at + timedelta(days=31)).replace(day=1)
    return months
