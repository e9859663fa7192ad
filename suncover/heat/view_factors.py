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

What a recess leaves of the sky lies nearer the normal, where glass lets in more. So the factors are
kept by the angle of incidence as well (`Views.by_angle`).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import cache

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
# Among obstacles, whose edges lie somewhere among the cells: below 2e-3.
COARSE = (96, 64)
# Azimuths along the horizon.
HORIZON_CELLS = 180
# Degrees of incidence that are counted together.
ANGLE_STEP = 2.0
ANGLES: Floats = np.arange(ANGLE_STEP / 2.0, 90.0, ANGLE_STEP)


@dataclass(frozen=True)
class Views:
    """What the glass sees, averaged over it.

    `sky` and `ground` are view factors: an open wall has 0.5 of each, and their sum is at most 1.
    `horizon` is the share of the band along the horizon that is seen, 1 for an open window.
    `by_angle` (3, len(`ANGLES`)) has the three of them by the angle of incidence, its rows summing
    up to them; where it is not known, light is let in as past an open window.
    """

    sky: float
    ground: float
    horizon: float
    by_angle: Floats = field(
        default_factory=lambda: np.zeros((3, len(ANGLES))), repr=False, compare=False
    )

    def gains(self, gain: Callable[[Floats], Floats], tilt: float) -> Floats:
        """By how much light from sky, ground and horizon is let in better than past an open window
        of that tilt, (3,): mean gains against mean gains; 1 where there is none.

        `gain` gives what comes in of light at angles of incidence by their cosines.
        """
        at = gain(np.cos(np.radians(ANGLES)))
        passed, free = (_mean(views.by_angle, at) for views in (self, open_views(tilt)))
        has_light = (passed > 0.0) & (free > 0.0)
        return np.where(has_light, passed / np.where(free > 0.0, free, 1.0), 1.0)


def _mean(by_angle: Floats, at: Floats) -> Floats:
    total = by_angle.sum(axis=1)
    return np.asarray((by_angle @ at) / np.where(total > 0.0, total, 1.0))


@cache
def open_views(tilt: float) -> Views:
    """Views of a window with nothing before it: (1 + cos tilt) / 2 of the sky, the rest ground.

    Liu and Jordan's isotropic view factors (Duffie and Beckman, Solar Engineering of Thermal
    Processes, section 2.15).
    """
    rise = float(np.cos(np.radians(tilt)))
    spread = views(lambda slopes, _: np.ones_like(slopes.p), 0.0, tilt)
    return Views((1.0 + rise) / 2.0, (1.0 - rise) / 2.0, 1.0, spread.by_angle)


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
    parts = view_parts(tilt, cells)
    return views_of(parts, [share(part.slopes, axes.T @ part.local) for part in parts])


@dataclass(frozen=True)
class ViewPart:
    """Directions to a part of what an open window sees: sky, ground or the band of the horizon.

    `local` (3, n) in the window's axes, `slopes` the same, `weight` (n,) what each direction adds
    to the factor when all of the glass is lit from there, `bin` (n,) where it is in `ANGLES`.
    """

    local: Floats
    slopes: Slopes
    weight: Floats
    bin: NDArray[np.intp]

    @classmethod
    def of(cls, local: Floats, weight: Floats) -> ViewPart:
        """The part of some directions, all of them in front of the glass."""
        # From the local directions themselves: through the world's axes, a zero would lose its
        # sign.
        slopes = Slopes(local[0] / local[2], local[1] / local[2], local[2])
        angle = np.degrees(np.arccos(np.clip(local[2], 0.0, 1.0)))
        place = np.minimum((angle / ANGLE_STEP).astype(np.intp), len(ANGLES) - 1)
        return cls(local, slopes, weight, place)


@cache
def view_parts(tilt: float, cells: tuple[int, int]) -> tuple[ViewPart, ViewPart, ViewPart]:
    """All directions of a window of that tilt in degrees: sky, ground, horizon."""
    horizon = float(np.sin(np.radians(tilt - 90.0)))
    return _half((horizon, 1.0), cells), _half((-1.0, horizon), cells), _band(tilt)


def views_of(parts: Sequence[ViewPart], lit: Sequence[Floats]) -> Views:
    """The views where the shares `lit` of the glass, (n,) for each part, see its directions."""
    by_angle: Floats = np.stack(
        [
            np.bincount(part.bin, part.weight * share, len(ANGLES)).astype(np.float64)
            for part, share in zip(parts, lit, strict=True)
        ]
    )
    # A band seen whole is 1, without a sum's rounding.
    sky, ground, horizon = (round(float(total), 12) for total in by_angle.sum(axis=1))
    return Views(sky, ground, horizon if len(parts[2].weight) else 1.0, by_angle)


def _half(limits: tuple[float, float], cells: tuple[int, int]) -> ViewPart:
    """The part of the hemisphere whose sin w lies between `limits`."""
    low, high = limits
    rows, columns = cells if high - low > 1e-12 else (0, 0)
    sine = low + (high - low) * (np.arange(rows) + 0.5) / max(rows, 1)
    side = np.pi * ((np.arange(columns) + 0.5) / max(columns, 1) - 0.5)
    height, across = (grid.ravel() for grid in np.meshgrid(np.arcsin(sine), side, indexing="ij"))
    level = np.cos(across)
    local = np.stack([np.sin(across), level * np.sin(height), level * np.cos(height)])
    cell = (high - low) / max(rows, 1) * (np.pi / max(columns, 1))
    return ViewPart.of(local, level**2 * cell / np.pi)


def _band(tilt: float) -> ViewPart:
    """The band along the horizon, weighted by the cosine of its azimuth's turn."""
    slope = np.radians(tilt)
    count = HORIZON_CELLS if abs(np.sin(slope)) > 1e-9 else 0
    turn = np.pi * ((np.arange(count) + 0.5) / max(count, 1) - 0.5)
    local = np.stack([np.sin(turn), -np.cos(turn) * np.cos(slope), np.cos(turn) * np.sin(slope)])
    weight = np.cos(turn)
    return ViewPart.of(local, weight / max(weight.sum(), 1e-12))
