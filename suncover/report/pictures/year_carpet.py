"""The year carpet: a column for every day, clock time up, coloured by the sun on the glass."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from suncover.base.clock import DAY_S, date_text
from suncover.export.text.words import wall_text
from suncover.facade.periods import earliest_and_latest
from suncover.report.calendar_days import CELL_S, Piece, by_day
from suncover.report.gather import ReportData
from suncover.report.pictures import draw
from suncover.report.pictures.axes import (
    LEFT,
    RIGHT,
    day_columns,
    day_edges,
    day_scale,
    day_shapes,
    doubt_key,
    doubt_shapes,
    in_days,
    month_axis,
    rules,
)
from suncover.report.pictures.carpet_notes import carpet_notes
from suncover.report.pictures.figure import WIDE, Figure, Key, Scale, Table, slug
from suncover.report.pictures.ink import LEVEL_W, LEVELS, levels_of
from suncover.report.pictures.markup import Markup, as_markup, tag
from suncover.report.shade_year import ShadeYear
from suncover.report.window_year import WindowYear
from suncover.report.words import duration, spans

TOP, BOTTOM, HEIGHT = 16.0, 324.0, 354.0
_GROUND = "year-ground"
CLOCK = Scale(0.0, DAY_S, BOTTOM, TOP)
"""Seconds since 0:00 to heights in the picture."""


def year_carpet(data: ReportData, number: int) -> Figure:
    """The carpet of the window of that number."""
    year = data.windows[number]
    shade = data.shade_of(year.window.name)
    days = len(data.calendar.days)
    partly = shade is not None and shade.part_way
    name = f"{number + 1}-{slug(year.window.name)}-year"
    body = [
        draw.stripes(f"{name}-stripes"),
        draw.stripes(f"{name}-sparse", 18.0) if partly else None,
        tag("use", href=f"#{_GROUND}"),
        _levels(year, days),
        # The weakest sun is hardly darker than paper: a line says where it begins.
        tag("path", d=day_edges(year.pieces, days, CLOCK), class_="outline"),
        _doubt(data, year),
        _closings(shade, name, days) if shade else None,
        day_mark(data.start_day, days),
    ]
    # What the small carpets show too, for which notes would be too fine.
    carpet = tag("g", body, id=f"carpet-{number + 1}")
    return Figure(
        name=name,
        title=f"{year.window.name}: direct sun on the glass through the days",
        alt=_alt(data, year, shade),
        width=WIDE,
        height=HEIGHT,
        body=as_markup([carpet, *carpet_notes(data, shade, BOTTOM)]),
        table=_table(data, year, shade),
        shared=ground(data),
        legend=_legend(data),
        live=("year", number),
    )


def level_runs(year: WindowYear) -> list[tuple[int, Piece]]:
    """The window's sun cut where its level changes: the level and the piece, in order of time."""
    levels = levels_of(year.power).tolist()
    return [run for piece in year.pieces for run in _runs(piece, levels[piece.day])]


def _runs(piece: Piece, levels: Sequence[int]) -> Iterator[tuple[int, Piece]]:
    """A piece of a day's sun, by the levels of the day's cells."""
    start, last = piece.start, -(-piece.end // CELL_S) - 1
    for cell in range(piece.start // CELL_S, last + 1):
        if cell < last and levels[cell + 1] == levels[cell]:
            continue
        end = min((cell + 1) * CELL_S, piece.end)
        yield levels[cell], Piece(piece.day, start, end, piece.instant + start - piece.start)
        start = end


def _levels(year: WindowYear, days: int) -> list[Markup]:
    """All sun, and on it for each level the shape of what is as strong or stronger."""
    runs = level_runs(year)
    drawn = []
    for level in range(1, LEVELS):
        if pieces := [piece for strength, piece in runs if strength >= level]:
            drawn.append(tag("path", d=day_columns(pieces, days), class_=f"f{level}"))
    all_sun = tag("path", d=day_shapes(year.pieces, days, CLOCK), class_="f0")
    return [all_sun, in_days(drawn, days, CLOCK)]


def _doubt(data: ReportData, year: WindowYear) -> Markup | None:
    """A band where the sun comes and leaves, as wide as its times are known."""
    if year.doubt is None:
        return None
    path = doubt_shapes(year.pieces, year.doubt, data.calendar, CLOCK)
    return tag("path", d=path, class_="doubt")


def ground(data: ReportData) -> dict[str, Markup]:
    """What all carpets have in common: night and day, hours and months."""
    days = len(data.calendar.days)
    drawn = [
        draw.rect(LEFT, TOP, RIGHT - LEFT, BOTTOM - TOP, "night"),
        tag("path", d=day_shapes(data.sun.up, days, CLOCK), class_="ground"),
        tag("path", d=day_edges(data.sun.up, days, CLOCK), class_="rise"),
        *rules(CLOCK, (0, 6, 12, 18, 24), unit=3600.0),
        *month_axis(data.calendar.days, TOP, BOTTOM),
        draw.text(LEFT - 8, BOTTOM - 25, "h", "e q full"),
    ]
    return {_GROUND: tag("g", drawn, id=_GROUND, class_="wide")}


def _closings(shade: ShadeYear, name: str, days: int) -> Markup:
    """Stripes over the closings, fewer where it is not closed all the way; a line around them."""
    drawn = []
    for pattern, is_full in (("stripes", True), ("sparse", False)):
        if pieces := [piece for piece, down in shade.drops if (down == 100) == is_full]:
            path = day_shapes(pieces, days, CLOCK)
            drawn.append(tag("path", d=path, fill=f"url(#{name}-{pattern})", opacity="0.55"))
    edges = tag("path", d=day_edges(shade.closed, days, CLOCK), class_="edge line")
    return as_markup([*drawn, edges])


def day_mark(day: int, days: int) -> Markup:
    """The line that stands on the day shown in the other pictures."""
    at = day_scale(days)(day + 0.5)
    return tag("g", draw.upright(at, TOP - 6, BOTTOM + 5, data_part="mark"), class_="day-mark")


def _legend(data: ReportData) -> tuple[Key, ...]:
    weakest, strongest = f"{LEVEL_W:.0f}", f"{LEVEL_W * (LEVELS - 1):.0f}"
    step = 20 / LEVELS
    scale = as_markup([draw.rect(step * n, 0, step + 0.3, 12, f"f{n}") for n in range(LEVELS)])
    keys = [
        Key(scale, f"direct sun on the glass, below {weakest} to above {strongest} W/m²"),
        Key(draw.swatch("night"), "night"),
        Key(draw.swatch_line("rise"), "sunrise and sunset, level horizon"),
    ]
    box = Markup(draw.swatch("wash") + tag("path", d="M.7.7H19.3V11.3H.7Z", class_="edge line"))
    keys += [*doubt_key(data), Key(box, "its shade closed")]
    if any(shade.part_way for shade in data.shades):
        wide_stripes = Markup(box + draw.line(6, 11, 14, 1, "edge line"))
        keys[-1] = Key(box, "its shade closed, narrow stripes")
        keys.append(Key(wide_stripes, "closed part of the way, wide stripes"))
    return tuple(keys)


def _alt(data: ReportData, year: WindowYear, shade: ShadeYear | None) -> str:
    minutes = year.minutes_by_day
    name = year.window.name
    first, last = data.calendar.days[0], data.calendar.days[-1]
    over = f"{date_text(first)} {first.year} to {date_text(last)} {last.year}"
    if not minutes.any():
        return f"Year carpet of {name}, {over}: no direct sun reaches the glass."
    most = int(np.argmax(minutes))
    earliest, latest = earliest_and_latest([(piece.start, piece.end) for piece in year.pieces])
    assert earliest is not None
    assert latest is not None
    morning = " the next morning" if latest < earliest else ""
    closed = ""
    if shade:
        closed = f" The plan closes {shade.shade.name} {shade.quality.closings} times."
    return (
        f"Year carpet of {name}, {over}: {minutes.sum() / 60:.0f} hours of direct sun, at the most "
        f"{duration(minutes[most] * 60)} on {date_text(data.calendar.days[most])}, at the earliest "
        f"from {wall_text(earliest)} and at the latest until {wall_text(latest)}{morning}.{closed}"
    )


def _table(data: ReportData, year: WindowYear, shade: ShadeYear | None) -> Table:
    days = data.calendar.days
    sun = by_day(year.pieces, len(days))
    closed = by_day(shade.closed if shade else [], len(days))
    rows = tuple(
        (
            date_text(day),
            spans(sun[number], "–"),
            f"{year.minutes_by_day[number] + 1e-6:.1f}",  # as the script does
            f"{year.power[number].max():.0f}",
            spans(closed[number], "–"),
        )
        for number, day in enumerate(days)
    )
    head = ("day", "sun", "minutes", "strongest, W/m²", "shade closed")
    return Table(f"{year.window.name}: sun on the glass and its shade", head, rows)
