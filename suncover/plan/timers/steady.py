"""Days that repeat: neighbouring days with nearly the same times get the same times.

    a shade's closings ──> days, by the clock on the wall ──> fewest runs of days ──> closings

A run is of days in a row whose closings correspond one to one: as many of them, as far down, on the
same dates. Each closing of the run is at the earliest of its times, and opens at the latest, so
that nothing is uncovered. A run may hold days whose times are at most the tolerance apart, by the
clock on the wall: that is what a person sees and sets, and what quiet hours go by.

- Two closings stay apart by the motor's run. Between two runs each may take half of the room that
  is there, so that which runs there are on one side does not bear on the other.
- Quiet hours hold: every time of a run is one that the plan had on one of its days.
- A day on which clocks change about its closings stays as it is. So does one on which a shade has
  to stay up about them.

Of all ways to part the days into runs, one with the fewest runs is taken, and of those one that
closes least, by dynamic programming over the last day.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date
from itertools import pairwise
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from suncover.base import clock
from suncover.base.clock import DAY_S
from suncover.base.spell import Spell
from suncover.plan.closings import rules
from suncover.plan.closings.changed import moved
from suncover.plan.closings.shade_plan import Closing
from suncover.plan.timers.settings import ROOM_S, Dial, turn_of

if TYPE_CHECKING:
    from suncover.site.model import Shade

_Key = tuple[tuple[object, ...], ...]
_FAR = 1 << 40  # room at the two ends of a plan, in seconds


@dataclass(frozen=True)
class _Day:
    """One day's closings, from number `first` on; times in seconds after its midnight.

    `alike` is what days of one run have in common. `before` and `after` are how much sooner the
    first may close and how much later the last may open, whatever the neighbours do; `between`
    how much room there is to the next closing, for each.
    """

    number: int
    first: int
    closes: tuple[int, ...]
    opens: tuple[int, ...]
    alike: _Key
    before: int
    after: int
    between: tuple[int, ...]


def steady_closings(
    shades: Sequence[Shade],
    closings: Sequence[Sequence[Closing]],
    zone: ZoneInfo,
    tolerance: int,
    still: Sequence[Spell] = (),
) -> list[tuple[Closing, ...]]:
    """The closings of shades that move together, or of one alone, with days drawn together.

    `closings` are those of each shade, sorted and disjoint, as many for each; `tolerance` is in
    seconds; `still` (sorted, disjoint) is when no closing may reach farther than it does.
    """
    drawn = [list(mine) for mine in closings]
    for run in _runs(shades, closings, zone, tolerance, still):
        for place, (close, opens) in enumerate(_setting(run)):
            first, last = (
                clock.date_text(_date(day.number + close // DAY_S)) for day in (run[0], run[-1])
            )
            for day in run:
                number = day.first + place
                sooner, later = day.closes[place] - close, opens - day.opens[place]
                begin = min(mine[number].close for mine in closings) - sooner
                end = max(mine[number].open for mine in closings) + later
                for mine in drawn:
                    row = moved(mine[number], begin, end, zone)
                    reason = f"{row.reason}; one setting for {first} to {last}"
                    mine[number] = replace(row, reason=reason)
    return [tuple(mine) for mine in drawn]


def settings_in(closings: Sequence[Closing], zone: ZoneInfo) -> int:
    """How many settings closings come to: times that hold for a day, or for several in a row.

    Times are those of the clock on the wall, to the second.
    """
    days = _days([closings], zone)
    return sum(
        number == 0
        or day.number != days[number - 1].number + 1
        or (day.closes, day.opens) != (days[number - 1].closes, days[number - 1].opens)
        or day.alike != days[number - 1].alike
        for number, day in enumerate(days)
    )


def _date(number: int) -> date:
    return date.fromordinal(date(1970, 1, 1).toordinal() + number)


def _setting(run: Sequence[_Day]) -> list[tuple[int, int]]:
    """The earliest close and the latest open of each closing in a run."""
    return [
        (min(closes), max(opens))
        for closes, opens in zip(
            zip(*(day.closes for day in run), strict=True),
            zip(*(day.opens for day in run), strict=True),
            strict=True,
        )
    ]


def _runs(
    shades: Sequence[Shade],
    closings: Sequence[Sequence[Closing]],
    zone: ZoneInfo,
    tolerance: int,
    still: Sequence[Spell],
) -> Iterator[list[_Day]]:
    """The runs of more than one day."""
    travel = max((max(rules.timing_of(shade).travel, 1) for shade in shades), default=1)
    days = _days(closings, zone, travel, tolerance, still)
    stretch: list[_Day] = []
    for day in days:
        if stretch and (day.number != stretch[-1].number + 1 or day.alike != stretch[-1].alike):
            yield from _fewest(stretch, tolerance)
            stretch = []
        stretch.append(day)
    yield from _fewest(stretch, tolerance)


def _days(
    closings: Sequence[Sequence[Closing]],
    zone: ZoneInfo,
    travel: int = 0,
    tolerance: int = 0,
    still: Sequence[Spell] = (),
) -> list[_Day]:
    """The days of one shade's closings, or of some shades that move together."""
    rows = [
        Spell(min(row.close for row in same), max(row.open for row in same))
        for same in zip(*closings, strict=True)
    ]
    dial = Dial(zone)
    turn = turn_of(closings[0], dial, 2 * travel + ROOM_S) or 0
    room = [_FAR, *(b.start - a.end - travel for a, b in pairwise(rows)), _FAR]
    by_day: dict[int, list[int]] = {}
    for number, row in enumerate(rows):
        by_day.setdefault((dial.reading(row.start) - turn) // DAY_S, []).append(number)
    days = []
    for number, held in by_day.items():
        first, last = held[0], held[-1]
        closes = tuple(dial.reading(rows[n].start) - number * DAY_S for n in held)
        opens = tuple(dial.reading(rows[n].end) - number * DAY_S for n in held)
        alike: _Key = (
            tuple(at // DAY_S for at in closes),
            tuple(at // DAY_S for at in opens),
            *(tuple(mine[n].position for n in held) for mine in closings),
        )
        margin = tolerance + travel
        about = Spell(rows[first].start - margin, rows[last].end + margin)
        offsets = {offset for _, offset in clock.offsets_between(about.start, about.end, zone)}
        if len(offsets) > 1 or rules.any_in(still, about.start, about.end):
            alike = ((number,),)  # like no other day
        between = tuple(room[n + 1] for n in held)
        days.append(
            _Day(
                number,
                first,
                closes,
                opens,
                alike,
                max(room[first] // 2, 0),
                max(room[last + 1] // 2, 0),
                between,
            )
        )
    return days


def _fewest(days: Sequence[_Day], tolerance: int) -> list[list[_Day]]:
    """The runs of more than one day, of the fewest into which days in a row can be parted."""
    best: list[tuple[int, int]] = [(0, 0)]  # runs and seconds closed, up to each day
    begins: list[int] = []
    for end in range(len(days)):
        found = (best[end][0] + 1, best[end][1] + _closed([days[end]], _Span(days[end])))
        begin = end
        span = _Span(days[end])
        for start in range(end - 1, -1, -1):
            span.take(days[start])
            if not span.holds(tolerance):
                break  # and no longer run does either
            if span.leaves_room(days[start], days[end]):
                closed = _closed(days[start : end + 1], span)
                price = (best[start][0] + 1, best[start][1] + closed)
                if price < found:
                    found, begin = price, start
        best.append(found)
        begins.append(begin)
    runs = []
    end = len(days) - 1
    while end >= 0:
        if begins[end] < end:
            runs.append(list(days[begins[end] : end + 1]))
        end = begins[end] - 1
    return runs[::-1]


def _closed(days: Sequence[_Day], span: _Span) -> int:
    return len(days) * (sum(span.latest) - sum(span.earliest))


class _Span:
    """What the times of a run's days range over; days are taken in from the last to the first."""

    def __init__(self, day: _Day) -> None:
        self.earliest, self._last_close = list(day.closes), list(day.closes)
        self.latest, self._first_open = list(day.opens), list(day.opens)
        # How much later a closing may open than the next one closes, for each but the day's last.
        self._apart = self._apart_on(day, day.closes[1:])
        self._overnight = _FAR
        self._next = day

    @staticmethod
    def _apart_on(day: _Day, nexts: Sequence[int]) -> list[int]:
        return [
            room + opens - close
            for room, opens, close in zip(day.between, day.opens, nexts, strict=False)
        ]

    def take(self, day: _Day) -> None:
        """Takes in the day before."""
        for place, (close, opens) in enumerate(zip(day.closes, day.opens, strict=True)):
            self.earliest[place] = min(self.earliest[place], close)
            self._last_close[place] = max(self._last_close[place], close)
            self.latest[place] = max(self.latest[place], opens)
            self._first_open[place] = min(self._first_open[place], opens)
        today = self._apart_on(day, day.closes[1:])
        self._apart = [min(pair) for pair in zip(self._apart, today, strict=True)]
        tonight = day.between[-1] + day.opens[-1] - self._next.closes[0]
        self._overnight = min(self._overnight, tonight)
        self._next = day

    def holds(self, tolerance: int) -> bool:
        """Whether the times are near enough, and the closings of the run stay apart."""
        spreads = [
            last - first
            for lasts, firsts in (
                (self._last_close, self.earliest),
                (self.latest, self._first_open),
            )
            for last, first in zip(lasts, firsts, strict=True)
        ]
        apart = zip(self.latest, self.earliest[1:], self._apart, strict=False)
        return (
            max(spreads) <= tolerance
            and all(opens - close <= most for opens, close, most in apart)
            and self.latest[-1] - self.earliest[0] <= self._overnight
        )

    def leaves_room(self, first: _Day, last: _Day) -> bool:
        """Whether the run takes no more than its half of the room at its two ends."""
        sooner = first.closes[0] - self.earliest[0]
        later = self.latest[-1] - last.opens[-1]
        return sooner <= first.before and later <= last.after
