"""When the sun passes a height or an azimuth, found from its place alone."""

from collections.abc import Callable

import numpy as np

from suncover.sun.position import Observer, sun_position

# A body's parallax lowers it as seen from the surface; almanacs count rising and setting from the
# Earth's centre. SPA eq. 35 and 39: 8.794 arcseconds at the horizon, at the mean distance.
PARALLAX = 8.794 / 3600.0


def geocentric_elevation(times: np.ndarray | float, observer: Observer) -> np.ndarray:
    """Unrefracted elevation in degrees as from the Earth's centre, along the observer's plumb."""
    elevation = sun_position(times, observer).elevation
    return np.asarray(elevation + PARALLAX * np.cos(np.radians(elevation)))


def crossings(
    value: Callable[[np.ndarray], np.ndarray], start: float, end: float, step: float = 120.0
) -> tuple[np.ndarray, np.ndarray]:
    """When `value` passes zero upward, and when downward, between `start` and `end` (seconds)."""
    times = np.arange(start, end + step, step)
    values = value(times)
    found = []
    for sign in (1.0, -1.0):
        first = np.flatnonzero((sign * values[:-1] < 0.0) & (sign * values[1:] >= 0.0))
        low, high = times[first], times[first + 1]
        for _ in range(30):
            middle = (low + high) / 2.0
            before = sign * value(middle) < 0.0
            low, high = np.where(before, middle, low), np.where(before, high, middle)
        found.append((low + high) / 2.0)
    return found[0], found[1]


def height_crossings(
    observer: Observer, height: float, start: float, end: float
) -> tuple[np.ndarray, np.ndarray]:
    """When the sun's geocentric elevation rises through `height` degrees, and when it sinks."""
    return crossings(lambda times: geocentric_elevation(times, observer) - height, start, end)


def transits(observer: Observer, start: float, end: float) -> np.ndarray:
    """When the sun stands on the meridian at its highest: there it goes from east to west."""

    def west_of_meridian(times: np.ndarray) -> np.ndarray:
        position = sun_position(times, observer)
        # East of the meridian before the upper transit; the lower one goes the other way.
        return -np.sin(np.radians(position.azimuth)) * np.cos(np.radians(position.elevation))

    rising, _ = crossings(west_of_meridian, start, end)
    return rising


def altitude_and_azimuth(
    latitude: float, declination: float, hour_angle: float
) -> tuple[float, float]:
    """Altitude, and azimuth from north, of a place on the sphere; all in degrees."""
    phi, delta, omega = np.radians([latitude, declination, hour_angle])
    east = -np.cos(delta) * np.sin(omega)
    north = np.sin(delta) * np.cos(phi) - np.cos(delta) * np.cos(omega) * np.sin(phi)
    up = np.sin(delta) * np.sin(phi) + np.cos(delta) * np.cos(omega) * np.cos(phi)
    return float(np.degrees(np.arcsin(up))), float(np.degrees(np.arctan2(east, north)) % 360.0)
