"""The sun that a shade leaves uncovered, why, and what one step would bring."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from suncover.base.clock import in_season
from suncover.base.spell import Spell, intersect, subtract, total_seconds, union
from suncover.export.text.words import number, season_text
from suncover.plan.audit import ShadeAudit, audit_shade
from suncover.plan.season import ShadeSun, plans_for
from suncover.report.calendar_days import Calendar
from suncover.site.model import Shade, Site

HOUR_S = 3600.0
LEAST_H = 0.5
"""Hours in all days of a report below which nothing is said."""


@dataclass(frozen=True)
class Step:
    """One rule of a shade that might go: `words`, how many more hours of what is asked would be
    covered, and how many more moves that takes, in all days of the report.
    """

    words: str
    hours: float
    moves: int


@dataclass(frozen=True)
class Uncovered:
    """Hours of sun on a shade's windows: all of it, under its closings, out of its season, and what
    it leaves of what is asked; `step` is the rule that costs most of that.
    """

    sun_h: float
    covered_h: float
    out_of_season_h: float
    let_in_h: float
    step: Step | None


def uncovered_of(
    site: Site,
    sun: ShadeSun,
    closed: Sequence[Spell],
    audit: ShadeAudit,
    *,
    calendar: Calendar,
    light: Sequence[Spell],
) -> Uncovered:
    """The hours of a shade that its plan has down in `closed`, spells in order and apart."""
    season = site.need_of(sun.shade).plan_season
    needed = union(spell for spells in sun.needed.values() for spell in spells)
    outside = [
        piece
        for piece in calendar.pieces(subtract(needed, closed))
        if not in_season(calendar.days[piece.day], season)
    ]
    let_in = (audit.let_in + audit.missed) / HOUR_S
    return Uncovered(
        sun_h=total_seconds(needed) / HOUR_S,
        covered_h=total_seconds(intersect(needed, closed)) / HOUR_S,
        out_of_season_h=sum(piece.end - piece.start for piece in outside) / HOUR_S,
        let_in_h=let_in,
        step=best_step(site, sun, audit, calendar, light) if let_in >= LEAST_H else None,
    )


def best_step(
    site: Site,
    sun: ShadeSun,
    audit: ShadeAudit,
    calendar: Calendar,
    light: Sequence[Spell],
) -> Step | None:
    """The one rule without which the most would be covered; None where none of them matters."""
    steps = []
    for words, shade in _freer_shades(sun.shade):
        freer = replace(sun, shade=shade)
        (plan,) = plans_for(site, [freer])
        freer_audit = audit_shade(site, freer, plan.closings, calendar.bounds, light, by_rules=plan)
        hours = (audit.let_in + audit.missed - freer_audit.let_in - freer_audit.missed) / HOUR_S
        moves = sum(freer_audit.moves.values()) - sum(audit.moves.values())
        if hours >= LEAST_H:
            steps.append(Step(words, hours, moves))
    return max(steps, key=lambda step: step.hours, default=None)


def _freer_shades(shade: Shade) -> Iterator[tuple[str, Shade]]:
    """A shade's rules that let sun in, each with the shade that lacks the rule."""
    if shade.moves is not None:
        yield f"without its limit of {number(shade.moves, 'move')} a day", _with(shade, moves=None)
    if shade.quiet is not None:
        yield "without its quiet hours", _with(shade, quiet=None)
        if shade.in_quiet == "late":
            yield 'with in_quiet = "early"', _with(shade, in_quiet="early")
    if shade.shortest:
        yield f"for sun shorter than {shade.shortest:g} min too", _with(shade, shortest=0.0)


def _with(shade: Shade, **changes: object) -> Shade:
    return shade.model_copy(update=changes)


def uncovered_words(site: Site, shade: Shade, hours: Uncovered) -> str:
    """`of 1,570 h of sun 745 are covered; 823 are out of its season (15 Apr to 15 Oct) …`."""
    words = f"of {hours.sun_h:,.0f} h of sun {hours.covered_h:,.0f} are covered"
    if hours.out_of_season_h >= LEAST_H:
        season = season_text(site.need_of(shade).plan_season)
        words += f"; {hours.out_of_season_h:,.0f} are out of its season ({season})"
    not_asked_h = hours.sun_h - hours.covered_h - hours.out_of_season_h - hours.let_in_h
    if not_asked_h >= LEAST_H:
        words += f"; {not_asked_h:,.0f} are not asked for by its need"
    if hours.let_in_h < LEAST_H:
        return f"{words}; of what is asked, nothing is left."
    words += f"; {hours.let_in_h:.1f} are asked for and not kept out"
    step = hours.step
    if step is None:
        return f"{words}."
    moves = number(abs(step.moves), "more move" if step.moves >= 0 else "move less")
    return (
        f"{words}. One step: {step.words}, {step.hours:.1f} h of that would be covered, "
        f"for {moves} in these days."
    )
