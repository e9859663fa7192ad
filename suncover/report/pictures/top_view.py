"""The window from above, to scale: which way the sun comes, and where it falls on the floor."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from suncover.base.clock import date_text
from suncover.report.calendar_days import SLOTS, at_slot
from suncover.report.gather import ReportData
from suncover.report.pictures import draw
from suncover.report.pictures.figure import HALF, Figure, Key, Table, slug
from suncover.report.pictures.floor_plan import (
    ASIDE,
    DIAL,
    HEAD,
    LABELS,
    MARGIN,
    Point,
    Ring,
    Top,
    label_places,
)
from suncover.report.pictures.ink import level_of
from suncover.report.pictures.labels import Word, hour_dot, hour_word
from suncover.report.pictures.markup import Markup, as_markup, short, tag
from suncover.report.pictures.moment import moment_line
from suncover.report.pictures.sky_paths import azimuth_letters, sun_side, turned
from suncover.report.units import length_mark
from suncover.report.window_year import ROOM_DEPTH, WindowYear, is_upright
from suncover.report.words import slot_text

DOT, DISC = 4.0, 7.0
"""Radius of the dial's dots at full hours, and of the sun on it at the time shown."""
FOOT_OF_HOUR = 4.0
"""From the middle of an hour down to its foot."""
_THICK = 0.25
_ENDLESS = 50.0  # metres; what has no end runs out of the picture


def top_view(data: ReportData, number: int) -> Figure:
    """The window of that number, from above."""
    top = Top(data.windows[number])
    year, window = top.year, top.window
    day, slot = data.start_day, data.slot_of(number)
    name = f"{number + 1}-{slug(window.name)}-top"
    clip = f"{name}-room"
    edge = top.half_width
    room = [(-edge, 0.0), (edge, 0.0), (edge, top.depth), (-edge, top.depth)]
    patches = [
        tag("g", hour_patches(top, day), data_part="patches"),
        tag(
            "path",
            d=top.patch_path(year.patches.get((day, slot), [])),
            class_=f"now {_strength(year, day, slot)}",
            data_part="patch",
        ),
    ]
    body = [
        *moment_line(data, number),
        tag("defs", tag("clipPath", tag("path", d=top.path(room, closed=True)), id=clip)),
        tag("g", patches, clip_path=f"url(#{clip})", fill_rule="evenodd"),
        draw.text(MARGIN + 4, top.height - 8, "outdoors", "q halo"),
        draw.scale_bar(HALF - MARGIN, top.height - 6, top.scale, data.units),
        *_building(top),
        *_dial(top),
        tag("g", spot_marks(data, top, day, slot), data_part="spots"),
        tag("g", [name.drawn for name in _room_names(data, top)], data_part="room"),
        tag("g", patch_hours(data, top, day), data_part="names"),
        tag("path", d=sun_line(data, top, day, slot), class_="sunline", data_part="ray"),
        tag("g", dial_hours(data, top, day), data_part="hours"),
        draw.disc(dial_point(data, top, day, slot), DISC, "now"),
    ]
    spot = tag("path", d="M10 1l5 5l-5 5l-5 -5Z", class_="spot lit")
    return Figure(
        name=name,
        title=f"{window.name} from above, to scale",
        alt=_alt(data, year, day),
        units=data.units,
        width=HALF,
        height=top.height,
        body=as_markup(body),
        table=_table(data, year, day),
        legend=(
            Key(draw.swatch("now f6"), "sun on the floor at the time shown, by its strength"),
            Key(draw.swatch("patch f6"), "at the day's full hours"),
            *([Key(spot, "place in the sun")] if data.spots else []),
        ),
        live=("top", number),
    )


def _building(top: Top) -> Iterator[Markup]:
    """The glass and the wall that it is in, with overhang and fins; of a roof, the glass alone."""
    window = top.window
    half, edge = window.width / 2.0, top.half_width
    if not is_upright(window):
        run = window.height * float(np.cos(np.radians(window.tilt)))
        corners = [(-half, 0.0), (half, 0.0), (half, run), (-half, run)]
        yield tag("path", d=top.path(corners, closed=True), class_="glass")
        return
    back, face = max(_THICK - window.reveal, 0.08), -window.reveal
    for left, right in ((-edge, -half), (half, edge)):
        corners = [(left, back), (right, back), (right, face), (left, face)]
        yield tag("path", d=top.path(corners, closed=True), class_="wall")
    yield tag("path", d=top.path([(-half, 0), (half, 0)]), class_="glass")
    roof = window.overhang
    if roof is not None:
        left = max(-half - (_ENDLESS if roof.left is None else roof.left), -edge)
        right = min(half + (_ENDLESS if roof.right is None else roof.right), edge)
        lip = face - roof.depth
        points = [(left, face), (left, lip), (right, lip), (right, face)]
        yield tag("path", d=top.path(points), class_="dash")
    for fin in window.fins:
        across = -half - fin.gap if fin.side == "left" else half + fin.gap
        points = [(across, face), (across, face - fin.depth)]
        yield tag("path", d=top.path(points), class_="floor", stroke_width=4)


def _dial(top: Top) -> Iterator[Markup]:
    """A half circle out of doors, with the compass on it."""
    start, end = top.on_dial(90.0), top.on_dial(-90.0)
    arc = f"A{short(DIAL)} {short(DIAL)} 0 0 0"
    yield tag(
        "path",
        d=f"M{short(start[0], 1)} {short(start[1], 1)}{arc} {short(end[0], 1)} {short(end[1], 1)}",
        class_="grid",
    )
    for way in range(0, 360, 45):
        side = float(turned(way - top.window.azimuth))
        if abs(side) < 75:
            x, y = top.on_dial(side, -24.0)
            yield draw.text(x, y + 4, azimuth_letters(way), "m q b")


def spot_marks(data: ReportData, top: Top, day: int, slot: int) -> list[Markup]:
    """Places in the room that the site file names, filled while they are in sun themselves: they
    may lie higher than the floor, on which the patches are drawn.
    """
    marks = []
    for _, year in data.spots_of(top.window.name):
        x, y = top.paper((year.spot.offset, year.spot.distance))
        style = "spot lit" if at_slot(year.sun, day, slot) else "spot"
        marks.append(tag("path", d=f"M{x:.1f} {y - 6:.1f}l6 6l-6 6l-6 -6Z", class_=style))
    return marks


def _room_names(data: ReportData, top: Top) -> Iterator[Word]:
    """The name of the room, and the names of the places in it."""
    yield Word(MARGIN + 4, HEAD + 16, "room", "q")
    for _, year in data.spots_of(top.window.name):
        x, y = top.paper((year.spot.offset, year.spot.distance))
        yield Word(x + 9, y + 4, year.spot.name, "halo")


def _hour_rings(year: WindowYear, day: int) -> dict[int, list[Ring]]:
    """The patches at the full hours of a day that have any, by slot."""
    rings = {slot: year.patches.get((day, slot), []) for slot in range(0, SLOTS, 2)}
    return {slot: rings[slot] for slot in rings if rings[slot]}


def hour_patches(top: Top, day: int) -> list[Markup]:
    """The patches at the full hours of a day."""
    return [
        tag("path", d=top.patch_path(rings), class_=f"patch {_strength(top.year, day, slot)}")
        for slot, rings in _hour_rings(top.year, day).items()
    ]


def _strength(year: WindowYear, day: int, slot: int) -> str:
    """The colour of a patch: that of the strength of the sun on the glass."""
    return f"f{level_of(float(year.slot_power[day, slot]))}"


def patch_hours(data: ReportData, top: Top, day: int) -> list[Markup]:
    """The hours, each within its own patch, where it lies under the fewest others."""
    drawn = []
    written = list(_room_names(data, top))
    patches = _hour_rings(top.year, day)
    for slot, rings in patches.items():
        hiding = [ring for hour in patches if hour != slot for ring in patches[hour]]
        points = [
            top.paper((right, inward))
            for inward, right in label_places(rings, hiding)
            if inward <= top.depth and abs(right) < top.half_width - ASIDE
        ]
        drawn += hour_word(slot // 2, [(x, y + FOOT_OF_HOUR) for x, y in points], written)
    return drawn


def dial_hours(data: ReportData, top: Top, day: int) -> list[Markup]:
    """A dot on the dial for each full hour with the sun in front, filled if it is on the glass."""
    drawn: list[Markup] = []
    written: list[Word] = []
    for slot in range(0, SLOTS, 2):
        side = _side_in_front(data, top, day, slot)
        if side is None:
            continue
        x, y = top.on_dial(side, LABELS)
        drawn.append(hour_dot(top.on_dial(side), DOT, lit=top.year.lit[day, slot]))
        drawn += hour_word(slot // 2, [(x, y + FOOT_OF_HOUR)], written)
    return drawn


def _side_in_front(data: ReportData, top: Top, day: int, slot: int) -> float | None:
    """Degrees of the sun to the right of straight out; None when it is down or behind the wall."""
    side = sun_side(data, top.year, day, slot)
    return side if data.sun.elevation[day, slot] > 0.0 and abs(side) < 90.0 else None


def sun_line(data: ReportData, top: Top, day: int, slot: int) -> str:
    """From the sun's point on the dial to the middle of the glass."""
    sun = dial_point(data, top, day, slot)
    return "" if sun is None else draw.path_of([sun, top.paper((0.0, 0.0))])


def dial_point(data: ReportData, top: Top, day: int, slot: int) -> Point | None:
    """Where on the dial the sun is at a time; None when it is down or behind the wall."""
    side = _side_in_front(data, top, day, slot)
    return None if side is None else top.on_dial(side)


def _alt(data: ReportData, year: WindowYear, day: int) -> str:
    words = (
        f"{year.window.name} from above, with the sun's directions on "
        f"{date_text(data.calendar.days[day])}"
    )
    reaches = [reach for slot in range(SLOTS) if (reach := year.reach(day, slot)) is not None]
    if not reaches:
        return f"{words}: no sun on the floor."
    return f"{words}: sun on the floor up to {length_mark(max(reaches))} into the room."


def _table(data: ReportData, year: WindowYear, day: int) -> Table:
    rows = []
    for slot in range(SLOTS):
        rings = year.patches.get((day, slot), [])
        if rings and data.calendar.shows(day, slot):
            inward, right = np.concatenate(rings).T
            ends = (inward.max(), right.min(), right.max())
            rows.append((slot_text(slot), *(length_mark(end) for end in ends)))
    return Table(
        f"{year.window.name}: sun on the floor on {date_text(data.calendar.days[day])}, "
        f"as far as {length_mark(ROOM_DEPTH)} into the room",
        ("time", "reaches in", "from (right is +)", "to"),
        tuple(rows),
    )
