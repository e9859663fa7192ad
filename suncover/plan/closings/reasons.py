"""Why a closing is there, why sun is left uncovered, what a plan could not keep: in plain words.

Times are the local clock's, to the minute begun. A date is named when it is not the closing's own.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping, Sequence
from datetime import date
from itertools import pairwise
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from suncover.base.clock import clock_text, date_text, local_date, ordinal_and_clock
from suncover.base.spell import Spell, union
from suncover.plan.closings.rules import Draft
from suncover.plan.motor import FULL

if TYPE_CHECKING:
    from suncover.plan.closings.stops import Down
    from suncover.plan.needs import Want

_MOST_NAMES = 3  # more windows than this are counted, not named


def length_text(seconds: int) -> str:
    """How long something lasts, to the minute begun: `45 s`, `14 min`, `95 min`, `2 h 5 min`."""
    if seconds < 60:
        return f"{seconds} s"
    minutes = seconds // 60
    if minutes < 120:
        return f"{minutes} min"
    hours, minutes_left = divmod(minutes, 60)
    return f"{hours} h {minutes_left} min" if minutes_left else f"{hours} h"


def day_text(ordinal: int, closing_ordinal: int) -> str:
    """A date (its ordinal) that is not a closing's own, to put behind a time; else nothing."""
    if ordinal == closing_ordinal:
        return ""
    if ordinal == closing_ordinal + 1:
        return " next day"
    return f" on {date_text(date.fromordinal(ordinal))}"


def span_text(start: int, end: int, closing_ordinal: int, zone: ZoneInfo) -> str:
    """From one instant to another: `09:12–11:40`, with dates that are not the closing's own."""
    first, begins = ordinal_and_clock(start, zone)
    last, ends = ordinal_and_clock(end, zone)
    if first == last:
        return f"{begins}–{ends}{day_text(first, closing_ordinal)}"
    from_day, to_day = day_text(first, closing_ordinal), day_text(last, closing_ordinal)
    return f"{begins}{from_day} to {ends}{to_day}"


def names_text(names: Sequence[str], preposition: str = "on", plural: str = "windows") -> str:
    """Some names, to put behind what happens there: ` on kitchen and study`, ` on 5 windows`."""
    if not names:
        return ""
    if len(names) > _MOST_NAMES:
        return f" {preposition} {len(names)} {plural}"
    return f" {preposition} " + (", ".join(names[:-1]) + " and " if names[1:] else "") + names[-1]


def _bridged_text(draft: Draft, spells: Sequence[Spell], moves: int | None) -> str:
    count = len(spells)
    longest = max(after.start - before.end for before, after in pairwise(spells))
    gap = f"{'gap' if count == 2 else 'longest gap'} {length_text(longest)}"
    limit = f", to keep to {moves} moves a day" if draft.for_moves else ""
    return f"stays closed between {count} spells ({gap}{limit})"


def closing_reason(
    draft: Draft,
    spells: Sequence[Spell],
    zone: ZoneInfo,
    *,
    moves: int | None = None,
    windows: Sequence[str] = (),
    purposes: Sequence[str] = (),
) -> str:
    """One line: the sun that a closing is for, and what bent it.

    `spells` are those that it is for; `windows` names the windows that have sun. `purposes`
    has phrases to stand in place of the sun, where there is more to close for.
    """
    closing_ordinal, closes = ordinal_and_clock(draft.close, zone)
    sun = span_text(spells[0].start, spells[-1].end, closing_ordinal, zone)
    parts = list(purposes) or [f"sun {sun}{names_text(windows)}"]
    if len(spells) > 1:
        parts.append(_bridged_text(draft, spells, moves))
    if draft.early or draft.late:
        side = "before" if draft.early else "after"
        parts.append(f"closes {closes}, {side} quiet hours")
    if draft.over_quiet:
        parts.append("stays closed over quiet hours")
    if draft.waits:
        parts.append(_opens(Spell(draft.close, draft.open), "after", zone))
    if draft.sooner:
        parts.append(_opens(Spell(draft.close, draft.open), "before", zone))
    return "; ".join(parts)


def requoted(reason: str, before: Spell, after: Spell, zone: ZoneInfo) -> str:
    """The reason of a closing from `before.start` to `before.end`, when it has moved to `after`.

    What it says of quiet hours then names the new times; sun stays where it is.
    """
    if "quiet hours" not in reason:
        return reason
    for word in ("before", "after"):
        reason = reason.replace(
            f"closes {clock_text(before.start, zone)}, {word} quiet hours",
            f"closes {clock_text(after.start, zone)}, {word} quiet hours",
        )
    for word in ("before", "after"):
        reason = reason.replace(_opens(before, word, zone), _opens(after, word, zone))
    return reason


def _opens(closing: Spell, word: str, zone: ZoneInfo) -> str:
    ordinal, opens = ordinal_and_clock(closing.end, zone)
    later = day_text(ordinal, ordinal_and_clock(closing.start, zone)[0])
    return f"opens {opens}{later}, {word} quiet hours"


def joined_reasons(first: str, second: str, between: str) -> str:
    """The reasons of two closings that have become one, without the times that are none of it."""
    return re.sub(r"; opens [^;]*, (after|before) quiet hours", "", first) + re.sub(
        r"; closes \d\d:\d\d, (before|after) quiet hours", "", f"{between}{second}"
    )


def too_short(seconds: int, shortest: int, *, sun: bool = True) -> str:
    """Why sun is let in that does not last, or what else (`sun` false) is left open."""
    of_what = " of sun" if sun else ""
    return f"{length_text(seconds)}{of_what}, less than the {shortest / 60:g} min to close for"


def closes_late(draft: Draft, zone: ZoneInfo, in_quiet: str = "late") -> str:
    """Why sun is let in until quiet hours end; `in_quiet` is what the shade does otherwise."""
    cause = "" if in_quiet == "late" else ", as it has to be up when they begin"
    return f"quiet hours: the shade closes when they end, at {clock_text(draft.close, zone)}{cause}"


def opens_sooner(draft: Draft, zone: ZoneInfo) -> str:
    """Why sun is let in from before quiet hours on."""
    return (
        f"quiet hours: the shade opens before they begin, at {clock_text(draft.open, zone)}, as it "
        "has to be up when they end"
    )


def of_no_use(draft: Draft, zone: ZoneInfo, *, sun: bool = True) -> str:
    """Why the shade does not close when quiet hours end, or at all before they begin."""
    if draft.sooner:
        return "quiet hours: the motor can't run in them, and the shade has to be up when they end"
    cause = "the sun has gone" if sun else "it is over"
    return f"quiet hours end at {clock_text(draft.close, zone)}, when {cause}"


def no_room() -> str:
    """Why the motor cannot run at all."""
    return "quiet hours leave the motor no time to run"


def out_of_season(draft: Draft, zone: ZoneInfo) -> str:
    """Why sun of a day in the season is let in."""
    day = date_text(local_date(draft.close, zone))
    return f"its closing would be on {day}, outside the season"


def too_many_moves(
    counts: Mapping[date, int], moves: int, held_up: Collection[date], by_quiet: Collection[date]
) -> str:
    """Remark that some dates have more moves than the limit; `counts` holds only such dates.

    Times in which the shade has to be up do that, on the dates `held_up`; quiet hours, on those
    `by_quiet`, since the limit is kept before they are and a closing that they bring forward to the
    evening before counts there; and what moves times once the rules have been kept.
    """
    first = min(counts)
    days = "1 day" if len(counts) == 1 else f"{len(counts)} days"
    free_days = [day for day in counts if day not in held_up]
    causes = []
    if any(day in by_quiet for day in free_days):
        causes.append("quiet hours moved closings or openings to another day")
    if len(free_days) < len(counts):
        causes.append("it has to be up for a while, whatever the sun does")
    if any(day not in by_quiet for day in free_days):
        causes.append("what it shares with other shades moved them to another day")
    return (
        f"more than {moves} moves on {days}, first on {first} ({counts[first]} moves): "
        + ", or ".join(causes)
    )


MOST_SPANS = 2  # spells that are named one by one
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
    span = span_text(spells[0].start, spells[-1].end, closing_ordinal, zone)
    return f"{span} in {len(spells)} spells"


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
