"""How much of the sun's heat reaches a shade's windows in some spells, under a clear sky.

The beam alone, on the outside of the glass: clear-sky direct normal irradiance, times the cosine of
the angle of incidence, times the share of the glass in sun and its area, summed minute by minute.
Under clouds it is less; what of it enters the room depends on the glass.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from suncover.base.spell import Spell
from suncover.facade.daylight import Daylight
from suncover.facade.exposure import observer_of, window_scene
from suncover.facade.frame import window_axes
from suncover.site.model import Shade, Site, Window
from suncover.sun.clearsky import dni_at

STEP_S = 60
J_PER_KWH = 3.6e6


def beam_kwh(site: Site, shade: Shade, spells: Sequence[Spell]) -> float:
    """The beam's energy on the windows of a shade during some spells (sorted), in kWh."""
    return sum(window_beam_kwh(site, site.window(name), spells) for name in shade.windows)


def window_beam_kwh(site: Site, window: Window, spells: Sequence[Spell]) -> float:
    """The beam's energy on one window during some spells (sorted), in kWh."""
    if not spells:
        return 0.0
    instants, weights = _samples(spells)
    observer = observer_of(site.place)
    sun = Daylight.of(instants, observer)
    strength = dni_at(instants, observer) * weights
    scene = window_scene(site, window, site.need, spells[0].start, spells[-1].end)
    normal = window_axes(window.azimuth, window.tilt)[2]
    facing = np.maximum(np.tensordot(normal, sun.direction, axes=1), 0.0)
    lit = scene.sunlit_share(sun)
    return float((strength * facing * lit).sum()) * window.width * window.height / J_PER_KWH


def _samples(spells: Sequence[Spell]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """The middles of pieces of at most a minute, and how many seconds each is."""
    middles, lengths = [], []
    for spell in spells:
        count = -(-spell.seconds // STEP_S)
        edges = np.linspace(spell.start, spell.end, count + 1)
        middles.append((edges[1:] + edges[:-1]) / 2)
        lengths.append(np.diff(edges))
    return np.concatenate(middles), np.concatenate(lengths)
