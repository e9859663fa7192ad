"""How strong the sun's beam is under a clear sky, and how high the sun must stand to reach a given
beam.

Model: Ineichen and Perez with the monthly Linke turbidity climatology that pvlib brings, as pvlib
combines them (`pvlib.location.Location.get_clearsky` with its defaults): Kasten-Young airmass
of the apparent zenith, pressure from the elevation, extraterrestrial radiation after Spencer,
turbidity interpolated to days of the year in UTC.

On one UTC day everything but the sun's height is constant, and the beam grows with height. So "the
beam is at least B" is the same as "the sun stands at least so high", one height per day.
"""

from __future__ import annotations

from functools import lru_cache
from itertools import product
from typing import TYPE_CHECKING, Any, overload

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view
from numpy.typing import ArrayLike, NDArray

from suncover.base.instants import instants_of
from suncover.base.roots import find_roots
from suncover.sun.position import DAY, Observer, apparent_elevation_at
from suncover.sun.pvlib_parts import pvlib_folder

if TYPE_CHECKING:
    import pandas as pd

    from suncover.base.instants import Indexed, Times

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

SOLAR_CONSTANT = 1366.1  # W/m2, pvlib's default for the extraterrestrial radiation
TWENTIETHS = 20.0  # the table of turbidity has whole numbers of them
# How closely the height for a beam is known, in degrees.
CLOSE = 1e-9
# Days whose sky is looked up together.
BLOCK = 512


@overload
def clear_sky_dni(times: Indexed, observer: Observer) -> pd.Series[float]: ...
@overload
def clear_sky_dni(times: Times, observer: Observer) -> Floats: ...
def clear_sky_dni(times: Any, observer: Observer) -> Any:
    """Clear-sky direct normal irradiance in W/m2 at `times`, 0 while the sun is down.

    `times` in any form and shape: a DatetimeIndex, datetime64, aware datetimes, unix seconds. What
    comes back is an array of that shape; for a pandas index a Series `dni` with that index.

    Raises
    ------
    RequestError
        When times have no zone or are not of 1900 to 2199.
    """
    instants = instants_of(times)
    return instants.series(dni_at(instants.seconds, observer), "dni")


def dni_at(times: ArrayLike, observer: Observer) -> Floats:
    """`clear_sky_dni` for unix seconds that need no checking, any shape."""
    seconds = np.asarray(times, dtype=np.float64)
    height = apparent_elevation_at(seconds, observer)
    turbidity, extra = _sky_at(seconds, observer)
    return _dni(height, turbidity, extra, observer)


def clear_light(seconds: Floats, observer: Observer) -> tuple[Floats, Floats, Floats]:
    """Clear-sky global horizontal, direct normal and diffuse horizontal irradiance in W/m2 at unix
    seconds (n,).
    """
    height = apparent_elevation_at(seconds, observer)
    light = np.zeros((3, len(seconds)))
    lit = np.flatnonzero(height > 0)
    if len(lit):
        up = height[lit]
        turbidity, extra = _sky_at(seconds[lit], observer)
        ghi = _horizontal(up, turbidity, extra, observer)
        dni = _dni(up, turbidity, extra, observer)
        dhi = np.clip(ghi - dni * np.sin(np.radians(up)), 0.0, None)
        light[:, lit] = ghi, dni, dhi
    return light[0], light[1], light[2]


def beam_at_height(days: ArrayLike, elevation: Floats, observer: Observer) -> Floats:
    """Clear-sky direct normal irradiance in W/m2 of a sun at apparent `elevation` in degrees, (n,).

    `days` are whole days since 1970-01-01, UTC, shape (n,).
    """
    numbers = np.asarray(days, dtype=np.int64)
    if numbers.size == 0:
        return np.zeros(numbers.shape)
    # Whole blocks of days, so that neighbouring requests share what is known of them.
    first, last = int(numbers.min()) // BLOCK * BLOCK, (int(numbers.max()) // BLOCK + 1) * BLOCK
    turbidity, extra = _sky_between(first, last, observer)
    return _dni(elevation, turbidity[numbers - first], extra[numbers - first], observer)


def beam_bounds(
    first: Ints, last: Ints, low: Floats, high: Floats, observer: Observer
) -> tuple[Floats, Floats]:
    """The weakest and the strongest beam in W/m2 of a sun from apparent elevation `low` up to
    `high` (degrees, (n,)) on any day from `first` to `last` (n,), which are as above.

    The beam grows with height and with what reaches the air, and falls with turbidity.
    """
    skies, span = np.zeros((4, len(first))), last - first
    for days in range(int(span.max(initial=-1)) + 1):
        index = np.flatnonzero(span == days)
        if len(index) == 0:
            continue
        begin = int(first[index].min()) // BLOCK * BLOCK
        end = (int(last[index].max()) // BLOCK + 1) * BLOCK
        skies[:, index] = _skies_between(begin, end, days, observer)[:, first[index] - begin]
    clearest, haziest, weakest, strongest = skies
    return _dni(low, haziest, weakest, observer), _dni(high, clearest, strongest, observer)


def height_for_beam(days: ArrayLike, observer: Observer, beam: float) -> Floats:
    """Lowest apparent elevation in degrees at which the clear-sky beam reaches `beam` (W/m2).

    `days` are whole days since 1970-01-01, UTC, shape (n,). The answer has the same shape: 0 where
    `beam` is 0 or less, infinity where the clear sky never gives that much.
    """
    numbers = np.asarray(days, dtype=np.int64)
    if beam <= 0 or numbers.size == 0:
        return np.zeros(numbers.shape)
    first, last = int(numbers.min()), int(numbers.max())
    return _heights(first, last, observer, float(beam))[numbers - first]


@lru_cache(maxsize=256)
def _heights(first: int, last: int, observer: Observer, beam: float) -> Floats:
    days = np.arange(first, last + 1)
    turbidity, extra = _sky_of_days(days, observer)
    zenith = np.full(days.shape, 90.0)
    reached = np.flatnonzero(_dni(zenith, turbidity, extra, observer) >= beam)

    def excess(height: Floats, index: NDArray[np.int64]) -> Floats:
        day = reached[index]
        return _dni(height, turbidity[day], extra[day], observer) - beam

    heights = np.full(days.shape, np.inf)
    zero = np.zeros(len(reached))
    heights[reached] = find_roots(excess, zero, zenith[reached], CLOSE)
    heights.flags.writeable = False
    return heights


def _dni(
    apparent_elevation: Floats, turbidity: Floats, extra: Floats, observer: Observer
) -> Floats:
    """Direct normal irradiance in W/m2 of a clear sky; 0 below the horizon.

    Ineichen and Perez, A new airmass independent formulation for the Linke turbidity coefficient,
    Solar Energy 73 (2002), 151-157, with their bound by the global irradiance; airmass after Kasten
    and Young, Applied Optics 28 (1989), 4735-4738. Both as `pvlib.clearsky.ineichen` and
    `pvlib.atmosphere.get_relative_airmass` have them, to rounding.
    """
    height = observer.elevation
    lit = apparent_elevation > 0
    elevation = np.where(lit, apparent_elevation, 90.0)  # nothing is asked of a sun that is down
    cosine = np.cos(np.radians(90.0 - elevation))
    airmass, near = _airmass(elevation, observer), np.exp(-height / 8000.0)
    horizontal = _horizontal(elevation, turbidity, extra, observer)
    normal = (0.664 + 0.163 / near) * extra * np.exp(-0.09 * airmass * (turbidity - 1.0))
    share = 1.0 - (0.1 - 0.2 * np.exp(-turbidity)) / (0.1 + 0.882 / near)
    bound = horizontal * np.minimum(np.maximum(share / cosine, 0.0), 1e20)
    return np.asarray(np.where(lit, np.minimum(np.maximum(normal, 0.0), bound), 0.0))


def _airmass(elevation: Floats, observer: Observer) -> Floats:
    """How much air the beam passes, at the pressure of the place; the sun is up."""
    cosine = np.cos(np.radians(90.0 - elevation))
    airmass = 1.0 / (cosine + 0.50572 * (6.07995 + elevation) ** -1.6364)
    return np.asarray(airmass * observer.pressure_mbar / 1013.25)


def _horizontal(elevation: Floats, turbidity: Floats, extra: Floats, observer: Observer) -> Floats:
    """Global horizontal irradiance in W/m2 of a clear sky with the sun up; sources as `_dni`."""
    height = observer.elevation
    near, far = np.exp(-height / 8000.0), np.exp(-height / 1250.0)
    haze = near + far * (turbidity - 1.0)
    fading = np.exp(-(3.92e-05 * height + 0.0387) * _airmass(elevation, observer) * haze)
    cosine = np.cos(np.radians(90.0 - elevation))
    return np.asarray((5.09e-05 * height + 0.868) * extra * cosine * fading)


@lru_cache(maxsize=64)
def _sky_between(first: int, last: int, observer: Observer) -> tuple[Floats, Floats]:
    sky = _sky_of_days(np.arange(first, last), observer)
    for values in sky:
        values.flags.writeable = False
    return sky


@lru_cache(maxsize=64)
def _skies_between(first: int, last: int, days: int, observer: Observer) -> Floats:
    """Of each day from `first` on and so many `days` after it, as long as these come before `last`:
    the least and the largest turbidity, and the least and the largest of what reaches the air.
    """
    skies = [
        pick(sliding_window_view(values, days + 1), axis=1)
        for values, pick in product(_sky_between(first, last, observer), (np.min, np.max))
    ]
    return np.array(skies)


def _sky_at(seconds: Floats, observer: Observer) -> tuple[Floats, Floats]:
    """`_sky_of_days` of the days of some instants, in their shape."""
    if seconds.size == 0:
        return np.zeros_like(seconds), np.zeros_like(seconds)
    days = np.floor(seconds / DAY).astype(np.int64)
    first, last = int(days.min()), int(days.max())
    turbidity, extra = _sky_of_days(np.arange(first, last + 1), observer)
    return turbidity[days - first], extra[days - first]


def _sky_of_days(days: NDArray[np.int64], observer: Observer) -> tuple[Floats, Floats]:
    """Linke turbidity and extraterrestrial radiation (W/m2) of each UTC day, shape of `days`."""
    years = days.astype("datetime64[D]").astype("datetime64[Y]")
    first, after = (
        year.astype("datetime64[D]").astype(np.int64)
        for year in (years, years + np.timedelta64(1, "Y"))
    )
    day_of_year = (days - first + 1).astype(np.float64)
    # Spencer's series, as in pvlib.irradiance.get_extra_radiation (Duffie & Beckman, eq. 1.4.1b).
    angle = 2.0 * np.pi / 365.0 * (day_of_year - 1.0)
    ratio = (
        1.00011
        + 0.034221 * np.cos(angle)
        + 0.00128 * np.sin(angle)
        + 0.000719 * np.cos(2 * angle)
        + 7.7e-05 * np.sin(2 * angle)
    )
    return _turbidity(day_of_year, after - first, observer), SOLAR_CONSTANT * ratio


def _turbidity(day_of_year: Floats, year_days: NDArray[np.int64], observer: Observer) -> Floats:
    """Linke turbidity on days of years of so many days: straight lines between the middles of
    months.

    The same as `pvlib.clearsky.lookup_linke_turbidity`, which takes and gives what only pandas has;
    loading that would take longer than all else that a short command does.
    """
    months = _monthly_turbidity(observer.latitude, observer.longitude)
    around = np.concatenate([months[-1:], months, months[:1]])
    common, leap = (
        np.interp(day_of_year, _middles_of_months(february), around) for february in (28, 29)
    )
    return np.asarray(np.where(year_days == 366, leap, common) / TWENTIETHS)


def _middles_of_months(february: int) -> Floats:
    """Days of the year in the middle of each month, from the December before to the January after:
    (14,).
    """
    lengths = np.array([31, 31, february, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31, 31])
    ends = np.cumsum(lengths) - lengths[0]
    return np.asarray(ends - lengths / 2.0)


def _monthly_turbidity(latitude: float, longitude: float) -> Floats:
    """Linke turbidity of the months at a place, in twentieths: (12,).

    From the world's climatology that pvlib brings: cells of five minutes of arc, the first one at
    the north-west corner. J. Remund and others, Worldwide Linke turbidity information, ISES Solar
    World Congress 2003.
    """

    def cell(degrees: float, edge: float, scale: float, count: int) -> int:
        # Reckoned as pvlib does, so that between two cells both take the same one.
        return int(np.clip(np.around((degrees - (edge + 0.5 / scale)) * scale), 0, count - 1))

    return _turbidity_of_cell(cell(latitude, 90, -12.0, 2160), cell(longitude, -180, 12.0, 4320))


@lru_cache(maxsize=1024)
def _turbidity_of_cell(row: int, column: int) -> Floats:
    import h5py

    path = pvlib_folder() / "data" / "LinkeTurbidities.h5"
    with h5py.File(path) as file:
        months = np.asarray(file["LinkeTurbidity"][row, column], dtype=np.float64)
    months.flags.writeable = False
    return months
