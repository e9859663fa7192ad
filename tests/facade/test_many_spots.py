"""Which of many points behind a window are in sun, against rays cast from each."""

from __future__ import annotations

import numpy as np
from random_scenes import random_site
from raycast import beam_share, frame_of

from suncover.facade.daylight import Daylight
from suncover.facade.exposure import observer_of, window_scene
from suncover.facade.spots import Spots
from suncover.site.model import Need

START = 1_767_225_600  # 2026-01-01 00:00 UTC
POINTS, INSTANTS = 6, 150


def test_points_of_random_windows_are_lit_where_rays_are_free():
    """On the glass and up to 0.3 m behind it; among plates, prisms and crowns."""
    lit = total = 0
    for seed in range(8):
        rng = np.random.default_rng([78, seed])
        site = random_site(rng)
        times = START + rng.uniform(0, 365 * 86_400, INSTANTS)
        sun = Daylight.of(times, observer_of(site.place))
        for window in site.windows:
            scene = window_scene(site, window, Need(beam=0.0), START, START + 365 * 86_400)
            deep = -rng.choice([0.0, 0.02, 0.3], POINTS)
            inside = rng.uniform(0.02, 0.98, (2, POINTS)) * [[window.width], [window.height]]
            points = np.stack([*inside, deep], axis=1)
            spots = Spots(scene, points)
            grid = spots.lit(sun)
            origin, right, upward, outward = frame_of(window)
            in_site = (
                origin
                + (points[:, :1] - window.width / 2) * right
                + points[:, 1:2] * upward
                + points[:, 2:] * outward
            )
            for row, point in enumerate(in_site):
                points = np.tile(point, (INSTANTS, 1))
                free = beam_share(site, window, points, sun.direction, beyond=-deep[row]) > 0
                rays = ((sun.direction[2] > 0) & free).tolist()
                assert grid[row].tolist() == rays
                which = np.full(INSTANTS, row)
                assert spots.lit_pairs(which, sun).tolist() == rays
            lit, total = lit + int(grid.sum()), total + grid.size
    assert 0.05 < lit / total < 0.6
