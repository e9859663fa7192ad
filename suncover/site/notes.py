"""Remarks on a site that are no faults, but that its owner would be glad to hear.

Each comes from a rule of thumb of our own (common sense, no source); none changes any result.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date

from suncover.site.kinds.azimuth import ends_doubt
from suncover.site.kinds.zones import is_plainly_at, offsets, place_doubt, zone_doubt, zones_at
from suncover.site.model import MonthDay, Need, Place, Shade, Site, Window
from suncover.site.rules.oddities import odd_notes
from suncover.site.rules.sizes import size_doubts

# Outside the polar regions lawful time stays within three hours of the sun's (the far west of China
# is the extreme, with just under three).
_MOST_HOURS_OFF = 3.0
_STRONGEST_BEAM = 1100.0  # W/m²: about what a very clear sky gives at high noon on a mountain
_TROPIC = 23.5
_MOST_NAMES = 5
_MOST_SIZES = 20


def site_notes(site: Site) -> tuple[str, ...]:
    """Short remarks on a site: what was assumed, and what looks like a slip of the pen.

    Finds the time zone from the coordinates, offline; reads no clock and no file.
    """
    return (
        *_zone_notes(site.place),
        *_need_notes(site),
        *_size_notes(site),
        *_window_notes(site.windows),
        *_ends_notes(site),
        *_surroundings_notes(site),
        *_shade_notes(site),
        *odd_notes(site),
    )


def _zone_notes(place: Place) -> Iterator[str]:
    if place.timezone and is_plainly_at(place.latitude, place.longitude, place.timezone):
        return
    doubt = place_doubt(place.latitude, place.longitude)
    if place.latitude == 0 and place.longitude == 0:
        yield "latitude and longitude are both 0, a place in the Atlantic: is that the site?"
        doubt = None
    zones = zones_at(place.latitude, place.longitude)
    if place.timezone is None:
        if doubt:
            yield doubt
        yield f"time zone: {zones[0]}, found from the coordinates"
        if len(zones) > 1:
            yield (
                f"at these coordinates {_listed(zones)} are in use; {zones[0]} is taken; "
                "state `timezone` to choose"
            )
        return
    if alike := zone_doubt(place.latitude, place.longitude, place.timezone):
        yield alike
        return
    stated = _usual_offset(place.timezone)
    off = (stated - place.longitude / 15 + 12) % 24 - 12
    if abs(off) > _MOST_HOURS_OFF:
        yield (
            f"clocks of {place.timezone} are {abs(off):.0f} h off the sun's time at longitude "
            f"{place.longitude:g}: are latitude and longitude swapped, or is a minus sign missing?"
        )
    elif doubt:
        yield doubt
    elif place.timezone not in zones and offsets(place.timezone) != offsets(zones[0]):
        yield (
            f"the coordinates lie in the time zone {zones[0]}, whose clocks differ from those of "
            f"{place.timezone}: are both right?"
        )


def _usual_offset(zone: str) -> float:
    """Hours ahead of UTC without summer time, which sets clocks forward."""
    return min(offsets(zone))


def _need_notes(site: Site) -> Iterator[str]:
    needs: list[tuple[str, Need]] = [("", site.need)]
    needs += [(f'shade "{s.name}": ', site.need_of(s)) for s in site.shades if s.need is not None]
    for owner, need in needs:
        if need.fraction >= 1:
            yield f"{owner}no share of the glass is above fraction 1, so nothing is ever covered"
        if need.beam > _STRONGEST_BEAM:
            yield f"{owner}the sun hardly ever gives {need.beam:g} W/m², so nothing may be covered"
        if need.season and _is_cool_season(need.season, site.place.latitude):
            yield f"{owner}the season {need.season[0]} to {need.season[1]} is the cool half-year"


def _is_cool_season(season: tuple[MonthDay, MonthDay], latitude: float) -> bool:
    """Is the middle of the season nearer to midwinter than to midsummer?"""
    if abs(latitude) < _TROPIC:
        return False
    first, last = (date(2000, *day).timetuple().tm_yday for day in season)
    length = (last - first) % 366
    middle = (first + length / 2) % 366
    midsummer = date(2000, 6 if latitude > 0 else 12, 21).timetuple().tm_yday
    away = abs((middle - midsummer + 183) % 366 - 183)
    return length < 300 and away > 92


def _size_notes(site: Site) -> Iterator[str]:
    doubts = list(size_doubts(site))
    yield from doubts[:_MOST_SIZES]
    if len(doubts) > _MOST_SIZES:
        yield f"… and {len(doubts) - _MOST_SIZES} more lengths or times that are unusual in a house"


def _window_notes(windows: Iterable[Window]) -> Iterator[str]:
    for window in windows:
        name = f'window "{window.name}"'
        if window.skyline and all(elevation <= 0 for _, elevation in window.skyline):
            yield f"{name}: its skyline nowhere rises above the horizon, so it hides nothing"
        elif window.skyline and window.tilt > 60 and not _is_in_front(window):
            yield (
                f"{name}: no point of its skyline is in front of it; "
                "azimuths of the skyline count from true north"
            )


def _ends_notes(site: Site) -> Iterator[str]:
    """Walls on a map whose outer side has the house in front of it."""
    house = (site.place.latitude, site.place.longitude)
    for window in site.windows:
        if window.wall is not None and (doubt := ends_doubt(*window.wall, house)):
            yield f'window "{window.name}": {doubt}'


def _is_in_front(window: Window) -> bool:
    """Is any point of the skyline less than a quarter turn off the window's azimuth?"""
    return any(
        abs((azimuth - window.azimuth + 180) % 360 - 180) < 90 for azimuth, _ in window.skyline
    )


def _surroundings_notes(site: Site) -> Iterator[str]:
    if not site.obstacles and not site.trees:
        return
    without = [window.name for window in site.windows if window.position is None]
    if len(without) == len(site.windows):
        yield "no window has a `position`, so no obstacle or tree shades any"
    elif without:
        yield f"without a `position`, and so not shaded by obstacles or trees: {_quoted(without)}"


def _shade_notes(site: Site) -> Iterator[str]:
    covered = {name for shade in site.shades for name in shade.windows}
    bare = [window.name for window in site.windows if window.name not in covered]
    if bare:
        yield f"no shade names {_quoted(bare)}: each gets a shade of its own with the defaults"
    for shade in site.shades:
        yield from _one_shade_notes(shade)
    for shade in site.all_shades():
        yield from _purpose_notes(site, shade)


def _purpose_notes(site: Site, shade: Shade) -> Iterator[str]:
    """Needs that can never ask for anything, and stops that nothing uses."""
    name, need = f'shade "{shade.name}"', site.need_of(shade)
    behind = [spot.name for spot in site.spots if spot.window in shade.windows]
    for purpose, table in (("glare", need.glare), ("fading", need.fading)):
        spots = behind if table is None or table.spots is None else table.spots
        by_reach = need.glare is not None and need.glare.reach is not None and purpose == "glare"
        if purpose in need.purposes and not by_reach and not set(spots) & set(behind):
            yield f'{name}: none of its spots lies behind its windows to close for "{purpose}"'
    if shade.has_stops and not {"glare", "fading"} & set(need.purposes):
        yield f"{name}: its stops are never used, as it closes for neither glare nor fading"


def _one_shade_notes(shade: Shade) -> Iterator[str]:
    name = f'shade "{shade.name}"'
    if shade.moves is not None and shade.moves % 2:
        yield (
            f"{name}: moves = {shade.moves} works as {shade.moves - 1}, "
            "as each closing goes with an opening"
        )
    if shade.quiet:
        start, end = (moment.hour + moment.minute / 60 for moment in shade.quiet)
        hours = (end - start) % 24
        if (12 - start) % 24 < hours:
            yield f"{name}: its quiet hours hold noon; are start and end swapped?"


def _listed(names: Iterable[str]) -> str:
    return " and ".join(names)


def _quoted(names: list[str]) -> str:
    """The first few names, and how many more there are."""
    text = ", ".join(f'"{name}"' for name in names[:_MOST_NAMES])
    left_out = len(names) - _MOST_NAMES
    return f"{text} and {left_out} more" if left_out > 0 else text
