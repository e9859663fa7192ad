"""Glass in the sun as the search for enough power asks for it: one window's, or that of several."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from suncover.facade.daylight import Daylight
from suncover.facade.frame import GRAZING
from suncover.facade.glazed import AnyGlass, GlassRows
from suncover.facade.plates import sunlit_fraction
from suncover.facade.scene import WindowScene
from suncover.facade.search.beam_days import Steps
from suncover.facade.search.sun_grid import SPEED
from suncover.facade.yard.changes import beam_change
from suncover.facade.yard.cones import Path, Stretch
from suncover.facade.yard.swing import Change, Swing

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


class PowerGlass(Protocol):
    """The glass of some windows, each by its number `owner` (m,)."""

    power: float
    """From so much power on the glass, sun counts on it: W/m²."""
    is_clear: bool
    """Whether nothing stands before any of it, so that all of the beam arrives."""

    def ahead(self, owner: Ints, sun: Floats) -> Floats:
        """The cosine of incidence (..., m) of the sun (3, ..., m)."""

    def share(self, owner: Ints, times: Floats, sun: Floats) -> Floats:
        """The share of the beam that reaches it at times (m,), with the sun there (3, m)."""

    def change(self, steps: Steps, slack: Floats) -> Change:
        """How that may change along steps, from whose chords the sun strays by a slack (m,)."""

    def rough_change(self, owner: Ints, lowest: Floats, length: float) -> Floats:
        """By how much it may change in all, at little cost, in so many seconds in which the cosine
        of incidence is no less than `lowest` (m,).
        """


class OneGlass:
    """The glass of a window, with all that stands around it."""

    def __init__(self, scene: WindowScene) -> None:
        self._scene, self.power = scene, scene.power
        self.is_clear = scene.bare and scene.surroundings is None

    def ahead(self, owner: Ints, sun: Floats) -> Floats:
        """See `PowerGlass`."""
        del owner
        return np.asarray(np.tensordot(self._scene.axes[2], sun, axes=1))

    def share(self, owner: Ints, times: Floats, sun: Floats) -> Floats:
        """See `PowerGlass`."""
        del owner
        return self._scene.share_past(Daylight(times, sun))

    def change(self, steps: Steps, slack: Floats) -> Change:
        """See `PowerGlass`."""
        nodes = np.einsum("ij,jcm->icm", self._scene.axes, steps.sun)
        return self._scene.beam_change(Stretch(steps.begin, steps.end, Path(nodes, slack)))

    def rough_change(self, owner: Ints, lowest: Floats, length: float) -> Floats:
        """See `PowerGlass`."""
        del owner
        if self._scene.surroundings is not None:
            return np.full(lowest.shape, np.inf)
        return _rough_change(self._scene.glass, lowest, length)


class GlassesAlike:
    """The glass of windows with plates of the same kinds, nothing around them, and one power."""

    def __init__(self, scenes: Sequence[WindowScene]) -> None:
        self._axes = np.stack([scene.axes for scene in scenes])
        self._glass = GlassRows.of([scene.glass for scene in scenes])
        self.power = scenes[0].power
        self.is_clear = all(scene.bare for scene in scenes)

    def ahead(self, owner: Ints, sun: Floats) -> Floats:
        """See `PowerGlass`."""
        out = self._axes[owner, 2]
        return np.asarray(np.einsum("mj,j...m->...m", out, sun))

    def share(self, owner: Ints, times: Floats, sun: Floats) -> Floats:
        """See `PowerGlass`."""
        u, v, n = np.einsum("mij,jm->im", self._axes[owner], sun)
        share = np.zeros(times.shape)
        front = np.flatnonzero(n > GRAZING)
        p, q = u[front] / n[front], v[front] / n[front]
        share[front] = sunlit_fraction(p, q, self._glass.take(owner[front]))
        return share

    def change(self, steps: Steps, slack: Floats) -> Change:
        """See `PowerGlass`."""
        nodes = np.einsum("mij,jcm->icm", self._axes[steps.owner], steps.sun)
        return beam_change(self._glass.take(steps.owner), Swing.along(Path(nodes, slack)))

    def rough_change(self, owner: Ints, lowest: Floats, length: float) -> Floats:
        """See `PowerGlass`."""
        return _rough_change(self._glass.take(owner), lowest, length)


def _rough_change(glass: AnyGlass, lowest: Floats, length: float) -> Floats:
    """Rims of shadows are as long on a glass as that is wide and high, and move by the depths of
    plates times the sun's turn.
    """
    deep = glass.reveal + sum(plate.far for plate in glass.plates)
    with np.errstate(divide="ignore"):
        moved = np.where(lowest > 0.0, SPEED * length / lowest**2, np.inf)
    return np.asarray(moved * deep * (glass.width + glass.height) / glass.area)
