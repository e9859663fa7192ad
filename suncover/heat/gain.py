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
    def seen(self) -> Floats:
        """What the window sees of dome, horizon and ground in each state: (3, states)."""
        slope = float(np.sin(np.radians(self.tilt)))
        factors = [(view.sky, view.horizon * slope, view.ground) for view in self.views]
        return np.array(factors).T

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

    def at(self, some: NDArray[np.intp]) -> Floats:
        """All of it in some slots, (m,)."""
        direct = np.zeros(len(self.light.state))
        direct[self.light.facing.some] = self.direct
        return np.asarray(direct[some] + self.spread_at(some))

    def spread_at(self, some: NDArray[np.intp]) -> Floats:
        """That of sky and ground in some slots, (m,)."""
        return np.asarray(self._spread_at(some).sum(axis=0))

    @cached_property
    def total(self) -> Floats:
        """All of it by the tally's bins, (count,)."""
        return np.asarray(self.parts.sum(axis=0))

    @cached_property
    def parts(self) -> Floats:
        """That of the sun, of the sky and of the ground by the tally's bins: (3, count)."""
        light, tally = self.light, self.light.tally
        weights = light.seen * self.gains
        dome, band, ground = np.einsum("ks,ksc->kc", weights, light.sums)
        dark = self._dark
        plain = (weights[:2, light.state[dark]] * tally.spread[:2, dark]).sum(axis=0)
        less = tally.of(plain - self._spread_at(dark)[0], dark)
        return np.stack(
            [
                tally.of(self.direct, light.facing.some),
                np.maximum(dome + band - less, 0.0),
                ground,
            ]
        )

    @cached_property
    def _dark(self) -> NDArray[np.intp]:
        """The slots in which the horizon takes all that is seen, or let in, of the dome."""
        (dome, band, _), (through, beside, _) = self.light.seen, self.gains
        takes = (band * beside > 0.0) & (band > 0.0)
        most = dome * np.minimum(beside, through) / np.where(takes, band * beside, 1.0)
        # A little less, so that it is no matter of rounding.
        return self.light.tally.darker(float(np.where(takes, most, np.inf).min()) * (1.0 - 1e-9))

    def _spread_at(self, some: NDArray[np.intp]) -> Floats:
        """That of the sky and of the ground in some slots, (2, m)."""
        # All states are one, mostly, and stand for all slots.
        state = self.light.state[some] if len(self.light.views) > 1 else slice(None)
        seen, gains = self.light.seen[:, state], self.gains[:, state]
        spread = self.light.tally.spread
        dome, band, ground = (spread[part][some] * seen[part] for part in range(3))
        through, beside, below = gains
        # A dark horizon takes from the dome, but never more than there is.
        sky = np.maximum(dome * through + np.maximum(band, -dome) * beside, 0.0)
        return np.stack([sky, ground * below])


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
    slopes, lit = facing.slopes, np.ones(len(facing.some))
    if not scene.bare:
        lit = sunlit_fraction(slopes.p, slopes.q, scene.glass)
    if scene.skylines:
        sun = Daylight(sky.seconds[facing.some], sky.direction[:, facing.some])
        lit[~above_skylines(sun, None, scene.skylines)] = 0.0
    around = scene.surroundings
    if around is not None:
        some = np.flatnonzero(lit > 0.0)
        leaves = leaves_at(around, sky.seconds[facing.some[some]])
        touched = np.flatnonzero(may_touch(scene.glass, around, slopes.take(some)))
        if len(touched):
            part = slopes.take(some[touched])
            strips = lit_strips(scene.glass, around, part, leaves[:, touched])
            lit[some[touched]] = strips.share(depth_of(scene.glass))
    return lit


def window_views(
    scene: WindowScene, window: Window, tally: Tally
) -> tuple[tuple[Views, ...], NDArray[np.intp]]:
    """What the window sees, for each state of the trees' leaves, and which holds when, (n,)."""
    around = scene.surroundings
    if around is None:
        seen = glass_views(scene.glass, window.azimuth, window.tilt)
        return (seen,), tally.no_state
    states, which = leaf_states(around, tally.sky)
    depth = depth_of(scene.glass)
    parts = view_parts(window.tilt, COARSE)
    found = []
    for leaves in states:
        lit = []
        for part in parts:
            spread = np.repeat(leaves[:, None], len(part.weight), axis=1)
            lit.append(lit_strips(scene.glass, around, part.slopes, spread).share(depth))
        found.append(views_of(parts, lit))
    return tuple(found), which


def leaf_states(around: Surroundings, sky: Sky) -> tuple[list[Floats], NDArray[np.intp]]:
    """What crowns let through, (trees,) for each state of their leaves, and which holds when."""
    leaves = leaves_at(around, sky.seconds)
    if not len(leaves):
        return [np.zeros(0)], np.zeros(len(sky.seconds), dtype=np.intp)
    # Leaves come and go a few times in a year: runs of slots, of which a few kinds are there.
    begins = np.flatnonzero(np.append(True, (np.diff(leaves, axis=1) != 0.0).any(axis=0)))
    states, which = np.unique(leaves[:, begins], axis=1, return_inverse=True)
    runs = np.diff(np.append(begins, leaves.shape[1]))
    return list(states.T), np.repeat(which.reshape(-1), runs).astype(np.intp)


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
    met = first < last
    first, last = first[met], last[met] - 1
    before = np.maximum(starts[met] - begin[first], 0.0) / sky.length[first]
    after = np.maximum(end[last] - ends[met], 0.0) / sky.length[last]
    np.subtract.at(share, first, before)
    np.subtract.at(share, last, after)
    return share
