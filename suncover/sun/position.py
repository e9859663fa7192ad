"""Where the sun stands, for a place on Earth and any instants.

NREL's Solar Position Algorithm (SPA), as pvlib has it, gives the sun's geocentric right ascension,
declination, distance and the apparent sidereal time. All four move slowly and evenly, so they are
asked for once a day and interpolated as vectors; the Earth's turn, the parallax and the refraction,
which are fast, are applied in full at every instant. That is SPA's own arithmetic (steps 3.9 to
3.15 of the reference), with the same result to better than 0.0001 degree at a small part of the
cost.

Times are unix seconds, UTC. Directions are east, north, up.

Reference: I. Reda and A. Andreas, Solar Position Algorithm for Solar Radiation Applications,
NREL/TP-560-34302, revised January 2008.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING, Any, overload

import numpy as np
from numpy.typing import ArrayLike, NDArray

from suncover.base.errors import RequestError
from suncover.base.instants import instants_of
from suncover.base.shown import short_repr
from suncover.sun.pvlib_parts import spa_module

if TYPE_CHECKING:
    import pandas as pd

    from suncover.base.instants import Indexed, Times

Floats = NDArray[np.float64]

DAY = 86_400.0
# Difference between terrestrial time and UT1 in seconds: pvlib's default, so that both agree. The
# true value of 2026 is 2 s more; the sun moves 0.00002 degree in that time.
DELTA_T = 67.0
# Temperature for refraction in degrees Celsius: pvlib's default.
TEMPERATURE = 12.0
# Refraction at the horizon in degrees, and the sun's semidiameter: SPA applies no refraction below
# their sum.
HORIZON_REFRACTION = 0.5667
SEMIDIAMETER = 0.26667
# Days for which SPA is asked at once: so many cost little more than a few.
TOGETHER = 256
# The Earth's mean turn against the stars in degrees a day, and its angle at 2000-01-01 12:00 UT
# (SPA, eq. 28).
SIDEREAL_RATE = 360.98564736629
SIDEREAL_2000 = 280.46061837
J2000 = 946_728_000.0
# Equatorial radius in metres and the polar flattening factor (SPA, step 3.11).
EARTH_RADIUS = 6_378_140.0
FLATTENING = 0.99664719
# Solar parallax at one astronomical unit in degrees (SPA, eq. 35).
PARALLAX = 8.794 / 3600.0


@dataclass(frozen=True)
class Observer:
    """A place on Earth: latitude, longitude in degrees (north, east positive), elevation in metres.

    `pressure` of the air in millibars (None: the standard atmosphere's at that elevation) and
    `temperature` in degrees Celsius serve for refraction.
    """

    latitude: float
    longitude: float
    elevation: float = 0.0
    pressure: float | None = None
    temperature: float = TEMPERATURE

    def __post_init__(self) -> None:
        """Refuses a place that is not on Earth.

        Raises
        ------
        RequestError
            When latitude or longitude cannot be.
        """
        if not -90.0 <= self.latitude <= 90.0:
            raise RequestError(
                f"a latitude of {self.latitude} cannot be; it is from -90 to 90 and comes before "
                "the longitude"
            )
        if not -360.0 <= self.longitude <= 360.0:
            raise RequestError(f"a longitude of {self.longitude} cannot be; it is from -180 to 180")

    @property
    def pressure_mbar(self) -> float:
        """Air pressure in millibars: as given, or the standard atmosphere's.

        In the form that pvlib uses (`pvlib.atmosphere.alt2pres`).
        """
        if self.pressure is not None:
            return self.pressure
        base = (44331.514 - self.elevation) / 11880.516
        return float(max(base, 0.0) ** (1 / 0.1902632))


@dataclass(frozen=True)
class SunPosition:
    """The sun at each instant, arrays of one shape, in degrees.

    `apparent_elevation` is refracted, `elevation` is not; `azimuth` runs clockwise from true north.
    """

    __repr__ = short_repr

    apparent_elevation: Floats
    elevation: Floats
    azimuth: Floats

    @property
    def apparent_zenith(self) -> Floats:
        """The sun's angle from straight up, refracted."""
        return 90.0 - self.apparent_elevation

    @property
    def zenith(self) -> Floats:
        """The sun's angle from straight up, without refraction."""
        return 90.0 - self.elevation


@overload
def sun_position(times: Indexed, observer: Observer) -> pd.DataFrame: ...
@overload
def sun_position(times: Times, observer: Observer) -> SunPosition: ...
def sun_position(times: Any, observer: Observer) -> Any:
    """Where the sun stands at `times` for `observer`, in degrees.

    `times` in any form and shape: a DatetimeIndex, datetime64, aware datetimes, unix seconds. What
    comes back is of that shape; for a pandas index it is a DataFrame with that index and the
    columns apparent_zenith, zenith, apparent_elevation, elevation, azimuth, which a `SunPosition`
    has as well.

    Raises
    ------
    RequestError
        When times have no zone or are not of 1900 to 2199.
    """
    instants = instants_of(times)
    sun = position_at(instants.seconds, observer)
    if instants.index is None:
        return sun
    names = ("apparent_zenith", "zenith", "apparent_elevation", "elevation", "azimuth")
    return instants.table({name: getattr(sun, name) for name in names})


def position_at(times: ArrayLike, observer: Observer) -> SunPosition:
    """`sun_position` for unix seconds that need no checking, any shape."""
    seconds = np.asarray(times, dtype=np.float64)
    east, north, up = _unrefracted(seconds, observer)
    elevation, lifted = _heights(up, observer)
    azimuth = np.degrees(np.arctan2(east, north)) % 360.0
    return SunPosition(apparent_elevation=lifted, elevation=elevation, azimuth=azimuth)


def apparent_elevation_at(seconds: Floats, observer: Observer) -> Floats:
    """How high the sun seems to stand at unix seconds, degrees, shape of `seconds`."""
    return _heights(_unrefracted(seconds, observer)[2], observer)[1]


def _heights(up: Floats, observer: Observer) -> tuple[Floats, Floats]:
    """The sun's elevation and its apparent one in degrees by the sine of the first."""
    elevation = np.degrees(np.arcsin(np.clip(up, -1.0, 1.0)))
    bent = refraction(elevation, observer.pressure_mbar, observer.temperature)
    return elevation, elevation + bent


def sun_directions(times: Any, observer: Observer, *, smooth: bool = False) -> Any:
    """Unit vectors to the apparent (refracted) sun: east, north, up, in shape `(3, *times.shape)`.

    `times` in any form, as for `sun_position`; for a pandas index a DataFrame with that index and
    the columns east, north, up. `smooth` as for `directions_at`.

    Raises
    ------
    RequestError
        When times have no zone or are not of 1900 to 2199.
    """
    instants = instants_of(times)
    ways = directions_at(instants.seconds, observer, smooth=smooth)
    if instants.index is None:
        return ways
    return instants.table(dict(zip(("east", "north", "up"), ways, strict=True)))


def directions_at(times: ArrayLike, observer: Observer, *, smooth: bool = False) -> Floats:
    """`sun_directions` for unix seconds that need no checking, any shape.

    With `smooth`, refraction does not end abruptly below the horizon but stays as it is two degrees
    below it: the same where the sun can be seen, and without a jump where it cannot.
    """
    seconds = np.asarray(times, dtype=np.float64)
    east, north, up = _unrefracted(seconds, observer)
    elevation = np.degrees(np.arcsin(np.clip(up, -1.0, 1.0)))
    if smooth:
        bent = _bent(np.maximum(elevation, -2.0), observer.pressure_mbar, observer.temperature)
    else:
        bent = refraction(elevation, observer.pressure_mbar, observer.temperature)
    lift = np.radians(bent)
    level = np.sqrt(np.maximum(1.0 - up * up, 1e-30))
    # Lifted within its own vertical plane: turn (level, up) by the refraction, which is less than
    # 0.02 radian, so that what its series leave out is less than 1e-8 of it.
    square = lift * lift
    sine, cosine = lift * (1.0 - square / 6.0), 1.0 - square / 2.0 + square * square / 24.0
    shrink = cosine - up * sine / level
    return np.stack([east * shrink, north * shrink, up * cosine + level * sine])


def refraction(
    elevation: ArrayLike, pressure_mbar: float, temperature: float = TEMPERATURE
) -> Floats:
    """How far the air lifts the sun, in degrees, at unrefracted `elevation` in degrees (SPA, eq.
    42).

    Zero below the elevation at which the refracted upper limb has set, as pvlib applies it.
    """
    e0 = np.asarray(elevation, dtype=np.float64)
    shown = e0 >= -(SEMIDIAMETER + HORIZON_REFRACTION)
    return np.where(shown, _bent(np.where(shown, e0, 0.0), pressure_mbar, temperature), 0.0)


def _bent(elevation: Floats, pressure_mbar: float, temperature: float) -> Floats:
    scale = (pressure_mbar / 1010.0) * (283.0 / (273.0 + temperature))
    angle = np.radians(elevation + 10.3 / (elevation + 5.11))
    return np.asarray(scale * 1.02 / (60.0 * np.tan(angle)))


def _unrefracted(seconds: Floats, observer: Observer) -> tuple[Floats, Floats, Floats]:
    """East, north, up of the topocentric sun without refraction, unit length."""
    sun_x, sun_y, sun_z, distance, sidereal = _geocentric(seconds)
    turn = np.radians(sidereal + observer.longitude)
    cosine, sine = np.cos(turn), np.sin(turn)
    latitude = np.radians(observer.latitude)
    # The observer's place on the flattened Earth, in Earth radii (SPA, eqs. 36-38).
    reduced = np.arctan(FLATTENING * np.tan(latitude))
    height = observer.elevation / EARTH_RADIUS
    equatorial = np.cos(reduced) + height * np.cos(latitude)
    polar = FLATTENING * np.sin(reduced) + height * np.sin(latitude)
    # Nine seconds of arc: the angle is its sine.
    parallax = np.radians(PARALLAX) / distance
    # Axes turning with the Earth: out through the observer's meridian, east, and along the pole.
    # Seen from the surface, the sun's direction is its geocentric one less the observer's place.
    meridian = sun_x * cosine + sun_y * sine - equatorial * parallax
    east = sun_y * cosine - sun_x * sine
    pole = sun_z - polar * parallax
    north = pole * np.cos(latitude) - meridian * np.sin(latitude)
    up = pole * np.sin(latitude) + meridian * np.cos(latitude)
    scale = 1.0 / np.sqrt(east * east + north * north + up * up)
    return east * scale, north * scale, up * scale


def _geocentric(seconds: Floats) -> tuple[Floats, Floats, Floats, Floats, Floats]:
    """Geocentric vector to the sun, of unit length to 1e-8, its distance in au and the apparent
    sidereal time in degrees.
    """
    if seconds.size == 0:
        empty = np.zeros_like(seconds)
        return empty, empty, empty, empty + 1.0, empty
    first, last = int(np.floor(seconds.min() / DAY)), int(np.floor(seconds.max() / DAY))
    # Whole blocks of days, so that neighbouring requests share the cached nodes.
    block = 64
    start, stop = (first // block) * block, (last // block + 1) * block
    position = seconds / DAY - start
    index = np.clip(position.astype(np.intp), 0, stop - start - 1)
    share = position - index
    x = share[..., None]
    # One row for each instant, so that what belongs together lies together in memory.
    row = _cubics(start, stop).take(index, axis=0)
    values = ((row[..., 15:] * x + row[..., 10:15]) * x + row[..., 5:10]) * x + row[..., :5]
    sun_x, sun_y, sun_z, distance, extra = (values[..., column] for column in range(5))
    # Whole turns are left out, to keep all digits: J2000 is the middle of a day.
    days = position + (start - J2000 / DAY)
    sidereal = (SIDEREAL_2000 - 180.0) + 360.0 * share + (SIDEREAL_RATE - 360.0) * days + extra
    return sun_x, sun_y, sun_z, distance, sidereal


@lru_cache(maxsize=64)
def _cubics(start: int, stop: int) -> Floats:
    """Cubic Lagrange interpolation in `_nodes`: for each day the factors of 1, x, x² and x³, five
    each, where x is the share of the day that has passed: (days, 20).
    """
    nodes = _nodes(start, stop).T
    a, b, c, d = nodes[:-3], nodes[1:-2], nodes[2:-1], nodes[3:]
    cubics = np.concatenate(
        [b, -a / 3 - b / 2 + c - d / 6, (a + c) / 2 - b, (d - a) / 6 + (b - c) / 2], axis=1
    )
    cubics.flags.writeable = False
    return cubics


def _nodes(start: int, stop: int) -> Floats:
    """SPA's slow quantities at midnight UTC of days start-1 ... stop+1 (days since 1970), shape (5,
    n).

    Rows: unit vector x, y, z (equator and equinox of date), distance in au, and what the apparent
    sidereal time adds to the mean turn at constant rate, in degrees.
    """
    first, last = (start - 1) // TOGETHER, (stop + 1) // TOGETHER
    nodes = np.concatenate([_block_of_nodes(block) for block in range(first, last + 1)], axis=1)
    return nodes[:, start - 1 - first * TOGETHER : stop + 2 - first * TOGETHER]


@lru_cache(maxsize=64)
def _block_of_nodes(block: int) -> Floats:
    """`_nodes` for a block of days in a row: (5, `TOGETHER`)."""
    spa = spa_module()
    times = np.arange(block * TOGETHER, (block + 1) * TOGETHER, dtype=np.float64) * DAY
    sidereal, ascension, declination = spa.solar_position(
        times, 0.0, 0.0, 0.0, 1010.0, TEMPERATURE, DELTA_T, HORIZON_REFRACTION, 1, sst=True
    )
    (distance,) = spa.solar_position(
        times, 0.0, 0.0, 0.0, 1010.0, TEMPERATURE, DELTA_T, HORIZON_REFRACTION, 1, esd=True
    )
    right, up = np.radians(ascension), np.radians(declination)
    days = (times - J2000) / DAY
    mean = SIDEREAL_2000 + 360.0 * (days % 1.0) + (SIDEREAL_RATE - 360.0) * days
    extra = (sidereal - mean + 180.0) % 360.0 - 180.0
    # The extra wanders by a few arcseconds with nutation and slowly with precession: no jumps in
    # it.
    nodes = np.stack(
        [np.cos(up) * np.cos(right), np.cos(up) * np.sin(right), np.sin(up), distance, extra]
    )
    nodes.flags.writeable = False
    return nodes
