"""Is a weather year physically possible under the sun of a place, by that sun's own clock and
height?

Light of one place laid under the sun of another (the other hemisphere, another time of day) comes
when the sun is down or low, and a sky model makes kilowatts of it. So every row is held against the
most that the place's sun can give in it. The bounds are those that the Baseline Surface Radiation
Network holds its measurements against ("physically possible" limits; Long and Dutton 2002, BSRN
Global Network recommended QC tests, V2.0), with the extraterrestrial beam S and the sine of the
sun's height m:

    beam, square to the sun    S
    diffuse, horizontal        0.95 S m^1.2 + 50 W/m²
    global, horizontal         1.5 S m^1.2 + 100 W/m²

and no beam at all while the sun is down all through the row. A row's bound is the mean of the
bound over the row, so that it holds for means of any length.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from suncover.base.errors import RequestError
from suncover.site.model import Place
from suncover.sun.position import Observer, directions_at
from suncover.sun.sky import extraterrestrial
from suncover.sun.weather.year import LightRows, WeatherYear

Floats = NDArray[np.float64]

STEP = 600.0
"""Seconds between the instants of each row at which the sun is looked at, at the most."""
MOST_BEAM, MOST_SPREAD = 0.08, 0.006
"""Shares of the year's beam, and of its diffuse or global light, beyond the bounds from which on a
year is refused. Years of their own place have less than 0.0001; a clock that is an hour off, of
which a remark tells, makes it 0.015 (0.05 for a beam as strong at sunset as at noon) and 0.0035 at
the most, measured with four typical years from 26 to 55 degrees north and a cloudless one; the same
years across the equator have 0.007 to 0.18 of diffuse or global light beyond it."""


@dataclass(frozen=True)
class Bounds:
    """The most that the sun of a place can give in each row, W/m², (rows,) each."""

    dni: Floats
    dhi: Floats
    ghi: Floats


def bounds_of(weather: LightRows, observer: Observer) -> Bounds:
    """The physically possible most in each row of a year at `observer`."""
    steps = int(np.ceil(weather.step / STEP))
    at = weather.start[:, None] + (np.arange(steps) + 0.5) / steps * weather.step
    height = np.maximum(directions_at(at, observer)[2], 0.0)
    outside = extraterrestrial(weather.start)
    rise = (height**1.2).mean(axis=1)
    up = (height > 0.0).mean(axis=1)
    return Bounds(
        np.where(up > 0.0, outside, 0.0),
        0.95 * outside * rise + 50.0,
        1.5 * outside * rise + 100.0,
    )


def impossible_shares(weather: LightRows, observer: Observer) -> tuple[float, float]:
    """Shares of a year's beam, and of its other light, that lie beyond the bounds: 0 for a year of
    that place.
    """
    bounds = bounds_of(weather, observer)
    beam, diffuse, total = (
        float(np.maximum(light - bound, 0.0).sum()) / max(float(light.sum()), 1.0)
        for light, bound in (
            (weather.dni, bounds.dni),
            (weather.dhi, bounds.dhi),
            (weather.ghi, bounds.ghi),
        )
    )
    return beam, max(diffuse, total)


def why_impossible(weather: WeatherYear, place: Place) -> str | None:
    """What is wrong with a year of weather at a place and what would be right, or None."""
    observer = Observer(place.latitude, place.longitude, place.elevation)
    beam, spread = impossible_shares(weather, observer)
    if beam <= MOST_BEAM and spread <= MOST_SPREAD:
        return None
    share = max(beam, spread)
    reason = (
        f"this cannot be the weather of {_place_text(place.latitude, place.longitude)}: "
        f"{share:.1%} of its light is more than the sun can give there at that time, or comes "
        "while it is down"
    )
    if weather.place is not None:
        reason += f" (it is of {_place_text(*weather.place)})"
    return f"{reason}; take a year of the site's own region, or mend its stamps and UTC offset"


def check_possible(weather: WeatherYear, place: Place) -> None:
    """Refuse a year of weather that cannot be that of a place.

    Raises
    ------
    RequestError
        When more of its light lies beyond what the place's sun can give than any clock explains.
    """
    if weather.fits == (place.latitude, place.longitude):
        return  # found to be so before
    if reason := why_impossible(weather, place):
        raise RequestError(f"weather {weather.source}: {reason}")


def _place_text(latitude: float, longitude: float) -> str:
    north, east = "S" if latitude < 0 else "N", "W" if longitude < 0 else "E"
    return f"{abs(latitude):.1f}° {north}, {abs(longitude):.1f}° {east}"
