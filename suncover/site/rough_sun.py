"""How long the sun is on a window, roughly: for remarks, with neither tables of the sun nor arrays.

Declination after Cooper (Duffie and Beckman, Solar Engineering of Thermal Processes, eq. 1.6.1a),
no refraction; a clear sky's beam of 1353 · 0.7^(m^0.678) W/m² for the air mass m = 1 / sin(height)
(Meinel and Meinel, Applied Solar Energy, 1976, from memory); overhangs and fins as if endless.
Good to a quarter of an hour or so. No result hangs on it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date

from suncover.site.model import Window

STEP_H = 0.25


@dataclass(frozen=True)
class RoughDay:
    """Hours of sun on a window on one day, and how many of them put less than `below` W on each m²
    of its glass.
    """

    window: str
    day: date
    hours: float
    slight: float


def rough_day(window: Window, latitude: float, day: date, beam: float, below: float) -> RoughDay:
    """The sun on a window, counted from a clear sky's `beam` on, W/m²."""
    turn = 2.0 * math.pi * (284 + day.timetuple().tm_yday) / 365.0
    declination = math.radians(23.45 * math.sin(turn))
    hours = slight = 0.0
    for step in range(round(24.0 / STEP_H)):
        angle = math.pi * (step * STEP_H / 12.0 - 1.0)
        watts = _power(window, math.radians(latitude), declination, angle, beam)
        if watts > 0.0:
            hours += STEP_H
            slight += STEP_H if watts < below else 0.0
    return RoughDay(window.name, day, hours, slight)


def _power(
    window: Window, latitude: float, declination: float, hour_angle: float, beam: float
) -> float:
    """W/m² over the whole glass; 0 where the sun does not count."""
    up = math.sin(latitude) * math.sin(declination) + math.cos(latitude) * math.cos(
        declination
    ) * math.cos(hour_angle)
    east = -math.cos(declination) * math.sin(hour_angle)
    north = math.cos(latitude) * math.sin(declination) - math.sin(latitude) * math.cos(
        declination
    ) * math.cos(hour_angle)
    if up <= 0.0:
        return 0.0
    strength: float = 1353.0 * 0.7 ** (up**-0.678)
    a, t = math.radians(window.azimuth), math.radians(window.tilt)
    level = east * math.sin(a) + north * math.cos(a)
    out = math.sin(t) * level + math.cos(t) * up
    if strength < beam or out <= 0.01:
        return 0.0
    right = (north * math.sin(a) - east * math.cos(a)) / out
    rise = (math.sin(t) * up - math.cos(t) * level) / out
    return strength * out * _share(window, right, rise)


def _share(window: Window, right: float, rise: float) -> float:
    """Share of the glass in sun, from the slopes of the sun's direction to the right and up."""
    above, beside = max(rise, 0.0) * window.reveal, abs(right) * window.reveal
    below = max(-rise, 0.0) * window.reveal
    if (roof := window.overhang) is not None and rise > 0.0:
        above = max(above, rise * (roof.depth + window.reveal) - roof.gap)
    for fin in window.fins:
        if (right > 0.0) == (fin.side == "right"):
            beside = max(beside, abs(right) * (fin.depth + window.reveal) - fin.gap)
    tall = max(1.0 - (above + below) / window.height, 0.0)
    return tall * max(1.0 - beside / window.width, 0.0)
