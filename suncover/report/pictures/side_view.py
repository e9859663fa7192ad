"""The window cut through its middle, seen from the side, to scale, with rays of the sun."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date
from typing import NamedTuple

import numpy as np

from suncover.base.clock import date_text
from suncover.export.text.words import wall_text
from suncover.facade.exposure import observer_of
from suncover.facade.frame import window_axes
from suncover.report.calendar_days import SLOT_S, Calendar
from suncover.report.gather import ReportData
from suncover.report.pictures import draw
from suncover.report.pictures.figure import HALF, Figure, Key, Table, slug
from suncover.report.pictures.labels import Floats, Slanted, Word, first_free, points_along
from suncover.report.pictures.markup import Markup, tag
from suncover.report.pictures.moment import line_words, moment_line
from suncover.report.pictures.side_cut import (
    CORNER,
    HEIGHT,
    Beam,
    Point,
    Side,
    beam_of,
    beam_path,
    limit_ray,
    point_toward,
    sun_ray,
)
from suncover.report.units import Units, length, length_mark, length_text
from suncover.report.window_year import is_upright
from suncover.site.model import Window
from suncover.sun.clearsky import dni_at
from suncover.sun.position import directions_at

_PLATE = 0.05  # metres that an overhang is thick, as drawn
_RAY = 130.0  # length of a chosen ray out of doors, before all that is built, on paper


class Strongest(NamedTuple):
    """When the beam is strongest on the open glass on a day: seconds since 0:00, and the beam."""

    day: date
    seconds: int
    beam: Beam

    @property
    def words(self) -> str:
        """`21 Jun 13:30`."""
        return f"{date_text(self.day)} {wall_text(self.seconds)}"


def side_view(data: ReportData, number: int) -> Figure:
    """The cut through the window of that number."""
    year = data.windows[number]
    window, side = year.window, Side(year.window)
    day, slot = data.start_day, data.slot_of(number)
    turned = float(data.sun.azimuth[day, slot]) - window.azimuth
    beam = beam_of(window, turned, float(data.sun.elevation[day, slot]))
    chosen = list(_strongest(data, window))
    measures = list(_measures(side, data.units))
    angle = Word(12, HEIGHT - 12, "rays at 45°, over the house")
    body = [
        *moment_line(data, number),
        draw.scale_bar(CORNER[0], CORNER[1] + 2, side.scale, data.units),
        tag(
            "path",
            d=beam_path(side, beam) if year.lit[day, slot] else "",
            class_="beam",
            data_part="beam",
        ),
        *_building(side),
        *_chosen_rays(side, chosen, [angle, *line_words(), *(word for word, _ in measures)]),
        tag("path", d=sun_ray(side, beam), class_="sunline", data_part="ray"),
        tag(
            "text",
            angle_words(beam),
            x=angle.x,
            y=angle.y,
            class_="t sunt b halo",
            data_part="angle",
        ),
        *(
            draw.text(word.x, word.y, length(metres, data.units, "tspan"), word.style)
            for word, metres in measures
        ),
    ]
    return Figure(
        name=f"{number + 1}-{slug(window.name)}-side",
        title=f"{window.name} from the side, to scale",
        alt=_alt(window, chosen),
        units=data.units,
        width=HALF,
        height=HEIGHT,
        body=tag("g", body, id=f"cut-{number + 1}"),
        table=_table(window, chosen),
        legend=(
            Key(draw.swatch("beam"), "sun at the time shown"),
            Key(draw.swatch_line("dash"), "when it is strongest on the open glass"),
        ),
        live=("side", number),
    )


def _table(window: Window, chosen: Sequence[Strongest]) -> Table:
    rows = []
    for day, seconds, beam in chosen:
        angle = beam.profile_angle
        rows.append(
            (
                date_text(day),
                wall_text(seconds),
                f"{min(angle, 180.0 - angle):.1f}",
                "the front" if angle <= 90.0 else "over the house",
                f"{max(beam.high - beam.low, 0.0) / window.height * 100:.0f}",
            )
        )
    return Table(
        f"{window.name}: the sun's profile angle when it is strongest on the open glass",
        ("day", "time", "profile angle, °", "comes from", "in sun, % of the height"),
        tuple(rows),
    )


def angle_words(beam: Beam | None) -> str:
    """What the picture says of the sun at the time shown."""
    return "sun not in front" if beam is None else f"rays at {slope_words(beam)}"


def slope_words(beam: Beam) -> str:
    """How steep the rays are, and where they come from if that is not the front."""
    angle = beam.profile_angle
    return f"{angle:.0f}°" if angle <= 90.0 else f"{180.0 - angle:.0f}°, over the house"


def _building(side: Side) -> Iterator[Markup]:
    window = side.window
    face, back = window.reveal, window.reveal - side.thickness
    for low, high in ((side.bottom, 0.0), (window.height, side.top)):
        corners = [side.at(low, face), side.at(high, face), side.at(high, back), side.at(low, back)]
        yield tag("path", d=side.path(corners, closed=True), class_="wall")
    glass = [side.at(0.0, 0.0), side.at(window.height, 0.0)]
    yield tag("path", d=side.path(glass), class_="glass")
    if side.tip is not None:
        up, out = side.tip
        corners = [side.at(up, face), side.at(up, out), side.at(up + _PLATE, out)]
        corners.append(side.at(up + _PLATE, face))
        yield tag("path", d=side.path(corners, closed=True), class_="plate")
    # Under a roof, the room goes on before the window.
    end = side.at(0, back)[0] if is_upright(window) else side.bounds[1]
    yield tag("path", d=side.path([(side.bounds[0], 0.0), (end, 0.0)]), class_="floor")


def _measures(side: Side, units: Units) -> Iterator[tuple[Word, float]]:
    """The few lengths that the picture is about, in metres, and where they stand."""
    window = side.window

    def measure(x: float, y: float, metres: float, style: str) -> tuple[Word, float]:
        return Word(x, y, length_text(metres, units), style), metres

    x, y = side.paper(side.at(window.height / 2.0, window.reveal - side.thickness))
    yield measure(x + 6, y + 4, window.height, "q halo")
    if window.overhang is not None and side.tip is not None:
        up, out = side.tip
        x, y = side.paper(side.at(up + _PLATE, (out + window.reveal) / 2.0))
        yield measure(x, y - 6, window.overhang.depth, "q m halo")
    if window.sill > 0.3 and is_upright(window):
        x, y = side.paper((side.at(0, window.reveal - side.thickness)[0], window.sill / 2.0))
        yield measure(x + 6, y + 4, window.sill, "q halo")


def _strongest(data: ReportData, window: Window) -> Iterator[Strongest]:
    """The 21st of June, September and December: when the beam is strongest on the bare glass."""
    normal = window_axes(window.azimuth, window.tilt)[2]
    for month in (6, 9, 12):
        day = date(data.calendar.first.year, month, 21)
        slots = Calendar(day, day, data.calendar.zone).slots[0].astype(np.float64)
        observer = observer_of(data.site.place)
        ways = directions_at(slots, observer)
        strength = np.maximum(normal @ ways, 0.0) * dni_at(slots, observer)
        best = int(np.argmax(strength))
        if strength[best] <= 0.0:
            continue
        east, north, up = ways[:, best]
        turned = float(np.degrees(np.arctan2(east, north))) - window.azimuth
        beam = beam_of(window, turned, float(np.degrees(np.arcsin(up))))
        if beam is not None:
            yield Strongest(day, best * SLOT_S, beam)


def _chosen_rays(
    side: Side, chosen: Sequence[Strongest], words: Sequence[Word]
) -> Iterator[Markup]:
    """Rays past the upper limit of what is lit, each with its date along it.

    The steepest and the flattest choose first where their dates stand, clear of other `words`.
    """
    ranked = sorted(chosen, key=lambda ray: -ray.beam.profile_angle)
    rays = [_outlined(side, ray.beam) for ray in ranked]
    yield from (tag("path", d=draw.path_of(points), class_="dash") for points in rays)
    points_used = [*(word.points for word in words), *_walls(side)]
    order = sorted(range(len(ranked)), key=lambda rank: rank not in (0, len(ranked) - 1))
    for rank in order:
        places = _places(ranked[rank], rays[rank], above=rank == 0)
        if label := first_free(places, points_used, HALF, HEIGHT):
            points_used.append(label.points)
            yield label.drawn


def _walls(side: Side) -> Iterator[Floats]:
    """Points of the wall's pieces, which no words should stand on."""
    window = side.window
    for out in (window.reveal, window.reveal - side.thickness):
        for low, high in ((side.bottom, 0.0), (window.height, side.top)):
            yield points_along(side.paper(side.at(low, out)), side.paper(side.at(high, out)))


def _outlined(side: Side, beam: Beam) -> list[Point]:
    """A chosen ray on paper: out of doors it is drawn a little beyond what is built."""
    points = [side.paper(point) for point in limit_ray(side, beam)]
    built = 0.0
    if side.tip is not None:
        built = side.tip[1] * side.scale / abs(float(np.cos(np.radians(beam.profile_angle))))
    points[0] = point_toward(points[1], points[0], _RAY + built)
    return points


def _places(ray: Strongest, points: Sequence[Point], *, above: bool) -> Iterator[Slanted]:
    """Where a ray's date may stand: at its outer end, on one side or the other; in the room."""
    angle = ray.beam.profile_angle
    behind = angle > 90.0  # the ray falls to the left
    turn = angle - 180.0 if behind else angle
    over, under = -5.0, 14.0
    first, second = (over, under) if above or behind else (under, over)
    yield Slanted(ray.words, points[0], turn, first, ends=behind)
    if ray.beam.enters:
        yield Slanted(ray.words, points[-1], turn, over, ends=not behind)
    yield Slanted(ray.words, points[0], turn, second, ends=behind)


def _alt(window: Window, chosen: Sequence[Strongest]) -> str:
    roof = window.overhang
    over = "no overhang"
    if roof is not None:
        depth, gap = length_mark(roof.depth), length_mark(roof.gap)
        over = f"an overhang {depth} deep, {gap} above the glass"
    rays = "; ".join(f"{ray.words} at {slope_words(ray.beam)}" for ray in chosen)
    return (
        f"Cut through {window.name}: glass {length_mark(window.height)} high, its lower "
        f"edge {length_mark(window.sill)} above the floor, {over}. "
        f"Rays when the sun is strongest: {rays or 'none reach the front'}."
    )
