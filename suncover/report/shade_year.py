"""A shade over the report's days: what its plan does, and how well."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from suncover.base.clock import in_season
from suncover.base.spell import Spell, intersect, subtract, union
from suncover.plan.audit import ShadeAudit, audit_shade
from suncover.plan.closings.shade_plan import NO_SUN, ShadePlan
from suncover.plan.season import ShadeSun
from suncover.report.calendar_days import Calendar, Drop, Piece
from suncover.report.uncovered import Uncovered, uncovered_of
from suncover.site.model import Shade, Site

HOUR_S = 3600.0


@dataclass(frozen=True)
class PlanQuality:
    """How a plan does what it is for: the audit's figures, for a reader.

    `asked_h` is what the shade's need asks to cover, `covered_h` what the plan covers of it and
    `let_in_h` what it leaves, because of the shade's own rules or otherwise. `needless_h` is how
    long the shade is down by day while nothing asks for it: waits, gaps that are bridged, quiet
    hours. `dark_h` is the part of `covered_h` in which it is closed for the night, for privacy or
    for an exception, with no sun to keep out. `moves` counts the motor's runs; `days` are those of
    the season.
    """

    asked_h: float
    covered_h: float
    let_in_h: float
    needless_h: float
    dark_h: float
    closings: int
    moves: int
    most_moves: int
    days: int

    @property
    def needless_min_a_day(self) -> float:
        """Minutes down for nothing, on the average day of the season."""
        return self.needless_h * 60.0 / self.days if self.days else 0.0

    @property
    def moves_a_day(self) -> float:
        """Motor runs on the average day of the season."""
        return self.moves / self.days if self.days else 0.0


@dataclass(frozen=True)
class ShadeYear:
    """A shade's plan by local day, the sun on its windows as the shade counts it, and the audit.

    `closed` is when it is down at all, `drops` are its closings, each with how far down.
    """

    shade: Shade
    plan: ShadePlan
    closed: list[Piece]
    sun: list[Piece]
    audit: ShadeAudit
    quality: PlanQuality
    uncovered: Uncovered
    drops: list[Drop]

    @property
    def part_way(self) -> bool:
        """Whether it is ever closed part of the way alone."""
        return any(drop.position < 100 for drop in self.drops)


def shade_year(
    site: Site, sun: ShadeSun, plan: ShadePlan, calendar: Calendar, light: Sequence[Spell]
) -> ShadeYear:
    """The year of one shade, by its plan for its sun; `light` is when it is light outdoors."""
    closed = union(Spell(closing.close, closing.open) for closing in plan.closings)
    needed = union(spell for spells in sun.needed.values() for spell in spells)
    audit = audit_shade(site, sun, plan.closings, calendar.bounds, light, by_rules=plan)
    season = site.need_of(sun.shade).plan_season
    days = sum(in_season(day, season) for day in calendar.days)
    return ShadeYear(
        sun.shade,
        plan,
        calendar.pieces(closed),
        calendar.pieces(needed),
        audit,
        quality_of(audit, days, _closed_for_no_sun(sun, closed)),
        uncovered_of(site, sun, closed, audit, calendar=calendar, light=light),
        calendar.drops(plan.closings),
    )


def _closed_for_no_sun(sun: ShadeSun, closed: Sequence[Spell]) -> int:
    """Seconds closed for what is not the sun's doing, while no sun asks for it."""
    wants = sun.wants or ()
    dark = union(want.spell for want in wants if want.need in NO_SUN)
    for_sun = union(want.spell for want in wants if want.need not in NO_SUN)
    return sum(spell.seconds for spell in intersect(subtract(dark, for_sun), closed))


def quality_of(audit: ShadeAudit, days: int, dark: int = 0) -> PlanQuality:
    """An audit's figures over `days` of the season; `dark` seconds of it are for no sun."""
    covered = audit.promised - audit.missed
    return PlanQuality(
        asked_h=(audit.promised + audit.let_in) / HOUR_S,
        covered_h=covered / HOUR_S,
        let_in_h=(audit.let_in + audit.missed) / HOUR_S,
        needless_h=audit.needless / HOUR_S,
        dark_h=min(dark, covered) / HOUR_S,
        closings=audit.closings,
        moves=sum(audit.moves.values()),
        most_moves=max(audit.moves.values(), default=0),
        days=days,
    )
