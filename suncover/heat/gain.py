"""Sun on a window's glass, and what of it enters the room, over the slots of a weather year.

    sky ── beam, circumsolar ── sunlit share of the glass ──> direct ── gain at its angle ─┐
       ├─ isotropic ── view factor of the sky ──┐                                       inside
       ├─ horizon ── seen share of the horizon ─┼──> diffuse ── gain for diffuse light ────┘
       └─ ground ── view factor of the ground ──┘                by the angles that are seen

Overhang, fins, reveal and obstacles hide beam, sky and ground alike and send nothing back; a crown
weakens all three by what it lets through. A skyline hides the sun only: what makes a skyline
(hills, far houses) is about as bright as the sky that it hides.

A glass's gain for diffuse light is that of an open window, which sees sky and ground at all angles.
Deep in a recess they are seen nearer the normal, where glass lets in more: there the gain is raised
by the ratio of the mean gains (`Views.gains`); it is lowered where what lies before the glass hides
the middle.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from suncover.facade.daylight import Daylight
from suncover.facade.exposure import window_scene
from suncover.facade.plates import sunlit_fraction
from suncover.facade.scene import WindowScene, above_skylines
from suncover.facade.yard.surroundings import Surroundings
from suncover.heat.cells import depth_of, leaves_at, lit_strips, may_touch
from suncover.heat.glass import GlassTable
from suncover.heat.tally import Facing, Tally
from suncover.heat.view_factors import COARSE, Views, glass_views, view_parts, views_of
from suncover.site.model import Site, Window
from suncover.sun.sky import Sky

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Light:
    """Light on the outside of a window's glass over the slots of a sky, averaged over the glass.

    `lit` (k,) is the share of the glass that the sun reaches in the slots of `facing`. `views` are
    what the window sees, and `state` (n,) which of them holds in each slot; `tilt` is the
    window's, in degrees.
    """

    tally: Tally
    facing: Facing
    lit: Floats
    views: tuple[Views, ...]
    state: NDArray[np.intp]
    tilt: float

    def outside(self) -> Flow:
        """All of it."""
        return Flow(self, self.facing.energy * self.lit, np.ones((3, len(self.views))))

    def inside(self, glass: GlassTable) -> Flow:
        """What enters the room through `glass`."""
        gains = np.stack([view.gains(glass.gain, self.tilt) for view in self.views], axis=1)
        direct = self.facing.through(glass) * self.lit
        return Flow(self, direct, gains[[0, 2, 1]] * glass.diffuse)

    @cached_property
    def factors(self) -> Floats:
        """What the window sees of dome, horizon and ground in each state: (3, states)."""
        slope = float(np.sin(np.radians(self.tilt)))
        return np.array([(v.sky, v.horizon * slope, v.ground) for v in self.views]).T

    @cached_property
    def sums(self) -> Floats:
        """Those of dome, horizon and ground by state and the tally's bins: (3, states, count)."""
        return self.tally.spread_sums(self.state, len(self.views))


@dataclass(frozen=True)
class Flow:
    """A window's light, or what of it enters the room: Wh per m² of glass.

    `direct` (k,) comes from the sun and close about it in the slots of the light's `facing`;
    `gains` (3, states) are what is let in of the light of dome, horizon and ground that is seen.
    """

    light: Light
    direct: Floats
    gains: Floats

    def at(self, slots: NDArray[np.intp]) -> Floats:
        """All of it in some slots, (m,)."""
        direct = np.zeros(len(self.light.state))
        direct[self.light.facing.slots] = self.direct
        return np.asarray(direct[slots] + self.spread_at(slots))

    def spread_at(self, slots: NDArray[np.intp]) -> Floats:
        """That of sky and ground in some slots, (m,)."""
        return np.asarray(self._spread_at(slots).sum(axis=0))

    @cached_property
    def total(self) -> Floats:
        """All of it by the tally's bins, (count,)."""
        return np.asarray(self.parts.sum(axis=0))

    @cached_property
    def parts(self) -> Floats:
        """That of the sun, of the sky and of the ground by the tally's bins: (3, count)."""
        light, tally = self.light, self.light.tally
        weights = light.factors * self.gains
        dome, band, ground = np.einsum("ks,ksc->kc", weights, light.sums)
        slots = self._dark_slots
        in_proportion = (weights[:2, light.state[slots]] * tally.spread[:2, slots]).sum(axis=0)
        excess = tally.of(self._spread_at(slots)[0] - in_proportion, slots)
        return np.stack(
            [
                tally.of(self.direct, light.facing.slots),
                np.maximum(dome + band + excess, 0.0),
                ground,
            ]
        )

    @cached_property
    def _dark_slots(self) -> NDArray[np.intp]:
        """The slots in which the horizon takes all that is seen, or let in, of the dome."""
        (dome, band, _), (dome_gain, band_gain, _) = self.light.factors, self.gains
        loss = band * band_gain
        limit = dome * np.minimum(band_gain, dome_gain) / np.where(loss > 0.0, loss, 1.0)
        lowest = float(np.where(loss > 0.0, limit, np.inf).min())
        # A little less, so that it is no matter of rounding.
        return self.light.tally.darker(lowest * (1.0 - 1e-9))

    def _spread_at(self, slots: NDArray[np.intp]) -> Floats:
        """That of the sky and of the ground in some slots, (2, m)."""
        # All states are one, mostly, and stand for all slots.
        state = self.light.state[slots] if len(self.light.views) > 1 else slice(None)
        factors, spread = self.light.factors[:, state], self.light.tally.spread
        dome, band, ground = (spread[part][slots] * factors[part] for part in range(3))
        dome_gain, band_gain, ground_gain = self.gains[:, state]
        # A dark horizon takes from the dome, but never more than there is.
        sky = np.maximum(dome * dome_gain + np.maximum(band, -dome) * band_gain, 0.0)
        return np.stack([sky, ground * ground_gain])


def light_on(site: Site, window: Window, tally: Tally) -> Light:
    """The light on a window under its overhang, fins, reveal, skyline and surroundings."""
    sky = tally.sky
    start, end = int(sky.seconds.min()), int(sky.seconds.max()) + 1
    scene = window_scene(site, window, site.need, start, end)
    facing = tally.facing(window.azimuth, window.tilt)
    views, state = window_views(scene, window, tally)
    return Light(tally, facing, lit_share(scene, sky, facing), views, state, window.tilt)


def lit_share(scene: WindowScene, sky: Sky, facing: Facing) -> Floats:
    """Share of a window's glass that the sun reaches, crowns weakening it, in the slots in which it
    stands before the glass: (k,).
    """
    slopes, lit = facing.slopes, np.ones(len(facing.slots))
    if not scene.bare:
        lit = sunlit_fraction(slopes.p, slopes.q, scene.glass)
    if scene.skylines:
        sun = Daylight(sky.seconds[facing.slots], sky.direction[:, facing.slots])
        lit[~above_skylines(sun, None, scene.skylines)] = 0.0
    around = scene.surroundings
    if around is not None:
        sunny = np.flatnonzero(lit > 0.0)
        leaves = leaves_at(around, sky.seconds[facing.slots[sunny]])
        touched = np.flatnonzero(may_touch(scene.glass, around, slopes.take(sunny)))
        if len(touched):
            part = slopes.take(sunny[touched])
            strips = lit_strips(scene.glass, around, part, leaves[:, touched])
            lit[sunny[touched]] = strips.share(depth_of(scene.glass))
    return lit


def window_views(
    scene: WindowScene, window: Window, tally: Tally
) -> tuple[tuple[Views, ...], NDArray[np.intp]]:
    """What the window sees, for each state of the trees' leaves, and which holds when, (n,)."""
    around = scene.surroundings
    if around is None:
        open_view = glass_views(scene.glass, window.azimuth, window.tilt)
        return (open_view,), tally.no_state
    states, state_of_slot = leaf_states(around, tally.sky)
    depth = depth_of(scene.glass)
    parts = view_parts(window.tilt, COARSE)
    all_views = []
    for leaves in states:
        lit = []
        for part in parts:
            spread = np.repeat(leaves[:, None], len(part.weight), axis=1)
            lit.append(lit_strips(scene.glass, around, part.slopes, spread).share(depth))
        all_views.append(views_of(parts, lit))
    return tuple(all_views), state_of_slot


def leaf_states(around: Surroundings, sky: Sky) -> tuple[list[Floats], NDArray[np.intp]]:
    """What crowns let through, (trees,) for each state of their leaves, and which holds when."""
    leaves = leaves_at(around, sky.seconds)
    if not len(leaves):
        return [np.zeros(0)], np.zeros(len(sky.seconds), dtype=np.intp)
    # Leaves come and go a few times in a year: runs of slots, of which a few kinds are there.
    begins = np.flatnonzero(np.append(True, (np.diff(leaves, axis=1) != 0.0).any(axis=0)))
    states, state_of_run = np.unique(leaves[:, begins], axis=1, return_inverse=True)
    runs = np.diff(np.append(begins, leaves.shape[1]))
    return list(states.T), np.repeat(state_of_run.reshape(-1), runs).astype(np.intp)


def closed_share(closed: Floats, sky: Sky) -> Floats:
    """Share of each slot in which something is closed, (n,); `closed` (m, 2) sorted and disjoint
    unix seconds.
    """
    starts, ends = closed.T
    begin, end = sky.seconds - sky.length / 2.0, sky.seconds + sky.length / 2.0
    first, last = np.searchsorted(end, starts, "right"), np.searchsorted(begin, ends)
    # Slots that a spell meets count as a whole, and lose what it leaves open of the outer ones.
    size = len(begin) + 1
    share = np.cumsum(np.bincount(first, minlength=size) - np.bincount(last, minlength=size))[:-1]
    share = share.astype(np.float64)
    by_day = first < last
    first, last = first[by_day], last[by_day] - 1
    before = np.maximum(starts[by_day] - begin[first], 0.0) / sky.length[first]
    after = np.maximum(end[last] - ends[by_day], 0.0) / sky.length[last]
    np.subtract.at(share, first, before)
    np.subtract.at(share, last, after)
    return share
