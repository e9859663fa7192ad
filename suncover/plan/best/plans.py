"""The best plans of a site's shades: the optimiser's choice with reasons, and what limits cost.

Unit ──> optimise.best_choice ──> the plan of the unit ──> its shades, supplies ──> BestPlan
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial

from suncover.base.shown import short_repr
from suncover.base.spell import Spell, clip, intersect, subtract, union
from suncover.plan.best.looser import ALONE, looser
from suncover.plan.best.optimise import Choice, Problem, best_choice
from suncover.plan.best.weigh import Price, Pricer, part_of
from suncover.plan.closings import reasons
from suncover.plan.closings.remarks import remarks_on
from suncover.plan.closings.shade_plan import (
    Chosen,
    ShadePlan,
    Uncovered,
    closings_of,
    sunny,
    worded,
)
from suncover.plan.closings.stops import Down
from suncover.plan.closings.unit_plans import plans_of
from suncover.plan.season import by_rules
from suncover.plan.sharing.supply import share
from suncover.plan.unit import ShadeSun, Unit, units_of
from suncover.site.model import Site

NOT_WORTH_IT = "no closing for it within the limits is worth what it costs in daylight and moves"
LEAST_COST = 1e-6
"""Costs that differ by less are the same."""


@dataclass(frozen=True)
class BestPlan:
    """A shade's best plan, what it comes to, and what the plan by the rules costs by the same
    weights.
    """

    __repr__ = short_repr

    plan: ShadePlan
    price: Price
    by_rules: float

    @property
    def moves(self) -> int:
        """How often the motor moves in all."""
        return 2 * len(self.plan.closings)


@dataclass(frozen=True)
class Step:
    """What the best plan of a unit comes to with one limit a step looser, against what it is.

    `name` is that of its shade or group, `limit` the looser limit in words. `before` and `after`
    are what all of its shades come to as they are and with that limit, before any supply spreads
    their starts; `moves` how many more (or fewer) moves they make.
    """

    name: str
    limit: str
    before: Price
    after: Price
    moves: int


def best_plans(site: Site, suns: Sequence[ShadeSun], light: Sequence[Spell]) -> list[BestPlan]:
    """The best plans of all shades, in the order of `suns`; `light` is when it is light.

    Shades that move together have one best plan; a supply then spreads the starts of its shades.
    Where that makes them dearer than the plans by the rules, these are taken.
    """
    units = units_of(site, suns)
    pricer = Pricer(site, units, light)
    ruled = {unit.name: plans_of(unit, by_rules) for unit in units}
    plans = {unit.name: unit_plans(site, unit, light) for unit in units}
    rules = share(site, units, [plan for unit in units for plan in ruled[unit.name]])
    limit = {plan.shade: pricer.price(plan.shade, plan.closings).cost for plan in rules}
    while True:
        shared = share(site, units, [plan for unit in units for plan in plans[unit.name]])
        price = {plan.shade: pricer.price(plan.shade, plan.closings) for plan in shared}
        dearer = _dearer(site, units, {name: price[name].cost - limit[name] for name in price})
        dearer = [unit for unit in dearer if plans[unit.name] is not ruled[unit.name]]
        if not dearer:
            break
        plans |= {unit.name: ruled[unit.name] for unit in dearer}
    return [
        BestPlan(_with_limits(plan, by_rule), price[plan.shade], limit[plan.shade])
        for plan, by_rule in zip(shared, rules, strict=True)
    ]


def _dearer(site: Site, units: Sequence[Unit], extra_cost: dict[str, float]) -> list[Unit]:
    """The units that share supplies and are dearer in all than by the rules; `extra_cost` is by how
    much each shade is dearer.
    """
    crowds: list[list[Unit]] = [[unit] for unit in units]
    for supply in site.supplies:
        supplied = [
            crowd for crowd in crowds if any(set(u.shades) & set(supply.shades) for u in crowd)
        ]
        separate = [crowd for crowd in crowds if crowd not in supplied]
        crowds = [*separate, [unit for crowd in supplied for unit in crowd]]
    return [
        unit
        for crowd in crowds
        if sum(extra_cost[name] for unit in crowd for name in unit.shades) > LEAST_COST
        for unit in crowd
    ]


def _with_limits(best: ShadePlan, ruled: ShadePlan) -> ShadePlan:
    """The best plan, with what a limit keeps uncovered reported as that limit's effect.

    What the plan by the rules has to leave uncovered too is not the weights' choice.
    """
    limits = [part for part in ruled.uncovered if part.rule in ("shortest", "season")]
    result: list[Uncovered] = []
    for part in best.uncovered:
        if part.rule != "best":
            result.append(part)
            continue
        span = [Spell(part.start, part.end)]
        for limit in limits:
            for overlap in intersect(span, [Spell(limit.start, limit.end)]):
                piece = replace(part, start=overlap.start, end=overlap.end)
                result.append(replace(piece, why=limit.why, rule=limit.rule))
        chosen = subtract(span, union(Spell(limit.start, limit.end) for limit in limits))
        result += [replace(part, start=piece.start, end=piece.end) for piece in chosen]
    return replace(best, uncovered=tuple(sorted(result, key=lambda part: (part.start, part.end))))


def unit_plans(site: Site, unit: Unit, light: Sequence[Spell]) -> list[ShadePlan]:
    """The best plans of the shades of a unit, in its order."""
    return plans_of(unit, partial(_best_of, site, light))


def steps(site: Site, units: Sequence[Unit], light: Sequence[Spell]) -> Iterator[Step]:
    """The best plan of each unit with each of its limits one step looser, and of a group also with
    its shades each by itself.
    """
    for unit in units:
        pricer = Pricer(site, [unit], light)
        present = unit_plans(site, unit, light)
        for limit, rules in looser(unit.motor.rules):
            loosened = unit_plans(site, unit.with_rules(rules), light)
            yield _step(unit.name, limit, pricer, (present, loosened))
        if len(unit.members) > 1:
            parts = [unit.alone(member) for member in unit.members]
            alone = [plan for part in parts for plan in unit_plans(site, part, light)]
            yield _step(unit.name, ALONE, pricer, (present, alone))


def _step(
    name: str, limit: str, pricer: Pricer, plans: tuple[Sequence[ShadePlan], Sequence[ShadePlan]]
) -> Step:
    present, loosened = plans
    moves = 2 * sum(
        len(b.closings) - len(a.closings) for a, b in zip(present, loosened, strict=True)
    )
    before, after = (Price.sum(pricer.price(p.shade, p.closings) for p in rows) for rows in plans)
    return Step(name, limit, before, after, moves)


def problem_of(site: Site, unit: Unit, light: Sequence[Spell]) -> Problem:
    """A unit's need as the optimiser takes it; `light` is when it is light outdoors."""
    parts = [
        part_of(site, member, up) for member, up in zip(unit.members, unit.own_ups, strict=True)
    ]
    return Problem(unit.motor, parts, light, unit.season, site.best)


def _best_of(site: Site, light: Sequence[Spell], unit: Unit) -> ShadePlan:
    """The best plan of a unit, as that of one shade."""
    problem = problem_of(site, unit, light)
    choices = best_choice(problem)[1]
    motor, rules = unit.motor, unit.motor.rules
    chosen = [Chosen(c.draft, clip(problem.spells, c.begin, c.end)) for c in choices]
    downs = [Down(choice.stop, choice.home) for choice in choices]
    sentences = worded(motor, chosen, unit.windows, unit.wants, downs)
    drafts = [choice.draft for choice in choices]
    closings = closings_of(rules, motor.zone, drafts, downs, sentences, sun=())
    left = tuple(_uncovered(unit, choices))
    return ShadePlan(rules.name, closings, left, remarks_on(motor, closings))


def _uncovered(unit: Unit, choices: Sequence[Choice]) -> Iterator[Uncovered]:
    """What is asked and no closing holds: before quiet hours end, or not worth a closing."""
    name, with_sun = unit.motor.rules.name, sunny(unit.wants)
    rows = [Spell(choice.draft.close, choice.draft.open) for choice in choices]
    bent = [choice for choice in choices if choice.draft.late or choice.draft.sooner]
    need = union(spell for member in unit.members for spell in member.need)
    for part in subtract(need, rows):
        sun = bool(intersect([part], with_sun))
        draft = next((c.draft for c in bent if c.begin <= part.start < c.end), None)
        if draft is None:
            yield Uncovered(name, part.start, part.end, NOT_WORTH_IT, "best", sun)
        else:
            reason = reasons.opens_sooner(draft, unit.motor.zone)
            if part.start < draft.close:
                reason = reasons.closes_late(draft, unit.motor.zone, unit.motor.rules.in_quiet)
            yield Uncovered(name, part.start, part.end, reason, "quiet", sun)
