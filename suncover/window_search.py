"""Sun on many windows of one place: what they share is found once.

Whether the sun is up and strong enough is the same for all windows, a skyline often for several. So
the times of sun on a window are what three things have in common: the times of enough sun, those of
the sun above its skyline, and those of sun on its glass past its reveal and plates.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from suncover.crossings import CHUNK_DAYS, clip, common, join, lit_intervals, sampled
from suncover.facade.conditions import is_simple
from suncover.facade.daylight import BeamGate
from suncover.facade.scene import SkyScene, WindowScene
from suncover.facade.skyline import Skyline
from suncover.sun import DAY, Observer
from suncover.sweep import STEPS, SunGrid, unshaded_intervals

Floats = NDArray[np.float64]


class SunSearch:
    """The search for sun on windows of `observer`'s place from `start` to `end`, unix seconds."""

    def __init__(self, observer: Observer, start: float, end: float) -> None:
        self._observer, self._start, self._end = observer, start, end
        days = int(np.ceil(max(end - start, 0.0) / DAY))
        self._grids = [
            SunGrid(observer, start + first * DAY, min(CHUNK_DAYS, days - first))
            for first in range(0, days, CHUNK_DAYS)
        ]
        self._enough: dict[BeamGate, Floats] = {}
        self._above: dict[Skyline, Floats] = {}

    def on_window(self, scene: WindowScene) -> Floats:
        """When `scene` is lit: intervals (n, 2), sorted, disjoint, ends within 0.05 s."""
        if scene.surroundings is not None or scene.fraction > 0.0 or not is_simple(scene.glass):
            return lit_intervals(scene, self._observer, self._start, self._end)
        found = self._with_enough_sun(scene.gate)
        for skyline in scene.skylines:
            found = common(found, self._above_skyline(skyline))
        return common(found, self._on_glass(scene))

    def _on_glass(self, scene: WindowScene) -> Floats:
        """Sun on the glass past its reveal and plates, as long as the sun is up."""
        parts: list[Floats] = [np.zeros((0, 2))]
        for grid in self._grids:
            lit, rest = unshaded_intervals(grid, scene.axes, scene.glass)
            parts += [lit, sampled(scene, self._observer, rest[:, 0], STEPS[-1])]
        return clip(join(np.concatenate(parts)), self._start, self._end)

    def _with_enough_sun(self, gate: BeamGate) -> Floats:
        if gate not in self._enough:
            self._enough[gate] = self._sky(SkyScene(gate))
        return self._enough[gate]

    def _above_skyline(self, skyline: Skyline) -> Floats:
        if skyline not in self._above:
            self._above[skyline] = self._sky(SkyScene(None, (skyline,)))
        return self._above[skyline]

    def _sky(self, scene: SkyScene) -> Floats:
        return lit_intervals(scene, self._observer, self._start, self._end)
