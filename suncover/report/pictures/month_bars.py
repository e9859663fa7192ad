"""Hours of direct sun on a window by month, and how many of them its shade covers."""

from __future__ import annotations

from dataclasses import dataclass

from suncover.base.spell import Spell, intersect, union
from suncover.report.gather import ReportData
from suncover.report.pictures.figure import (
    HALF,
    Figure,
    Key,
    Scale,
    Table,
    boxes,
    line,
    swatch,
    text,
)
from suncover.report.pictures.markup import Markup, tag
from suncover.report.words import MONTHS, hours_one, slug

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
    window = data.windows[number]
    closed = union(
        Spell(closing.close, closing.open)
        for shade in data.shades
        if window.window.name in shade.shade.windows
        for closing in shade.plan.closings
    )
    calendar = data.calendar
    sun = calendar.seconds_by_day(window.pieces)
    covered = calendar.seconds_by_day(calendar.pieces(intersect(window.spells, closed)))
    months = [(day.year, day.month) for day in calendar.days]
    sums = {month: [0, 0] for month in months}
    for month, of_sun, of_covered in zip(months, sun.tolist(), covered.tolist(), strict=True):
        sums[month][0] += of_sun
        sums[month][1] += of_covered
    return [MonthSun(*month, *both) for month, both in sums.items()]


def month_bars(data: ReportData, number: int) -> Figure:
    """The bars of the window of that number."""
    window = data.windows[number].window
    months = months_of(data, number)
    most = max([one.sun for one in months] + [3600]) / 3600.0
    y = Scale(0.0, most, _BOTTOM, _TOP)
    step = (_RIGHT - _LEFT) / len(months)
    width = step * 0.72
    inset = width * 0.22
    body, sunny, shaded = [], [], []
    for place, one in enumerate(months):
        left = _LEFT + step * place + step * 0.14
        top, covered = y(one.sun / 3600.0), y(one.covered / 3600.0)
        sunny.append((left, top, width, _BOTTOM - top))
        if one.covered:
            shaded.append((left + inset, covered, width - 2 * inset, _BOTTOM - covered))
        middle = left + width / 2.0
        body.append(text(middle, _BOTTOM + 17, MONTHS[one.month - 1][0], "m"))
        body.append(text(middle, top - 5, f"{one.sun / 3600:.0f}", "m q small"))
    body = [
        line(_LEFT, _BOTTOM, _RIGHT, _BOTTOM, "axis"),
        boxes(sunny, "sun"),
        boxes(shaded, "shade"),
        *body,
    ]
    body.append(text(_LEFT - 6, _TOP - 5, "h", "e q"))
    sun, covered = sum(one.sun for one in months), sum(one.covered for one in months)
    best = max(months, key=lambda one: one.sun)
    return Figure(
        name=f"{number + 1}-{slug(window.name)}-months",
        title=f"{window.name}: hours of direct sun by month",
        alt=(
            f"Bars by month for {window.name}: {hours_one(sun)} hours of direct sun, most in "
            f"{MONTHS[best.month - 1]}; {hours_one(covered)} of them with a shade closed."
        ),
        width=HALF,
        height=_BOTTOM + 28,
        body=Markup("".join(body)),
        table=Table(
            f"{window.name}, hours of direct sun by month",
            ("month", "sun, h", "covered, h"),
            tuple(
                (f"{MONTHS[one.month - 1]} {one.year}", hours_one(one.sun), hours_one(one.covered))
                for one in months
            ),
        ),
        legend=(
            Key(swatch("sun"), "direct sun"),
            Key(
                Markup(swatch("sun") + tag("rect", x=5, width=10, height=12, class_="shade")),
                "of it, shade closed",
            ),
        ),
    )
