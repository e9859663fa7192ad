"""Weather files of our own making in the formats that are read: a clear and even sun, no clouds.

The light of a row is that of the sun's position in the middle of its interval, so that any shift of
the hours shows.
"""

from datetime import UTC, datetime, timedelta
from functools import cache

import numpy as np

from suncover.sun.position import Observer, sun_position

PLACE = Observer(45.0, 8.0, 250.0)


def light_at(middles: np.ndarray) -> np.ndarray:
    """ghi, dni, dhi in W/m² at the middles of intervals (unix seconds), (3, n)."""
    height = np.sin(np.radians(sun_position(middles, PLACE).apparent_elevation)).clip(0)
    dni = 800.0 * (height > 0)
    dhi = 100.0 * height
    return np.stack([dni * height + dhi, dni, dhi])


def year_middles(year: int, step_s: int = 3600, offset_h: float = 0.0) -> np.ndarray:
    """Middles of all intervals of a year, whose clock is `offset_h` ahead of UTC."""
    begin = datetime(year, 1, 1, tzinfo=UTC).timestamp() - offset_h * 3600
    end = datetime(year + 1, 1, 1, tzinfo=UTC).timestamp() - offset_h * 3600
    return np.arange(begin, end, step_s) + step_s / 2


def utc(seconds: float) -> datetime:
    return datetime.fromtimestamp(seconds, UTC)


@cache
def csv_text(
    year: int = 2025, stamp: str = "end", offset_h: float = 1.0, step_s: int = 3600
) -> str:
    """A CSV year; `offset_h` of its stamps from UTC."""
    middles = year_middles(year, step_s, offset_h)
    shift = {"start": -step_s / 2, "middle": 0.0, "end": step_s / 2}[stamp]
    lines = ["time,ghi,dni,dhi,temp_air"]
    sign = "+" if offset_h >= 0 else "-"
    hours, minutes = divmod(round(abs(offset_h) * 60), 60)
    for middle, (ghi, dni, dhi) in zip(middles, light_at(middles).T, strict=True):
        local = (utc(middle + shift) + timedelta(hours=offset_h)).replace(tzinfo=None)
        lines.append(
            f"{local.isoformat()}{sign}{hours:02d}:{minutes:02d},{ghi:.2f},{dni:.2f},{dhi:.2f},10.5"
        )
    return "\n".join(lines) + "\n"


# A month of each year, as in a typical year; two of them leap years.
YEARS = (2018, 2008, 2009, 2013, 2008, 2006, 2011, 2010, 2020, 2006, 2007, 2016)


def typical_middles(offset_h: float = 0.0) -> np.ndarray:
    """Middles of a typical year's hours, January to December, no 29 February."""
    parts = []
    for month, year in enumerate(YEARS, 1):
        begin = datetime(year, month, 1, tzinfo=UTC)
        end = datetime(year + month // 12, month % 12 + 1, 1, tzinfo=UTC)
        if month == 2:
            end = datetime(year, 2, 28, tzinfo=UTC) + timedelta(days=1)
        hours = int((end - begin).total_seconds() // 3600)
        parts.append(begin.timestamp() - offset_h * 3600 + (np.arange(hours) + 0.5) * 3600)
    return np.concatenate(parts)


@cache
def pvgis_tmy_text(offset_h: float = 0.25) -> str:
    """A PVGIS typical year as CSV: light of the moment `offset_h` after each full hour, UTC."""
    stamps = typical_middles() - 1800.0
    light = light_at(stamps + offset_h * 3600)
    head = [
        "Latitude (decimal degrees): 45.000",
        "Longitude (decimal degrees): 8.000",
        "Elevation (m): 250.0",
        f"Irradiance Time Offset (h): {offset_h}",
        "month,year",
        *(f"{month},{year}" for month, year in enumerate(YEARS, 1)),
        "time(UTC),T2m,RH,G(h),Gb(n),Gd(h),IR(h),WS10m,WD10m,SP",
    ]
    rows = [
        f"{utc(stamp):%Y%m%d:%H%M},8.5,80.0,{ghi:.2f},{dni:.2f},{dhi:.2f},300,1,200,99000"
        for stamp, (ghi, dni, dhi) in zip(stamps, light.T, strict=True)
    ]
    return "\n".join([*head, *rows, "", "T2m: 2-m air temperature (degree Celsius)"]) + "\n"


@cache
def pvgis_hourly_text(year: int = 2019, ground: float = 0.0) -> str:
    """PVGIS hourly radiation on the horizontal, as CSV: light of the moment ten past, UTC."""
    stamps = year_middles(year) - 1800.0 + 600.0
    elevation = sun_position(stamps, PLACE).apparent_elevation.clip(0)
    ghi, _, dhi = light_at(stamps)
    head = [
        "Latitude (decimal degrees):\t45.000",
        "Longitude (decimal degrees):\t8.000",
        "Elevation (m):\t250",
        "Radiation database:\tPVGIS-SARAH3",
        "",
        "Slope: 0 deg.",
        "Azimuth: 0 deg.",
        "",
        "time,Gb(i),Gd(i),Gr(i),H_sun,T2m,WS10m,Int",
    ]
    rows = [
        f"{utc(stamp):%Y%m%d:%H%M},{g - d:.2f},{d:.2f},{ground},{e:.2f},8.5,1.0,0.0"
        for stamp, g, d, e in zip(stamps, ghi, dhi, elevation, strict=True)
    ]
    return "\n".join([*head, *rows, "", "Gb(i): Beam irradiance"]) + "\n"


@cache
def nsrdb_text(year: int = 2023, minute: int = 30, offset_h: int = 1) -> str:
    """An NSRDB file: stamps half past the hour, in the zone of its header."""
    middles = year_middles(year, 3600, offset_h)
    head = [
        "Source,Location ID,City,State,Country,Latitude,Longitude,Time Zone,Elevation,"
        "Local Time Zone",
        f"NSRDB,1,-,-,-,45.0,8.0,{offset_h},250,{offset_h}",
        "Year,Month,Day,Hour,Minute,Temperature,DHI,DNI,GHI",
    ]
    rows = []
    for middle, (ghi, dni, dhi) in zip(middles, light_at(middles).T, strict=True):
        local = utc(middle) + timedelta(hours=offset_h)
        rows.append(
            f"{local.year},{local.month},{local.day},{local.hour},{minute},9.5,"
            f"{dhi:.1f},{dni:.1f},{ghi:.1f}"
        )
    return "\n".join([*head, *rows]) + "\n"


@cache
def tmy3_text(offset_h: int = 1) -> str:
    """A TMY3 file of the station's typical year: hours 1 to 24, each named by its end."""
    middles = typical_middles(offset_h)
    head = [
        f'999999,"TEST HILL",XX,{offset_h}.0,45.000,8.000,250',
        "Date (MM/DD/YYYY),Time (HH:MM),GHI (W/m^2),DNI (W/m^2),DHI (W/m^2),Dry-bulb (C)",
    ]
    rows = []
    for middle, (ghi, dni, dhi) in zip(middles, light_at(middles).T, strict=True):
        local = utc(middle - 1800) + timedelta(hours=offset_h)
        rows.append(f"{local:%m/%d/%Y},{local.hour + 1:02d}:00,{ghi:.1f},{dni:.1f},{dhi:.1f},7.5")
    return "\n".join([*head, *rows]) + "\n"
