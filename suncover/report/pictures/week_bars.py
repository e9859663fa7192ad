"""Today and the next seven days of a shade: a bar a day with night, sun and when it is closed."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from suncover.report.calendar_days import Piece, by_day
from suncover.report.doubt import doubtful
from suncover.report.gather import ReportData
from suncover.report.pictures.axes import doubt_key
from suncover.report.pictures.figure import (
    WIDE,
    Figure,
    Key,
    Scale,
    Table,
    boxes,
    line,
    swatch,
    text,
)
from suncover.report.pictures.markup import Markup, short, tag
from suncover.report.words import duration, slug, spans, weekday_text

_LEFT, _RIGHT = 108.0, 704.0
_TOP, _ROW, _BAR = 32.0, 30.0, 20.0
DAY_S = 86_400.0


def week_bars(data: ReportData, number: int) -> Figure:
    """The bars of the shade of that number."""
    week, shade = data.week, data.week.shades[number]
    days = week.calendar.days
    x = Scale(0.0, DAY_S, _LEFT, _RIGHT)
    up = by_day(week.up, len(days))
    sun, closed = by_day(shade.sun, len(days)), by_day(shade.closed, len(days))
    bottom = _TOP + _ROW * len(days)
    tops = [_TOP + _ROW * row + (_ROW - _BAR) / 2.0 for row in range(len(days))]
    bars = [
        Bar(
            top,
            _BAR,
            up[row],
            sun[row],
            shade.closed_on(row),
            doubtful(sun[row], shade.doubt, days[row]),
        )
        for row, top in enumerate(tops)
    ]
    body = day_bars(x, bars)
    for row, (day, top) in enumerate(zip(days, tops, strict=True)):
        style = "e full b" if not row else "e full"
        body.append(text(_LEFT - 10, top + 15, weekday_text(day), style))
        brief = f"{weekday_text(day).split()[0]} {day.day}"
        body.append(text(_LEFT - 8, top + 18, brief, "e brief"))
    for hour in range(0, 25, 6):
        at = x(hour * 3600.0)
        body.append(line(at, _TOP - 4, at, bottom, "grid"))
        style = {0: "q", 24: "q e"}.get(hour, "q m")
        body.append(text(at, _TOP - 9, f"{hour}", style))
    return Figure(
        name=f"week-{number + 1}-{slug(shade.shade.name)}",
        title=f"{shade.shade.name}: {weekday_text(days[0])} and the days after it",
        alt=_alt(data, number),
        width=WIDE,
        height=bottom + 4,
        body=Markup("".join(body)),
        table=Table(
            f"{shade.shade.name}: when it closes in these days",
            ("day", "closed", "sun on its windows", "sun lasts"),
            tuple(
                (
                    weekday_text(day),
                    spans(closed[row], "stays open"),
                    spans(sun[row], "none"),
                    duration(sum(piece.end - piece.start for piece in sun[row])),
                )
                for row, day in enumerate(days)
            ),
        ),
        legend=(
            *shade_keys(data),
            Key(swatch("night"), "night"),
        ),
    )


class Bar(NamedTuple):
    """A day of a shade as a bar: where it is, and the day's times with the sun up, with sun on the
    windows, closed, each with how far down, and when the sun may come or leave.
    """

    top: float
    height: float
    up: list[Piece]
    sun: list[Piece]
    closed: list[tuple[Piece, int]]
    doubt: list[tuple[int, int]]


def day_bars(x: Scale, bars: Sequence[Bar]) -> list[Markup]:
    """Bars one under the other. Night is their ground, the time when the sun is up is left blank;
    a closing is a washed box with strong edges, as far down as the shade comes; sun lies amid it.
    """

    def side(piece: Piece) -> tuple[float, float]:
        return x(piece.start), x(piece.end) - x(piece.start)

    night = [(x(0), bar.top, x(DAY_S) - x(0), bar.height) for bar in bars]
    up = [_box(side(one), bar.top, bar.height) for bar in bars for one in bar.up]
    closed = [
        _box(side(one), bar.top, bar.height * down / 100.0)
        for bar in bars
        for one, down in bar.closed
    ]
    sun = [
        _box(side(one), bar.top + bar.height / 3, bar.height / 3) for bar in bars for one in bar.sun
    ]
    doubt = [
        (x(start), bar.top + bar.height / 6, x(end) - x(start), bar.height * 2 / 3)
        for bar in bars
        for start, end in bar.doubt
    ]
    return [
        boxes(night, "night"),
        boxes(up, "ground"),
        tag("path", d="".join(_sides(box) for box in up), class_="rise"),
        boxes(closed, "wash edge"),
        boxes(sun, "sun sun-edge"),
        boxes(doubt, "doubt"),
        tag("path", d="".join(_foot(x, bar) for bar in bars), class_="grid"),
    ]


def _box(side: tuple[float, float], top: float, height: float) -> tuple[float, float, float, float]:
    return side[0], top, side[1], height


def _sides(box: tuple[float, float, float, float]) -> str:
    """Where the sun rises and sets: night hardly differs from paper by its colour."""
    left, top, width, height = box
    return "".join(
        f"M{short(at, 1)} {short(top, 1)}v{short(height, 1)}" for at in (left, left + width)
    )


def _foot(x: Scale, bar: Bar) -> str:
    return f"M{short(x(0))} {short(bar.top + bar.height)}H{short(x(DAY_S))}"


def shade_keys(data: ReportData) -> tuple[Key, ...]:
    """What the colours of closings and sun mean."""
    box = boxes([(0.7, 0.7, 18.6, 10.6)], "wash edge")
    keys = [
        Key(box, "shade closed, as far down as drawn"),
        Key(swatch("sun"), "sun on its windows"),
    ]
    return (*keys, *doubt_key(data))


def _alt(data: ReportData, number: int) -> str:
    shade = data.week.shades[number]
    days = {piece.day for piece in shade.closed}
    first = spans([piece for piece in shade.closed if piece.day == 0], "it stays open")
    return (
        f"Day bars of {shade.shade.name} for {len(data.week.calendar.days)} days. Closed today: "
        f"{first}. Closed on {len(days)} of the days."
    )
