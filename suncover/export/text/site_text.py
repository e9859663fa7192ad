"""A sound site on one page: what the program has understood of the file."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from suncover.base.textfile import printable
from suncover.export.text.text_table import Column, Style, joined, table, wrapped
from suncover.export.text.words import facing_text, listed, need_text, needs_text, number
from suncover.site.model import HouseCalendar, Need, Shade, Site, Window
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
    found = f"time zone: {site.place.zone_name}, found from the coordinates"  # said above
    remarks = [*(note for note in site_notes(site) if note != found), *notes]
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
    yield f"  {north}, {east}, {place.elevation:g} m above sea level"
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
        (shade.name, _rules(site, shade, is_default=shade.name not in stated))
        for shade in shades[:MOST_ROWS]
    ]
    yield from table(_SHADES, rows, strong=strong)
    if len(shades) > MOST_ROWS:
        yield f"  … and {len(shades) - MOST_ROWS} more shades"


def _rules(site: Site, shade: Shade, *, is_default: bool) -> str:
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
    counts = (
        ("roofs over several windows", [canopy.name for canopy in site.canopies]),
        ("dates apart", [f"{one.name} ({one.do})" for one in site.exceptions]),
        ("calendars", [_calendar(calendar) for calendar in site.calendars]),
        ("obstacles", [obstacle.name for obstacle in site.obstacles]),
        ("trees", [tree.name for tree in site.trees]),
        ("places to watch", [f"{spot.name} (behind {spot.window})" for spot in site.spots]),
        ("kinds of glass", [glazing.name for glazing in site.glazings]),
    )
    if any(names for _, names in counts):
        yield ""
    for what, names in counts:
        if names:
            yield from wrapped(f"{what}: {listed(names)}", first="  ", indent="    ")


def _calendar(calendar: HouseCalendar) -> str:
    """A calendar by its file, and what was found in it: `family.ics (3 events down, 1 up)`."""
    down = sum(event.do == "down" for event in calendar.events)
    up = len(calendar.events) - down
    return f"{printable(calendar.file)} ({number(down, 'event')} down, {up} up)"
