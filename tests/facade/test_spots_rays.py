"""When a place in the room is in sun, against rays cast from it to ERFA's sun."""

from __future__ import annotations

import numpy as np
import pytest
from random_scenes import random_site
from raycast import beam_share, erfa_sun, frame_of

from suncover.facade.exposure import sun_on_spots
from suncover.site.model import Need, Site

DAY = 86_400
START = 1_767_225_600  # 2026-01-01 00:00 UTC
STEP = 120.0
# The two suns agree to 0.001 degree, a quarter of a second of the sun's way; an edge that the sun
# passes at a slant may take some times that. Ends are whole seconds.
AGREE = 2.0
GEOMETRY = Need(beam=0)


def place_of(site, spot):
    """A spot in the site's metres, east, north and up: (3,)."""
    window = site.window(spot.window)
    origin, right, _, _ = frame_of(window)
    facing = np.radians(window.azimuth)
    level = np.array([np.sin(facing), np.cos(facing), 0.0])
    point = origin + spot.offset * right - spot.distance * level
    point[2] = window.floor + spot.height
    return point


def free_rays(site, spot, times):
    """Whether the ray from a spot to the sun is free at each of `times`."""
    window, place = site.window(spot.window), site.place
    suns = erfa_sun(times, place.latitude, place.longitude, place.elevation)
    points = np.tile(place_of(site, spot), (len(times), 1))
    return (suns[2] > 0) & (beam_share(site, window, points, suns, beyond=1.0) > 0)


def ends_by_rays(site, spot, start, end):
    """Instants at which the ray becomes free or blocked, to 0.3 s, as far as steps show them."""
    times = np.arange(start, end + 1, STEP)
    state = free_rays(site, spot, times)
    change = np.flatnonzero(state[1:] != state[:-1])
    low, high, before = times[change], times[change + 1], state[change]
    for _ in range(9):
        middle = (low + high) / 2
        same = free_rays(site, spot, middle) == before
        low, high = np.where(same, middle, low), np.where(same, high, middle)
    return (low + high) / 2


def check(site, start, end):
    """Every spot's spells against the rays; returns how many ends there were."""
    ours = sun_on_spots(site, start, end, GEOMETRY)
    count = 0
    for spot in site.spots:
        spells = ours[spot.name]
        inner = [e for s in spells for e in (s.start, s.end) if start < e < end]
        rays = ends_by_rays(site, spot, start, end)
        # Spells and gaps shorter than a step may fall between two of them.
        long = [e for e in inner if min([abs(e - o) for o in inner if o != e], default=DAY) > STEP]
        for end_of_ours in long:
            assert np.abs(rays - end_of_ours).min() <= AGREE
        for end_of_rays in rays:
            assert min(abs(end_of_rays - e) for e in inner) <= AGREE
        count += len(long)
    return count


def test_spots_of_random_yards():
    """So many of them have sun on their spots that this is no check of empty hands."""
    total = 0
    for seed in range(10):
        rng = np.random.default_rng([77, seed])
        site = random_site(rng)
        start = START + int(rng.integers(0, 360)) * DAY
        total += check(site, start, start + DAY)
    assert total >= 4


PORCH = {"depth": 0.4, "gap": 0.2, "left": 0.3, "right": 0.3}
STUDY = {"azimuth": 165, "width": 1.6, "height": 1.3, "sill": 0.8, "reveal": 0.15}
LOFT = {"azimuth": 255, "tilt": 40, "width": 0.9, "height": 1.2, "sill": 1.1, "floor": 2.9}
BARN = [[-3, -16], [9, -16], [9, -6], [5, -6], [5, -11], [-3, -11]]
BALCONY = [[-2, -0.2], [2, 0.9], [2, -0.6], [-2, -1.6]]
YARD = {
    "site": {"name": "yard", "latitude": 51.5, "longitude": -3.2},
    "window": [
        {"name": "study", "position": [0, 0], "overhang": PORCH, **STUDY},
        {"name": "loft", "position": [-4, 2], **LOFT},
    ],
    "obstacle": [
        {"name": "barn", "footprint": BARN, "top": 6.0},
        {"name": "balcony", "footprint": BALCONY, "base": 2.8, "top": 3.0},
    ],
    "tree": [
        {"name": "spruce", "trunk": [-12, -4], "width": 4, "bottom": 0.3, "top": 14, "leaf": 0}
    ],
    "spot": [
        {"name": "desk", "window": "study", "distance": 1.2, "offset": 0.3, "height": 0.75},
        {"name": "basket", "window": "study", "distance": 2.2, "offset": -0.5, "height": 0.1},
        {"name": "bed", "window": "loft", "distance": 2.4, "offset": 0.4, "height": 0.6},
    ],
}


@pytest.mark.parametrize("day", [110, 260])
def test_spots_behind_a_wall_and_a_roof_window(day):
    start = START + day * DAY
    assert check(Site.model_validate(YARD), start, start + DAY) >= 2
