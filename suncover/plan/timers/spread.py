"""Timers whose motors share a supply: their settings are spread against each other.

A setting closes sooner or opens later, by the same on each day on which it holds, until on none of
them too many motors run at once. So it still covers all that it did. Settings of a shade between
which that leaves its motor no time become one. Days apart keep their times, and so does a closing
that has had its turn after quiet hours.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING, NamedTuple

from suncover.base.clock import DAY_S
from suncover.base.spell import Spell
from suncover.plan.motor import Blocked, Motor
from suncover.plan.sharing.supply import Grid, Motors, Placed, Start, in_turn, reach_of, waits
from suncover.plan.timers.dial import Dial
from suncover.plan.timers.settings import Setting

if TYPE_CHECKING:
    from suncover.site.model import Supply

Settings = Mapping[str, Sequence[Setting]]


class _Repeated(NamedTuple):
    """A start in seconds of the day, and the days on which it is so, counted from 1 January 1970.

    `fixed` where it has to stay when it is.
    """

    start: Start
    days: tuple[int, ...]
    fixed: bool


def spread_settings(
    supply: Supply, motors: Motors, settings: Settings, dial: Dial, *, step: int = 1
) -> dict[str, list[Setting]]:
    """The settings (by shade) of a supply's shades, spread in whole steps of so many seconds."""
    targets = {name: list(settings[name]) for name in supply.shades}
    grid = Grid(step)
    if 2 * reach_of(supply, motors, grid) > supply.at_once * DAY_S:
        return targets
    while True:
        spread = _spread(supply, motors, targets, dial, grid)
        merged = {name: _joined(spread[name], targets[name], motors[name]) for name in spread}
        if all(len(merged[name]) == len(targets[name]) for name in targets):
            return spread
        targets = merged  # fewer now: spread them anew from the times that were asked for


def _spread(
    supply: Supply, motors: Motors, settings: Settings, dial: Dial, grid: Grid
) -> dict[str, list[Setting]]:
    starts: list[_Repeated] = []
    soon = reach_of(supply, motors, grid)
    for name, shade_settings in settings.items():
        motor = motors[name]
        blocked = _blocked(motor, shade_settings, dial)
        up = [Spell(dial.reading(spell.start), dial.reading(spell.end)) for spell in motor.up]
        timer = replace(motor, up=up)  # by its own clock
        for setting in shade_settings:
            days = tuple((day - date(1970, 1, 1)).days for day in setting.days)
            late = any(waits(motor, _instant(dial, day, setting.close), soon) for day in days)
            earliest, latest = _limits(timer, setting, days)
            for at, back, limit in ((setting.close, True, earliest), (setting.open, False, latest)):
                # Where the timer's clock has brought it into quiet hours, it can but stay there.
                quiet = any(blocked.around(day * DAY_S + at) for day in days)
                in_way = Blocked((), ()) if quiet else blocked
                start = Start(at, grid.lasting(motor.run), back, in_way, limit, at)
                starts.append(_Repeated(start, days, setting.apart or (back and late)))
    places = iter(_places(starts, Placed.on(supply, motors, grid), grid))
    return {
        name: [
            replace(setting, close=next(places), open=next(places)) for setting in shade_settings
        ]
        for name, shade_settings in settings.items()
    }


def _instant(dial: Dial, day: int, seconds: int) -> int:
    return dial.instant(day * DAY_S + seconds)


def _places(starts: Sequence[_Repeated], placed: Placed, grid: Grid) -> list[int]:
    """Times of day for the starts: in nobody's way on any day and in time, as near as can be.

    One that would have to go past its limit stays where it is.
    """
    places = [repeated.start.wanted for repeated in starts]
    turns = in_turn([repeated.start for repeated in starts])
    for i in sorted(turns, key=lambda number: not starts[number].fixed):
        start, days, fixed = starts[i]
        if not fixed:
            at = _place_on_days(placed, start, days, grid)
            places[i] = start.wanted if start.is_past(at) else at
        for day in days:
            placed.take(day * DAY_S + places[i], start.seconds)
    return places


def _place_on_days(placed: Placed, start: Start, days: Sequence[int], grid: Grid) -> int:
    at, agreed = start.wanted, 0
    while agreed < len(days):  # days in a row, round and round, that are content
        midnight = days[agreed] * DAY_S
        place = placed.place(start, midnight + at, grid)
        agreed = agreed + 1 if place == midnight + at else 0
        at = place - midnight
    return at


def _limits(timer: Motor, setting: Setting, days: Sequence[int]) -> tuple[int | None, int | None]:
    """The soonest that a setting may close and the latest that it may open on all of its days, for
    its shade to stay up when it has to.
    """
    earliest, latest = [], []
    for day in days:
        midnight = day * DAY_S
        row = replace(setting, close=midnight + setting.close, open=midnight + setting.open)
        after, before = timer.free_about(row)
        earliest += [] if after is None else [after - midnight]
        latest += [] if before is None else [before - midnight]
    return max(earliest, default=None), min(latest, default=None)


def _blocked(motor: Motor, settings: Sequence[Setting], dial: Dial) -> Blocked:
    """When the motor must not start, by the timer's clock."""
    if not settings:
        return Blocked((), ())
    first, last = min(s.first for s in settings), max(s.last for s in settings)
    lows, highs = motor.blocked_between(first, last)
    return Blocked(tuple(map(dial.reading, lows)), tuple(map(dial.reading, highs)))


def _joined(spread: Sequence[Setting], targets: Sequence[Setting], motor: Motor) -> list[Setting]:
    """The settings as they were asked for, with those joined that are too near once spread."""
    pairs: list[tuple[Setting, Setting]] = []  # as spread, and as asked for
    order = sorted(range(len(spread)), key=lambda number: spread[number].close)
    for number in order:
        setting, target = spread[number], targets[number]
        for place, (before, target_before) in enumerate(pairs):
            shares_day = not set(before.days).isdisjoint(setting.days)
            if shares_day and motor.too_near(before.open, setting.close):
                pairs[place] = _merged(before, setting), _merged(target_before, target)
                break
        else:
            pairs.append((setting, target))
    return sorted((target for _, target in pairs), key=Setting.in_order)


def _merged(first: Setting, second: Setting) -> Setting:
    """Two settings as one, on all days on which either holds."""
    days = tuple(sorted({*first.days, *second.days}))
    opens, close = max(first.open, second.open), min(first.close, second.close)
    return replace(first, first=days[0], last=days[-1], days=days, close=close, open=opens)
