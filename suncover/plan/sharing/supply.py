"""Motors on one supply: starts are spread so that it never runs more of them than it can.

Every shade stays in time: a closing only ever starts sooner, an opening later. (Just after quiet
hours one that is to close late waits for its turn, as openings do.) Of all ways, the one is taken
that moves the starts by the fewest seconds in all (`suncover.stagger`).

Where too many motors are in each other's way for that, closings are placed from the last to the
first, each as late as the supply allows, then openings from the first to the last, each as soon as
it allows. A start that would come to lie in quiet hours goes on to their other side. One that would
have to move a shade while it has to stay up remains where it is wanted, though the supply is then
asked for too much: somebody may be working at the window.
"""

from __future__ import annotations

import math
from bisect import bisect_left, bisect_right, insort
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, NamedTuple
from zoneinfo import ZoneInfo

from suncover.base import clock
from suncover.base.spell import Spell
from suncover.plan.closings import rules
from suncover.plan.closings.changed import joined, moved
from suncover.plan.closings.rules import Blocked
from suncover.plan.closings.shade_plan import Closing
from suncover.plan.sharing.stagger import Limits, Start, is_past, staggered

if TYPE_CHECKING:
    from suncover.site.model import Shade, Supply


class Run(NamedTuple):
    """A motor's run: when it starts, how long it lasts (seconds), whose it is."""

    start: int
    seconds: int
    shade: str


@dataclass
class _Placed:
    """The runs placed so far, by their start."""

    at_once: int
    gap: int
    longest: int
    runs: list[Run] = field(default_factory=list)

    def near(self, start: int, seconds: int) -> list[Run]:
        """Every run that could bear on one from `start`."""
        reach = max(self.longest, self.gap)
        low = bisect_left(self.runs, (start - reach,))
        high = bisect_left(self.runs, (start + max(seconds, self.gap),))
        return self.runs[low:high]

    def fits(self, start: int, seconds: int) -> bool:
        """Whether the supply can take one more run."""
        near = self.near(start, seconds)
        if any(abs(run.start - start) < self.gap for run in near):
            return False
        return most_at_once([*near, Run(start, seconds, "")], start, seconds) <= self.at_once

    def later(self, start: int, seconds: int) -> int:
        """The next start after one that does not fit at which it may."""
        near = self.near(start, seconds)
        ends = [run.start + run.seconds for run in near] + [run.start + self.gap for run in near]
        return min((end for end in ends if end > start), default=start + 1)

    def sooner(self, start: int, seconds: int) -> int:
        """The next start before one that does not fit at which it may."""
        near = self.near(start, seconds)
        starts = [run.start - seconds for run in near] + [run.start - self.gap for run in near]
        return max((begin for begin in starts if begin < start), default=start - 1)


def most_at_once(runs: Sequence[Run], start: int, seconds: int) -> int:
    """The most of some runs that are under way at any moment of `seconds` from `start`."""
    moments = [start, *(run.start for run in runs if start <= run.start < start + seconds)]
    return max(
        sum(run.start <= moment < run.start + run.seconds for run in runs) for moment in moments
    )


def run_seconds(shade: Shade) -> int:
    """How long a run counts: the full one; a second where it takes no time."""
    return max(rules.timing_of(shade).travel, 1)


def spread_starts(
    supply: Supply,
    shades: Mapping[str, Shade],
    closings: Mapping[str, Sequence[Closing]],
    zone: ZoneInfo,
    *,
    step: int = 1,
    up: Mapping[str, Sequence[Spell]] | None = None,
) -> dict[str, tuple[Closing, ...]]:
    """The closings (sorted, by shade) of a supply's shades, with their starts spread.

    `shades` has them by name, `up` (sorted, disjoint) when they have to stay up. Closings of a
    shade between which the spreading leaves its motor no time to open become one. Starts move by
    whole steps of so many seconds, so that round times stay round; those that go to the other side
    of quiet hours keep to the clock's round times.
    """
    rows = {name: list(closings.get(name, ())) for name in supply.shades}
    while True:
        spread = _spread(supply, shades, rows, zone, step=step, up=up or {})
        found: dict[str, list[Closing]] = {}
        asked: dict[str, list[Closing]] = {}
        for name, mine in spread.items():
            near = _too_near(mine, run_seconds(shades[name]))
            found[name] = [_as_one([mine[n] for n in some], zone) for some in near]
            asked[name] = [
                _as_asked(one, [rows[name][n] for n in some], zone)
                for one, some in zip(found[name], near, strict=True)
            ]
        if all(len(found[name]) == len(rows[name]) for name in rows):
            return {name: tuple(mine) for name, mine in found.items()}
        rows = asked  # fewer runs now: place them anew from the times that were asked for


def _spread(
    supply: Supply,
    shades: Mapping[str, Shade],
    rows: Mapping[str, Sequence[Closing]],
    zone: ZoneInfo,
    *,
    step: int,
    up: Mapping[str, Sequence[Spell]],
) -> dict[str, list[Closing]]:
    limits = Limits(supply.at_once, in_steps(math.ceil(supply.gap), step))
    soon = reach_of(supply, shades, step)
    starts: list[Start] = []
    order: list[tuple[int, int]] = []
    for name, mine in rows.items():
        shade = shades[name]
        run, blocked = run_seconds(shade), _blocked(shade, mine, zone)
        wide = _to_round_times(blocked, step, zone)
        for number, row in enumerate(mine):
            if number:
                order.append((len(starts) - 1, len(starts)))
            span = Spell(row.close, row.open)
            least, most = free_of(up.get(name, ()), span, shade)
            late = waits(shade, row.close, blocked, soon, mine[number - 1] if number else None)
            if late:  # it may come as late as its own opening
                order.append((len(starts), len(starts) + 1))
            closing = (row.close, not late, None if late else least)
            for at, back, limit in (closing, (row.open, False, most)):
                # A time that is not round, so as to keep out of quiet hours, stays where it is.
                odd = wide.around(at) is not None and blocked.around(at) is None
                kind = (shade.quiet, run, odd)
                held = blocked if odd else wide
                starts.append(Start(at, in_steps(run, step), back, kind, held, limit))
    places = iter(staggered(starts, limits, order, lambda some: rule_of_thumb(some, limits)))
    return {
        name: [moved(row, *_in_turn_at(row, next(places), next(places)), zone) for row in mine]
        for name, mine in rows.items()
    }


def reach_of(supply: Supply, shades: Mapping[str, Shade], step: int) -> int:
    """By how much the motors of a supply may have to move a start of one of them, in seconds."""
    gap = in_steps(math.ceil(supply.gap), step)
    return sum(in_steps(run_seconds(shades[name]), step) + gap for name in supply.shades)


def waits(
    shade: Shade, close: int, blocked: Blocked, soon: int, before: Closing | None = None
) -> bool:
    """Whether a closing waits for its turn after quiet hours: `soon` after they end, where it might
    otherwise have to start before they begin. Not so if the shade has had a closing `before` it
    that opens after them.
    """
    index = bisect_right(blocked.highs, close) - 1
    if shade.in_quiet != "late" or index < 0:
        return False
    end = blocked.highs[index]
    return close - end < soon and (before is None or before.open <= end)


def _in_turn_at(row: Closing, close: int, opens: int) -> tuple[int, int]:
    # One that would come after its own opening stays where it is.
    return (close if close < opens else row.close), opens


def free_of(up: Sequence[Spell], span: Spell, shade: Shade) -> tuple[int | None, int | None]:
    """The soonest that a closing may begin and the latest that it may end, for its shade to stay
    up when it has to (sorted, disjoint); None where there is no such time before it, or after it.
    """
    travel = rules.timing_of(shade).travel
    after = bisect_left(up, span.end + travel, key=lambda spell: spell.start)
    before = bisect_right(up, span.start, key=lambda spell: spell.end) - 1
    least = up[before].end if before >= 0 else None
    most = up[after].start - travel if after < len(up) else None
    return least, most


def in_steps(seconds: int, step: int) -> int:
    """The least whole number of steps that lasts so long."""
    return -(-seconds // step) * step


def _to_round_times(blocked: Blocked, step: int, zone: ZoneInfo) -> Blocked:
    """The same, wider: from the clock's last round time before to its next one after.

    Where that leaves no time in between, it is the same.
    """
    if step == 1:
        return blocked
    lows = tuple(low - (low + clock.utc_offset(low, zone)) % step for low in blocked.lows)
    highs = tuple(high + -(high + clock.utc_offset(high, zone)) % step for high in blocked.highs)
    free = all(high < low for high, low in zip(highs, lows[1:], strict=False))
    return Blocked(lows, highs) if free else blocked


def _in_turn(wanted: Sequence[tuple[int, bool]]) -> list[int]:
    """In which order starts are placed, by when each is wanted and whether it may only go back:
    these, which are closings, the last one first; then openings.
    """
    closings = sorted((-at, i) for i, (at, back) in enumerate(wanted) if back)
    openings = sorted((at, i) for i, (at, back) in enumerate(wanted) if not back)
    return [i for _, i in [*closings, *openings]]


def rule_of_thumb(starts: Sequence[Start], limits: Limits) -> list[int]:
    """Instants for the starts: in nobody's way and in time, but not the fewest seconds moved."""
    longest = max((start.seconds for start in starts), default=1)
    placed = _Placed(limits.at_once, limits.gap, longest)
    places = [0] * len(starts)
    for i in _in_turn([(start.wanted, start.back) for start in starts]):
        start = starts[i]
        place = _place(placed, start.wanted, start.seconds, start.blocked, back=start.back)
        places[i] = start.wanted if is_past(start.limit, place, back=start.back) else place
        insort(placed.runs, Run(places[i], start.seconds, ""))
    return places


class Repeated(NamedTuple):
    """A start on several days at the same time of day; else as `Start`, in seconds of the day.

    `days` are counted from that of 1 January 1970; `blocked` is in seconds since it began.
    """

    wanted: int
    seconds: int
    back: bool
    blocked: Blocked
    days: tuple[int, ...]
    limit: int | None = None


def spread_repeated(starts: Sequence[Repeated], limits: Limits) -> list[int]:
    """Times of day for the starts: in nobody's way on any day and in time, by the rule of thumb.

    One that would have to go past its limit stays where it is.
    """
    longest = max((start.seconds for start in starts), default=1)
    placed = _Placed(limits.at_once, limits.gap, longest)
    places = [0] * len(starts)
    for i in _in_turn([(start.wanted, start.back) for start in starts]):
        start = starts[i]
        place = _place_on_days(placed, start)
        places[i] = start.wanted if is_past(start.limit, place, back=start.back) else place
        for day in start.days:
            insort(placed.runs, Run(day * clock.DAY_S + places[i], start.seconds, ""))
    return places


def _place_on_days(placed: _Placed, start: Repeated) -> int:
    at, agreed = start.wanted, 0
    while agreed < len(start.days):  # days in a row, round and round, that are content
        midnight = start.days[agreed] * clock.DAY_S
        found = _place(placed, midnight + at, start.seconds, start.blocked, back=start.back)
        agreed = agreed + 1 if found == midnight + at else 0
        at = found - midnight
    return at


def _blocked(shade: Shade, rows: Sequence[Closing], zone: ZoneInfo) -> Blocked:
    if not rows:
        return Blocked((), ())
    travel = rules.timing_of(shade).travel
    last = clock.local_date(rows[-1].open, zone)
    return rules.blocked_starts(shade.quiet, travel, rows[0].date, last, zone)


def _place(placed: _Placed, start: int, seconds: int, blocked: Blocked, *, back: bool) -> int:
    at = start
    while True:
        quiet = blocked.around(at)
        if quiet is not None:
            at = quiet.start if back else quiet.end
        elif placed.fits(at, seconds):
            return at
        else:
            at = placed.sooner(at, seconds) if back else placed.later(at, seconds)


def _too_near(rows: Sequence[Closing], run: int) -> list[list[int]]:
    """The numbers of a shade's closings, those together between which its motor has no time for a
    run.
    """
    found: list[list[int]] = []
    until = 0
    for number in sorted(range(len(rows)), key=lambda number: rows[number].close):
        if found and rows[number].close < until + run:
            found[-1].append(number)
            until = max(until, rows[number].open)
        else:
            found.append([number])
            until = rows[number].open
    return found


def _as_asked(one: Closing, rows: Sequence[Closing], zone: ZoneInfo) -> Closing:
    """What some closings have become, at the times that were asked for."""
    close, opens = min(row.close for row in rows), max(row.open for row in rows)
    return moved(one, close, opens, zone)


def _as_one(rows: Sequence[Closing], zone: ZoneInfo) -> Closing:
    one = rows[0]
    for row in rows[1:]:
        both = joined(one, row, "; ", zone)
        one = replace(both, reason=f"{both.reason}; the supply left no time to open in between")
    return one


def overloads(
    supply: Supply, shades: Mapping[str, Shade], closings: Sequence[Closing]
) -> Iterator[int]:
    """When a motor starts though the supply is busy, or too soon after another."""
    runs = sorted(
        Run(start, run_seconds(shades[closing.shade]), closing.shade)
        for closing in closings
        if closing.shade in supply.shades
        for start in (closing.close, closing.open)
    )
    longest = max((run.seconds for run in runs), default=1)
    for number, run in enumerate(runs):
        near = [r for r in runs[max(number - 500, 0) : number] if r.start > run.start - longest]
        busy = sum(r.start + r.seconds > run.start for r in near) + 1
        hasty = number > 0 and run.start - runs[number - 1].start < math.ceil(supply.gap)
        if busy > supply.at_once or hasty:
            yield run.start


def asked_too_much(
    supply: Supply, shades: Mapping[str, Shade], closings: Sequence[Closing], zone: ZoneInfo
) -> str | None:
    """How often a supply is asked for more than it can do, in words; None where it never is."""
    busy = list(overloads(supply, shades, closings))
    if not busy:
        return None
    times = "once" if len(busy) == 1 else f"{len(busy)} times"
    day = clock.date_text(clock.local_date(busy[0], zone))
    return f"supply {supply.name} is asked for more than it can do {times}, first on {day}"
