"""What hides the sky near the horizon, as a line of elevations around the compass.

A skyline is linear between its points in azimuth and elevation, and runs round through north from
the last point to the first. Two points of one azimuth make a step. The sun must stand above it.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

# Width in degrees of the pieces whose lowest and highest points are known beforehand.
PIECE = 0.5
PIECES = int(360 / PIECE)


@dataclass(frozen=True)
class Skyline:
    """A skyline from `points`: pairs of azimuth (0 to 360, clockwise from north) and elevation.

    Degrees. At least one point; one point is a level line all round. The order of the points does
    not matter but for two of one azimuth, which stand in the order of travel, clockwise.
    """

    points: tuple[tuple[float, float], ...]

    def __post_init__(self) -> None:
        if not self.points:
            raise ValueError("a skyline needs at least one point")

    @cached_property
    def _corners(self) -> tuple[Floats, Floats]:
        """Azimuths and elevations, ascending; the last stands before north, the first after it."""
        # North as 360 is where the round ends, as 0 where it begins: of both, 360 comes first.
        ordered = sorted(self.points, key=lambda point: (point[0] % 360.0, point[0] < 360.0))
        azimuths = [a % 360.0 for a, _ in ordered]
        elevations = [e for _, e in ordered]
        return (
            np.array([azimuths[-1] - 360.0, *azimuths, azimuths[0] + 360.0]),
            np.array([elevations[-1], *elevations, elevations[0]]),
        )

    def elevation(self, azimuth: ArrayLike) -> Floats:
        """Elevation of the skyline in degrees at `azimuth` in degrees, any shape."""
        around = np.asarray(azimuth, dtype=np.float64) % 360.0
        return np.asarray(np.interp(around, *self._corners))

    def bounds(self, azimuth: ArrayLike, half_width: ArrayLike) -> tuple[Floats, Floats]:
        """Lowest and highest elevation in degrees within `half_width` of `azimuth`, never too
        narrow.
        """
        lowest, highest = self._ranges
        around = np.asarray(azimuth, dtype=np.float64) % 360.0
        reach = np.minimum(np.asarray(half_width, dtype=np.float64), 180.0)
        begin = np.floor((around - reach) / PIECE).astype(np.intp) + PIECES
        end = np.floor((around + reach) / PIECE).astype(np.intp) + PIECES + 1
        level = np.floor(np.log2(np.maximum(end - begin, 1))).astype(np.intp)
        end_block = end - (1 << level)
        low = np.minimum(lowest[level, begin], lowest[level, end_block])
        high = np.maximum(highest[level, begin], highest[level, end_block])
        return low, high

    @cached_property
    def _ranges(self) -> tuple[Floats, Floats]:
        """Lowest and highest of 2^k neighbouring pieces, three times round: shape (levels, 3 *
        PIECES).
        """
        edges = self.elevation(np.arange(PIECES) * PIECE)
        after = np.roll(edges, -1)
        low, high = np.minimum(edges, after), np.maximum(edges, after)
        azimuths, elevations = (values[1:-1] for values in self._corners)
        pieces = np.floor(azimuths / PIECE).astype(np.intp)
        # A corner belongs to the piece it stands in and, standing on an edge, to the one before as
        # well.
        for piece in (pieces, (np.ceil(azimuths / PIECE).astype(np.intp) - 1) % PIECES):
            np.minimum.at(low, piece % PIECES, elevations)
            np.maximum.at(high, piece % PIECES, elevations)
        lows, highs = [np.tile(low, 3)], [np.tile(high, 3)]
        for level in range(int(np.log2(2 * PIECES)) + 1):
            step = 1 << level
            lows.append(np.minimum(lows[-1], np.roll(lows[-1], -step)))
            highs.append(np.maximum(highs[-1], np.roll(highs[-1], -step)))
        return np.stack(lows), np.stack(highs)
