"""A sound site on one page: what the program has understood of the file."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path

from suncover.base.textfile import printable
from suncover.export.text.ground_text import ground_lines
from suncover.export.text.text_table import Column, Style, joined, table, wrapped
from suncover.export.text.words import (
    dates_text,
    facing_text,
    listed,
    need_text,
    needs_text,
    number,
    season_text,
)
from suncover.site.kinds.durations import duration_text
from suncover.site.model import (
    Canopy,
    DatedException,
    Group,
    HouseCalendar,
    Money,
    MonthDay,
    Need,
    Shade,
    Site,
    Spot,
    Supply,
    Weather,
    Window,
)
from suncover.site.notes import site_notes

MOST_ROWS = 40  # windows and shades shown one by one

_WINDOWS = (
    Column("window", most=20),
    Column("faces", most=34),
    Column("glass, what is before it", wrap=True),
)
_SHADES = (Column("shade", most=20), Column("covers, and its rules", wrap=True))


def site_text(file: str, site: Site, notes: Sequence[str] = (), *, strong: Style = str) -> str:
    """The page; `notes` are remarks besides those that the site itself calls for."""
    lines = [f"{printable(file)}: no faults found", "", *_head(site, strong), ""]
    lines += _windows(site.windows, strong)
    lines += ["", *_shades(site, strong)]
    lines += _around(site)
    if drawing := list(ground_lines(site, strong)):
        lines += ["", *drawing]
    zone_note = f"time zone: {site.place.zone_name}, found from the coordinates"  # stands above
    remarks = [*(note for note in site_notes(site) if note != zone_note), *notes]
    if remarks:
        lines += ["", strong("Worth a look")]
        for remark in remarks:
            lines += wrapped(remark, first="  - ", indent="    ")
    return joined(lines)


def _head(site: Site, strong: Style) -> Iterator[str]:
    place = site.place
    yield from (strong(line) for line in wrapped(place.name))
    north = f"{abs(place.latitude):g}° {'north' if place.latitude >= 0 else 'south'}"
    east = f"{abs(place.longitude):g}° {'east' if place.longitude >= 0 else 'west'}"
    yield f"  {north}, {east}, {round(place.elevation, 1):g} m above sea level"
    origin = "as the file says" if place.timezone else "found from the coordinates"
    yield f"  clocks of {place.zone_name} ({origin})"
    yield from wrapped(f"{need_text(site.need)}, {needs_text(site.need)}", first="  ")
    if place.horizon:
        highest = max(elevation for _, elevation in place.horizon)
        yield f"  far horizon up to {highest:g}°"


def _windows(windows: Sequence[Window], strong: Style) -> Iterator[str]:
    rows = [
        (
            window.name,
            facing_text(window),
            f"{window.width:.2f} × {window.height:.2f} m{_before(window)}",
        )
        for window in windows[:MOST_ROWS]
    ]
    yield from table(_WINDOWS, rows, strong=strong)
    if len(windows) > MOST_ROWS:
        yield f"  … and {len(windows) - MOST_ROWS} more windows"


def _before(window: Window) -> str:
    """What stands at a window and shades it: `, overhang 0.6 m, 1 fin`."""
    parts = []
    if window.reveal:
        parts.append(f"reveal {window.reveal:.2f} m")
    if window.overhang is not None:
        parts.append(f"overhang {window.overhang.depth:.2f} m")
    if window.fins:
        parts.append(number(len(window.fins), "fin"))
    if window.skyline:
        highest = max(elevation for _, elevation in window.skyline)
        parts.append(f"skyline up to {highest:g}°")
    return "".join(f", {part}" for part in parts)


def _shades(site: Site, strong: Style) -> Iterator[str]:
    shades = site.all_shades()
    stated = {shade.name for shade in site.shades}
    rows = [
        (shade.name, shade_rules(site, shade, is_default=shade.name not in stated))
        for shade in shades[:MOST_ROWS]
    ]
    yield from table(_SHADES, rows, strong=strong)
    if len(shades) > MOST_ROWS:
        yield f"  … and {len(shades) - MOST_ROWS} more shades"


def shade_rules(site: Site, shade: Shade, *, is_default: bool = False) -> str:
    """What a shade covers, and by which rules: `kitchen; 30 s to close; at most 2 moves a day`."""
    parts = [listed(shade.windows)]
    if is_default:
        parts.append("a shade with the defaults")
    if shade.travel:
        parts.append(f"{shade.travel:g} s to close")
    if shade.has_stops:
        parts.append(f"stops at {listed([str(stop) for stop in shade.stops])} %")
    if shade.moves is not None:
        parts.append(f"at most {shade.moves} moves a day")
    if shade.quiet is not None:
        start, end = (f"{moment:%H:%M}" for moment in shade.quiet)
        parts.append(f"quiet {start} to {end}, {shade.in_quiet} if sun comes then")
    if shade.need is not None:
        parts.append(_own_need(site.need_of(shade)))
    return "; ".join(parts)


def _own_need(need: Need) -> str:
    share = f", more than {need.fraction * 100:g} % of the glass" if need.fraction else ""
    power = f", {need.power:g} W/m² of glass" if need.power else ""
    return f"its own need: {need.beam:g} W/m²{share}{power}, {needs_text(need)}"


def _around(site: Site) -> Iterator[str]:
    """All else that the file says, a line to a thing."""
    counts = (
        ("walls", [f"{wall.name} ({wall.length:g} m)" for wall in site.walls]),
        ("roofs over several windows", [_canopy(canopy) for canopy in site.canopies]),
        ("power supplies", [_supply(supply) for supply in site.supplies]),
        ("groups", [_group(group) for group in site.groups]),
        ("dates apart", [_exception(exception) for exception in site.exceptions]),
        ("calendars", [_calendar(calendar) for calendar in site.calendars]),
        ("obstacles", [obstacle.name for obstacle in site.obstacles]),
        ("trees", [tree.name for tree in site.trees]),
        ("places to watch", [_spot(spot) for spot in site.spots]),
        ("sightings", [number(len(site.sightings), "note")] if site.sightings else []),
        ("kinds of glass", [glazing.name for glazing in site.glazings]),
        ("further options", [option.name for option in site.options]),
        ("needs", list(_needs(site.need))),
        ("weather", _weather(site.weather)),
        ("money", _money(site.money)),
    )
    if any(parts for _, parts in counts):
        yield ""
    for heading, parts in counts:
        if parts:
            yield from wrapped(f"{heading}: {listed(parts, most=8)}", first="  ", indent="    ")


def _canopy(canopy: Canopy) -> str:
    return f"{canopy.name} (over {listed(canopy.windows)}, {canopy.depth:g} m deep)"


def _supply(supply: Supply) -> str:
    """A supply with what hangs on it: `box (a and b; 1 motor at once, 2 s between starts)`."""
    gap = f", {duration_text(supply.gap)} between starts" if supply.gap else ""
    return (
        f"{supply.name} ({listed(supply.shades)}; {number(supply.at_once, 'motor')} at once{gap})"
    )


def _group(group: Group) -> str:
    manner = "together" if group.move == "together" else "each by itself"
    return f"{group.name} ({listed(group.shades)}, {manner})"


def _exception(exception: DatedException) -> str:
    first, last = exception.dates
    shades = listed(exception.shades) if exception.shades is not None else "all shades"
    return f"{exception.name} ({dates_text(first, last)}, {shades} {exception.do})"


def _spot(spot: Spot) -> str:
    """A spot by its tape measures: `desk (behind study: 1.6 m in, 0.4 m right, 0.75 m up)`."""
    side = (
        f", {abs(spot.offset):g} m {'right' if spot.offset > 0 else 'left'}" if spot.offset else ""
    )
    return f"{spot.name} (behind {spot.window}: {spot.distance:g} m in{side}, {spot.height:g} m up)"


def _needs(need: Need) -> Iterator[str]:
    """Each need in words, beside what counts as sun."""
    tables = (("glare", need.glare), ("fading", need.fading))
    for name, purpose in tables:
        if purpose is None:
            continue
        spots = "on any spot" if purpose.spots is None else f"on {listed(purpose.spots)}"
        reach = getattr(purpose, "reach", None)
        far = f" or farther than {reach:g} m into the room" if reach is not None else ""
        yield f"{name} while sun is {spots}{far}{_in_season(purpose.season)}"
    if need.sleep is not None:
        start, end = (f"{moment:%H:%M}" for moment in need.sleep.dark)
        yield f"sleep, dark from {start} to {end}{_in_season(need.sleep.season)}"
    if need.privacy is not None:
        until = need.privacy.until
        end = "dawn" if until is None else f"{until:%H:%M}"
        yield f"privacy from dusk to {end}{_in_season(need.privacy.season)}"


def _in_season(season: tuple[MonthDay, MonthDay] | None) -> str:
    return "" if season is None else f" ({season_text(season)})"


def _weather(weather: Weather | None) -> list[str]:
    if weather is None:
        return []
    if weather.file is not None:
        stamp = f", times at the {weather.stamp} of their hour" if weather.stamp else ""
        return [f"{printable(Path(weather.file).name)}{stamp}"]
    if weather.sunshine is not None:
        low, high = min(weather.sunshine), max(weather.sunshine)
        return [f"sunshine of {low:.0%} to {high:.0%} of the possible, by month"]
    return ["a clear sky"]


def _money(money: Money) -> list[str]:
    """The prices that are known, with their currency."""
    prices = (
        ("electricity {} a kWh", money.electricity),
        ("heat {} a kWh", money.heating),
        ("an overhang {}", money.overhang),
        ("a motor shade {}", money.shade),
    )
    return [
        words.format(_price(price, money.currency)) for words, price in prices if price is not None
    ]


def _price(price: tuple[float, float], currency: str) -> str:
    low, high = price
    shown = f"{low:g}" if low == high else f"{low:g} to {high:g}"
    return f"{printable(currency)} {shown}"


def _calendar(calendar: HouseCalendar) -> str:
    """A calendar by its file, and what was found in it: `family.ics (3 events down, 1 up)`."""
    down = sum(event.do == "down" for event in calendar.events)
    up = len(calendar.events) - down
    return f"{printable(calendar.file)} ({number(down, 'event')} down, {up} up)"
