"""Walls and windows to measure from: a point on the plan, and which way is right and out of it.

For a wall of azimuth ψ, right (seen from outdoors) is (−cos ψ, sin ψ) and out (sin ψ, cos ψ), east
and north.
"""

from __future__ import annotations

import math
from typing import NamedTuple

Point = tuple[float, float]
"""Metres east and north."""

EXACT = 4  # decimals of a metre: a tenth of a millimetre, far below what a tape shows


class Frame(NamedTuple):
    """A point on a wall's face and the way the wall faces, in degrees.

    `half` is the distance from there to either edge: half a window's width; of a wall's left end,
    0 to the left and its `length` to the right.
    """

    point: Point
    azimuth: float
    half: float = 0.0
    length: float | None = None

    def at(self, right: float, out: float = 0.0) -> Point:
        """The point so many metres to the right and straight out."""
        sine, cosine = _sine_cosine(self.azimuth)
        east, north = self.point
        return east - right * cosine + out * sine, north + right * sine + out * cosine

    def moved(self, right: float, out: float = 0.0) -> Frame:
        """The frame moved so many metres to the right and straight out."""
        return Frame(self.at(right, out), self.azimuth, self.half, self.length)

    def beyond(self, distance: float, direction: float) -> Point:
        """The point so many metres away in a direction (degrees from true north)."""
        sine, cosine = _sine_cosine(direction)
        return self.point[0] + distance * sine, self.point[1] + distance * cosine


def _sine_cosine(degrees: float) -> tuple[float, float]:
    """Sine and cosine; exact for quarter turns, which most houses have."""
    if degrees % 90 == 0:
        return ((0.0, 1.0), (1.0, 0.0), (0.0, -1.0), (-1.0, 0.0))[int(degrees // 90) % 4]
    angle = math.radians(degrees)
    return math.sin(angle), math.cos(angle)


def rounded(point: Point) -> list[float]:
    """A point as it goes into a table."""
    return [round(value, EXACT) + 0.0 for value in point]


def rectangle(near: Point, direction: float, width: float, depth: float) -> list[list[float]]:
    """The corners of a rectangle: the middle of its near side, the way on from there, its sizes."""
    side = Frame(near, direction)
    corners = ((-width / 2, 0.0), (width / 2, 0.0), (width / 2, depth), (-width / 2, depth))
    return [rounded(side.at(right, out)) for right, out in corners]
