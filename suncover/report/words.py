"""Short texts of the report, besides those of `suncover.export.text.words`."""

from __future__ import annotations

from collections.abc import Sequence

from suncover.export.text.words import wall_text
from suncover.report.calendar_days import SLOT_S, Piece

LEAST_KWH = 0.1


def slot_text(slot: int) -> str:
    """The time of a slot of the day: `09:30`."""
    return wall_text(slot * SLOT_S)


def duration(seconds: float) -> str:
    """How long something lasts, in whole minutes, cut: `2 h 28 min`, `45 min`, `none`."""
    hours, minutes = divmod(int((seconds + 1e-3) // 60), 60)  # past what sums of seconds round
    if not hours and not minutes:
        return "less than a minute" if seconds else "none"
    if not hours:
        return f"{minutes} min"
    return f"{hours} h {minutes} min" if minutes else f"{hours} h"


def spans(pieces: Sequence[Piece], nothing: str = "none") -> str:
    """Pieces of a day: `09:12–11:40, 15:00–16:10`."""
    if not pieces:
        return nothing
    return ", ".join(f"{wall_text(piece.start)}–{wall_text(piece.end)}" for piece in pieces)


def kwh(value: float) -> str:
    """An energy in kWh, as exact as it makes sense: `1,204`, `96`, `4.2`, `under 0.1`."""
    if 0.0 < abs(value) < LEAST_KWH:
        return f"under {LEAST_KWH:g}"
    return f"{value:,.0f}" if abs(value) >= 10 else f"{value:.1f}"
