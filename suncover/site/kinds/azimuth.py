"""Which way a wall faces, from what a person has: a compass, two points on a map, or words.

Everything comes out as a `Bearing`: degrees clockwise from true north, with one standard deviation
and the most that it should be off by. What each way of measuring is good for:

    words      one of 16 points of the compass, so ±11.25°
    compass    the World Magnetic Model turns magnetic into true; the compass itself is the weak
               part: iron and steel near it (a lintel, a rail, a radiator, a car) turn it
    wall       the geodesic between two ends read off a map; the ends can be off by half a metre
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from datetime import date
from functools import cache
from typing import Any, NamedTuple

from suncover.base.errors import SuncoverError

Place = tuple[float, float]
"""Latitude and longitude in degrees."""

POINTS = (
    "north",
    "north-north-east",
    "north-east",
    "east-north-east",
    "east",
    "east-south-east",
    "south-east",
    "south-south-east",
    "south",
    "south-south-west",
    "south-west",
    "west-south-west",
    "west",
    "west-north-west",
    "north-west",
    "north-north-west",
)
"""The points of the compass, clockwise from north, each 22.5° from the next."""

STEP = 360.0 / len(POINTS)
# One standard deviation of a compass reading beside a house, in degrees; common practice: a phone
# held a step away from the wall is good to about 5°, and at a steel lintel it is off by 10°.
COMPASS_SD = 5.0
# Metres by which a corner read off a map or an aerial picture may be off; common practice.
MAP_ERROR = 0.5
METRES_PER_DEGREE = 111_320.0  # along a meridian, near enough for the rounding of coordinates
LONGEST_WALL = 1_000.0  # metres: our own bound, more is a slip in the coordinates
FARTHEST_WALL = 50_000.0  # metres from the site: likewise

# Decimals of a place that tell a house (four are 11 m at the most), and the metres within which it
# is looked at and from which it lies in front of a wall: our own choice.
EXACT_PLACE, NEAR_HOUSE, IN_FRONT = 4, 100.0, 3.0

# Where the horizontal field is weaker than this (nT) compasses are not to be trusted, and below the
# second not to be used: the caution and blackout zones of the World Magnetic Model (NOAA/BGS, The
# US/UK World Magnetic Model for 2025-2030).
CAUTION_NT, BLACKOUT_NT = 6000.0, 2000.0
FIRST_MODEL, LAST_MODEL = 2010, 2030  # years: the models that pygeomag 1.1 holds, end excluded
# Degrees a year by which a declination goes wrong outside the years of its model: our own allowance
# for how unevenly the field drifts.
DRIFT_SD = 0.2


class Bearing(NamedTuple):
    """A direction on the ground: `azimuth` in degrees clockwise from true north, 0 to 360.

    `sd` is one standard deviation and `most` how far off it may be at the worst, both in degrees.
    `warnings` are sentences for the reader.
    """

    azimuth: float
    sd: float
    most: float
    warnings: tuple[str, ...] = ()


class Declination(NamedTuple):
    """How far magnetic north lies east of true north: degrees, with one standard deviation."""

    degrees: float
    sd: float
    warnings: tuple[str, ...] = ()


def azimuth_words(azimuth: float) -> str:
    """The nearest of the 16 points of the compass: `east-north-east`."""
    return POINTS[round(azimuth / STEP) % len(POINTS)]


def bearing_from_words(text: str) -> Bearing:
    """The direction that words name: `east-north-east`, `ENE`, `south west`.

    Raises
    ------
    ValueError
        When the words name none of the 16 points; its text says what would be right.
    """
    letters = re.sub(r"[\s_\-]+", "", text.casefold())
    index = _spellings().get(letters)
    if index is None:
        raise ValueError(
            f'"{text[:40]}" is not a direction; write degrees from true north, or one of the 16 '
            'points of the compass such as "east-north-east" or "ENE"'
        )
    # Whoever names a point of 16 may mean anything up to halfway to the next, all alike.
    return Bearing(index * STEP, STEP / 2 / math.sqrt(3), STEP / 2)


@cache
def _spellings() -> dict[str, int]:
    """Each point as one word and as its letters, to its place in `POINTS`."""
    spellings: dict[str, int] = {}
    for index, point in enumerate(POINTS):
        spellings[point.replace("-", "")] = index
        spellings["".join(word[0] for word in point.split("-"))] = index
    return spellings


def declination_at(latitude: float, longitude: float, elevation: float, day: date) -> Declination:
    """Magnetic declination at a place (degrees, metres above sea level) on a day.

    By the World Magnetic Model whose five years hold that day. Outside 2010 to 2029 the nearest
    model is run on, with a warning and a wider uncertainty. The standard deviation is the model's
    own: sqrt(0.26² + (5417 / H)²) degrees with the horizontal field H in nT for WMM2025 (NOAA/BGS,
    The US/UK World Magnetic Model for 2025-2030, section on uncertainty), likewise for the others.

    Raises
    ------
    SuncoverError
        When pygeomag is not installed.
    """
    year = day.year + (day.timetuple().tm_yday - 1) / (366 if _is_leap(day.year) else 365)
    model_year = min(max(day.year, FIRST_MODEL), LAST_MODEL - 1)
    result = _field_model(model_year // 5 * 5).calculate(
        glat=latitude,
        glon=longitude,
        alt=elevation / 1000.0,
        time=year,
        allow_date_outside_lifespan=True,
    )
    outside = max(FIRST_MODEL - year, year - LAST_MODEL, 0.0)
    sd = math.hypot(0.26, 5417.0 / max(result.h, 1.0), DRIFT_SD * outside)
    warnings = []
    if outside > 0.0:
        warnings.append(
            f"the compass was read on {day}, but the magnetic models known here hold from "
            f"{FIRST_MODEL} to the end of {LAST_MODEL - 1}; the correction is run on and may be "
            f"off by {2 * sd:.1f}°"
        )
    if result.h < CAUTION_NT:
        word = "useless" if result.h < BLACKOUT_NT else "unreliable"
        warnings.append(f"so near to a magnetic pole a compass is {word}; use a wall on a map")
    return Declination(float(result.d), float(sd), tuple(warnings))


def _is_leap(year: int) -> bool:
    return year % 4 == 0 and (year % 100 != 0 or year % 400 == 0)


@cache
def _field_model(first_year: int) -> Any:
    """The World Magnetic Model of five years; it is slow to read, and quick to ask."""
    try:
        from pygeomag import GeoMag
    except ImportError as error:
        raise SuncoverError(
            "a compass bearing needs the package pygeomag: pip install pygeomag"
        ) from error
    return GeoMag(base_year=first_year)


def bearing_from_compass(
    compass: float,
    measured: date,
    place: Place,
    elevation: float = 0.0,
    compass_sd: float = COMPASS_SD,
) -> Bearing:
    """The true bearing of a magnetic one, read on a day at a place (degrees; metres).

    True = magnetic + declination. `compass_sd` is what the compass itself is good for.
    """
    declination = declination_at(*place, elevation, measured)
    sd = math.hypot(compass_sd, declination.sd)
    return Bearing((compass + declination.degrees) % 360.0, sd, 2.0 * sd, declination.warnings)


def bearing_from_wall(first: Place, second: Place, error: float | None = None) -> Bearing:
    """The way a wall faces, from its two ends (latitude, longitude in degrees, WGS 84).

    The outside is on the right hand of someone who walks from the first end to the second.

    `error` is how far each end may be off, in metres. Left out, it is half a metre, or what the
    coordinates' last decimal leaves open if that is more. At the worst both ends are off by that
    much to opposite sides, which turns the wall by atan(2 error / length); with errors anywhere
    between, all alike, one standard deviation is atan(error sqrt(2/3) / length).

    Raises
    ------
    ValueError
        When the ends are the same place, or too far apart for a wall.
    """
    length, azimuth = geodesic(first, second)
    if length < 0.1:
        raise ValueError("the two ends are the same place; give both ends of the wall")
    if length > LONGEST_WALL:
        raise ValueError(
            f"the two ends are {_distance_text(length)} apart, which is no wall; write each as "
            "[latitude, longitude]"
        )
    off = wall_error((*first, *second)) if error is None else error
    return Bearing(
        (azimuth + 90.0) % 360.0,
        math.degrees(math.atan(off * math.sqrt(2.0 / 3.0) / length)),
        math.degrees(math.atan(2.0 * off / length)),
    )


def ends_doubt(first: Place, second: Place, site: Place) -> str | None:
    """What to ask about a wall whose outer side has the house in front of it; None if nothing.

    Only where the house's own place is known to a few metres (four decimals), and is near.
    """
    if min(_decimals(value) for value in site) < EXACT_PLACE:
        return None
    away, towards = geodesic(first, site)
    if not 0 < away < NEAR_HOUSE:
        return None
    facing = bearing_from_wall(first, second).azimuth
    before = away * math.cos(math.radians(towards - facing))
    if before < IN_FRONT:
        return None
    return (
        f"the house's own place lies {before:.0f} m in front of that wall, outdoors: are the two "
        "ends swapped?"
    )


def wall_error(coordinates: Sequence[float]) -> float:
    """How far a point on a map may be off, in metres, by the decimals of its coordinates."""
    decimals = max(_decimals(value) for value in coordinates)
    return float(max(MAP_ERROR, 0.5 * 10.0**-decimals * METRES_PER_DEGREE))


def _decimals(value: float) -> int:
    """How many decimals the shortest text of a number has."""
    _, _, after = f"{value:.12f}".rstrip("0").partition(".")
    return len(after)


def wall_fault(first: Place, second: Place, site: Place) -> str | None:
    """What is wrong with a wall for a site at a place; None if nothing is."""
    try:
        bearing_from_wall(first, second)
    except ValueError as wrong:
        return str(wrong)
    away, _ = geodesic(first, site)
    if away > FARTHEST_WALL:
        return (
            f"the wall is {_distance_text(away)} from the site's latitude and longitude; write "
            "each end as [latitude, longitude]"
        )
    return None


def geodesic(first: Place, second: Place) -> tuple[float, float]:
    """Length in metres of the shortest line on the WGS 84 ellipsoid, and its azimuth at the start.

    Karney's algorithm, as geographiclib has it (C. F. F. Karney, Algorithms for geodesics, J.
    Geodesy 87, 43-55, 2013).

    Raises
    ------
    SuncoverError
        When geographiclib is not installed.
    """
    try:
        from geographiclib.geodesic import Geodesic
    except ImportError as error:
        raise SuncoverError(
            "a wall between two points needs the package geographiclib: pip install geographiclib"
        ) from error
    line = Geodesic.WGS84.Inverse(*first, *second)
    return float(line["s12"]), float(line["azi1"]) % 360.0


def _distance_text(metres: float) -> str:
    return f"{metres / 1000:.0f} km" if metres >= 10_000 else f"{metres:.0f} m"
