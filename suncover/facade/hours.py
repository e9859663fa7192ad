"""Direct sun between two dates: on each window, and on each spot in a room.

    site, first, last ──> hours, spots
    site, spells ──> peaks

All here is pure: dates in, spells out. No file is touched and no clock is read.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date

from suncover.base.clock import dates_bounds
from suncover.base.spell import Spell, SpellsByName
from suncover.facade.exposure import Ints, Watch, exposure_seconds, find_exposures, sun_on_spots
from suncover.facade.peaks import strongest
from suncover.site.model import Need, Site, Window


def hours(
    site: Site,
    first: date,
    last: date,
    *,
    beam: float | None = None,
    power: float | None = None,
    windows: Iterable[str] | None = None,
    watch: Watch = iter,
) -> SpellsByName:
    """Direct sun on each window from `first` to `last` (both included), by the window's name.

    Whatever the shades do and whatever the season. `beam` (W/m²) and `power` (W/m² of glass) take
    the place of the site's; `windows` picks some by name, in the site's order.

    Raises
    ------
    RequestError
        When a window has no such name, the beam or the power is below 0, or the dates run backwards
        or are too far off.
    """
    counted = site.with_beam(beam).with_power(power)
    request = _request(counted, first, last, windows)
    spells = find_exposures(site, *request, watch=watch)
    return SpellsByName(spells, "window", site.place.zone)


def hours_seconds(
    site: Site,
    first: date,
    last: date,
    *,
    beam: float | None = None,
    power: float | None = None,
    windows: Iterable[str] | None = None,
    watch: Watch = iter,
) -> Iterator[tuple[str, Ints]]:
    """What `hours` gives, window by window: its spells as arrays (n, 2) of unix seconds.

    So that many windows need no more memory than a few. Raises at once, as `hours` does.
    """
    counted = site.with_beam(beam).with_power(power)
    request = _request(counted, first, last, windows)
    exposures = exposure_seconds(site, *request, watch=watch)
    return ((window.name, seconds) for window, seconds in exposures)


def _request(
    site: Site, first: date, last: date, windows: Iterable[str] | None
) -> tuple[int, int, Need, list[Window]]:
    if isinstance(windows, str):
        windows = [windows]
    names = None if windows is None else {site.window(name).name for name in windows}
    chosen = [window for window in site.windows if names is None or window.name in names]
    span = dates_bounds(first, last, site.place.zone)
    return span.start, span.end, site.need, chosen


def peaks(
    site: Site, spells: Mapping[str, Sequence[Spell]], *, counted: float = 0.0
) -> dict[str, list[float]]:
    """The greatest power of the sun on the whole glass in each of the `spells` of `hours`, W/m².

    By window name. `counted` is the power from which sun counted in them: no less than that.
    """
    return {
        name: [max(peak, counted) for peak in strongest(site, site.window(name), spells_of_window)]
        for name, spells_of_window in spells.items()
    }


def spots(site: Site, first: date, last: date) -> SpellsByName:
    """Direct sun on each spot from `first` to `last` (both included), by the spot's name.

    Raises
    ------
    RequestError
        As `hours`.
    """
    span = dates_bounds(first, last, site.place.zone)
    return SpellsByName(sun_on_spots(site, span.start, span.end), "spot", site.place.zone)
