"""Sun on many windows of one place: what they share is found once.

Whether the sun is up and strong enough is the same for all windows, a skyline often for several. So
the times of sun on a window are what three things have in common: the times of enough sun, those of
the sun above its skyline, and those of sun on its glass past its reveal and plates.
"""

from __future__ import annotations

import math
from collections.abc import Hashable, Iterable, Iterator
from dataclasses import replace
from functools import cached_property, lru_cache
from itertools import islice
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from suncover.base.cores import on_threads
from suncover.facade.conditions import SkyQuarters, is_simple
from suncover.facade.daylight import BeamGate
from suncover.facade.scene import SkyScene, WindowScene
from suncover.facade.search.crossings import common, join, lit_intervals
from suncover.facade.search.glasses import unshaded_intervals
from suncover.facade.search.panes import Panes
from suncover.facade.search.sun_grid import STRIDE, SunGrid
from suncover.facade.skyline import Skyline
from suncover.sun.position import DAY, Observer

if TYPE_CHECKING:
    from suncover.facade.search.beam_days import BeamDays

Floats = NDArray[np.float64]

# Windows searched together: enough to share the cost of a step, few enough for the cache. They are
# chosen for likeness from a larger number, whose results are held at one time: so many years of
# windows, and a few windows at the least.
TOGETHER, POOL, FEWEST = 128, 1152, 8
# Windows among obstacles and trees searched together.
YARDS_TOGETHER = 48
# Days of sun on windows below which threads cost more than they save, to load, start and wait for.
FEW_DAYS = 20 * 365
# Rows of the sun's grid that are searched at once: a year and what its first row may begin earlier.
CHUNK_ROWS = 47


class SunSearch:
    """The search for sun on windows of `observer`'s place from `start` to `end`, unix seconds."""

    def __init__(self, observer: Observer, start: float, end: float) -> None:
        self._observer, self._start, self._end = observer, start, end
        self._grids: dict[float, list[SunGrid]] = {}
        self._enough: dict[BeamGate, Floats] = {}
        self._above: dict[Skyline, Floats] = {}

    @cached_property
    def _days(self) -> BeamDays:
        from suncover.facade.search.beam_days import BeamDays  # noqa: PLC0415 - few ask for power

        return BeamDays.of(self._observer, self._start, self._end)

    def on_windows(self, scenes: Iterable[WindowScene]) -> Iterator[Floats]:
        """When each of `scenes` is lit: intervals (n, 2), sorted, disjoint, ends within 0.05 s."""
        scenes_left = iter(scenes)
        years = math.ceil(max(self._end - self._start, 1.0) / (CHUNK_ROWS * STRIDE * DAY))
        pool = max(POOL // years, FEWEST)
        while batch := list(islice(scenes_left, pool)):
            plain_scenes = {index: scene for index, scene in enumerate(batch) if _is_plain(scene)}
            on_glass = self._on_glasses(plain_scenes)
            for begin in range(0, len(batch), YARDS_TOGETHER):
                part = batch[begin : begin + YARDS_TOGETHER]
                without = [
                    common(self._under_sky(scene), on_glass[index])
                    if index in on_glass
                    else self._by_scene(scene)
                    for index, scene in enumerate(part, begin)
                ]
                yield from self._strong_enough(part, self._past_yards(part, without))

    def _strong_enough(self, scenes: list[WindowScene], lit: list[Floats]) -> list[Floats]:
        """When the sun is strong enough on each window; it is `lit` at these times."""
        asked = [number for number, scene in enumerate(scenes) if scene.power > 0.0]
        result = list(lit)
        if asked:
            from suncover.facade.search.power_search import (  # noqa: PLC0415 - few ask for power
                enough_power,
            )

            strong = enough_power([scenes[n] for n in asked], self._days, [lit[n] for n in asked])
            for number, intervals in zip(asked, strong, strict=True):
                result[number] = intervals
        return result

    def _past_yards(self, scenes: list[WindowScene], without: list[Floats]) -> list[Floats]:
        """Sun on each window past what stands around it; `without` that it would be these times."""
        if all(scene.surroundings is None for scene in scenes):
            return without
        # Many homes have nothing around them.
        from suncover.facade.search.share_search import share_intervals  # noqa: PLC0415
        from suncover.facade.search.yard_search import yard_intervals  # noqa: PLC0415

        result, alike = list(without), dict[Hashable, list[int]]()
        for index, scene in enumerate(scenes):
            if scene.surroundings is None:
                continue
            if scene.fraction > 0.0:
                result[index] = share_intervals(scene, self._grids_of(scene), without[index])
            else:
                alike.setdefault(scene.gate, []).append(index)
        for group in alike.values():
            yards = [yard for index in group if (yard := scenes[index].yard) is not None]
            grids = self._grids_of(scenes[group[0]])
            past = yard_intervals(yards, grids, [without[index] for index in group])
            for index, intervals in zip(group, past, strict=True):
                result[index] = intervals
        return result

    def _by_scene(self, scene: WindowScene) -> Floats:
        """Sun on the window with nothing around it, by the search that needs no closed form."""
        alone = replace(scene, surroundings=None)
        return lit_intervals(alone, self._observer, self._start, self._end)

    def _on_glasses(self, scenes: dict[int, WindowScene]) -> dict[int, Floats]:
        """Sun on each glass past its reveal and plates, as long as the sun is up."""
        alike: dict[Hashable, list[tuple[int, SkyQuarters]]] = {}
        for index, scene in scenes.items():
            sky = SkyQuarters(scene.glass)
            kind = sky.pattern, scene.gate.least
            alike.setdefault(kind, []).append((index, sky))
        result: dict[int, Floats] = {}
        batches: list[list[tuple[int, SkyQuarters]]] = []
        for group in alike.values():
            # Windows that face the same way look at the same part of the sky.
            group.sort(key=lambda member: _facing(scenes[member[0]]))
            batches += [group[at : at + TOGETHER] for at in range(0, len(group), TOGETHER)]
        days = len(scenes) * (self._end - self._start) / DAY
        over = map if days < FEW_DAYS else on_threads
        for part in over(lambda batch: self._together(scenes, batch), batches):
            result |= part
        return result

    def _together(
        self, scenes: dict[int, WindowScene], group: list[tuple[int, SkyQuarters]]
    ) -> dict[int, Floats]:
        """Sun on each glass of a group of one pattern."""
        panes = Panes.of([scenes[index].axes for index, _ in group], [sky for _, sky in group])
        grids = self._grids_of(scenes[group[0][0]])
        parts = [unshaded_intervals(grid, panes) for grid in grids]
        numbers = np.arange(len(group) + 1)
        bounds = [np.searchsorted(owner, numbers) for _, owner in parts]
        result: dict[int, Floats] = {}
        for number, (index, _) in enumerate(group):
            intervals = [
                lit[bound[number] : bound[number + 1]]
                for (lit, _), bound in zip(parts, bounds, strict=True)
            ]
            if len(intervals) == 1:
                result[index] = intervals[0]
            else:
                result[index] = join(np.concatenate([np.zeros((0, 2)), *intervals]))
        return result

    def _grids_of(self, scene: WindowScene) -> list[SunGrid]:
        """The sun as far up as it counts for `scene`, in stretches of some rows."""
        floor = math.sin(math.radians(min(scene.gate.least, 90.0)))
        if floor not in self._grids:
            # Days from local mean midnight to midnight, so that few spells cross their ends; rows
            # from the same dates for every request, so that all find the same.
            midnight = -self._observer.longitude * 240.0
            row = STRIDE * DAY
            first = math.floor((self._start - midnight) / row)
            last = math.ceil((self._end - midnight) / row) if self._end > self._start else first
            self._grids[floor] = [
                SunGrid(
                    self._observer,
                    midnight + begin * row,
                    STRIDE * min(CHUNK_ROWS, last - begin),
                    floor,
                )
                for begin in range(first, last, CHUNK_ROWS)
            ]
        return self._grids[floor]

    def _under_sky(self, scene: WindowScene) -> Floats:
        """When the sun is up, strong enough and above the window's skylines."""
        if scene.gate not in self._enough:
            self._enough[scene.gate] = self._sky(SkyScene(scene.gate))
        intervals = self._enough[scene.gate]
        for skyline in scene.skylines:
            if skyline not in self._above:
                self._above[skyline] = self._sky(SkyScene(None, (skyline,)))
            intervals = common(intervals, self._above[skyline])
        return intervals

    def _sky(self, scene: SkyScene) -> Floats:
        return _sky_intervals(scene, self._observer, self._start, self._end)


@lru_cache(maxsize=32)
def _sky_intervals(scene: SkyScene, observer: Observer, start: float, end: float) -> Floats:
    """`lit_intervals` of the sky, which searches for other windows of a place ask for again."""
    intervals = lit_intervals(scene, observer, start, end)
    intervals.flags.writeable = False
    return intervals


def _is_plain(scene: WindowScene) -> bool:
    """Whether the shading of its glass has the closed form that can be swept."""
    return scene.fraction == 0.0 and is_simple(scene.glass)


def _facing(scene: WindowScene) -> float:
    """The azimuth of the glass's normal, in radians from -pi to pi."""
    east, north, _ = scene.axes[2]
    return float(np.arctan2(east, north))
