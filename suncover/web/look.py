"""What is lit at one moment: the glass of every window, and the ground about the house."""

from __future__ import annotations

import math
from collections.abc import Iterator
from datetime import date
from typing import Any

import numpy as np
from numpy.typing import NDArray

from suncover.base.clock import dates_bounds
from suncover.base.errors import RequestError
from suncover.facade.daylight import Daylight
from suncover.facade.exposure import observer_of, window_scene
from suncover.facade.frame import shadow_slopes
from suncover.facade.hours import hours
from suncover.facade.reach import lit_glass
from suncover.facade.yard.ground import crown_shadow, prism_shadow, shadow_way
from suncover.report.calendar_days import CELL_S, CELLS, Calendar
from suncover.report.window_year import power_on_glass, sun_cells
from suncover.site.model import Site, Wall, Window
from suncover.sun.clearsky import dni_at
from suncover.sun.position import position_at

Json = dict[str, Any]
LOWEST = 3.0
"""Degrees of the sun's height below which shadows on the ground are not drawn: they have no end."""
FARTHEST_M = 120.0
STOREY_M, OVER_M = 2.7, 0.4
"""A wall is drawn so high at least, and so far above its windows; ours."""


def moment(site: Site, day: date, cell: int, wall: str | None = None) -> Json:
    """Where the sun stands at a time of a day, `cell` of ten minutes by the clock, and what it
    lights.

    `windows` by name: the `share` of the glass that gets the beam, `power` on it in W/m², and
    `lit`, outlines of the part that is in sun, metres right and up from its lower left corner as
    seen from outdoors. `ground` are outlines of shadows on level ground, metres east and north;
    those of `crowns` let some sun through. `wall` is what is lit of that wall past neighbours and
    trees: `lit` outlines from its left end and the ground, up to `height`; None where there is
    none.

    Raises
    ------
    RequestError
        When there is no such cell.
    """
    if not 0 <= cell < CELLS:
        raise RequestError(f"a day has cells 0 to {CELLS - 1}, of ten minutes")
    zone = site.place.zone
    span = dates_bounds(day, day, zone)
    slots = Calendar(day, day, zone).slots[0]
    instant = min(int(slots[cell // 3]) + (cell % 3) * CELL_S, span.end - 1)
    seconds = np.array([float(instant)])
    observer = observer_of(site.place)
    position = position_at(seconds, observer)
    azimuth, elevation = float(position.azimuth[0]), float(position.apparent_elevation[0])
    sun = Daylight.of(seconds, observer)
    beam = float(np.nan_to_num(dni_at(seconds, observer))[0])
    windows = {}
    for window in site.windows:
        scene = window_scene(site, window, site.need, span.start, span.end)
        share = float(scene.sunlit_share(sun)[0])
        cosine = max(float(shadow_slopes(sun.direction, scene.axes).cos_incidence[0]), 0.0)
        windows[window.name] = {
            "share": round(share, 4),
            "power": round(share * cosine * beam),
            "lit": _rings(lit_glass(scene, sun)[0]) if share > 0.0 else [],
        }
    result: Json = {"azimuth": round(azimuth, 2), "elevation": round(elevation, 2)}
    result |= {"windows": windows, "ground": [], "crowns": [], "wall": None}
    for wall_table in site.walls:
        if wall_table.name == wall:
            pane = _as_glass(site, wall_table)
            scene = window_scene(site, pane, site.need, span.start, span.end)
            result["wall"] = {"height": pane.height, "lit": _rings(lit_glass(scene, sun)[0])}
    if elevation >= LOWEST:
        way = shadow_way(azimuth, elevation)
        for block in site.obstacles:
            result["ground"] += _near(prism_shadow(block.footprint, block.base, block.top, way))
        for tree in site.trees:
            shape = crown_shadow(tree.trunk, tree.width, tree.bottom, tree.top, way)
            result["crowns"] += _near(shape)
    return result


def _as_glass(site: Site, wall: Wall) -> Window:
    """A wall as one pane, up to above its highest window."""
    tops = [
        window.floor + window.sill + window.height + OVER_M
        for window in site.windows
        if window.facade == wall.name
    ]
    turned = math.radians(wall.azimuth)
    east, north = wall.start or (0.0, 0.0)
    half = wall.length / 2.0
    return Window(
        name=wall.name,
        azimuth=wall.azimuth,
        width=wall.length,
        height=max([STOREY_M, *tops]),
        position=(east - half * math.cos(turned), north + half * math.sin(turned)),
    )


def window_day(site: Site, name: str, day: date) -> Json:
    """The direct sun on a window on one day: as `sun.window_sun` of a year of that day alone."""
    window = site.window(name)
    calendar = Calendar(day, day, site.place.zone)
    pieces = calendar.pieces(hours(site, day, day, windows=[name])[name])
    bounds = calendar.bounds
    scene = window_scene(site, window, site.need, bounds.start, bounds.end)
    seconds, power = sun_cells(scene, observer_of(site.place), pieces, 1)
    return {
        "pieces": [[piece.start, piece.end] for piece in pieces],
        "power": np.rint(power[0]).astype(int).tolist(),
        "sun_h": float(seconds.sum()) / 3600.0,
    }


def house_day(site: Site, day: date) -> Json:
    """The sun on a day, every ten minutes by the clock: where it stands, and on which glass."""
    zone = site.place.zone
    span = dates_bounds(day, day, zone)
    slots = Calendar(day, day, zone).slots[0]
    # Between the half hours the clock runs on; after a jump the instants only repeat.
    ends = np.append(slots, span.end)
    parts = np.arange(3) * CELL_S
    instants = np.minimum(slots[:, None] + parts, np.maximum(ends[1:] - 1, slots)[:, None])
    seconds = instants.ravel().astype(np.float64)
    observer = observer_of(site.place)
    position = position_at(seconds, observer)
    power = {}
    for window in site.windows:
        scene = window_scene(site, window, site.need, span.start, span.end)
        watts = power_on_glass(scene, observer, seconds)
        power[window.name] = np.rint(np.nan_to_num(watts)).astype(int).tolist()
    return {
        "azimuth": np.round(position.azimuth, 2).tolist(),
        "elevation": np.round(position.apparent_elevation, 2).tolist(),
        "power": power,
    }


def _near(shape: Any) -> list[list[list[float]]]:
    """The outlines of what of a shape is near the site's origin."""
    import shapely

    return _rings(
        shapely.clip_by_rect(shape, -FARTHEST_M, -FARTHEST_M, FARTHEST_M, FARTHEST_M), decimals=2
    )


def _rings(shape: Any, decimals: int = 3) -> list[list[list[float]]]:
    """The outlines of a shape, holes among them, each without its closing point."""
    return [np.round(ring, decimals).tolist() for ring in _outlines(shape)]


def _outlines(shape: Any) -> Iterator[NDArray[np.float64]]:
    import shapely

    for part in shapely.get_parts(shape):
        if isinstance(part, shapely.Polygon) and not part.is_empty:
            for ring in (part.exterior, *part.interiors):
                yield np.asarray(shapely.get_coordinates(ring)[:-1])
