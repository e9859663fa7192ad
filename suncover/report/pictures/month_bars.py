"""Hours of direct sun on a window by month, and how many of them its shade covers."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from suncover.base.spell import Spell, intersect, union
from suncover.export.text.words import MONTHS, hours_text
from suncover.report.gather import ReportData
from suncover.report.pictures import draw
from suncover.report.pictures.figure import HALF, Figure, Key, Scale, Table, slug
from suncover.report.pictures.markup import Markup, as_markup, tag

_LEFT, _RIGHT, _TOP, _BOTTOM = 40.0, 352.0, 20.0, 190.0


@dataclass(frozen=True)
class MonthSun:
    """Seconds of direct sun on a window in a month, and of those under its closed shades."""

    year: int
    month: int
    sun: int
    covered: int


def months_of(data: ReportData, number: int) -> list[MonthSun]:
    """Each month of the report's days, for the window of that number."""
    year = data.windows[number]
    closed = union(
        Spell(closing.close, closing.open)
        for shade in data.shades_of(year.window.name)
        for closing in shade.plan.closings
    )
    calendar = data.calendar
    sun = calendar.seconds_by_month(year.pieces)
    covered = calendar.seconds_by_month(calendar.pieces(intersect(year.spells, closed)))
    return [MonthSun(*month, sun[month], covered[month]) for month in sun]


def month_bars(data: ReportData, number: int) -> Figure:
    """The bars of the window of that number."""
    name = data.windows[number].window.name
    months = months_of(data, number)
    y = Scale(0.0, max([month.sun for month in months] + [3600]), _BOTTOM, _TOP)
    step = (_RIGHT - _LEFT) / len(months)
    width = step * 0.72
    inset = width * 0.22
    words, sunny, shaded = [], [], []
    for column, month in enumerate(months):
        left = _LEFT + step * column + step * 0.14
        top, covered = y(month.sun), y(month.covered)
        sunny.append((left, top, width, _BOTTOM - top))
        if month.covered:
            shaded.append((left + inset, covered, width - 2 * inset, _BOTTOM - covered))
        middle = left + width / 2.0
        words.append(draw.text(middle, _BOTTOM + 17, MONTHS[month.month - 1][0], "m"))
        words.append(draw.text(middle, top - 5, f"{month.sun / 3600:.0f}", "m q small"))
    body = [
        draw.line(_LEFT, _BOTTOM, _RIGHT, _BOTTOM, "axis"),
        draw.boxes(sunny, "sun"),
        draw.boxes(shaded, "shade"),
        *words,
        draw.text(_LEFT - 6, _TOP - 5, "h", "e q"),
    ]
    return Figure(
        name=f"{number + 1}-{slug(name)}-months",
        title=f"{name}: hours of direct sun by month",
        alt=_alt(name, months),
        width=HALF,
        height=_BOTTOM + 28,
        body=as_markup(body),
        table=_table(name, months),
        legend=(
            Key(draw.swatch("sun"), "direct sun"),
            Key(
                Markup(draw.swatch("sun") + tag("rect", x=5, width=10, height=12, class_="shade")),
                "of it, shade closed",
            ),
        ),
    )


def _alt(name: str, months: Sequence[MonthSun]) -> str:
    sun = hours_text(sum(month.sun for month in months))
    covered = hours_text(sum(month.covered for month in months))
    best = max(months, key=lambda month: month.sun)
    return (
        f"Bars by month for {name}: {sun} hours of direct sun, most in "
        f"{MONTHS[best.month - 1]}; {covered} of them with a shade closed."
    )


def _table(name: str, months: Sequence[MonthSun]) -> Table:
    rows = tuple(
        (
            f"{MONTHS[month.month - 1]} {month.year}",
            hours_text(month.sun),
            hours_text(month.covered),
        )
        for month in months
    )
    return Table(f"{name}, hours of direct sun by month", ("month", "sun, h", "covered, h"), rows)
