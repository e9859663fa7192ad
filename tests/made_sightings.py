"""Sightings made without the package's sun and geometry, for houses whose truth is known.

The sun is ERFA's and rays are cast by `raycast.py`; only the site's models are shared.
"""

from collections.abc import Callable
from datetime import date, timedelta

import numpy as np
from raycast import beam_share, erfa_sun, frame_of

from suncover.base.clock import day_bounds
from suncover.site.model import Site, Window
from suncover.site.sightings import Seen, Sighting

STEP = 600.0  # seconds between looks; then each change is closed in on to two seconds


def made_site(
    latitude: float, longitude: float = 0.0, elevation: float = 0.0, **window: object
) -> Site:
    """A site with the one window "w", by solar clocks."""
    hours = round(longitude / 15)
    return Site.model_validate(
        {
            "site": {
                "name": "made",
                "latitude": latitude,
                "longitude": longitude,
                "elevation": elevation,
                "timezone": f"Etc/GMT{-hours:+d}" if hours else "Etc/GMT",
            },
            "window": [{"name": "w", "width": 1.2, "height": 1.4, **window}],
        }
    )


def guessed(site: Site, **change: object) -> Site:
    """The same house as someone who does not know it would describe it."""
    window = site.windows[0].model_copy(update=change)
    return site.model_copy(update={"windows": (window,)})


def sun_is_on(site: Site, least_elevation: float = 0.0) -> Callable[[np.ndarray], np.ndarray]:
    """Whether any of a grid of points of the glass is in sun, at unix seconds."""
    window, place = site.windows[0], site.place
    origin, right, upward, outward = frame_of(window)
    inset = 1e-6  # an edge itself may count either way
    across = np.linspace(-window.width / 2 + inset, window.width / 2 - inset, 9)
    along = np.linspace(inset, window.height - inset, 9)
    x, y = (grid.ravel()[:, None] for grid in np.meshgrid(across, along))
    points = origin + x * right + y * upward

    def on(seconds: np.ndarray) -> np.ndarray:
        sun = erfa_sun(seconds, place.latitude, place.longitude, place.elevation)
        height = np.degrees(np.arcsin(sun[2]))
        lit = (height > least_elevation) & (outward @ sun > 0)
        lit &= height > skyline_of(window, np.degrees(np.arctan2(sun[0], sun[1])) % 360)
        if window.reveal or window.overhang or window.fins:
            at = np.flatnonzero(lit)
            suns = np.repeat(sun[:, at], len(points), axis=1)
            share = beam_share(site, window, np.tile(points, (len(at), 1)), suns)
            lit[at] = share.reshape(-1, len(points)).max(axis=1) > 0
        return lit

    return on


def skyline_of(window: Window, azimuth: np.ndarray) -> np.ndarray:
    if not window.skyline:
        return np.zeros_like(azimuth)
    around = [(a + turn, e) for turn in (-360.0, 0.0, 360.0) for a, e in window.skyline]
    return np.interp(azimuth, [a for a, _ in around], [e for _, e in around])


def changes(site: Site, day: date, least_elevation: float = 0.0) -> tuple[list[float], list[float]]:
    """When the sun comes onto the window and leaves it on a day, unix seconds."""
    bounds, on = day_bounds(day, site.place.zone), sun_is_on(site, least_elevation)
    times = np.arange(bounds.start, bounds.end + 1, STEP)
    state = on(times)
    at = np.flatnonzero(state[1:] != state[:-1])
    low, high, before = times[at], times[at + 1], state[at]
    for _ in range(9 if len(at) else 0):
        middle = (low + high) / 2
        same = on(middle) == before
        low, high = np.where(same, middle, low), np.where(same, high, middle)
    middle = (low + high) / 2
    return middle[~before].tolist(), middle[before].tolist()


def watched(
    site: Site,
    random: np.random.Generator,
    count: int,
    noise_min: float,
    first: date,
    *,
    days: int = 120,
    least_elevation: float = 0.0,
) -> list[Sighting]:
    """So many comings and leavings on random days, each off by a bell curve of `noise_min`.

    Fewer, where the sun hardly comes.
    """
    found: list[Sighting] = []
    for _ in range(4 * count):
        if len(found) == count:
            break
        day = first + timedelta(days=int(random.integers(0, days)))
        on, off = changes(site, day, least_elevation)
        seen: Seen = "on" if random.random() < 0.5 else "off"
        true = on[:1] if seen == "on" else off[-1:]
        found += [
            Sighting(window="w", time=round(t + 60 * random.normal(0, noise_min)), seen=seen)
            for t in map(float, true)
        ]
    return found


def turned(azimuth: float, other: float) -> float:
    """Degrees from one azimuth to another, at most half a turn."""
    return abs((azimuth - other + 180) % 360 - 180)
