"""Today and the next seven days of a shade: a bar a day with night, sun and when it is closed."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from suncover.base.clock import DAY_S
from suncover.export.text.words import weekday_text
from suncover.report.calendar_days import Drop, Piece, on_day
from suncover.report.doubt import Span, doubt_spans
from suncover.report.gather import ReportData
from suncover.report.pictures import draw
from suncover.report.pictures.axes import doubt_key, hour_words
from suncover.report.pictures.figure import WIDE, Figure, Key, Scale, Table, slug
from suncover.report.pictures.markup import Markup, as_markup, short, tag
from suncover.report.shade_week import ShadeWeek, Week
from suncover.report.words import duration, spans

_LEFT, _RIGHT = 108.0, 704.0
_TOP, _ROW, _BAR = 32.0, 30.0, 20.0


def week_bars(data: ReportData, number: int) -> Figure:
    """The bars of the shade of that number."""
    week, shade = data.week, data.week.shades[number]
    name, days = shade.shade.name, week.calendar.days
    x = Scale(0.0, DAY_S, _LEFT, _RIGHT)
    bottom = _TOP + _ROW * len(days)
    tops = [_TOP + _ROW * row + (_ROW - _BAR) / 2.0 for row in range(len(days))]
    body = day_bars(x, [day_bar(week, shade, day, top, _BAR) for day, top in enumerate(tops)])
    for row, (day, top) in enumerate(zip(days, tops, strict=True)):
        style = "e full b" if not row else "e full"
        body.append(draw.text(_LEFT - 10, top + 15, weekday_text(day), style))
        brief = f"{weekday_text(day).split()[0]} {day.day}"
        body.append(draw.text(_LEFT - 8, top + 18, brief, "e brief"))
    for hour in range(0, 25, 6):
        at = x(hour * 3600.0)
        body.append(draw.line(at, _TOP - 4, at, bottom, "grid"))
    body += hour_words(x, _TOP - 9)
    return Figure(
        name=f"week-{number + 1}-{slug(name)}",
        title=f"{name}: {weekday_text(days[0])} and the days after it",
        alt=_alt(week, shade),
        width=WIDE,
        height=bottom + 4,
        body=as_markup(body),
        table=_table(week, shade),
        legend=(*shade_keys(data), Key(draw.swatch("night"), "night")),
    )


class Bar(NamedTuple):
    """A day of a shade as a bar: where it is, and the day's times with the sun up, with sun on the
    windows, closed, and when the sun may come or leave.
    """

    top: float
    height: float
    up: list[Piece]
    sun: list[Piece]
    drops: list[Drop]
    doubt: list[Span]


def day_bar(week: Week, shade: ShadeWeek, day: int, top: float, height: float) -> Bar:
    """The bar of a shade's day of the week."""
    sun = on_day(shade.sun, day)
    doubt = doubt_spans(sun, shade.doubt, week.calendar.days[day])
    return Bar(top, height, on_day(week.up, day), sun, shade.drops_on(day), doubt)


def day_bars(x: Scale, bars: Sequence[Bar]) -> list[Markup]:
    """Bars one under the other. Night is their ground, the time when the sun is up is left blank;
    a closing is a washed box with strong edges, as far down as the shade comes; sun lies amid it.
    """

    def box(start: int, end: int, bar: Bar, top: float, height: float) -> draw.Box:
        """A box over a time; `top` and `height` are shares of the bar's height."""
        return x(start), bar.top + bar.height * top, x(end) - x(start), bar.height * height

    night = [box(0, DAY_S, bar, 0, 1) for bar in bars]
    up = [box(piece.start, piece.end, bar, 0, 1) for bar in bars for piece in bar.up]
    closed = [
        box(piece.start, piece.end, bar, 0, position / 100.0)
        for bar in bars
        for piece, position in bar.drops
    ]
    sun = [box(piece.start, piece.end, bar, 1 / 3, 1 / 3) for bar in bars for piece in bar.sun]
    doubt = [box(start, end, bar, 1 / 6, 2 / 3) for bar in bars for start, end in bar.doubt]
    feet = [f"M{short(x(0))} {short(bar.top + bar.height)}H{short(x(DAY_S))}" for bar in bars]
    return [
        draw.boxes(night, "night"),
        draw.boxes(up, "ground"),
        tag("path", d="".join(_sides(*box) for box in up), class_="rise"),
        draw.boxes(closed, "wash edge"),
        draw.boxes(sun, "sun sun-edge"),
        draw.boxes(doubt, "doubt"),
        tag("path", d="".join(feet), class_="grid"),
    ]


def _sides(left: float, top: float, width: float, height: float) -> str:
    """Where the sun rises and sets: night hardly differs from paper by its colour."""
    return "".join(
        f"M{short(at, 1)} {short(top, 1)}v{short(height, 1)}" for at in (left, left + width)
    )


def shade_keys(data: ReportData) -> tuple[Key, ...]:
    """What the colours of closings and sun mean."""
    box = draw.boxes([(0.7, 0.7, 18.6, 10.6)], "wash edge")
    return (
        Key(box, "shade closed, as far down as drawn"),
        Key(draw.swatch("sun"), "sun on its windows"),
        *doubt_key(data),
    )


def _alt(week: Week, shade: ShadeWeek) -> str:
    closed_today = spans(on_day(shade.closed, 0), "it stays open")
    days = {piece.day for piece in shade.closed}
    return (
        f"Day bars of {shade.shade.name} for {len(week.calendar.days)} days. Closed today: "
        f"{closed_today}. Closed on {len(days)} of the days."
    )


def _table(week: Week, shade: ShadeWeek) -> Table:
    rows = []
    for number, day in enumerate(week.calendar.days):
        closed, sun = on_day(shade.closed, number), on_day(shade.sun, number)
        lasts = duration(sum(piece.end - piece.start for piece in sun))
        rows.append((weekday_text(day), spans(closed, "stays open"), spans(sun), lasts))
    return Table(
        f"{shade.shade.name}: when it closes in these days",
        ("day", "closed", "sun on its windows", "sun lasts"),
        tuple(rows),
    )
