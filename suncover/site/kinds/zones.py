"""Time zones by name and by place, found offline."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime
from functools import lru_cache
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError, available_timezones

from suncover.site.kinds.coordinates import place_text

# Files of the zone database that are no zones for people: copies that count leap seconds, the
# machine's own zone, and the placeholder of a machine that was never set up.
_NOT_FOR_PEOPLE = ("posix/", "right/", "posixrules", "localtime", "Factory")


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
    wanted = name.strip().replace(" ", "_").casefold()
    # "GMT+1" must lead neither to Etc/GMT+1, whose sign is reversed, nor to GMT+0.
    hidden = (*_NOT_FOR_PEOPLE, "Etc/", "GMT")
    zones = sorted(zone for zone in available_timezones() if not zone.startswith(hidden))
    if any(zone.casefold().startswith(f"{wanted}/") for zone in zones):
        return None  # a part of the world alone, "Europe"
    by_text: dict[str, str] = {}
    for zone in zones:
        by_text.setdefault(zone.casefold(), zone)
        by_text.setdefault(zone.rpartition("/")[2].casefold(), zone)
    near = difflib.get_close_matches(wanted, by_text, n=1, cutoff=0.7)
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

    found = tuple(zone for zone in get_tzs(longitude, latitude) if zone_fault(zone) is None)
    return found or (nautical_zone(longitude),)


def nautical_zone(longitude: float) -> str:
    """The zone of whole hours that holds at sea: 15° of longitude an hour, `Etc` names reversed."""
    hours = round(longitude / 15)
    return "Etc/GMT" if hours == 0 else f"Etc/GMT{-hours:+d}"


def zone_at(latitude: float, longitude: float) -> str:
    """IANA name of the zone at a place in degrees; the first where there are several."""
    return zones_at(latitude, longitude)[0]


def place_doubt(latitude: float, longitude: float) -> str | None:
    """Why nobody's windows are likely to be at a place in degrees, as a question; None if they may.

    Nobody lives on the open sea (beyond the waters of a country) and, but for a few, in Antarctica.
    """
    where = _no_mans_land(latitude, longitude)
    if where is None:
        return None
    swapped = ""
    if abs(longitude) <= 90 and _no_mans_land(longitude, latitude) is None:
        swapped = f" (that would be in the time zone {zone_at(longitude, latitude)})"
    return (
        f"latitude {latitude:g}, longitude {longitude:g} is {where}: are they swapped{swapped}, "
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
    here = zones_at(latitude, longitude)
    if zone in here or _no_mans_land(latitude, longitude) is not None:
        return None
    return _meant(latitude, longitude, lambda place: zone in zones_at(*place), zone)


def clocks_doubt(latitude: float, longitude: float, clocks: tuple[float, float]) -> str | None:
    """The same, where all that is known are the hours ahead of UTC in January and July."""
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
