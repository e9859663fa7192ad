"""When it is light out of doors: from civil dawn to civil dusk.

Civil twilight begins and ends when the sun's centre, as geometry has it, stands 6 degrees below the
horizon. No refraction is applied that far down (`suncover.sun.refraction`), so that the apparent
height is the geometric one there. Nothing here asks for a day's dawn or dusk: near the polar
circles a day may have none, or two. What is sought is when the sun's height crosses the line.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from suncover.base.instants import span_of
from suncover.facade.daylight import Daylight
from suncover.facade.scene import REFRACTION_STEP
from suncover.facade.search.crossings import lit_intervals
from suncover.sun.position import Observer

Floats = NDArray[np.float64]

CIVIL = -6.0  # degrees; civil twilight as almanacs define it


@dataclass(frozen=True)
class _SunAbove:
    """Light while the sun's centre stands above `height` degrees."""

    height: float

    def lit(self, sun: Daylight) -> NDArray[np.bool_]:
        return sun.elevation > self.height

    def settled(self, sun: Daylight) -> NDArray[np.int64]:
        # Directions nearer the horizon may be lifted by the air, those at the line are not.
        radius = sun.radius + REFRACTION_STEP
        above = sun.elevation - radius > self.height
        below = sun.elevation + radius < self.height
        return above.astype(np.int64) - below.astype(np.int64)


def light_intervals(observer: Observer, start: Any, end: Any) -> Floats:
    """When it is light between `start` and `end`: unix seconds, shape (n, 2), sorted, disjoint.

    `start` and `end` are unix seconds, aware datetimes, or datetime64.

    An interval begins at civil dawn and ends at civil dusk, but for those cut by `start` and `end`.
    Under the midnight sun one lasts for weeks; in the polar night there is none.
    """
    start, end = span_of(start, end)
    return lit_intervals(_SunAbove(CIVIL), observer, start, end)
