"""How far the sun's times on a window shift if its azimuth is a little off: roughly, for remarks.

On one day the sun goes round a circle: any direction's share of it is p + q cos H + r sin H of its
hour angle H (Duffie and Beckman, Solar Engineering of Thermal Processes, eq. 1.6.2). The sun is on
glass where several such sums are above nothing: it is high enough, in front of the glass, and
neither reveal, overhang nor fin takes all of its light. So its comings and leavings are roots of
one sum at which all others hold, and nothing need be searched for.

The sun is that of `rough_sun`; overhangs and fins are as if endless, and what stands about the
house is left aside. `facing.effect` has the shift by the sun's tables.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from datetime import date
from typing import NamedTuple

from suncover.base.clock import in_season
from suncover.site.model import Need, Window
from suncover.site.rough_sun import declination_on, height_of_beam

DAYS = tuple(date(2026, month, 15) for month in range(1, 13))
SUNSHINE = 120.0  # W/m²: WMO-No. 8, Guide to Instruments and Methods of Observation
OTHER_MIN = 360.0  # a time that is farther off is another one
MINUTES = 720.0 / math.pi  # of a radian of the hour angle

Vector = tuple[float, float, float]
"""East, north, up."""
Sum = tuple[float, float, float]
"""p, q and r."""


class RoughShift(NamedTuple):
    """Minutes by which the sun's coming and leaving shift on the day on which they shift most."""

    coming: float
    leaving: float


def rough_shift(window: Window, latitude: float, need: Need, degrees: float) -> RoughShift:
    """How far the sun's times on a window shift if its azimuth is `degrees` off, either way.

    On days of the need's season, or of a year. Sunrise and sunset do not shift.
    """
    least = height_of_beam(max(SUNSHINE, need.beam))
    turns = [
        _by_hour_angle(_limits(window, need.fraction, step), latitude)
        for step in (0.0, -degrees, degrees)
    ]
    shift = RoughShift(0.0, 0.0)
    season_days = [day for day in DAYS if in_season(day, need.season)]
    for day in season_days or DAYS:  # a season may lie between two of them
        declination = declination_on(day)
        present, *turned = (_changes(shares, declination, least) for shares in turns)
        coming, leaving = (
            _mean([shift for turn in turned for shift in _shifts(present[kind], turn[kind])])
            for kind in (0, 1)
        )
        shift = RoughShift(max(shift.coming, coming), max(shift.leaving, leaving))
    return shift


def _limits(window: Window, fraction: float, turned: float) -> list[Vector]:
    """Directions to each of which the sun has to stand at less than a right angle."""
    a, t = math.radians(window.azimuth + turned), math.radians(window.tilt)
    out = (math.sin(t) * math.sin(a), math.sin(t) * math.cos(a), math.cos(t))
    right = (-math.cos(a), math.sin(a), 0.0)
    rise = (-math.cos(t) * math.sin(a), -math.cos(t) * math.cos(a), math.sin(t))
    tall, wide = window.height * (1.0 - fraction), window.width * (1.0 - fraction)
    limits = [out]
    if reveal := window.reveal:
        limits += [
            _mixed(size, out, way * reveal, axis)
            for size, axis in ((tall, rise), (wide, right))
            for way in (1.0, -1.0)
        ]
    if (roof := window.overhang) is not None:
        limits.append(_mixed(tall + roof.gap, out, -(roof.depth + reveal), rise))
    for fin in window.fins:
        way = -1.0 if fin.side == "right" else 1.0
        limits.append(_mixed(wide + fin.gap, out, way * (fin.depth + reveal), right))
    return limits


def _mixed(first_weight: float, first: Vector, second_weight: float, second: Vector) -> Vector:
    return (
        first_weight * first[0] + second_weight * second[0],
        first_weight * first[1] + second_weight * second[1],
        first_weight * first[2] + second_weight * second[2],
    )


def _by_hour_angle(limits: Sequence[Vector], latitude: float) -> list[Sum]:
    """The sun's share of up and of each limit: p for the sine of its declination, q and r for the
    cosine.
    """
    phi = math.radians(latitude)
    sine, cosine = math.sin(phi), math.cos(phi)
    return [
        (north * cosine + up * sine, up * cosine - north * sine, -east)
        for east, north, up in ((0.0, 0.0, 1.0), *limits)
    ]


def _changes(
    shares: Sequence[Sum], declination: float, least: float
) -> tuple[list[float], list[float]]:
    """Minutes from the sun's noon at which it comes, and at which it leaves."""
    along, across = math.sin(declination), math.cos(declination)
    sums = [(p * along, q * across, r * across) for p, q, r in shares]
    p, q, r = sums[0]
    sums[0] = (p - least, q, r)
    comes: list[float] = []
    leaves: list[float] = []
    for number, sum_ in enumerate(sums):
        other_sums = sums[:number] + sums[number + 1 :]
        for angle, times in zip(_roots(sum_), (comes, leaves), strict=False):
            cosine, sine = math.cos(angle), math.sin(angle)
            for p, q, r in other_sums:
                if p + q * cosine + r * sine <= 0.0:
                    break
            else:
                times.append(angle * MINUTES)
    return comes, leaves


def _roots(sum_: Sum) -> tuple[float, ...]:
    """Hour angles at which a sum is nothing: where it rises, and where it falls, if it does."""
    p, q, r = sum_
    most = math.hypot(q, r)
    if abs(p) >= most:
        return ()
    middle, half = math.atan2(r, q), math.acos(-p / most)
    return _within_a_day(middle - half), _within_a_day(middle + half)


def _within_a_day(angle: float) -> float:
    return (angle + math.pi) % (2.0 * math.pi) - math.pi


def _shifts(times: Sequence[float], turned_times: Sequence[float]) -> Iterator[float]:
    """How far times move, of which each is the nearest to the other."""
    for at in times:
        nearest = min(turned_times, key=lambda time: abs(time - at), default=math.inf)
        if abs(nearest - at) <= OTHER_MIN and at == min(
            times, key=lambda time: abs(time - nearest)
        ):
            yield abs(nearest - at)


def _mean(shifts: Sequence[float]) -> float:
    return sum(shifts) / len(shifts) if shifts else 0.0
