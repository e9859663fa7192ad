"""The best plans of a site's shades: the optimiser's choice with reasons, and what limits cost.

ShadeSun ──> best_units ──> optimise.best_choice ──> ShadePlan ──> supplies ──> BestPlan
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from suncover.base import clock
from suncover.base.shown import short_repr
from suncover.base.spell import Spell, clip, intersect, seconds_in_each, subtract, union
from suncover.plan import exceptions
from suncover.plan.best.looser import ALONE, looser
from suncover.plan.best.optimise import Choice, Problem, best_choice
from suncover.plan.best.turns import Turns, worth_their_turns
from suncover.plan.best.units import Asked, Price, Pricer, Unit, apart, problem_of, units_of, ups_of
from suncover.plan.closings import reasons, stops
from suncover.plan.closings.shade_plan import Closing, ShadePlan, Uncovered, sunny
from suncover.plan.closings.stops import Down
from suncover.plan.season import ShadeSun, plans_for
from suncover.plan.sharing.groups import own_ups
from suncover.plan.sharing.own_way import with_own_way
from suncover.site.model import Site

NOT_WORTH_IT = "no closing for it within the limits is worth what it costs in daylight and moves"


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

    `name` is that of its shade or group, `limit` the looser one in words. `now` and `then` are what
    all of its shades come to, before any supply spreads their starts; `moves` how many more (or
    fewer) moves they make.
    """

    name: str
    limit: str
    now: Price
    then: Price
    moves: int


def best_plans(site: Site, suns: Sequence[ShadeSun], light: Sequence[Spell]) -> list[BestPlan]:
    """The best plans of all shades, in the order of `suns`; `light` is when it is light.

    Shades that move together have one best plan; a supply then spreads the starts of its shades,
    and closings that are not worth that are left out or bridged.
    """
    units = {unit.shades[0]: unit for unit in units_of(site, suns)}
    pricer = Pricer(site, list(units.values()), light)
    problems = {name: problem_of(site, unit, light) for name, unit in units.items()}
    choices = {name: best_choice(problem)[1] for name, problem in problems.items()}
    alone = {name: _alone(site, unit, light) for name, unit in units.items()}
    if site.supplies:
        aside = {plan.shade: plan.closings for plans in alone.values() for plan in plans.values()}
        choices = worth_their_turns(Turns(site, units, pricer, problems, aside), choices)
    own = {
        plan.shade: plan
        for name, unit in units.items()
        for plan in _plans_of(site, unit, problems[name], choices[name], alone[name])
    }
    shared = plans_for(site, suns, [own[sun.shade.name] for sun in suns])
    rules = plans_for(site, suns)
    return [
        BestPlan(
            _with_limits(plan, ruled),
            pricer.price(plan.shade, plan.closings),
            pricer.price(plan.shade, ruled.closings).cost,
        )
        for plan, ruled in zip(shared, rules, strict=True)
    ]


def _with_limits(best: ShadePlan, ruled: ShadePlan) -> ShadePlan:
    """The best plan with what a limit keeps uncovered told as that limit's doing.

    What the plan by the rules has to leave uncovered too is not the weights' choice.
    """
    kept = [part for part in ruled.uncovered if part.rule in ("shortest", "season")]
    left: list[Uncovered] = []
    for part in best.uncovered:
        if part.rule != "best":
            left.append(part)
            continue
        whole = [Spell(part.start, part.end)]
        for other in kept:
            for both in intersect(whole, [Spell(other.start, other.end)]):
                told = replace(part, start=both.start, end=both.end)
                left.append(replace(told, why=other.why, rule=other.rule))
        rest = subtract(whole, union(Spell(other.start, other.end) for other in kept))
        left += [replace(part, start=piece.start, end=piece.end) for piece in rest]
    return replace(best, uncovered=tuple(sorted(left, key=lambda part: (part.start, part.end))))


def unit_plans(site: Site, unit: Unit, light: Sequence[Spell]) -> list[ShadePlan]:
    """The best plans of the shades of a unit, in its order."""
    problem = problem_of(site, unit, light)
    alone = _alone(site, unit, light)
    return _plans_of(site, unit, problem, best_choice(problem)[1], alone)


def _alone(site: Site, unit: Unit, light: Sequence[Spell]) -> dict[str, ShadePlan]:
    """The best plans of those shades of a group that have to stay up when others of it need not,
    each by itself.
    """
    return {
        one.name: unit_plans(site, one, light)[0]
        for one, up in zip(apart(site, unit), own_ups(ups_of(unit)), strict=True)
        if up
    }


def steps(site: Site, units: Sequence[Unit], light: Sequence[Spell]) -> Iterator[Step]:
    """The best plan of each unit with each of its limits one step looser, and of a group also with
    its shades each by itself.
    """
    for unit in units:
        pricer = Pricer(site, [unit], light)
        now = unit_plans(site, unit, light)
        for limit, rules in looser(unit.rules):
            then = unit_plans(site, replace(unit, rules=rules), light)
            yield _step(unit.name, limit, pricer, (now, then))
        if len(unit.members) > 1:
            alone = [plan for one in apart(site, unit) for plan in unit_plans(site, one, light)]
            yield _step(unit.name, ALONE, pricer, (now, alone))


def _step(
    name: str, limit: str, pricer: Pricer, plans: tuple[Sequence[ShadePlan], Sequence[ShadePlan]]
) -> Step:
    now, then = plans
    moves = 2 * sum(len(b.closings) - len(a.closings) for a, b in zip(now, then, strict=True))
    return Step(name, limit, _sum(pricer, now), _sum(pricer, then), moves)


def _sum(pricer: Pricer, plans: Sequence[ShadePlan]) -> Price:
    prices = [pricer.price(plan.shade, plan.closings) for plan in plans]
    return Price(
        sum(price.missed for price in prices),
        sum(price.needless for price in prices),
        sum(price.heat for price in prices),
        sum(price.cost for price in prices),
    )


def _plans_of(
    site: Site,
    unit: Unit,
    problem: Problem,
    choices: Sequence[Choice],
    alone: Mapping[str, ShadePlan],
) -> list[ShadePlan]:
    """The plans of a unit's shades by the closings that are chosen for it; those that have a plan
    `alone` go by that while they have to stay up.
    """
    plans = []
    for member, up in zip(unit.members, own_ups(ups_of(unit)), strict=True):
        plan, shade = _plan_of(site, unit, member, problem, choices), member.sun.shade
        if shade.name in alone:
            plan = with_own_way(shade, up, plan, alone[shade.name], site.place.zone)
        plans.append(plan)
    return plans


def _plan_of(
    site: Site, unit: Unit, member: Asked, problem: Problem, choices: Sequence[Choice]
) -> ShadePlan:
    """The plan of one shade of a unit, by the closings that are chosen for all of it."""
    zone, sun = site.place.zone, member.sun
    rows = [Spell(choice.draft.close, choice.draft.open) for choice in choices]
    reasons = _reasons(site, unit, problem, choices, rows)
    closings = tuple(
        Closing(
            sun.shade.name,
            clock.local_date(row.start, zone),
            row.start,
            row.end,
            seconds,
            reason,
            choice.stop,
            stops.run_seconds(sun.shade, choice.stop),
        )
        for choice, row, seconds, reason in zip(
            choices, rows, seconds_in_each(sun.counted, rows), reasons, strict=True
        )
    )
    left = tuple(_uncovered(site, member, choices, rows))
    return exceptions.with_reasons(sun.exceptions, ShadePlan(sun.shade.name, closings, left), zone)


def _reasons(
    site: Site, unit: Unit, problem: Problem, choices: Sequence[Choice], rows: Sequence[Spell]
) -> list[str]:
    """What each closing is for, in the words of the plan by the rules."""
    zone, spells = site.place.zone, problem.spells
    # What stays up whatever the sun does has no part in why the others close.
    windows = {
        name: seconds_in_each(subtract(own, exceptions.up_spells(member.sun.exceptions)), rows)
        for member in unit.members
        for name, own in member.sun.needed.items()
    }
    wants = sorted(
        (want for member in unit.members for want in member.sun.wants or ()),
        key=lambda want: (want.spell, want.need, want.what),
    )
    sentences = []
    held = stops.held_by_each(wants, rows)
    for number, (choice, wanted) in enumerate(zip(choices, held, strict=True)):
        mine = clip(spells, choice.begin, choice.end)
        draft = choice.draft._replace(first=0, last=len(mine) - 1)
        names = tuple(name for name, seconds in windows.items() if seconds[number])
        more = any(want.need != "heat" for want in wanted)
        why = reasons.need_phrases(wanted, draft.close, zone) if more else ()
        reason = reasons.closing_reason(draft, mine, zone, windows=names, why=why)
        sentences.append(reasons.with_stop(reason, Down(choice.stop, choice.home)))
    return sentences


def _uncovered(
    site: Site, member: Asked, choices: Sequence[Choice], rows: Sequence[Spell]
) -> Iterator[Uncovered]:
    """What is asked and no closing holds: before quiet hours end, or not worth a closing."""
    name, wants = member.sun.shade.name, member.sun.wants
    with_sun = sunny(wants or ())
    late = [choice for choice in choices if choice.draft.late]
    for part in subtract(union(member.part.asked), rows):
        sun = wants is None or bool(intersect([part], with_sun))
        draft = next((c.draft for c in late if c.begin <= part.start < c.end), None)
        if draft is None:
            yield Uncovered(name, part.start, part.end, NOT_WORTH_IT, "best", sun)
        else:
            why = reasons.closes_late(draft, site.place.zone)
            yield Uncovered(name, part.start, part.end, why, "quiet", sun)
