"""Sun that was seen by night, which nobody can have seen."""

from __future__ import annotations

from datetime import datetime

import numpy as np

from suncover.facade.exposure import observer_of
from suncover.site.model import Place
from suncover.site.sightings import Sighting
from suncover.sun.position import position_at

SLIP_S = 900.0  # so far from daylight, a time is no longer just a little off
BY_NIGHT = ("not-yet-on", "already-off")  # what is true by night as well


def night_fault(sighting: Sighting, place: Place) -> str | None:
    """Why the sun cannot have been on a window then; None if it was up, or was not seen."""
    if sighting.seen in BY_NIGHT:
        return None
    around = sighting.time + SLIP_S * np.array([0.0, -1.0, 1.0])
    heights = position_at(around, observer_of(place)).apparent_elevation
    if heights.max() > 0.0:
        return None
    time_text = datetime.fromtimestamp(sighting.time, place.zone).isoformat()
    return (
        f"at {time_text} the sun was {-heights[0]:.0f}° below the horizon, so it was on no window"
    )
