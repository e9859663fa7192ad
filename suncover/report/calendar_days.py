"""The report's days by the home's clocks: spells cut at midnights, and a grid of instants."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, time
from functools import cached_property
from typing import NamedTuple
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from suncover.base.clock import DAY_S, dates_between, dates_bounds, instant_of, offsets_between
from suncover.base.spell import Spell
from suncover.plan.closings.shade_plan import Closing

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

_EPOCH_ORDINAL = date(1970, 1, 1).toordinal()
CELL_S = 600
"""Seconds by the clock of a cell of a day: 144 cells."""
CELLS = DAY_S // CELL_S
SLOT_S = 1800
"""Seconds by the clock between the instants of a day at which the moving pictures are drawn."""
SLOTS = DAY_S // SLOT_S


class Piece(NamedTuple):
    """A part of a spell on one day.

    `day` counts from the report's first; `start` and `end` are seconds that the clock shows, from
    0 to 86400; `instant` is the unix second of its start. Clocks do not change within a piece.
    """

    day: int
    start: int
    end: int
    instant: int


class Drop(NamedTuple):
    """A part of a closing on one day, and how far down the shade is, %."""

    piece: Piece
    position: int


@dataclass(frozen=True)
class Calendar:
    """The local days of a report, from `first` to `last`, both included."""

    first: date
    last: date
    zone: ZoneInfo

    @cached_property
    def days(self) -> list[date]:
        """All the dates."""
        return dates_between(self.first, self.last)

    @cached_property
    def bounds(self) -> Spell:
        """From the first moment of the first day to the end of the last."""
        return dates_bounds(self.first, self.last, self.zone)

    @cached_property
    def slots(self) -> Ints:
        """The instants at which the clock shows 0:00, 0:30 and so on, (days, 48), unix seconds.

        A time that clocks jump over is the first moment after the jump.
        """
        times = [time(slot // 2, slot % 2 * 30) for slot in range(SLOTS)]
        return np.array([[instant_of(day, at, self.zone) for at in times] for day in self.days])

    def shows(self, day: int, slot: int) -> bool:
        """Whether the clock shows the time of that slot on that day: clocks may jump over it."""
        return slot + 1 == SLOTS or bool(self.slots[day, slot] != self.slots[day, slot + 1])

    def index(self, day: date) -> int | None:
        """The number of a day, None where it is not among them."""
        return (day - self.first).days if self.first <= day <= self.last else None

    def pieces(self, spells: Iterable[Spell]) -> list[Piece]:
        """Spells cut at midnights and where clocks change; what lies on other days is left out.

        No second is lost: an hour that the clock shows twice gives two pieces of the same times.
        """
        return [piece for spell in spells for piece in self._pieces(spell)]

    def _pieces(self, spell: Spell) -> list[Piece]:
        pieces = []
        changes = offsets_between(spell.start, spell.end, self.zone)
        ends = [start for start, _ in changes[1:]] + [spell.end]
        for (at, offset), until in zip(changes, ends, strict=True):
            wall, end = at + offset, min(until, spell.end) + offset
            while wall < end:
                number = wall // DAY_S
                midnight = (number + 1) * DAY_S
                day = number + _EPOCH_ORDINAL - self.first.toordinal()
                if 0 <= day < len(self.days):
                    begins = wall - number * DAY_S
                    stops = min(end, midnight) - number * DAY_S
                    pieces.append(Piece(day, begins, stops, wall - offset))
                wall = midnight
        return pieces

    def drops(self, closings: Iterable[Closing]) -> list[Drop]:
        """Closings cut as spells are."""
        return [
            Drop(piece, closing.position)
            for closing in closings
            for piece in self.pieces([Spell(closing.close, closing.open)])
        ]

    def seconds_by_day(self, pieces: Iterable[Piece]) -> Ints:
        """How long the pieces last on each day, (days,)."""
        sums = np.zeros(len(self.days), dtype=np.int64)
        for piece in pieces:
            sums[piece.day] += piece.end - piece.start
        return sums

    def seconds_by_month(self, pieces: Iterable[Piece]) -> dict[tuple[int, int], int]:
        """How long the pieces last in each year and month that has days here."""
        sums: dict[tuple[int, int], int] = {}
        for day, seconds in zip(self.days, self.seconds_by_day(pieces).tolist(), strict=True):
            month = day.year, day.month
            sums[month] = sums.get(month, 0) + seconds
        return sums


def at_slot(pieces: Iterable[Piece], day: int, slot: int) -> bool:
    """Whether the pieces hold the time of that slot on that day."""
    return any(p.day == day and p.start <= slot * SLOT_S < p.end for p in pieces)


def on_day(pieces: Iterable[Piece], day: int) -> list[Piece]:
    """The pieces of a day, in their order."""
    return [piece for piece in pieces if piece.day == day]


def by_day(pieces: Iterable[Piece], days: int) -> list[list[Piece]]:
    """The pieces of each day, in their order."""
    lists: list[list[Piece]] = [[] for _ in range(days)]
    for piece in pieces:
        lists[piece.day].append(piece)
    return lists


def cell_seconds(pieces: Sequence[Piece]) -> Floats:
    """Seconds that each piece has in each cell of its day, (pieces, 144)."""
    edges = np.arange(CELLS + 1) * float(CELL_S)
    starts = np.array([piece.start for piece in pieces], dtype=np.float64)[:, None]
    ends = np.array([piece.end for piece in pieces], dtype=np.float64)[:, None]
    lasts = np.minimum(ends, edges[1:]) - np.maximum(starts, edges[:-1])
    return np.asarray(np.maximum(lasts, 0.0))
