"""What pictures over days and clock times have in common: axes, columns of days, outlines."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date

import numpy as np

from suncover.report.calendar_days import Calendar, Piece, by_day
from suncover.report.doubt import Doubt, doubtful
from suncover.report.gather import ReportData
from suncover.report.pictures.bands import Place, band_edges, band_path
from suncover.report.pictures.figure import WIDE, Key, Scale, line, swatch, text
from suncover.report.pictures.markup import Content, Markup, short, tag
from suncover.report.words import MONTHS

LEFT, RIGHT = 52.0, 708.0
"""Where the plots of wide pictures begin and end."""
assert RIGHT < WIDE

EASE = 0.3  # of a picture's units, by which lines from day to day may be off
HOURS = (0, 6, 12, 18, 24)
DAY_S = 86_400.0


def day_scale(days: int) -> Scale:
    """From the start of the first day to the end of the last, across a wide picture."""
    return Scale(0.0, float(days), LEFT, RIGHT)


def month_axis(days: Sequence[date], top: float, bottom: float) -> list[Markup]:
    """Rules where months begin, and their names below; on a phone, their first letters."""
    x = day_scale(len(days))
    starts = [0] + [n for n, day in enumerate(days) if n and day.day == 1]
    drawn = [line(x(start), top, x(start), bottom, "grid") for start in starts[1:]]
    for start, end in zip(starts, [*starts[1:], len(days)], strict=True):
        if end - start < 14 and len(days) > 60:
            continue  # no room for a name
        name = MONTHS[days[start].month - 1]
        middle = x((start + end) / 2.0)
        drawn.append(text(middle, bottom + 22, name, "m full"))
        drawn.append(text(middle, bottom + 24, name[0], "m brief"))
    return drawn


def figures_at_the_side(at: float, figures: str) -> Markup:
    """A number at a rule of a wide picture. Longer ones are set smaller on a phone, to fit."""
    style = "e q dense" if len(figures) == 4 else "e q denser" if len(figures) > 4 else "e q"
    return text(LEFT - 8, at + 5, figures, style)


def hour_axis_up(y: Scale, hours: Iterable[int] = HOURS) -> list[Markup]:
    """Clock hours up the left side, with faint rules."""
    drawn = []
    for hour in hours:
        at = y(hour * 3600.0)
        drawn.append(line(LEFT, at, RIGHT, at, "grid"))
        drawn.append(text(LEFT - 8, at + 5, f"{hour}", "e q"))
    return drawn


def day_shapes(pieces: Sequence[Piece], days: int, y: Scale) -> str:
    """Pieces of days as a shape to fill, its edges drawn from day to day."""
    return band_path(_rows(pieces, days), _place(days, y), ease=EASE)


def day_edges(pieces: Sequence[Piece], days: int, y: Scale) -> str:
    """The lines around them, as a path."""
    return band_edges(_rows(pieces, days), _place(days, y), ease=EASE)


def doubt_shapes(pieces: Sequence[Piece], doubt: Doubt, calendar: Calendar, y: Scale) -> str:
    """When the sun of each day may come and leave, as a shape to fill."""
    days = len(calendar.days)
    spans = [
        _joined(doubtful(of_day, doubt, day))
        for of_day, day in zip(by_day(pieces, days), calendar.days, strict=True)
    ]
    return band_path(spans, _place(days, y), ease=EASE)


def doubt_key(data: ReportData) -> list[Key]:
    """What these shapes mean, if any window has them."""
    if not any(window.doubt for window in data.windows):
        return []
    return [Key(swatch("doubt"), "when sun may come or leave, as the facing is not exact")]


def day_columns(pieces: Sequence[Piece], days: int) -> str:
    """Pieces of days as columns, in days across and whole minutes up; see `in_days`."""
    return band_path(_rows(pieces, days), lambda day, seconds: (day, np.rint(seconds / 60.0)))


def in_days(content: Content, days: int, y: Scale) -> Markup:
    """A group whose units are days across and minutes up."""
    x = day_scale(days)
    matrix = f"translate({short(x(0))} {short(y(0))}) scale({x.unit:.5f} {y.unit * 60:.6f})"
    return tag("g", content, transform=matrix)


def _rows(pieces: Sequence[Piece], days: int) -> list[list[tuple[float, float]]]:
    return [_joined((p.start, p.end) for p in of_day) for of_day in by_day(pieces, days)]


def _place(days: int, y: Scale) -> Place:
    x = day_scale(days)
    return lambda day, seconds: (x.of(day), y.of(seconds))


def _joined(spans: Iterable[tuple[float, float]]) -> list[tuple[float, float]]:
    """Spans of a day in order; those that touch, or overlap where clocks go back, joined."""
    merged: list[tuple[float, float]] = []
    for start, end in sorted(spans):
        if merged and start <= merged[-1][1]:
            merged[-1] = (merged[-1][0], max(end, merged[-1][1]))
        else:
            merged.append((start, end))
    return merged
