"""How far the sun's times on a window may be off, as its facing is known to some degrees only."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from suncover.base.clock import DAY_S
from suncover.facing.effect import azimuth_swings
from suncover.report.calendar_days import Piece
from suncover.site.model import Site

LEAST_MIN = 0.5
"""Minutes below which nothing is said or drawn of it."""
Span = tuple[int, int]


@dataclass(frozen=True)
class Doubt:
    """Minutes by which the sun may come and leave earlier or later, in each month (12 each).

    The minutes stand for one standard deviation of the window's azimuth, `degrees`.
    """

    degrees: float
    coming: tuple[float, ...]
    leaving: tuple[float, ...]

    def on(self, day: date) -> tuple[float, float]:
        """The minutes in a day's month, of coming and of leaving."""
        return self.coming[day.month - 1], self.leaving[day.month - 1]


def doubts_of(site: Site, year: int) -> dict[str, Doubt]:
    """The doubt about the times of windows by name, without those taken as exact."""
    degrees = {
        window.name: window.azimuth_sd
        for window in site.windows
        if window.azimuth_sd and window.tilt
    }
    if not degrees:
        return {}
    return {
        # As fine as it is packed for the page's script.
        name: Doubt(degrees[name], _tenths(swing.coming), _tenths(swing.leaving))
        for name, swing in azimuth_swings(site, degrees, year).items()
    }


def _tenths(minutes: Sequence[float]) -> tuple[float, ...]:
    return tuple(round(value, 1) for value in minutes)


def greatest_doubt(doubts: Iterable[Doubt | None]) -> Doubt | None:
    """The greatest doubt about the times of several windows."""
    known_doubts = (doubt for doubt in doubts if doubt is not None)
    return max(known_doubts, key=lambda doubt: sum(doubt.coming + doubt.leaving), default=None)


def doubt_spans(pieces: Sequence[Piece], doubt: Doubt | None, day: date) -> list[Span]:
    """Seconds of a day between which the sun comes, and then those between which it leaves, for
    its pieces.
    """
    if doubt is None:
        return []
    spans = []
    coming, leaving = doubt.on(day)
    ends = ((coming, [p.start for p in pieces]), (leaving, [p.end for p in pieces]))
    for minutes, instants in ends:
        half = round(minutes * 60.0)
        spans += [
            (max(at - half, 0), min(at + half, DAY_S)) for at in instants if minutes >= LEAST_MIN
        ]
    return spans


def doubt_words(doubt: Doubt | None, day: date) -> str:
    """` Give or take 5 min as it comes, 8 min as it leaves.`, or nothing."""
    if doubt is None:
        return ""
    parts = [
        f"{int(minutes + 0.5)} min as it {verb}"
        for minutes, verb in zip(doubt.on(day), ("comes", "leaves"), strict=True)
        if minutes >= LEAST_MIN
    ]
    return f" Give or take {', '.join(parts)}." if parts else ""
