"""Points of a window's skyline, from sightings of the sun that something hid for longer.

Sun that came later than the wall lets it, or left earlier, came out from behind something: at that
moment the sun stood on the skyline, and its place in the sky is a point of it.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from suncover.facade.exposure import observer_of
from suncover.facing.estimate import Check, Facing, estimate_facing
from suncover.facing.likelihood import USUAL_MIN
from suncover.site.model import Site
from suncover.site.sightings import Sighting
from suncover.sun.position import position_at

DELAY_MIN = 60.0  # mean delay behind a skyline that is not known; our own judgement
BESIDE = 5.0  # degrees beyond a point at which the old skyline holds again
GROUP = 30.0  # degrees: points nearer than this are joined by a line


@dataclass(frozen=True)
class SkylinePoint:
    """A point of the skyline in degrees; `sd` is one standard deviation of its elevation."""

    azimuth: float
    elevation: float
    sd: float
    sighting: Sighting


def estimate_skyline(
    site: Site, sightings: Sequence[Sighting], windows: Sequence[str]
) -> tuple[Facing, tuple[SkylinePoint, ...]]:
    """The azimuth of a wall before a skyline that is not known, and the points that show it.

    Raises
    ------
    ValueError
        When none of the sightings is of these windows.
    """
    facing = estimate_facing(site, sightings, windows, late=DELAY_MIN)
    points = [
        _point(site, check, facing.minutes) for check in facing.checks if _is_hidden(check, facing)
    ]
    return facing, tuple(sorted(points, key=lambda point: point.azimuth))


def _is_hidden(check: Check, facing: Facing) -> bool:
    """Whether the sun was most likely behind something until, or from, this sighting."""
    sighting, off = check.sighting, check.off
    if sighting.seen not in ("on", "off") or not np.isfinite(off):
        return False
    late = off if sighting.seen == "on" else -off
    sigma = (sighting.minutes or USUAL_MIN) * facing.minutes
    # How far off it is, set against what an uncertain azimuth would do to it.
    return late > 3.0 * float(np.hypot(sigma, check.slope * facing.sd))


def _point(site: Site, check: Check, factor: float) -> SkylinePoint:
    time = check.sighting.time
    minutes = (check.sighting.minutes or USUAL_MIN) * factor
    sun = position_at([time - 60.0, time, time + 60.0], observer_of(site.place))
    rate = abs(float(sun.apparent_elevation[2] - sun.apparent_elevation[0])) / 2.0
    return SkylinePoint(
        float(sun.azimuth[1]), float(sun.apparent_elevation[1]), rate * minutes, check.sighting
    )


def merged_skyline(
    old: Iterable[tuple[float, float]], points: Sequence[SkylinePoint]
) -> tuple[tuple[float, float], ...]:
    """A skyline that goes through the points, and is the old one elsewhere (none: the horizon).

    Points within 30° of each other are joined; to either side the old line holds again 5° on.
    """
    before = sorted((azimuth % 360.0, elevation) for azimuth, elevation in old)
    if not points:
        return tuple(before)

    def old_elevation(azimuth: float) -> float:
        if not before:
            return 0.0
        azimuths = [before[-1][0] - 360.0, *(a for a, _ in before), before[0][0] + 360.0]
        elevations = [before[-1][1], *(e for _, e in before), before[0][1]]
        return float(np.interp(azimuth % 360.0, azimuths, elevations))

    added: list[tuple[float, float]] = []
    covered: list[tuple[float, float]] = []
    for group in _groups(points):
        first, last = group[0].azimuth - BESIDE, group[-1].azimuth + BESIDE
        covered.append((first, last))
        added.append((first % 360.0, round(old_elevation(first), 1)))
        added += [(round(point.azimuth, 1), round(point.elevation, 1)) for point in group]
        added.append((last % 360.0, round(old_elevation(last), 1)))
    untouched = [
        (azimuth, elevation)
        for azimuth, elevation in before
        if not any((azimuth - first) % 360.0 <= last - first for first, last in covered)
    ]
    return tuple(sorted((round(azimuth, 1), elevation) for azimuth, elevation in untouched + added))


def _groups(points: Sequence[SkylinePoint]) -> list[list[SkylinePoint]]:
    ordered = sorted(points, key=lambda point: point.azimuth)
    groups = [[ordered[0]]]
    for point in ordered[1:]:
        if point.azimuth - groups[-1][-1].azimuth <= GROUP:
            groups[-1].append(point)
        else:
            groups.append([point])
    return groups
