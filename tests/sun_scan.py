"""Whole days second by second with pvlib, for comparison: the sun, the clear sky, bare windows."""

from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd
import pvlib
from random_windows import site_of
from scipy.interpolate import CubicSpline

from suncover.base.clock import dates_bounds
from suncover.base.spell import Spell
from suncover.site.model import Site, Window

# A change is seen at the next whole second, and the program rounds to the nearest.
ONE_SECOND = 1
# What lasts at least so long must be found, and nothing so long invented.
SHORTEST = 60


@dataclass(frozen=True)
class Day:
    latitude: float
    longitude: float
    elevation: float
    zone: str
    day: date

    @property
    def span(self) -> Spell:
        return dates_bounds(self.day, self.day, ZoneInfo(self.zone))

    def site(self, *windows: Window, beam: float = 0.0, **more: object) -> Site:
        place = {"elevation": self.elevation, "timezone": self.zone}
        need = {"beam": beam, **more.pop("need", {})}
        return site_of(
            *windows,
            latitude=self.latitude,
            longitude=self.longitude,
            place=place,
            need=need,
            **more,
        )


@dataclass(frozen=True)
class Sky:
    """pvlib's sun and clear sky at every second of a day."""

    seconds: np.ndarray
    elevation: np.ndarray
    azimuth: np.ndarray
    beam: np.ndarray

    def local(self, window: Window) -> np.ndarray:
        """Directions (3, n) to the right, up the glass and out of it, with each its own formula."""
        e, g = np.radians(self.elevation), np.radians(self.azimuth - window.azimuth)
        t = np.radians(window.tilt)
        ahead, right, up = np.cos(e) * np.cos(g), -np.cos(e) * np.sin(g), np.sin(e)
        return np.stack(
            [right, up * np.sin(t) - ahead * np.cos(t), ahead * np.sin(t) + up * np.cos(t)]
        )

    def lit(self, window: Window, beam: float) -> np.ndarray:
        """Seconds in which a bare window is in sun."""
        incidence = pvlib.irradiance.aoi_projection(
            window.tilt, window.azimuth, 90.0 - self.elevation, self.azimuth
        )
        return (self.elevation > 0.0) & (np.asarray(incidence) > 0.0) & self.strong(beam)

    def strong(self, beam: float) -> np.ndarray:
        return np.full(len(self.seconds), True) if beam == 0.0 else self.beam > beam


def pvlib_sun(place: pvlib.location.Location, seconds: np.ndarray) -> tuple[pd.DataFrame, Any]:
    """pvlib's sun and clear-sky beam (n,) at many instants of a day or so, in order.

    The sun is `Location.get_solarposition`'s (NREL's SPA) at every minute, a cubic between, and
    lifted by pvlib's own refraction. The cubic is off by the turn of a minute, 0.0044 rad, to the
    fourth power over 384: 1e-12 rad. The beam is `Location.get_clearsky`'s (Ineichen and Perez).
    """
    minutes = np.arange(seconds[0] - 120, seconds[-1] + 180, 60)
    true = place.get_solarposition(pd.to_datetime(minutes, unit="s", utc=True))
    e, a = (np.radians(true[name].to_numpy()) for name in ("elevation", "azimuth"))
    way = np.stack([np.cos(e) * np.sin(a), np.cos(e) * np.cos(a), np.sin(e)])
    east, north, up = CubicSpline(minutes - minutes[0], way, axis=1)(seconds - minutes[0])
    elevation = np.degrees(np.arctan2(up, np.hypot(east, north)))
    pressure = pvlib.atmosphere.alt2pres(place.altitude) / 100  # hPa
    elevation += pvlib.spa.atmospheric_refraction_correction(pressure, 12.0, elevation, 0.5667)
    sun = {
        "apparent_elevation": elevation,
        "apparent_zenith": 90.0 - elevation,
        "azimuth": np.degrees(np.arctan2(east, north)) % 360.0,
    }
    table = pd.DataFrame(sun, index=pd.to_datetime(seconds, unit="s", utc=True))
    return table, place.get_clearsky(table.index, solar_position=table)["dni"].to_numpy()


@lru_cache(maxsize=20)
def scan(day: Day) -> Sky:
    seconds = np.arange(day.span.start, day.span.end)
    place = pvlib.location.Location(day.latitude, day.longitude, altitude=day.elevation)
    sun, beam = pvlib_sun(place, seconds)
    elevation, azimuth = sun["apparent_elevation"].to_numpy(), sun["azimuth"].to_numpy()
    return Sky(seconds, elevation, azimuth, beam)


def spells_of(seconds: np.ndarray, lit: np.ndarray) -> list[tuple[int, int]]:
    """From the first lit second to the first dark one, for each run of lit seconds."""
    change = np.flatnonzero(np.diff(np.concatenate([[False], lit, [False]]).astype(int)))
    ends = np.append(seconds, seconds[-1] + 1)[change].reshape(-1, 2)
    return [(int(start), int(end)) for start, end in ends]


def long_enough(spells: list[tuple[int, int]]) -> np.ndarray:
    return np.array([spell for spell in spells if spell[1] - spell[0] >= SHORTEST]).reshape(-1, 2)


def assert_as_scanned(found: tuple[Spell, ...], seconds: np.ndarray, lit: np.ndarray) -> int:
    """The same spells, to a second; how many."""
    scanned = long_enough(spells_of(seconds, lit))
    ours = long_enough([(spell.start, spell.end) for spell in found])
    assert ours.shape == scanned.shape
    assert np.abs(ours - scanned).max(initial=0) <= ONE_SECOND
    return len(ours)


DAYS = {
    "Greensboro, clocks go forward": Day(36.07, -79.79, 270, "America/New_York", date(2026, 3, 8)),
    "Lord Howe, clocks go back half an hour": Day(
        -31.55, 159.08, 5, "Australia/Lord_Howe", date(2026, 4, 5)
    ),
    "Quito at the equinox": Day(-0.18, -78.47, 2850, "America/Guayaquil", date(2026, 3, 20)),
    "Bengaluru in June": Day(12.97, 77.59, 920, "Asia/Kolkata", date(2026, 6, 21)),
    "Taveuni on the date line": Day(-16.83, 179.99, 10, "Pacific/Fiji", date(2026, 11, 3)),
    "Apia": Day(-13.83, -171.77, 2, "Pacific/Apia", date(2026, 8, 9)),
    "Ushuaia in December": Day(-54.80, -68.30, 20, "America/Argentina/Ushuaia", date(2026, 12, 21)),
    "London in June": Day(51.51, -0.13, 20, "Europe/London", date(2026, 6, 21)),
    "Tromso in June": Day(69.65, 18.96, 5, "Europe/Oslo", date(2026, 6, 21)),
    "Tromso, the sun comes back": Day(69.65, 18.96, 5, "Europe/Oslo", date(2026, 1, 17)),
    "South Pole": Day(-90.0, 0.0, 2835, "Antarctica/McMurdo", date(2026, 12, 21)),
}


def ends_of(day: Day) -> tuple[int, int]:
    return day.span.start, day.span.end
