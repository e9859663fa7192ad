"""Motors on one supply: starts are spread so that it never runs more of them than it can.

    plans ──> starts that are wanted ──> the nearest free ones, one after another ──> plans

Every shade stays in time: a closing only ever starts sooner, an opening later. (Just after quiet
hours one that is to close late waits for its turn, as openings do.) Closings are placed from the
last to the first, each as late as the supply allows, then openings from the first to the last, each
as soon as it allows. A start that would come to lie in quiet hours goes on to their other side. One
that would have to move a shade while it has to stay up remains where it is wanted, though the
supply is then asked for too much: somebody may be working at the window.

Times that are changed afterwards (made round, or alike for days in a row) are placed in the same
way, but no start then crosses quiet hours, nor waits. One for which there is no such place keeps
the time that the plan gave it before, where the supply can take it.
"""

from __future__ import annotations

import math
from bisect import bisect_left, bisect_right, insort
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, NamedTuple
from zoneinfo import ZoneInfo

from suncover.base import clock
from suncover.plan.closings.changed import joined, moved, with_rows
from suncover.plan.closings.shade_plan import Closing, ShadePlan
from suncover.plan.motor import Blocked, Motor
from suncover.plan.unit import Unit
from suncover.site.model import Site

if TYPE_CHECKING:
    from suncover.site.model import Supply

MOST_TRIES = 12
"""How often starts are placed anew where closings have become one, which needs fewer of them."""

Motors = Mapping[str, Motor]
Rows = Mapping[str, Sequence[Closing]]


class Run(NamedTuple):
    """A motor's run: when it starts, how long it lasts (seconds)."""

    start: int
    seconds: int


@dataclass(frozen=True)
class Grid:
    """The times that starts may be moved to: those at which a clock's `reading` is a whole number
    of steps.
    """

    step: int = 1
    reading: Callable[[int], int] = int

    def lasting(self, seconds: float) -> int:
        """The least whole number of steps that lasts so long."""
        return math.ceil(-(-seconds // self.step)) * self.step

    def onto(self, at: int, *, back: bool) -> int:
        """The last time of the grid up to an instant, or the first from it on."""
        over = self.reading(at) % self.step
        if not over:
            return at
        return at - over if back else at + self.step - over


@dataclass
class Placed:
    """The runs that a supply has taken so far, by their start."""

    at_once: int
    gap: int
    longest: int
    runs: list[Run] = field(default_factory=list)

    @classmethod
    def on(cls, supply: Supply, motors: Motors, grid: Grid) -> Placed:
        """None yet, on a supply of these motors."""
        on = [motors[name] for name in supply.shades if name in motors]
        longest = max((grid.lasting(motor.run) for motor in on), default=1)
        return cls(supply.at_once, grid.lasting(math.ceil(supply.gap)), longest)

    def take(self, start: int, seconds: int) -> None:
        """Takes one more run, whether there is room for it or not."""
        insort(self.runs, Run(start, seconds))

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
        moments = [start, *(run.start for run in near if run.start >= start)]
        return all(
            sum(run.start <= moment < run.start + run.seconds for run in near) < self.at_once
            for moment in moments
            if moment < start + seconds
        )

    def next_start(self, start: int, seconds: int, *, back: bool) -> int:
        """The next start at which a run may fit, before one at which it does not, or after."""
        near = self.near(start, seconds)
        if back:
            starts = [run.start - reach for run in near for reach in (seconds, self.gap)]
            return max((at for at in starts if at < start), default=start - 1)
        ends = [run.start + reach for run in near for reach in (run.seconds, self.gap)]
        return min((at for at in ends if at > start), default=start + 1)

    def place(self, start: Start, at: int, grid: Grid) -> int:
        """Where a start that is wanted at an instant has room, in time and out of quiet hours."""
        while True:
            quiet = start.blocked.around(at)
            if quiet is not None:
                at = quiet.start if start.back else quiet.end
            elif self.fits(at, start.seconds):
                return at
            else:
                at = self.next_start(at, start.seconds, back=start.back)
                at = grid.onto(at, back=start.back)


class Start(NamedTuple):
    """A start of a motor: when it is wanted, and how many seconds the motor then runs.

    `back` is true for a closing, which may start sooner but not later; an opening may start later
    but not sooner. Neither goes past its `limit`: then it is at `else_at`.
    """

    wanted: int
    seconds: int
    back: bool
    blocked: Blocked
    limit: int | None
    else_at: int

    def is_past(self, at: int) -> bool:
        """Whether the start must not be at that time, whatever else there is room for."""
        if self.limit is None:
            return False
        return at < self.limit if self.back else at > self.limit


def in_turn(starts: Sequence[Start]) -> list[int]:
    """In which order starts are placed: closings, the last one first, then openings, the first one
    first. Of those wanted at the same time the longest closes last, and opens last.
    """
    closings = sorted((-s.wanted, -s.seconds, i) for i, s in enumerate(starts) if s.back)
    openings = sorted((s.wanted, s.seconds, i) for i, s in enumerate(starts) if not s.back)
    return [i for *_, i in [*closings, *openings]]


def placed_starts(starts: Sequence[Start], empty: Placed, grid: Grid) -> list[int]:
    """Instants for the starts: in nobody's way and in time, each as near as can be when its turn
    comes.
    """
    order = in_turn(starts)
    fixed: set[int] = set()
    while True:
        placed = replace(empty, runs=[])
        places = {i: starts[i].else_at for i in sorted(fixed)}
        for i, place in places.items():
            placed.take(place, starts[i].seconds)
        failed = []
        for i in order:
            start = starts[i]
            if i in fixed:
                continue
            place = placed.place(start, start.wanted, grid)
            if start.is_past(place):
                place = start.else_at
                if place != start.wanted:
                    failed.append(i)
            places[i] = place
            placed.take(place, start.seconds)
        if not failed:
            return [places[i] for i in range(len(starts))]
        fixed.update(failed)  # it had room there before: the others have to go round it


def share(
    site: Site,
    units: Sequence[Unit],
    plans: Sequence[ShadePlan],
    daily: Sequence[ShadePlan] | None = None,
    grid: Grid = Grid(),
) -> list[ShadePlan]:
    """The plans (of the units' shades, in their order, or that of the site) with the starts of
    their motors spread over the site's supplies.

    With `daily`, these plans were made of such as the supplies can take, and grow them: no closing
    then starts before quiet hours that it came after, and none waits.
    """
    members = {member.shade.name: (unit, member) for unit in units for member in unit.members}
    motors = {name: member.motor for name, (_, member) in members.items()}
    by_name = {plan.shade: plan for plan in plans}
    before = None if daily is None else {plan.shade: plan.closings for plan in daily}
    for supply in site.supplies:
        closings = {name: by_name[name].closings for name in supply.shades if name in by_name}
        spread = spread_starts(supply, motors, closings, daily=before, grid=grid)
        for name, rows in spread.items():
            by_name[name] = with_rows(by_name[name], rows, *members[name])
        spread_rows = [row for rows in spread.values() for row in rows]
        too_much = asked_too_much(supply, motors, spread_rows)
        if too_much is not None:
            if any(motors[name].up for name in closings):
                too_much += ": no shade may move while one of its exceptions has it stay up"
            first = by_name[next(iter(closings))]
            remarks = tuple(dict.fromkeys((*first.remarks, too_much)))
            by_name[first.shade] = replace(first, remarks=remarks)
    order = {shade.name: number for number, shade in enumerate(site.all_shades())}
    return sorted(by_name.values(), key=lambda plan: order[plan.shade])


def spread_starts(
    supply: Supply,
    motors: Motors,
    closings: Rows,
    *,
    daily: Rows | None = None,
    grid: Grid = Grid(),
) -> dict[str, tuple[Closing, ...]]:
    """The closings (sorted, by shade) of a supply's shades, with their starts spread.

    Closings of a shade between which the spreading leaves its motor no time to open become one.
    Where a day is too short for each motor to close and open once, nothing is spread.
    Starts move by whole steps of the `grid`, so that round times stay round. `daily` is as for
    `share`.
    """
    rows = {name: list(shade_rows) for name, shade_rows in closings.items()}
    if 2 * reach_of(supply, motors, grid) > supply.at_once * clock.DAY_S:
        return {
            name: tuple(shade_rows) for name, shade_rows in rows.items()
        }  # a day is too short for them all
    merged: dict[str, list[Closing]] = {}
    for _ in range(MOST_TRIES):
        spread = _spread(supply, motors, rows, daily, grid)
        targets: dict[str, list[Closing]] = {}
        for name, placed in spread.items():
            crowds = motors[name].crowds(placed)
            zone = motors[name].zone
            merged[name] = [_as_one([placed[n] for n in crowd], zone) for crowd in crowds]
            targets[name] = [
                _at_own_times(row, [rows[name][n] for n in crowd], zone)
                for row, crowd in zip(merged[name], crowds, strict=True)
            ]
        if all(len(merged[name]) == len(rows[name]) for name in rows):
            break
        rows = targets  # fewer runs now: place them anew from their own times
    return {name: tuple(placed) for name, placed in merged.items()}


def _spread(
    supply: Supply, motors: Motors, rows: Rows, daily: Rows | None, grid: Grid
) -> dict[str, list[Closing]]:
    soon = reach_of(supply, motors, grid)
    starts: list[Start] = []
    for name, shade_rows in rows.items():
        for number, row in enumerate(shade_rows):
            before = shade_rows[number - 1] if number else None
            if daily is None:
                starts += _starts(motors[name], row, before, soon)
            else:
                starts += _grown(motors[name], row, daily[name], soon, grid)
    places = iter(placed_starts(starts, Placed.on(supply, motors, grid), grid))
    return {
        name: [
            moved(row, *_in_turn_at(row, next(places), next(places)), motors[name].zone)
            for row in shade_rows
        ]
        for name, shade_rows in rows.items()
    }


def _in_turn_at(row: Closing, close: int, opens: int) -> tuple[int, int]:
    # One that would come after its own opening stays where it is.
    return (close if close < opens else row.close), opens


def _starts(motor: Motor, row: Closing, before: Closing | None, soon: int) -> tuple[Start, Start]:
    """The two starts of a closing, as its shade's plan by itself has them."""
    blocked = _blocked(motor, row)
    earliest, latest = motor.free_about(row)
    late = waits(motor, row.close, soon, before)
    close = Start(row.close, motor.run, not late, blocked, None if late else earliest, row.close)
    return close, Start(row.open, motor.run, False, blocked, latest, row.open)


def _grown(
    motor: Motor, row: Closing, daily: Sequence[Closing], soon: int, grid: Grid
) -> tuple[Start, Start]:
    """The two starts of a closing that holds some of the daily plan, none of which it gives up."""
    first = bisect_right(daily, row.close, key=lambda closing: closing.open)
    last = bisect_left(daily, row.open, key=lambda closing: closing.close)
    daily_rows = daily[first:last] or [row]
    blocked, seconds = _blocked(motor, row), grid.lasting(motor.run)
    earliest, latest = motor.free_about(row)
    before = blocked.highs[: bisect_right(blocked.highs, daily_rows[0].close)][-1:]
    after = blocked.lows[bisect_left(blocked.lows, daily_rows[-1].open) :][:1]
    earliest = max([*before, *([] if earliest is None else [earliest])], default=None)
    latest = min([*after, *([] if latest is None else [latest])], default=None)
    target = row.close
    if waits(motor, daily_rows[0].close, soon, daily[first - 1] if first else None):
        target = earliest = daily_rows[0].close  # it has had its turn
    close = Start(target, seconds, True, blocked, earliest, daily_rows[0].close)
    return close, Start(row.open, seconds, False, blocked, latest, daily_rows[-1].open)


def _blocked(motor: Motor, row: Closing) -> Blocked:
    day = row.date
    return motor.blocked_between(day, clock.local_date(row.open, motor.zone))


def reach_of(supply: Supply, motors: Motors, grid: Grid) -> int:
    """By how much the motors of a supply may have to move a start of one of them, in seconds."""
    gap = grid.lasting(math.ceil(supply.gap))
    on = [motors[name] for name in supply.shades if name in motors]
    return sum(grid.lasting(motor.run) + gap for motor in on)


def waits(motor: Motor, close: int, soon: int, before: Closing | None = None) -> bool:
    """Whether a closing waits for its turn after quiet hours: `soon` after they end, where it might
    otherwise have to start before they begin. Not so if the shade has had a closing `before` it
    that opens after them.
    """
    if motor.rules.in_quiet != "late" or motor.rules.quiet is None:
        return False
    day = clock.local_date(close, motor.zone)
    highs = motor.blocked_between(day, day).highs
    index = bisect_right(highs, close) - 1
    if index < 0:
        return False
    end = highs[index]
    return close - end < soon and (before is None or before.open <= end)


def _at_own_times(row: Closing, rows: Sequence[Closing], zone: ZoneInfo) -> Closing:
    """What some closings have become, at the times of their own plans."""
    close, opens = min(row.close for row in rows), max(row.open for row in rows)
    return moved(row, close, opens, zone)


def _as_one(rows: Sequence[Closing], zone: ZoneInfo) -> Closing:
    result = rows[0]
    for row in rows[1:]:
        pair = joined(result, row, "; ", zone)
        reason = f"{pair.reason}; the supply left no time to open in between"
        result = replace(pair, reason=reason)
    return result


def overloads(supply: Supply, motors: Motors, closings: Sequence[Closing]) -> Iterator[int]:
    """When a motor starts though the supply is busy, or too soon after another."""
    runs = sorted(
        Run(start, motors[closing.shade].run)
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


def asked_too_much(supply: Supply, motors: Motors, closings: Sequence[Closing]) -> str | None:
    """How often a supply is asked for more than it can do, in words; None where it never is."""
    busy = list(overloads(supply, motors, closings))
    if not busy:
        return None
    times = "once" if len(busy) == 1 else f"{len(busy)} times"
    zone = next(iter(motors.values())).zone
    day = clock.date_text(clock.local_date(busy[0], zone))
    return f"supply {supply.name} is asked for more than it can do {times}, first on {day}"
