"""The sun at a set of instants, in the forms that shading elements ask for."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import ClassVar

import numpy as np
from numpy.typing import NDArray

from suncover.sun.clearsky import height_for_beam
from suncover.sun.position import DAY, Observer, check_instants, sun_directions

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]


@dataclass(frozen=True)
class Daylight:
    """Apparent sun directions at n instants.

    `seconds` (n,) unix seconds UTC; `direction` (3, n) unit vectors east, north, up. `radius` (n,)
    or 0, in degrees: each direction stands for all that the sun takes within this angle of it;
    `days`, for how many whole days before and after.
    """

    seconds: Floats
    direction: Floats
    radius: float = 0.0
    days: int = 0

    @classmethod
    def at(cls, seconds: Floats, observer: Observer) -> Daylight:
        """The sun at `seconds` (n,) for `observer`."""
        return cls(seconds, sun_directions(seconds, observer))

    def take(self, keep: NDArray[np.intp] | Bools) -> Daylight:
        """Only the instants that `keep` picks."""
        return Daylight(self.seconds[keep], self.direction[:, keep], self.radius, self.days)

    @cached_property
    def elevation(self) -> Floats:
        """Apparent elevation in degrees."""
        return np.asarray(np.degrees(np.arcsin(np.clip(self.direction[2], -1.0, 1.0))))

    @cached_property
    def azimuth(self) -> Floats:
        """Azimuth in degrees, clockwise from north."""
        return np.asarray(np.degrees(np.arctan2(self.direction[0], self.direction[1])) % 360.0)


@dataclass(frozen=True)
class BeamGate:
    """The height at which the clear sky's beam reaches `beam` (W/m²), day by day.

    Knows the days (UTC) from that of `start` to that of `end` (unix seconds), and a few to either
    side.
    """

    start: float
    end: float
    observer: Observer
    beam: float

    MARGIN: ClassVar[int] = 16

    def __post_init__(self) -> None:
        check_instants(self.start, self.end)

    def height(self, seconds: Floats) -> Floats:
        """Lowest apparent elevation in degrees that counts as sun at `seconds`."""
        return self._heights[self._index(seconds)]

    def bounds(self, seconds: Floats, days: int) -> tuple[Floats, Floats]:
        """Lowest and highest such elevation within `days` of `seconds`, and a day more."""
        reach = days + 1
        index = self._index(seconds)
        around = index[:, None] + np.arange(-reach, reach + 1)[None, :]
        heights = self._heights[np.clip(around, 0, len(self._heights) - 1)]
        return heights.min(axis=1), heights.max(axis=1)

    @cached_property
    def least(self) -> float:
        """The lowest such elevation of all days that it knows."""
        return float(self._heights.min())

    @cached_property
    def _first(self) -> int:
        return int(np.floor(self.start / DAY)) - self.MARGIN

    @cached_property
    def _heights(self) -> Floats:
        last = int(np.floor(self.end / DAY)) + self.MARGIN
        return height_for_beam(np.arange(self._first, last + 1), self.observer, self.beam)

    def _index(self, seconds: Floats) -> NDArray[np.intp]:
        return np.floor(seconds / DAY).astype(np.intp) - self._first
