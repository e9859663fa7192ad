"""A motor: when it may run and how long, how near to another run, and how often.

    Motor(rules, zone, up) ──> out of quiet hours, kept up, moves by date, runs too near

It is the one place that knows. `rules` is the shade whose rules bind the motor: the shade's own, or
the widest of a group that moves together. `up` is when the shade has to stay up; that comes before
all else, as somebody may be working at the window.
"""

from __future__ import annotations

import math
from bisect import bisect_left, bisect_right
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property, lru_cache
from itertools import pairwise
from typing import TYPE_CHECKING, Literal, NamedTuple, Protocol
from zoneinfo import ZoneInfo

from suncover.base import clock
from suncover.base.spell import Spell

if TYPE_CHECKING:
    from suncover.site.model import Shade

FULL = 100
"""How far down is all the way, in per cent."""
# Two quiet nights in a row may leave the motor no time between them when clocks jump, and the shade
# then waits for the next gap. Where there is no gap for longer than that, there is none on any day.
LONGEST_WAIT_S = 50 * 3600


class Row(Protocol):
    """Anything that closes and opens: a closing, a draft of one."""

    @property
    def close(self) -> int:
        """The start of the motor's run down, unix seconds."""

    @property
    def open(self) -> int:
        """The start of its run up."""


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


class QuietMove(NamedTuple):
    """A run of the motor that touches quiet hours."""

    instant: int
    what: Literal["close", "open"]


Way = Literal["", "early", "late", "waits", "sooner", "no room"]
"""How a start came out of quiet hours: a closing before them or after them, an opening after them
or (where its shade has to be up by then) before them; "" where it did not have to."""


class Free(NamedTuple):
    """A start at which the motor is free to run, and how it came there."""

    at: int
    way: Way = ""


def timing_of(shade: Shade) -> Timing:
    """A shade's seconds and minutes as whole seconds, the nearest."""
    minutes = (shade.lead, shade.lag, shade.merge, shade.shortest)
    return Timing(_whole_seconds(shade.travel), *(_whole_seconds(60 * value) for value in minutes))


def _whole_seconds(seconds: float) -> int:
    return math.floor(seconds + 0.5)


def any_in(spells: Sequence[Spell], start: int, end: int) -> bool:
    """Whether any of some spells (sorted, disjoint) has a part between two instants."""
    index = bisect_right(spells, start, key=lambda spell: spell.end)
    return start < end and index < len(spells) and spells[index].start < end


def blocked_starts(
    quiet: clock.Quiet | None, travel: int, first: date, last: date, zone: ZoneInfo
) -> Blocked:
    """When a run of `travel` seconds must not start, for quiet hours of the years of two dates.

    Times between which there is room for no start at all are one.
    """
    if quiet is None:
        return Blocked((), ())
    return _blocked_starts(quiet, travel, first.year, last.year, zone)


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


@dataclass(frozen=True)
class Motor:
    """A shade's motor, or several that run at the same times."""

    rules: Shade
    zone: ZoneInfo
    up: Sequence[Spell] = ()

    @cached_property
    def timing(self) -> Timing:
        """The rules' numbers in whole seconds."""
        return timing_of(self.rules)

    @cached_property
    def run(self) -> int:
        """How long a run counts: the full one; a second where it takes no time."""
        return max(self.timing.travel, 1)

    # Quiet hours, and times to stay up.

    def blocked(self, instant: int) -> Spell | None:
        """The time about an instant in which the motor must not start; None if it may then."""
        if self.rules.quiet is None:
            return None
        day = clock.local_date(instant, self.zone)
        return self.blocked_between(day, day).around(instant)

    def blocked_between(self, first: date, last: date) -> Blocked:
        """When the motor must not start, in the years of two dates at the least."""
        return blocked_starts(self.rules.quiet, self.timing.travel, first, last, self.zone)

    def held_up(self, start: int, end: int) -> bool:
        """Whether the shade has to be up at some time between two instants."""
        return any_in(self.up, start, end)

    def breaks_up(self, row: Row) -> bool:
        """Whether a closing has its shade down, or its motor run, while it has to stay up."""
        return self.held_up(row.close, row.open + self.timing.travel)

    def free_to_close(self, close: int) -> Free:
        """The start of a closing that is wanted at `close`, out of quiet hours.

        Before them or after them, as the shade's `in_quiet` says; but after them where the shade
        has to be up at some time before.
        """
        quiet = self.blocked(close)
        if quiet is None:
            return Free(close)
        if quiet.seconds > LONGEST_WAIT_S:
            return Free(close, "no room")
        if self.rules.in_quiet == "early" and not self.held_up(quiet.start, close):
            return Free(quiet.start, "early")
        return Free(quiet.end, "late")

    def free_to_open(self, opens: int) -> Free:
        """The start of an opening that is wanted at `opens`: after quiet hours, or before them
        where the shade has to be up before the motor has run after them.
        """
        quiet = self.blocked(opens)
        if quiet is None:
            return Free(opens)
        if quiet.seconds > LONGEST_WAIT_S:
            return Free(opens, "no room")
        if self.held_up(opens, quiet.end + self.timing.travel):
            return Free(quiet.start, "sooner")
        return Free(quiet.end, "waits")

    def at_quiet_edge(self, instant: int) -> bool:
        """Whether quiet hours have only just let the motor start, or are about not to."""
        return self.blocked(instant - 1) is not None or self.blocked(instant + 1) is not None

    def free_about(self, row: Row) -> tuple[int | None, int | None]:
        """The soonest that a closing may begin and the latest that it may end, for its shade to
        stay up when it has to; None where there is no such time before it, or after it.
        """
        travel = self.timing.travel
        after = bisect_left(self.up, row.open + travel, key=lambda spell: spell.start)
        before = bisect_right(self.up, row.close, key=lambda spell: spell.end) - 1
        earliest = self.up[before].end if before >= 0 else None
        latest = self.up[after].start - travel if after < len(self.up) else None
        return earliest, latest

    def in_quiet(self, rows: Iterable[Row]) -> Iterator[QuietMove]:
        """The runs that touch quiet hours, in order of time."""
        if self.rules.quiet is None:
            return
        closes: list[QuietMove] = [QuietMove(row.close, "close") for row in rows]
        for move in sorted([*closes, *(QuietMove(row.open, "open") for row in rows)]):
            if self.blocked(move.instant) is not None:
                yield move

    # Two runs of one motor.

    def too_near(self, opens: int, close: int) -> bool:
        """Whether the motor has no time to open at `opens` before it closes at `close`."""
        return close < opens + self.run

    def crowds(self, rows: Sequence[Row]) -> list[list[int]]:
        """The numbers of closings in order of time, those together between which the motor has no
        time to open, nor has to.
        """
        crowds: list[list[int]] = []
        until = 0
        for number in sorted(range(len(rows)), key=lambda number: rows[number].close):
            row = rows[number]
            near = bool(crowds) and self.too_near(until, row.close)
            if near and not self.held_up(until, row.close):
                crowds[-1].append(number)
                until = max(until, row.open)
            else:
                crowds.append([number])
                until = row.open
        return crowds

    def clashes(self, rows: Sequence[Row]) -> Iterator[int]:
        """When the motor has to close before it has opened."""
        for before, after in pairwise(rows):
            if after.close < before.open + self.timing.travel:
                yield after.close

    # The limit of moves.

    def over_limit(self, rows: Iterable[Row]) -> dict[date, int]:
        """The dates on which closings come to more moves than the limit, and how many."""
        moves = self.rules.moves
        if moves is None:
            return {}
        return {day: n for day, n in moves_by_date(rows, self.zone).items() if n > moves}


def moves_by_date(rows: Iterable[Row], zone: ZoneInfo) -> dict[date, int]:
    """How often a motor moves on each local date on which it does, in order of the dates.

    A closing counts on the date of its `close`, an opening on that of its `open`.
    """
    instants = [instant for row in rows for instant in (row.close, row.open)]
    count = Counter(clock.local_ordinals(instants, zone))
    return {date.fromordinal(ordinal): count[ordinal] for ordinal in sorted(count)}


def gaps_to_bridge(
    dates: Sequence[tuple[object, object]],
    gaps: Iterable[tuple[int, int]],
    moves: int | None,
) -> set[int]:
    """Which gaps have to be bridged for no date to have more than `moves`, the shortest first.

    `dates` has the date of each closing and that of its opening; each of `gaps` its length, and the
    number of the closing after it. Only gaps that take a move off a date with too many are bridged;
    of those equally long the earliest goes first.
    """
    if moves is None:
        return set()
    count = Counter(day for pair in dates for day in pair)
    if all(number <= moves for number in count.values()):
        return set()
    # Counts only fall, so a gap that no date needs bridged when its turn comes is never needed:
    # once through the gaps, from the shortest, is the same as starting over after each.
    bridged = set()
    for _, number in sorted(gaps):
        opens, closes = dates[number - 1][1], dates[number][0]
        if count[opens] > moves or count[closes] > moves:
            count[opens] -= 1
            count[closes] -= 1
            bridged.add(number)
    return bridged
