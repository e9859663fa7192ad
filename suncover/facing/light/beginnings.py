"""How the beam begins on a light sensor, by where it lies: shapes of light over time."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

REFRACTION = 1.526  # index of window glass
# Cosine of the sun's angle to the glass as it comes round a frame to a sensor 3 cm behind the glass
# and 30 cm from its edge.
FRAME_GLANCE = 0.1


class Beginning(NamedTuple):
    """How the beam begins on a sensor: one that stands `upright`, with the cosine of the beam's
    angle to the glass, one that lies, with the sine of its height, or `even`, at any angle, as one
    that tells only sun or no sun; behind `panes`, which let little through at a glance.

    With a `shadow` it begins at once, where a shadow's edge passes; else as the sun comes round the
    wall, or a little later round a `frame` before a sensor that lies behind the panes. `prior` is
    how likely it is beforehand: sensors mostly see the wall's plane.
    """

    way: str
    panes: int
    shadow: bool
    prior: float
    frame: bool = False


SHAPES = {
    "ramp": Beginning("upright", 0, shadow=False, prior=1.0),
    "one pane": Beginning("upright", 1, shadow=False, prior=1.0),
    "two panes": Beginning("upright", 2, shadow=False, prior=1.0),
    "three panes": Beginning("upright", 3, shadow=False, prior=0.5),
    "frame, one pane": Beginning("upright", 1, shadow=False, prior=0.5, frame=True),
    "frame, two panes": Beginning("upright", 2, shadow=False, prior=0.5, frame=True),
    "step": Beginning("upright", 0, shadow=True, prior=0.3),
    "step within": Beginning("upright", 2, shadow=True, prior=0.1),
    "lying, one pane": Beginning("lying", 1, shadow=False, prior=0.1),
    "lying, two panes": Beginning("lying", 2, shadow=False, prior=0.1),
    "flat": Beginning("lying", 0, shadow=True, prior=0.2),
    "flat within": Beginning("lying", 2, shadow=True, prior=0.2),
    "even": Beginning("even", 0, shadow=True, prior=0.1),
}


@dataclass(frozen=True)
class Beams:
    """The beam's light at `hours` (n,) if it begins at each of `tried` (m,), for any shape.

    `beam`, `cosine` and `sine` (n,) are its strength, that of its angle to the glass and that of
    its height. What several shapes have in common is worked out once.
    """

    tried: Floats
    hours: Floats
    beam: Floats
    cosine: Floats
    sine: Floats

    def lights(self, shape: Beginning) -> Floats:
        """The light if it begins in such a way: shape (m, n)."""
        strength: Floats
        if shape.way == "upright":
            strength = self._rise(shape) * self.beam
        elif shape.way == "lying":
            strength = self.sine * self.beam
        else:
            strength = np.ones_like(self.beam)
        if shape.panes:
            strength = strength * self._through(shape)
        return np.where(self._begun, strength, 0.0)

    @cached_property
    def _begun(self) -> NDArray[np.bool_]:
        return self.hours[None, :] > self.tried[:, None]

    def _rise(self, shape: Beginning) -> Floats:
        if shape.shadow:
            return self._seen_at_once
        return self._round_a_frame if shape.frame else self._coming_round

    @cached_property
    def _seen_at_once(self) -> Floats:
        return np.maximum(self.cosine, 0.02)

    @cached_property
    def _coming_round(self) -> Floats:
        """The wall may face a little another way, so that the sun comes round it at the moment."""
        at = np.interp(self.tried, self.hours, self.cosine)
        return np.maximum(self.cosine[None, :] - at[:, None], 0.0)

    @cached_property
    def _round_a_frame(self) -> Floats:
        return self._coming_round + FRAME_GLANCE

    def _through(self, shape: Beginning) -> Floats:
        name = shape.shadow, shape.frame, shape.panes
        if name not in self._known:
            self._known[name] = through_panes(self._rise(shape), shape.panes)
        return self._known[name]

    @cached_property
    def _known(self) -> dict[tuple[bool, bool, int], Floats]:
        return {}


def through_panes(cosine: Floats, panes: int) -> Floats:
    """Share of the beam that `panes` clear panes let through, by the cosine of its incidence.

    Fresnel's formulas and reflections between the faces, without what the glass absorbs (J. Duffie
    and W. Beckman, Solar Engineering of Thermal Processes, 4th edition, 2013, section 5.1).
    """
    outside = np.clip(cosine, 1e-6, 1.0)
    inside = np.sqrt(1.0 - (1.0 - outside**2) / REFRACTION**2)
    across = (outside - REFRACTION * inside) / (outside + REFRACTION * inside)
    along = (REFRACTION * outside - inside) / (REFRACTION * outside + inside)
    faces = 2 * panes - 1
    return np.asarray(sum((1.0 - r**2) / (1.0 + faces * r**2) for r in (across, along)) / 2.0)
