"""What a window's pictures are drawn from: its sun hour by hour and on the floor, and its sky."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from suncover.base.clock import dates_bounds
from suncover.base.spell import Spell
from suncover.facade.daylight import Daylight
from suncover.facade.exposure import glass_of, observer_of, window_scene
from suncover.facade.frame import direction, shadow_slopes, window_axes
from suncover.facade.plates import sunlit_fraction
from suncover.facade.reach import Level, sun_patch
from suncover.facade.scene import WindowScene
from suncover.report.calendar_days import (
    CELL_S,
    CELLS,
    SLOT_S,
    SLOTS,
    Calendar,
    Piece,
    cell_seconds,
)
from suncover.report.doubt import Doubt
from suncover.site.model import Site, Window
from suncover.sun.clearsky import dni_at
from suncover.sun.position import Observer

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Ring = NDArray[np.float64]

# Square metres of a patch below which it is rounding, and metres by which its outline is eased.
_NO_PATCH = 1e-4
_EASE = 0.01
# A share of the glass below this is none.
HARDLY = 1e-6
_UPRIGHT = 80.0  # degrees of tilt
# How far into the room patches are drawn, and how far aside of the glass's middle, metres.
ROOM_DEPTH, ROOM_SIDE = 6.0, 4.0
POWER_STEP, PATCH_STEP = 5.0, 0.02
"""How fine pictures show the sun's power, W/m², and corners of patches, metres: finer than a clear
sky is known, and than the line around a patch is drawn.
"""

FINE, COARSE = 0.5, 1.0
"""Degrees of a cell of the sky, before the window's own plates and before what stands around."""


@dataclass(frozen=True)
class SkyMask:
    """What hides the sky, seen from the window.

    Cells are counted in degrees to the right of straight out, as one looks out, from -`around` to
    `around`, and in degrees above the horizon, 0 to 90. `plates` (180, ...), in cells of half a
    degree, is the share of the glass from which overhang, fins and reveal leave the sky free;
    `outside` (90, ...), in cells of a degree, is what skyline, obstacles and trees leave of that
    share.
    """

    around: float
    plates: Floats
    outside: Floats


@dataclass(frozen=True)
class WindowYear:
    """A window's direct sun over the report's days, by the site's need, whatever its shade does.

    `pieces` are its spells by local day; `lit` (days, 48) says whether it is in sun when the clock
    shows 0:00, 0:30 and so on. `seconds` (days, 144) is the sun in each cell of ten
    minutes by the clock, `power` (days, 144) the direct sun on the glass in W/m², averaged over
    the glass, in the middle of what is sun of the cell, 0 elsewhere, in steps of POWER_STEP.
    `patches` are outlines of the sun on the floor by (day, slot), metres inward and to the right as
    seen from outdoors, cut at ROOM_DEPTH and ROOM_SIDE, in steps of PATCH_STEP. `doubt` is how far
    the times may be off, where that is known.
    """

    window: Window
    spells: tuple[Spell, ...]
    pieces: list[Piece]
    seconds: Floats
    power: Floats
    lit: NDArray[np.bool_]
    patches: dict[tuple[int, int], list[Ring]]
    mask: SkyMask
    doubt: Doubt | None = None

    @cached_property
    def deepest(self) -> float:
        """How far into the room the patches of sun reach on all days, metres."""
        rings = [ring[:, 0] for rings in self.patches.values() for ring in rings]
        return float(np.concatenate([[0.0], *rings]).max())

    def reach(self, day: int, slot: int) -> float | None:
        """How far the sun on the floor reaches into the room at a time, metres, ROOM_DEPTH at most;
        None without any.
        """
        rings = self.patches.get((day, slot), [])
        return max((float(ring[:, 0].max()) for ring in rings), default=None)

    @property
    def minutes_by_day(self) -> Floats:
        """Minutes of sun on each day, (days,)."""
        return np.asarray(self.seconds.sum(axis=1) / 60.0)

    @property
    def slot_power(self) -> Floats:
        """Direct sun on the glass in the ten minutes from each slot on, W/m², (days, 48)."""
        return self.power[:, :: SLOT_S // CELL_S]

    def best_slot(self, day: int) -> int | None:
        """When the sun on the glass is strongest on a day, of the times that pictures show."""
        power = np.where(self.lit[day], self.slot_power[day], 0.0)
        return int(np.argmax(power)) if power.any() else None

    @property
    def beam_kwh(self) -> float:
        """Direct sun on the whole of the glass over the days under a clear sky, kWh."""
        area = self.window.width * self.window.height
        return float((self.seconds * self.power).sum()) * area / 3.6e6


def is_upright(window: Window) -> bool:
    """Whether the glass stands in a wall: nearly all that it sees is then in front of the wall."""
    return window.tilt > _UPRIGHT


def window_year(
    site: Site,
    window: Window,
    spells: tuple[Spell, ...],
    calendar: Calendar,
    doubt: Doubt | None = None,
) -> WindowYear:
    """The year of one window; `spells` are its sun by the site's need."""
    pieces = calendar.pieces(spells)
    bounds = calendar.bounds
    scene = window_scene(site, window, site.need, bounds.start, bounds.end)
    observer = observer_of(site.place)
    seconds, power = sun_cells(scene, observer, pieces, len(calendar.days))
    lit = _lit_slots(pieces, len(calendar.days))
    return WindowYear(
        window,
        spells,
        pieces,
        seconds,
        np.rint(power / POWER_STEP) * POWER_STEP,
        lit,
        _patches(scene, observer, lit, window, calendar),
        _sky_mask(site, window, calendar.first),
        doubt,
    )


def power_on_glass(scene: WindowScene, observer: Observer, seconds: Floats) -> Floats:
    """Direct clear-sky sun on the glass at instants (n,), W/m² averaged over the glass."""
    sun = Daylight.of(seconds, observer)
    lit = scene.sunlit_share(sun)
    cosine = shadow_slopes(sun.direction, scene.axes).cos_incidence
    return np.asarray(lit * np.maximum(cosine, 0.0) * dni_at(seconds, observer))


def sun_cells(
    scene: WindowScene, observer: Observer, pieces: list[Piece], days: int
) -> tuple[Floats, Floats]:
    """`seconds` and `power` of a window's year, by the pieces of its sun."""
    seconds, energy = np.zeros((days, CELLS)), np.zeros((days, CELLS))
    if not pieces:
        return seconds, energy
    lasts = cell_seconds(pieces)
    piece, cell = np.nonzero(lasts > 0.0)
    day, start, end, instant = np.array(pieces, dtype=np.int64)[piece].T
    begins = np.maximum(start, cell * CELL_S)
    stops = np.minimum(end, (cell + 1) * CELL_S)
    middle = instant - start + (begins + stops) / 2.0
    strength = power_on_glass(scene, observer, middle.astype(np.float64))
    np.add.at(seconds, (day, cell), lasts[piece, cell])
    np.add.at(energy, (day, cell), lasts[piece, cell] * strength)
    return seconds, np.divide(energy, seconds, out=energy, where=seconds > 0.0)


def _lit_slots(pieces: list[Piece], days: int) -> NDArray[np.bool_]:
    lit = np.zeros((days, SLOTS), dtype=bool)
    for piece in pieces:
        lit[piece.day, -(-piece.start // SLOT_S) : -(-piece.end // SLOT_S)] = True
    return lit


def _patches(
    scene: WindowScene,
    observer: Observer,
    lit: NDArray[np.bool_],
    window: Window,
    calendar: Calendar,
) -> dict[tuple[int, int], list[Ring]]:
    """The sun on the floor at every slot in which the window is in sun."""
    import shapely

    days, slots = np.nonzero(lit)
    sun = Daylight.of(calendar.slots[days, slots].astype(np.float64), observer)
    shapes = sun_patch(scene, sun, Level(window.sill))
    shapes = shapely.clip_by_rect(shapes, 0.0, -ROOM_SIDE, ROOM_DEPTH, ROOM_SIDE)
    shapes = shapely.simplify(shapes, _EASE)
    patches: dict[tuple[int, int], list[Ring]] = {}
    for shape, ring in _rings(shapes):
        patches.setdefault((int(days[shape]), int(slots[shape])), []).append(ring)
    return patches


def _rings(shapes: Any) -> Iterator[tuple[int, Ring]]:
    """The outlines of shapes, holes among them, each without its closing point, and the number of
    the shape that it belongs to.
    """
    import shapely

    parts, shape = shapely.get_parts(shapes, return_index=True)
    large = shapely.area(parts) > _NO_PATCH
    rings, part = shapely.get_rings(parts[large], return_index=True)
    corners, ring = shapely.get_coordinates(rings, return_index=True)
    ends = np.flatnonzero(np.diff(ring, append=-1))
    starts = np.concatenate([[0], ends[:-1] + 1]) if len(ends) else ends
    for number, start, end in zip(shape[large][part].tolist(), starts, ends, strict=True):
        yield number, np.rint(corners[start:end] / PATCH_STEP) * PATCH_STEP


def _sky_mask(site: Site, window: Window, day: date) -> SkyMask:
    """Trees are as in the middle of the year's warm half, in leaf where they have leaves."""
    around = 90.0 if is_upright(window) else 180.0
    free_of_plates = _free_share(window, _cell_middles(around, FINE))
    middles = _cell_middles(around, COARSE)
    warm = date(day.year, 6 if site.place.latitude >= 0 else 12, 21)
    span = dates_bounds(warm, warm, site.place.zone)
    scene = window_scene(site, window, site.need, span.start, span.end)
    side, height = middles
    ways = direction(height.ravel(), window.azimuth + side.ravel())
    sun = Daylight(np.full(side.size, (span.start + span.end) / 2.0), ways)
    free = _free_share(window, middles)
    outside = scene.sunlit_share(sun).reshape(side.shape)
    outside = np.divide(outside, free, out=np.ones(side.shape), where=free > HARDLY)
    outside[_behind_skyline(scene, sun).reshape(side.shape)] = 0.0
    return SkyMask(around, free_of_plates, np.clip(outside, 0.0, 1.0))


def _cell_middles(around: float, cell: float) -> tuple[Floats, Floats]:
    """Sides and heights of the middles of cells of the sky."""
    sides = np.arange(-around + cell / 2.0, around, cell)
    side, height = np.meshgrid(sides, np.arange(cell / 2.0, 90.0, cell))
    return side, height


def _free_share(window: Window, middles: tuple[Floats, Floats]) -> Floats:
    """Share of the glass from which the sky is free of the window's own plates and reveal."""
    side, height = middles
    ways = direction(height, window.azimuth + side)
    slopes = shadow_slopes(ways, window_axes(window.azimuth, window.tilt))
    share = sunlit_fraction(slopes.p, slopes.q, glass_of(window))
    return np.where(slopes.in_front, share, 0.0)


def _behind_skyline(scene: WindowScene, sun: Daylight) -> NDArray[np.bool_]:
    hidden = np.zeros(sun.seconds.shape, dtype=bool)
    for skyline in scene.skylines:
        hidden |= sun.elevation <= skyline.elevation(sun.azimuth)
    return hidden
