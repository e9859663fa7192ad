"""Timers whose motors share a supply: their settings are spread against each other.

A setting closes sooner or opens later, by the same on each day on which it holds, until on none of
them too many motors run at once. So it still covers all that it did, but for a closing that waits
for the end of quiet hours anyhow: that closes later. Settings of a shade between
which that leaves its motor no time become one.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING

from suncover.base.clock import DAY_S
from suncover.base.spell import Spell
from suncover.plan.closings import rules
from suncover.plan.closings.rules import Blocked
from suncover.plan.sharing.stagger import Limits
from suncover.plan.sharing.supply import (
    Repeated,
    free_of,
    in_steps,
    reach_of,
    run_seconds,
    spread_repeated,
    waits,
)
from suncover.plan.timers.settings import Dial, Setting

if TYPE_CHECKING:
    from suncover.site.model import Shade, Supply

Settings = Mapping[str, Sequence[Setting]]


def spread_settings(
    supply: Supply,
    shades: Mapping[str, Shade],
    settings: Settings,
    dial: Dial,
    *,
    step: int = 1,
    up: Mapping[str, Sequence[Spell]] | None = None,
) -> dict[str, list[Setting]]:
    """The settings (by shade) of a supply's shades, spread in whole steps of so many seconds.

    `shades` has them by name, `up` (sorted, disjoint) when they have to stay up.
    """
    held_up = {
        name: [Spell(dial.reading(spell.start), dial.reading(spell.end)) for spell in spells]
        for name, spells in (up or {}).items()
    }
    wanted = {name: list(settings[name]) for name in supply.shades}
    while True:
        spread = _spread(supply, shades, wanted, dial, step=step, up=held_up)
        joined = {name: _joined(spread[name], wanted[name], shades[name]) for name in spread}
        if all(len(joined[name]) == len(wanted[name]) for name in wanted):
            return spread
        wanted = joined  # fewer now: spread them anew from the times that were asked for


def _spread(
    supply: Supply,
    shades: Mapping[str, Shade],
    settings: Settings,
    dial: Dial,
    *,
    step: int,
    up: Mapping[str, Sequence[Spell]],
) -> dict[str, list[Setting]]:
    starts = []
    soon = reach_of(supply, shades, step)
    for name, mine in settings.items():
        blocked = _blocked(shades[name], mine, dial)
        seconds = in_steps(run_seconds(shades[name]), step)
        for setting in mine:
            days = tuple((day - date(1970, 1, 1)).days for day in setting.days)
            late = any(
                waits(shades[name], day * DAY_S + setting.close, blocked, soon) for day in days
            )
            least, most = _limits(up.get(name, ()), setting, days, shades[name])
            closing = (setting.close, not late, None if late else least)
            for at, back, limit in (closing, (setting.open, False, most)):
                # Where the timer's clock has brought it into quiet hours, it can but stay there.
                quiet = any(blocked.around(day * DAY_S + at) for day in days)
                held = Blocked((), ()) if quiet else blocked
                starts.append(Repeated(at, seconds, back, held, days, limit))
    limits = Limits(supply.at_once, in_steps(math.ceil(supply.gap), step))
    places = iter(spread_repeated(starts, limits))
    return {
        name: [_placed(one, next(places), next(places)) for one in mine]
        for name, mine in settings.items()
    }


def _limits(
    up: Sequence[Spell], setting: Setting, days: Sequence[int], shade: Shade
) -> tuple[int | None, int | None]:
    """The soonest that a setting may close and the latest that it may open on all of its days, for
    its shade to stay up when it has to, by the timer's clock.
    """
    least, most = None, None
    for day in days:
        midnight = day * DAY_S
        span = Spell(midnight + setting.close, midnight + setting.open)
        after, before = free_of(up, span, shade)
        if after is not None:
            least = max(after - midnight, after - midnight if least is None else least)
        if before is not None:
            most = min(before - midnight, before - midnight if most is None else most)
    return least, most


def _placed(setting: Setting, close: int, opens: int) -> Setting:
    # A late closing that would come after its own opening stays where it is.
    return replace(setting, close=close if close < opens else setting.close, open=opens)


def _blocked(shade: Shade, settings: Sequence[Setting], dial: Dial) -> Blocked:
    """When the motor must not start, by the timer's clock."""
    if not settings:
        return Blocked((), ())
    travel = rules.timing_of(shade).travel
    first, last = min(one.first for one in settings), max(one.last for one in settings)
    blocked = rules.blocked_starts(shade.quiet, travel, first, last, dial.zone)
    readings = (tuple(map(dial.reading, ends)) for ends in blocked)
    return Blocked(*readings)


def _both(one: Setting, other: Setting) -> Setting:
    """Two settings as one, on all days on which either holds."""
    days = tuple(sorted({*one.days, *other.days}))
    opens = max(one.open, other.open)
    return replace(one, first=days[0], last=days[-1], days=days, open=opens)


def _joined(spread: Sequence[Setting], wanted: Sequence[Setting], shade: Shade) -> list[Setting]:
    """The settings as they were asked for, with those joined that are too near once spread."""
    joined: list[Setting] = []
    before: Setting | None = None
    for at, asked in zip(spread, wanted, strict=True):
        same = before is not None and not set(before.days).isdisjoint(at.days)
        if before is not None and same and at.close < before.open + run_seconds(shade):
            joined[-1] = _both(joined[-1], asked)
            before = _both(before, at)
        else:
            joined.append(asked)
            before = at
    return joined
