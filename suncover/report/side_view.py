"""The window cut through its middle, seen from the side, to scale, with rays of the sun."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date

import numpy as np

from suncover.clearsky import clear_sky_dni
from suncover.exposure import observer_of
from suncover.facade.frame import window_axes
from suncover.report.calendar_days import SLOT_S, Calendar
from suncover.report.figure import (
    HALF,
    Figure,
    Key,
    Table,
    path_of,
    polygon,
    swatch,
    swatch_line,
    text,
)
from suncover.report.gather import ReportData
from suncover.report.markup import Markup, tag
from suncover.report.side_cut import (
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
from suncover.report.units import Units, length, length_text
from suncover.report.words import clock, date_text, slug
from suncover.site import Window
from suncover.sun import sun_directions

_CROWDED = 9.0  # degrees between two rays that leave no room for words
_RAY = 130.0  # length of a chosen ray out of doors, before all that is built, on paper


def side_view(data: ReportData, number: int) -> Figure:
    """The cut through the window of that number."""
    window = data.windows[number].window
    side = Side(window)
    name = f"{number + 1}-{slug(window.name)}-side"
    facing = window.azimuth
    day, slot = data.start_day, data.start_slot
    beam = beam_of(
        window,
        float(data.sun.azimuth[day, slot]) - facing,
        float(data.sun.elevation[day, slot]),
    )
    lit = data.windows[number].lit[day, slot]
    chosen = list(_chosen(data, window))
    body = [
        tag("path", d=beam_path(side, beam) if lit else "", class_="beam", data_part="beam"),
        *_building(side),
        *_chosen_rays(side, chosen),
        tag("path", d=sun_ray(side, beam), class_="sunline", data_part="ray"),
        tag(
            "text",
            angle_words(beam),
            x=12,
            y=HEIGHT - 12,
            class_="t sunt b halo",
            data_part="angle",
        ),
        *_measures(side, data.units),
    ]
    return Figure(
        name=name,
        title=f"{window.name} from the side, to scale",
        alt=_alt(window, chosen, data.units),
        width=HALF,
        height=HEIGHT,
        body=Markup("".join(body)),
        table=Table(
            f"{window.name}: the sun's profile angle when it is strongest on the open glass",
            ("day", "time", "profile angle, °", "in sun, % of the height"),
            tuple(
                (
                    date_text(when),
                    clock(at),
                    f"{profile(beam):.1f}",
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
    return f"rays at {profile(beam):.0f}°"


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
    floor = [side.paper((side.bounds[0], 0.0)), side.paper((-0.0 + side.at(0, back)[0], 0.0))]
    yield tag("path", d=path_of(floor), class_="floor")


def _measures(side: Side, units: Units) -> Iterator[Markup]:
    """The few lengths that the picture is about."""
    window = side.window
    x, y = side.paper(side.at(window.height / 2.0, window.reveal - side.thickness))
    yield text(x + 6, y + 4, length(window.height, units, "tspan"), "q halo")
    if window.overhang is not None and side.tip is not None:
        along, out = side.tip
        x, y = side.paper(side.at(along + 0.05, (out + window.reveal) / 2.0))
        yield text(x, y - 6, length(window.overhang.depth, units, "tspan"), "q m halo")
    if window.sill > 0.3 and window.tilt > 80:
        x, y = side.paper((side.at(0, window.reveal - side.thickness)[0], window.sill / 2.0))
        yield text(x + 6, y + 4, length(window.sill, units, "tspan"), "q halo")


def _chosen(data: ReportData, window: Window) -> Iterator[tuple[date, int, Beam]]:
    """The 21st of June, September and December: when the beam is strongest on the bare glass."""
    normal = window_axes(window.azimuth, window.tilt)[2]
    for month in (6, 9, 12):
        day = date(data.calendar.first.year, month, 21)
        slots = Calendar(day, day, data.calendar.zone).slots[0].astype(np.float64)
        observer = observer_of(data.site.place)
        ways = sun_directions(slots, observer)
        strength = np.maximum(normal @ ways, 0.0) * clear_sky_dni(slots, observer)
        best = int(np.argmax(strength))
        if strength[best] <= 0.0:
            continue
        east, north, up = ways[:, best]
        turned = float(np.degrees(np.arctan2(east, north))) - window.azimuth
        beam = beam_of(window, turned, float(np.degrees(np.arcsin(up))))
        if beam is not None:
            yield day, best * SLOT_S, beam


def _chosen_rays(side: Side, chosen: Sequence[tuple[date, int, Beam]]) -> Iterator[Markup]:
    """Rays past the upper limit of what is lit, each with its date along it.

    The steepest has its date above it and the others below; one with no room between two others
    has it within the room.
    """
    ranked = sorted(chosen, key=lambda one: -profile(one[2]))
    for rank, (day, seconds, beam) in enumerate(ranked):
        steeper = profile(ranked[rank - 1][2]) - profile(beam) if rank else 90.0
        crowded = rank == 1 and len(ranked) == 3 and steeper < _CROWDED and beam.enters
        points = [side.paper(point) for point in limit_ray(side, beam)]
        built = (
            0.0
            if side.tip is None
            else side.tip[1] * side.scale / np.cos(np.radians(profile(beam)))
        )
        points[0] = nearer(points[1], points[0], _RAY + float(built))
        yield tag("path", d=path_of(points), class_="dash")
        words = f"{date_text(day)} {clock(seconds)}"
        turn = profile(beam)
        if crowded:
            yield _along(words, points[-1], turn, "q e halo", -5.0)
        elif turn > 90:
            yield _along(words, points[0], turn - 180, "q e halo", -5.0)
        else:
            yield _along(words, points[0], turn, "q halo", 14.0 if rank else -5.0)


def _along(words: str, place: Point, turn: float, style: str, above: float) -> Markup:
    turned = f"translate({place[0]:.1f} {place[1]:.1f}) rotate({turn:.1f})"
    return tag("text", words, y=above, class_=f"t {style}", transform=turned)


def _alt(window: Window, chosen: list[tuple[date, int, Beam]], units: Units) -> str:
    roof = window.overhang
    over = "no overhang"
    if roof is not None:
        over = (
            f"an overhang {length_text(roof.depth, units)} deep, "
            f"{length_text(roof.gap, units)} above the glass"
        )
    rays = "; ".join(
        f"{date_text(day)} {clock(at)} at {profile(beam):.0f}°" for day, at, beam in chosen
    )
    return (
        f"Cut through {window.name}: glass {length_text(window.height, units)} high, its lower "
        f"edge {length_text(window.sill, units)} above the floor, {over}. "
        f"Rays when the sun is strongest: {rays or 'none reach the front'}."
    )
