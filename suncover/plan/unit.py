"""What is planned as one: a shade, or a group that moves together, with all that it has to be down
for.

    ShadeSun of each shade ──> units_of ──> Unit: its motor, its members, what they want

A unit always has wants. They are cut to exceptions: while a shade has to stay up nothing is wanted
of it. Where the seasons of a group's shades differ they are cut to these too; else the season goes
by the date of a closing, and is left to the plan.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property, reduce
from zoneinfo import ZoneInfo

from suncover.base import clock
from suncover.base.shown import short_repr
from suncover.base.spell import Spell, intersect, subtract, union
from suncover.plan import exceptions as exceptions_by_date
from suncover.plan.closings.shade_plan import in_season
from suncover.plan.exceptions import Happening
from suncover.plan.motor import Motor
from suncover.plan.needs import Want, for_heat
from suncover.site.model import Shade, Site


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

    @property
    def all_wants(self) -> tuple[Want, ...]:
        """When the shade has to be closed and what for, the sun on its windows too."""
        return for_heat(self.needed) if self.wants is None else self.wants


def needed_by(sun: ShadeSun) -> list[Spell]:
    """When a shade has to be closed, for any of its needs; spells may overlap."""
    return [want.spell for want in sun.all_wants]


def leader_of(shades: Sequence[Shade]) -> Shade:
    """A shade with the widest rules of several: what it is in time for, each of them is.

    The longest run, lead and lag, the longest gap that is bridged, the shortest sun that counts,
    and the fewest moves. The stops that all of them have, and the soonest full run.
    """
    if len(shades) == 1:
        return shades[0]
    moves = [shade.moves for shade in shades if shade.moves is not None]
    home = [shade.home_after for shade in shades if shade.home_after is not None]
    common = set(shades[0].stops).intersection(*(shade.stops for shade in shades))
    return shades[0].model_copy(
        update={
            "travel": max(shade.travel for shade in shades),
            "lead": max(shade.lead for shade in shades),
            "lag": max(shade.lag for shade in shades),
            "merge": max(shade.merge for shade in shades),
            "shortest": min(shade.shortest for shade in shades),
            "moves": min(moves, default=None),
            "stops": tuple(sorted(common)),
            "home_after": min(home, default=None),
        }
    )


@dataclass(frozen=True)
class Member:
    """A shade of a unit: its own motor, what it wants, and the season in which that counts."""

    sun: ShadeSun
    motor: Motor
    season: clock.Season | None
    wants: tuple[Want, ...]

    @property
    def shade(self) -> Shade:
        """The shade."""
        return self.sun.shade

    @cached_property
    def needed(self) -> tuple[Spell, ...]:
        """When it has to be down, whatever the season of a closing."""
        return union(want.spell for want in self.wants)

    @cached_property
    def need(self) -> Sequence[Spell]:
        """What of `needed` lies on the dates of its season."""
        return in_season(self.needed, self.season, self.motor.zone)


@dataclass(frozen=True)
class Unit:
    """Shades that are planned as one: a shade by itself, or a group that moves together.

    `motor` has the rules that bind them all, and stays up when all of them have to. `season` is on
    whose dates closings begin; none where each member's wants are cut to its own.
    """

    name: str
    motor: Motor
    members: tuple[Member, ...]
    season: clock.Season | None

    @property
    def shades(self) -> tuple[str, ...]:
        """The names of its shades."""
        return tuple(member.shade.name for member in self.members)

    @cached_property
    def wants(self) -> tuple[Want, ...]:
        """What any of the members wants, but while all have to stay up."""
        still = exceptions_by_date.still_spells(self.motor.up, self.motor.rules)
        wants = (want for member in self.members for want in member.wants)
        return exceptions_by_date.wants_after(wants, still)

    @cached_property
    def needed(self) -> tuple[Spell, ...]:
        """When any of the members has to be down."""
        return union(want.spell for want in self.wants)

    @cached_property
    def windows(self) -> Mapping[str, Sequence[Spell]]:
        """The sun on each window by its name, without what stays up whatever the sun does: that has
        no part in why the others close.
        """
        return {
            name: subtract(spells, member.motor.up)
            for member in self.members
            for name, spells in member.sun.needed.items()
        }

    @cached_property
    def exceptions(self) -> tuple[Happening, ...]:
        """All that any of the members has part in: what keeps one of them down keeps all down."""
        happenings = (happening for member in self.members for happening in member.sun.exceptions)
        return tuple(dict.fromkeys(happenings))

    @cached_property
    def own_ups(self) -> list[tuple[Spell, ...]]:
        """When each member has to stay up and not all of them do."""
        return [subtract(member.motor.up, self.motor.up) for member in self.members]

    def alone(self, member: Member) -> Unit:
        """One of the members as a unit by itself."""
        return unit_of(member.shade.name, [member.sun], [member.season], self.motor.zone)

    def motor_of(self, member: Member) -> Motor:
        """The motor of a member by the rules that bind them all."""
        rules = self.motor.rules.model_copy(update={"name": member.shade.name})
        return replace(self.motor, rules=rules, up=member.motor.up)

    def with_rules(self, rules: Shade) -> Unit:
        """The unit with other rules that bind all members."""
        return replace(self, motor=replace(self.motor, rules=rules))


def units_of(site: Site, suns: Sequence[ShadeSun]) -> list[Unit]:
    """The units of a site, in the order of their first shades."""
    by_name = {sun.shade.name: sun for sun in suns}
    together = {
        name: group
        for group in site.groups
        if group.move == "together"
        for name in group.shades
        if name in by_name
    }
    units: list[Unit] = []
    placed: set[str] = set()
    for sun in suns:
        if sun.shade.name in placed:
            continue
        group = together.get(sun.shade.name)
        names = [sun.shade.name]
        if group is not None:
            names = [name for name in group.shades if name in by_name]
        placed.update(names)
        members = [by_name[name] for name in names]
        seasons = [site.need_of(member.shade).plan_season for member in members]
        name = names[0] if group is None else group.name
        units.append(unit_of(name, members, seasons, site.place.zone))
    return units


def unit_of(
    name: str,
    suns: Sequence[ShadeSun],
    seasons: Sequence[clock.Season | None],
    zone: ZoneInfo,
) -> Unit:
    """The shades of some suns as one, each with its season."""
    alike = len(set(seasons)) == 1
    members = []
    for sun, season in zip(suns, seasons, strict=True):
        up = exceptions_by_date.up_spells(sun.exceptions)
        wants = sun.all_wants
        if not alike:
            wants = tuple(
                want._replace(spell=part)
                for want in wants
                for part in in_season([want.spell], season, zone)
            )
        members.append(Member(sun, Motor(sun.shade, zone, up), season, wants))
    ups = [tuple(member.motor.up) for member in members]
    up = reduce(intersect, ups)
    rules = leader_of([sun.shade for sun in suns])
    return Unit(name, Motor(rules, zone, up), tuple(members), seasons[0] if alike else None)
