"""Where the sun and all else stand in the picture of the sky that one sees out of a window."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from suncover.facade.frame import direction
from suncover.report.gather import ReportData
from suncover.report.pictures import draw
from suncover.report.pictures.axes import LEFT, RIGHT
from suncover.report.pictures.figure import Scale
from suncover.report.window_year import WindowYear

Floats = NDArray[np.float64]

TOP, BOTTOM, HEIGHT = 16.0, 280.0, 318.0
UP = Scale(0.0, 90.0, BOTTOM, TOP)
"""Degrees above the horizon to heights in the picture."""
STEPS = 3
"""Points of a path between two slots."""


def side_scale(year: WindowYear) -> Scale:
    """Degrees to the right of straight out to where they are across the picture."""
    return Scale(-year.mask.around, year.mask.around, LEFT, RIGHT)


def turned(side: ArrayLike) -> Floats:
    """Degrees turned into −180 to 180."""
    return np.asarray((np.asarray(side) + 180.0) % 360.0 - 180.0)


def sun_side(data: ReportData, year: WindowYear, day: int, slot: int) -> float:
    """How far to the right of straight out the sun stands at a time, degrees from −180 to 180."""
    return float(turned(data.sun.azimuth[day, slot] - year.window.azimuth))


def sun_point(
    data: ReportData, year: WindowYear, day: int, slot: int, x: Scale
) -> tuple[float, float] | None:
    """Where the sun is in the picture at a time; None when it is down or out of the picture."""
    height = float(data.sun.elevation[day, slot])
    side = sun_side(data, year, day, slot)
    if height <= 0.0 or not x.low <= side <= x.high:
        return None
    return x(side), UP(height)


def day_path(side: Floats, elevation: Floats, x: Scale) -> str:
    """The sun's path over a day from its directions at the slots, (48,) or (49,) degrees each."""
    return "".join(draw.path_of(line.tolist()) for line in day_lines(side, elevation, x))


def day_lines(side: Floats, elevation: Floats, x: Scale) -> list[Floats]:
    """The lines that a day's path is made of, (n, 2) in the picture each.

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


def azimuth_letters(way: float) -> str:
    """One or two letters for a direction: `N`, `SE`."""
    return ("N", "NE", "E", "SE", "S", "SW", "W", "NW")[round(way / 45.0) % 8]
