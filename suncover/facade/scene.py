"""A window before the sun: is it lit, and is that so for a whole patch of sky?"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from suncover.facade.daylight import BeamGate, Daylight
from suncover.facade.frame import Slopes, shadow_slopes
from suncover.facade.plates import Glass, Patch, least_sunlit, most_sunlit, sunlit_fraction
from suncover.facade.skyline import Skyline

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

# A share of glass below this is rounding, not sun: shadows move over a pane by more in a thousandth
# of a second.
SLIVER = 1e-12
# Degrees by which refraction jumps where it sets in, below the horizon.
REFRACTION_STEP = 0.7


@dataclass(frozen=True)
class WindowScene:
    """One window's glass under its plates, reveal and skylines, lit where more than `fraction` of
    it is.
    """

    axes: Floats
    glass: Glass
    gate: BeamGate
    skylines: tuple[Skyline, ...] = ()
    fraction: float = 0.0

    def lit(self, sun: Daylight) -> Bools:
        """Whether the window is in direct sun at each instant."""
        state = above_skylines(sun, self.gate, self.skylines)
        slopes = shadow_slopes(sun.direction, self.axes)
        state &= slopes.in_front
        if self._bare:
            return state
        some = np.flatnonzero(state)
        share = sunlit_fraction(slopes.p[some], slopes.q[some], self.glass)
        state[some] = share > self.fraction + SLIVER
        return state

    def settled(self, sun: Daylight) -> Ints:
        """1 lit, -1 dark, 0 not known, for the whole patch about each direction."""
        state = skyline_settled(sun, self.gate, self.skylines)
        some = np.flatnonzero(state >= 0)
        part = sun.take(some)
        slopes = shadow_slopes(part.direction, self.axes)
        state[some] = np.minimum(state[some], front_settled(part, slopes.cos_incidence))
        if self._bare:
            return state
        front = np.flatnonzero(state[some] >= 0)
        radius = patch_radius(part)
        state[some[front]] = np.minimum(
            state[some[front]], self._shade_settled(slopes, radius, front)
        )
        return state

    @property
    def _bare(self) -> bool:
        return not self.glass.plates and self.glass.reveal == 0.0

    def _shade_settled(self, slopes: Slopes, radius: Floats, some: NDArray[np.intp]) -> Ints:
        p, q, cosine = slopes.p[some], slopes.q[some], slopes.cos_incidence[some]
        around = Patch.around(p, q, cosine, radius[some])
        state = np.zeros(p.shape, dtype=np.int64)
        known = np.flatnonzero(np.isfinite(around.p))
        p, q = p[known], q[known]
        patch = Patch(around.p[known], around.q[known], around.across[known])
        least = least_sunlit(p, q, self.glass, patch)
        found = np.where(least > self.fraction + 1e-9, 1, 0)
        rest = np.flatnonzero(found == 0)
        part = Patch(patch.p[rest], patch.q[rest], patch.across[rest])
        most = most_sunlit(p[rest], q[rest], self.glass, part)
        found[rest[most <= self.fraction + SLIVER]] = -1
        state[known] = found
        return state


def above_skylines(sun: Daylight, gate: BeamGate, skylines: tuple[Skyline, ...]) -> Bools:
    """Whether the sun is up, strong enough and above all skylines at each instant."""
    state = sun.elevation > gate.height(sun.seconds)
    for skyline in skylines:
        state &= sun.elevation > skyline.elevation(sun.azimuth)
    return state


def skyline_settled(sun: Daylight, gate: BeamGate, skylines: tuple[Skyline, ...]) -> Ints:
    """The same for whole patches: 1 above for sure, -1 hidden or too weak for sure, 0 not known."""
    low, high = gate.bounds(sun.seconds, sun.days)
    radius = patch_radius(sun)
    top, bottom = sun.elevation + radius, sun.elevation - sun.radius
    state = np.where(bottom > high, 1, np.where(top < low, -1, 0))
    if not skylines:
        return state
    some = np.flatnonzero(state >= 0)
    level = np.cos(np.radians(sun.elevation[some]))
    ratio = np.sin(np.radians(radius[some])) / np.maximum(level, 1e-9)
    spread = np.where(ratio < 1.0, np.degrees(np.arcsin(np.minimum(ratio, 1.0))), 180.0)
    for skyline in skylines:
        lowest, highest = skyline.bounds(sun.azimuth[some], spread + 1e-6)
        clear = np.where(bottom[some] > highest, 1, np.where(top[some] < lowest, -1, 0))
        state[some] = np.minimum(state[some], clear)
    return state


def front_settled(sun: Daylight, cos_incidence: Floats) -> Ints:
    """1 where the whole patch is in front of the glass, -1 where all of it is behind, 0 between."""
    sine = np.sin(np.radians(patch_radius(sun)))
    return np.where(cos_incidence > sine, 1, np.where(cos_incidence < -sine, -1, 0))


def patch_radius(sun: Daylight) -> Floats:
    """Degrees about each direction that the patch takes in; more where refraction is not yet
    applied.
    """
    return np.where(sun.elevation < -0.2, sun.radius + REFRACTION_STEP, sun.radius)
