"""When direct sun is on each window: the stage between the facade's geometry and what needs
covering.
"""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

from suncover.crossings import lit_intervals
from suncover.facade.daylight import BeamGate
from suncover.facade.frame import window_axes
from suncover.facade.plates import Glass, Plate, fin_plate, overhang_plate
from suncover.facade.scene import WindowScene
from suncover.facade.skyline import Skyline
from suncover.site import Need, Place, Site, Window
from suncover.spell import Spell
from suncover.sun import Observer

Floats = NDArray[np.float64]


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


def window_scene(site: Site, window: Window, need: Need, start: int, end: int) -> WindowScene:
    """What decides whether `window` is in direct sun, by `need`'s beam and fraction.

    Good for instants from `start` to `end`, unix seconds.
    """
    return WindowScene(
        axes=window_axes(window.azimuth, window.tilt),
        glass=glass_of(window),
        gate=BeamGate(start, end, observer_of(site.place), need.beam),
        skylines=(Skyline(window.skyline),) if window.skyline else (),
        fraction=need.fraction,
    )


def sun_on_window(
    site: Site, window: Window, need: Need, start: int, end: int
) -> tuple[Spell, ...]:
    """Direct sun on `window` from `start` to `end` (unix seconds): spells in whole seconds, in
    order.
    """
    scene = window_scene(site, window, need, start, end)
    return whole_seconds(lit_intervals(scene, observer_of(site.place), start, end))


def find_exposures(
    site: Site,
    start: int,
    end: int,
    need: Need | None = None,
    windows: Iterable[Window] | None = None,
) -> dict[str, tuple[Spell, ...]]:
    """Direct sun on each window from `start` to `end` (unix seconds), by name.

    `need` is the site's own if left out, `windows` all of them. The season plays no part here.
    """
    chosen = site.windows if windows is None else windows
    counted = need or site.need
    return {window.name: sun_on_window(site, window, counted, start, end) for window in chosen}


def whole_seconds(intervals: Floats) -> tuple[Spell, ...]:
    """Intervals (n, 2) with their ends at the nearest whole seconds; what becomes empty is left
    out.
    """
    joined: list[Spell] = []
    for begin, finish in np.rint(intervals).astype(np.int64).tolist():
        if begin >= finish:
            continue
        if joined and begin <= joined[-1].end:
            joined[-1] = Spell(joined[-1].start, finish)
        else:
            joined.append(Spell(begin, finish))
    return tuple(joined)
