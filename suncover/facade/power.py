"""How strongly the sun shines on a whole glass, and when that reaches what counts.

The power on the glass is the clear sky's direct normal irradiance, times the cosine of incidence,
times the share of the beam that reaches the glass past its plates, reveal and surroundings, crowns
counted by what they let through: W/m², averaged over the whole glass. It turns with the sun, has
kinks where shadows meet edges, and jumps where leaves or a UTC day's clear sky change.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from suncover.facade.daylight import Daylight
from suncover.facade.frame import shadow_slopes
from suncover.facade.plates import least_sunlit, most_sunlit
from suncover.facade.scene import WindowScene, patch_radius
from suncover.facade.shadows import Patch
from suncover.sun.clearsky import beam_at_height, beam_bounds
from suncover.sun.position import DAY, Observer

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

# Power that is rounding, W/m²: bounds have to be past the threshold by as much.
ROUNDING = 1e-6


@dataclass(frozen=True)
class PowerScene:
    """A window with nothing around it, lit while the power on its glass reaches `least`, W/m².

    Neither the horizon, skylines nor the need's beam are asked: it is for times at which they let
    the sun pass.
    """

    window: WindowScene
    observer: Observer
    least: float

    def lit(self, sun: Daylight) -> Bools:
        """Whether the power is reached at each instant."""
        beam = self._full(sun)
        state = beam >= self.least
        if self.window.bare:
            return state
        index = np.flatnonzero(state)
        state[index] = beam[index] * self.window.share_past(sun.take(index)) >= self.least
        return state

    def settled(self, sun: Daylight) -> Ints:
        """1 reached, -1 not reached, 0 not known, for the whole patch about each direction."""
        low, high = self._full_bounds(sun)
        state = np.where(high < self.least - ROUNDING, -1, 0)
        window = self.window
        if window.bare:
            state[low >= self.least + ROUNDING] = 1
            return state
        index = np.flatnonzero(state == 0)
        slopes = shadow_slopes(sun.direction[:, index], window.axes)
        patch = Patch.around(
            slopes.p, slopes.q, slopes.cos_incidence, patch_radius(sun.take(index))
        )
        finite = np.flatnonzero(np.isfinite(patch.p))
        index, slopes, patch = index[finite], slopes.take(finite), patch.take(finite)
        least_share = least_sunlit(slopes.p, slopes.q, window.glass, patch)
        most_share = most_sunlit(slopes.p, slopes.q, window.glass, patch)
        sure = low[index] * least_share >= self.least + ROUNDING
        never = high[index] * most_share < self.least - ROUNDING
        state[index] = np.where(sure, 1, np.where(never, -1, 0))
        return state

    def _full(self, sun: Daylight) -> Floats:
        """The power that the sun would have on the whole glass with nothing before it."""
        return full_power(self.window.axes, sun, self.observer)

    def _full_bounds(self, sun: Daylight) -> tuple[Floats, Floats]:
        """The least and the most of that in each patch."""
        radius = patch_radius(sun)
        turn = np.radians(radius)
        days = np.floor(sun.seconds / DAY).astype(np.int64)
        weakest, strongest = beam_bounds(
            days - sun.days - 1,
            days + sun.days + 1,
            np.maximum(sun.elevation - radius, 0.0),
            np.minimum(sun.elevation + radius, 90.0),
            self.observer,
        )
        ahead = np.tensordot(self.window.axes[2], sun.direction, axes=1)
        angle = np.arccos(np.clip(ahead, -1.0, 1.0))
        low = np.cos(np.minimum(angle + turn, np.pi / 2.0))
        high = np.maximum(np.cos(np.maximum(angle - turn, 0.0)), 0.0)
        return weakest * low, strongest * high


def full_power(axes: Floats, sun: Daylight, observer: Observer) -> Floats:
    """The power (n,) of the sun on glass with `axes` and nothing before it, W/m²."""
    ahead = np.maximum(np.tensordot(axes[2], sun.direction, axes=1), 0.0)
    power = np.zeros(sun.seconds.shape)
    index = np.flatnonzero((ahead > 0.0) & (sun.elevation > 0.0))
    part = sun.take(index)
    days = np.floor(part.seconds / DAY).astype(np.int64)
    power[index] = ahead[index] * beam_at_height(days, part.elevation, observer)
    return power
