"""The azimuth and the clock together, from edges that a light log shows.

Many days agree to a fraction of a minute, and may all be off by the same few: the clock, and where
on the window the sensor lies. So the edges that fit are told by a straight line in the azimuth, the
clock's error and a delay of each kind of edge, each with what is known of it beforehand (linear
Bayesian regression; A. Gelman and others, Bayesian Data Analysis, 3rd edition, chapter 14).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from suncover.facing.estimate import expected_for
from suncover.facing.expected import SightedWindow
from suncover.site.model import Site
from suncover.site.sightings import Sighting

Floats = NDArray[np.float64]

# Minutes, one standard deviation; our own judgement, held by made logs. How light begins is seen
# late at a coming and early at a leaving, alike; and each kind has its own part.
LAG_MIN, KIND_MIN = 0.7, 0.7
SCATTER_DAYS = 3.0  # days that the readings' own uncertainty counts for, beside what the days show
PLACE = 0.4  # of the span between the first sun on the glass and half of it
ASLANT = 0.15
FAR = 5.0  # times the usual scatter, from where on a sighting is another matter
ROUNDS = 4
SLOPE_STEP = 0.5  # degrees


@dataclass(frozen=True)
class Settled:
    """Azimuth in degrees, the clock's error beyond what is corrected in minutes, and one standard
    deviation of each; `scatter` is that of a day, in minutes.
    """

    azimuth: float
    sd: float
    clock: float
    clock_sd: float
    scatter: float


def settled(
    site: Site, good: Sequence[Sighting], azimuth: float, clock_sd: float, unsure_min: float
) -> Settled | None:
    """What sightings of one window say together; None if nothing.

    `azimuth` is about the right one, `clock_sd` how well the clock is known in minutes, and
    `unsure_min` by how much all edges of a kind may be off together. Those that are far from what
    the others say have no say.
    """
    if not good:
        return None
    sighted = [SightedWindow(site, site.window(good[0].window), good)]
    coming = np.array([s.seen == "on" for s in good])
    own = np.array([s.minutes or 1.0 for s in good])
    for _ in range(ROUNDS):
        here, before, after = (
            expected_for(sighted, azimuth + step)[:, 2:] for step in (0.0, -SLOPE_STEP, SLOPE_STEP)
        )
        known = np.isfinite(here).all(axis=1)
        slopes = (after - before).mean(axis=1) / (2.0 * SLOPE_STEP)
        known &= np.isfinite(slopes)
        if not known.any():
            return None
        # Where on the glass the sensor lies: the same share of each day's span, in the middle of it
        # or anywhere about that.
        wide = np.ptp(here[known], axis=1)
        come = coming[known]
        model = np.column_stack(
            [
                slopes[known],
                np.ones(known.sum()),
                np.where(come, 1.0, -1.0),
                come,
                ~come,
                np.where(come, wide, 0.0),
                np.where(come, 0.0, wide),
            ]
        ).astype(np.float64)
        late = -here[known].mean(axis=1)
        apart = float(np.hypot(KIND_MIN, unsure_min))
        sds = [1e3, clock_sd, LAG_MIN, apart, apart, PLACE, PLACE]
        prior = 1.0 / np.square(sds)
        # Shadows' edges lie aslant on the glass: not quite the same share on all days.
        own_here = np.hypot(own[known], ASLANT * wide)
        guess, spread, scatter = _fit(model, late, prior, own_here)
        azimuth += float(np.clip(guess[0], -10.0, 10.0))
    sd, clock = np.sqrt(np.diag(spread))[:2]
    return Settled(azimuth % 360.0, float(sd), float(guess[1]), float(clock), scatter)


def _fit(model: Floats, late: Floats, prior: Floats, own: Floats) -> tuple[Floats, Floats, float]:
    """The parameters, their covariance, and the scatter of a day."""
    usual = float(np.median(own))
    scatter, kept = 2.0 * usual, np.ones(len(late), dtype=bool)
    left = late - np.median(late)
    for _ in range(6):
        # The middle of the days, and those that are near it: a few strange ones do not pull.
        kept = np.abs(left - np.median(left)) <= FAR * max(scatter, usual)
        some = model[kept]
        spread = np.asarray(
            np.linalg.inv(some.T @ some / scatter**2 + np.diag(prior)), dtype=np.float64
        )
        guess = spread @ (some.T @ late[kept]) / scatter**2
        left = late - model @ guess
        square = SCATTER_DAYS * usual**2 + float(left[kept] @ left[kept])
        scatter = float(np.sqrt(square / (SCATTER_DAYS + kept.sum())))
    return guess, spread, scatter
