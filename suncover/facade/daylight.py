"""The sun at a set of instants, in the forms that shading elements ask for."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any, ClassVar

import numpy as np
from numpy.typing import NDArray

from suncover.base.errors import RequestError
from suncover.base.instants import Instants, instants_of
from suncover.base.shown import short_repr
from suncover.sun.clearsky import height_for_beam
from suncover.sun.position import DAY, Observer, directions_at

if TYPE_CHECKING:
    from suncover.base.instants import Indexed, Times

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]


@dataclass(frozen=True)
class Daylight:
    """Apparent sun directions at n instants.

    `seconds` (n,) unix seconds UTC; `direction` (3, n) unit vectors east, north, up. `radius` (n,)
    or 0, in degrees: each direction stands for all that the sun takes within this angle of it;
    `days`, for how many whole days before and after. `asked` is how a caller gave the instants, and
    how scenes answer for them.
    """

    __repr__ = short_repr

    seconds: Floats
    direction: Floats
    radius: float = 0.0
    days: int = 0
    asked: Instants | None = None

    @classmethod
    def at(cls, times: Times | Indexed, observer: Observer) -> Daylight:
        """The sun at `times` for `observer`.

        `times` in any form and shape: a DatetimeIndex, datetime64, aware datetimes, unix seconds.
        The fields here are arrays (n,); what scenes answer has that shape, or that index.

        Raises
        ------
        RequestError
            When times have no zone or are not of 1900 to 2199.
        """
        instants = instants_of(times)
        seconds = instants.seconds.ravel()
        return cls(seconds, directions_at(seconds, observer), asked=instants)

    @classmethod
    def of(cls, seconds: Floats, observer: Observer) -> Daylight:
        """The sun at unix `seconds` (n,) that need no checking."""
        return cls(seconds, directions_at(seconds, observer))

    def answer(self, values: NDArray[Any], name: str) -> Any:
        """What a scene says (n,) in the form in which the instants were given."""
        return values if self.asked is None else self.asked.series(values, name)

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

    def check(self, sun: Daylight) -> None:
        """Refuse instants that a caller gave and that are not of the days that it knows."""
        if sun.asked is None or sun.seconds.size == 0:
            return
        index = self._index(np.array([sun.seconds.min(), sun.seconds.max()]))
        if index[0] < 0 or index[1] >= self._count:
            first, last = (
                np.datetime64(int(second), "s").item().date() for second in (self.start, self.end)
            )
            raise RequestError(
                f"this scene is made for {first} to {last} (UTC), and instants beyond are asked; "
                "make one for all of them: its `start` and `end`"
            )

    @property
    def _count(self) -> int:
        return int(np.floor(self.end / DAY)) + self.MARGIN - self._first + 1

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
