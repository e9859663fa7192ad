"""Sun's heat through the glass by month: bare, and what overhang, shade and both leave of it."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from suncover.compare.summary import Summary
from suncover.report.pictures.axes import LEFT, RIGHT, figures_at_the_side
from suncover.report.pictures.figure import (
    WIDE,
    Figure,
    Key,
    Scale,
    Table,
    line,
    rect,
    round_steps,
    swatch,
    text,
)
from suncover.report.pictures.markup import Markup, tag
from suncover.report.words import MONTHS, kwh
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
    body = [*_grid(y, most)]
    roofed = any(window.overhang is not None for window in summary.comparison.site.windows)
    # Without an overhang, `overhang` is the bare window once more and `both` the shade.
    drawn = list(STYLES) if roofed else ["shade"]
    for month, name in enumerate(MONTHS):
        left = LEFT + step * month + step * 0.08
        width = step * 0.84
        top = y(float(values["bare"][month]))
        body.append(rect(left, top, width, _BOTTOM - top, "f1 outline-of"))
        slim = width / 3.6
        for place, option in enumerate(drawn):
            at = left + width / 2.0 + (place - len(drawn) / 2.0) * slim * 1.08
            height = y(float(values[option][month]))
            body.append(_bar(at, height, slim, option))
        middle = left + width / 2.0
        body.append(text(middle, _BOTTOM + 20, name, "m full"))
        body.append(text(middle, _BOTTOM + 24, name[0], "m brief"))
    body.append(line(LEFT, _BOTTOM, RIGHT, _BOTTOM, "axis"))
    year = {option: float(months.sum()) for option, months in values.items()}
    said = ", ".join(f"{option} {kwh(total)}" for option, total in year.items())
    return Figure(
        name=_NAME,
        title="Sun's heat into all rooms by month, kWh",
        alt=f"Bars by month of the sun's heat through all windows. In the year, in kWh: {said}.",
        width=WIDE,
        height=_HEIGHT,
        body=Markup("".join(body)),
        table=Table(
            "Sun's heat through all windows, kWh",
            ("month", *STANDARD_OPTIONS),
            (
                *(
                    (name, *(f"{values[option][month]:.1f}" for option in STANDARD_OPTIONS))
                    for month, name in enumerate(MONTHS)
                ),
                ("year", *(f"{year[option]:.0f}" for option in STANDARD_OPTIONS)),
            ),
        ),
        legend=(
            Key(swatch("f1 outline-of"), "bare windows"),
            *([Key(swatch("sun"), "with the overhang")] if roofed else []),
            Key(swatch("shade"), "with the scheduled shade"),
            *([Key(_both(0, 0, 20, 12), "with both")] if roofed else []),
        ),
    )


def _grid(y: Scale, most: float) -> list[Markup]:
    drawn = []
    for value in round_steps(most):
        at = y(value)
        drawn.append(line(LEFT, at, RIGHT, at, "grid"))
        drawn.append(figures_at_the_side(at, f"{value:g}"))
    return drawn


def _bar(left: float, top: float, width: float, option: str) -> Markup:
    if option == "both":
        return _both(left, top, width, _BOTTOM - top)
    return rect(left, top, width, _BOTTOM - top, STYLES[option])


def _both(left: float, top: float, width: float, height: float) -> Markup:
    """Blue above ochre: a hollow bar with a blue edge and a washed inside."""
    return tag(
        "rect",
        x=left + 0.7,
        y=top,
        width=width - 1.4,
        height=max(height, 0.0),
        class_="wash edge-of",
    )
