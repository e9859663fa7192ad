"""The sky as one sees it out of a window: the sun's paths, and what hides them from the glass."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from functools import lru_cache
from itertools import islice

import numpy as np
from numpy.typing import NDArray

from suncover.base.clock import date_text
from suncover.export.text.words import percent
from suncover.facade.exposure import observer_of
from suncover.report.calendar_days import SLOTS, Calendar
from suncover.report.gather import ReportData
from suncover.report.pictures import draw
from suncover.report.pictures.axes import LEFT, RIGHT
from suncover.report.pictures.bands import band_path, ease_lines, relative_path
from suncover.report.pictures.figure import WIDE, Figure, Key, Scale, Table, slug
from suncover.report.pictures.labels import WIDE_ROOM, Word, hour_dot, hour_word
from suncover.report.pictures.markup import Markup, as_markup, short, tag
from suncover.report.pictures.sky_names import hidden_names
from suncover.report.pictures.sky_paths import (
    BOTTOM,
    HEIGHT,
    TOP,
    UP,
    azimuth_letters,
    day_lines,
    day_path,
    side_scale,
    sun_point,
    turned,
)
from suncover.report.window_year import COARSE, FINE, SkyMask, WindowYear
from suncover.report.words import slot_text
from suncover.site.kinds.azimuth import azimuth_words
from suncover.site.model import Place
from suncover.sun.position import position_at

Floats = NDArray[np.float64]

HEIGHTS = (0, 30, 60, 90)
DOT, DISC = 3.4, 8.0
"""Radius of the dots at full hours, and of the sun at the time shown."""
HOUR_BELOW, HOUR_ABOVE = 18.0, 9.0  # how far from its dot an hour stands
_NAME_BELOW, _NAME_ABOVE = 18.0, 10.0  # how far from its path a date stands
_EASE = 0.6  # as far as the paths of other days may be off
# Shares hidden, and how all that is more hidden is drawn: each lies on the one before.
_PLATES = ((0.1, "veil one"), (0.4, "veil two"), (0.7, "veil three"), (0.999, "veil"))
_OUTSIDE = ((0.05, "leaf"), (0.95, "land"))
_MONTHS = (6, 7, 8, 9, 10, 11, 12)  # from one solstice to the other; other months look alike


def sky_view(data: ReportData, number: int) -> Figure:
    """The sky of the window of that number."""
    year = data.windows[number]
    x = side_scale(year)
    facing = year.window.azimuth
    day = data.start_day
    azimuth, elevation = data.sun.through(day)
    names = _names(data, year, x)
    body = [
        *_mask(year.mask, x),
        *_axes(x, facing),
        *_months(data, year, x),
        tag(
            "path",
            d=day_path(azimuth - facing, elevation, x),
            class_="sunline",
            data_part="path",
        ),
        tag("g", [name.drawn for name in names], data_part="names"),
        tag("g", hour_dots(data, year, day, x), data_part="hours"),
        draw.disc(sun_point(data, year, day, data.slot_of(number), x), DISC, "now"),
    ]
    return Figure(
        name=f"{number + 1}-{slug(year.window.name)}-sky",
        title=f"{year.window.name}: the sky as you see it looking out",
        alt=_alt(year, facing),
        width=WIDE,
        height=HEIGHT,
        body=as_markup(body),
        table=_table(data, year),
        legend=(
            Key(draw.swatch_line("sunline"), "the sun's path on the day shown, dots at full hours"),
            Key(draw.swatch_line("faint"), "its paths on the 21st of other months"),
            Key(draw.swatch("land"), "hidden by what stands around"),
            Key(draw.swatch("veil"), "hidden by the window's own overhang, fins and reveal"),
            Key(draw.swatch("veil one"), "hidden from a part of the glass, darker from more of it"),
            Key(draw.swatch("leaf"), "behind leaves, or half hidden"),
        ),
        live=("sky", number),
    )


def _mask(mask: SkyMask, x: Scale) -> Iterator[Markup]:
    """What hides the sky: first the window's own parts, then what is around."""
    for limits, share, cell in ((_PLATES, mask.plates, FINE), (_OUTSIDE, mask.outside, COARSE)):
        for least, style in limits:
            yield _shape(1.0 - share > least, mask.around, cell, x, style)


def _shape(cells: NDArray[np.bool_], around: float, cell: float, x: Scale, style: str) -> Markup:
    """The cells that are chosen; slanted edges are drawn as lines within half a cell of them."""
    rows = []
    for chosen in cells:
        edges = np.flatnonzero(np.diff(np.concatenate([[0], chosen, [0]]).astype(int)))
        rows.append([(float(start), float(end)) for start, end in edges.reshape(-1, 2)])
    path = band_path(
        rows,
        lambda row, side: (x.of(side * cell - around), UP.of(row * cell)),
        ease=0.4 * cell * min(x.unit, -UP.unit),
    )
    return tag("path", d=path, class_=style) if path else Markup()


def _axes(x: Scale, facing: float) -> Iterator[Markup]:
    for height in HEIGHTS:
        yield draw.line(LEFT, UP(height), RIGHT, UP(height), "axis" if not height else "grid")
    sides = [(way, float(turned(way - facing))) for way in range(0, 360, 15)]
    ticks = [
        f"M{short(x(side), 1)} {short(BOTTOM)}v{4 if way % 45 else 7}"
        for way, side in sides
        if x.low <= side <= x.high
    ]
    yield tag("path", d="".join(ticks), class_="axis")
    yield draw.line(x(0.0), TOP, x(0.0), BOTTOM, "grid")


def _compass(x: Scale, facing: float) -> Iterator[Word]:
    """Heights at the side, and the names of directions below the horizon."""
    for height in HEIGHTS:
        yield Word(LEFT - 6, UP(height) + 5, f"{height}°", "e q")
    for way in range(0, 360, 45):
        side = float(turned(way - facing))
        if LEFT + 8 < x(side) < RIGHT - 8:
            yield Word(x(side), BOTTOM + 26, azimuth_letters(way), "m b")


def _names(data: ReportData, year: WindowYear, x: Scale) -> list[Word]:
    """The words in the sky: its scales, what hides it, and paths where there is room."""
    names = [*_compass(x, year.window.azimuth)]
    for words in (*hidden_names(data, year.window, x), *_month_names(data, year, x)):
        free = (word for word in words if not any(word.hits(name) for name in names))
        names += islice(free, 1)
    return names


@lru_cache(maxsize=1)
def _month_days(place: Place, year: int) -> list[tuple[date, Floats, Floats]]:
    """The 21st of the months between the solstices, with the sun's azimuth and elevation."""
    observer = observer_of(place)
    days = []
    for month in _MONTHS:
        day = date(year, month, 21)
        slots = Calendar(day, day + timedelta(days=1), place.zone).slots
        sun = position_at(slots.ravel()[: SLOTS + 1], observer)
        days.append((day, sun.azimuth, sun.apparent_elevation))
    return days


def _months(data: ReportData, year: WindowYear, x: Scale) -> Iterator[Markup]:
    """The sun's paths on the 21st of months."""
    for _, azimuth, elevation in _month_days(data.site.place, data.calendar.first.year):
        lines = day_lines(azimuth - year.window.azimuth, elevation, x)
        path = "".join(relative_path(line, closed=False) for line in ease_lines(lines, _EASE))
        yield tag("path", d=path, class_="faint")


def _month_names(data: ReportData, year: WindowYear, x: Scale) -> Iterator[list[Word]]:
    """Places for the dates of midsummer, midwinter and the equinoxes, each at its path.

    Above the path, where hours are below it; the lowest path has its name below, if it stands high
    enough.
    """
    tops = list(_tops(data, year, x))
    for day, side, elevation in tops:
        lowest = len(tops) > 1 and elevation == min(height for *_, height in tops)
        above, below = max(UP(elevation) - _NAME_ABOVE, TOP + 12), UP(elevation) + _NAME_BELOW
        heights = [below, above] if lowest else [above, below]
        label = "21 Sep, Mar" if day.month == 9 else date_text(day)
        across = x(float(np.clip(side, x.low + 14, x.high - 14)))
        yield [
            Word(across, height, label, "m q halo full")
            for height in heights
            if height < BOTTOM - 4
        ]


def _tops(data: ReportData, year: WindowYear, x: Scale) -> Iterator[tuple[date, float, float]]:
    """Where the three paths are highest in the picture: to the right of straight out, and up."""
    for day, azimuth, elevation in _month_days(data.site.place, data.calendar.first.year):
        side = turned(azimuth - year.window.azimuth)
        seen = (elevation > 0) & (np.abs(side) < x.high - 6)
        if day.month in (6, 9, 12) and seen.any():
            top = int(np.argmax(np.where(seen, elevation, -90.0)))
            yield day, float(side[top]), float(elevation[top])


def hour_dots(data: ReportData, year: WindowYear, day: int, x: Scale) -> list[Markup]:
    """A dot at every full hour, filled where the glass is in sun, with the hour beside it: below
    it, or above it where a name stands below, if there is room at all.
    """
    drawn = []
    written = _names(data, year, x)
    for slot in range(0, SLOTS, 2):
        if (point := sun_point(data, year, day, slot, x)) is None:
            continue
        across, down = point
        places = ((across, down + HOUR_BELOW), (across, down - HOUR_ABOVE))
        dot = hour_dot(point, DOT, lit=year.lit[day, slot])
        drawn += [dot, *hour_word(slot // 2, places, written, WIDE_ROOM)]
    return drawn


def _alt(year: WindowYear, facing: float) -> str:
    plates, outside = 1.0 - year.mask.plates, 1.0 - year.mask.outside
    parts = [
        f"{percent(share)} {cause}"
        for share, cause in (
            (float(outside.mean()), "hidden by what stands around"),
            (float(plates.mean()), "by its own overhang, fins and reveal"),
        )
        if share >= 0.005
    ]
    return (
        f"The sky seen from {year.window.name}, looking {azimuth_words(facing)}, with the sun's "
        f"paths. Of the picture {' and '.join(parts) if parts else 'nothing is hidden'}."
    )


def _table(data: ReportData, year: WindowYear) -> Table:
    """The sun's position at full hours on the day shown."""
    day = data.start_day
    rows = tuple(
        (
            slot_text(slot),
            f"{data.sun.azimuth[day, slot]:.1f}",
            f"{data.sun.elevation[day, slot]:.1f}",
        )
        for slot in range(0, SLOTS, 2)
        if data.sun.elevation[day, slot] > 0
    )
    return Table(
        f"{year.window.name}: the sun out of doors on {date_text(data.calendar.days[day])}",
        ("time", "azimuth, °", "height, °"),
        rows,
    )
