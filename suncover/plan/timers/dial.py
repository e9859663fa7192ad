"""A timer's clock: what it shows at an instant, and when a day of its own may begin."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, time, timedelta
from typing import TYPE_CHECKING, Literal
from zoneinfo import ZoneInfo

from suncover.base import clock
from suncover.base.clock import DAY_S

if TYPE_CHECKING:
    from suncover.plan.closings.shade_plan import Closing

Every = Literal["day", "week", "month"]
"""For how long one setting of a timer holds."""
ROOM_S = 300
"""A timer's day may turn only in a gap of at least this, beside the motor's two runs."""


@dataclass(frozen=True)
class Dial:
    """A timer's clock: that on the wall of a zone, or with `fixed` one that far ahead of UTC."""

    zone: ZoneInfo
    fixed: int | None = None

    def reading(self, instant: int) -> int:
        """What the clock shows, in seconds since the midnight on which 1 January 1970 began."""
        offset = clock.utc_offset(instant, self.zone) if self.fixed is None else self.fixed
        return instant + offset

    def instant(self, reading: int) -> int:
        """When the clock shows a reading: the first time it does, or the moment it is jumped."""
        if self.fixed is not None:
            return reading - self.fixed
        days, seconds = divmod(reading, DAY_S)
        wall = time(seconds // 3600, seconds // 60 % 60, seconds % 60)
        return clock.instant_of(date_of(days), wall, self.zone)

    def shows_twice(self, reading: int) -> bool:
        """Whether the clock shows a reading, is set back, and shows it again."""
        first = self.instant(reading)
        return self.fixed is None and any(
            since + offset <= reading
            for since, offset in clock.offsets_between(first, first + DAY_S, self.zone)[1:]
        )

    def reading_not_before(self, instant: int) -> int:
        """The first reading that the clock shows for the first time at `instant` or later.

        That is the reading at `instant`, but for an hour that the clock shows twice.
        """
        reading = self.reading(instant)
        if self.instant(reading) >= instant:
            return reading
        since, _ = clock.offsets_between(instant - DAY_S, instant, self.zone)[-1]
        # Up to the change of clocks, the old offset led to this reading, which comes once.
        return since + clock.utc_offset(since - 1, self.zone)


def standing_dial(zone: ZoneInfo, first: date) -> Dial:
    """A clock that is set right on a day's first moment and does not jump after."""
    return Dial(zone, clock.utc_offset(clock.day_bounds(first, zone).start, zone))


def date_of(days: int) -> date:
    return date(1970, 1, 1) + timedelta(days=days)


def turn_of(closings: Sequence[Closing], dial: Dial, room: int) -> int | None:
    """The clock time (seconds) at which a timer's day may turn; None if there is none.

    Midnight if the shade is up then on every day, else the middle of the longest time of day in
    which it always is, to the minute.
    """
    spans: list[tuple[int, int]] = []
    for closing in closings:
        close, opens = dial.reading(closing.close), dial.reading_not_before(closing.open)
        if opens - close >= DAY_S:
            return None
        start = close % DAY_S
        spans += [(start, start + opens - close), (start - DAY_S, start - DAY_S + opens - close)]
    if not any(start - room < 0 < end + room for start, end in spans):
        return 0
    free: list[tuple[int, int]] = []
    at = 0
    for start, end in [*sorted(spans), (DAY_S, DAY_S)]:
        if start > at:
            free.append((start - at, at))
        at = max(at, end)
    longest, start = max(free, default=(0, 0))
    return None if longest < room else (start + longest // 2) // 60 * 60
