"""A shade's season in one glance: hours of sun above the line, hours closed below it."""

from __future__ import annotations

from collections import Counter

import numpy as np

from suncover.base.clock import date_text
from suncover.export.text.words import hours_text
from suncover.report.gather import ReportData
from suncover.report.pictures import draw
from suncover.report.pictures.axes import EASE, LEFT, RIGHT, day_scale, month_axis
from suncover.report.pictures.bands import band_path
from suncover.report.pictures.figure import WIDE, Figure, Key, Scale, Table, slug
from suncover.report.pictures.markup import Markup, as_markup, tag

_TOP, _HALF = 8.0, 62.0
_GROUND = "ribbon-ground"


def season_ribbon(data: ReportData, number: int) -> Figure:
    """The ribbon of the shade of that number."""
    shade = data.shades[number]
    days = data.calendar.days
    sun = data.calendar.seconds_by_day(shade.sun) / 3600.0
    closed = data.calendar.seconds_by_day(shade.closed) / 3600.0
    most = most_hours(data)
    middle = _TOP + _HALF
    up, down = Scale(0.0, most, middle, _TOP), Scale(0.0, most, middle, middle + _HALF)
    body = [
        tag("use", href=f"#{_GROUND}"),
        tag("path", d=_area(sun, up, len(days)), class_="sun"),
        tag("path", d=_area(closed, down, len(days)), class_="shade"),
        draw.line(LEFT, middle, RIGHT, middle, "axis"),
    ]
    return Figure(
        name=f"season-{number + 1}-{slug(shade.shade.name)}",
        title=f"{shade.shade.name}: hours of sun and hours closed, day by day",
        alt=(
            f"Ribbon of {shade.shade.name}: {sun.sum():.0f} hours of sun on its windows above the "
            f"line, {closed.sum():.0f} hours closed below it, in {shade.quality.closings} closings."
        ),
        width=WIDE,
        height=_TOP + 2 * _HALF + 30,
        body=as_markup(body),
        table=_by_month(data, number),
        shared=ribbon_ground(data),
        legend=(
            Key(draw.swatch("sun"), "hours of sun on its windows, each day"),
            Key(draw.swatch("shade"), "hours closed"),
        ),
    )


def ribbon_ground(data: ReportData) -> dict[str, Markup]:
    """What all ribbons have in common: months, and the scale of hours."""
    most, middle = most_hours(data), _TOP + _HALF
    drawn = [
        *month_axis(data.calendar.days, _TOP, middle + _HALF),
        draw.text(LEFT - 8, _TOP + 10, f"{most:g} h", "e q full"),
        draw.text(LEFT - 8, _TOP + 16, f"{most:g}", "e q brief"),
        draw.text(LEFT - 8, middle + 5, "0", "e q full"),
        draw.text(LEFT - 8, middle + _HALF, f"{most:g} h", "e q full"),
    ]
    return {_GROUND: tag("g", drawn, id=_GROUND, class_="wide")}


def most_hours(data: ReportData) -> float:
    """The top of the scale, the same for all shades: an even number of hours."""
    lists = [pieces for shade in data.shades for pieces in (shade.sun, shade.closed)]
    most = max(int(data.calendar.seconds_by_day(pieces).max()) for pieces in lists)
    return float(np.ceil(max(most / 3600.0, 1.0) / 2.0) * 2.0)


def _area(hours: np.ndarray, y: Scale, days: int) -> str:
    """Columns of the days, closed along the line of 0."""
    rows = [[(0.0, value)] if value else [] for value in hours.tolist()]
    x = day_scale(days)
    return band_path(rows, lambda day, value: (x.of(day), y.of(value)), ease=EASE)


def _by_month(data: ReportData, number: int) -> Table:
    shade = data.shades[number]
    sun = data.calendar.seconds_by_month(shade.sun)
    closed = data.calendar.seconds_by_month(shade.closed)
    closings = Counter((closing.date.year, closing.date.month) for closing in shade.plan.closings)
    rows = tuple(
        (
            f"{month[0]}-{month[1]:02d}",
            hours_text(sun[month]),
            hours_text(closed[month]),
            f"{closings[month]}",
        )
        for month in sun
    )
    first, last = data.calendar.first, data.calendar.last
    return Table(
        f"{shade.shade.name}, {date_text(first)} to {date_text(last)}",
        ("month", "sun, h", "closed, h", "closings"),
        rows,
    )
