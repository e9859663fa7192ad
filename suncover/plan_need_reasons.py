"""Why a shade closes for more than the sun on its windows, and how far down: in plain words."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from suncover.clock import clock_text, ordinal_and_clock
from suncover.plan_positions import FULL
from suncover.plan_reasons import day_text, names_text, span_text
from suncover.spell import Spell, union

if TYPE_CHECKING:
    from suncover.needs import Want
    from suncover.plan_positions import Down

MOST_SPANS = 2  # spells that are told one by one
_ORDER = ("heat", "glare", "fading", "sleep", "privacy", "exception")


def need_phrases(wants: Sequence[Want], closing: int, zone: ZoneInfo) -> list[str]:
    """A phrase for each need that asks for a closing, by when it begins: what for, when, where.

    `wants` are those that the closing holds, `closing` the instant at which it starts: dates other
    than its own are named.
    """
    closing_ordinal, _ = ordinal_and_clock(closing, zone)
    phrases = []
    for number, need in enumerate(_ORDER):
        asking = [want for want in wants if want.need == need]
        if asking:
            spells = union(want.spell for want in asking)
            span = _spans_text(spells, closing_ordinal, zone)
            phrase = _phrase(need, span, asking, closing_ordinal, zone)
            phrases.append((spells[0].start, number, phrase))
    return [phrase for _, _, phrase in sorted(phrases)]


def _spans_text(spells: Sequence[Spell], closing_ordinal: int, zone: ZoneInfo) -> str:
    """When something asks for a closing that may hold more than that."""
    if len(spells) <= MOST_SPANS:
        return " and ".join(
            span_text(spell.start, spell.end, closing_ordinal, zone) for spell in spells
        )
    whole = span_text(spells[0].start, spells[-1].end, closing_ordinal, zone)
    return f"{whole} in {len(spells)} spells"


def _phrase(
    need: str, span: str, asking: Sequence[Want], closing_ordinal: int, zone: ZoneInfo
) -> str:
    names = list(dict.fromkeys(want.what for want in asking if want.beyond is None))
    match need:
        case "heat":
            return f"sun {span}{names_text(names, 'on', 'windows')}"
        case "glare":
            far = dict.fromkeys(
                f", more than {want.beyond:g} m into {want.what}"
                for want in asking
                if want.beyond is not None
            )
            return f"glare {span}{names_text(names, 'at', 'spots')}{''.join(far)}"
        case "fading":
            return f"sun {span}{names_text(names, 'on', 'spots')}, which would fade"
        case "sleep":
            return f"dark for sleep {span}, {_dawn_text(asking, closing_ordinal, zone)}"
        case "exception":
            return f"{' and '.join(names)}: down {span}"
        case _:
            return f"privacy {span}"


def _dawn_text(asking: Sequence[Want], closing_ordinal: int, zone: ZoneInfo) -> str:
    dawns = [want.dawn for want in asking if want.dawn is not None]
    if not dawns:
        return "as it stays light"
    ordinal, _ = ordinal_and_clock(dawns[0], zone)
    return f"as dawn comes at {clock_text(dawns[0], zone)}{day_text(ordinal, closing_ordinal)}"


def with_stop(reason: str, down: Down) -> str:
    """The reason with how far down, where that is not all the way, or why all the way where a part
    would do.
    """
    if down.home:
        moves = f"{down.home} moves part of the way"
        return f"{reason}; closes fully, to find its place again after {moves}"
    if down.position != FULL:
        return f"{reason}; {down.position} % down keeps the sun off"
    return reason
