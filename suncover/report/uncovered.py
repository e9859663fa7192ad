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


def uncovered(
    site: Site,
    sun: ShadeSun,
    closed: Sequence[Spell],
    audit: ShadeAudit,
    *,
    calendar: Calendar,
    light: Sequence[Spell],
) -> Uncovered:
    """All of it for a shade whose plan is down in `closed`, which are in order and apart."""
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
    found = []
    for words, without in _without(sun.shade):
        changed = replace(sun, shade=without)
        (plan,) = plans_for(site, [changed])
        then = audit_shade(site, changed, plan.closings, calendar.bounds, light, own=plan)
        hours = (audit.let_in + audit.missed - then.let_in - then.missed) / HOUR_S
        moves = sum(then.moves.values()) - sum(audit.moves.values())
        if hours >= LEAST_H:
            found.append(Step(words, hours, moves))
    return max(found, key=lambda step: step.hours, default=None)


def _without(shade: Shade) -> Iterator[tuple[str, Shade]]:
    """A shade's rules that let sun in, each with the shade that has it no longer."""
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


def uncovered_words(site: Site, shade: Shade, what: Uncovered) -> str:
    """`of 1,570 h of sun 745 are covered; 823 are out of its season (15 Apr to 15 Oct) …`."""
    said = f"of {what.sun_h:,.0f} h of sun {what.covered_h:,.0f} are covered"
    if what.out_of_season_h >= LEAST_H:
        season = season_text(site.need_of(shade).plan_season)
        said += f"; {what.out_of_season_h:,.0f} are out of its season ({season})"
    rest = what.sun_h - what.covered_h - what.out_of_season_h - what.let_in_h
    if rest >= LEAST_H:
        said += f"; {rest:,.0f} are not asked for by its need"
    if what.let_in_h < LEAST_H:
        return f"{said}; of what is asked, nothing is left."
    said += f"; {what.let_in_h:.1f} are asked for and not kept out"
    if what.step is None:
        return f"{said}."
    more = number(abs(what.step.moves), "more move" if what.step.moves >= 0 else "move less")
    return (
        f"{said}. One step: {what.step.words}, {what.step.hours:.1f} h of that would be covered, "
        f"for {more} in these days."
    )
