"""What pictures over days and clock times have in common: axes, columns of days, outlines."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date

import numpy as np

from suncover.base.spell import Spell, union
from suncover.export.text.words import MONTHS
from suncover.report.calendar_days import Calendar, Piece, by_day
from suncover.report.doubt import Doubt, doubt_spans
from suncover.report.gather import ReportData
from suncover.report.pictures import draw
from suncover.report.pictures.bands import Place, band_edges, band_path
from suncover.report.pictures.figure import WIDE, Key, Scale
from suncover.report.pictures.markup import Content, Markup, short, tag

LEFT, RIGHT = 52.0, 708.0
"""Where the plots of wide pictures begin and end."""
assert RIGHT < WIDE

EASE = 0.3  # of a picture's units, by which lines from day to day may be off


def day_scale(days: int) -> Scale:
    """From the start of the first day to the end of the last, across a wide picture."""
    return Scale(0.0, float(days), LEFT, RIGHT)


def month_axis(days: Sequence[date], top: float, bottom: float) -> list[Markup]:
    """Rules where months begin, and their names below; on a phone, their first letters."""
    x = day_scale(len(days))
    starts = [0] + [n for n, day in enumerate(days) if n and day.day == 1]
    drawn = [draw.line(x(start), top, x(start), bottom, "grid") for start in starts[1:]]
    for start, end in zip(starts, [*starts[1:], len(days)], strict=True):
        if end - start < 14 and len(days) > 60:
            continue  # no room for a name
        drawn += month_name(x((start + end) / 2.0), bottom, days[start].month)
    return drawn


def month_name(middle: float, foot: float, month: int) -> list[Markup]:
    """A month's name below a plot that ends at `foot`; on a phone, its first letter."""
    name = MONTHS[month - 1]
    return [
        draw.text(middle, foot + 22, name, "m full"),
        draw.text(middle, foot + 24, name[0], "m brief"),
    ]


def rules(y: Scale, values: Iterable[float], *, unit: float = 1.0) -> list[Markup]:
    """Faint rules across a wide picture, with their values at its left side, each so many of a
    unit. Longer ones are set smaller on a phone, to fit.
    """
    drawn = []
    for value in values:
        at, figures = y(value * unit), f"{value:g}"
        style = "e q dense" if len(figures) == 4 else "e q denser" if len(figures) > 4 else "e q"
        drawn += [
            draw.line(LEFT, at, RIGHT, at, "grid"),
            draw.text(LEFT - 8, at + 5, figures, style),
        ]
    return drawn


def hour_words(x: Scale, up: float, *, step: int = 6) -> list[Markup]:
    """The hours of a day along a clock scale, the first and the last within its ends. On a phone,
    every sixth alone.
    """
    drawn = []
    for hour in range(0, 25, step):
        style = {0: "q", 24: "q e"}.get(hour, "q m" if hour % 6 == 0 else "q m full")
        drawn.append(draw.text(x(hour * 3600.0), up, f"{hour}", style))
    return drawn


def day_shapes(pieces: Sequence[Piece], days: int, y: Scale) -> str:
    """Pieces of days as a shape to fill, its edges drawn from day to day."""
    return band_path(_rows(pieces, days), _day_place(days, y), ease=EASE)


def day_edges(pieces: Sequence[Piece], days: int, y: Scale) -> str:
    """The lines around pieces of days, as a path."""
    return band_edges(_rows(pieces, days), _day_place(days, y), ease=EASE)


def doubt_shapes(pieces: Sequence[Piece], doubt: Doubt, calendar: Calendar, y: Scale) -> str:
    """When the sun of each day may come and leave, as a shape to fill."""
    days = len(calendar.days)
    spans = [
        _joined_spans(doubt_spans(day_pieces, doubt, day))
        for day_pieces, day in zip(by_day(pieces, days), calendar.days, strict=True)
    ]
    return band_path(spans, _day_place(days, y), ease=EASE)


def doubt_key(data: ReportData) -> list[Key]:
    """What shapes of doubt mean, if any window has them."""
    if not any(year.doubt for year in data.windows):
        return []
    return [Key(draw.swatch("doubt"), "when sun may come or leave, as the facing is not exact")]


def day_columns(pieces: Sequence[Piece], days: int) -> str:
    """Pieces of days as columns, in days across and whole minutes up; see `in_days`."""
    return band_path(_rows(pieces, days), lambda day, seconds: (day, np.rint(seconds / 60.0)))


def in_days(content: Content, days: int, y: Scale) -> Markup:
    """A group whose units are days across and minutes up."""
    x = day_scale(days)
    matrix = f"translate({short(x(0))} {short(y(0))}) scale({x.unit:.5f} {y.unit * 60:.6f})"
    return tag("g", content, transform=matrix)


def _rows(pieces: Sequence[Piece], days: int) -> list[list[tuple[int, int]]]:
    return [_joined_spans((p.start, p.end) for p in part) for part in by_day(pieces, days)]


def _day_place(days: int, y: Scale) -> Place:
    x = day_scale(days)
    return lambda day, seconds: (x.of(day), y.of(seconds))


def _joined_spans(spans: Iterable[tuple[int, int]]) -> list[tuple[int, int]]:
    """Spans of a day in order; those that touch, or overlap where clocks go back, joined."""
    return [(spell.start, spell.end) for spell in union(Spell(*span) for span in spans)]
