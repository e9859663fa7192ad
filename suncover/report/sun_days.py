"""Where the sun is on the report's days."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from suncover.base.spell import union
from suncover.facade.exposure import observer_of, whole_seconds
from suncover.facade.scene import SkyScene
from suncover.facade.search.crossings import lit_intervals
from suncover.report.calendar_days import SLOTS, Calendar, Piece
from suncover.site.model import Site
from suncover.sun.position import position_at

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class SunDays:
    """Where the sun is on the report's days.

    `azimuth` and `elevation` (days, 48) are degrees at the calendar's slots, the elevation as the
    air bends it. `up` is when the middle of its disc stands above a level horizon.
    """

    azimuth: Floats
    elevation: Floats
    up: list[Piece]

    def through(self, day: int) -> tuple[Floats, Floats]:
        """Azimuth and elevation from a day's midnight to the next, (49,); without the last in the
        report's last day, whose next is not known here.
        """
        start = day * SLOTS
        chosen = slice(start, start + SLOTS + 1)
        return self.azimuth.ravel()[chosen], self.elevation.ravel()[chosen]


def sun_days(site: Site, calendar: Calendar) -> SunDays:
    """The sun at a site on a calendar's days."""
    position = position_at(calendar.slots, observer_of(site.place))
    return SunDays(position.azimuth, position.apparent_elevation, sun_up(site, calendar))


def sun_up(site: Site, calendar: Calendar) -> list[Piece]:
    """When the middle of the sun's disc stands above a level horizon."""
    span = calendar.bounds
    up = lit_intervals(SkyScene(gate=None), observer_of(site.place), span.start, span.end)
    return calendar.pieces(union(whole_seconds(up)))
