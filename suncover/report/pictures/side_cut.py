"""The cut through a window at right angles to its wall: points, rays, and the paper they are on.

Out of doors is to the left. Points are (out, up): metres level out of the glass's lower edge, and
above the room's floor. The rays are those of the sun as it looks in this plane: they rise by the
profile angle.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from suncover.facade.frame import direction, shadow_slopes, window_axes
from suncover.report.pictures import draw
from suncover.report.pictures.figure import HALF
from suncover.report.window_year import is_upright
from suncover.site.model import Window

Point = tuple[float, float]

HEAD = 22.0
"""Height of the line of words above the cut."""
HEIGHT = 330.0 + HEAD
# Metres that are drawn of the room, out of doors before all that is built, and below the floor.
_INSIDE, _OUTSIDE, _BELOW = 3.0, 1.7, 0.35
_ROOF = 0.9  # metres of a sloping roof drawn beyond the glass
_THICK = 0.25  # of a wall, at the least
_MARGIN = 8.0
_SHAPE = (HEIGHT - HEAD - 2 * _MARGIN) / (HALF - 2 * _MARGIN)
SHORT = 0.05
"""Metres by which rays end below the picture's upper edge."""
CORNER = HALF - _MARGIN, HEIGHT - _MARGIN
"""Where the cut's inner and lower corner is in the picture."""


@dataclass(frozen=True)
class Side:
    """The geometry of the cut and how it is laid on paper."""

    window: Window

    @cached_property
    def slope(self) -> Point:
        """The direction up the glass."""
        tilt = np.radians(self.window.tilt)
        return -float(np.cos(tilt)), float(np.sin(tilt))

    @cached_property
    def normal(self) -> Point:
        """The direction out of the glass."""
        tilt = np.radians(self.window.tilt)
        return float(np.sin(tilt)), float(np.cos(tilt))

    def at(self, along: float, out: float) -> Point:
        """A point so far up the glass and out of it."""
        return (
            along * self.slope[0] + out * self.normal[0],
            self.window.sill + along * self.slope[1] + out * self.normal[1],
        )

    @property
    def thickness(self) -> float:
        """How thick the wall is, from its face inward, metres."""
        return max(_THICK, self.window.reveal + 0.08)

    @property
    def top(self) -> float:
        """Where the wall drawn above the glass ends, metres up the glass."""
        roof = self.window.overhang
        above = 0.55 if roof is None else roof.gap + 0.35
        return self.window.height + (above if is_upright(self.window) else _ROOF)

    @property
    def bottom(self) -> float:
        """Where the wall below the glass ends, metres up the glass (negative)."""
        return -(self.window.sill + _BELOW) if is_upright(self.window) else -_ROOF

    @cached_property
    def tip(self) -> Point | None:
        """The outer edge of the overhang: metres up the glass and out of it."""
        roof = self.window.overhang
        if roof is None:
            return None
        return self.window.height + roof.gap, self.window.reveal + roof.depth

    @cached_property
    def bounds(self) -> tuple[float, float, float, float]:
        """What is drawn: least and greatest out, least and greatest up."""
        corners = [
            self.at(along, out)
            for along in (self.bottom, 0.0, self.window.height, self.top)
            for out in (self.window.reveal - self.thickness, self.window.reveal)
        ]
        if self.tip:
            corners.append(self.at(*self.tip))
        outs, ups = zip(*corners, strict=True)
        left, right, high = min(*outs, -_INSIDE), max(outs) + _OUTSIDE, max(*ups, 2.2) + 0.2
        return left, right, -_BELOW, max(high, -_BELOW + (right - left) * _SHAPE)

    @cached_property
    def scale(self) -> float:
        """Picture units to a metre."""
        left, right, low, high = self.bounds
        width, height = HALF - 2 * _MARGIN, HEIGHT - HEAD - 2 * _MARGIN
        return min(width / (right - left), height / (high - low))

    def paper(self, point: Point) -> Point:
        """A point of the cut in the picture."""
        out, up = point
        return (
            CORNER[0] - (out - self.bounds[0]) * self.scale,
            CORNER[1] - (up - self.bounds[2]) * self.scale,
        )

    def path(self, points: Iterable[Point], *, closed: bool = False) -> str:
        """The path through points of the cut."""
        return draw.path_of([self.paper(point) for point in points], closed=closed)


@dataclass(frozen=True)
class Beam:
    """The sun in the plane of the cut: its direction (out, up), and the lit part of the glass."""

    out: float
    up: float
    low: float
    high: float

    @property
    def enters(self) -> bool:
        """Whether any of the glass is lit."""
        return self.high > self.low

    @property
    def profile_angle(self) -> float:
        """The angle of the rays above the level, degrees: over 90 they come over the house."""
        return float(np.degrees(np.arctan2(self.up, self.out)))


def beam_of(window: Window, side: float, elevation: float) -> Beam | None:
    """The beam with the sun at degrees to the side of straight out and above the horizon.

    As far as reveal and overhang go, which for the cut have no ends. None where the sun is down or
    behind the glass.
    """
    way = direction(elevation, window.azimuth + side)
    slopes = shadow_slopes(way, window_axes(window.azimuth, window.tilt))
    if elevation <= 0.0 or not slopes.in_front:
        return None
    q = float(slopes.q)
    high = min(window.height, window.height - q * window.reveal)
    if window.overhang is not None:
        tip = window.height + window.overhang.gap
        high = min(high, tip - q * (window.reveal + window.overhang.depth))
    low = max(0.0, -q * window.reveal)
    angle = np.radians(elevation)
    return Beam(float(np.cos(angle) * np.cos(np.radians(side))), float(np.sin(angle)), low, high)


def limit_ray(side: Side, beam: Beam) -> list[Point]:
    """The ray that ends where the lit part of the glass does: on into the room if any is lit, or
    else to the wall's face.
    """
    if beam.enters:
        return ray(side, beam, beam.high)
    speed = beam.out * side.normal[0] + beam.up * side.normal[1]
    step = side.window.reveal / speed
    deep = side.at(beam.high, 0.0)
    face = deep[0] + step * beam.out, deep[1] + step * beam.up
    left, right, low, high = side.bounds
    if face[1] < low:  # the ray meets the ground before the wall
        lift = (low - face[1]) / beam.up
        face = face[0] + lift * beam.out, low
    return [_until(face, (beam.out, beam.up), (left, right, low, high - SHORT)), face]


def ray(side: Side, beam: Beam, along: float) -> list[Point]:
    """A ray through the glass so far up: from the picture's edge to the floor or the other edge."""
    start = side.at(along, 0.0)
    left, right, low, high = side.bounds
    outward = _until(start, (beam.out, beam.up), (left, right, low, high - SHORT))
    inward = _until(start, (-beam.out, -beam.up), (left, right, 0.0, high))
    return [outward, start, inward]


def _until(start: Point, way: Point, box: tuple[float, float, float, float]) -> Point:
    """Where a line from a point within a box leaves it."""
    left, right, low, high = box
    steps = []
    for at, speed, ends in ((start[0], way[0], (left, right)), (start[1], way[1], (low, high))):
        if abs(speed) > 1e-9:
            steps.append(max((ends[speed > 0] - at) / speed, 0.0))
    step = min(steps, default=0.0)
    return start[0] + step * way[0], start[1] + step * way[1]


def beam_path(side: Side, beam: Beam | None) -> str:
    """The band of rays that enters; empty if none does."""
    if beam is None or not beam.enters:
        return ""
    return side.path(beam_band(side, beam), closed=True)


def beam_band(side: Side, beam: Beam) -> list[Point]:
    """The outline of all that is lit between the uppermost ray that enters and the lowest.

    Where one of the two leaves the picture through its side and the other through floor or top, the
    corner between these belongs to it.
    """
    upper, lower = ray(side, beam, beam.high), ray(side, beam, beam.low)
    return [
        *upper,
        *_corner(upper[-1], lower[-1], side),
        *reversed(lower),
        *_corner(lower[0], upper[0], side),
    ]


def _corner(first: Point, second: Point, side: Side) -> list[Point]:
    left, right, _, _ = side.bounds
    at_side = [point for point in (first, second) if min(point[0] - left, right - point[0]) < 1e-9]
    level = [point for point in (first, second) if point not in at_side]
    return [(at_side[0][0], level[0][1])] if at_side and level else []


def sun_ray(side: Side, beam: Beam | None) -> str:
    """The ray that ends on the glass at the upper limit of what is lit, or on the wall where that
    limit would be.
    """
    if beam is None:
        return ""
    return side.path(limit_ray(side, beam)[:2])


def point_toward(near: Point, far: Point, most: float) -> Point:
    """The point on the way from `near` to `far`, no farther than `most`."""
    distance = float(np.hypot(far[0] - near[0], far[1] - near[1]))
    share = min(1.0, most / distance) if distance else 0.0
    return near[0] + share * (far[0] - near[0]), near[1] + share * (far[1] - near[1])
