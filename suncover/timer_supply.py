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

from suncover import plan_rules
from suncover.plan_rules import Blocked
from suncover.stagger import Limits
from suncover.supply import Repeated, in_steps, is_late, run_seconds, spread_repeated
from suncover.timers import Dial, Setting

if TYPE_CHECKING:
    from suncover.site import Shade, Supply

Settings = Mapping[str, Sequence[Setting]]


def spread_settings(
    supply: Supply,
    shades: Mapping[str, Shade],
    settings: Settings,
    dial: Dial,
    *,
    step: int = 1,
) -> dict[str, list[Setting]]:
    """The settings (by shade) of a supply's shades, spread in whole steps of so many seconds.

    `shades` has them by name.
    """
    wanted = {name: list(settings[name]) for name in supply.shades}
    while True:
        spread = _spread(supply, shades, wanted, dial, step)
        joined = {name: _joined(spread[name], wanted[name], shades[name]) for name in spread}
        if all(len(joined[name]) == len(wanted[name]) for name in wanted):
            return spread
        wanted = joined  # fewer now: spread them anew from the times that were asked for


def _spread(
    supply: Supply, shades: Mapping[str, Shade], settings: Settings, dial: Dial, step: int
) -> dict[str, list[Setting]]:
    starts = []
    for name, mine in settings.items():
        blocked = _blocked(shades[name], mine, dial)
        seconds = in_steps(run_seconds(shades[name]), step)
        for setting in mine:
            days = tuple((day - date(1970, 1, 1)).days for day in setting.days)
            late = any(is_late(shades[name], day * 86400 + setting.close, blocked) for day in days)
            for at, back in ((setting.close, not late), (setting.open, False)):
                # Where the timer's clock has brought it into quiet hours, it can but stay there.
                quiet = any(blocked.around(day * 86400 + at) for day in days)
                held = Blocked((), ()) if quiet else blocked
                starts.append(Repeated(at, seconds, back, held, days))
    limits = Limits(supply.at_once, in_steps(math.ceil(supply.gap), step))
    places = iter(spread_repeated(starts, limits))
    return {
        name: [_placed(one, next(places), next(places)) for one in mine]
        for name, mine in settings.items()
    }


def _placed(setting: Setting, close: int, opens: int) -> Setting:
    # A late closing that would come after its own opening stays where it is.
    return replace(setting, close=close if close < opens else setting.close, open=opens)


def _blocked(shade: Shade, settings: Sequence[Setting], dial: Dial) -> Blocked:
    """When the motor must not start, by the timer's clock."""
    if not settings:
        return Blocked((), ())
    travel = plan_rules.timing_of(shade).travel
    first, last = min(one.first for one in settings), max(one.last for one in settings)
    blocked = plan_rules.blocked_starts(shade.quiet, travel, first, last, dial.zone)
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
