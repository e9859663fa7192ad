"""The best overhang for each window: what every depth keeps out, what it loses, and what is left.

Obstacles and trees are taken together with the overhang, part by part of the glass
(`suncover.heat.cells`): what a tree shades already, an overhang cannot keep out again. What a depth
adds is counted beside today's overhang, or beside no overhang if the window has none. Shades count
as up.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from suncover.base.shown import short_repr
from suncover.compare.money import DayKinds, Worth, value_of_kwh, worth_of_sums
from suncover.compare.year import Comparison
from suncover.facade.daylight import Daylight
from suncover.facade.exposure import glass_of, window_scene
from suncover.facade.frame import shadow_slopes
from suncover.facade.glazed import Plate
from suncover.facade.scene import WindowScene, above_skylines
from suncover.heat.cells import leaves_at, lit_strips, overhang_of
from suncover.heat.gain import leaf_states
from suncover.heat.glass import table_for
from suncover.heat.view_factors import ANGLES, open_views, view_parts
from suncover.site.model import Overhang, Site, Window
from suncover.site.options import Range

Floats = NDArray[np.float64]

DEPTHS = tuple(round(0.05 * step, 2) for step in range(1, 41))
"""Depths in metres that are tried: 5 cm to 2 m."""
EVERY, CELLS = 3, (64, 48)
"""The sun is taken in every third slot, and sky and ground in so many cells: below 2e-3 of the sun
that an overhang keeps out."""
LEAST_TILT = 60.0  # degrees: flatter glass has no eaves above it that could be made deeper
USUAL_GAP, USUAL_RUN = 0.25, 0.30  # metres, of an overhang that the site file does not have
ALIKE = 0.05
"""Share of the best net worth within which another depth is as good: less than any model tells."""


@dataclass(frozen=True)
class Swept:
    """An overhang tried on a window: metres, and kWh through the glass in the year, against none.

    `kept_out` on cooling days and `lost` on heating days; `net` is their worth, in `unit`, at the
    middle of every range. `worth` is what it adds to today's overhang, as ranges.
    """

    depth: float
    gap: float
    kept_out: float
    lost: float
    net: float
    worth: Worth


@dataclass(frozen=True)
class BestOverhang:
    """The overhang of the highest net worth for a window, None if every one costs more than it
    brings; beside it what the scheduled shade brings by the same count.

    `today` is the overhang that stands, of depth 0 where none does. `runs` is how far past the
    glass's left and right edge each of them goes, metres, None for endless: the window's own, or
    what is usual.
    """

    __repr__ = short_repr

    window: str
    tried: tuple[Swept, ...]
    best: Swept | None
    shade_net: float
    unit: str
    today: Swept
    runs: tuple[float | None, float | None]

    @property
    def at_the_end(self) -> bool:
        """Is the best the deepest that was tried, so that a deeper might be better still?"""
        return self.best is not None and self.best.depth >= max(swept.depth for swept in self.tried)

    @property
    def today_will_do(self) -> bool:
        """Is today's overhang as good as the best, within what is known?"""
        if self.best is None or self.today.depth == 0.0:
            return False
        return self.today.net >= (1.0 - ALIKE) * self.best.net

    @property
    def can_be_told(self) -> bool:
        """Does the best bring more than today's whatever the assumptions turn out to be?"""
        return self.best is not None and self.best.worth.net[0] > 0.0


def takes_overhang(window: Window) -> bool:
    """Is the glass steep enough for overhangs to be tried above it?"""
    return window.tilt >= LEAST_TILT


def best_overhangs(
    comparison: Comparison,
    kinds: DayKinds,
    depths: Sequence[float] = DEPTHS,
    gaps: Sequence[float] | None = None,
) -> tuple[BestOverhang, ...]:
    """The sweep for every window that takes an overhang; `gaps` in metres, or else that of the
    window's own.
    """
    return tuple(
        _best(comparison, kinds, window, depths, gaps)
        for window in comparison.site.windows
        if takes_overhang(window)
    )


def _best(
    comparison: Comparison,
    kinds: DayKinds,
    window: Window,
    depths: Sequence[float],
    gaps: Sequence[float] | None,
) -> BestOverhang:
    overhang = window.overhang
    like = overhang or Overhang(depth=1.0, gap=USUAL_GAP, left=USUAL_RUN, right=USUAL_RUN)
    sweep = _Sweep(comparison, kinds, window)
    tried = tuple(gaps or (like.gap,))
    spared = {
        gap: sweep.spared(like.model_copy(update={"gap": gap}), (*depths, like.depth))
        for gap in dict.fromkeys((*tried, like.gap))
    }
    now = spared[like.gap][-1] if overhang is not None else np.zeros((2, 2))
    today = sweep.swept(0.0 if overhang is None else overhang.depth, like.gap, now, now)
    options = tuple(
        sweep.swept(depth, gap, kwh, now)
        for gap in tried
        for depth, kwh in zip(depths, spared[gap][:-1], strict=True)
    )
    best = max((*options, today), key=lambda swept: swept.net)
    bare = comparison.outcomes["bare"][window.name].admitted
    shade = comparison.outcomes["shade"][window.name].admitted
    days = comparison.days.sums(bare - shade) / 1000.0
    return BestOverhang(
        window.name,
        options,
        best if best.net > 0.0 else None,
        sweep.net(_by_kind(days, kinds))[2],
        value_of_kwh(comparison.site.money)[2],
        today,
        (like.left, like.right),
    )


def _by_kind(days: Floats, kinds: DayKinds) -> Floats:
    """Sums of days' kWh over cooling days and over heating days, at both ends: (2, 2)."""
    return np.array(
        [[days[day_mask].sum() for day_mask in ends] for ends in (kinds.cooling, kinds.heating)]
    )


class _Sweep:
    """One window with all that its overhangs have in common."""

    def __init__(self, comparison: Comparison, kinds: DayKinds, window: Window) -> None:
        self._site: Site = comparison.site
        self._window = window.model_copy(update={"overhang": None})
        self._sky = comparison.year.sky
        self._glass = table_for(self._site, window)
        self._area = window.width * window.height
        self._cool, self._heat, _ = value_of_kwh(self._site.money)
        self._pays = comparison.tells_payback
        start, end = int(self._sky.seconds.min()), int(self._sky.seconds.max()) + 1
        self._scene: WindowScene = window_scene(
            self._site, self._window, self._site.need, start, end
        )
        # kWh of a slot's watt to the square metre, on each kind of day: (slots, 4).
        day = comparison.days.day[self._sky.row]
        masks = np.stack([ends[day] for ends in (*kinds.cooling, *kinds.heating)], axis=1)
        self._kwh = masks * (self._sky.hours * self._area / 1000.0)[:, None]

    def spared(self, like: Overhang, depths: Sequence[float]) -> Floats:
        """kWh that overhangs of some depths, otherwise alike, keep out against none: by depth, by
        cooling and heating days, by both ends of what counts as such, (depths, 2, 2).
        """
        deep = like.model_copy(update={"depth": 1.0})
        roof = overhang_of(glass_of(self._window.model_copy(update={"overhang": deep})))
        assert roof is not None
        order = np.argsort(depths, kind="stable")
        rising = np.asarray(depths, dtype=np.float64)[order]
        total = self._beam(roof, rising) + self._spread(roof, rising)
        result = np.empty_like(total)
        result[order] = total
        return result.reshape(-1, 2, 2)

    def _beam(self, roof: Plate, depths: Floats) -> Floats:
        """Of the sun itself and the light about it, (depths, 4)."""
        sky, scene = self._sky, self._scene
        slopes = shadow_slopes(sky.direction, scene.axes)
        sun = Daylight(sky.seconds, sky.direction)
        strong = sky.beam + sky.circumsolar
        # An overhang hides nothing of what comes from below.
        slots = np.flatnonzero(
            slopes.in_front
            & (slopes.q > 0.0)
            & (strong > 0.0)
            & above_skylines(sun, None, scene.skylines)
        )
        # Every third slot stands for its neighbours too: a quarter of an hour of the sun's way.
        slots = slots[::EVERY]
        part = slopes.take(slots)
        power = strong[slots] * part.cos_incidence * self._glass.gain(part.cos_incidence)
        power *= EVERY
        around = scene.surroundings
        leaves = np.zeros((0, len(slots)))
        if around is not None:
            leaves = leaves_at(around, sky.seconds[slots])
        strips = lit_strips(scene.glass, around, part, leaves, roof)
        return strips.lost(power[:, None] * self._kwh[slots], depths)

    def _spread(self, roof: Plate, depths: Floats) -> Floats:
        """Of the light of sky, ground and horizon, (depths, 4)."""
        sky, scene, tilt = self._sky, self._scene, self._window.tilt
        around = scene.surroundings
        states, state_of = [np.zeros(0)], np.zeros(len(sky.seconds), dtype=np.intp)
        if around is not None:
            states, state_of = leaf_states(around, sky)
        gain = self._glass.gain(np.cos(np.radians(ANGLES)))
        slope = float(np.sin(np.radians(tilt)))
        lights = (sky.isotropic, sky.ground, sky.horizon * slope)
        total = np.zeros((len(depths), 4))
        free = open_views(tilt).by_angle
        for state, leaves in enumerate(states):
            now = state_of == state
            for part, light, free_views in zip(view_parts(tilt, CELLS), lights, free, strict=True):
                patches = np.flatnonzero(part.slopes.q > 1e-9)
                if not len(patches) or not free_views.any():
                    continue
                mean = float(free_views @ gain) / float(free_views.sum())
                weights = (part.weight * gain[part.bin] / mean)[patches]
                crowns = np.repeat(leaves[:, None], len(patches), axis=1)
                above = part.slopes.take(patches)
                strips = lit_strips(scene.glass, around, above, crowns, roof)
                lost = strips.lost(weights[:, None], depths)
                kwh = light[now] @ self._kwh[now] * self._glass.diffuse
                total += lost * kwh[None, :]
        return total

    def swept(self, depth: float, gap: float, spared: Floats, now: Floats) -> Swept:
        """The year with one overhang that keeps out `spared` (2, 2), beside today's `now`."""
        kept, lost, net = self.net(spared)
        money = self._site.money
        price = money.overhang if self._pays and not np.array_equal(spared, now) else None
        added: list[Range] = [(min(ends), max(ends)) for ends in (spared - now).tolist()]
        worth = worth_of_sums([(added[0], added[1])], money, price)
        return Swept(depth, gap, kept, lost, net, worth)

    def net(self, spared: Floats) -> tuple[float, float, float]:
        """kWh kept out on cooling days, lost on heating days, and their worth."""
        kept, lost = (float(ends.mean()) for ends in spared)
        return kept, lost, kept * self._cool - lost * self._heat
