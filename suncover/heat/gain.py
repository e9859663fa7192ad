"""Sun on a window's glass, and what of it enters the room, slot by slot of a weather year.

    sky ── beam, circumsolar ── sunlit share of the glass ──> direct ── gain at its angle ─┐
       ├─ isotropic ── view factor of the sky ──┐                                       admitted
       ├─ horizon ── seen share of the horizon ─┼──> diffuse ── gain for diffuse light ────┘
       └─ ground ── view factor of the ground ──┘

Overhang, fins, reveal and obstacles hide beam, sky and ground alike and send nothing back; a crown
weakens all three by what it lets through. A skyline hides the sun only: what makes a skyline
(hills, far houses) is about as bright as the sky that it hides.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from suncover.base.spell import Spell
from suncover.facade.daylight import Daylight
from suncover.facade.exposure import window_scene
from suncover.facade.frame import Slopes, window_axes
from suncover.facade.plates import sunlit_fraction
from suncover.facade.scene import WindowScene
from suncover.facade.yard.surroundings import Surroundings
from suncover.heat.glass import GlassTable
from suncover.heat.view_factors import COARSE, Views, glass_views, views
from suncover.site.model import Site, Window
from suncover.sun.sky import Sky

Floats = NDArray[np.float64]

# Directions whose shadows are drawn as polygons together: bounds the memory.
POLYGONS_AT_ONCE = 4000


@dataclass(frozen=True)
class Incident:
    """Light on the outside of a window's glass, (n,) slots of a `Sky`, W/m² averaged over it.

    `direct` comes from the sun and about it, at the angle whose cosine is `cos_incidence`;
    `diffuse` from sky, horizon and ground.
    """

    direct: Floats
    cos_incidence: Floats
    diffuse: Floats

    @property
    def total(self) -> Floats:
        """All of it."""
        return self.direct + self.diffuse

    def admitted(self, glass: GlassTable) -> Floats:
        """What enters the room through `glass`, W per m² of glass, (n,)."""
        return self.direct * glass.gain(self.cos_incidence) + self.diffuse * glass.diffuse


def light_on(site: Site, window: Window, sky: Sky) -> Incident:
    """The light on a window under its overhang, fins, reveal, skyline and surroundings."""
    start, end = int(sky.seconds.min()), int(sky.seconds.max()) + 1
    scene = window_scene(site, window, site.need, start, end)
    lit = scene.sunlit_share(Daylight(sky.seconds, sky.direction))
    return combine(sky, window, lit, window_views(scene, window, sky))


def combine(sky: Sky, window: Window, lit: Floats, seen: Views | SlotViews) -> Incident:
    """The light on a window of which the share `lit` (n,) is in sun and that sees `seen`."""
    normal = window_axes(window.azimuth, window.tilt)[2]
    cosine = np.maximum(np.tensordot(normal, sky.direction, axes=1), 0.0)
    direct = (sky.beam + sky.circumsolar) * cosine * lit
    slope = float(np.sin(np.radians(window.tilt)))
    dome = sky.isotropic * seen.sky + sky.horizon * slope * seen.horizon
    # A dark horizon takes from the dome, but never more than there is.
    return Incident(direct, cosine, np.maximum(dome, 0.0) + sky.ground * seen.ground)


@dataclass(frozen=True)
class SlotViews:
    """`Views` that change over the year, each (n,)."""

    sky: Floats
    ground: Floats
    horizon: Floats


def window_views(scene: WindowScene, window: Window, sky: Sky) -> Views | SlotViews:
    """What the window sees; of trees, with the leaves of each slot."""
    around = scene.surroundings
    if around is None:
        return glass_views(scene.glass, window.azimuth, window.tilt)
    if not around.trees:
        return _views_past(scene, around, window, float(sky.seconds[0]))
    leaves = np.stack([tree.foliage.share(sky.seconds) for tree in around.trees])
    _, first, which = np.unique(leaves, axis=1, return_index=True, return_inverse=True)
    states = [_views_past(scene, around, window, float(sky.seconds[at])) for at in first]
    index = which.reshape(-1)
    return SlotViews(
        *(
            np.array([getattr(state, name) for state in states])[index]
            for name in ("sky", "ground", "horizon")
        )
    )


def _views_past(scene: WindowScene, around: Surroundings, window: Window, second: float) -> Views:
    """Views past plates and surroundings, with the trees as at `second`."""

    def share(slopes: Slopes, _world: Floats) -> Floats:
        lit = sunlit_fraction(slopes.p, slopes.q, scene.glass)
        ask = np.flatnonzero(lit > 0.0)
        for piece in np.array_split(ask, max(1, len(ask) // POLYGONS_AT_ONCE)):
            seconds = np.full(len(piece), second)
            lit[piece] = around.beam_share(scene.glass, slopes.p[piece], slopes.q[piece], seconds)
        return lit

    return views(share, window.azimuth, window.tilt, COARSE)


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
