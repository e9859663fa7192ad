"""When direct sun is on each window: the stage between the facade's geometry and what needs
covering.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from suncover.base.errors import RequestError
from suncover.base.instants import span_of
from suncover.base.spell import Spell
from suncover.facade.daylight import BeamGate
from suncover.facade.frame import window_axes
from suncover.facade.glazed import Glass, Plate, fin_plate, overhang_plate
from suncover.facade.scene import SpotScene, WindowScene
from suncover.facade.search.crossings import PRECISION, lit_intervals
from suncover.facade.search.window_search import SunSearch
from suncover.facade.skyline import Skyline
from suncover.facade.yard.matter import with_what_matters
from suncover.site.finding import Finding
from suncover.site.model import Need, Place, Site, Spot, Window
from suncover.sun.position import Observer

if TYPE_CHECKING:
    from suncover.facade.yard.surroundings import Surroundings

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

# A spell and a gap of more seconds are still there when their ends are rounded.
LONG = 2.0
Watch = Callable[[Sequence[Any]], Iterable[Any]]
"""Goes through the parts of a long piece of work, and may show how far it is; `iter` does not."""


def observer_of(place: Place) -> Observer:
    """The place as the sun's functions take it."""
    return Observer(place.latitude, place.longitude, place.elevation)


def glass_of(window: Window) -> Glass:
    """A window's glass with its overhang and fins."""
    bare = Glass(window.width, window.height, window.reveal)
    plates: list[Plate] = []
    if (roof := window.overhang) is not None:
        plates.append(overhang_plate(bare, roof.depth, roof.gap, roof.left, roof.right))
    for fin in window.fins:
        plates.append(
            fin_plate(bare, fin.side, fin.depth, gap=fin.gap, above=fin.above, below=fin.below)
        )
    return Glass(window.width, window.height, window.reveal, tuple(plates))


def window_scene(site: Site, window: Window | str, need: Need, start: Any, end: Any) -> WindowScene:
    """What decides whether `window` (or the one of that name) is in direct sun, by `need`'s beam,
    fraction and power.

    Good for instants from `start` to `end`: unix seconds, aware datetimes, or datetime64.

    Raises
    ------
    RequestError
        When there is no such window, or start and end are no instants of 1900 to 2199 in order.
    """
    if isinstance(window, str):
        window = site.window(window)
    begin, stop = span_of(start, end)
    gate = BeamGate(int(begin), math.ceil(stop), observer_of(site.place), need.beam)
    return WindowScene(
        axes=window_axes(window.azimuth, window.tilt),
        glass=glass_of(window),
        gate=gate,
        skylines=skylines_of(site.place, window),
        fraction=need.fraction,
        surroundings=surroundings_of(site, window, gate),
        power=need.power,
    )


def skylines_of(place: Place, window: Window) -> tuple[Skyline, ...]:
    """What hides the sky of a window: its own skyline, and the site's far horizon.

    Raises
    ------
    RequestError
        When the site names a file of its horizon that has not been read.
    """
    if place.horizon_file is not None:
        raise RequestError(
            f'the horizon file "{place.horizon_file}" is not read yet; load the site from its file'
        )
    return tuple(Skyline(points) for points in (window.skyline, place.horizon) if points)


def surroundings_of(site: Site, window: Window, gate: BeamGate) -> Surroundings | None:
    """The obstacles and trees before a window; None if there are none, or it has no position."""
    if window.position is None or not (site.obstacles or site.trees):
        return None
    from suncover.facade.yard import of_site  # noqa: PLC0415 - many homes have nothing around them

    return of_site.surroundings_of(site, window, gate)


def sun_on_window(
    site: Site, window: Window, need: Need, start: int, end: int
) -> tuple[Spell, ...]:
    """Direct sun on `window` from `start` to `end` (unix seconds): spells in whole seconds, in
    order.
    """
    return find_exposures(site, start, end, need, [window])[window.name]


def find_exposures(
    site: Site,
    start: Any,
    end: Any,
    need: Need | None = None,
    windows: Iterable[Window] | None = None,
    *,
    watch: Watch = iter,
) -> dict[str, tuple[Spell, ...]]:
    """Direct sun on each window from `start` to `end`, by name.

    `start` and `end` are unix seconds, aware datetimes, or datetime64. `need` is the site's own if
    left out, `windows` all of them. The season plays no part here. `watch` goes through the windows
    in step with the work.

    Raises
    ------
    RequestError
        When start and end are no instants of 1900 to 2199 in order.
    """
    begin, stop = span_of(start, end)
    start, end = int(begin), math.ceil(stop)
    exposures = exposure_seconds(site, start, end, need, windows, watch=watch)
    return {window.name: _spells(seconds) for window, seconds in exposures}


def exposure_seconds(
    site: Site,
    start: int,
    end: int,
    need: Need | None = None,
    windows: Iterable[Window] | None = None,
    *,
    watch: Watch = iter,
) -> Iterator[tuple[Window, Ints]]:
    """What `find_exposures` gives, window by window: its spells, (n, 2) unix seconds.

    Only a few windows are held at one time.
    """
    chosen = site.windows if windows is None else tuple(windows)
    counted = need or site.need
    search = SunSearch(observer_of(site.place), start, end)
    weakest = BeamGate(start, end, observer_of(site.place), counted.beam)
    lowest = weakest.least if site.obstacles or site.trees else 0.0
    scenes = (
        window_scene(with_what_matters(site, window, lowest), window, counted, start, end)
        for window in chosen
    )
    intervals = search.on_windows(scenes)
    for window, lit in zip(watch(chosen), intervals, strict=True):
        yield window, rounded(lit)


def spot_scene(site: Site, spot: Spot | str, need: Need, start: Any, end: Any) -> SpotScene:
    """What decides whether `spot` (or the one of that name) is in direct sun through its window, by
    `need`'s beam.

    `start` and `end`, and what may be wrong, as for `window_scene`.
    """
    if isinstance(spot, str):
        spot = _spot_of(site, spot)
    window = site.window(spot.window)
    scene = window_scene(site, window, need, start, end)
    return SpotScene(scene, spot_in_window(spot, window))


def _spot_of(site: Site, name: str) -> Spot:
    for spot in site.spots:
        if spot.name == name:
            return spot
    finding = Finding((), f'no spot is named "{name}"', name, [spot.name for spot in site.spots])
    raise RequestError(finding.sentence)


def spot_in_window(spot: Spot, window: Window) -> Floats:
    """A spot's place (3,) in its window's coordinates: x and y along the glass, z out of it,
    metres.
    """
    facing = np.radians(window.azimuth)
    level = np.array([np.sin(facing), np.cos(facing), 0.0])
    upward = np.array([0.0, 0.0, spot.height - window.sill])
    axes = window_axes(window.azimuth, window.tilt)
    local = axes @ (upward - spot.distance * level)
    return np.asarray(local + np.array([spot.offset + window.width / 2.0, 0.0, 0.0]))


def sun_on_spots(
    site: Site, start: int, end: int, need: Need | None = None
) -> dict[str, tuple[Spell, ...]]:
    """Direct sun on each spot from `start` to `end` (unix seconds), by name."""
    return {
        spot.name: sun_on_spot(site, spot, need or site.need, start, end) for spot in site.spots
    }


def sun_on_spot(site: Site, spot: Spot, need: Need, start: int, end: int) -> tuple[Spell, ...]:
    """Direct sun on one spot from `start` to `end` (unix seconds), by `need`'s beam."""
    scene = spot_scene(site, spot, need, start, end)
    return whole_seconds(lit_intervals(scene, observer_of(site.place), start, end))


def whole_seconds(intervals: Floats) -> tuple[Spell, ...]:
    """Intervals (n, 2) with their ends at the nearest whole seconds; what becomes empty is left
    out.
    """
    return _spells(rounded(intervals))


def rounded(intervals: Floats) -> Ints:
    """`whole_seconds` as an array (n, 2)."""
    gaps, lengths = intervals[1:, 0] - intervals[:-1, 1], intervals[:, 1] - intervals[:, 0]
    if min(gaps.min(initial=np.inf), lengths.min(initial=np.inf)) > LONG:
        return np.rint(intervals).astype(np.int64)
    # What lasts no longer than its two ends are uncertain may not be there at all.
    intervals = _joined(intervals, gaps > 2.0 * PRECISION)
    intervals = intervals[intervals[:, 1] - intervals[:, 0] > 2.0 * PRECISION]
    ends = np.rint(intervals).astype(np.int64)
    ends = ends[ends[:, 0] < ends[:, 1]]
    return _joined(ends, ends[1:, 0] > ends[:-1, 1])


def _joined(intervals: NDArray[Any], apart: NDArray[np.bool_]) -> NDArray[Any]:
    """Intervals (n, 2), joined where they are not `apart` (n - 1,) from the next."""
    if apart.all():
        return intervals
    first, last = np.append(True, apart), np.append(apart, True)
    return np.stack([intervals[first, 0], intervals[last, 1]], axis=1)


def _spells(seconds: Ints) -> tuple[Spell, ...]:
    return tuple(map(Spell, seconds[:, 0].tolist(), seconds[:, 1].tolist()))
