"""Which moment to watch next: the coming or leaving of the sun that would tell most.

A moment is worth watching if the azimuths that are still possible put it at different times. For
each window and a day of the week to come, the azimuth's variance that would be left after the
sighting is worked out, as in a straight-line fit.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from suncover.base.clock import day_bounds, local_date
from suncover.facing.estimate import JUMP, Facing, Odds, quantile, turn
from suncover.facing.expected import SightedWindow
from suncover.facing.likelihood import FACTORS, USUAL_MIN
from suncover.site.model import Site
from suncover.site.sightings import Seen, Sighting

Floats = NDArray[np.float64]

CASES = 11  # azimuths that stand for all that are possible
MIDWEEK = 3  # days from the start: one day stands for the week, as the sun moves little in it
MARGIN_MIN = 10.0  # minutes to be there before and after
LEAST_GAIN = 0.05  # share of the variance that a sighting must take away to be worth while


@dataclass(frozen=True)
class Watch:
    """When to watch: the sun's coming (`on`) or leaving (`off`), between two instants (seconds).

    `sd` is what the azimuth's standard deviation should be afterwards, in degrees.
    """

    window: str
    seen: Seen
    begin: float
    end: float
    sd: float


def next_watch(site: Site, facing: Facing, windows: Sequence[str], start: float) -> Watch | None:
    """The most telling moment of the week that begins at `start` (unix seconds); None if none is.

    Clear sky is taken for granted, and that the watcher is as good as before.
    """
    azimuths, shares = stand_ins(facing.odds, facing.azimuth)
    sigma = USUAL_MIN * max(facing.minutes, float(FACTORS[0]))
    best: tuple[float, Watch] | None = None
    for name in windows:
        moments = _moments(site, name, start, azimuths)
        for kind, times in moments.items():
            gain, begin, end = _worth(azimuths, shares, times, sigma)
            if gain >= LEAST_GAIN and (best is None or gain > best[0]):
                left = facing.sd * float(np.sqrt(1.0 - gain))
                best = gain, Watch(name, kind, begin, end, left)
    return best[1] if best else None


def stand_ins(odds: Odds, azimuth: float) -> tuple[Floats, Floats]:
    """A few azimuths that stand for all, evenly through the odds, and their shares."""
    away = turn(odds.azimuth - azimuth)
    at = (np.arange(CASES) + 0.5) / CASES
    steps = np.array([quantile(away, odds.share, share) for share in at])
    return azimuth + steps, np.full(CASES, 1.0 / CASES)


def _moments(site: Site, name: str, start: float, azimuths: Floats) -> dict[Seen, Floats]:
    """When the sun first comes and last leaves on a day of the week, for each azimuth; nan: never.

    Unix seconds.
    """
    window, zone = site.window(name), site.place.zone
    day = day_bounds(local_date(int(start + MIDWEEK * 86_400), zone), zone)
    noon = (day.start + day.end) / 2.0
    kinds: tuple[Seen, Seen] = ("on", "off")
    sightings = [Sighting(window=name, time=noon, seen=kind) for kind in kinds]
    sighted = SightedWindow(site, window, sightings)
    readings = np.stack(
        [
            sighted.expected(window.model_copy(update={"azimuth": float(azimuth % 360.0)}))
            for azimuth in azimuths
        ],
        axis=1,
    )
    # Sun that counts, rather than the first glimmer.
    return {"on": noon + 60.0 * readings[0, :, 1], "off": noon + 60.0 * readings[1, :, 0]}


def _worth(
    azimuths: Floats, shares: Floats, times: Floats, sigma: float
) -> tuple[float, float, float]:
    """Share of the variance that a sighting takes away, and the span of time to watch."""
    finite = np.isfinite(times)
    if shares[finite].sum() < 0.6:
        return 0.0, 0.0, 0.0
    minutes, azimuth = times[finite] / 60.0, azimuths[finite]
    variance = float(np.var(azimuth))
    slopes = np.abs(np.diff(minutes)) / np.maximum(np.diff(azimuth), 1e-6)
    if variance <= 0.0 or len(slopes) == 0:
        return 0.0, 0.0, 0.0
    # What is left at each of the possible azimuths, where the time runs on evenly.
    left = 1.0 / (1.0 / variance + (np.minimum(slopes, JUMP) / sigma) ** 2)
    gain = 1.0 - float(left.mean()) / variance
    low, high = np.quantile(minutes, [0.1, 0.9])
    return gain, 60.0 * float(low - MARGIN_MIN), 60.0 * float(high + MARGIN_MIN)
