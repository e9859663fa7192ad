"""How much of sky, horizon and ground the glass sees past its plates, reveal and surroundings.

Light that comes evenly from all of the sky reaches a piece of glass in proportion to its view
factor: the cosine of the angle of incidence, integrated over all the sky it sees, over pi. Averaged
over the glass, the sky seen in one direction is the share of the glass that a sun standing there
would light. So the same exact shadows that serve for the beam give the view factors, and no second
geometry can disagree with them:

    F = 1/pi  integral of  cos(incidence) * share of the glass lit from there  over the solid angle

Directions are counted by w, the angle out of the plane u-n seen along the glass's width (see
`suncover.facade.frame`), and a, the angle to the side of the plane v-n. Then cos(incidence) =
cos a cos w, and a piece of solid angle is cos a da dw: F = 1/pi integral of cos(a)^2 da dsin(w).
The horizon is the line w = tilt - 90 degrees at every a, so that sky and ground never share a cell.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from suncover.facade.frame import Slopes, window_axes
from suncover.facade.glazed import Glass
from suncover.facade.plates import sunlit_fraction

Floats = NDArray[np.float64]

Share = Callable[[Slopes, Floats], Floats]
"""Share of the glass lit from each of n directions in front of it: (slopes, directions (3, n))."""

# Cells in sin w and in a. The error is that of the midpoint rule where shadows set in, below 1e-4.
FINE = (160, 80)
# Where each direction costs polygons: below 2e-3.
COARSE = (48, 32)
# Azimuths along the horizon.
HORIZON_CELLS = 180


@dataclass(frozen=True)
class Views:
    """What the glass sees, averaged over it.

    `sky` and `ground` are view factors: an open wall has 0.5 of each, and their sum is at most 1.
    `horizon` is the share of the band along the horizon that is seen, 1 for an open window.
    """

    sky: float
    ground: float
    horizon: float


def open_views(tilt: float) -> Views:
    """Views of a window with nothing before it: (1 + cos tilt) / 2 of the sky, the rest ground.

    Liu and Jordan's isotropic view factors (Duffie and Beckman, Solar Engineering of Thermal
    Processes, section 2.15).
    """
    rise = float(np.cos(np.radians(tilt)))
    return Views((1.0 + rise) / 2.0, (1.0 - rise) / 2.0, 1.0)


def glass_views(glass: Glass, azimuth: float, tilt: float) -> Views:
    """Views past the plates and the reveal of `glass`, whose window faces `azimuth` at `tilt`
    degrees.
    """
    if not glass.plates and glass.reveal == 0.0:
        return open_views(tilt)
    return views(lambda slopes, _: sunlit_fraction(slopes.p, slopes.q, glass), azimuth, tilt)


def views(share: Share, azimuth: float, tilt: float, cells: tuple[int, int] = FINE) -> Views:
    """Views for any `share` of the glass lit from a direction, by the midpoint rule.

    `azimuth` and `tilt` in degrees; `cells` in sin w and in a, for the sky and for the ground each.
    """
    axes = window_axes(azimuth, tilt)
    horizon = np.radians(tilt - 90.0)
    sky = _half(share, axes, (float(np.sin(horizon)), 1.0), cells)
    ground = _half(share, axes, (-1.0, float(np.sin(horizon))), cells)
    return Views(sky, ground, _band(share, axes, tilt))


def _half(share: Share, axes: Floats, limits: tuple[float, float], cells: tuple[int, int]) -> float:
    """View factor of the part of the hemisphere whose sin w lies between `limits`."""
    low, high = limits
    if high - low < 1e-12:
        return 0.0
    rows, columns = cells
    sine = low + (high - low) * (np.arange(rows) + 0.5) / rows
    side = np.pi * ((np.arange(columns) + 0.5) / columns - 0.5)
    height, across = (grid.ravel() for grid in np.meshgrid(np.arcsin(sine), side, indexing="ij"))
    level = np.cos(across)
    local = np.stack([np.sin(across), level * np.sin(height), level * np.cos(height)])
    lit = _lit(share, axes, local)
    cell = (high - low) / rows * (np.pi / columns)
    return float((lit * level**2).sum() * cell / np.pi)


def _band(share: Share, axes: Floats, tilt: float) -> float:
    """Seen share of the band along the horizon, weighted by the cosine of its azimuth's turn."""
    if abs(np.sin(np.radians(tilt))) < 1e-9:
        return 1.0
    turn = np.pi * ((np.arange(HORIZON_CELLS) + 0.5) / HORIZON_CELLS - 0.5)
    slope = np.radians(tilt)
    local = np.stack([np.sin(turn), -np.cos(turn) * np.cos(slope), np.cos(turn) * np.sin(slope)])
    weight = np.cos(turn)
    return float((_lit(share, axes, local) * weight).sum() / weight.sum())


def _lit(share: Share, axes: Floats, local: Floats) -> Floats:
    """The share for directions in the window's axes, all of them in front of the glass."""
    world = axes.T @ local
    # From the local directions themselves: through the world's axes, a zero would lose its sign.
    slopes = Slopes(local[0] / local[2], local[1] / local[2], local[2])
    return share(slopes, world)
