"""Today in one picture: a row a shade, with the times at which it moves.

Every day of the week is drawn, and only the first is seen; where a script runs, it shows the day
that it is now, and a line at the time.
"""

from __future__ import annotations

from collections.abc import Sequence

from suncover.base.clock import DAY_S
from suncover.export.text.words import wall_text, weekday_text
from suncover.report.calendar_days import Drop, on_day
from suncover.report.gather import ReportData
from suncover.report.pictures import draw
from suncover.report.pictures.axes import hour_words
from suncover.report.pictures.figure import WIDE, Figure, Key, Scale, Table, slug
from suncover.report.pictures.markup import Markup, as_markup, tag
from suncover.report.pictures.week_bars import day_bar, day_bars, shade_keys
from suncover.report.shade_week import ShadeWeek
from suncover.report.words import spans

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
    mark = draw.upright(0.0, 4.0, bottom + 4.0, data_part="now", visibility="hidden")
    first = weekday_text(week.calendar.days[0])
    return Figure(
        name=f"today-{slug(data.site.place.name)}",
        title="The day of every shade",
        alt=f"Bars of {first}. " + " ".join(_sentence(shade) for shade in week.shades),
        width=WIDE,
        height=bottom + 30,
        body=as_markup([*days, *hour_words(x, bottom + 20), mark]),
        table=_table(data),
        legend=(*shade_keys(data), Key(draw.swatch("night"), "night")),
        live=("today", 0),
    )


def _day(data: ReportData, day: int, x: Scale) -> list[Markup]:
    bars, words = [], []
    for row, shade in enumerate(data.week.shades):
        top = _TOP + _ROW * row + _WORDS - _BAR / 2.0
        bars.append(day_bar(data.week, shade, day, top, _BAR))
        words.append(draw.text(LEFT, _TOP + _ROW * row + 16, shade.shade.name, "b"))
        words += _times(shade.drops_on(day), x, top - 6)
    return [*day_bars(x, bars), *words]


def _times(drops: Sequence[Drop], x: Scale, base: float) -> list[Markup]:
    """The times of the moves above their bar's ends; both together where the bar is short."""
    drawn, free = [], 0.0
    for piece, position in drops:
        start, end = x(piece.start), x(piece.end)
        part = "" if position == 100 else f" ({position} %)"
        begins = wall_text(piece.start) if piece.start else ""
        ends = wall_text(piece.end) if piece.end < DAY_S else ""
        if begins and ends and end - start < _APART:
            words, at = f"{begins}–{ends}{part}", min(start, RIGHT - _APART)
            if at >= free:
                drawn.append(draw.text(at, base, words, "shadet"))
                free = at + _APART
            continue
        if begins + part and start >= free:
            drawn.append(draw.text(start, base, f"{begins}{part}", "shadet"))
        if ends:
            drawn.append(draw.text(end, base, ends, "e shadet"))
            free = end + 10.0
    return drawn


def _sentence(shade: ShadeWeek) -> str:
    closed = on_day(shade.closed, 0)
    return f"{shade.shade.name}: {'closed ' + spans(closed) if closed else 'open all day'}."


def _table(data: ReportData) -> Table:
    days = data.week.calendar.days
    rows = tuple(
        (
            weekday_text(day),
            *(spans(on_day(shade.closed, number), "open") for shade in data.week.shades),
        )
        for number, day in enumerate(days)
    )
    head = ("day", *(shade.shade.name for shade in data.week.shades))
    return Table("When each shade is closed in these days", head, rows)
