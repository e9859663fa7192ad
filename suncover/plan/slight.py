"""Closings for sun that hardly matters, and what a power in the need would bring."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np

from suncover.facade.exposure import observer_of, window_scene
from suncover.facade.peaks import peak_power, power_on
from suncover.plan.closings.shade_plan import Closing, ShadePlan
from suncover.plan.summary import Step
from suncover.site.model import Shade, Site

SLIGHT = 60.0
"""W/m² of glass under which sun is called slight: a rule of thumb of our own. Clear double glazing
lets some 40 W of it into the room for each m².
"""
_SHARES = (0.5, 0.25, 0.75)  # of a closing that has passed: where sun that matters is seen first


@dataclass(frozen=True)
class SlightSun:
    """The closings of a shade that are there for slight sun alone.

    Of `closings` in all, in order of time; `most` is the greatest power on the glass of any window
    in any of them, W/m².
    """

    shade: str
    slight: tuple[Closing, ...]
    closings: int
    most: float

    @property
    def closed(self) -> int:
        """Seconds that they keep the shade down."""
        return sum(closing.open - closing.close for closing in self.slight)


def slight_sun(site: Site, plans: Sequence[ShadePlan]) -> list[SlightSun]:
    """For each shade that closes for heat alone, whatever its power, the closings for slight sun.

    Shades without such closings are left out.
    """
    shades = {shade.name: shade for shade in site.all_shades()}
    result = []
    for plan in plans:
        need = site.need_of(shades[plan.shade])
        if need.power > 0.0 or not need.for_heat_alone:
            continue
        rows = [closing for closing in plan.closings if closing.sun_seconds > 0]
        weak_rows, peaks = _never_strong(site, shades[plan.shade], rows)
        if weak_rows:
            result.append(SlightSun(plan.shade, tuple(weak_rows), len(plan.closings), max(peaks)))
    return result


def power_steps(slight: Sequence[SlightSun]) -> list[Step]:
    """What a power in the need would bring by leaving out the closings for slight sun alone."""
    limit = f"power = {SLIGHT:g} in its need"
    return [Step(sun.shade, limit, {}, {}, -2 * len(sun.slight)) for sun in slight]


def _never_strong(
    site: Site, shade: Shade, rows: list[Closing]
) -> tuple[list[Closing], list[float]]:
    """The closings in which the sun is slight on all windows, and its greatest power in each."""
    if not rows:
        return [], []
    observer = observer_of(site.place)
    span = min(row.close for row in rows), max(row.open for row in rows)
    scenes = [window_scene(site, name, site.need, *span) for name in shade.windows]
    # Most have sun that matters at the first look or two.
    for scene, share in product(scenes, _SHARES):
        if not rows:
            return [], []
        times = np.array([row.close + share * (row.open - row.close) for row in rows])
        power = power_on(scene, observer, times)
        rows = [row for row, watts in zip(rows, power, strict=True) if watts < SLIGHT]
    peaks = np.zeros(len(rows))
    spells = np.array([(row.close, row.open) for row in rows], dtype=np.int64).reshape(-1, 2)
    for scene in scenes:
        peaks = np.maximum(peaks, peak_power(scene, observer, spells, SLIGHT))
    slight = [number for number, peak in enumerate(peaks) if peak < SLIGHT]
    return [rows[number] for number in slight], [float(peaks[number]) for number in slight]
