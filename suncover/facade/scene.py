"""A window before the sun: is it lit, and is that so for a whole patch of sky?"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from suncover.base.shown import short_repr
from suncover.facade.daylight import BeamGate, Daylight
from suncover.facade.frame import Slopes, shadow_slopes
from suncover.facade.glazed import Glass
from suncover.facade.plates import least_sunlit, most_sunlit, ray_blocked, ray_free, sunlit_fraction
from suncover.facade.shadows import Patch
from suncover.facade.skyline import Skyline

if TYPE_CHECKING:
    from suncover.facade.yard.cones import Stretch
    from suncover.facade.yard.glass import Yard
    from suncover.facade.yard.surroundings import Surroundings
    from suncover.facade.yard.swing import Change

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

# Degrees by which refraction jumps where it sets in, below the horizon.
REFRACTION_STEP = 0.7
# Instants whose shadows are drawn as polygons together: bounds the memory.
POLYGONS_AT_ONCE = 4000
# Degrees of a patch's radius above which bounds by polygons would settle next to nothing.
POLYGON_RADIUS = 0.7


@dataclass(frozen=True)
class SkyScene:
    """The sky alone: lit while the sun is up, strong enough and above all skylines."""

    gate: BeamGate | None
    skylines: tuple[Skyline, ...] = ()

    def lit(self, sun: Daylight) -> Bools:
        """Whether the sun counts at each instant."""
        return above_skylines(sun, self.gate, self.skylines)

    def settled(self, sun: Daylight) -> Ints:
        """1 lit, -1 dark, 0 not known, for the whole patch about each direction."""
        return skyline_settled(sun, self.gate, self.skylines)


@dataclass(frozen=True)
class WindowScene:
    """One window's glass under its plates, reveal, skylines and surroundings.

    It is lit where more than `fraction` of it is in sun. The `power` on the glass (W/m²) from which
    its sun counts is asked of the times at which it is lit: see `suncover.facade.power`.
    """

    __repr__ = short_repr

    axes: Floats
    glass: Glass
    gate: BeamGate
    skylines: tuple[Skyline, ...] = ()
    fraction: float = 0.0
    surroundings: Surroundings | None = None
    power: float = 0.0

    def lit(self, sun: Daylight) -> Any:
        """Whether the window is in direct sun at each instant: (n,), or as `Daylight.at` was given
        them.

        Raises
        ------
        RequestError
            When instants lie beyond the scene's span.
        """
        self.gate.check(sun)
        state = above_skylines(sun, self.gate, self.skylines)
        slopes = shadow_slopes(sun.direction, self.axes)
        state &= slopes.in_front
        index = np.flatnonzero(state)
        if not self.bare:
            share = sunlit_fraction(slopes.p[index], slopes.q[index], self.glass)
            state[index] = share > self.fraction + self.glass.rounding
            index = index[state[index]]
        if self.surroundings is not None and len(index):
            part = sun.take(index)
            state[index] = self._lit_past(self.surroundings, part, slopes.take(index))
        return sun.answer(state, "lit")

    def settled(self, sun: Daylight) -> Ints:
        """1 lit, -1 dark, 0 not known, for the whole patch about each direction."""
        state = skyline_settled(sun, self.gate, self.skylines)
        slopes = shadow_slopes(sun.direction, self.axes)
        index = np.flatnonzero(state >= 0)
        front = front_settled(sun.take(index), slopes.cos_incidence[index])
        state[index] = np.minimum(state[index], front)
        index = np.flatnonzero(state >= 0)
        if not self.bare or self.surroundings is not None:
            shade = self._shade_settled(sun.take(index), slopes.take(index))
            state[index] = np.minimum(state[index], shade)
        return state

    def sunlit_share(self, sun: Daylight) -> Any:
        """Share of the glass that the beam reaches at each instant, crowns counted by what they let
        through; whatever the beam's strength: (n,), or as `Daylight.at` was given them.

        Raises
        ------
        RequestError
            When instants lie beyond the scene's span.
        """
        self.gate.check(sun)
        above = sun.elevation > 0.0
        for skyline in self.skylines:
            above &= sun.elevation > skyline.elevation(sun.azimuth)
        index = np.flatnonzero(above)
        share = np.zeros(sun.seconds.shape)
        share[index] = self.share_past(sun.take(index))
        return sun.answer(share, "sunlit_share")

    def share_past(self, sun: Daylight) -> Floats:
        """The sunlit share past plates, reveal and surroundings alone, without horizon and
        skylines.
        """
        slopes = shadow_slopes(sun.direction, self.axes)
        share = np.zeros(sun.seconds.shape)
        index = np.flatnonzero(slopes.in_front)
        slopes = slopes.take(index)
        share[index] = 1.0 if self.bare else sunlit_fraction(slopes.p, slopes.q, self.glass)
        if self.surroundings is not None:
            self._weaken(share, index, slopes, sun.take(index))
        return share

    def _weaken(self, share: Floats, index: Ints, slopes: Slopes, part: Daylight) -> None:
        """Take from the `share` at `index` what the surroundings do; `slopes` and sun are there."""
        assert self.surroundings is not None
        assert self.yard is not None
        met = self.yard.met(slopes.directions)
        ask = np.flatnonzero(met.any(axis=0) & (share[index] > 0.0))
        for piece in np.array_split(ask, max(1, len(ask) // POLYGONS_AT_ONCE)):
            share[index[piece]] = self.surroundings.beam_share(
                self.glass, slopes.p[piece], slopes.q[piece], part.seconds[piece], met[:, piece]
            )

    def beam_change(self, stretch: Stretch) -> Change:
        """How that share may change along stretches, whose paths are in the window's axes."""
        if self.yard is not None:
            return self.yard.beam_change(stretch)
        from suncover.facade.yard.changes import beam_change  # noqa: PLC0415 - for power alone
        from suncover.facade.yard.swing import Swing  # noqa: PLC0415 - for power alone

        return beam_change(self.glass, Swing.along(stretch.path))

    @cached_property
    def yard(self) -> Yard | None:
        """Its glass among its surroundings, if it has any."""
        if self.surroundings is None:
            return None
        from suncover.facade.yard.glass import Yard  # noqa: PLC0415 - many have nothing around them

        return Yard(self.axes, self.glass, self.surroundings, self.fraction)

    @property
    def bare(self) -> bool:
        """Whether neither plates nor a reveal shade its glass."""
        return not self.glass.plates and self.glass.reveal == 0.0

    @cached_property
    def _samples(self) -> Floats:
        """Points of the glass of which one in sun proves that some of it is: corners, edges,
        middle.
        """
        grid = [(x, y) for x in (0.0, 0.5, 1.0) for y in (0.0, 0.5, 1.0)]
        return np.array([[x * self.glass.width, y * self.glass.height, 0.0] for x, y in grid])

    def _lit_past(self, around: Surroundings, sun: Daylight, slopes: Slopes) -> Bools:
        """Whether enough of the glass is lit, where its plates and reveal leave enough."""
        if self.yard is not None and self.fraction == 0.0:
            return self.yard.lit(sun)
        state = around.settled(self.glass.corners, sun, slopes.directions, np.zeros(len(slopes.p)))
        lit = state > 0
        open_index = np.flatnonzero(state == 0)
        for piece in np.array_split(open_index, max(1, len(open_index) // POLYGONS_AT_ONCE)):
            share = around.lit_share(self.glass, slopes.p[piece], slopes.q[piece], sun.take(piece))
            lit[piece] = share > self.fraction + self.glass.rounding
        return lit

    def _shade_settled(self, sun: Daylight, slopes: Slopes) -> Ints:
        """Plates, reveal and surroundings for whole patches."""
        radius = patch_radius(sun)
        patch = Patch.around(slopes.p, slopes.q, slopes.cos_incidence, radius)
        finite = np.flatnonzero(np.isfinite(patch.p))
        state = np.zeros(len(radius), dtype=np.int64)
        slopes, patch, radius = slopes.take(finite), patch.take(finite), radius[finite]
        least_share = least_sunlit(slopes.p, slopes.q, self.glass, patch)
        settled = np.where(least_share > self.fraction + 1e-9, 1, 0)
        open_index = np.flatnonzero(settled == 0)
        most_share = most_sunlit(
            slopes.p[open_index], slopes.q[open_index], self.glass, patch.take(open_index)
        )
        settled[open_index[most_share <= self.fraction + self.glass.rounding]] = -1
        if self.surroundings is not None:
            part = sun.take(finite)
            settled = self._settled_past(self.surroundings, settled, part, slopes, patch)
            settled = self._bounded_past(self.surroundings, settled, part, slopes, patch)
        state[finite] = settled
        return state

    def _settled_past(
        self, around: Surroundings, settled: Ints, sun: Daylight, slopes: Slopes, patch: Patch
    ) -> Ints:
        radius, local = patch_radius(sun), slopes.directions
        open_sky = np.flatnonzero(settled >= 0)
        free = around.settled(
            self.glass.corners, sun.take(open_sky), local[:, open_sky], radius[open_sky]
        )
        settled[open_sky] = np.minimum(settled[open_sky], free)
        for point in self._samples if self.fraction == 0.0 else ():
            open_index = np.flatnonzero(settled == 0)
            part, bent = slopes.take(open_index), patch.take(open_index)
            reached = ray_free(point, part.p, part.q, self.glass, bent)
            open_index = open_index[reached]
            free = around.settled(
                point[None, :], sun.take(open_index), local[:, open_index], radius[open_index]
            )
            settled[open_index[free > 0]] = 1
        return settled

    def _bounded_past(
        self, around: Surroundings, settled: Ints, sun: Daylight, slopes: Slopes, patch: Patch
    ) -> Ints:
        """Settle what is left by polygons, once patches are small enough for that to help."""
        if sun.radius > POLYGON_RADIUS:
            return settled
        open_index = np.flatnonzero(settled == 0)
        for piece in np.array_split(open_index, max(1, len(open_index) // POLYGONS_AT_ONCE)):
            part = sun.take(piece)
            least_share, most_share = around.share_bounds(
                self.glass, slopes.take(piece), part, patch.take(piece), patch_radius(part)
            )
            settled[piece[least_share > self.fraction + 1e-9]] = 1
            settled[piece[most_share <= self.fraction + self.glass.rounding]] = -1
        return settled


@dataclass(frozen=True)
class SpotScene:
    """A point behind a window, lit while its line to the sun is free.

    `point` (3,) in the window's coordinates, z at most 0; what stands in the way is `window`'s.
    """

    __repr__ = short_repr

    window: WindowScene
    point: Floats

    def lit(self, sun: Daylight) -> Any:
        """Whether the point is in direct sun at each instant: (n,), or as `Daylight.at` was given
        them.

        Raises
        ------
        RequestError
            When instants lie beyond the scene's span.
        """
        window = self.window
        window.gate.check(sun)
        state = above_skylines(sun, window.gate, window.skylines) & (self.point[2] <= 0.0)
        slopes = shadow_slopes(sun.direction, window.axes)
        index = np.flatnonzero(state & slopes.in_front)
        slopes = slopes.take(index)
        free = ray_free(self.point, slopes.p, slopes.q, window.glass)
        index, slopes = index[free], slopes.take(np.flatnonzero(free))
        if window.surroundings is not None:
            reached = window.surroundings.reaches(self.point, sun.take(index), slopes.directions)
            index = index[reached]
        lit = np.zeros(state.shape, dtype=bool)
        lit[index] = True
        return sun.answer(lit, "lit")

    def settled(self, sun: Daylight) -> Ints:
        """1 lit, -1 dark, 0 not known, for the whole patch about each direction."""
        window = self.window
        if self.point[2] > 0.0:
            return np.full(sun.seconds.shape, -1)
        state = skyline_settled(sun, window.gate, window.skylines)
        slopes = shadow_slopes(sun.direction, window.axes)
        state = np.minimum(state, front_settled(sun, slopes.cos_incidence))
        index = np.flatnonzero(state >= 0)
        part, slopes = sun.take(index), slopes.take(index)
        radius = patch_radius(part)
        patch = Patch.around(slopes.p, slopes.q, slopes.cos_incidence, radius)
        settled = np.zeros(len(index), dtype=np.int64)
        finite = np.flatnonzero(np.isfinite(patch.p))
        settled[finite] = self._ray_settled(slopes.take(finite), patch.take(finite))
        if window.surroundings is not None:
            points, local = self.point[None, :], slopes.take(finite).directions
            around = window.surroundings.settled(points, part.take(finite), local, radius[finite])
            settled[finite] = np.minimum(settled[finite], around)
        state[index] = np.minimum(state[index], settled)
        return state

    def _ray_settled(self, slopes: Slopes, patch: Patch) -> Ints:
        free = ray_free(self.point, slopes.p, slopes.q, self.window.glass, patch)
        blocked = ray_blocked(self.point, slopes.p, slopes.q, self.window.glass, patch)
        return np.where(free, 1, np.where(blocked, -1, 0))


def above_skylines(sun: Daylight, gate: BeamGate | None, skylines: tuple[Skyline, ...]) -> Bools:
    """Whether the sun is up, strong enough for the `gate` and above all skylines."""
    state = sun.elevation > (0.0 if gate is None else gate.height(sun.seconds))
    for skyline in skylines:
        state &= sun.elevation > skyline.elevation(sun.azimuth)
    return state


def skyline_settled(sun: Daylight, gate: BeamGate | None, skylines: tuple[Skyline, ...]) -> Ints:
    """`above_skylines` for whole patches: 1 surely, -1 surely not (hidden or weak), 0 not known."""
    low = high = np.zeros(sun.seconds.shape)
    if gate is not None:
        low, high = gate.bounds(sun.seconds, sun.days)
    radius = patch_radius(sun)
    top, bottom = sun.elevation + radius, sun.elevation - sun.radius
    state = np.where(bottom > high, 1, np.where(top < low, -1, 0))
    if not skylines:
        return state
    index = np.flatnonzero(state >= 0)
    level = np.cos(np.radians(sun.elevation[index]))
    ratio = np.sin(np.radians(radius[index])) / np.maximum(level, 1e-9)
    spread = np.where(ratio < 1.0, np.degrees(np.arcsin(np.minimum(ratio, 1.0))), 180.0)
    for skyline in skylines:
        lowest, highest = skyline.bounds(sun.azimuth[index], spread + 1e-6)
        clear = np.where(bottom[index] > highest, 1, np.where(top[index] < lowest, -1, 0))
        state[index] = np.minimum(state[index], clear)
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
