"""The season in which shades are worth closing for heat: keeping out winter sun is a loss."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from suncover.compare.money import DayKinds, Worth, spared_by_day, value_of_kwh, worth
from suncover.compare.year import Comparison
from suncover.site.model import MonthDay

LEAST_SHARE = 0.05
"""A season that brings less than this share of what the shades do is not worth a word."""


@dataclass(frozen=True)
class BetterSeason:
    """First and last day of a season, and what it brings beside closing as now."""

    season: tuple[MonthDay, MonthDay]
    worth: Worth


def best_season(comparison: Comparison, kinds: DayKinds) -> BetterSeason | None:
    """The season in which the shades' closings bring the most, by net value; None where that is as
    good as closing by the site's own season, where shades are closed for more than heat, or where
    all the year is best.
    """
    site = comparison.site
    if any(not site.need_of(shade).for_heat_alone for shade in site.all_shades()):
        return None
    names = [window.name for window in site.windows]
    cases = sum(spared_by_day(comparison, "both", name, "overhang") for name in names)
    assert isinstance(cases, np.ndarray)
    spared = cases[0]
    cool, heat, _ = value_of_kwh(site.money)
    kept, lost = (np.mean(ends, axis=0) for ends in (kinds.cooling, kinds.heating))
    value = spared * (kept * cool - lost * heat)
    first, last = _best_run(value)
    inside = np.zeros(len(value), dtype=bool)
    inside[(first + np.arange((last - first) % len(value) + 1)) % len(value)] = True
    gain = -float(value[~inside].sum())
    if inside.all() or gain <= LEAST_SHARE * abs(float(value[inside].sum())):
        return None
    dates = comparison.days.dates
    # What is no longer kept out on the other days.
    no_longer_kept = tuple(np.where(inside, 0.0, -case) for case in cases)
    value_lost = worth(no_longer_kept[0], kinds, site.money, cases=no_longer_kept[1:])
    if value_lost.net[0] <= 0.0:
        return None
    ends = tuple(MonthDay(dates[at].month, dates[at].day) for at in (first, last))
    return BetterSeason((ends[0], ends[1]), value_lost)


def _best_run(value: np.ndarray) -> tuple[int, int]:
    """First and last index of the run of the greatest sum, which may go round the year's end."""
    count = len(value)
    sums = np.concatenate([[0.0], np.cumsum(np.concatenate([value, value]))])
    best, run = -np.inf, (0, count - 1)
    for begin in range(count):
        ends = sums[begin + 1 : begin + count + 1] - sums[begin]
        at = int(np.argmax(ends))
        if ends[at] > best:
            best, run = float(ends[at]), (begin, (begin + at) % count)
    return run
