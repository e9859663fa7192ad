"""The plan of a site, from its sun to the rows of every shade: each stage called once, in order.

    Site ──> shade_sun     what sun each shade is there for, and what else it has to be down for
      │       needs: when a shade has to be closed; exceptions: when it stays up or down
      └─> units_of         what is planned as one: a shade, or a group that moves together
           └─> plans_of    closings by the rules (or the best ones), worded, for each shade
                └─> share  a supply runs so many motors at once: their starts are spread

All here is pure: dates in, spells and plans out. No file is touched and no clock is read.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date
from itertools import islice
from typing import TYPE_CHECKING

from suncover.base.clock import DAY_S, dates_bounds
from suncover.base.spell import Spell, subtract, union
from suncover.facade.exposure import (
    Watch,
    find_exposures,
    observer_of,
    whole_seconds,
)
from suncover.facade.twilight import light_intervals
from suncover.plan import exceptions as exceptions_by_date
from suncover.plan.closings.lowerings import (
    Lowering,
    ShadeMoves,
    lowerings_of,
    moves_without_remarks,
)
from suncover.plan.closings.shade_plan import ShadePlan, make_shade_plan
from suncover.plan.closings.unit_plans import plans_of
from suncover.plan.needs import Want, needed_spells
from suncover.plan.numbers import numbered
from suncover.plan.sharing.supply import share
from suncover.plan.unit import ShadeSun as ShadeSun  # noqa: PLC0414  (its door is here)
from suncover.plan.unit import Unit, units_of
from suncover.plan.unit import needed_by as needed_by  # noqa: PLC0414  (and its)
from suncover.site.model import Need, Shade, Site, Window

if TYPE_CHECKING:
    from suncover.plan.room_sun import SpotDose

BESIDE_S = 3 * DAY_S
_Key = tuple[float, float, float]


def reaches(
    site: Site,
    spells: Mapping[str, Sequence[Spell]],
    *,
    beam: float | None = None,
    height: float = 0.0,
) -> dict[str, list[float]]:
    """How far into the room the sun falls in each of the `spells` of `hours`, metres at the most.

    At a level `height` above the floor; `beam` as for `hours`. By window name; nan where no sun
    falls on that level, or only outward of the glass's lower edge.
    """
    from suncover.plan.room_sun import reach_by_spell  # noqa: PLC0415 - no plan asks for it

    need = site.with_beam(beam).need
    return {
        name: reach_by_spell(site, site.window(name), spells[name], need, height) for name in spells
    }


def doses(site: Site, first: date, last: date) -> list[SpotDose]:
    """The light that each spot gets from `first` to `last` (both included), and how much is left
    while shades keep to their plans.

    Raises
    ------
    RequestError
        As `hours`.
    """
    from suncover.plan.room_sun import spot_doses  # noqa: PLC0415 - no plan asks for it

    span = dates_bounds(first, last, site.place.zone)
    closings = {plan.shade: plan.closings for plan in season_plan(site, first, last)}
    return spot_doses(site, span.start, span.end, closings)


def shade_sun(
    site: Site,
    first: date,
    last: date,
    *,
    shades: Sequence[Shade] | None = None,
    watch: Watch = iter,
) -> list[ShadeSun]:
    """What sun each shade is there for, in the order of `Site.all_shades`.

    Each window is worked out once for each need that differs in beam, fraction or power. With
    `shades` only for these; what they are in a group with has to be among them.

    Raises
    ------
    RequestError
        As `hours`.
    """
    span = dates_bounds(first, last, site.place.zone)
    chosen = site.all_shades() if shades is None else shades
    sun = _sun_by_need(site, chosen, span, watch)
    suns = []
    for shade in chosen:
        need = site.need_of(shade)
        needed = {name: sun[_key(need)][name] for name in shade.windows}
        counted = union(spell for name in shade.windows for spell in sun[_key(site.need)][name])
        wants: tuple[Want, ...] | None = None
        if not need.for_heat_alone:
            wants = needed_spells(site, shade, span.start, span.end, needed)
        suns.append(ShadeSun(shade, needed, counted, wants))
    return with_exceptions(site, suns, span)


def with_exceptions(site: Site, suns: Sequence[ShadeSun], span: Spell) -> list[ShadeSun]:
    """The sun of shades with their exceptions: times of a span at which they stay up or down.

    When they stay up counts on the days beside it too: nights that begin in the span end after it,
    and closings for its first morning begin before it.
    """
    beside = Spell(span.start - BESIDE_S, span.end + BESIDE_S)
    happenings = [
        happening
        for happening in exceptions_by_date.happenings(site, beside)
        if happening.do == "up" or happening.touches(span)
    ]
    if not happenings:
        return list(suns)
    changed = []
    for sun in suns:
        of_shade = tuple(happening for happening in happenings if happening.is_for(sun.shade))
        down = tuple(exceptions_by_date.down_wants(of_shade, span))
        wants = (*sun.all_wants, *down) if down else sun.wants
        changed.append(replace(sun, wants=wants, exceptions=of_shade))
    return kept_still(site, changed)


def kept_still(site: Site, suns: Sequence[ShadeSun]) -> list[ShadeSun]:
    """The sun of shades with nothing wanted while a shade has to stay up, nor so near to that time
    that its motor would run in it: by its own margins, or by its group's if all the group stays up.
    """
    alone = {sun.shade.name: units_of(site, [sun])[0] for sun in suns}
    units = {name: unit for unit in units_of(site, suns) for name in unit.shades}
    changed = []
    for sun in suns:
        if not sun.exceptions:
            changed.append(sun)
            continue
        name = sun.shade.name
        alone_motor, joint_motor = alone[name].motor, units[name].motor
        still = [
            *exceptions_by_date.still_spells(
                subtract(alone_motor.up, joint_motor.up), alone_motor.rules
            ),
            *exceptions_by_date.still_spells(joint_motor.up, joint_motor.rules),
        ]
        wants = exceptions_by_date.wants_after(sun.all_wants, union(still))
        changed.append(replace(sun, wants=wants))
    return changed


def _sun_by_need(
    site: Site, shades: Sequence[Shade], span: Spell, watch: Watch
) -> dict[_Key, dict[str, tuple[Spell, ...]]]:
    """The sun on each window that one of the shades covers, for each need that counts it."""
    needs: dict[_Key, Need] = {}
    windows: dict[_Key, dict[str, Window]] = {}
    for shade in shades:
        for need in (site.need_of(shade), site.need):
            needs.setdefault(_key(need), need)
            by_name = windows.setdefault(_key(need), {})
            by_name.update((name, site.window(name)) for name in shade.windows)
    jobs = [window for by_name in windows.values() for window in by_name.values()]
    steps = iter(watch(jobs))  # one count for the windows of all needs together
    sun = {}
    for key, by_name in windows.items():
        chosen = tuple(by_name.values())
        sun[key] = find_exposures(
            site,
            span.start,
            span.end,
            needs[key],
            chosen,
            watch=lambda batch: islice(steps, len(batch)),
        )
    next(steps, None)  # there is none: the watch learns that all is done
    return sun


def _key(need: Need) -> _Key:
    """The part of a need on which the sun on a window depends."""
    return need.on_glass


def season_plan(site: Site, first: date, last: date, *, watch: Watch = iter) -> list[ShadePlan]:
    """The plan of every shade for the sun from `first` to `last` (both included).

    Spells of sun are cut at the start of the first day and the end of the last. A closing for the
    first morning may begin the evening before. Nights that begin on these dates are whole.

    Raises
    ------
    RequestError
        As `hours`.
    """
    plans = plans_for(site, shade_sun(site, first, last, watch=watch))
    return numbered(plans, first, lambda *dates: plans_for(site, shade_sun(site, *dates)))


def plans_for(site: Site, suns: Sequence[ShadeSun]) -> list[ShadePlan]:
    """The plans of all shades by the rules, in the order of `suns`, with what they share: a group
    moves together, a supply spreads the starts of its motors.
    """
    units = units_of(site, suns)
    plans = [plan for unit in units for plan in plans_of(unit, by_rules)]
    shared = {plan.shade: plan for plan in share(site, units, plans)}
    return [shared[sun.shade.name] for sun in suns]


def lowerings_for(site: Site, suns: Sequence[ShadeSun]) -> dict[str, list[Lowering]]:
    """The moves of `plans_for` by the shade's name, in less time: no closing is put in words where
    its shade shares nothing with others.
    """
    supplied = {name for supply in site.supplies for name in supply.shades}
    lowerings: dict[str, list[Lowering]] = {}
    sharing: list[ShadeSun] = []
    for unit in units_of(site, suns):
        if len(unit.members) == 1 and supplied.isdisjoint(unit.shades):
            lowerings[unit.members[0].shade.name] = lowerings_of(unit)
        else:
            sharing += [member.sun for member in unit.members]
    for plan in plans_for(site, sharing):
        lowerings[plan.shade] = [
            Lowering(row.close, row.open, row.position) for row in plan.closings
        ]
    return lowerings


def moves_for(site: Site, suns: Sequence[ShadeSun]) -> list[ShadeMoves]:
    """The moves of `plans_for`, with the remarks of each plan, in less time: no closing is put in
    words where its shade shares nothing with others and there is nothing to remark.
    """
    supplied = {name for supply in site.supplies for name in supply.shades}
    moves: dict[str, ShadeMoves] = {}
    sharing: list[ShadeSun] = []
    for unit in units_of(site, suns):
        alone = len(unit.members) == 1 and supplied.isdisjoint(unit.shades)
        unremarked = moves_without_remarks(unit) if alone else None
        if unremarked is not None:
            moves[unremarked.shade] = unremarked
        else:
            sharing += [member.sun for member in unit.members]
    for plan in plans_for(site, sharing):
        rows = tuple(Lowering(row.close, row.open, row.position) for row in plan.closings)
        moves[plan.shade] = ShadeMoves(plan.shade, rows, plan.remarks)
    return [moves[sun.shade.name] for sun in suns]


def by_rules(unit: Unit) -> ShadePlan:
    """The plan of a unit by its rules: that of one shade for all that any of its members wants."""
    motor = unit.motor
    spells = [want.spell for want in unit.wants]
    return make_shade_plan(
        motor.rules,
        spells,
        motor.zone,
        unit.season,
        windows=unit.windows,
        wants=unit.wants,
        up=motor.up,
    )


def light_of(site: Site, span: Spell) -> tuple[Spell, ...]:
    """When it is light outdoors in a span and on the day to either side of it."""
    margin = 2 * DAY_S
    observer = observer_of(site.place)
    return whole_seconds(light_intervals(observer, span.start - margin, span.end + margin))
