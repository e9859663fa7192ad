"""How far down a shade has to be to keep the sun off a place in the room.

    fabric          The shade hangs from the upper edge of the glass, along its slope. A ray from
      |  glass      the sun to a place crosses the plane of the fabric at some y up the slope: the
      |  |    .     shade must be down at least to there, and is then down by
      |  | .
      | .               (H - y) / H
      .  |
    .         .     of the glass's height H. With the place at (x, y, z) in the glass's coordinates
                    (z below 0 in the room), the sun's slope q up the glass for each metre out of
                    it, and the fabric in the plane z = f, it crosses at y + q (f - z).

The fabric is taken to be flat, and as wide as the glass looks from the place. Positions are per
cent of the way from the upper edge (0) to the lower one (100); fully closed, the shade is taken to
keep off all sun, even where a ray would pass under it.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from suncover.base.spell import Spell
from suncover.facade.exposure import observer_of, spot_in_window
from suncover.facade.frame import shadow_slopes, window_axes
from suncover.plan.motor import FULL
from suncover.site.model import Place, Shade, Spot, Window
from suncover.sun.position import directions_at

Floats = NDArray[np.float64]

# Seconds between the instants at which a spell's rays are looked at. Between them the crossing
# point strays from a straight line by far less than the allowance.
STEP = 20.0
ALLOWANCE_M = 0.001
# Instants looked at together: bounds the memory.
AT_ONCE = 500_000


def fabric_plane(shade: Shade, window: Window) -> float:
    """How far out of the glass a shade's fabric hangs, metres; below 0 in the room.

    Where the shade does not say, it hangs at the glass, or outside at the wall's face.
    """
    if shade.place == "outside":
        return window.reveal if shade.standoff is None else shade.standoff
    if shade.place == "between":
        return 0.0
    return -(shade.standoff or 0.0)


def place_at(window: Window, distance: float, height: float) -> Floats:
    """A place in the middle of a window's room, in the window's coordinates (3,), metres.

    `distance` inward from the upright plane through the glass's lower edge, `height` above the
    floor.
    """
    return spot_in_window(
        Spot(name="place", window=window.name, distance=distance, height=height), window
    )


def drop_needed(point: Floats, q: Floats, height: float, fabric: float) -> Floats:
    """Per cent that a shade must be down to stand between `point` (3,) and the sun: 0 to 100.

    `q` (n,) the sun's slopes up the glass, `height` of the glass, `fabric` the z of its plane. A
    place that is not behind the fabric asks for all of it.
    """
    if point[2] >= fabric:
        return np.full(q.shape, float(FULL))
    crossing = point[1] + q * (fabric - point[2]) - ALLOWANCE_M
    return np.asarray(np.clip(FULL * (height - crossing) / height, 0.0, FULL))


def positions_needed(
    place: Place, shade: Shade, window: Window, point: Floats, spells: Sequence[Spell]
) -> list[float]:
    """For each spell, the most that `shade` must be down in it to keep the sun off `point` (3,).

    Per cent. `point` is in the window's coordinates; throughout the spells, the sun is in front of
    the glass.
    """
    drops: list[float] = []
    fabric = fabric_plane(shade, window)
    axes, observer = window_axes(window.azimuth, window.tilt), observer_of(place)
    for group in _groups(spells):
        moments = [np.append(np.arange(s.start, s.end, STEP), s.end) for s in group]
        times = np.concatenate(moments)
        slopes = shadow_slopes(directions_at(times, observer), axes)
        down = drop_needed(point, slopes.q, window.height, fabric)
        # At its ends the sun may be in the plane of the glass, by the rounding of the spell.
        down = np.where(slopes.in_front, down, 0.0)
        begins = np.cumsum([0, *(len(spell) for spell in moments[:-1])])
        drops += np.maximum.reduceat(down, begins).tolist()
    return drops


def _groups(spells: Sequence[Spell]) -> list[list[Spell]]:
    """The spells in groups of not too many instants."""
    groups: list[list[Spell]] = []
    size = AT_ONCE
    for spell in spells:
        count = int(spell.seconds / STEP) + 2
        if size + count > AT_ONCE:
            groups.append([])
            size = 0
        groups[-1].append(spell)
        size += count
    return groups


def stop_for(position: float, stops: Sequence[int]) -> int:
    """The highest stop of a shade that is at least `position` per cent down."""
    return next((stop for stop in stops if stop >= position - 1e-9), FULL)
