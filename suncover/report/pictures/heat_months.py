"""Sun's heat through the glass by month: bare, and what overhang, shade and both leave of it."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from suncover.compare.summary import Summary
from suncover.export.text.words import MONTHS
from suncover.report.pictures import draw
from suncover.report.pictures.axes import LEFT, RIGHT, month_name, rules
from suncover.report.pictures.figure import WIDE, Figure, Key, Scale, Table, round_steps
from suncover.report.pictures.markup import Markup, as_markup
from suncover.report.words import kwh
from suncover.site.options import STANDARD_OPTIONS

Floats = NDArray[np.float64]

_TOP, _BOTTOM, _HEIGHT = 18.0, 240.0, 270.0
_NAME = "heat-months"
STYLES = {"overhang": "sun", "shade": "shade", "both": "both"}
"""How the bars of the options are drawn."""


def monthly_kwh(summary: Summary) -> dict[str, Floats]:
    """kWh into all windows together in each month, (12,), by option."""
    comparison = summary.comparison
    return {
        option: comparison.days.monthly(comparison.house(option)) / 1000.0
        for option in STANDARD_OPTIONS
    }


def heat_months(summary: Summary) -> Figure:
    """The months of the house: a pale bar for the bare windows, and in it one for each option."""
    values = monthly_kwh(summary)
    most = max(float(values["bare"].max()), 1.0)
    y = Scale(0.0, most * 1.06, _BOTTOM, _TOP)
    step = (RIGHT - LEFT) / 12
    body = rules(y, round_steps(most))
    roofed = any(window.overhang is not None for window in summary.comparison.site.windows)
    # Without an overhang, `overhang` is the bare window once more and `both` the shade.
    drawn = list(STYLES) if roofed else ["shade"]
    for month in range(12):
        left = LEFT + step * month + step * 0.08
        width = step * 0.84
        top = y(float(values["bare"][month]))
        body.append(draw.rect(left, top, width, _BOTTOM - top, "f1 outline-of"))
        slim = width / 3.6
        for rank, option in enumerate(drawn):
            at = left + width / 2.0 + (rank - len(drawn) / 2.0) * slim * 1.08
            body.append(_bar(at, y(float(values[option][month])), slim, option))
        body += month_name(left + width / 2.0, _BOTTOM, month + 1)
    body.append(draw.line(LEFT, _BOTTOM, RIGHT, _BOTTOM, "axis"))
    year = {option: float(months.sum()) for option, months in values.items()}
    totals = ", ".join(f"{option} {kwh(total)}" for option, total in year.items())
    return Figure(
        name=_NAME,
        title="Sun's heat into all rooms by month, kWh",
        alt=f"Bars by month of the sun's heat through all windows. In the year, in kWh: {totals}.",
        width=WIDE,
        height=_HEIGHT,
        body=as_markup(body),
        table=_table(values, year),
        legend=(
            Key(draw.swatch("f1 outline-of"), "bare windows"),
            *([Key(draw.swatch("sun"), "with the overhang")] if roofed else []),
            Key(draw.swatch("shade"), "with the scheduled shade"),
            *([Key(_both_bar(0, 0, 20, 12), "with both")] if roofed else []),
        ),
    )


def _table(values: Mapping[str, Floats], year: Mapping[str, float]) -> Table:
    rows = [
        (name, *(f"{values[option][month]:.1f}" for option in STANDARD_OPTIONS))
        for month, name in enumerate(MONTHS)
    ]
    total = ("year", *(f"{year[option]:.0f}" for option in STANDARD_OPTIONS))
    head = ("month", *STANDARD_OPTIONS)
    return Table("Sun's heat through all windows, kWh", head, (*rows, total))


def _bar(left: float, top: float, width: float, option: str) -> Markup:
    if option == "both":
        return _both_bar(left, top, width, _BOTTOM - top)
    return draw.rect(left, top, width, _BOTTOM - top, STYLES[option])


def _both_bar(left: float, top: float, width: float, height: float) -> Markup:
    """Blue above ochre: a hollow bar with a blue edge and a washed inside."""
    return draw.rect(left + 0.7, top, width - 1.4, height, "wash edge")
