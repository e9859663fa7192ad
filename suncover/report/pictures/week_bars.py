"""Today and the next seven days of a shade: a bar a day with night, sun and when it is closed."""

from __future__ import annotations

from suncover.report.calendar_days import Piece, by_day
from suncover.report.gather import ReportData
from suncover.report.pictures.figure import (
    WIDE,
    Figure,
    Key,
    Scale,
    Table,
    line,
    rect,
    swatch,
    text,
)
from suncover.report.pictures.markup import Markup, tag
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
    body: list[Markup] = []
    for row, day in enumerate(days):
        top = _TOP + _ROW * row + (_ROW - _BAR) / 2.0
        body.append(
            text(_LEFT - 10, top + 15, weekday_text(day), "e full b" if not row else "e full")
        )
        brief = f"{weekday_text(day).split()[0]} {day.day}"
        body.append(text(_LEFT - 8, top + 18, brief, "e brief"))
        body += _bar(x, top, up[row], sun[row], shade.closed_on(row))
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
            *shade_keys(),
            Key(swatch("night"), "night"),
        ),
    )


def _bar(
    x: Scale, top: float, up: list[Piece], sun: list[Piece], closed: list[tuple[Piece, int]]
) -> list[Markup]:
    drawn = day_ground(x, top, _BAR, up)
    drawn += [closed_box(x, top, _BAR, piece, position) for piece, position in closed]
    drawn += [
        rect(x(p.start), top + 6, x(p.end) - x(p.start), _BAR - 12, "sun sun-edge") for p in sun
    ]
    drawn.append(tag("path", d=f"M{x(0)} {top + _BAR}H{x(DAY_S)}", class_="grid"))
    return drawn


def day_ground(x: Scale, top: float, height: float, up: list[Piece]) -> list[Markup]:
    """Night is a bar's ground, the time when the sun is up is left blank."""
    drawn = [rect(x(0), top, x(DAY_S) - x(0), height, "night")]
    drawn += [rect(x(p.start), top, x(p.end) - x(p.start), height, "ground") for p in up]
    return drawn


def closed_box(x: Scale, top: float, height: float, piece: Piece, position: int) -> Markup:
    """A closing: a washed box with strong edges, as far down the bar as the shade comes."""
    start, end, deep = x(piece.start), x(piece.end), height * position / 100.0
    return Markup(
        rect(start, top, end - start, deep, "wash")
        + tag(
            "path",
            d=f"M{start:.1f} {top:.1f}H{end:.1f}V{top + deep:.1f}H{start:.1f}Z",
            class_="edge line",
        )
    )


def shade_keys() -> tuple[Key, ...]:
    """What the colours of closings and sun mean."""
    box = closed_box(Scale(0.0, 1.0, 0.0, 20.0), 0.0, 12.0, Piece(0, 0, 1, 0), 100)
    return Key(box, "shade closed, as far down as drawn"), Key(swatch("sun"), "sun on its windows")


def _alt(data: ReportData, number: int) -> str:
    shade = data.week.shades[number]
    days = {piece.day for piece in shade.closed}
    first = spans([piece for piece in shade.closed if piece.day == 0], "it stays open")
    return (
        f"Day bars of {shade.shade.name} for {len(data.week.calendar.days)} days. Closed today: "
        f"{first}. Closed on {len(days)} of the days."
    )
