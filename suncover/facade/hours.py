"""Direct sun between two dates: on each window, and on each spot in a room.

    site, first, last ──> hours, spots

All here is pure: dates in, spells out. No file is touched and no clock is read.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date

from suncover.base.clock import dates_bounds
from suncover.base.spell import SpellsByName
from suncover.facade.exposure import Ints, Watch, exposure_seconds, find_exposures, sun_on_spots
from suncover.site.model import Need, Site, Window


def hours(
    site: Site,
    first: date,
    last: date,
    *,
    beam: float | None = None,
    windows: Iterable[str] | None = None,
    watch: Watch = iter,
) -> SpellsByName:
    """Direct sun on each window from `first` to `last` (both included), by the window's name.

    Whatever the shades do and whatever the season. `beam` (W/m²) takes the place of the site's;
    `windows` picks some by name, in the site's order.

    Raises
    ------
    RequestError
        When a window has no such name, the beam is below 0, or the dates run backwards or are too
        far off.
    """
    asked = _asked_hours(site, first, last, beam, windows)
    found = find_exposures(site, *asked, watch=watch)
    return SpellsByName(found, "window", site.place.zone)


def hours_seconds(
    site: Site,
    first: date,
    last: date,
    *,
    beam: float | None = None,
    windows: Iterable[str] | None = None,
    watch: Watch = iter,
) -> Iterator[tuple[str, Ints]]:
    """What `hours` gives, window by window: its spells as arrays (n, 2) of unix seconds.

    So that many windows need no more memory than a few. Raises at once, as `hours` does.
    """
    asked = _asked_hours(site, first, last, beam, windows)
    found = exposure_seconds(site, *asked, watch=watch)
    return ((window.name, seconds) for window, seconds in found)


def _asked_hours(
    site: Site, first: date, last: date, beam: float | None, windows: Iterable[str] | None
) -> tuple[int, int, Need, list[Window]]:
    names = None if windows is None else {site.window(name).name for name in windows}
    chosen = [window for window in site.windows if names is None or window.name in names]
    need = site.with_beam(beam).need
    span = dates_bounds(first, last, site.place.zone)
    return span.start, span.end, need, chosen


def spots(site: Site, first: date, last: date) -> SpellsByName:
    """Direct sun on each spot from `first` to `last` (both included), by the spot's name.

    Raises
    ------
    RequestError
        As `hours`.
    """
    span = dates_bounds(first, last, site.place.zone)
    return SpellsByName(sun_on_spots(site, span.start, span.end), "spot", site.place.zone)
