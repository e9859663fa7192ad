"""What is planned as one when the best plan is sought, and what plans of it cost.

ShadeSun ──> part_of ──> Unit (a shade, or a group that moves together) ──> problem_of
closings ──> Price: need let in, daylight lost, moves
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from suncover.base import clock
from suncover.base.spell import Spell, intersect, subtract, union
from suncover.heat.need_heat import worth_by_heat
from suncover.plan import exceptions as exceptions_by_date
from suncover.plan.best.measure import Measure
from suncover.plan.best.optimise import Part, Problem
from suncover.plan.closings import stops
from suncover.plan.closings.rules import timing_of
from suncover.plan.closings.shade_plan import Closing
from suncover.plan.season import ShadeSun, needed_by
from suncover.plan.sharing.groups import joint_up, leader_of
from suncover.site.model import Shade, Site

J_PER_KWH = 3.6e6


@dataclass(frozen=True)
class Asked:
    """What one shade asks for, beside its sun: its part in a problem, and the watts of the heat.

    `watts` (one for each piece of `part.asked`) is empty where sun counts by minutes.
    """

    sun: ShadeSun
    part: Part
    watts: tuple[float, ...] = ()


@dataclass(frozen=True)
class Unit:
    """Shades that are planned as one: a shade by itself, or a group that moves together.

    `rules` is the shade whose rules bind them all.
    """

    name: str
    rules: Shade
    members: tuple[Asked, ...]
    season: clock.Season | None

    @property
    def shades(self) -> tuple[str, ...]:
        """The names of its shades."""
        return tuple(member.sun.shade.name for member in self.members)


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


def units_of(site: Site, suns: Sequence[ShadeSun]) -> list[Unit]:
    """The units of a site, in the order of their first shades."""
    by_name = {sun.shade.name: sun for sun in suns}
    together = {
        name: group for group in site.groups if group.move == "together" for name in group.shades
    }
    units: list[Unit] = []
    done: set[str] = set()
    for sun in suns:
        if sun.shade.name in done:
            continue
        group = together.get(sun.shade.name)
        names = (sun.shade.name,) if group is None else group.shades
        done.update(names)
        units.append(_unit(site, group.name if group else names[0], [by_name[n] for n in names]))
    return units


def apart(site: Site, unit: Unit) -> list[Unit]:
    """The shades of a unit, each as a unit by itself."""
    return [_unit(site, member.sun.shade.name, [member.sun]) for member in unit.members]


def ups_of(unit: Unit) -> list[tuple[Spell, ...]]:
    """When each of a unit's shades has to stay up."""
    return [exceptions_by_date.up_spells(member.sun.exceptions) for member in unit.members]


def _unit(site: Site, name: str, suns: Sequence[ShadeSun]) -> Unit:
    seasons = {site.need_of(sun.shade).plan_season for sun in suns}
    alike = len(seasons) == 1
    members = tuple(_asked(site, sun, cut=not alike) for sun in suns)
    rules = suns[0].shade if len(suns) == 1 else leader_of([sun.shade for sun in suns])
    return Unit(name, rules, members, seasons.pop() if alike else None)


def _asked(site: Site, sun: ShadeSun, *, cut: bool) -> Asked:
    """What a shade asks for; `cut` to its season where others of its group have another one."""
    zone = site.place.zone
    asked = spells = union(needed_by(sun))
    season = site.need_of(sun.shade).plan_season
    if season is not None and spells:
        first, last = (clock.local_date(at, zone) for at in (spells[0].start, spells[-1].end))
        asked = intersect(spells, clock.season_spells(season, first, last, zone))
    if cut:
        spells = asked
    held = stops.held_by_each(sun.wants or (), spells)
    positions = [max((want.position for want in wants), default=100.0) for wants in held]
    if site.best.by == "minutes":
        return Asked(sun, Part(spells, asked, positions))
    pieces, worth, watts = worth_by_heat(site, sun.shade, asked, _not_for_heat_alone(sun))
    return Asked(sun, Part(spells, pieces, positions, worth), tuple(watts))


def _not_for_heat_alone(sun: ShadeSun) -> tuple[Spell, ...]:
    """When something else than the sun's heat asks for a shade: other needs, and exceptions."""
    other = [want.spell for want in sun.wants or () if want.need != "heat"]
    spells = needed_by(sun)
    if spells:
        span = Spell(min(s.start for s in spells), max(s.end for s in spells))
        other += exceptions_by_date.down_spells(sun.exceptions, span)
    return union(other)


def problem_of(site: Site, unit: Unit, light: Sequence[Spell]) -> Problem:
    """A unit's need as the optimiser takes it; `light` is when it is light outdoors."""
    parts = [member.part for member in unit.members]
    up = joint_up(ups_of(unit))
    return Problem(unit.rules, parts, light, site.place.zone, unit.season, site.best, up)


@dataclass
class Pricer:
    """Prices closings of the shades of some units, as the optimiser does."""

    site: Site
    units: Sequence[Unit]
    light: Sequence[Spell]
    _of: dict[str, _Scales] = field(default_factory=dict)

    def __post_init__(self) -> None:
        for unit in self.units:
            travel = timing_of(unit.rules).travel
            for member in unit.members:
                self._of[member.sun.shade.name] = _Scales(member, travel, self.light)

    def price(self, shade: str, closings: Sequence[Closing]) -> Price:
        """What the closings (sorted, disjoint) of a shade come to."""
        return self._of[shade].price(self.site, closings)


class _Scales:
    """What one shade's closings are weighed by."""

    def __init__(self, asked: Asked, travel: int, light: Sequence[Spell]) -> None:
        part = asked.part
        self._travel = travel
        self._need = Measure(part.asked)
        self._worth = Measure(part.asked, part.worth)
        self._heat = Measure(part.asked, asked.watts) if asked.watts else None
        self._free = Measure(subtract(light, union(part.spells)))

    def price(self, site: Site, closings: Sequence[Closing]) -> Price:
        best = site.best
        missed, worth = self._need.total, self._worth.total
        heat = self._heat.total if self._heat else 0.0
        needless, lost = 0.0, 0.0
        for closing in closings:
            down = min(closing.close + self._travel, closing.open)
            missed -= self._need.between(down, closing.open)
            worth -= self._worth.between(down, closing.open)
            heat -= self._heat.between(down, closing.open) if self._heat else 0.0
            free = self._free.between(closing.close, closing.open)
            needless += free
            lost += free * closing.position / 100
        cost = best.sun * worth / 60 + best.daylight * lost / 60 + best.move * 2 * len(closings)
        return Price(int(missed), int(needless), max(heat, 0.0) / J_PER_KWH, cost)
