"""The rules of a shade's plan, one function each, in the order in which they are applied.

    closings_for        each spell of sun gives a closing
    bridge_short_gaps   closings less than `merge` apart become one
    drop_short          what then holds less sun than `shortest` goes
    keep_to_moves       the shortest gaps are bridged until no date has more moves than allowed
    obey_quiet          the motor keeps out of quiet hours
    join_runs           what overlaps or touches after that becomes one

All is whole seconds, unix time in UTC; the functions change nothing and give new lists back.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import accumulate, pairwise
from typing import NamedTuple

from suncover.base import clock
from suncover.base.spell import Spell
from suncover.plan.motor import Motor, gaps_to_bridge


class Draft(NamedTuple):
    """A closing in the making, for the spells of sun number `first` to `last`, and what bent it."""

    close: int
    open: int
    first: int
    last: int
    for_moves: bool = False  # a gap in it was bridged to keep to the limit of moves
    early: bool = False  # it closes before quiet hours
    late: bool = False  # it closes after quiet hours
    waits: bool = False  # it opens after quiet hours
    sooner: bool = False  # it opens before quiet hours, as the shade has to be up after them
    over_quiet: bool = False  # quiet hours left no time to open between two closings


class QuietOutcome(NamedTuple):
    """The closings that quiet hours leave, those dropped as too late for the sun, and those without
    room.
    """

    drafts: list[Draft]
    dropped: list[Draft]
    no_room: list[Draft]


def closings_for(spells: Sequence[Spell], motor: Motor) -> list[Draft]:
    """From `travel` and `lead` before each spell to `lag` after it."""
    timing = motor.timing
    before = timing.travel + timing.lead
    return [
        Draft(spell.start - before, spell.end + timing.lag, number, number)
        for number, spell in enumerate(spells)
    ]


def bridge_short_gaps(drafts: Sequence[Draft], motor: Motor) -> list[Draft]:
    """Joins closings less than `merge` apart, and in any case those that overlap or touch.

    A gap in which the shade has to be up is kept.
    """
    bridged: list[Draft] = []
    for draft in drafts:
        if bridged:
            before = bridged[-1]
            gap = draft.close - before.open
            short = gap < motor.timing.merge and not motor.held_up(before.open, draft.close)
            if short or gap <= 0:
                opens = max(before.open, draft.open)
                bridged[-1] = before._replace(open=opens, last=draft.last)
                continue
        bridged.append(draft)
    return bridged


def drop_short(
    drafts: Sequence[Draft], spells: Sequence[Spell], shortest: int
) -> tuple[list[Draft], list[Draft]]:
    """Parts the closings that hold at least `shortest` seconds of sun from those that do not."""
    sun_up_to = [0, *accumulate(spell.seconds for spell in spells)]
    long_enough: list[Draft] = []
    short: list[Draft] = []
    for draft in drafts:
        sun = sun_up_to[draft.last + 1] - sun_up_to[draft.first]
        (long_enough if sun >= shortest else short).append(draft)
    return long_enough, short


def keep_to_moves(drafts: Sequence[Draft], motor: Motor) -> list[Draft]:
    """Bridges the shortest gaps until no date has more closings and openings than `moves`.

    Two moves a day or more can always be kept to: three on one date have a gap between them. Unless
    the shade has to be up in it: that gap is kept.
    """
    if motor.rules.moves is None:
        return list(drafts)
    closing_days, opening_days = (
        clock.local_ordinals(instants, motor.zone)
        for instants in ([draft.close for draft in drafts], [draft.open for draft in drafts])
    )
    dates = list(zip(closing_days, opening_days, strict=True))
    gaps = (
        (after.close - before.open, number)
        for number, (before, after) in enumerate(pairwise(drafts), 1)
        if not motor.held_up(before.open, after.close)
    )
    bridged = gaps_to_bridge(dates, gaps, motor.rules.moves)
    result: list[Draft] = []
    for number, draft in enumerate(drafts):
        if number in bridged:
            result[-1] = result[-1]._replace(open=draft.open, last=draft.last, for_moves=True)
        else:
            result.append(draft)
    return result


def obey_quiet(drafts: Sequence[Draft], spells: Sequence[Spell], motor: Motor) -> QuietOutcome:
    """Moves each closing and opening out of the times when the motor must not start.

    A closing that waits until its sun has gone is of no use, nor is one that would open before it
    has closed; one for which no time is free on any day cannot be.
    """
    outcome = QuietOutcome([], [], [])
    if motor.rules.quiet is None:
        for draft in drafts:
            (outcome.dropped if draft.open <= draft.close else outcome.drafts).append(draft)
        return outcome
    for draft in drafts:
        close, opens = motor.free_to_close(draft.close), motor.free_to_open(draft.open)
        if "no room" in (close.way, opens.way):
            outcome.no_room.append(draft)
            continue
        moved = draft._replace(
            close=close.at,
            open=opens.at,
            early=draft.early or close.way == "early",
            late=draft.late or close.way == "late",
            waits=draft.waits or opens.way == "waits",
            sooner=draft.sooner or opens.way == "sooner",
        )
        sun_has_gone = moved.late and spells[moved.last].end <= moved.close
        of_no_use = sun_has_gone or moved.open <= moved.close
        (outcome.dropped if of_no_use else outcome.drafts).append(moved)
    return outcome


def join_runs(drafts: Sequence[Draft]) -> list[Draft]:
    """Joins closings that overlap or touch."""
    joined: list[Draft] = []
    for draft in drafts:
        if joined and draft.close <= joined[-1].open:
            before = joined[-1]
            joined[-1] = before._replace(
                open=draft.open,
                last=draft.last,
                for_moves=before.for_moves or draft.for_moves,
                waits=draft.waits,
                sooner=draft.sooner,
                over_quiet=True,
            )
        else:
            joined.append(draft)
    return joined
