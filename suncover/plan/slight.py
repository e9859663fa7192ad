"""Closings for sun that hardly matters, and what a power in the need would bring."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from suncover.facade.peaks import power_at
from suncover.plan.closings.shade_plan import Closing, ShadePlan
from suncover.plan.peaks import shade_peaks
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
    found = []
    for plan in plans:
        need = site.need_of(shades[plan.shade])
        if need.power > 0.0 or not need.for_heat_alone:
            continue
        rows = [closing for closing in plan.closings if closing.sun_seconds > 0]
        rows = _never_seen_strong(site, shades[plan.shade], rows)
        peaks = shade_peaks(site, shades[plan.shade], rows)
        slight = [(row, peak) for row, peak in zip(rows, peaks, strict=True) if peak < SLIGHT]
        if slight:
            most = max(peak for _, peak in slight)
            kept = tuple(row for row, _ in slight)
            found.append(SlightSun(plan.shade, kept, len(plan.closings), most))
    return found


def power_steps(slight: Sequence[SlightSun]) -> list[Step]:
    """What a power in the need would bring by leaving out the closings for slight sun alone."""
    limit = f"power = {SLIGHT:g} in its need"
    return [Step(sun.shade, limit, {}, {}, -2 * len(sun.slight)) for sun in slight]


def _never_seen_strong(site: Site, shade: Shade, rows: list[Closing]) -> list[Closing]:
    """Those of the closings in which no look or two sees sun that matters."""
    for name in shade.windows:
        for share in _SHARES:
            if not rows:
                return rows
            times = np.array([row.close + share * (row.open - row.close) for row in rows])
            power = power_at(site, site.window(name), times)
            rows = [row for row, watts in zip(rows, power, strict=True) if watts < SLIGHT]
    return rows
