"""Time zones by name and by place, found offline."""

from __future__ import annotations

import importlib.util
import math
from collections.abc import Callable
from contextlib import suppress
from datetime import UTC, datetime
from functools import cache, lru_cache
from pathlib import Path
from zoneinfo import TZPATH, ZoneInfo, ZoneInfoNotFoundError, available_timezones

from suncover.site.kinds.coordinates import place_text

# Files of the zone database that are no zones for people: copies that count leap seconds, the
# machine's own zone, and the placeholder of a machine that was never set up.
_NOT_FOR_PEOPLE = ("posix/", "right/", "posixrules", "localtime", "Factory")


# Degrees of a great circle, some 900 km: a place farther from every city of a zone is asked about.
_NEAR_CITY = 8.0
_HARDLY_FARTHER = 1.25


def is_zone(name: str) -> bool:
    """Whether a name is that of a time zone."""
    if name.startswith(_NOT_FOR_PEOPLE):
        return False
    try:
        ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        return False  # a folder of the database ("Europe") raises OSError
    return True


def zone_fault(name: str) -> str | None:
    """Why a name is no time zone, with the nearest that is one; None if it is one."""
    if is_zone(name):
        return None
    shown = name if len(name) <= 40 else f"{name[:39]}…"
    near = _nearest_zone(name)
    hint = f'did you mean "{near}"?' if near else 'write one such as "Europe/Berlin"'
    return f'"{shown}" is not the name of a time zone; {hint}'


def _nearest_zone(name: str) -> str | None:
    """The zone whose name is most like `name`; a city alone, or a blank for `_`, is recognised."""
    import difflib

    if len(name) > 60:
        return None
    folded = name.strip().replace(" ", "_").casefold()
    # "GMT+1" must lead neither to Etc/GMT+1, whose sign is reversed, nor to GMT+0.
    hidden = (*_NOT_FOR_PEOPLE, "Etc/", "GMT")
    zones = sorted(zone for zone in available_timezones() if not zone.startswith(hidden))
    if any(zone.casefold().startswith(f"{folded}/") for zone in zones):
        return None  # a part of the world alone, "Europe"
    by_text: dict[str, str] = {}
    for zone in zones:
        by_text.setdefault(zone.casefold(), zone)
        by_text.setdefault(zone.rpartition("/")[2].casefold(), zone)
    near = difflib.get_close_matches(folded, by_text, n=1, cutoff=0.7)
    return by_text[near[0]] if near else None


def zones_at(latitude: float, longitude: float) -> tuple[str, ...]:
    """IANA names of the zones at a place, degrees; several where the land is disputed.

    At sea it is the nautical zone (`Etc/GMT+3`). Names that this machine's zone database lacks are
    left out; there is always at least one name.
    """
    return _zones_at(float(latitude), float(longitude))


@lru_cache(maxsize=256)
def _zones_at(latitude: float, longitude: float) -> tuple[str, ...]:
    from tzfpy import get_tzs

    zones = tuple(zone for zone in get_tzs(longitude, latitude) if zone_fault(zone) is None)
    return zones or (nautical_zone(longitude),)


def nautical_zone(longitude: float) -> str:
    """The zone of whole hours that holds at sea: 15° of longitude an hour, `Etc` names reversed."""
    hours = round(longitude / 15)
    return "Etc/GMT" if hours == 0 else f"Etc/GMT{-hours:+d}"


def zone_at(latitude: float, longitude: float) -> str:
    """IANA name of the zone at a place in degrees; the first where there are several."""
    return zones_at(latitude, longitude)[0]


def is_plainly_at(latitude: float, longitude: float, zone: str) -> bool:
    """Whether nothing speaks against a place in degrees with the clocks of `zone`, so that the map
    of zones, which is slow to load, need not be asked.

    The city nearest to it is not far and has the same clocks, as have all that are hardly farther,
    and no place that is written nearly alike lies nearer to the zone's own. By the cities that the
    zone database names (`zone.tab`): False where there is no such table, or it lacks the zone.
    """
    cities, place = _cities(), (latitude, longitude)
    if zone not in cities:
        return False
    away = {name: _degrees_between(place, city) for name, city in cities.items()}
    least = min(away.values())
    near = [name for name, degrees in away.items() if degrees <= _HARDLY_FARTHER * least]
    if least > _NEAR_CITY or any(offsets(name) != offsets(zone) for name in near):
        return False
    return all(
        away[zone] < _degrees_between(place, cities[zone])
        for place in variants(latitude, longitude)
    )


@cache
def _cities() -> dict[str, tuple[float, float]]:
    """Latitude and longitude of the city that stands for each zone."""
    folders = [Path(folder) for folder in TZPATH]
    if (package := importlib.util.find_spec("tzdata")) and package.origin:
        folders.append(Path(package.origin).parent / "zoneinfo")
    for folder in folders:
        with suppress(OSError):
            lines = (folder / "zone.tab").read_text("utf-8").splitlines()
            rows = [line.split("\t") for line in lines if line and not line.startswith("#")]
            return {name: _city_place(place) for _, place, name, *_ in rows}
    return {}


def _city_place(text: str) -> tuple[float, float]:
    """`+4043-07400` or `+404251-0740023`, ISO 6709, in degrees."""
    at = max(text.rfind("+"), text.rfind("-"))
    return _sexagesimal(text[:at], 2), _sexagesimal(text[at:], 3)


def _sexagesimal(text: str, digits: int) -> float:
    degrees, minutes, seconds = text[1 : 1 + digits], text[1 + digits :][:2], text[3 + digits :]
    size = int(degrees) + int(minutes) / 60.0 + int(seconds or 0) / 3600.0
    return -size if text[0] == "-" else size


def _degrees_between(first: tuple[float, float], second: tuple[float, float]) -> float:
    """The angle at the middle of the Earth between two places."""
    north, south = math.radians(first[0]), math.radians(second[0])
    turn = math.radians(second[1] - first[1])
    cosine = math.sin(north) * math.sin(south) + math.cos(north) * math.cos(south) * math.cos(turn)
    return math.degrees(math.acos(max(-1.0, min(1.0, cosine))))


def place_doubt(latitude: float, longitude: float) -> str | None:
    """Why nobody's windows are likely to be at a place in degrees, as a question; None if they may.

    Nobody lives on the open sea (beyond the waters of a country) and, but for a few, in Antarctica.
    """
    area = _no_mans_land(latitude, longitude)
    if area is None:
        return None
    swapped = ""
    if abs(longitude) <= 90 and _no_mans_land(longitude, latitude) is None:
        swapped = f" (that would be in the time zone {zone_at(longitude, latitude)})"
    return (
        f"latitude {latitude:g}, longitude {longitude:g} is {area}: are they swapped{swapped}, "
        "or is a minus sign missing?"
    )


def _no_mans_land(latitude: float, longitude: float) -> str | None:
    zone = zone_at(latitude, longitude)
    if zone.startswith("Etc/"):
        return "in the open sea"
    return "in Antarctica" if zone.startswith("Antarctica/") else None


def variants(latitude: float, longitude: float) -> list[tuple[float, float]]:
    """Places written nearly alike: with a sign less or more, or swapped; the likeliest first."""
    pairs = ((latitude, longitude), (longitude, latitude))
    signs = ((1, 1), (-1, 1), (1, -1), (-1, -1))
    places = [(north * first, east * second) for first, second in pairs for north, east in signs]
    return [place for place in places[1:] if abs(place[0]) <= 90]


def zone_doubt(latitude: float, longitude: float, zone: str) -> str | None:
    """What to ask where a zone is not that of the place, but of one written nearly alike."""
    zones = zones_at(latitude, longitude)
    if zone in zones or _no_mans_land(latitude, longitude) is not None:
        return None
    return _meant(latitude, longitude, lambda place: zone in zones_at(*place), zone)


def clocks_doubt(latitude: float, longitude: float, clocks: tuple[float, float]) -> str | None:
    """As `zone_doubt`, where only the hours ahead of UTC in January and July are known."""
    if clocks == (0.0, 0.0) or offsets(zone_at(latitude, longitude)) == clocks:
        return None  # many machines go by UTC, wherever they stand
    return _meant(
        latitude,
        longitude,
        lambda place: _no_mans_land(*place) is None and offsets(zone_at(*place)) == clocks,
        "this computer",
    )


def _meant(
    latitude: float, longitude: float, fits: Callable[[tuple[float, float]], bool], zone: str
) -> str | None:
    for place in variants(latitude, longitude):
        if fits(place):
            swapped = abs(place[0]) != abs(latitude)
            slip = "are latitude and longitude swapped" if swapped else "is a minus sign wrong"
            return (
                f"{place_text(latitude, longitude)} has the clocks of "
                f"{zone_at(latitude, longitude)}, but {place_text(*place)} those of {zone}: {slip}?"
            )
    return None


def offsets(zone: str) -> tuple[float, float]:
    """Hours ahead of UTC in January and July of a recent year."""
    days = (datetime(2026, 1, 15, tzinfo=UTC), datetime(2026, 7, 15, tzinfo=UTC))
    seconds = []
    for day in days:
        offset = day.astimezone(ZoneInfo(zone)).utcoffset()
        seconds.append(offset.total_seconds() if offset else 0.0)
    return seconds[0] / 3600, seconds[1] / 3600
