"""The weather year of a site: from its file, from pvlib's wheel, or a clear sky.

    site.weather ── file ──────> weather_files ──> weather_year.year_of
                 ├─ bundled: ──> weather_files
                 └─ none ──────> clear sky, times the months' sunshine if the site gives it

What is odd about it stands in its `remarks`: a place that is far from the site, light at hours
when the sun is down, an hour's shift between the file's light and the sun.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from suncover.base.textfile import one_fault
from suncover.site.model import Place, Site
from suncover.site.parts import BUNDLED
from suncover.sun.clearsky import clear_light
from suncover.sun.position import (
    DAY,
    Observer,
    apparent_elevation_at,
    directions_at,
    position_at,
)
from suncover.sun.weather.files import bundled_path, read_weather
from suncover.sun.weather.possible import check_possible, why_impossible
from suncover.sun.weather.year import TYPICAL_YEAR, WeatherYear

Floats = NDArray[np.float64]

# Farther than this the weather is another place's: a remark, not a fault.
FAR_KM = 60.0
EARTH_KM = 6371.0
TROPIC = 23.44  # degrees of latitude
# Share of the year's beam that may come while the sun is down, before a remark is made: the rows of
# sunrise and sunset, and stations some way off, have a little.
STRAY_BEAM = 0.003
CLEAR_MEANS = (
    "The sun's beam is at its strongest so, and what shades and overhangs keep off of it too; "
    "glass in shade gets more than this from bright clouds."
)
# Weather of a place so far off, or of a latitude so different, is another climate's (ours, no
# source): no money is worked out from it.
OTHER_KM, OTHER_LATITUDE = 500.0, 5.0
CLEAR_STEP = 600.0  # seconds of a row of the clear year


def load_weather(site: Site) -> WeatherYear:
    """The weather year that the site names; a clear sky if it names none.

    Raises
    ------
    FileFaults
        When the file has faults.
    """
    named = site.weather
    if named is None or named.file is None:
        return clear_year(site.place, named.sunshine if named is not None else None)
    name = Path(named.file).name
    if name.startswith(BUNDLED):
        weather = read_weather(bundled_path(name.removeprefix(BUNDLED)))
    else:
        weather = read_weather(named.file, named.stamp)
    if fault := why_impossible(weather, site.place):
        raise one_fault(name, fault)
    return _checked(weather, site.place)


def clear_year(place: Place, sunshine: tuple[float, ...] | None = None) -> WeatherYear:
    """A year of cloudless sky at the place, or one dimmed by the months' `sunshine` shares (0-1).

    With shares S, the beam is S times the clear sky's and the global light 0.25 + 0.75 S times
    (Angstrom 1924, Quarterly Journal of the Royal Meteorological Society 50, 121-126; from memory).
    """
    observer = Observer(place.latitude, place.longitude, place.elevation)
    begin = np.datetime64(f"{TYPICAL_YEAR}-01-01", "s").astype(np.int64)
    # The year as the sun keeps it at this longitude: clocks play no part in a year without a file.
    first = float(begin) - round(place.longitude / 15.0) * 3600.0
    start: Floats = first + np.arange(int(365 * DAY / CLEAR_STEP), dtype=np.float64) * CLEAR_STEP
    middle: Floats = start + CLEAR_STEP / 2.0
    ghi, dni, dhi = clear_light(middle, observer)
    remark = (
        f"No weather file: the sky is always clear. {CLEAR_MEANS} Give a year of weather for what "
        "it comes to."
    )
    if sunshine is not None:
        months = (start - first + float(begin)).astype("datetime64[s]").astype("datetime64[M]")
        share = np.asarray(sunshine)[months.astype(int) % 12]
        ghi, dni = ghi * (0.25 + 0.75 * share), dni * share
        height = np.sin(np.radians(apparent_elevation_at(middle, observer)))
        dhi = np.clip(ghi - dni * np.maximum(height, 0.0), 0.0, None)
        remark = (
            "No weather file: a clear sky, dimmed by your months' sunshine. A rough guess. "
            f"{CLEAR_MEANS}"
        )
    source = "clear sky" if sunshine is None else "clear sky times sunshine"
    return WeatherYear(
        start,
        CLEAR_STEP,
        ghi,
        dni,
        dhi,
        None,
        source,
        typical=True,
        clear=True,
        remarks=(remark,),
        fits=(place.latitude, place.longitude),
    )


def weather_at(weather: WeatherYear, place: Place) -> WeatherYear:
    """A year of weather as that of a place, with a remark on each thing that does not fit it.

    Raises
    ------
    RequestError
        When it cannot be that of the place.
    """
    if weather.fits == (place.latitude, place.longitude):
        return weather
    check_possible(weather, place)
    return _checked(weather, place)


def _checked(weather: WeatherYear, place: Place) -> WeatherYear:
    """The year with a remark on each thing that does not fit the place."""
    # The file's clock is held against the sun of its own station, where it names a station.
    latitude, longitude = weather.place or (place.latitude, place.longitude)
    observer = Observer(latitude, longitude, place.elevation)
    far, elsewhere = _far(weather, place)
    remarks = (*far, *_clock_remarks(weather, observer))
    if not elsewhere and _is_cold_in_summer(weather, place):
        elsewhere = True
        remarks += (
            "It is warmest in this weather while the site's sun stands lowest: it seems to be of "
            f"the other hemisphere. {NO_MONEY}",
        )
    coordinates = (place.latitude, place.longitude)
    return replace(
        weather, remarks=weather.remarks + remarks, elsewhere=elsewhere, fits=coordinates
    )


NO_MONEY = "No payback is worked out from it."


def _far(weather: WeatherYear, place: Place) -> tuple[tuple[str, ...], bool]:
    """What to say of how far off the weather is, and whether that is another climate."""
    if weather.place is None:
        return (), False
    apart = distance_km((place.latitude, place.longitude), weather.place)
    if apart <= FAR_KM:
        return (), False
    turned = abs(abs(place.latitude) - abs(weather.place[0]))
    across = place.latitude * weather.place[0] < 0.0
    elsewhere = apart > OTHER_KM or turned > OTHER_LATITUDE or across
    remark = f"The weather is of {weather.source}, {apart:.0f} km from the site"
    if elsewhere:
        climate = "in the other hemisphere" if across else f"at latitude {weather.place[0]:.1f}°"
        remark += f" and {climate}: take its figures for another climate's. {NO_MONEY}"
        return (remark,), True
    return (f"{remark}.",), False


def _is_cold_in_summer(weather: WeatherYear, place: Place) -> bool:
    """Does it grow colder as the sun rises higher in the year? Not asked in the tropics."""
    if weather.temperature is None or abs(place.latitude) < TROPIC:
        return False
    days = (weather.start - weather.start[0]) // DAY
    warmth = np.bincount(days.astype(np.intp), weather.temperature) / np.bincount(
        days.astype(np.intp)
    )
    noon = weather.start[0] + (np.arange(len(warmth)) + 0.5 - place.longitude / 360.0) * DAY
    # Warmth follows the sun by about a month.
    noon -= 30.0 * DAY
    observer = Observer(place.latitude, place.longitude, place.elevation)
    height = position_at(np.floor(noon / DAY) * DAY + DAY / 2 - place.longitude * 240.0, observer)
    if warmth.std() < 1.0:
        return False
    return float(np.corrcoef(warmth, height.elevation)[0, 1]) < -0.3


def distance_km(first: tuple[float, float], second: tuple[float, float]) -> float:
    """Along the Earth's surface between two (latitude, longitude) in degrees, as if a sphere."""
    north, south = np.radians(first[0]), np.radians(second[0])
    turn = np.radians(second[1] - first[1])
    half = np.sin((south - north) / 2) ** 2
    half = half + np.cos(north) * np.cos(south) * np.sin(turn / 2) ** 2
    return float(2 * EARTH_KM * np.arcsin(np.sqrt(min(half, 1.0))))


def _clock_remarks(weather: WeatherYear, observer: Observer) -> tuple[str, ...]:
    """Does the light come when the sun is up, and is the day's light even about its noon?"""
    total = float(weather.dni.sum())
    if total <= 0.0:
        return ("There is no direct sun in this weather at all; check its dni column.",)
    instants = weather.start[:, None] + np.linspace(0.0, weather.step, STEPS, endpoint=False)
    height = directions_at(instants.ravel(), observer)[2]
    up = np.maximum(height, np.roll(height, -1)).reshape(-1, STEPS).max(axis=1) > 0.0
    stray = float(weather.dni[~up].sum()) / total
    shift = _best_shift(weather, np.maximum(height, 0.0))
    if stray <= STRAY_BEAM and abs(shift) < 1800.0:
        return ()
    way = f"{abs(shift) / 60:.0f} minutes {'late' if shift > 0 else 'early'}"
    about = (
        f"The light in this weather seems {way}"
        if abs(shift) >= 1800.0
        else (f"{stray:.1%} of this weather's direct sun comes while the sun is down")
    )
    return (f"{about}: check its stamps, its UTC offset and the site's longitude.",)


STEPS = 4
"""Instants in each row at which the light's clock is held against the sun."""


def _best_shift(weather: WeatherYear, height: Floats) -> float:
    """By how many seconds the file's light lags the sun: the shift at which both go together best.

    The global light of a year and the sine of the sun's `height` (rows x steps,), 0 by night; a
    shift of half an hour or more stands out clearly from an even spread of morning and afternoon
    cloud.
    """
    step = weather.step / STEPS
    longest = int(np.ceil(7200.0 / step))
    stride = max(1, round(900.0 / step))
    shifts = range(-(longest // stride) * stride, longest + 1, stride)
    fit = [
        float(np.corrcoef(weather.ghi, np.roll(height, shift)[STEPS // 2 :: STEPS])[0, 1])
        for shift in shifts
    ]
    return float(shifts[int(np.argmax(fit))] * step)
