"""One day of a window: how strong the sun on its glass is, hour by hour, and when it is covered."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date

import numpy as np

from suncover.report.calendar_days import CELL_S, CELLS, SLOT_S, Piece, by_day
from suncover.report.doubt import doubtful
from suncover.report.gather import ReportData
from suncover.report.pictures.axes import LEFT, RIGHT, doubt_key, figures_at_the_side
from suncover.report.pictures.figure import (
    WIDE,
    Figure,
    Key,
    Scale,
    Table,
    line,
    swatch,
    text,
    upright,
)
from suncover.report.pictures.markup import Markup, short, tag
from suncover.report.window_year import WindowYear
from suncover.report.words import clock, slug, spans, weekday_text

TOP, BOTTOM, HEIGHT = 14.0, 150.0, 182.0
CLOCK = Scale(0.0, 86_400.0, LEFT, RIGHT)


def power_scale(window: WindowYear) -> Scale:
    """W/m² to heights, with room for the strongest sun of all days."""
    most = float(np.ceil(max(window.power.max(initial=0.0), 1.0) / 200.0) * 200.0)
    return Scale(0.0, most, BOTTOM, TOP)


def day_curve(data: ReportData, number: int) -> Figure:
    """The day on which the report opens, for the window of that number."""
    window = data.windows[number]
    y, day = power_scale(window), data.start_day
    shade = data.shade_of(window.window.name)
    closed = by_day(shade.closed if shade else [], len(data.calendar.days))[day]
    partly = shade is not None and shade.part_way
    up = by_day(data.sun.up, len(data.calendar.days))[day]
    sun = by_day(window.pieces, len(data.calendar.days))[day]
    half = y.high / 2.0
    when = data.calendar.days[day]
    body = [
        tag("path", d=boxes(night_of(up), TOP, BOTTOM), class_="night", data_part="night"),
        tag("path", d=boxes(closed, TOP, BOTTOM), class_="wash", data_part="wash"),
        *(line(LEFT, y(value), RIGHT, y(value), "grid") for value in (half, y.high)),
        *(figures_at_the_side(y(value), f"{value:.0f}") for value in (0.0, half, y.high)),
        tag("path", d=sun_area(sun, window.power[day], y), class_="sun", data_part="sun"),
        tag("path", d=doubt_boxes(window, sun, when), class_="doubt", data_part="doubt"),
        tag("path", d=boxes(closed, TOP, BOTTOM), class_="edge line", data_part="edge"),
        line(LEFT, BOTTOM, RIGHT, BOTTOM, "axis"),
        *_hours(),
        upright(time_at(data.slot_of(number)), TOP - 8, BOTTOM + 6, data_part="time"),
    ]
    said = weekday_text(when)
    return Figure(
        name=f"{number + 1}-{slug(window.window.name)}-day",
        title=f"{window.window.name}: strength of the sun on the glass on one day, W/m²",
        alt=(
            f"Strength of the direct sun on the glass of {window.window.name} on {said}: sun "
            f"{spans(sun)}, at the most {window.power[day].max():.0f} W/m²; "
            f"shade closed {spans(closed)}."
        ),
        width=WIDE,
        height=HEIGHT,
        body=Markup("".join(body)),
        table=_table(window, day, said),
        legend=(
            Key(swatch("sun"), "direct sun, W/m² of glass"),
            *doubt_key(data),
            Key(swatch("wash"), f"shade closed{', all or part of the way' if partly else ''}"),
            Key(swatch("night"), "night"),
        ),
        live=("day", number),
    )


def _hours() -> Iterable[Markup]:
    for hour in range(0, 25, 3):
        style = {0: "q", 24: "q e"}.get(hour, "q m" if hour % 6 == 0 else "q m full")
        yield text(CLOCK(hour * 3600.0), BOTTOM + 20, f"{hour}", style)


def night_of(up: Sequence[Piece]) -> list[tuple[int, int]]:
    """When the sun is down: what `up` leaves of the day."""
    found, at = [], 0
    for piece in sorted(up, key=lambda piece: piece.start):
        if piece.start > at:
            found.append((at, piece.start))
        at = max(at, piece.end)
    return [*found, (at, 86_400)] if at < 86_400 else found


def boxes(spells: Iterable[Sequence[int]], top: float, bottom: float) -> str:
    """Boxes from `top` to `bottom` over pieces, or over pairs of seconds of the day."""
    steps = []
    for spell in spells:
        start, end = (spell.start, spell.end) if isinstance(spell, Piece) else spell
        steps.append(
            f"M{short(CLOCK(start), 1)} {short(top)}H{short(CLOCK(end), 1)}"
            f"V{short(bottom)}H{short(CLOCK(start), 1)}Z"
        )
    return "".join(steps)


def sun_area(pieces: Sequence[Piece], power: np.ndarray, y: Scale) -> str:
    """Steps over the cells of ten minutes that hold sun; `power` is that of the day, (144,)."""
    steps = []
    for piece in pieces:
        steps.append(f"M{short(CLOCK(piece.start), 1)} {short(BOTTOM)}")
        for cell in range(piece.start // CELL_S, min(-(-piece.end // CELL_S), CELLS)):
            end = min((cell + 1) * CELL_S, piece.end)
            steps.append(f"V{short(y(float(power[cell])), 1)}H{short(CLOCK(end), 1)}")
        steps.append(f"V{short(BOTTOM)}Z")
    return "".join(steps)


def doubt_boxes(window: WindowYear, sun: Sequence[Piece], day: date) -> str:
    """When the sun may come or leave, as the window's facing is not known exactly."""
    return boxes(doubtful(sun, window.doubt, day), TOP, BOTTOM)


def time_at(slot: int) -> float:
    """Where the mark stands for the time that the other pictures show."""
    return CLOCK(slot * SLOT_S)


def _table(window: WindowYear, day: int, when: str) -> Table:
    rows = tuple(
        (clock(cell * CELL_S), f"{window.seconds[day, cell] / 60:.1f}", f"{power:.0f}")
        for cell, power in enumerate(window.power[day])
        if window.seconds[day, cell]
    )
    return Table(
        f"{window.window.name}, {when}, every ten minutes with sun",
        ("from", "minutes of sun", "W/m²"),
        rows,
    )
