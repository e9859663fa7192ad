"""The window cut through its middle, seen from the side, to scale, with rays of the sun."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date

import numpy as np

from suncover.facade.exposure import observer_of
from suncover.facade.frame import window_axes
from suncover.report.calendar_days import SLOT_S, Calendar
from suncover.report.gather import ReportData
from suncover.report.pictures.figure import (
    HALF,
    Figure,
    Key,
    Table,
    path_of,
    polygon,
    scale_bar,
    swatch,
    swatch_line,
    text,
)
from suncover.report.pictures.labels import Floats, Slanted, Word, along, first_free
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
    nearer,
    profile,
    sun_ray,
)
from suncover.report.units import Units, length, length_text, measured
from suncover.report.words import clock, date_text, slug
from suncover.site.model import Window
from suncover.sun.clearsky import dni_at
from suncover.sun.position import directions_at

_RAY = 130.0  # length of a chosen ray out of doors, before all that is built, on paper


def side_view(data: ReportData, number: int) -> Figure:
    """The cut through the window of that number."""
    window = data.windows[number].window
    side = Side(window)
    name = f"{number + 1}-{slug(window.name)}-side"
    facing = window.azimuth
    day, slot = data.start_day, data.slot_of(number)
    beam = beam_of(
        window,
        float(data.sun.azimuth[day, slot]) - facing,
        float(data.sun.elevation[day, slot]),
    )
    lit = data.windows[number].lit[day, slot]
    chosen = list(_chosen(data, window))
    measures = list(_measures(side, data.units))
    angle = Word(12, HEIGHT - 12, "rays at 45°, over the house")
    body = [
        *moment_line(data, number),
        scale_bar(CORNER[0], CORNER[1] + 2, side.scale, data.units),
        tag("path", d=beam_path(side, beam) if lit else "", class_="beam", data_part="beam"),
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
            text(word.x, word.y, length(metres, data.units, "tspan"), word.style)
            for word, metres in measures
        ),
    ]
    return Figure(
        name=name,
        title=f"{window.name} from the side, to scale",
        alt=_alt(window, chosen),
        units=data.units,
        width=HALF,
        height=HEIGHT,
        body=tag("g", body, id=f"cut-{number + 1}"),
        table=Table(
            f"{window.name}: the sun's profile angle when it is strongest on the open glass",
            ("day", "time", "profile angle, °", "comes from", "in sun, % of the height"),
            tuple(
                (
                    date_text(when),
                    clock(at),
                    f"{min(profile(beam), 180.0 - profile(beam)):.1f}",
                    "the front" if profile(beam) <= 90.0 else "over the house",
                    f"{max(beam.high - beam.low, 0.0) / window.height * 100:.0f}",
                )
                for when, at, beam in chosen
            ),
        ),
        legend=(
            Key(swatch("beam"), "sun at the time shown"),
            Key(swatch_line("dash"), "when it is strongest on the open glass"),
        ),
        live=("side", number),
    )


def angle_words(beam: Beam | None) -> str:
    """What the picture says of the sun at the time shown."""
    if beam is None:
        return "sun not in front"
    return f"rays at {slope_words(beam)}"


def slope_words(beam: Beam) -> str:
    """How steep the rays are, and where they come from if that is not the front."""
    angle = profile(beam)
    return f"{angle:.0f}°" if angle <= 90.0 else f"{180.0 - angle:.0f}°, over the house"


def _building(side: Side) -> Iterator[Markup]:
    window = side.window
    face, back = window.reveal, window.reveal - side.thickness
    for low, high in ((side.bottom, 0.0), (window.height, side.top)):
        corners = [side.at(low, face), side.at(high, face), side.at(high, back), side.at(low, back)]
        yield polygon([side.paper(corner) for corner in corners], "wall")
    yield tag(
        "path",
        d=path_of([side.paper(side.at(0.0, 0.0)), side.paper(side.at(window.height, 0.0))]),
        class_="glass",
    )
    if window.overhang is not None and side.tip is not None:
        along, out = side.tip
        corners = [
            side.at(along, face),
            side.at(along, out),
            side.at(along + 0.05, out),
            side.at(along + 0.05, face),
        ]
        yield polygon([side.paper(corner) for corner in corners], "plate")
    # Under a roof, the room goes on before the window.
    end = side.at(0, back)[0] if window.tilt > 80 else side.bounds[1]
    floor = [side.paper((side.bounds[0], 0.0)), side.paper((end, 0.0))]
    yield tag("path", d=path_of(floor), class_="floor")


def _measures(side: Side, units: Units) -> Iterator[tuple[Word, float]]:
    """The few lengths that the picture is about, in metres, and where they stand."""
    window = side.window
    x, y = side.paper(side.at(window.height / 2.0, window.reveal - side.thickness))
    yield _measure(x + 6, y + 4, window.height, units, "q halo")
    if window.overhang is not None and side.tip is not None:
        along, out = side.tip
        x, y = side.paper(side.at(along + 0.05, (out + window.reveal) / 2.0))
        yield _measure(x, y - 6, window.overhang.depth, units, "q m halo")
    if window.sill > 0.3 and window.tilt > 80:
        x, y = side.paper((side.at(0, window.reveal - side.thickness)[0], window.sill / 2.0))
        yield _measure(x + 6, y + 4, window.sill, units, "q halo")


def _measure(x: float, y: float, metres: float, units: Units, style: str) -> tuple[Word, float]:
    return Word(x, y, length_text(metres, units), style), metres


def _chosen(data: ReportData, window: Window) -> Iterator[tuple[date, int, Beam]]:
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
            yield day, best * SLOT_S, beam


def _chosen_rays(
    side: Side, chosen: Sequence[tuple[date, int, Beam]], words: Sequence[Word]
) -> Iterator[Markup]:
    """Rays past the upper limit of what is lit, each with its date along it.

    The steepest and the flattest choose first where their dates stand, clear of other `words`.
    """
    ranked = sorted(chosen, key=lambda one: -profile(one[2]))
    rays = [_outlined(side, beam) for _, _, beam in ranked]
    yield from (tag("path", d=path_of(points), class_="dash") for points in rays)
    taken = [*(word.points for word in words), *_walls(side)]
    order = sorted(range(len(ranked)), key=lambda rank: rank not in (0, len(ranked) - 1))
    for rank in order:
        day, seconds, beam = ranked[rank]
        label = f"{date_text(day)} {clock(seconds)}"
        places = _places(label, rays[rank], profile(beam), above=rank == 0, enters=beam.enters)
        if found := first_free(places, taken, HALF, HEIGHT):
            taken.append(found.points)
            yield found.drawn


def _walls(side: Side) -> Iterator[Floats]:
    """Points of the wall's pieces, which no words should stand on."""
    window = side.window
    for out in (window.reveal, window.reveal - side.thickness):
        for low, high in ((side.bottom, 0.0), (window.height, side.top)):
            yield along(side.paper(side.at(low, out)), side.paper(side.at(high, out)))


def _outlined(side: Side, beam: Beam) -> list[Point]:
    """A chosen ray on paper: out of doors it is drawn a little beyond what is built."""
    points = [side.paper(point) for point in limit_ray(side, beam)]
    built = 0.0
    if side.tip is not None:
        built = side.tip[1] * side.scale / abs(float(np.cos(np.radians(profile(beam)))))
    points[0] = nearer(points[1], points[0], _RAY + built)
    return points


def _places(
    label: str, points: Sequence[Point], angle: float, *, above: bool, enters: bool
) -> Iterator[Slanted]:
    """Where a ray's date may stand: at its outer end, on one side or the other; in the room."""
    behind = angle > 90.0  # the ray falls to the left
    turn = angle - 180.0 if behind else angle
    over, under = -5.0, 14.0
    first, second = (over, under) if above or behind else (under, over)
    yield Slanted(label, points[0], turn, first, ends=behind)
    if enters:
        yield Slanted(label, points[-1], turn, over, ends=not behind)
    yield Slanted(label, points[0], turn, second, ends=behind)


def _alt(window: Window, chosen: list[tuple[date, int, Beam]]) -> str:
    roof = window.overhang
    over = "no overhang"
    if roof is not None:
        over = f"an overhang {measured(roof.depth)} deep, {measured(roof.gap)} above the glass"
    rays = "; ".join(
        f"{date_text(day)} {clock(at)} at {slope_words(beam)}" for day, at, beam in chosen
    )
    return (
        f"Cut through {window.name}: glass {measured(window.height)} high, its lower "
        f"edge {measured(window.sill)} above the floor, {over}. "
        f"Rays when the sun is strongest: {rays or 'none reach the front'}."
    )
