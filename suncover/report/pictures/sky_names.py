"""Names in the picture of the sky: everything that hides a part of it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from suncover.facade.yard.of_site import standpoint_of
from suncover.report.gather import ReportData
from suncover.report.pictures.figure import Scale
from suncover.report.pictures.labels import LETTER, Word
from suncover.report.pictures.sky_paths import UP, turned
from suncover.report.window_year import is_upright
from suncover.site.model import Window

Floats = NDArray[np.float64]

STYLE = "m q halo full"
_LEAST = 3.0  # degrees of height below which nothing is named
_EDGE = 4.0  # degrees of the picture's sides within which no name has its middle
_DOWN = 16.0  # between one place for a name and the next, on paper


def hidden_names(data: ReportData, window: Window, x: Scale) -> Iterator[list[Word]]:
    """For each thing that hides the sky, places for its name, the best first."""
    for name, side, height in _things(data, window, x):
        at = _within(x(side), name, x)
        middle = UP(height / 2.0)
        yield [Word(at, middle + shift, name, STYLE) for shift in (0.0, _DOWN, -_DOWN)]
    yield from _plates(window, x)


def _things(data: ReportData, window: Window, x: Scale) -> Iterator[tuple[str, float, float]]:
    """The name of each obstacle, tree and skyline in the picture, the middle of what is seen of it
    to the right of straight out, and how high it stands there, degrees.
    """
    standpoint = standpoint_of(window)
    sides = Sides(window.azimuth, x.low + _EDGE, x.high - _EDGE)
    if standpoint is not None:
        # From the middle of the glass, as the picture is an average over it.
        eye = standpoint.origin + window.height / 2.0 * standpoint.axes[1]
        for obstacle in data.site.obstacles:
            outline = np.array(obstacle.footprint) - eye[:2]
            yield from _seen(obstacle.name, outline, obstacle.top - eye[2], sides)
        for tree in data.site.trees:
            around = np.radians(np.arange(0.0, 360.0, 45.0))
            ring = np.stack([np.cos(around), np.sin(around)], axis=1) * tree.width / 2.0
            outline = np.array(tree.trunk) + ring - eye[:2]
            yield from _seen(tree.name, outline, tree.top - eye[2], sides)
    for name, line in (
        ("skyline", window.skyline),
        ("far horizon", data.site.place.horizon),
    ):
        yield from _highest(name, line, sides)


class Sides(NamedTuple):
    """The sides between which names stand, degrees to the right of where a window looks."""

    facing: float
    low: float
    high: float

    def of(self, azimuth: float) -> float:
        """A direction of the compass as a side, from -180 to 180."""
        return float(turned(azimuth - self.facing))


def _seen(
    name: str, outline: Floats, rise: float, sides: Sides
) -> Iterator[tuple[str, float, float]]:
    """A thing by its outline on the ground (n, 2) and its rise, both from the eye, metres."""
    ways = np.degrees(np.arctan2(outline[:, 0], outline[:, 1]))
    across = sides.of(ways[0]) + turned(ways - ways[0])
    low, high = max(across.min(), sides.low), min(across.max(), sides.high)
    height = float(np.degrees(np.arctan2(rise, np.hypot(*outline.T).mean())))
    if low <= high and height > _LEAST:
        yield name, float(low + high) / 2.0, height


def _highest(
    name: str, line: Sequence[tuple[float, float]] | None, sides: Sides
) -> Iterator[tuple[str, float, float]]:
    """Where a skyline is highest within the picture."""
    seen = [
        (elevation, sides.of(azimuth))
        for azimuth, elevation in line or ()
        if sides.low <= sides.of(azimuth) <= sides.high and elevation > _LEAST
    ]
    if seen:
        height, side = max(seen)
        yield name, side, height


def _plates(window: Window, x: Scale) -> Iterator[list[Word]]:
    """The window's own overhang and fins, which upright glass has above and beside it."""
    if not is_upright(window):
        return
    if window.overhang is not None:
        heights = [UP(85.0) + shift for shift in (0.0, _DOWN, 2 * _DOWN)]
        yield [
            Word(x(side), up, "overhang", STYLE) for up in heights for side in (0.0, -45.0, 45.0)
        ]
    for fin in window.fins:
        # What is left as seen from outdoors is on the right of one who looks out.
        edge = x(80.0 if fin.side == "left" else -80.0)
        places = [UP(height) for height in (45.0, 55.0, 35.0, 65.0, 25.0)]
        yield [Word(_within(edge, "fin", x), up, "fin", STYLE) for up in places]


def _within(at: float, name: str, x: Scale) -> float:
    """A middle for a name, so that all of it is in the picture."""
    half = LETTER * len(name) / 2.0
    return float(np.clip(at, x.start + half, x.end - half))
