"""What can never shade a window of a site, on no day and at no minute.

An upright solid lies, as seen from the glass, within a span of azimuths and below some elevation.
The sun is only ever near the equator of the sky: its declination stays within the Earth's tilt. So
a solid is left out only if all of it lies behind the glass, below its lower edge, or in a part of
the sky where the sun never is while it is up. These are bounds and no estimates: what they leave
out changes no minute of sun.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from suncover.facade.frame import window_axes
from suncover.site.model import Window

Floats = NDArray[np.float64]

# Degrees of declination that the sun never leaves: the tilt of the Earth's axis was 23.452 in 1900
# (J. Meeus, Astronomical Algorithms, 2nd edition, formula 22.2) and falls; and what refraction and
# parallax may seem to add, 0.6 at the horizon, with something to spare.
MOST_DECLINATION = 23.46 + 0.85


@dataclass(frozen=True)
class Solid:
    """An upright solid: corners (k, 2) of a convex outline about it, and its `top`; in metres."""

    outline: Floats
    top: float


class Watched:
    """The windows of a site that have a position, and the sky of its latitude."""

    def __init__(self, windows: Iterable[Window], latitude: float) -> None:
        self._latitude = np.radians(latitude)
        self._panes = [_corners(window) for window in windows if window.position is not None]

    def __len__(self) -> int:
        return len(self._panes)

    def may_shade(self, solid: Solid) -> bool:
        """Whether a solid may ever stand between the sun and one of the windows."""
        return any(self._may_shade(solid, glass, outward) for glass, outward in self._panes)

    def _may_shade(self, solid: Solid, glass: Floats, outward: Floats) -> bool:
        lowest = float(glass[:, 2].min())
        if solid.top <= lowest:
            return False
        # A point of the solid is farthest out at its top or, for glass that leans out, at its foot.
        up = max(solid.top * outward[2], lowest * outward[2])
        ahead = solid.outline @ outward[:2] + up - float((glass @ outward).min())
        if ahead.max() <= 0.0:
            return False
        span = _span(solid.outline, glass[:, :2])
        if span is None:
            return True  # so near that it may be in any direction
        first, width, nearest = span
        most_up = float(np.arctan2(solid.top - lowest, nearest))
        low, high = _declinations(first, width, most_up, self._latitude)
        limit = np.sin(np.radians(MOST_DECLINATION))
        return bool(low <= limit and high >= -limit)


def _corners(window: Window) -> tuple[Floats, Floats]:
    """The corners of a glass (4, 3) on the site, and its outward normal."""
    assert window.position is not None
    axes = window_axes(window.azimuth, window.tilt)
    middle = np.array([*window.position, window.floor + window.sill])
    across, along = axes[0] * window.width / 2.0, axes[1] * window.height
    low = middle[None, :] + np.stack([-across, across])
    return np.concatenate([low, low + along]), axes[2]


def _span(outline: Floats, glass: Floats) -> tuple[float, float, float] | None:
    """The azimuths in which a convex outline lies from a glass, as the first of them and how far
    they reach clockwise (radians), and the least distance; None where they may go all round.
    """
    import shapely

    hull = shapely.convex_hull(shapely.MultiPoint(outline))
    pane = shapely.convex_hull(shapely.MultiPoint(glass))
    nearest = float(hull.distance(pane))
    if nearest <= 0.0:
        return None
    # From any point of the glass to any of the outline: the differences span a convex set that
    # does not hold the origin, so it lies within half a turn.
    away = (outline[None, :, :] - glass[:, None, :]).reshape(-1, 2)
    azimuth = np.arctan2(away[:, 0], away[:, 1])
    middle = np.arctan2(away[:, 0].sum(), away[:, 1].sum())
    turned = (azimuth - middle + np.pi) % (2.0 * np.pi) - np.pi
    return float(middle + turned.min()), float(np.ptp(turned)), nearest


def _declinations(first: float, width: float, most_up: float, latitude: float) -> Floats:
    """The sines of the least and of the greatest declination in a span of azimuths (`first`, and
    clockwise `width`), from the horizon to `most_up`; radians.
    """
    ends = [first, first + width]
    # The cosine is greatest due north and least due south, where they lie within the span.
    cosines = [float(np.cos(end)) for end in ends]
    if _holds(first, width, 0.0):
        cosines.append(1.0)
    if _holds(first, width, np.pi):
        cosines.append(-1.0)
    sine, level = np.sin(latitude), np.cos(latitude)

    def at(up: float, cosine: float) -> float:
        return float(sine * np.sin(up) + level * np.cos(up) * cosine)

    # Upward along one azimuth it is a wave, whose trough or crest may lie in between.
    worst, best = min(cosines), max(cosines)
    trough = float(np.clip(np.arctan2(-sine, -level * worst), 0.0, most_up))
    crest = float(np.clip(np.arctan2(sine, level * best), 0.0, most_up))
    return np.array(
        [
            min(at(up, worst) for up in (0.0, trough, most_up)),
            max(at(up, best) for up in (0.0, crest, most_up)),
        ]
    )


def _holds(first: float, width: float, azimuth: float) -> bool:
    return bool((azimuth - first) % (2.0 * np.pi) <= width)
