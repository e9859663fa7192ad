"""Sentences and short texts of the report."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence

from suncover.base.clock import date_text
from suncover.export.text.words import MONTHS, WEEKDAYS, percent, weekday_text
from suncover.report.calendar_days import Piece

DAY_S = 86_400
LEAST_KWH = 0.1

__all__ = [
    "MONTHS",
    "WEEKDAYS",
    "clock",
    "date_text",
    "duration",
    "hours_one",
    "percent",
    "slug",
    "spans",
    "weekday_text",
]


def clock(seconds: float) -> str:
    """Seconds since 0:00 as the clock shows them, to the minute begun: `09:12`, `24:00`."""
    minutes = int((seconds + 1e-3) // 60)  # past what sums of seconds round
    return f"{minutes // 60:02d}:{minutes % 60:02d}"


def duration(seconds: float) -> str:
    """How long something lasts, in whole minutes, cut: `2 h 28 min`, `45 min`, `none`."""
    minutes = int((seconds + 1e-3) // 60)  # past what sums of seconds round
    if not minutes:
        return "less than a minute" if seconds else "none"
    hours, rest = divmod(minutes, 60)
    if not hours:
        return f"{rest} min"
    return f"{hours} h {rest} min" if rest else f"{hours} h"


def spans(pieces: Sequence[Piece], nothing: str = "none") -> str:
    """Pieces of a day: `09:12–11:40, 15:00–16:10`."""
    if not pieces:
        return nothing
    return ", ".join(f"{clock(piece.start)}–{clock(piece.end)}" for piece in pieces)


def hours_one(seconds: float) -> str:
    """Seconds as hours with one decimal: `61.5`."""
    return f"{seconds / 3600:.1f}"


def kwh(value: float) -> str:
    """An energy in kWh, as exact as it makes sense: `1,204`, `96`, `4.2`, `under 0.1`."""
    if 0.0 < abs(value) < LEAST_KWH:
        return f"under {LEAST_KWH:g}"
    return f"{value:,.0f}" if abs(value) >= 10 else f"{value:.1f}"


def slug(text: str) -> str:
    """A text as part of a file's name: `Küche (West)` becomes `kuche-west`."""
    plain = unicodedata.normalize("NFKD", text).encode("ascii", "ignore").decode().lower()
    return re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[:40]
