"""The best overhang for each window: what each depth and gap keeps out, and when.

The sun's slopes on a window are worked out once and serve for every depth. For a window with
obstacles or trees around it, the share of the glass that they leave in sun is multiplied with the
overhang's: exact where one of them leaves all or nothing, close elsewhere.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from suncover.base.shown import short_repr
from suncover.compare.money import DayKinds, value_of_kwh
from suncover.compare.year import Comparison
from suncover.facade.daylight import Daylight
from suncover.facade.exposure import glass_of, observer_of, window_scene
from suncover.facade.frame import shadow_slopes, window_axes
from suncover.facade.plates import sunlit_fraction
from suncover.heat.gain import SlotViews, combine, per_row, window_views
from suncover.heat.glass import table_for
from suncover.heat.view_factors import Views, glass_views, views
from suncover.site.model import Overhang, Site, Window
from suncover.sun.sky import Sky, sky_of

Floats = NDArray[np.float64]

DEPTHS = tuple(round(0.05 * step, 2) for step in range(1, 41))
"""Depths in metres that are tried: 5 cm to 2 m."""
# Cells for the view factors, coarser than elsewhere: below 3e-4.
SWEEP_CELLS = (96, 48)
LEAST_TILT = 60.0  # degrees: flatter glass has no eaves above it that could be made deeper
USUAL_GAP, USUAL_RUN = 0.25, 0.30  # metres, of an overhang that the site file does not have


@dataclass(frozen=True)
class Swept:
    """An overhang tried on a window: metres, and kWh through the glass in the year, against none.

    `kept_out` on cooling days and `lost` on heating days; `net` is their worth, in `unit`.
    """

    depth: float
    gap: float
    kept_out: float
    lost: float
    net: float


@dataclass(frozen=True)
class BestOverhang:
    """The overhang of the highest net worth for a window, None if every one costs more than it
    brings; beside it what the scheduled shade brings by the same count.
    """

    __repr__ = short_repr

    window: str
    tried: tuple[Swept, ...]
    best: Swept | None
    shade_net: float
    unit: str


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
    site = comparison.site
    sky = sky_of(comparison.weather, observer_of(site.place), site.place.albedo, comparison.model)
    return tuple(
        _best(comparison, kinds, sky, window, (depths, gaps))
        for window in site.windows
        if takes_overhang(window)
    )


def _best(
    comparison: Comparison,
    kinds: DayKinds,
    sky: Sky,
    window: Window,
    tried: tuple[Sequence[float], Sequence[float] | None],
) -> BestOverhang:
    site = comparison.site
    own = window.overhang
    depths, gaps = tried
    gaps = gaps or (own.gap if own is not None else USUAL_GAP,)
    sweep = _Sweep(comparison, kinds, sky, window)
    found = tuple(
        sweep.swept(
            Overhang(
                depth=depth,
                gap=gap,
                left=own.left if own is not None else USUAL_RUN,
                right=own.right if own is not None else USUAL_RUN,
            )
        )
        for gap in gaps
        for depth in depths
    )
    best = max(found, key=lambda swept: swept.net)
    bare = comparison.outcomes["bare"][window.name].admitted
    shade = comparison.outcomes["shade"][window.name].admitted
    shade_net = sweep.net(comparison.days.sums(bare - shade) / 1000.0)[2]
    return BestOverhang(
        window.name, found, best if best.net > 0.0 else None, shade_net, value_of_kwh(site.money)[2]
    )


class _Sweep:
    """One window with all that its overhangs have in common."""

    def __init__(self, comparison: Comparison, kinds: DayKinds, sky: Sky, window: Window) -> None:
        site: Site = comparison.site
        self._days, self._kinds, self._sky = comparison.days, kinds, sky
        self._rows = len(comparison.weather.start)
        self._window = window.model_copy(update={"overhang": None})
        self._glass = table_for(site, window)
        self._bare = comparison.outcomes["bare"][window.name].admitted
        self._cool, self._heat, _ = value_of_kwh(site.money)
        slopes = shadow_slopes(sky.direction, window_axes(window.azimuth, window.tilt))
        self._front = np.flatnonzero(slopes.in_front)
        self._p, self._q = slopes.p[self._front], slopes.q[self._front]
        self._around, self._seen = self._without_plates(site)

    def _without_plates(self, site: Site) -> tuple[Floats, tuple[Floats, Floats, Floats]]:
        """Share of the glass in sun, and of sky, ground and horizon seen, past all but plates."""
        open_window = self._window.model_copy(update={"fins": (), "reveal": 0.0})
        start, end = int(self._sky.seconds.min()), int(self._sky.seconds.max()) + 1
        scene = window_scene(site, open_window, site.need, start, end)
        lit = scene.sunlit_share(Daylight(self._sky.seconds, self._sky.direction))
        seen = window_views(scene, open_window, self._sky)
        free = glass_views(glass_of(open_window), open_window.azimuth, open_window.tilt)
        past = (seen.sky / max(free.sky, 1e-9), seen.ground / max(free.ground, 1e-9), seen.horizon)
        return lit[self._front], (
            np.asarray(past[0]),
            np.asarray(past[1]),
            np.asarray(past[2]),
        )

    def swept(self, overhang: Overhang) -> Swept:
        """The year with one overhang."""
        window = self._window.model_copy(update={"overhang": overhang})
        glass = glass_of(window)
        lit = np.zeros(len(self._sky.seconds))
        lit[self._front] = sunlit_fraction(self._p, self._q, glass) * self._around
        seen = views(
            lambda slopes, _: sunlit_fraction(slopes.p, slopes.q, glass),
            window.azimuth,
            window.tilt,
            SWEEP_CELLS,
        )
        light = combine(self._sky, window, lit, self._past(seen))
        area = window.width * window.height
        admitted = per_row(self._sky, light.admitted(self._glass) * area, self._rows)
        kept, lost, net = self.net(self._days.sums(self._bare - admitted) / 1000.0)
        return Swept(overhang.depth, overhang.gap, kept, lost, net)

    def _past(self, seen: Views) -> SlotViews:
        sky, ground, horizon = self._seen
        return SlotViews(seen.sky * sky, seen.ground * ground, seen.horizon * horizon)

    def net(self, spared: Floats) -> tuple[float, float, float]:
        """kWh kept out on cooling days, lost on heating days, and their worth."""
        kept = sum(float(spared[which].sum()) for which in self._kinds.cooling) / 2.0
        lost = sum(float(spared[which].sum()) for which in self._kinds.heating) / 2.0
        return kept, lost, kept * self._cool - lost * self._heat
