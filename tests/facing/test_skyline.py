"""Points of a skyline that is known to the simulation and not to the file."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import pytest
from made_sightings import changes, guessed, made_site, turned

from suncover.facing.estimate import estimate_facing
from suncover.facing.skyline import SkylinePoint, estimate_skyline, merged_skyline
from suncover.site.sightings import Sighting

HILL = ((0.0, 0.0), (50.0, 0.0), (60.0, 14.0), (120.0, 14.0), (130.0, 0.0))


def test_points_lie_on_the_hill_and_the_azimuth_is_not_misled() -> None:
    site = made_site(47.0, 8.0, azimuth=150.0, skyline=HILL)
    random = np.random.default_rng(6)
    seen = []
    for day in (date(2027, 3, 20) + timedelta(days=15 * n) for n in range(8)):
        on, off = changes(site, day)
        for word, times in (("on", on[:1]), ("off", off[-1:])):
            seen += [
                Sighting(window="w", time=round(t + 60 * random.normal(0, 2.0)), seen=word)
                for t in times
            ]
    bare = guessed(site, azimuth=140.0, skyline=())
    facing, points = estimate_skyline(bare, seen, ["w"])
    assert turned(facing.azimuth, 150.0) < 3 * facing.sd
    assert facing.sd < 2.0
    assert points
    for point in points:
        assert 60 <= point.azimuth <= 120
        # The sun climbs a quarter of a degree a minute at the most.
        assert abs(point.elevation - 14.0) < max(3 * point.sd, 1.0)


def test_a_clear_horizon_gives_no_points() -> None:
    site = made_site(47.0, azimuth=150.0)
    random = np.random.default_rng(7)
    seen = []
    for day in (date(2027, 3, 20) + timedelta(days=20 * n) for n in range(6)):
        _, off = changes(site, day)
        seen += [
            Sighting(window="w", time=round(t + 60 * random.normal(0, 2.0)), seen="off")
            for t in off[-1:]
        ]
    facing, points = estimate_skyline(site, seen, ["w"])
    assert points == ()
    plain = estimate_facing(site, seen, ["w"])
    assert turned(facing.azimuth, plain.azimuth) < 2 * max(facing.sd, plain.sd)


def point(azimuth: float, elevation: float) -> SkylinePoint:
    return SkylinePoint(azimuth, elevation, 0.5, Sighting(window="w", time=1.8e9, seen="on"))


def test_new_points_replace_the_old_line_about_them_and_nowhere_else() -> None:
    old = [(60.0, 2.0), (95.0, 4.0), (200.0, 6.0)]
    merged = merged_skyline(old, [point(90.0, 12.0), point(100.0, 14.0)])
    assert (90.0, 12.0) in merged
    assert (100.0, 14.0) in merged
    assert (95.0, 4.0) not in merged
    assert (60.0, 2.0) in merged
    assert (200.0, 6.0) in merged
    # Five degrees to either side the old line holds again.
    assert dict(merged)[85.0] == pytest.approx(2.0 + 2.0 * 25 / 35, abs=0.06)


def test_without_an_old_line_it_is_the_horizon_elsewhere() -> None:
    assert merged_skyline([], [point(90.0, 12.0)]) == ((85.0, 0.0), (90.0, 12.0), (95.0, 0.0))
    assert merged_skyline([(10.0, 3.0)], []) == ((10.0, 3.0),)


def test_points_far_apart_are_not_joined() -> None:
    merged = dict(merged_skyline([], [point(90.0, 12.0), point(200.0, 8.0)]))
    assert merged[95.0] == 0.0
    assert merged[195.0] == 0.0
