"""What every shade should do at one instant, as lines for a person."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date
from zoneinfo import ZoneInfo

from suncover.base.clock import date_text, local_date, ordinal_and_clock
from suncover.plan.staircase import NextMove, Standing


def now_text(
    standings: Sequence[Standing], at: int, zone: ZoneInfo, *, strong: Callable[[str], str] = str
) -> str:
    """A line for where each shade should be, one for what comes next, and why."""
    today = local_date(at, zone)
    lines = [f"At {when_text(at, today, zone)}"]
    for standing in standings:
        since = "" if standing.since is None else f" since {when_text(standing.since, today, zone)}"
        lines += ["", f"{strong(standing.shade)}: {position_text(standing.position)}{since}"]
        if standing.position:
            lines.append(f"  {standing.reason}")
        lines.append(f"  {_next_line(standing.next, today, zone)}")
    return "\n".join(lines) + "\n"


def position_text(position: float) -> str:
    """`open`, `closed`, `40 % closed`."""
    return {0: "open", 100: "closed"}.get(round(position), f"{position:g} % closed")


def when_text(at: int, today: date, zone: ZoneInfo) -> str:
    """`14:03`, with the date where that is another day, and the year where that differs."""
    ordinal, clock = ordinal_and_clock(at, zone)
    day = date.fromordinal(ordinal)
    if day == today:
        return clock
    return f"{clock} on {date_text(day)}" + ("" if day.year == today.year else f" {day.year}")


def _next_line(move: NextMove | None, today: date, zone: ZoneInfo) -> str:
    if move is None:
        return "next: nothing within a year"
    run = "" if move.seconds is None else f", its motor runs {move.seconds:g} s"
    verb = {0: "opens", 100: "closes"}.get(move.position, f"goes to {move.position} % closed")
    reason = f": {move.reason}" if move.position else ""
    return f"next: {verb} at {when_text(move.at, today, zone)}{run}{reason}"
