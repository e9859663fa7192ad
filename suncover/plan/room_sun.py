"""What the sun does in the rooms: how far it falls in, and the dose of light that places get."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from suncover.base.spell import Spell, total_seconds
from suncover.facade.daylight import Daylight
from suncover.facade.exposure import observer_of, spot_in_window, sun_on_spot, window_scene
from suncover.facade.frame import shadow_slopes
from suncover.facade.reach import Level, reach
from suncover.plan.positions import drop_needed, fabric_plane
from suncover.site.model import Need, Site, Spot, Window
from suncover.sun.clearsky import dni_at

Floats = NDArray[np.float64]

STEP = 60.0  # seconds between the instants that are looked at
# Lumens in a watt of the sun's beam: the upper end of what is measured (70 to 105, from memory).
LUMENS_PER_WATT = 105.0


@dataclass(frozen=True)
class SpotDose:
    """The direct sun on a spot: for how long, and how much light it brings in that time.

    `kwh_per_m2` is what falls on a surface that faces the sun, under a cloudless sky and before the
    glass has kept back its part: no real year brings more. `kwh_left_per_m2` is what of it is left
    while shades do as they are planned to.
    """

    spot: str
    window: str
    seconds: int
    kwh_per_m2: float
    kwh_left_per_m2: float

    @property
    def klux_hours(self) -> float:
        """The dose in klux h, as museums count it."""
        return self.kwh_per_m2 * LUMENS_PER_WATT

    @property
    def klux_hours_left(self) -> float:
        """The dose that is left while shades keep to their plans."""
        return self.kwh_left_per_m2 * LUMENS_PER_WATT


class Run(Protocol):
    """A closing of a shade, as far as it matters here."""

    @property
    def close(self) -> int:
        """When it starts to close, unix seconds."""

    @property
    def open(self) -> int:
        """When it starts to open."""

    @property
    def position(self) -> int:
        """How far down it is in between, per cent."""


def reach_by_spell(
    site: Site, window: Window, spells: Sequence[Spell], need: Need, height: float = 0.0
) -> list[float]:
    """How far into the room the sun falls in each spell at the most, metres inward.

    Looked at every minute and at the spell's ends; at a level `height` above the room's floor. nan
    where no sun falls on that level, or only outward of the glass's lower edge: under a roof window
    whose sun comes over the house.
    """
    if not spells:
        return []
    start, end = spells[0].start, spells[-1].end
    scene = window_scene(site, window, need, start, end)
    level, observer = Level(window.sill, height), observer_of(site.place)
    reaches = []
    for spell in spells:
        # The very ends are rounded to seconds and may lie just outside.
        inner = np.arange(spell.start + 1.0, spell.end - 0.5, STEP)
        times = np.append(inner, max(spell.end - 1.0, spell.start))
        depths = reach(scene, Daylight.of(times, observer), level)
        inward = depths[depths >= 0.0]
        reaches.append(float(inward.max()) if len(inward) else float("nan"))
    return reaches


def spot_doses(
    site: Site, start: int, end: int, closings: Mapping[str, Sequence[Run]]
) -> list[SpotDose]:
    """The dose of each spot from `start` to `end` (unix seconds), in the order of the site.

    All sun counts, however weak. `closings` holds those of each shade by its name; a closing keeps
    the sun off a spot while it is down far enough for that.
    """
    return [_dose(site, spot, Spell(start, end), closings) for spot in site.spots]


def _dose(site: Site, spot: Spot, span: Spell, closings: Mapping[str, Sequence[Run]]) -> SpotDose:
    window, need = site.window(spot.window), Need(beam=0.0)
    spells = sun_on_spot(site, spot, need, span.start, span.end)
    times, lengths = _middles(spells)
    observer = observer_of(site.place)
    sun = Daylight.of(times, observer)
    scene = window_scene(site, window, need, span.start, span.end)
    slopes = shadow_slopes(sun.direction, scene.axes)
    point = spot_in_window(spot, window)
    beam = dni_at(times, observer)
    if scene.surroundings is not None:
        beam = beam * scene.surroundings.share_at(point, sun, slopes.directions)
    kept_off = np.zeros(times.shape, dtype=bool)
    for shade in site.all_shades():
        if spot.window in shade.windows:
            needed = drop_needed(point, slopes.q, window.height, fabric_plane(shade, window))
            kept_off |= needed <= _position_at(times, closings.get(shade.name, ())) + 1e-9
    energy = beam * lengths / 3.6e6
    return SpotDose(
        spot.name,
        spot.window,
        total_seconds(spells),
        float(energy.sum()),
        float(energy[~kept_off].sum()),
    )


def _middles(spells: Sequence[Spell]) -> tuple[Floats, Floats]:
    """The middles of steps that spells are cut into, and their lengths in seconds."""

    def steps() -> Iterator[tuple[Floats, Floats]]:
        for spell in spells:
            count = max(1, round(spell.seconds / STEP))
            edges = np.linspace(spell.start, spell.end, count + 1)
            yield (edges[1:] + edges[:-1]) / 2.0, np.diff(edges)

    parts = list(steps()) or [(np.zeros(0), np.zeros(0))]
    return np.concatenate([m for m, _ in parts]), np.concatenate([n for _, n in parts])


def _position_at(times: Floats, closings: Sequence[Run]) -> Floats:
    """How far down a shade is at each of `times`, per cent; -1 where it is up."""
    if not closings:
        return np.full(times.shape, -1.0)
    index = np.searchsorted([c.close for c in closings], times, side="right") - 1
    ends = np.array([c.open for c in closings], dtype=np.float64)
    positions = np.array([c.position for c in closings], dtype=np.float64)
    down = (index >= 0) & (times < ends[np.maximum(index, 0)])
    return np.where(down, positions[np.maximum(index, 0)], -1.0)
