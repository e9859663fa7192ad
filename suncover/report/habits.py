"""When a shade's days change: the next date from which it closes at other times of the day."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date

from suncover.base.clock import date_text
from suncover.export.text.words import listed
from suncover.report.calendar_days import Calendar, Piece, by_day

HOUR_S = 3600
PARTS: Mapping[str, tuple[tuple[int, int], ...]] = {
    "in the morning": ((5, 12),),
    "in the afternoon": ((12, 18),),
    "in the evening": ((18, 22),),
    "at night": ((0, 5), (22, 24)),
}
"""Parts of the day by clock hours, as people speak of them (common usage)."""
_LEAST_S = 1800  # closed for less of a part than that, it is not spoken of
_LASTING = 3  # days in a row that make a habit


def parts_of(pieces: Sequence[Piece]) -> frozenset[str]:
    """The parts of a day in which a shade is closed for half an hour or more."""
    parts = set()
    for part, spans in PARTS.items():
        closed = sum(
            max(min(piece.end, end * HOUR_S) - max(piece.start, start * HOUR_S), 0)
            for piece in pieces
            for start, end in spans
        )
        if closed >= _LEAST_S:
            parts.add(part)
    return frozenset(parts)


def next_change(calendar: Calendar, closed: Sequence[Piece], at: date) -> str | None:
    """In words, the first change of a shade's days after `at` that lasts: `From 3 May it also
    closes in the morning.`

    None where nothing changes before the calendar's end, or `at` is not in it.
    """
    today = calendar.index(at)
    if today is None:
        return None
    days = [parts_of(pieces) for pieces in by_day(closed, len(calendar.days))]
    before = days[today]
    for number in range(today + 1, len(days)):
        after = days[number]
        lasting = days[number : number + _LASTING]
        if after != before and len(lasting) == _LASTING and set(lasting) == {after}:
            return _change_words(date_text(calendar.days[number]), before, after)
    return None


def _change_words(time_text: str, before: frozenset[str], after: frozenset[str]) -> str:
    added, dropped = _in_order(after - before), _in_order(before - after)
    if not before:
        return f"From {time_text} it closes {added}."
    if not after:
        return f"From {time_text} it stays open all day."
    if added and dropped:
        return f"From {time_text} it closes {added}, no longer {dropped}."
    return (
        f"From {time_text} it also closes {added}."
        if added
        else f"From {time_text} no longer {dropped}."
    )


def _in_order(parts: frozenset[str]) -> str:
    return listed([part for part in PARTS if part in parts])
