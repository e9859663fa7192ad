"""The best plans of a site's shades: the optimiser's choice with reasons, and what limits cost.

ShadeSun ──> Problem ──> optimise.best_groups ──> ShadePlan
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

from suncover import clock, plan_positions, plan_reasons
from suncover.exposure import observer_of, whole_seconds
from suncover.optimise import Problem, best_groups
from suncover.pipeline import ShadeSun, needed_by, plan_for
from suncover.plan import Closing, ShadePlan, Uncovered
from suncover.plan_rules import Draft, timing_of
from suncover.site import Shade, Site
from suncover.spell import Spell, intersect, seconds_in_each, subtract, total_seconds, union
from suncover.twilight import light_intervals

NOT_WORTH_IT = "covering it would cost more in daylight and moves than it is worth"


@dataclass(frozen=True)
class BestPlan:
    """A shade's best plan, and what it comes to.

    `cost` is in minutes of sun let in. `missed` and `needless` are seconds of need left uncovered
    and of daylight with the shade down for nothing.
    """

    plan: ShadePlan
    cost: float
    missed: int
    needless: int

    @property
    def moves(self) -> int:
        """How often the motor moves in all."""
        return 2 * len(self.plan.closings)


@dataclass(frozen=True)
class Loosened:
    """What the best plan comes to with one limit a step looser."""

    limit: str
    plan: BestPlan


def light_of(site: Site, span: Spell) -> tuple[Spell, ...]:
    """When it is light outdoors in a span and on the day to either side of it."""
    margin = 2 * clock.DAY_S
    observer = observer_of(site.place)
    return whole_seconds(light_intervals(observer, span.start - margin, span.end + margin))


def best_plan(site: Site, sun: ShadeSun, light: Sequence[Spell]) -> BestPlan:
    """The best plan of one shade for what it is needed for; `light` is when it is light."""
    problem = problem_of(site, sun, light)
    cost, groups = best_groups(problem)
    closings = _closings(site, sun, problem, groups)
    covered = [Spell(closing.close, closing.open) for closing in closings]
    plan = ShadePlan(sun.shade.name, closings, tuple(_uncovered(problem, groups, site)))
    needless = intersect(subtract(covered, problem.spells), light)
    return BestPlan(
        plan,
        cost,
        sum(part.end - part.start for part in plan.uncovered),
        total_seconds(needless),
    )


def problem_of(site: Site, sun: ShadeSun, light: Sequence[Spell]) -> Problem:
    """A shade's need as the optimiser takes it."""
    zone, need = site.place.zone, site.need_of(sun.shade)
    spells = union(needed_by(sun))
    asked: Sequence[Spell] = spells
    season = need.plan_season
    if season is not None and spells:
        first, last = (clock.local_date(at, zone) for at in (spells[0].start, spells[-1].end))
        asked = intersect(spells, clock.season_spells(season, first, last, zone))
    held = plan_positions.held_by_each(sun.wants or (), spells)
    positions = [max((want.position for want in wants), default=100.0) for wants in held]
    return Problem(sun.shade, spells, asked, light, positions, zone, season, site.best)


def rule_cost(site: Site, sun: ShadeSun, light: Sequence[Spell]) -> float:
    """What the plan by the rules comes to by the same weights."""
    problem, plan = problem_of(site, sun, light), plan_for(site, sun)
    travel, best = timing_of(sun.shade).travel, site.best
    down = union(Spell(min(c.close + travel, c.open), c.open) for c in plan.closings)
    missed = total_seconds(subtract(problem.asked, down))
    cost = best.sun * missed / 60 + best.move * 2 * len(plan.closings)
    for closing in plan.closings:
        needless = subtract([Spell(closing.close, closing.open)], problem.spells)
        lost = total_seconds(intersect(needless, light))
        cost += best.daylight * lost / 60 * closing.position / 100
    return cost


def loosened(site: Site, sun: ShadeSun, light: Sequence[Spell]) -> Iterator[Loosened]:
    """The best plan with each limit of a shade one step looser, where the shade has it."""
    shade = sun.shade
    steps: list[tuple[str, dict[str, Any]]] = []
    if shade.moves is not None:
        steps.append((f"{shade.moves + 1} moves a day", {"moves": shade.moves + 1}))
    if shade.merge > 0:
        steps.append(
            (f"merge {max(shade.merge - 10, 0):g} min", {"merge": max(shade.merge - 10, 0)})
        )
    if shade.shortest > 0:
        less = max(shade.shortest - 5, 0)
        steps.append((f"shortest {less:g} min", {"shortest": less}))
    if shade.quiet is not None:
        steps.append(("no quiet hours", {"quiet": None}))
    for label, change in steps:
        freer: Shade = shade.model_copy(update=change)
        yield Loosened(label, best_plan(site, replace(sun, shade=freer), light))


def _closings(
    site: Site, sun: ShadeSun, problem: Problem, groups: Sequence[tuple[Draft, int]]
) -> tuple[Closing, ...]:
    zone, shade = site.place.zone, sun.shade
    rows = [Spell(draft.close, draft.open) for draft, _ in groups]
    seconds = seconds_in_each(sun.counted, rows)
    windows = {name: seconds_in_each(spells, rows) for name, spells in sun.needed.items()}
    found = []
    for number, (draft, stop) in enumerate(groups):
        names = tuple(name for name, held in windows.items() if held[number])
        reason = plan_reasons.closing_reason(draft, problem.spells, zone, windows=names)
        found.append(
            Closing(
                shade.name,
                clock.local_date(draft.close, zone),
                draft.close,
                draft.open,
                seconds[number],
                reason,
                stop,
                plan_positions.run_seconds(shade, stop),
            )
        )
    return tuple(found)


def _uncovered(
    problem: Problem, groups: Sequence[tuple[Draft, int]], site: Site
) -> Iterator[Uncovered]:
    """What is asked and no closing holds: before quiet hours end, or not worth a closing."""
    starts = [spell.start for spell in problem.spells]
    late = {
        number: draft
        for draft, _ in groups
        if draft.late
        for number in range(draft.first, draft.last + 1)
    }
    covered = [Spell(draft.close, draft.open) for draft, _ in groups]
    for part in subtract(problem.asked, covered):
        draft = late.get(bisect_right(starts, part.start) - 1)
        name = problem.shade.name
        if draft is None:
            yield Uncovered(name, part.start, part.end, NOT_WORTH_IT, "best")
        else:
            why = plan_reasons.closes_late(draft, site.place.zone)
            yield Uncovered(name, part.start, part.end, why, "quiet")
