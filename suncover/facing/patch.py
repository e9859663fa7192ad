"""Where the far edge of the sun's patch on a room's floor lies.

The highest point of the glass that is in sun throws the far edge. With the sun at height h and the
azimuth γ from the window's normal, a point of the glass at height z above the floor throws its
light z cos γ / tan h into the room and z sin γ / tan h to the side.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from suncover.facade.frame import window_axes
from suncover.site.model import Window

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

ROWS = 65  # of the glass that are looked at; then as many again between the last two


def far_edge(window: Window, sun: Floats) -> tuple[float, float, float]:
    """The far edge of the patch: how far in, and where its left and right corner lie; metres.

    `sun` (3,) is the unit vector to the sun, east, north, up. The distance is at right angles from
    the upright plane through the lower edge of the glass; the corners are to the right of the
    middle of the glass, and left and right mean as seen from outdoors. All are nan while no sun
    comes through. Skyline and what stands around are not in it.
    """
    axes = window_axes(window.azimuth, window.tilt)
    along, up_glass, out = (float(part) for part in axes @ sun)
    if out <= 0.0 or sun[2] <= 0.0:
        return math.nan, math.nan, math.nan
    p, q = along / out, up_glass / out
    top = _highest_lit(window, p, q)
    if top is None:
        return math.nan, math.nan, math.nan
    left, right = _ends_of_row(window, p, q, top)
    tilt = math.radians(window.tilt)
    height = window.sill + top * math.sin(tilt)
    level_out = out * math.sin(tilt) - up_glass * math.cos(tilt)
    inward = top * math.cos(tilt) + height * level_out / float(sun[2])
    aside = -window.width / 2.0 - height * along / float(sun[2])
    return inward, left + aside, right + aside


def _highest_lit(window: Window, p: float, q: float) -> float | None:
    """Height on the glass of the highest row that has sun on it; None if none has."""
    low, high = 0.0, window.height
    for _ in range(2):
        rows = np.linspace(high, low, ROWS)
        sunny = np.flatnonzero(_lit(window, p, q, rows[:, None]).any(axis=1))
        if len(sunny) == 0:
            return None
        first = int(sunny[0])
        high, low = rows[max(first - 1, 0)], rows[first]
    return float(low)


def _ends_of_row(window: Window, p: float, q: float, row: float) -> tuple[float, float]:
    """Where the sun begins and ends along a row of the glass."""
    across = np.linspace(0.0, window.width, 8 * ROWS)
    sunny = across[_lit(window, p, q, np.array([row]), across)]
    return (float(sunny[0]), float(sunny[-1])) if len(sunny) else (0.0, window.width)


def _lit(window: Window, p: float, q: float, y: Floats, x: Floats | None = None) -> Bools:
    """Whether points (x, y) of the glass see the sun past reveal, overhang and fins."""
    if x is None:
        x = np.linspace(0.0, window.width, ROWS)
    face_x, face_y = x + p * window.reveal, y + q * window.reveal
    edge = 1e-9
    free = (face_x >= -edge) & (face_x <= window.width + edge)
    free = free & (face_y >= -edge) & (face_y <= window.height + edge)
    if (roof := window.overhang) is not None and q > 0.0:
        reach = (window.height + roof.gap - y) / q
        hit = (reach >= window.reveal) & (reach < window.reveal + roof.depth)
        free = free & ~(hit & _within(x + p * reach, window.width, roof.left, roof.right))
    for fin in window.fins:
        to_fin = (-fin.gap - x) if fin.side == "left" else (window.width + fin.gap - x)
        if p == 0.0 or (p < 0.0) != (fin.side == "left"):
            continue
        reach = to_fin / p
        hit = (reach >= window.reveal) & (reach < window.reveal + fin.depth)
        free = free & ~(hit & _within(y + q * reach, window.height, fin.below, fin.above))
    return np.asarray(free)


def _within(at: Floats, length: float, past_low: float | None, past_high: float | None) -> Bools:
    """Whether places are on a plate that runs past 0 and `length` by these (None: endless)."""
    low = -np.inf if past_low is None else -past_low
    high = np.inf if past_high is None else length + past_high
    return np.asarray((at >= low) & (at <= high))
