"""What stands on paper alone: the year's timetable for the wall, and measures for the trade.

A print of the page has four sheets: the day, the year, the windows and their shades, what it is
worth and what can hurt. What moves, and what needs a screen's room, is left out there.
"""

from __future__ import annotations

from collections.abc import Sequence

from suncover.base.clock import date_text
from suncover.export.text.site_text import shade_rules
from suncover.export.text.words import facing_text
from suncover.report.calendar_days import by_day
from suncover.report.gather import ReportData
from suncover.report.page.blocks import facts_list, table_block
from suncover.report.page.end import caution_list, place_facts
from suncover.report.pictures.figure import HALF, Table
from suncover.report.pictures.markup import Markup, short, tag
from suncover.report.pictures.side_cut import HEIGHT
from suncover.report.shade_year import ShadeYear
from suncover.report.units import length_mark
from suncover.report.words import spans
from suncover.site.model import Window

DAYS_SHOWN, FEW_DAYS = (1, 15), (1,)
"""Days of each month that the timetable shows; of more shades than are abreast, fewer."""
_ABREAST = 5  # shades beside each other
_MANY = 8  # cuts above which they are drawn smaller


def timetable(data: ReportData) -> Markup:
    """When each shade is closed on a day or two of each month."""
    moving = [shade for shade in data.shades if shade.closed]
    shown = DAYS_SHOWN if len(moving) <= _ABREAST else FEW_DAYS
    blocks = [
        table_block(_times(data, moving[first : first + _ABREAST], shown))
        for first in range(0, len(moving), _ABREAST)
    ]
    return tag("div", blocks, class_="paper")


def _times(data: ReportData, shades: Sequence[ShadeYear], shown: Sequence[int]) -> Table:
    days = data.calendar.days
    closed = [by_day(shade.closed, len(days)) for shade in shades]
    rows = tuple(
        (date_text(day), *(spans(times[number], "–") for times in closed))
        for number, day in enumerate(days)
        if day.day in shown and any(times[number] for times in closed)
    )
    head = ("day", *(shade.shade.name for shade in shades))
    return Table(
        "When shades are closed, by the home's clocks; between these days, nearly so", head, rows
    )


def trade_sheet(data: ReportData) -> Markup:
    """Measures of windows, what moves before them, cuts to scale, and what can hurt."""
    cuts = [_cut(data, n) for n in range(len(data.windows))]
    return tag(
        "div",
        table_block(_windows(data), data.units),
        table_block(_shades(data), data.units),
        tag("div", cuts, class_="cuts many" if len(cuts) > _MANY else "cuts"),
        facts_list(place_facts(data)),
        tag("h3", "Take care"),
        caution_list(data),
        class_="paper",
    )


def _cut(data: ReportData, number: int) -> Markup:
    """The view from the side once more, as it stands in the window's own part of the page."""
    name = data.windows[number].window.name
    box = f"0 0 {short(HALF)} {short(HEIGHT)}"
    drawn = tag("svg", tag("use", href=f"#cut-{number + 1}"), viewBox=box, aria_hidden="true")
    return tag("div", tag("b", name), drawn)


def _windows(data: ReportData) -> Table:
    head = ("window", "faces", "glass, wide × high", "sill", "reveal", "overhang, fins", "glazing")
    return Table("Windows", head, tuple(_window_row(year.window) for year in data.windows))


def _window_row(window: Window) -> tuple[str, ...]:
    roof = window.overhang
    before = [] if roof is None else [f"{length_mark(roof.depth)} deep, {length_mark(roof.gap)} up"]
    before += [f"{fin.side} fin {length_mark(fin.depth)} deep" for fin in window.fins]
    return (
        window.name,
        faces(window),
        f"{length_mark(window.width)} × {length_mark(window.height)}",
        length_mark(window.sill),
        length_mark(window.reveal) if window.reveal else "–",
        "; ".join(before) or "–",
        window.glazing or "–",
    )


def faces(window: Window) -> str:
    """Which way a window looks, and how well that is known."""
    if window.azimuth_sd is None or not window.tilt:
        return facing_text(window)
    return f"{facing_text(window)} ± {window.azimuth_sd:g}°"


def _shades(data: ReportData) -> Table:
    rows = [
        (
            year.shade.name,
            shade_rules(data.site, year.shade),
            " ".join(part for part in (year.shade.place, year.shade.fabric) if part) or "–",
            f"{year.quality.most_moves}",
        )
        for year in data.shades
    ]
    head = ("shade", "covers, and its rules", "hangs", "most moves a day")
    return Table("Shades", head, tuple(rows))
