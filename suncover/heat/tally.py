"""A sky's light summed up by rows of the weather or by months, with as little as a window needs.

Of the sun a window gets something only in the slots in which it stands before the glass: a
`Facing`, the same for all windows that look one way. Light of dome, ground and horizon reaches a
window in proportion to what it sees of them, so that sums over the slots are made once and serve
for all windows. The slots in which the horizon is dark are kept in the order of how much it takes
from the dome: where that is more than a window has of it, the proportion ends.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from suncover.facade.frame import GRAZING, Slopes, shadow_slopes, window_axes
from suncover.heat.glass import GlassTable
from suncover.sun.sky import Sky

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]


@dataclass(frozen=True)
class Facing:
    """The sun before a plane: the `slots` (k,) of a sky in which it is up and in front of it.

    `slopes` are the sun's; `energy` (k,) in Wh/m² is what the plane gets of the sun and the light
    close about it.
    """

    slots: Ints
    slopes: Slopes
    energy: Floats
    _through: dict[GlassTable, Floats] = field(
        default_factory=dict, init=False, repr=False, compare=False
    )

    def through(self, glass: GlassTable) -> Floats:
        """What of the `energy` gets through a glass that lies in the plane, Wh/m², (k,)."""
        if glass not in self._through:
            self._through[glass] = self.energy * glass.gain(self.slopes.cos_incidence)
        return self._through[glass]


@dataclass(frozen=True)
class Tally:
    """A sky and where its n slots are summed up: `bin` (n,), one of `count`, for each of them."""

    sky: Sky
    bin: Ints
    count: int
    _facing: dict[tuple[float, float], Facing] = field(
        default_factory=dict, init=False, repr=False, compare=False
    )

    @classmethod
    def by_row(cls, sky: Sky, rows: int) -> Tally:
        """A sum for each row of the weather."""
        return cls(sky, sky.row, rows)

    def of(self, energy: Floats, slots: Ints) -> Floats:
        """Sums of the `energy` (k,) of some slots, (count,)."""
        return np.asarray(np.bincount(self.bin[slots], energy, self.count), dtype=np.float64)

    def facing(self, azimuth: float, tilt: float) -> Facing:
        """The sun before a plane that faces `azimuth` at `tilt`, degrees."""
        if (azimuth, tilt) not in self._facing:
            sky, axes = self.sky, window_axes(azimuth, tilt)
            out = axes[2, 0] * sky.direction[0] + axes[2, 1] * sky.direction[1]
            out += axes[2, 2] * sky.direction[2]
            slots = np.flatnonzero((out > GRAZING) & (sky.direction[2] > 0.0))
            energy = self._square_on[slots] * out[slots]
            slopes = shadow_slopes(np.stack([part[slots] for part in sky.direction]), axes)
            self._facing[azimuth, tilt] = Facing(slots, slopes, energy)
        return self._facing[azimuth, tilt]

    @cached_property
    def _square_on(self) -> Floats:
        """Wh/m² of the sun and about it on a plane square to it, (n,)."""
        return np.asarray((self.sky.beam + self.sky.circumsolar) * self.sky.hours)

    @cached_property
    def spread(self) -> Floats:
        """Wh/m² of the whole dome, of the horizon on a wall, of the whole ground: (3, n)."""
        sky = self.sky
        return np.stack([sky.isotropic, sky.horizon, sky.ground]) * sky.hours

    def spread_sums(self, state: Ints, states: int) -> Floats:
        """Sums of `spread` over the slots in each of so many states: (3, states, count)."""
        return self._whole if states == 1 else self._sums_of(state, states)

    @cached_property
    def _whole(self) -> Floats:
        return self._sums_of(self.no_state, 1)

    @cached_property
    def no_state(self) -> Ints:
        """The state of all slots where there is but one, (n,)."""
        return np.zeros(len(self.bin), dtype=np.intp)

    def _sums_of(self, state: Ints, states: int) -> Floats:
        place, size = self.bin + self.count * state, self.count * states
        sums = [np.bincount(place, part, size).astype(np.float64) for part in self.spread]
        return np.stack(sums).reshape(3, states, self.count)

    def darker(self, share: float) -> Ints:
        """The slots in which a dark horizon on a wall takes more than that share of the dome."""
        slots, shares = self._darkest
        return slots[: np.searchsorted(-shares, -share)]

    @cached_property
    def _darkest(self) -> tuple[Ints, Floats]:
        """Slots with a dark horizon, and what it takes of the dome, the most first."""
        dome, band, _ = self.spread
        slots = np.flatnonzero(band < 0.0)
        with np.errstate(divide="ignore"):
            shares = -band[slots] / dome[slots]
        order = np.argsort(-shares)
        return slots[order], shares[order]
