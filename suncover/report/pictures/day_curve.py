"""One day of a window: how strong the sun on its glass is, hour by hour, and when it is covered."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date

import numpy as np

from suncover.base.clock import DAY_S
from suncover.export.text.words import wall_text, weekday_text
from suncover.report.calendar_days import CELL_S, CELLS, SLOT_S, Piece, on_day
from suncover.report.doubt import doubt_spans
from suncover.report.gather import ReportData
from suncover.report.pictures import draw
from suncover.report.pictures.axes import LEFT, RIGHT, doubt_key, hour_words, rules
from suncover.report.pictures.bands import Span, parts_outside
from suncover.report.pictures.figure import WIDE, Figure, Key, Scale, Table, slug
from suncover.report.pictures.markup import as_markup, short, tag
from suncover.report.window_year import WindowYear
from suncover.report.words import spans

TOP, BOTTOM, HEIGHT = 14.0, 150.0, 182.0
CLOCK = Scale(0.0, DAY_S, LEFT, RIGHT)


def power_scale(year: WindowYear) -> Scale:
    """W/m² to heights, with room for the strongest sun of all days."""
    most = float(np.ceil(max(year.power.max(initial=0.0), 1.0) / 200.0) * 200.0)
    return Scale(0.0, most, BOTTOM, TOP)


def day_curve(data: ReportData, number: int) -> Figure:
    """The day on which the report opens, for the window of that number."""
    year = data.windows[number]
    name = year.window.name
    y, day = power_scale(year), data.start_day
    shade = data.shade_of(name)
    closed = on_day(shade.closed, day) if shade else []
    partly = shade is not None and shade.part_way
    night = night_of(on_day(data.sun.up, day))
    sun = on_day(year.pieces, day)
    today = data.calendar.days[day]
    body = [
        tag("path", d=time_boxes(night), class_="night", data_part="night"),
        tag("path", d=time_boxes(closed), class_="wash", data_part="wash"),
        *rules(y, (0.0, y.high / 2.0, y.high)),
        tag("path", d=sun_area(sun, year.power[day], y), class_="sun", data_part="sun"),
        tag("path", d=doubt_boxes(year, sun, today), class_="doubt", data_part="doubt"),
        tag("path", d=time_boxes(closed), class_="edge line", data_part="edge"),
        draw.line(LEFT, BOTTOM, RIGHT, BOTTOM, "axis"),
        *hour_words(CLOCK, BOTTOM + 20, step=3),
        draw.upright(time_at(data.slot_of(number)), TOP - 8, BOTTOM + 6, data_part="time"),
    ]
    return Figure(
        name=f"{number + 1}-{slug(name)}-day",
        title=f"{name}: strength of the sun on the glass on one day, W/m²",
        alt=(
            f"Strength of the direct sun on the glass of {name} on {weekday_text(today)}: sun "
            f"{spans(sun)}, at the most {year.power[day].max():.0f} W/m²; "
            f"shade closed {spans(closed)}."
        ),
        width=WIDE,
        height=HEIGHT,
        body=as_markup(body),
        table=_table(year, day, weekday_text(today)),
        legend=(
            Key(draw.swatch("sun"), "direct sun, W/m² of glass"),
            *doubt_key(data),
            Key(draw.swatch("wash"), f"shade closed{', all or part of the way' if partly else ''}"),
            Key(draw.swatch("night"), "night"),
        ),
        live=("day", number),
    )


def night_of(up: Iterable[Piece]) -> list[Span]:
    """When the sun is down: what `up` leaves of the day."""
    return parts_outside((0, DAY_S), sorted((piece.start, piece.end) for piece in up))


def time_boxes(spans: Iterable[Piece | Span]) -> str:
    """Boxes as high as the plot over pieces, or over pairs of seconds of the day."""
    steps = []
    for span in spans:
        start, end = (span.start, span.end) if isinstance(span, Piece) else span
        steps.append(
            f"M{short(CLOCK(start), 1)} {short(TOP)}H{short(CLOCK(end), 1)}"
            f"V{short(BOTTOM)}H{short(CLOCK(start), 1)}Z"
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


def doubt_boxes(year: WindowYear, sun: Sequence[Piece], day: date) -> str:
    """When the sun may come or leave, as the window's facing is not known exactly."""
    return time_boxes(doubt_spans(sun, year.doubt, day))


def time_at(slot: int) -> float:
    """Where the mark stands for the time that the other pictures show."""
    return CLOCK(slot * SLOT_S)


def _table(year: WindowYear, day: int, day_text: str) -> Table:
    rows = tuple(
        (wall_text(cell * CELL_S), f"{year.seconds[day, cell] / 60:.1f}", f"{power:.0f}")
        for cell, power in enumerate(year.power[day])
        if year.seconds[day, cell]
    )
    return Table(
        f"{year.window.name}, {day_text}, every ten minutes with sun",
        ("from", "minutes of sun", "W/m²"),
        rows,
    )
