"""Today in one picture: a row a shade, with the times at which it moves.

Every day of the week is drawn, and only the first is seen; where a script runs, it shows the day
that it is now, and a line at the time.
"""

from __future__ import annotations

from collections.abc import Sequence

from suncover.report.calendar_days import Piece, by_day
from suncover.report.doubt import doubtful
from suncover.report.gather import ReportData, ShadeWeek
from suncover.report.pictures.figure import (
    WIDE,
    Figure,
    Key,
    Scale,
    Table,
    swatch,
    text,
    upright,
)
from suncover.report.pictures.markup import Markup, tag
from suncover.report.pictures.week_bars import DAY_S, Bar, day_bars, shade_keys
from suncover.report.words import clock, slug, spans, weekday_text

LEFT, RIGHT = 14.0, 706.0
_TOP, _ROW, _BAR = 10.0, 84.0, 22.0
_WORDS = 62.0  # above the bar's top: the shade's name; its times stand between
_APART = 170.0  # room that two times need beside each other


def today_bars(data: ReportData) -> Figure:
    """All shades on the first day of the week, and hidden behind it on each of the others."""
    week = data.week
    x = Scale(0.0, DAY_S, LEFT, RIGHT)
    bottom = _TOP + _ROW * len(week.shades)
    days = [
        tag("g", _day(data, day, x), class_="later" if day else None, data_day=day)
        for day in range(len(week.calendar.days))
    ]
    axis = [
        text(x(hour * 3600.0), bottom + 20, f"{hour}", {0: "q", 24: "q e"}.get(hour, "q m"))
        for hour in range(0, 25, 6)
    ]
    mark = upright(0.0, 4.0, bottom + 4.0, data_part="now", visibility="hidden")
    first = weekday_text(week.calendar.days[0])
    return Figure(
        name=f"today-{slug(data.site.place.name)}",
        title="The day of every shade",
        alt=f"Bars of {first}. " + " ".join(_sentence(shade) for shade in week.shades),
        width=WIDE,
        height=bottom + 30,
        body=Markup("".join([*days, *axis, mark])),
        table=_table(data),
        legend=(*shade_keys(data), Key(swatch("night"), "night")),
        live=("today", 0),
    )


def _day(data: ReportData, day: int, x: Scale) -> list[Markup]:
    count = len(data.week.calendar.days)
    up = by_day(data.week.up, count)[day]
    bars, drawn = [], []
    for row, shade in enumerate(data.week.shades):
        top = _TOP + _ROW * row + _WORDS - _BAR / 2.0
        closed = shade.closed_on(day)
        sun = by_day(shade.sun, count)[day]
        when = data.week.calendar.days[day]
        bars.append(Bar(top, _BAR, up, sun, closed, doubtful(sun, shade.doubt, when)))
        drawn.append(text(LEFT, _TOP + _ROW * row + 16, shade.shade.name, "b"))
        drawn += _times(closed, x, top - 6)
    return [*day_bars(x, bars), *drawn]


def _times(closed: Sequence[tuple[Piece, int]], x: Scale, base: float) -> list[Markup]:
    """The times of the moves above their bar's ends; both together where the bar is short."""
    drawn, free = [], 0.0
    for piece, position in closed:
        start, end = x(piece.start), x(piece.end)
        part = "" if position == 100 else f" ({position} %)"
        begins = clock(piece.start) if piece.start else ""
        ends = clock(piece.end) if piece.end < DAY_S else ""
        if begins and ends and end - start < _APART:
            words, at = f"{begins}–{ends}{part}", min(start, RIGHT - _APART)
            if at >= free:
                drawn.append(text(at, base, words, "shadet"))
                free = at + _APART
            continue
        if begins + part and start >= free:
            drawn.append(text(start, base, f"{begins}{part}", "shadet"))
        if ends:
            drawn.append(text(end, base, ends, "e shadet"))
            free = end + 10.0
    return drawn


def _sentence(shade: ShadeWeek) -> str:
    closed = [piece for piece, _ in shade.closed_on(0)]
    return f"{shade.shade.name}: {'closed ' + spans(closed) if closed else 'open all day'}."


def _table(data: ReportData) -> Table:
    days = data.week.calendar.days
    rows = tuple(
        (
            weekday_text(day),
            *(spans([p for p, _ in shade.closed_on(n)], "open") for shade in data.week.shades),
        )
        for n, day in enumerate(days)
    )
    head = ("day", *(shade.shade.name for shade in data.week.shades))
    return Table("When each shade is closed in these days", head, rows)
