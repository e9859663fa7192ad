"""The sky as one sees it out of a window: the sun's paths, and what hides them from the glass."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from suncover.facade.exposure import observer_of
from suncover.facade.frame import direction
from suncover.report.calendar_days import SLOTS, Calendar
from suncover.report.gather import ReportData
from suncover.report.pictures.bands import band_path, eased, relative
from suncover.report.pictures.figure import (
    WIDE,
    Figure,
    Key,
    Scale,
    Table,
    disc,
    line,
    path_of,
    swatch,
    swatch_line,
)
from suncover.report.pictures.labels import WIDE_ROOM, Word, hour_word
from suncover.report.pictures.markup import Markup, short, tag
from suncover.report.pictures.sky_names import hidden_names
from suncover.report.window_year import COARSE, FINE, SkyMask, WindowYear
from suncover.report.words import clock, date_text, percent, slug
from suncover.site.kinds.azimuth import azimuth_words
from suncover.site.model import Place
from suncover.sun.position import position_at

Floats = NDArray[np.float64]

LEFT, RIGHT, TOP, BOTTOM, HEIGHT = 52.0, 708.0, 16.0, 280.0, 318.0
UP = Scale(0.0, 90.0, BOTTOM, TOP)
"""Degrees above the horizon to heights in the picture."""
HEIGHTS = (0, 30, 60, 90)
STEPS = 3
"""Points of a path between two slots."""
DOT, DISC = 3.4, 8.0
"""Radius of the dots at full hours, and of the sun at the time shown."""
HOUR_BELOW, HOUR_ABOVE = 18.0, 9.0  # how far from its dot an hour stands
_EASE = 0.6  # as far as the paths of other days may be off
NAME_BELOW, NAME_ABOVE = 18.0, 10.0  # and from its path the name of that
# Shares hidden, and how all that is more hidden is drawn: each lies on the one before.
_OWN = ((0.1, "veil one"), (0.4, "veil two"), (0.7, "veil three"), (0.999, "veil"))
_OUTSIDE = ((0.05, "leaf"), (0.95, "land"))
_MONTHS = (6, 7, 8, 9, 10, 11, 12)  # from one solstice to the other; the rest look alike


def side_scale(window: WindowYear) -> Scale:
    """Degrees to the right of straight out to places in the picture."""
    return Scale(-window.mask.around, window.mask.around, LEFT, RIGHT)


def sky_view(data: ReportData, number: int) -> Figure:
    """The sky of the window of that number."""
    window = data.windows[number]
    x = side_scale(window)
    facing = window.window.azimuth
    day = data.start_day
    azimuth, elevation = data.sun.through(day)
    path = day_path(azimuth - facing, elevation, x)
    body = [
        *_mask(window.mask, x),
        *_axes(x, facing),
        *_months(data, window, x),
        tag("path", d=path, class_="sunline", data_part="path"),
        tag("g", [name.drawn for name in _names(data, window, x)], data_part="names"),
        tag("g", hour_dots(data, window, day, x), data_part="hours"),
        disc(sun_place(data, window, day, data.slot_of(number), x), DISC, "now"),
    ]
    return Figure(
        name=f"{number + 1}-{slug(window.window.name)}-sky",
        title=f"{window.window.name}: the sky as you see it looking out",
        alt=_alt(window, facing),
        width=WIDE,
        height=HEIGHT,
        body=Markup("".join(body)),
        table=_table(data, window),
        legend=(
            Key(swatch_line("sunline"), "the sun's path on the day shown, dots at full hours"),
            Key(swatch_line("faint"), "its paths on the 21st of other months"),
            Key(swatch("land"), "hidden by what stands around"),
            Key(swatch("veil"), "hidden by the window's own overhang, fins and reveal"),
            Key(swatch("veil one"), "hidden from a part of the glass, darker from more of it"),
            Key(swatch("leaf"), "behind leaves, or half hidden"),
        ),
        live=("sky", number),
    )


def _mask(mask: SkyMask, x: Scale) -> Iterator[Markup]:
    """What hides the sky: first the window's own parts, then what is around."""
    for limits, share, cell in ((_OWN, mask.own, FINE), (_OUTSIDE, mask.outside, COARSE)):
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
        yield line(LEFT, UP(height), RIGHT, UP(height), "axis" if not height else "grid")
    sides = [(way, float(_turned(np.array(way - facing)))) for way in range(0, 360, 15)]
    ticks = [
        f"M{short(x(side), 1)} {short(BOTTOM)}v{4 if way % 45 else 7}"
        for way, side in sides
        if x.low <= side <= x.high
    ]
    yield tag("path", d="".join(ticks), class_="axis")
    yield line(x(0.0), TOP, x(0.0), BOTTOM, "grid")


def _compass(x: Scale, facing: float) -> Iterator[Word]:
    """Heights at the side, and the names of directions below the horizon."""
    for height in HEIGHTS:
        yield Word(LEFT - 6, UP(height) + 5, f"{height}°", "e q")
    for way in range(0, 360, 45):
        side = float(_turned(np.array(way - facing)))
        if LEFT + 8 < x(side) < RIGHT - 8:
            yield Word(x(side), BOTTOM + 26, azimuth_letters(way), "m b")


def azimuth_letters(way: float) -> str:
    """One or two letters for a direction: `N`, `SE`."""
    return ("N", "NE", "E", "SE", "S", "SW", "W", "NW")[round(way / 45.0) % 8]


def _names(data: ReportData, window: WindowYear, x: Scale) -> list[Word]:
    """The words in the sky: its scales, what hides it, and paths where there is room."""
    names = [*_compass(x, window.window.azimuth)]
    for places in (*hidden_names(data, window, x), *_month_names(data, window, x)):
        free = (word for word in places if not any(word.hits(other) for other in names))
        names += [word for word in [next(free, None)] if word is not None]
    return names


@lru_cache(maxsize=1)
def _month_days(place: Place, year: int) -> list[tuple[date, Floats, Floats]]:
    """The 21st of the months between the solstices, with the sun's azimuth and elevation."""
    observer = observer_of(place)
    found = []
    for month in _MONTHS:
        day = date(year, month, 21)
        slots = Calendar(day, day + timedelta(days=1), place.zone).slots
        sun = position_at(slots.ravel()[: SLOTS + 1], observer)
        found.append((day, sun.azimuth, sun.apparent_elevation))
    return found


def _months(data: ReportData, window: WindowYear, x: Scale) -> Iterator[Markup]:
    """The sun's paths on the 21st of months."""
    for _, azimuth, elevation in _month_days(data.site.place, data.calendar.first.year):
        lines = day_lines(azimuth - window.window.azimuth, elevation, x)
        path = "".join(relative(line, closed=False) for line in eased(lines, _EASE))
        yield tag("path", d=path, class_="faint")


def _month_names(data: ReportData, window: WindowYear, x: Scale) -> Iterator[list[Word]]:
    """Which path is that of midsummer, of midwinter, and the one between: places for each name.

    Above the path, where hours are below it; the lowest path has its name below, if it stands high
    enough.
    """
    tops = list(_tops(data, window, x))
    for day, side, elevation in tops:
        lowest = len(tops) > 1 and elevation == min(height for *_, height in tops)
        above, below = max(UP(elevation) - NAME_ABOVE, TOP + 12), UP(elevation) + NAME_BELOW
        heights = [below, above] if lowest else [above, below]
        label = "21 Sep, Mar" if day.month == 9 else date_text(day)
        across = x(float(np.clip(side, x.low + 14, x.high - 14)))
        yield [
            Word(across, height, label, "m q halo full")
            for height in heights
            if height < BOTTOM - 4
        ]


def _tops(data: ReportData, window: WindowYear, x: Scale) -> Iterator[tuple[date, float, float]]:
    """Where the three paths are highest in the picture: to the right of straight out, and up."""
    for day, azimuth, elevation in _month_days(data.site.place, data.calendar.first.year):
        side = _turned(azimuth - window.window.azimuth)
        seen = (elevation > 0) & (np.abs(side) < x.high - 6)
        if day.month in (6, 9, 12) and seen.any():
            top = int(np.argmax(np.where(seen, elevation, -90.0)))
            yield day, float(side[top]), float(elevation[top])


def _turned(side: Floats) -> Floats:
    """Degrees turned into −180 to 180."""
    return np.asarray((side + 180.0) % 360.0 - 180.0)


def day_path(side: Floats, elevation: Floats, x: Scale) -> str:
    """The sun's path over a day from its places at the slots, (48,) or (49,) degrees each."""
    return "".join(path_of(line.tolist()) for line in day_lines(side, elevation, x))


def day_lines(side: Floats, elevation: Floats, x: Scale) -> list[Floats]:
    """The lines that this path is made of, (n, 2) in the picture each.

    Between two slots it runs along the great circle. What is out of the picture is left out.
    """
    ways = direction(elevation, side)
    share = np.arange(STEPS) / STEPS
    between = ways[:, :-1, None] * (1.0 - share) + ways[:, 1:, None] * share
    east, north, up = between.reshape(3, -1)
    turned = np.degrees(np.arctan2(east, north))
    height = np.degrees(np.arctan2(up, np.hypot(east, north)))
    seen = (height > 0.0) & (turned >= x.low) & (turned <= x.high)
    begins = np.concatenate([[True], np.abs(np.diff(turned)) > 180.0])
    begins[1:] |= seen[1:] & ~seen[:-1]
    points = np.stack([x.of(turned), UP.of(height)], axis=1)
    parts = np.split(np.arange(len(points)), np.flatnonzero(begins)[1:])
    return [points[part][seen[part]] for part in parts if seen[part].any()]


def hour_dots(data: ReportData, window: WindowYear, day: int, x: Scale) -> list[Markup]:
    """A dot at every full hour, filled where the glass is in sun, with the hour beside it: below
    it, or above it where a name stands below, if there is room at all.
    """
    drawn = []
    taken = _names(data, window, x)
    for slot in range(0, SLOTS, 2):
        place = sun_place(data, window, day, slot, x)
        if place is None:
            continue
        across, down = place
        lit = window.lit[day, slot]
        drawn.append(tag("circle", cx=across, cy=down, r=DOT, class_="dot" if lit else "ring"))
        places = ((across, down + HOUR_BELOW), (across, down - HOUR_ABOVE))
        if word := hour_word(slot // 2, places, taken, WIDE_ROOM):
            drawn.append(word.drawn)
    return drawn


def sun_place(
    data: ReportData, window: WindowYear, day: int, slot: int, x: Scale
) -> tuple[float, float] | None:
    """Where the sun is at a time; None when it is down or out of the picture."""
    height = float(data.sun.elevation[day, slot])
    side = float(_turned(data.sun.azimuth[day, slot] - window.window.azimuth))
    if height <= 0.0 or not x.low <= side <= x.high:
        return None
    return x(side), UP(height)


def _alt(window: WindowYear, facing: float) -> str:
    own, outside = 1.0 - window.mask.own, 1.0 - window.mask.outside
    parts = [
        f"{percent(share)} {what}"
        for share, what in (
            (float(outside.mean()), "hidden by what stands around"),
            (float(own.mean()), "by its own overhang, fins and reveal"),
        )
        if share >= 0.005
    ]
    return (
        f"The sky seen from {window.window.name}, looking {azimuth_words(facing)}, with the sun's "
        f"paths. Of the picture {' and '.join(parts) if parts else 'nothing is hidden'}."
    )


def _table(data: ReportData, window: WindowYear) -> Table:
    """The sun's place at full hours on the day shown."""
    day = data.start_day
    rows = tuple(
        (
            clock(slot * 1800),
            f"{data.sun.azimuth[day, slot]:.1f}",
            f"{data.sun.elevation[day, slot]:.1f}",
        )
        for slot in range(0, SLOTS, 2)
        if data.sun.elevation[day, slot] > 0
    )
    return Table(
        f"{window.window.name}: the sun out of doors on {date_text(data.calendar.days[day])}",
        ("time", "azimuth, °", "height, °"),
        rows,
    )
