"""Glass by its physics: panes of Fresnel and Bouguer, stacked, and the heat they let in.

A pane reflects at its two faces (Fresnel, for each polarisation) and absorbs between them (Bouguer
and Lambert). In a stack, light goes to and fro between the panes until all of it is through, turned
back or absorbed. Of what a pane absorbs, a part flows inward by the thermal resistances on its two
sides. What comes in altogether is the solar heat gain coefficient, or g-value:

    g(angle) = T(angle) + sum over the panes of N_i A_i(angle)

References: Duffie and Beckman, Solar Engineering of Thermal Processes, sections 5.1 to 5.3; ASHRAE
Handbook, Fundamentals, fenestration chapter; EN 410 and EN 673 for the surface coefficients.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

# Heat transfer at the outer and the inner face, W/m²K: EN 410 and EN 673 (from memory).
OUTSIDE_H, INSIDE_H = 23.0, 8.0
# Conductivity of glass, W/mK (EN 673; from memory).
GLASS_CONDUCTIVITY = 1.0
# Index of refraction of window glass (Duffie and Beckman, table 5.1.1).
GLASS_INDEX = 1.526
# Stands for 90 degrees, where all is turned back and shares of nothing would be asked for.
GRAZING = 90.0 - 1e-9


@dataclass(frozen=True)
class Pane:
    """A pane: `thickness` in mm, `extinction` in 1/mm.

    With a `coating`, its solar transmittance and its reflectances to the front (outer face) and
    back, all at normal incidence, stand in for what the bare pane has. They follow the angle as the
    bare pane's do: transmittance in proportion, reflectance by the share of the way to 1. That is
    an approximation of ours; a maker's table by angle is better where it is to be had.
    """

    thickness: float
    extinction: float
    index: float = GLASS_INDEX
    coating: tuple[float, float, float] | None = None


@dataclass(frozen=True)
class Optics:
    """Shares of the light by angle, shape (..., angles): through, turned back from either side."""

    through: Floats
    front: Floats
    back: Floats


def fresnel(angle: ArrayLike, index: float) -> tuple[Floats, Floats]:
    """Reflectance of one face for the two polarisations (across, along) at `angle` in degrees.

    Duffie and Beckman, eqs. 5.1.1 to 5.1.4, written without the division by zero at 0 degrees.
    """
    outside = np.radians(np.asarray(angle, dtype=np.float64))
    cos_out = np.cos(outside)
    cos_in = np.sqrt(1.0 - (np.sin(outside) / index) ** 2)
    across = ((cos_out - index * cos_in) / (cos_out + index * cos_in)) ** 2
    along = ((index * cos_out - cos_in) / (index * cos_out + cos_in)) ** 2
    return across, along


def pane_optics(pane: Pane, angle: ArrayLike) -> Optics:
    """A pane by itself: shape (2 polarisations, angles)."""
    degrees = np.minimum(np.atleast_1d(np.asarray(angle, dtype=np.float64)), GRAZING)
    through, back = _uncoated(pane, degrees)
    if pane.coating is None:
        return Optics(through, back, back)
    normal_through, normal_back = _uncoated(pane, np.zeros(1))
    passed, front_0, back_0 = pane.coating
    way = (back - normal_back) / (1.0 - normal_back)
    scaled = passed * through / normal_through
    return Optics(scaled, front_0 + (1.0 - front_0) * way, back_0 + (1.0 - back_0) * way)


def _uncoated(pane: Pane, degrees: Floats) -> tuple[Floats, Floats]:
    """Transmittance and reflectance of an uncoated pane (Duffie and Beckman, eqs. 5.3.1, 5.3.2)."""
    face = np.stack(fresnel(degrees, pane.index))
    cos_in = np.sqrt(1.0 - (np.sin(np.radians(degrees)) / pane.index) ** 2)
    passed = np.exp(-pane.extinction * pane.thickness / cos_in)
    echo = 1.0 - (face * passed) ** 2
    through = passed * (1.0 - face) ** 2 / echo
    return through, face * (1.0 + passed * through)


def stack_optics(panes: tuple[Pane, ...], angle: ArrayLike) -> tuple[Floats, Floats]:
    """Transmittance (angles,) and absorptance of each pane (panes, angles), outermost pane first.

    Light without polarisation: the mean over both.
    """
    layers = [pane_optics(pane, angle) for pane in panes]
    # What each pane and those inward of it turn back.
    inner = [np.zeros_like(layers[0].through)]
    for layer in reversed(layers):
        below = inner[0]
        inner.insert(0, layer.front + layer.through**2 * below / (1.0 - layer.back * below))
    arriving = np.ones_like(layers[0].through)
    absorbed = []
    for layer, below in zip(layers, inner[1:], strict=True):
        onward = arriving * layer.through / (1.0 - layer.back * below)
        returned = onward * below
        soaked = arriving * (1.0 - layer.front - layer.through)
        soaked = soaked + returned * (1.0 - layer.back - layer.through)
        absorbed.append(soaked.mean(axis=0))
        arriving = onward
    return arriving.mean(axis=0), np.stack(absorbed)


def u_value(panes: tuple[Pane, ...], gaps: tuple[float, ...]) -> float:
    """Thermal transmittance in W/m²K; `gaps` the conductances between the panes, W/m²K."""
    return 1.0 / _resistances(panes, gaps)[1]


def inward_shares(panes: tuple[Pane, ...], gaps: tuple[float, ...]) -> Floats:
    """Share of the heat absorbed in each pane that flows inward: the resistance to the outside over
    the whole.
    """
    before, total = _resistances(panes, gaps)
    return np.asarray(before / total)


def _resistances(panes: tuple[Pane, ...], gaps: tuple[float, ...]) -> tuple[Floats, float]:
    """From the outside air to each pane's middle, and to the room's air; m²K/W."""
    if len(gaps) != len(panes) - 1:
        raise ValueError(f"{len(panes)} panes have {len(panes) - 1} gaps, not {len(gaps)}")
    at, before = 1.0 / OUTSIDE_H, []
    for pane, gap in zip(panes, (*gaps, INSIDE_H), strict=True):
        through = pane.thickness / 1000.0 / GLASS_CONDUCTIVITY
        before.append(at + through / 2.0)
        at += through + 1.0 / gap
    return np.array(before), at


def heat_gain(panes: tuple[Pane, ...], gaps: tuple[float, ...], angle: ArrayLike) -> Floats:
    """g-value at each angle of incidence in degrees, shape (angles,)."""
    through, absorbed = stack_optics(panes, angle)
    return np.asarray(through + inward_shares(panes, gaps) @ absorbed)


def hemispherical(angles: ArrayLike, gains: ArrayLike) -> float:
    """Gain for light that comes evenly from a hemisphere: integral of g sin(2 angle), 0 to 90.

    `gains` at `angles` in degrees, linear between; the integral of the straight pieces is exact.
    """
    degrees, values = np.asarray(angles, dtype=float), np.asarray(gains, dtype=float)
    turn = np.radians(degrees)
    slope = np.diff(values) / np.diff(turn)
    # With g = a + b t, the integral of g sin 2t is  -g cos(2t)/2 + b sin(2t)/4.
    upper = -values[1:] * np.cos(2 * turn[1:]) / 2 + slope * np.sin(2 * turn[1:]) / 4
    lower = -values[:-1] * np.cos(2 * turn[:-1]) / 2 + slope * np.sin(2 * turn[:-1]) / 4
    return float((upper - lower).sum())
