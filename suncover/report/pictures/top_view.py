"""The window from above, to scale: which way the sun comes, and where it falls on the floor.

The room is at the top, out of doors at the bottom, so that left and right are as seen from
outdoors. Points are (right, in): metres to the right of the middle of the glass, and level into the
room from its lower edge.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from suncover.report.calendar_days import SLOTS, at_slot
from suncover.report.gather import ReportData
from suncover.report.pictures.figure import (
    HALF,
    Figure,
    Key,
    Table,
    disc,
    path_of,
    polygon,
    scale_bar,
    swatch,
    text,
)
from suncover.report.pictures.ink import level_of
from suncover.report.pictures.labels import Word, hour_word
from suncover.report.pictures.markup import Markup, short, tag
from suncover.report.pictures.moment import moment_line
from suncover.report.pictures.sky_view import azimuth_letters
from suncover.report.units import measured
from suncover.report.window_year import ROOM_DEPTH, ROOM_SIDE, WindowYear
from suncover.report.words import clock, date_text, slug

Point = tuple[float, float]
Ring = NDArray[np.float64]

DIAL, DOT, DISC = 104.0, 4.0, 7.0
"""Radius on paper of the dial of hours out of doors, of its dots, and of the sun on it."""
LABELS = 18.0
"""Hours stand so far outside the dial."""
FOOT_OF_HOUR = 4.0
"""From the middle of an hour down to its foot."""
SHALLOW, FARTHEST, WITHIN, ASIDE = 0.3, 0.02, 0.8, 0.15
"""Where a patch's hour stands: none in a patch less deep than the first, metres; else near its
points less than the second from the farthest, by the third's share of the way from its middle; not
nearer to the picture's side than the fourth.
"""
_MARGIN = 6.0
_HEAD = 24.0  # above the room, for a line of words
_DEEP = 4.5  # metres of the room drawn, at the least
_THICK = 0.25
_ENDLESS = 50.0  # metres; what has no end runs out of the picture


@dataclass(frozen=True)
class Top:
    """How the view is laid on paper."""

    window: WindowYear

    @cached_property
    def half_width(self) -> float:
        """Metres drawn to either side of the middle of the glass."""
        return min(max(self.window.window.width / 2.0 + 1.6, 2.4), ROOM_SIDE)

    @cached_property
    def depth(self) -> float:
        """Metres of the room that are drawn: as deep as the sun falls, within limits."""
        return float(np.clip(self.window.deepest, _DEEP, ROOM_DEPTH))

    @cached_property
    def scale(self) -> float:
        """Picture units to a metre."""
        return (HALF - 2 * _MARGIN) / (2.0 * self.half_width)

    @cached_property
    def foot(self) -> float:
        """Height in the picture of the glass's lower edge."""
        return _HEAD + self.depth * self.scale

    @property
    def height(self) -> float:
        """Of the picture."""
        return self.foot + max(DIAL + LABELS + 14.0, self._built * self.scale + 10.0)

    @property
    def _built(self) -> float:
        """How far out something is built, metres."""
        window = self.window.window
        depths = [fin.depth for fin in window.fins]
        if window.overhang is not None:
            depths.append(window.overhang.depth)
        return window.reveal + max(depths, default=0.0)

    def paper(self, point: Point) -> Point:
        """A point's place in the picture."""
        right, inward = point
        return HALF / 2.0 + right * self.scale, self.foot - inward * self.scale

    def on_dial(self, side: float, beyond: float = 0.0) -> Point:
        """A place on the dial, `side` degrees to the right as one looks out."""
        turn = np.radians(side)
        radius = DIAL + beyond
        # Seen from outdoors, what is to the right of one looking out is to the left.
        return HALF / 2.0 - radius * float(np.sin(turn)), self.foot + radius * float(np.cos(turn))


def top_view(data: ReportData, number: int) -> Figure:
    """The window of that number, from above."""
    year = data.windows[number]
    window, top = year.window, Top(year)
    day, slot = data.start_day, data.slot_of(number)
    facing = window.azimuth
    name = f"{number + 1}-{slug(window.name)}-top"
    clip = f"{name}-room"
    patches = [
        tag("g", hour_patches(top, year, day), data_part="patches"),
        tag(
            "path",
            d=patch_path(top, year.patches.get((day, slot), [])),
            class_=f"now {_strength(year, day, slot)}",
            data_part="patch",
        ),
    ]
    body = [
        *moment_line(data, number),
        tag("defs", tag("clipPath", tag("path", d=_room(top)), id=clip)),
        tag("g", patches, clip_path=f"url(#{clip})", fill_rule="evenodd"),
        text(_MARGIN + 4, top.height - 8, "outdoors", "q halo"),
        scale_bar(HALF - _MARGIN, top.height - 6, top.scale, data.units),
        *_building(top),
        *_dial(top, facing),
        tag("g", spot_marks(data, top, day, slot), data_part="spots"),
        tag("g", [name.drawn for name in _room_names(data, top)], data_part="room"),
        tag("g", patch_hours(top, data, year, day), data_part="names"),
        tag("path", d=sun_line(top, data, year, day, slot), class_="sunline", data_part="ray"),
        tag("g", dial_hours(top, data, year, day), data_part="hours"),
        disc(dial_place(top, data, year, day, slot), DISC, "now"),
    ]
    return Figure(
        name=name,
        title=f"{window.name} from above, to scale",
        alt=_alt(data, year, day),
        units=data.units,
        width=HALF,
        height=top.height,
        body=Markup("".join(body)),
        table=_table(data, year, day),
        legend=(
            Key(swatch("now f6"), "sun on the floor at the time shown, by its strength"),
            Key(swatch("patch f6"), "at the day's full hours"),
            *(
                [Key(tag("path", d="M10 1l5 5l-5 5l-5 -5Z", class_="spot lit"), "place in the sun")]
                if data.spots
                else []
            ),
        ),
        live=("top", number),
    )


def _room(top: Top) -> str:
    edge = top.half_width
    corners = [(-edge, 0.0), (edge, 0.0), (edge, top.depth), (-edge, top.depth)]
    return path_of([top.paper(corner) for corner in corners], closed=True)


def _building(top: Top) -> Iterator[Markup]:
    window = top.window.window
    half, edge = window.width / 2.0, top.half_width
    if window.tilt > 80:
        back, face = max(_THICK - window.reveal, 0.08), -window.reveal
        for left, right in ((-edge, -half), (half, edge)):
            corners = [(left, back), (right, back), (right, face), (left, face)]
            yield polygon([top.paper(corner) for corner in corners], "wall")
        yield tag("path", d=path_of([top.paper((-half, 0)), top.paper((half, 0))]), class_="glass")
    else:
        run = window.height * float(np.cos(np.radians(window.tilt)))
        corners = [(-half, 0.0), (half, 0.0), (half, run), (-half, run)]
        yield tag(
            "path",
            d=path_of([top.paper(corner) for corner in corners], closed=True),
            class_="glass",
        )
    roof = window.overhang
    if roof is not None and window.tilt > 80:
        left = -half - (_ENDLESS if roof.left is None else roof.left)
        right = half + (_ENDLESS if roof.right is None else roof.right)
        face, lip = -window.reveal, -window.reveal - roof.depth
        left, right = max(left, -edge), min(right, edge)
        points = [(left, face), (left, lip), (right, lip), (right, face)]
        yield tag("path", d=path_of([top.paper(point) for point in points]), class_="dash")
    for fin in window.fins if window.tilt > 80 else ():
        out = half + fin.gap
        across = -out if fin.side == "left" else out
        start = top.paper((across, -window.reveal))
        end = top.paper((across, -window.reveal - fin.depth))
        yield tag("path", d=path_of([start, end]), class_="floor", stroke_width=4)


def _dial(top: Top, facing: float) -> Iterator[Markup]:
    """A half circle out of doors, with the compass on it."""
    start, end = top.on_dial(90.0), top.on_dial(-90.0)
    arc = f"A{short(DIAL)} {short(DIAL)} 0 0 0"
    yield tag(
        "path",
        d=f"M{short(start[0], 1)} {short(start[1], 1)}{arc} {short(end[0], 1)} {short(end[1], 1)}",
        class_="grid",
    )
    for way in range(0, 360, 45):
        side = (way - facing + 180.0) % 360.0 - 180.0
        if abs(side) < 75:
            x, y = top.on_dial(side, -24.0)
            yield text(x, y + 4, azimuth_letters(way), "m q b")


def spot_marks(data: ReportData, top: Top, day: int, slot: int) -> list[Markup]:
    """Places in the room that the site file names, filled while they are in sun themselves: they
    may lie higher than the floor, on which the patches are drawn.
    """
    marks = []
    for _, year in data.spots_of(top.window.window.name):
        x, y = top.paper((year.spot.offset, year.spot.distance))
        style = "spot lit" if at_slot(year.sun, day, slot) else "spot"
        marks.append(tag("path", d=f"M{x:.1f} {y - 6:.1f}l6 6l-6 6l-6 -6Z", class_=style))
    return marks


def _room_names(data: ReportData, top: Top) -> Iterator[Word]:
    """The room's name and those of its places."""
    yield Word(_MARGIN + 4, _HEAD + 16, "room", "q")
    for _, year in data.spots_of(top.window.window.name):
        x, y = top.paper((year.spot.offset, year.spot.distance))
        yield Word(x + 9, y + 4, year.spot.name, "halo")


def patch_path(top: Top, rings: Sequence[Ring]) -> str:
    """Outlines of a patch of sun on the floor."""
    return "".join(
        path_of([top.paper((right, inward)) for inward, right in ring.tolist()], closed=True)
        for ring in rings
    )


def hour_patches(top: Top, year: WindowYear, day: int) -> list[Markup]:
    """The patches at the full hours of a day."""
    hours = {slot: year.patches.get((day, slot), []) for slot in range(0, SLOTS, 2)}
    return [
        tag("path", d=patch_path(top, rings), class_=f"patch {_strength(year, day, slot)}")
        for slot, rings in hours.items()
        if rings
    ]


def _strength(year: WindowYear, day: int, slot: int) -> str:
    """The colour of a patch: that of the strength of the sun on the glass."""
    return f"f{level_of(float(year.power[day, slot * 3]))}"


def patch_hours(top: Top, data: ReportData, year: WindowYear, day: int) -> list[Markup]:
    """The hours, each within its own patch, where it lies under the fewest others."""
    drawn = []
    taken = list(_room_names(data, top))
    outlines = {slot: year.patches.get((day, slot), []) for slot in range(0, SLOTS, 2)}
    for slot, rings in outlines.items():
        others = [ring for other in outlines if other != slot for ring in outlines[other]]
        places = [
            top.paper((right, inward))
            for inward, right in label_places(rings, others)
            if inward <= top.depth and abs(right) < top.half_width - ASIDE
        ]
        if word := hour_word(slot // 2, [(x, y + FOOT_OF_HOUR) for x, y in places], taken):
            drawn.append(word.drawn)
    return drawn


def label_places(rings: Sequence[Ring], others: Sequence[Ring]) -> list[Point]:
    """Where a patch's hour may stand, (inward, right): first where the fewest of `others` lie."""
    if not rings:
        return []
    ring = max(rings, key=lambda ring: float(ring[:, 0].max()))
    middle, deep = ring.mean(axis=0), ring[:, 0].max()
    if deep < SHALLOW:
        return []
    far = ring[ring[:, 0] > deep - FARTHEST]
    ends = [far.mean(axis=0), far[far[:, 1].argmin()], far[far[:, 1].argmax()]]
    places = [WITHIN * end + (1.0 - WITHIN) * middle for end in ends]
    places.append(middle)
    hidden = [sum(_holds(other, place) for other in others) for place in places]
    order = sorted(range(len(places)), key=hidden.__getitem__)
    return [(float(places[n][0]), float(places[n][1])) for n in order]


def _holds(ring: Ring, place: NDArray[np.float64]) -> bool:
    """Whether a place lies within a ring: a line from it crosses the ring at odd times."""
    start, end = ring, np.roll(ring, -1, axis=0)
    spans = (start[:, 1] > place[1]) != (end[:, 1] > place[1])
    with np.errstate(divide="ignore", invalid="ignore"):
        share = (place[1] - start[:, 1]) / (end[:, 1] - start[:, 1])
        inward = start[:, 0] + share * (end[:, 0] - start[:, 0])
    return bool(np.count_nonzero(spans & (inward > place[0])) % 2)


def dial_hours(top: Top, data: ReportData, year: WindowYear, day: int) -> list[Markup]:
    """A dot on the dial for each full hour with the sun in front, filled if it is on the glass."""
    drawn: list[Markup] = []
    taken: list[Word] = []
    for slot in range(0, SLOTS, 2):
        side = _side(data, year, day, slot)
        if side is None:
            continue
        x, y = top.on_dial(side)
        style = "dot" if year.lit[day, slot] else "ring"
        drawn.append(tag("circle", cx=x, cy=y, r=DOT, class_=style))
        x, y = top.on_dial(side, LABELS)
        if word := hour_word(slot // 2, [(x, y + FOOT_OF_HOUR)], taken):
            drawn.append(word.drawn)
    return drawn


def _side(data: ReportData, year: WindowYear, day: int, slot: int) -> float | None:
    """Degrees of the sun to the right of straight out; None when it is down or behind the wall."""
    side = (float(data.sun.azimuth[day, slot]) - year.window.azimuth + 180.0) % 360.0 - 180.0
    return side if data.sun.elevation[day, slot] > 0.0 and abs(side) < 90.0 else None


def sun_line(top: Top, data: ReportData, year: WindowYear, day: int, slot: int) -> str:
    """From the sun's place on the dial to the middle of the glass."""
    side = _side(data, year, day, slot)
    if side is None:
        return ""
    return path_of([top.on_dial(side), top.paper((0.0, 0.0))])


def dial_place(top: Top, data: ReportData, year: WindowYear, day: int, slot: int) -> Point | None:
    """Where on the dial the sun is at a time; None when it is down or behind the wall."""
    side = _side(data, year, day, slot)
    return None if side is None else top.on_dial(side)


def _alt(data: ReportData, year: WindowYear, day: int) -> str:
    name = year.window.name
    when = date_text(data.calendar.days[day])
    deepest = [
        float(ring[:, 0].max())
        for (its, _), rings in year.patches.items()
        if its == day
        for ring in rings
    ]
    if not deepest:
        return f"{name} from above, with the sun's directions on {when}: no sun on the floor."
    return (
        f"{name} from above, with the sun's directions on {when}: sun on the floor up to "
        f"{measured(max(deepest))} into the room."
    )


def _table(data: ReportData, year: WindowYear, day: int) -> Table:
    rows = []
    for slot in range(SLOTS):
        rings = year.patches.get((day, slot), [])
        if rings and data.calendar.shows(day, slot):
            deep = max(float(ring[:, 0].max()) for ring in rings)
            left = min(float(ring[:, 1].min()) for ring in rings)
            right = max(float(ring[:, 1].max()) for ring in rings)
            cells = (measured(value) for value in (deep, left, right))
            rows.append((clock(slot * 1800), *cells))
    return Table(
        f"{year.window.name}: sun on the floor on {date_text(data.calendar.days[day])}, "
        f"as far as {measured(ROOM_DEPTH)} into the room",
        ("time", "reaches in", "from (right is +)", "to"),
        tuple(rows),
    )
