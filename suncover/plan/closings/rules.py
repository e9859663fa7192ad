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

import math
from bisect import bisect_left, bisect_right
from collections import Counter
from collections.abc import Sequence
from datetime import date, timedelta
from functools import lru_cache
from itertools import accumulate, pairwise
from typing import TYPE_CHECKING, NamedTuple
from zoneinfo import ZoneInfo

from suncover.base import clock
from suncover.base.spell import Spell

if TYPE_CHECKING:
    from suncover.site.model import Shade

# Two quiet nights in a row may leave the motor no time between them when clocks jump, and the shade
# then waits for the next gap. Where there is no gap for longer than that, there is none on any day.
LONGEST_WAIT_S = 50 * 3600


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
    over_quiet: bool = False  # quiet hours left no time to open between two closings


class Timing(NamedTuple):
    """A shade's numbers in whole seconds."""

    travel: int
    lead: int
    lag: int
    merge: int
    shortest: int


class Blocked(NamedTuple):
    """When the motor must not start: after each of `lows` and before the same number's `highs`."""

    lows: tuple[int, ...]
    highs: tuple[int, ...]

    def around(self, instant: int) -> Spell | None:
        """The blocked time in which an instant lies, or None; its two ends are free."""
        index = bisect_left(self.lows, instant) - 1
        if index < 0 or self.highs[index] <= instant:
            return None
        return Spell(self.lows[index], self.highs[index])


class QuietOutcome(NamedTuple):
    """The closings that quiet hours leave, and those that go: too late for the sun, or no room."""

    kept: list[Draft]
    gone: list[Draft]
    no_room: list[Draft]


def timing_of(shade: Shade) -> Timing:
    """A shade's seconds and minutes as whole seconds, the nearest."""
    minutes = (shade.lead, shade.lag, shade.merge, shade.shortest)
    return Timing(_whole(shade.travel), *(_whole(60 * value) for value in minutes))


def _whole(seconds: float) -> int:
    return math.floor(seconds + 0.5)


def closings_for(spells: Sequence[Spell], timing: Timing) -> list[Draft]:
    """From `travel` and `lead` before each spell to `lag` after it."""
    before = timing.travel + timing.lead
    return [
        Draft(spell.start - before, spell.end + timing.lag, number, number)
        for number, spell in enumerate(spells)
    ]


def bridge_short_gaps(drafts: Sequence[Draft], merge: int, up: Sequence[Spell] = ()) -> list[Draft]:
    """Joins closings less than `merge` apart, and in any case those that overlap or touch.

    A gap in which the shade has to be `up` (sorted, disjoint) is kept.
    """
    bridged: list[Draft] = []
    for draft in drafts:
        gap = draft.close - bridged[-1].open if bridged else merge
        short = gap < merge and not (bridged and any_in(up, bridged[-1].open, draft.close))
        if bridged and (short or gap <= 0):
            bridged[-1] = bridged[-1]._replace(
                open=max(bridged[-1].open, draft.open), last=draft.last
            )
        else:
            bridged.append(draft)
    return bridged


def any_in(spells: Sequence[Spell], start: int, end: int) -> bool:
    """Whether any of some spells (sorted, disjoint) has a part between two instants."""
    index = bisect_right(spells, start, key=lambda spell: spell.end)
    return start < end and index < len(spells) and spells[index].start < end


def drop_short(
    drafts: Sequence[Draft], spells: Sequence[Spell], shortest: int
) -> tuple[list[Draft], list[Draft]]:
    """Parts the closings that hold at least `shortest` seconds of sun from those that do not."""
    sun_up_to = [0, *accumulate(spell.seconds for spell in spells)]
    kept: list[Draft] = []
    dropped: list[Draft] = []
    for draft in drafts:
        sun = sun_up_to[draft.last + 1] - sun_up_to[draft.first]
        (kept if sun >= shortest else dropped).append(draft)
    return kept, dropped


def keep_to_moves(
    drafts: Sequence[Draft], moves: int | None, zone: ZoneInfo, up: Sequence[Spell] = ()
) -> list[Draft]:
    """Bridges the shortest gaps until no date has more than `moves` closings and openings.

    A gap is bridged only if that takes a move off a date which has too many; of gaps equally long
    the earliest goes first. Two moves a day or more can always be kept to: three on one date have
    a gap between them. Unless the shade has to be `up` in it (sorted, disjoint): that gap is kept.
    """
    if moves is None:
        return list(drafts)
    dates = [
        (clock.local_ordinal(draft.close, zone), clock.local_ordinal(draft.open, zone))
        for draft in drafts
    ]
    count = Counter(ordinal for both in dates for ordinal in both)
    if all(number <= moves for number in count.values()):
        return list(drafts)
    gaps = sorted(
        (after.close - before.open, number)
        for number, (before, after) in enumerate(pairwise(drafts), 1)
        if not any_in(up, before.open, after.close)
    )
    # Counts only fall, so a gap that no date needs bridged when its turn comes is never needed:
    # once through the gaps, from the shortest, is the same as starting over after each.
    bridged = set()
    for _, number in gaps:
        opens, closes = dates[number - 1][1], dates[number][0]
        if count[opens] > moves or count[closes] > moves:
            count[opens] -= 1
            count[closes] -= 1
            bridged.add(number)
    kept: list[Draft] = []
    for number, draft in enumerate(drafts):
        if number in bridged:
            kept[-1] = kept[-1]._replace(open=draft.open, last=draft.last, for_moves=True)
        else:
            kept.append(draft)
    return kept


@lru_cache(maxsize=256)
def _blocked_starts(
    quiet: clock.Quiet, travel: int, first_year: int, last_year: int, zone: ZoneInfo
) -> Blocked:
    # A run of `travel` seconds meets quiet hours from `begin` up to `end` if it starts after
    # `begin - travel` and before `end`: it may stop as they begin and start as they end.
    margin = timedelta(days=3)
    first, last = date(first_year, 1, 1) - margin, date(last_year, 12, 31) + margin
    lows: list[int] = []
    highs: list[int] = []
    for spell in clock.quiet_spells(quiet, first, last, zone):
        if highs and spell.start - travel < highs[-1]:
            highs[-1] = spell.end
        else:
            lows.append(spell.start - travel)
            highs.append(spell.end)
    return Blocked(tuple(lows), tuple(highs))


def blocked_starts(
    quiet: clock.Quiet | None, travel: int, first: date, last: date, zone: ZoneInfo
) -> Blocked:
    """When a run of `travel` seconds must not start, for quiet hours of the years of two dates.

    Times between which there is room for no start at all are one.
    """
    if quiet is None:
        return Blocked((), ())
    return _blocked_starts(quiet, travel, first.year, last.year, zone)


def obey_quiet(
    drafts: Sequence[Draft], spells: Sequence[Spell], blocked: Blocked, *, early: bool
) -> QuietOutcome:
    """Moves each closing and opening out of the times when the motor must not start.

    A closing moves to their beginning (`early`) or their end, an opening always to their end. A
    closing that waits until its sun has gone is of no use; one for which no time is free on any day
    cannot be.
    """
    outcome = QuietOutcome([], [], [])
    for draft in drafts:
        at_close, at_open = blocked.around(draft.close), blocked.around(draft.open)
        if any(span and span.seconds > LONGEST_WAIT_S for span in (at_close, at_open)):
            outcome.no_room.append(draft)
            continue
        moved = draft
        if at_close is not None:
            moved = moved._replace(
                close=at_close.start if early else at_close.end, early=early, late=not early
            )
        if at_open is not None:
            moved = moved._replace(open=at_open.end, waits=True)
        sun_has_gone = moved.late and spells[moved.last].end <= moved.close
        (outcome.gone if sun_has_gone else outcome.kept).append(moved)
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
                over_quiet=True,
            )
        else:
            joined.append(draft)
    return joined
