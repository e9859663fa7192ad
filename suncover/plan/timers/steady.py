"""Days that repeat: neighbouring days with nearly the same times get the same times.

    a shade's closings ──> days, by the clock on the wall ──> fewest runs of days ──> closings

A run is of days in a row whose closings correspond one to one: as many of them, as far down, on the
same dates. Each closing of the run is at the earliest of its times, and opens at the latest, so
that nothing is uncovered. A run may hold days whose times are at most the tolerance apart, by the
clock on the wall: that is what a person sees and sets, and what quiet hours go by. Shades that move
together have the same runs, each with its own times: a supply may have made these differ.

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
from itertools import pairwise
from zoneinfo import ZoneInfo

from suncover.base import clock
from suncover.base.clock import DAY_S
from suncover.base.spell import Spell
from suncover.plan.closings.changed import moved
from suncover.plan.closings.shade_plan import Closing
from suncover.plan.motor import Motor, any_in
from suncover.plan.timers.dial import ROOM_S, Dial, date_of, turn_of

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


_Days = tuple[_Day, ...]
"""The same day of each of some shades that move together."""


def steady_closings(
    motor: Motor,
    closings: Sequence[Sequence[Closing]],
    tolerance: int,
    still: Sequence[Spell] = (),
) -> list[tuple[Closing, ...]]:
    """The closings of shades that move together, or of one alone, with days drawn together.

    `motor` has the rules for all of them; `closings` are those of each shade, sorted and disjoint,
    as many for each; `tolerance` is in seconds; `still` (sorted, disjoint) is when no closing may
    reach farther than it does.
    """
    drawn = [list(rows) for rows in closings]
    for run in _runs(motor, closings, tolerance, still):
        for shade, rows in enumerate(drawn):
            days = [group[shade] for group in run]
            for place, (close, opens) in enumerate(_setting(days)):
                first, last = (
                    clock.date_text(date_of(day.number + close // DAY_S))
                    for day in (days[0], days[-1])
                )
                for day in days:
                    number = day.first + place
                    row = rows[number]
                    begin, end = (
                        row.close - day.closes[place] + close,
                        row.open - day.opens[place] + opens,
                    )
                    row = moved(row, begin, end, motor.zone)
                    reason = f"{row.reason}; one setting for {first} to {last}"
                    rows[number] = replace(row, reason=reason)
    return [tuple(rows) for rows in drawn]


def settings_in(closings: Sequence[Closing], zone: ZoneInfo) -> int:
    """How many settings closings come to: times that hold for a day, or for several in a row.

    Times are those of the clock on the wall, to the second.
    """
    days = _days(closings, Dial(zone), 0)
    return sum(
        number == 0
        or day.number != days[number - 1].number + 1
        or (day.closes, day.opens) != (days[number - 1].closes, days[number - 1].opens)
        or day.alike != days[number - 1].alike
        for number, day in enumerate(days)
    )


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
    motor: Motor,
    closings: Sequence[Sequence[Closing]],
    tolerance: int,
    still: Sequence[Spell],
) -> Iterator[list[_Days]]:
    """The runs of more than one day."""
    dial = Dial(motor.zone)
    turn = turn_of([row for rows in closings for row in rows], dial, 2 * motor.run + ROOM_S) or 0
    by_shade = [
        _days(rows, dial, turn, motor.run, tolerance=tolerance, still=still) for rows in closings
    ]
    stretch: list[_Days] = []
    if len({tuple(day.number for day in days) for days in by_shade}) > 1:
        return  # one of them goes over the turn of a day and another does not
    for days in zip(*by_shade, strict=True):
        last = stretch[-1] if stretch else days
        apart = days[0].number > last[0].number + 1
        if apart or any(day.alike != before.alike for day, before in zip(days, last, strict=True)):
            yield from _fewest(stretch, tolerance)
            stretch = []
        stretch.append(days)
    yield from _fewest(stretch, tolerance)


def _days(
    closings: Sequence[Closing],
    dial: Dial,
    turn: int,
    travel: int = 0,
    *,
    tolerance: int = 0,
    still: Sequence[Spell] = (),
) -> list[_Day]:
    """The days of one shade's closings, which begin at `turn`."""
    room = [_FAR, *(b.close - a.open - travel for a, b in pairwise(closings)), _FAR]
    by_day: dict[int, list[int]] = {}
    for number, row in enumerate(closings):
        by_day.setdefault((dial.reading(row.close) - turn) // DAY_S, []).append(number)
    days = []
    for number, numbers in by_day.items():
        first, last = numbers[0], numbers[-1]
        closes = tuple(dial.reading(closings[n].close) - number * DAY_S for n in numbers)
        opens = tuple(dial.reading(closings[n].open) - number * DAY_S for n in numbers)
        alike: _Key = (
            tuple(at // DAY_S for at in closes),
            tuple(at // DAY_S for at in opens),
            tuple(closings[n].position for n in numbers),
        )
        margin = tolerance + travel
        about = Spell(closings[first].close - margin, closings[last].open + margin)
        offsets = {offset for _, offset in clock.offsets_between(about.start, about.end, dial.zone)}
        if len(offsets) > 1 or any_in(still, about.start, about.end):
            alike = ((number,),)  # like no other day
        days.append(
            _Day(
                number,
                first,
                closes,
                opens,
                alike,
                max(room[first] // 2, 0),
                max(room[last + 1] // 2, 0),
                tuple(room[n + 1] for n in numbers),
            )
        )
    return days


def _fewest(days: Sequence[_Days], tolerance: int) -> list[list[_Days]]:
    """The runs of more than one day, of the fewest into which days in a row can be parted."""
    best: list[tuple[int, int]] = [(0, 0)]  # runs and seconds closed, up to each day
    begins: list[int] = []
    for end in range(len(days)):
        spans = [_Span(day) for day in days[end]]
        price, begin = (best[end][0] + 1, best[end][1] + _closed(1, spans)), end
        for start in range(end - 1, -1, -1):
            for span, day in zip(spans, days[start], strict=True):
                span.take(day)
            if not all(span.holds(tolerance) for span in spans):
                break  # and no longer run does either
            ends = zip(spans, days[start], days[end], strict=True)
            if all(span.leaves_room(first, last) for span, first, last in ends):
                closed = _closed(end - start + 1, spans)
                candidate = (best[start][0] + 1, best[start][1] + closed)
                if candidate < price:
                    price, begin = candidate, start
        best.append(price)
        begins.append(begin)
    runs = []
    end = len(days) - 1
    while end >= 0:
        if begins[end] < end:
            runs.append(list(days[begins[end] : end + 1]))
        end = begins[end] - 1
    return runs[::-1]


def _closed(days: int, spans: Sequence[_Span]) -> int:
    return days * sum(sum(span.latest) - sum(span.earliest) for span in spans)


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
            and all(opens - close <= longest for opens, close, longest in apart)
            and self.latest[-1] - self.earliest[0] <= self._overnight
        )

    def leaves_room(self, first: _Day, last: _Day) -> bool:
        """Whether the run takes no more than its half of the room at its two ends."""
        sooner = first.closes[0] - self.earliest[0]
        later = self.latest[-1] - last.opens[-1]
        return sooner <= first.before and later <= last.after
