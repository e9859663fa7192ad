"""How long the sun is on a window, roughly: for remarks, with neither tables of the sun nor arrays.

Declination after Cooper (Duffie and Beckman, Solar Engineering of Thermal Processes, eq. 1.6.1a),
no refraction; a clear sky's beam of 1353 · 0.7^(m^0.678) W/m² for the air mass m = 1 / sin(height)
(Meinel and Meinel, Applied Solar Energy, 1976, from memory); overhangs and fins as if endless.
Good to a quarter of an hour or so. No result hangs on it.
"""

from __future__ import annotations

import math
from datetime import date
from functools import lru_cache
from typing import NamedTuple

from suncover.site.model import Window

STEP_H = 0.25
STRONGEST = 1353.0  # W/m², above the air


class RoughDay(NamedTuple):
    """Hours of sun on a window on one day, and how many of them put less than `below` W on each m²
    of its glass.
    """

    window: str
    day: date
    hours: float
    slight: float


def rough_day(window: Window, latitude: float, day: date, beam: float, below: float) -> RoughDay:
    """The sun on a window, counted from a clear sky's `beam` on, W/m²."""
    hours = slight = 0.0
    a, t = math.radians(window.azimuth), math.radians(window.tilt)
    sin_a, cos_a, sin_t, cos_t = math.sin(a), math.cos(a), math.sin(t), math.cos(t)
    for east, north, up, strength in _sun_of_day(latitude, day):
        level = east * sin_a + north * cos_a
        out = sin_t * level + cos_t * up
        if strength < beam or out <= 0.01:
            continue
        right, rise = (north * sin_a - east * cos_a) / out, (sin_t * up - cos_t * level) / out
        watts = strength * out * _share(window, right, rise)
        if watts > 0.0:
            hours += STEP_H
            slight += STEP_H if watts < below else 0.0
    return RoughDay(window.name, day, hours, slight)


def declination_on(day: date) -> float:
    """The sun's declination in radians."""
    return math.radians(23.45 * math.sin(2.0 * math.pi * (284 + day.timetuple().tm_yday) / 365.0))


def height_of_beam(beam: float) -> float:
    """The sine of the height at which a clear sky's beam is so strong, W/m²; above 1 where it never
    is.
    """
    if beam >= STRONGEST:
        return math.inf
    return float((math.log(beam / STRONGEST) / math.log(0.7)) ** (-1.0 / 0.678)) if beam else 0.0


@lru_cache(maxsize=64)
def _sun_of_day(latitude: float, day: date) -> list[tuple[float, float, float, float]]:
    """East, north, up and the beam in W/m² at each step at which the sun is up."""
    phi, declination = math.radians(latitude), declination_on(day)
    along, across = math.sin(declination), math.cos(declination)
    suns = []
    for step in range(round(24.0 / STEP_H)):
        angle = math.pi * (step * STEP_H / 12.0 - 1.0)
        up = math.sin(phi) * along + math.cos(phi) * across * math.cos(angle)
        if up > 0.0:
            north = math.cos(phi) * along - math.sin(phi) * across * math.cos(angle)
            beam = STRONGEST * 0.7 ** (up**-0.678)
            suns.append((-across * math.sin(angle), north, up, beam))
    return suns


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
