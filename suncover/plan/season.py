"""The program from end to end: each stage called once, in its order.

    site file ──> Site             sitefile.load_site
    Site ──> hours                 exposure: direct sun on each window (sun, clearsky, facade)
    Site ──> spots                 exposure: direct sun on places in a room
    Site ──> reaches, doses        room_sun: how far the sun falls in, what light places get
    Site ──> shade_sun             exposure again, by what each shade's need counts as sun, and
         │                         needs: when a shade has to be closed for more than that
         └─> season_plan           plan.make_shade_plan: closings, openings, what stays uncovered;
                                   groups and supply: what shades share
    spells, plans ──> files        export: CSV, iCalendar, texts for people

All here is pure: dates in, spells and plans out. No file is touched and no clock is read.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from itertools import islice

from suncover.base.clock import DAY_S, dates_bounds
from suncover.base.shown import short_repr
from suncover.base.spell import Spell, union
from suncover.facade.exposure import (
    Watch,
    find_exposures,
    observer_of,
    whole_seconds,
)
from suncover.facade.twilight import light_intervals
from suncover.plan import exceptions as exceptions_by_date
from suncover.plan.closings import reasons
from suncover.plan.closings.changed import with_closings, with_waits
from suncover.plan.closings.shade_plan import ShadePlan, make_shade_plan, remarks_on
from suncover.plan.exceptions import Happening
from suncover.plan.needs import Want, for_heat, needed_spells
from suncover.plan.room_sun import SpotDose, reach_by_spell, spot_doses
from suncover.plan.sharing.groups import Member, leader_of, move_together, own_ups
from suncover.plan.sharing.own_way import with_own_way
from suncover.plan.sharing.supply import asked_too_much, spread_starts
from suncover.site.model import Need, Shade, Site, Window

_Key = tuple[float, float]


@dataclass(frozen=True)
class ShadeSun:
    """The sun that a shade is there for, between two dates.

    `needed` holds the spells on each of its windows by the shade's own need, by window name;
    `counted` the direct sun on any of them by the site's need. Seasons play no part in either,
    nor do exceptions. `wants` is when the shade has to be closed and for which need; None where
    that is the sun on its windows and nothing else. `exceptions` are those that it has part in.
    """

    __repr__ = short_repr

    shade: Shade
    needed: dict[str, tuple[Spell, ...]]
    counted: tuple[Spell, ...]
    wants: tuple[Want, ...] | None = None
    exceptions: tuple[Happening, ...] = ()


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
    need = site.with_beam(beam).need
    return {
        name: reach_by_spell(site, site.window(name), spells[name], need, height) for name in spells
    }


def doses(site: Site, first: date, last: date) -> list[SpotDose]:
    """The light that each spot gets from `first` to `last` (both included), and what of it is left
    while shades keep to their plans.

    Raises
    ------
    RequestError
        As `hours`.
    """
    span = dates_bounds(first, last, site.place.zone)
    closings = {plan.shade: plan.closings for plan in season_plan(site, first, last)}
    return spot_doses(site, span.start, span.end, closings)


def shade_sun(site: Site, first: date, last: date, *, watch: Watch = iter) -> list[ShadeSun]:
    """What sun each shade is there for, in the order of `Site.all_shades`.

    Each window is worked out once for each need that differs in beam or fraction.

    Raises
    ------
    RequestError
        As `hours`.
    """
    span = dates_bounds(first, last, site.place.zone)
    happening = exceptions_by_date.happenings(site, span)
    sun = _sun_by_need(site, span, watch)
    found = []
    for shade in site.all_shades():
        need = site.need_of(shade)
        needed = {name: sun[_key(need)][name] for name in shade.windows}
        counted = union(spell for name in shade.windows for spell in sun[_key(site.need)][name])
        wants: tuple[Want, ...] | None = None
        if not need.for_heat_alone:
            wants = needed_spells(site, shade, span.start, span.end, needed)
        mine = tuple(one for one in happening if one.is_for(shade))
        sun_of = ShadeSun(shade, needed, counted, wants, mine)
        found.append(_with_exceptions(sun_of, span, _rules_of(site, shade)))
    return found


def _rules_of(site: Site, shade: Shade) -> Shade:
    """The shade whose rules time this one's moves: that of its group, where it moves with one."""
    for group in site.groups:
        if group.move == "together" and shade.name in group.shades:
            named = {one.name: one for one in site.all_shades()}
            return leader_of([named[name] for name in group.shades])
    return shade


def _with_exceptions(sun: ShadeSun, span: Spell, rules: Shade) -> ShadeSun:
    """The same where the shade stays up or down at some times, whatever the sun does."""
    up = exceptions_by_date.still_spells(sun.exceptions, rules)
    down = exceptions_by_date.down_wants(sun.exceptions, span, up)
    if not up and not down:
        return sun
    wants = sun.wants
    if wants is None:  # it is there for the sun on its windows
        wants = for_heat(sun.needed)
    return replace(sun, wants=exceptions_by_date.wants_after(wants, up, down))


def _sun_by_need(site: Site, span: Spell, watch: Watch) -> dict[_Key, dict[str, tuple[Spell, ...]]]:
    """The sun on each window that a shade covers, for each need that counts it."""
    needs: dict[_Key, Need] = {}
    windows: dict[_Key, dict[str, Window]] = {}
    for shade in site.all_shades():
        for need in (site.need_of(shade), site.need):
            needs.setdefault(_key(need), need)
            named = windows.setdefault(_key(need), {})
            named.update((name, site.window(name)) for name in shade.windows)
    jobs = [window for named in windows.values() for window in named.values()]
    steps = iter(watch(jobs))  # one count for the windows of all needs together
    found = {}
    for key, named in windows.items():
        chosen = tuple(named.values())
        found[key] = find_exposures(
            site,
            span.start,
            span.end,
            needs[key],
            chosen,
            watch=lambda some: islice(steps, len(some)),
        )
    next(steps, None)  # there is none: the watch learns that all is done
    return found


def _key(need: Need) -> _Key:
    """What of a need the sun on a window depends on."""
    return need.beam, need.fraction


def season_plan(site: Site, first: date, last: date, *, watch: Watch = iter) -> list[ShadePlan]:
    """The plan of every shade for the sun from `first` to `last` (both included).

    Spells of sun are cut at the start of the first day and the end of the last. A closing for the
    first morning may begin the evening before. Nights that begin on these dates are whole.

    Raises
    ------
    RequestError
        As `hours`.
    """
    return plans_for(site, shade_sun(site, first, last, watch=watch))


def plans_for(
    site: Site,
    suns: Sequence[ShadeSun],
    own: Sequence[ShadePlan] | None = None,
    *,
    step: int = 1,
) -> list[ShadePlan]:
    """The plans of all shades for their sun, with what they share: groups, then supplies.

    `own` are their plans before a supply spreads their starts, those by the rules if left out.
    Starts are spread in whole steps of so many seconds.
    """
    if own is None:
        own = _ruled_plans(site, suns)
    plans = {plan.shade: plan for plan in own}
    by_name = {sun.shade.name: sun for sun in suns}
    shades = {sun.shade.name: sun.shade for sun in suns}
    up = {sun.shade.name: exceptions_by_date.up_spells(sun.exceptions) for sun in suns}
    for supply in site.supplies:
        asked = {name: plans[name].closings for name in supply.shades}
        spread = spread_starts(supply, shades, asked, site.place.zone, step=step, up=up)
        for name, closings in spread.items():
            sun = by_name[name]
            shared = with_closings(plans[name], closings, sun.counted)
            plans[name] = with_waits(shared, asked[name], union(needed_by(sun)), sun.wants)
        rows = [row for closings in spread.values() for row in closings]
        told = asked_too_much(supply, shades, rows, site.place.zone) if any(up.values()) else None
        if told is not None:
            first = plans[supply.shades[0]]
            remark = f"{told}: no shade may move while one of its exceptions has it stay up"
            remarks = tuple(dict.fromkeys((*first.remarks, remark)))
            plans[supply.shades[0]] = replace(first, remarks=remarks)
    return [plans[sun.shade.name] for sun in suns]


def _ruled_plans(site: Site, suns: Sequence[ShadeSun]) -> list[ShadePlan]:
    """The plans by the rules, with one for all the shades of each group that moves together."""
    plans = {sun.shade.name: plan_for(site, sun) for sun in suns}
    by_name = {sun.shade.name: sun for sun in suns}
    for group in site.groups:
        if group.move == "together" and group.shades:
            plans |= _together(site, [by_name[name] for name in group.shades], plans)
    return [plans[sun.shade.name] for sun in suns]


def _together(
    site: Site, suns: Sequence[ShadeSun], alone: Mapping[str, ShadePlan]
) -> dict[str, ShadePlan]:
    """The plans of shades that move together, but where one has to stay up: that goes its own way,
    by what its plan is `alone`.
    """
    zone = site.place.zone
    members = [_member(site, sun) for sun in suns]
    # What keeps any of them down keeps all of them down.
    mine = list(dict.fromkeys(one for sun in suns for one in sun.exceptions))
    ups = own_ups([member.up for member in members])
    found = {}
    for member, up, joint in zip(members, ups, move_together(members, zone), strict=True):
        shade, own = member.shade, alone[member.shade.name]
        plan = exceptions_by_date.with_reasons(mine, joint, zone)
        found[shade.name] = with_own_way(shade, up, plan, own, zone)
        if found[shade.name] is not plan:
            rows = found[shade.name].closings
            no_room = reasons.no_room() in (*joint.remarks, *own.remarks)
            remarks = remarks_on(shade, rows, zone, no_room=no_room, up=member.up)
            found[shade.name] = replace(found[shade.name], remarks=remarks)
    return found


def light_of(site: Site, span: Spell) -> tuple[Spell, ...]:
    """When it is light outdoors in a span and on the day to either side of it."""
    margin = 2 * DAY_S
    observer = observer_of(site.place)
    return whole_seconds(light_intervals(observer, span.start - margin, span.end + margin))


def plan_units(site: Site, suns: Sequence[ShadeSun]) -> list[tuple[str, list[Member]]]:
    """What is planned as one: groups that move together, by their names, then other shades."""
    by_name = {sun.shade.name: sun for sun in suns}
    units = {
        group.name: [_member(site, by_name[name]) for name in group.shades]
        for group in site.groups
        if group.move == "together" and group.shades
    }
    grouped = {member.shade.name for members in units.values() for member in members}
    alone = [(name, [_member(site, sun)]) for name, sun in by_name.items() if name not in grouped]
    return [*units.items(), *alone]


def _member(site: Site, sun: ShadeSun) -> Member:
    spells = needed_by(sun)
    season = site.need_of(sun.shade).plan_season
    up = exceptions_by_date.up_spells(sun.exceptions)
    return Member(sun.shade, union(spells), season, sun.counted, sun.needed, up, sun.wants)


def needed_by(sun: ShadeSun) -> list[Spell]:
    """When a shade has to be closed, for any of its needs; spells may overlap."""
    if sun.wants is not None:
        return [want.spell for want in sun.wants]
    return [spell for spells in sun.needed.values() for spell in spells]


def plan_for(site: Site, sun: ShadeSun) -> ShadePlan:
    """The plan of one shade for its sun, and for its other needs."""
    need = site.need_of(sun.shade)
    plan = make_shade_plan(
        sun.shade,
        needed_by(sun),
        site.place.zone,
        need.plan_season,
        sun=sun.counted,
        windows=sun.needed,
        wants=sun.wants or (),
        up=exceptions_by_date.up_spells(sun.exceptions),
    )
    return exceptions_by_date.with_reasons(sun.exceptions, plan, site.place.zone)
