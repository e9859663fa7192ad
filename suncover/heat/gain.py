"""Sun on a window's glass, and what of it enters the room, slot by slot of a weather year.

    sky ── beam, circumsolar ── sunlit share of the glass ──> direct ── gain at its angle ─┐
       ├─ isotropic ── view factor of the sky ──┐                                       admitted
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

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from suncover.base.spell import Spell
from suncover.facade.daylight import Daylight
from suncover.facade.exposure import window_scene
from suncover.facade.frame import shadow_slopes, window_axes
from suncover.facade.scene import WindowScene
from suncover.facade.yard.surroundings import Surroundings
from suncover.heat.cells import depth_of, leaves_at, lit_strips, may_touch
from suncover.heat.glass import GlassTable
from suncover.heat.view_factors import COARSE, Views, glass_views, view_parts, views_of
from suncover.site.model import Site, Window
from suncover.sun.sky import Sky

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Incident:
    """Light on the outside of a window's glass, (n,) slots of a `Sky`, W/m² averaged over it.

    `direct` comes from the sun and about it, at the angle whose cosine is `cos_incidence`, and
    reaches the share `lit` of the glass; `sky`, `horizon` (a darker one takes from the sky) and
    `ground` are what the views leave of the rest. `views` are what the window sees, and `state`
    (n,) which of them holds in each slot; `tilt` is the window's, in degrees.
    """

    direct: Floats
    cos_incidence: Floats
    lit: Floats
    sky: Floats
    horizon: Floats
    ground: Floats
    views: tuple[Views, ...]
    state: NDArray[np.intp]
    tilt: float

    @property
    def diffuse(self) -> Floats:
        """Light from sky, horizon and ground."""
        return self.sky + self.horizon + self.ground

    @property
    def total(self) -> Floats:
        """All of it."""
        return self.direct + self.diffuse

    def admitted(self, glass: GlassTable) -> Floats:
        """What enters the room through `glass`, W per m² of glass, (n,)."""
        gains = np.stack([view.gains(glass.gain, self.tilt) for view in self.views], axis=1)
        sky, ground, horizon = gains[:, self.state]
        # A dark horizon takes from the dome, but never more than there is.
        dome = np.maximum(self.sky * sky + self.horizon * horizon, 0.0)
        diffuse = dome + self.ground * ground
        direct = self.direct * glass.gain(self.cos_incidence)
        return np.asarray(direct + diffuse * glass.diffuse)


def light_on(site: Site, window: Window, sky: Sky) -> Incident:
    """The light on a window under its overhang, fins, reveal, skyline and surroundings."""
    start, end = int(sky.seconds.min()), int(sky.seconds.max()) + 1
    scene = window_scene(site, window, site.need, start, end)
    views, state = window_views(scene, window, sky)
    return combine(sky, window, lit_share(scene, sky), views, state)


def lit_share(scene: WindowScene, sky: Sky) -> Floats:
    """Share of a window's glass that the sun reaches in each slot, crowns weakening it, (n,)."""
    sun = Daylight(sky.seconds, sky.direction)
    around = scene.surroundings
    if around is None:
        return np.asarray(scene.sunlit_share(sun), dtype=np.float64)
    lit = np.array(replace(scene, surroundings=None).sunlit_share(sun), dtype=np.float64)
    sunny = np.flatnonzero(lit > 0.0)
    slopes = shadow_slopes(sky.direction[:, sunny], scene.axes)
    leaves = leaves_at(around, sky.seconds[sunny])
    touched = np.flatnonzero(may_touch(scene.glass, around, slopes))
    if len(touched):
        strips = lit_strips(scene.glass, around, slopes.take(touched), leaves[:, touched])
        lit[sunny[touched]] = strips.share(depth_of(scene.glass))
    return lit


def combine(
    sky: Sky,
    window: Window,
    lit: Floats,
    views: Views | Sequence[Views],
    state: NDArray[np.intp] | None = None,
) -> Incident:
    """The light on a window of which the share `lit` (n,) is in sun and that sees `views`.

    `state` (n,) says which of the views holds in each slot; the first if left out.
    """
    normal = window_axes(window.azimuth, window.tilt)[2]
    cosine = np.maximum(np.tensordot(normal, sky.direction, axes=1), 0.0)
    direct = (sky.beam + sky.circumsolar) * cosine * lit
    slope = float(np.sin(np.radians(window.tilt)))
    all_views = (views,) if isinstance(views, Views) else tuple(views)
    state_of_slot = np.zeros(len(sky.seconds), dtype=np.intp) if state is None else state
    factors = np.array([(view.sky, view.ground, view.horizon) for view in all_views]).T
    on_sky, on_ground, on_horizon = factors[:, state_of_slot]
    dome = sky.isotropic * on_sky
    band = np.maximum(sky.horizon * slope * on_horizon, -dome)
    ground = sky.ground * on_ground
    return Incident(direct, cosine, lit, dome, band, ground, all_views, state_of_slot, window.tilt)


def window_views(
    scene: WindowScene, window: Window, sky: Sky
) -> tuple[tuple[Views, ...], NDArray[np.intp]]:
    """What the window sees, for each state of the trees' leaves, and which holds when, (n,)."""
    around = scene.surroundings
    if around is None:
        open_view = glass_views(scene.glass, window.azimuth, window.tilt)
        return (open_view,), np.zeros(len(sky.seconds), dtype=np.intp)
    states, state_of_slot = leaf_states(around, sky)
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


def closed_share(closed: Sequence[Spell], sky: Sky) -> Floats:
    """Share of each slot in which something is closed, (n,); `closed` sorted and disjoint."""
    if not closed:
        return np.zeros(len(sky.seconds))
    edges = np.array([(spell.start, spell.end) for spell in closed], dtype=np.float64).ravel()
    lengths = np.diff(edges, prepend=edges[0])
    lengths[::2] = 0.0
    before = np.cumsum(lengths)
    half = sky.length / 2.0
    begin = np.interp(sky.seconds - half, edges, before)
    end = np.interp(sky.seconds + half, edges, before)
    return (end - begin) / sky.length


def per_row(sky: Sky, power: Floats, rows: int) -> Floats:
    """Energy of each weather row in Wh (per m² if `power` (n,) is in W/m²), (rows,)."""
    return np.asarray(np.bincount(sky.row, power * sky.hours, rows), dtype=np.float64)
