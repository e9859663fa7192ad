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
from suncover.plan.audit import (
    Overload,
    QuietMove,
    down_at,
    moves_in_quiet,
    overloads_of,
    run_seconds_by_date,
    wanted_by_position,
)
from suncover.plan.best.looser import ALONE, looser, tighter_margins
from suncover.plan.closings.rules import Draft, timing_of
from suncover.plan.closings.shade_plan import ShadePlan, drafts_by_rules, motor_moves_by_date
from suncover.plan.season import ShadeSun, plan_units
from suncover.plan.sharing.groups import Member, joint_need, joint_up
from suncover.site.model import Shade, Site

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
    the month; `moves` how many more moves. Steps of one `limit` with `shared` are told together.
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
    wanted = wanted_by_position(sun)
    kept = [intersect(spells, down(position)) for position, spells in wanted.items()]
    covered = kept[0] if len(kept) == 1 else union(part for parts in kept for part in parts)
    asked = union(spell for spells in wanted.values() for spell in spells)
    rows = union(Spell(closing.close, closing.open) for closing in closings)
    # While a motor that closes late is running, nothing is covered yet.
    running = subtract(intersect(asked, rows), covered)
    uncovered = union([*(Spell(part.start, part.end) for part in plan.uncovered), *running])
    return ShadeSummary(
        shade.name,
        total_seconds(subtract(covered, uncovered)),
        total_seconds(uncovered),
        total_seconds(intersect(subtract(rows, asked), light)),
        max(motor_moves_by_date(closings, zone).values(), default=0),
        max(run_seconds_by_date(closings, shade, zone).values(), default=0.0),
        tuple(moves_in_quiet(closings, shade, zone)),
    )


def steps_by_rules(site: Site, suns: Sequence[ShadeSun], light: Sequence[Spell]) -> Iterator[Step]:
    """The plan by the rules with each limit one step looser, for each shade or group of them.

    Before supplies spread the starts, and before times are rounded or settings drawn together.
    """
    for name, members in plan_units(site, suns):
        unit = _Unit(site, name, members, light)
        yield from unit.steps()
        # Members that stay up at different times go their own ways then: no plan of one for all is
        # what they are held against.
        if len(members) > 1 and len({member.up for member in members}) == 1:
            yield unit.apart(
                [_Unit(site, one.shade.name, [one], light, unit.months) for one in members]
            )


class _Unit:
    """A shade, or a group that moves together, and what its closings are weighed by."""

    def __init__(
        self,
        site: Site,
        name: str,
        members: Sequence[Member],
        light: Sequence[Spell],
        months: Sequence[tuple[int, date]] | None = None,
    ) -> None:
        self._name, self._zone = name, site.place.zone
        self.rules, spells, self._season = joint_need(members, self._zone)
        self._spells, self._up = union(spells), joint_up([member.up for member in members])
        needs = [union(member.needed) for member in members]
        self._needs = [_Sums(need) for need in needs]
        self._free = [_Sums(subtract(light, need)) for need in needs]
        self.months = _months(self._spells, self._zone) if months is None else months

    def steps(self) -> Iterator[Step]:
        if not self._spells:
            return
        drafts = self._drafts(self.rules)
        before = self._weigh(self.rules, drafts)
        margins = tighter_margins(self.rules)
        for limit, rules in (*looser(self.rules, PAIR), *([margins] if margins else [])):
            if not self._binds(rules, drafts):
                yield Step(self._name, limit, {}, {}, 0)
                continue
            looser_drafts = self._drafts(rules)
            after = self._weigh(rules, looser_drafts)
            yield Step(
                self._name,
                limit,
                self._by_month(after.covered - before.covered),
                self._by_month(before.needless - after.needless),
                PAIR * len(self._needs) * (len(looser_drafts) - len(drafts)),
                shared=margins is not None and limit == margins[0],
            )

    def apart(self, each: Sequence[_Unit]) -> Step:
        """What it brings if the shades of a group move `each` by itself, with these months."""
        drafts, own = self._drafts(self.rules), [unit._drafts(unit.rules) for unit in each]
        before = self._weigh(self.rules, drafts)
        after = [unit._weigh(unit.rules, mine) for unit, mine in zip(each, own, strict=True)]
        covered = np.sum([one.covered for one in after], axis=0) - before.covered
        needless = before.needless - np.sum([one.needless for one in after], axis=0)
        moves = PAIR * (sum(len(mine) for mine in own) - len(each) * len(drafts))
        return Step(self._name, ALONE, self._by_month(covered), self._by_month(needless), moves)

    def _drafts(self, rules: Shade) -> list[Draft]:
        return drafts_by_rules(rules, self._spells, self._zone, self._season, self._up)

    def _binds(self, rules: Shade, drafts: Sequence[Draft]) -> bool:
        """Whether the limit that these rules loosen can have made any difference."""
        if rules.moves != self.rules.moves:
            return any(draft.for_moves for draft in drafts)
        if rules.merge != self.rules.merge:
            return any(draft.last > draft.first for draft in drafts)
        if rules.shortest != self.rules.shortest:
            return sum(draft.last - draft.first + 1 for draft in drafts) < len(self._spells)
        return True

    def _weigh(self, rules: Shade, drafts: Sequence[Draft]) -> _Weights:
        """What the closings cover and cost, month by month."""
        close = np.array([draft.close for draft in drafts], dtype=np.int64)
        opens = np.array([draft.open for draft in drafts], dtype=np.int64)
        starts = np.array([start for start, _ in self.months], dtype=np.int64)
        month = np.maximum(np.searchsorted(starts, close, side="right") - 1, 0)
        down = np.minimum(close + timing_of(rules).travel, opens)

        def by_month(sums: Sequence[_Sums], begin: NDArray[np.int64]) -> NDArray[np.float64]:
            seconds = np.sum([one.between(begin, opens) for one in sums], axis=0)
            return np.bincount(month, seconds, len(starts)).astype(np.float64)

        return _Weights(by_month(self._needs, down), by_month(self._free, close))

    def _by_month(self, seconds: NDArray[np.float64]) -> dict[date, int]:
        return {
            day: round(float(each))
            for (_, day), each in zip(self.months, seconds, strict=True)
            if each
        }


@dataclass(frozen=True)
class _Weights:
    """Seconds of need covered, and of needless closing, month by month."""

    covered: NDArray[np.float64]
    needless: NDArray[np.float64]


class _Sums:
    """How many seconds of some spells (sorted, disjoint) lie in stretches of time."""

    def __init__(self, spells: Sequence[Spell]) -> None:
        ends = [(spell.start, spell.end) for spell in spells]
        flat = np.array(ends, dtype=np.int64).reshape(-1, 2)
        lengths = flat[:, 1] - flat[:, 0]
        self._edges = flat.ravel()
        up_to = np.cumsum(lengths, dtype=np.float64)
        self._sums = np.column_stack([up_to - lengths, up_to]).ravel()

    def between(self, start: NDArray[np.int64], end: NDArray[np.int64]) -> NDArray[np.float64]:
        """Seconds from each `start` to its `end`."""
        if not len(self._edges):
            return np.zeros(len(start))
        before = np.interp([start, end], self._edges, self._sums)
        found: NDArray[np.float64] = before[1] - before[0]
        return found


def _months(spells: Sequence[Spell], zone: ZoneInfo) -> list[tuple[int, date]]:
    """The months that hold some spells, and those beside them: first instant, first day."""
    if not spells:
        return []
    margin = 31 * clock.DAY_S
    at = clock.local_date(spells[0].start - margin, zone).replace(day=1)
    end = clock.local_date(spells[-1].end, zone)
    found = []
    while at <= end:
        found.append((clock.day_bounds(at, zone).start, at))
        at = (at + timedelta(days=31)).replace(day=1)
    return found
