"""Weather files: which kind one is, by its content, and its rows by the middle of each interval.

What a stamp means is settled here, once, for each kind:

    CSV       as the site file says: `stamp` = "start", "middle" or "end"
    TMY3      end of the hour (pvlib keeps 01:00 for the first)
    TM2       end of the hour (pvlib turns the file's hour 1 into 00:00)
    PVGIS     a moment: the hour's value is that of the stamp, moved by the file's own time offset
    NSRDB     middle of the interval, as its half past the hour says

TMY3 and TM2 are read here, the other well-known kinds by `pvlib.iotools`; compressed files (.gz) of
all kinds are opened here. Numbers for "missing" (-999, -9900 and the like) become nan.
"""

from __future__ import annotations

import csv
import gzip
import io
import json
import os
import re
import warnings
import zlib
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Literal

import numpy as np
from numpy.typing import NDArray

from suncover.base.errors import FileFaults
from suncover.base.textfile import one_fault, read_bytes
from suncover.site.parts import BUNDLED_YEARS
from suncover.sun.pvlib_parts import pvlib_folder
from suncover.sun.weather.csv import is_weather_csv, read_weather_csv
from suncover.sun.weather.year import WeatherRows, WeatherTrouble, WeatherYear, year_of

if TYPE_CHECKING:
    import pandas as pd

Floats = NDArray[np.float64]
Stamp = Literal["start", "middle", "end"]

BUNDLED = dict(zip(BUNDLED_YEARS, ("723170TYA.CSV", "12839.tm2", "703165TY.csv"), strict=True))
"""Typical years that pvlib's wheel carries, by the name to use after `bundled:`."""

MOST_BYTES = 100_000_000  # our own bound: a year of minutes has a quarter of it
# No sunlight on Earth is stronger, and no instrument reads lower at night; beyond is a code for
# missing.
STRONGEST, FAINTEST = 2000.0, -20.0

_TM2_HEADER = re.compile(r" \d{5} (.{22}) (..) +(-?\d+) ([NS]) *(\d+) +(\d+) ([EW]) *(\d+) +(\d+)")
_KINDS = (
    "CSV with the columns time,ghi,dni,dhi; TMY3; TM2; PVGIS (hourly or typical year, CSV or "
    "JSON); NSRDB"
)


def read_weather(path: str | os.PathLike[str], stamp: Stamp | None = None) -> WeatherYear:
    """The year in a weather file of any known kind; `stamp` for a CSV.

    Raises
    ------
    FileFaults
        When there is no such file, its kind is not known, its rows make no year, or `stamp` says
        otherwise than the file's format.
    """
    text = _text(path)
    for is_of_kind, reader, meant in _READERS:
        if is_of_kind(text):
            if stamp is not None and stamp != meant:
                raise one_fault(
                    path,
                    f"by its format this file's stamps mean the {meant} of the interval; write "
                    f'stamp = "{meant}"',
                )
            return _year(path, partial(reader, text))
    if not is_weather_csv(text):
        raise one_fault(path, f"this is no weather file of a known kind; known are {_KINDS}", 1)
    if stamp is None:
        raise one_fault(path, 'say what the stamps of a CSV mean: stamp = "start", "middle", "end"')
    return _year(path, partial(read_weather_csv, text, path, stamp))


def bundled_path(name: str) -> Path:
    """Where the typical year `name`, one of `BUNDLED`, lies in the installed pvlib."""
    return pvlib_folder() / "data" / BUNDLED[name]


def _year(path: str | os.PathLike[str], read: Callable[[], WeatherRows]) -> WeatherYear:
    """What `read` gives as a year; everything that goes wrong as faults of the file."""
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # readers' own, for those who write programs with them
            return year_of(read())
    except FileFaults:
        raise
    except WeatherTrouble as trouble:
        message = str(trouble)
        if trouble.row is not None:
            message = f"row {trouble.row + 1} of the data: {message}"
        raise one_fault(path, message) from None
    except Exception as error:  # whatever a reader stumbles over in a damaged file
        cause = str(error).splitlines()[0] if str(error) else type(error).__name__
        raise one_fault(path, f"the file begins well but is damaged: {cause}") from None


def _text(path: str | os.PathLike[str]) -> str:
    """The file's text, unpacked if it is compressed."""
    data = read_bytes(path, MOST_BYTES)
    if data[:2] == b"\x1f\x8b":
        try:
            with gzip.open(io.BytesIO(data)) as packed:
                data = packed.read(MOST_BYTES + 1)
        except (OSError, EOFError, zlib.error):
            raise one_fault(path, "the compressed file is damaged; fetch it again") from None
        if len(data) > MOST_BYTES:
            unpacked = f"at most {MOST_BYTES / 1e6:g} MB are read"
            raise one_fault(path, f"the file is too large once it is unpacked; {unpacked}")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        return data.decode("latin-1")  # older files have station names in it


# --- the well-known kinds ----------------------------------------------------------------------


_TMY3_COLUMNS = ("GHI (W/m^2)", "DNI (W/m^2)", "DHI (W/m^2)", "Dry-bulb (C)")


def _read_tmy3(text: str) -> WeatherRows:
    """A TMY3 file (S. Wilcox and W. Marion, Users Manual for TMY3 Data Sets, NREL/TP-581-43156,
    2008): stamps mean the end of the hour, in standard time, with 24:00 for the day's last.

    Read here and not by pvlib, of which all would have to be loaded; to the same rows (tested).
    """
    lines = csv.reader(io.StringIO(text))
    station = next(lines)
    names = [name.strip() for name in next(lines)]
    rows = [row for row in lines if row]
    date_column, clock_column, *columns = (
        names.index(name) for name in ("Date (MM/DD/YYYY)", "Time (HH:MM)", *_TMY3_COLUMNS)
    )
    days = [
        f"{row[date_column][6:10]}-{row[date_column][:2]}-{row[date_column][3:5]}" for row in rows
    ]
    minutes = [60 * int(row[clock_column][:-3]) + int(row[clock_column][-2:]) for row in rows]
    local = np.array(days, "datetime64[s]").astype(np.int64) + 60 * np.array(minutes, np.int64)
    ghi, dni, dhi, temperature = (np.array([float(row[at]) for row in rows]) for at in columns)
    offset = round(float(station[3]) * 3600)
    return WeatherRows(
        local - offset - 1800,
        np.full(len(local), offset),
        _light(ghi),
        _light(dni),
        _light(dhi),
        _warmth(temperature),
        f"{station[1].strip(chr(34)).title()}, {station[2]} (TMY3)",
        (float(station[4]), float(station[5])),
        typical=True,
    )


# Columns of a line of TM2, from 0: what is read of table 3-2 of its manual.
_TM2_TIME = tuple(slice(at, at + 2) for at in (1, 3, 5, 7))  # year, month, day, hour
_TM2_VALUES = tuple(slice(at, at + 4) for at in (17, 23, 29, 67))  # ghi, dni, dhi, dry bulb


def _read_tm2(text: str) -> WeatherRows:
    """A TM2 file (W. Marion and K. Urban, User's Manual for TMY2s, NREL/SP-463-7668, 1995): stamps
    mean the end of the hour, 1 to 24, in standard time; temperatures are in tenths of a degree.

    Read here and not by pvlib, of which all would have to be loaded; to the same rows (tested).
    """
    first, *lines = text.splitlines()
    header = _TM2_HEADER.match(first)
    if header is None:
        raise WeatherTrouble("the first line is no TM2 header")
    lines = [line for line in lines if line.strip()]
    times = [[int(line[part]) for part in _TM2_TIME] for line in lines]
    days = [f"19{year:02d}-{month:02d}-{day:02d}" for year, month, day, _ in times]
    hours = np.array([hour for *_, hour in times], np.int64)
    local = np.array(days, "datetime64[s]").astype(np.int64) + 3600 * hours
    ghi, dni, dhi, tenths = (
        np.array([float(line[part]) for line in lines]) for part in _TM2_VALUES
    )
    zone, north, north_minutes, east, east_minutes = (
        float(header[group]) for group in (3, 5, 6, 8, 9)
    )
    latitude, longitude = north + north_minutes / 60.0, east + east_minutes / 60.0
    offset = round(zone * 3600)
    return WeatherRows(
        local - offset - 1800,
        np.full(len(local), offset),
        _light(ghi),
        _light(dni),
        _light(dhi),
        _warmth(tenths / 10.0),
        f"{header[1].strip().title()}, {header[2]} (TM2)",
        (
            latitude if header[4] == "N" else -latitude,
            longitude if header[7] == "E" else -longitude,
        ),
        typical=True,
    )


def _read_nsrdb(text: str) -> WeatherRows:
    from pvlib.iotools import psm4

    frame, meta = psm4.read_nsrdb_psm4(io.StringIO(text))
    place = (meta["latitude"], meta["longitude"])
    return _rows(
        frame, ("ghi", "dni", "dhi", "temp_air"), 0, f"NSRDB {place[0]:g}, {place[1]:g}", place
    )


def _read_pvgis_tmy(text: str) -> WeatherRows:
    from pvlib.iotools import pvgis

    if text.lstrip().startswith("{"):
        frame, meta = pvgis.read_pvgis_tmy(io.StringIO(text), "json", map_variables=True)
        place = meta["inputs"]["location"]
        offset = float(place.get("irradiance_time_offset", 0.0))
    else:
        frame, meta = pvgis.read_pvgis_tmy(io.BytesIO(text.encode()), "csv", map_variables=True)
        place = meta["inputs"]
        offset = float(place.get("irradiance time offset", 0.0))
    coordinates = (float(place["latitude"]), float(place["longitude"]))
    source = f"PVGIS typical year, {coordinates[0]:g}, {coordinates[1]:g}"
    return _rows(
        frame,
        ("ghi", "dni", "dhi", "temp_air"),
        round(offset * 3600),
        source,
        coordinates,
        typical=True,
    )


def _read_pvgis_hourly(text: str) -> WeatherRows:
    from pvlib.iotools import pvgis

    kind = "json" if text.lstrip().startswith("{") else "csv"
    frame, meta = pvgis.read_pvgis_hourly(io.StringIO(text), kind, map_variables=True)
    place = meta["inputs"]["location"] if kind == "json" else meta["inputs"]
    _check_pvgis_plane(frame)
    height = np.sin(np.radians(frame["solar_elevation"].to_numpy(float)))
    beam = frame["poa_direct"].to_numpy(float)
    diffuse = frame["poa_sky_diffuse"].to_numpy(float)
    # The file gives the beam on the horizontal. Below three degrees of sun the division only
    # blows up what little it says.
    dni = np.where(height > np.sin(np.radians(3.0)), beam / np.maximum(height, 0.05), 0.0)
    frame = frame.assign(ghi=beam + diffuse, dni=dni, dhi=diffuse)
    coordinates = (float(place["latitude"]), float(place["longitude"]))
    source = f"PVGIS hourly, {coordinates[0]:g}, {coordinates[1]:g}"
    return _rows(frame, ("ghi", "dni", "dhi", "temp_air"), 0, source, coordinates)


def _check_pvgis_plane(frame: pd.DataFrame) -> None:
    """Refuse a file whose light is not split, or not on the horizontal."""
    needed = {"poa_direct", "poa_sky_diffuse", "solar_elevation"}
    if not needed <= set(frame.columns):
        raise WeatherTrouble(
            "beam and diffuse light are not apart in it; fetch it again with the radiation "
            "components"
        )
    if "poa_ground_diffuse" in frame and (frame["poa_ground_diffuse"] > 0).any():
        raise WeatherTrouble(
            "its light falls on a tilted plane; fetch it again for slope 0, or as a typical year"
        )


def _rows(
    frame: pd.DataFrame,
    columns: tuple[str, str, str, str],
    to_middle: int,
    source: str,
    place: tuple[float, float],
    *,
    typical: bool = False,
) -> WeatherRows:
    """A reader's frame as rows; `to_middle` seconds lie from the stamp to the interval's middle."""
    index: pd.DatetimeIndex = frame.index  # type: ignore[assignment]  # by pvlib
    seconds = index.tz_convert("UTC").tz_localize(None).to_numpy("datetime64[s]").astype(np.int64)
    local = index.tz_localize(None).to_numpy("datetime64[s]").astype(np.int64)
    ghi, dni, dhi = (_light(frame[name].to_numpy(float)) for name in columns[:3])
    temperature = None
    if columns[3] in frame:
        temperature = _warmth(frame[columns[3]].to_numpy(float))
    return WeatherRows(
        seconds + to_middle,
        local - seconds,
        ghi,
        dni,
        dhi,
        temperature,
        source,
        (float(place[0]), float(place[1])),
        typical,
    )


def _light(read: Floats) -> Floats:
    """Irradiance as read: nan for what stands for missing, 0 for an instrument's small negative."""
    values = np.where((read < FAINTEST) | (read > STRONGEST), np.nan, read)
    return np.where(values < 0.0, 0.0, values)


def _warmth(read: Floats) -> Floats:
    """Temperature as read, °C: nan for what stands for missing."""
    return np.where(np.abs(read) > 70.0, np.nan, read)


def _json_outputs(text: str) -> set[str]:
    if not text.lstrip().startswith("{"):
        return set()
    try:
        outputs = json.loads(text).get("outputs", {})
    except ValueError:
        return set()
    return set(outputs) if isinstance(outputs, dict) else set()


def _head(text: str) -> list[str]:
    return text[:4000].splitlines()[:40]


def _is_tmy3(text: str) -> bool:
    lines = _head(text)
    return len(lines) > 1 and lines[1].startswith("Date (MM/DD/YYYY),Time (HH:MM)")


def _is_pvgis(text: str, column: str, output: str) -> bool:
    if text.startswith("Latitude (decimal degrees)"):
        return any(line.startswith(column) for line in _head(text))
    return output in _json_outputs(text)


_READERS: tuple[tuple[Callable[[str], bool], Callable[[str], WeatherRows], Stamp], ...] = (
    (_is_tmy3, _read_tmy3, "end"),
    (lambda text: bool(_TM2_HEADER.match(text[:100])), _read_tm2, "end"),
    (lambda text: text.startswith("Source,Location ID"), _read_nsrdb, "middle"),
    (lambda text: _is_pvgis(text, "time(UTC),", "tmy_hourly"), _read_pvgis_tmy, "middle"),
    (lambda text: _is_pvgis(text, "time,", "hourly"), _read_pvgis_hourly, "middle"),
)
