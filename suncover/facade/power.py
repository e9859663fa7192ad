"""How strongly the sun shines on a whole glass.

The power on the glass is the clear sky's direct normal irradiance, times the cosine of incidence,
times the share of the beam that reaches the glass past its plates, reveal and surroundings, crowns
counted by what they let through: W/m², averaged over the whole glass. It turns with the sun, has
kinks where shadows meet edges, and jumps where leaves or a UTC day's clear sky change.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from suncover.facade.daylight import Daylight
from suncover.sun.clearsky import beam_at_height
from suncover.sun.position import DAY, Observer

Floats = NDArray[np.float64]


def full_power(axes: Floats, sun: Daylight, observer: Observer) -> Floats:
    """The power (n,) of the sun on glass with `axes` and nothing before it, W/m²."""
    ahead = np.maximum(np.tensordot(axes[2], sun.direction, axes=1), 0.0)
    power = np.zeros(sun.seconds.shape)
    index = np.flatnonzero((ahead > 0.0) & (sun.elevation > 0.0))
    part = sun.take(index)
    days = np.floor(part.seconds / DAY).astype(np.int64)
    power[index] = ahead[index] * beam_at_height(days, part.elevation, observer)
    return power
