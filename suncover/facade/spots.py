"""Many points behind one window at once: which of them are in direct sun."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from suncover.base.shown import short_repr
from suncover.facade.daylight import Daylight
from suncover.facade.frame import GRAZING
from suncover.facade.scene import WindowScene, above_skylines
from suncover.facade.yard.cones import Cones, cones_of, wall_cones

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
Ints = NDArray[np.intp]


@dataclass(frozen=True)
class Spots:
    """Points behind a window, each lit while its line to the sun is free: `SpotScene`, for many.

    `points` (k, 3) in the window's coordinates, within the outline of the glass and z at most 0;
    what stands in the way is `window`'s.
    """

    __repr__ = short_repr

    window: WindowScene
    points: Floats

    def lit(self, sun: Daylight) -> Bools:
        """Whether each point is in direct sun at each of n instants: (k, n)."""
        index, local = self._before(sun)
        state = np.zeros((len(self.points), len(sun.seconds)), dtype=bool)
        state[:, index] = self._free(lambda cones: cones.hide(local), sun.take(index))
        return state

    def lit_pairs(self, point_of: Ints, sun: Daylight) -> Bools:
        """Whether the point `point_of` (n,) of each instant is in direct sun then: (n,)."""
        index, local = self._before(sun)
        point = point_of[index]
        state = np.zeros(len(sun.seconds), dtype=bool)
        state[index] = self._free(lambda cones: cones.hide_pairs(point, local), sun.take(index))
        return state

    def _before(self, sun: Daylight) -> tuple[Ints, Floats]:
        """The instants at which the sun is up and before the glass, and its directions there."""
        local = np.asarray(self.window.axes @ sun.direction)
        up = above_skylines(sun, self.window.gate, self.window.skylines)
        index = np.flatnonzero(up & (local[2] > GRAZING))
        return index, local[:, index]

    def _free(self, hidden: Callable[[Cones], Bools], sun: Daylight) -> Bools | bool:
        """Where enough of the beam arrives, in the shape in which `hidden` answers."""
        free: Bools | bool = True
        for cones in self._opaque:
            free = free & ~hidden(cones)
        around = self.window.surroundings
        if around is None or not around.trees:
            return free
        share = np.asarray(free, dtype=np.float64)
        for tree, cones in zip(around.trees, self._crowns, strict=True):
            share = np.where(hidden(cones), share * tree.foliage.share(sun.seconds), share)
        return np.where(share < 1.0, around.light.enough(sun, share), True)

    @cached_property
    def _opaque(self) -> tuple[Cones, ...]:
        around = self.window.surroundings
        prisms = () if around is None else cones_of(around.prisms, self.points)
        return (*wall_cones(self.window.glass, self.points), *prisms)

    @cached_property
    def _crowns(self) -> tuple[Cones, ...]:
        around = self.window.surroundings
        return (
            () if around is None else tuple(cones_of([t.crown for t in around.trees], self.points))
        )
