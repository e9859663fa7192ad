"""How well what should have been read agrees with what was, when errors of all sizes happen.

Most times are a few minutes off: a bell curve, whose width is the sighting's own `minutes` (3 if
not given) times a factor for how well this person watches, which is not known beforehand and
shared by all sightings. A few are wrong altogether, by half an hour or by hours: a Cauchy curve.
So a gross error costs a sighting its say, and the rest are not pulled along.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from suncover.site.sightings import Sighting

Floats = NDArray[np.float64]

# Our own judgement of how people watch: minutes by which a time is off (one standard deviation),
# share of sightings that are wrong altogether, and how far off these are (half of them by more).
USUAL_MIN = 3.0
GROSS_SHARE = 0.1
GROSS_MIN = 30.0
# Sun that is there, or is not, is harder to mistake than a time: the chance that it is wrong is
# GROSS_SHARE times this.
GROSS_STATE = 0.1
# The same for a patch on the floor, in metres: its edge is blurred by the width of the sun's disc.
USUAL_M = 0.05
GROSS_M = 0.5
# Where the sun comes twice a day, "on" mostly means the first time.
FIRST_SHARE = 0.8
# The shared factor: 1 within about a factor of two, one standard deviation of its logarithm.
FACTORS = np.exp(np.linspace(-1.8, 1.8, 15))
FACTOR_SD = 0.55
LOG_FACTOR_PRIOR = -0.5 * (np.log(FACTORS) / FACTOR_SD) ** 2
LOG_FACTOR_PRIOR -= np.log(np.exp(LOG_FACTOR_PRIOR).sum())


def log_likelihood(
    sightings: Sequence[Sighting], expected: Floats, late: float | None = None
) -> Floats:
    """Log of the likelihood of all sightings: shape (m, factors).

    `expected` (n, m, 4): what each should read in each of m cases, as `SightedWindow.expected`.
    With `late`: the sun may have come later, and left earlier, than expected, by minutes that are
    spread exponentially with this mean: a skyline that is not known.
    """
    total = np.zeros((expected.shape[1], len(FACTORS)))
    for sighting, cases in zip(sightings, expected, strict=True):
        sound, gross = parts(sighting, cases, late)
        total += np.log((1.0 - GROSS_SHARE) * sound + GROSS_SHARE * gross[:, None])
    return total


def gross_chance(sighting: Sighting, cases: Floats, late: float | None = None) -> Floats:
    """How likely it is that the sighting is wrong altogether, in each case: shape (m, factors)."""
    sound, gross = parts(sighting, cases, late)
    wrong = GROSS_SHARE * gross[:, None]
    return np.asarray(wrong / (wrong + (1.0 - GROSS_SHARE) * sound))


def parts(sighting: Sighting, cases: Floats, late: float | None) -> tuple[Floats, Floats]:
    """Likelihood of one sighting in m cases: if it is a good one (m, factors), and if not (m,)."""
    if sighting.seen == "patch":
        return _patch(sighting, cases)
    sigma = (sighting.minutes or USUAL_MIN) * FACTORS
    if sighting.seen not in ("on", "off"):
        never = np.isnan(cases[:, :1])
        low, high = (np.where(never, 0.0, cases[:, column, None]) for column in (0, 1))
        density = normal_cdf(-low / sigma) * normal_cdf(high / sigma)
        return np.where(never, 0.0, density), np.full(len(cases), GROSS_STATE)
    first, near = (_within(cases[:, at], cases[:, at + 1], sigma) for at in (0, 2))
    sound = FIRST_SHARE * first + (1.0 - FIRST_SHARE) * near
    if late is not None:
        arrival = cases[:, :2] if sighting.seen == "on" else -cases[:, 1::-1]
        sound = 0.5 * sound + 0.5 * _delayed(arrival, late)
    away = np.maximum(np.maximum(cases[:, 2], -cases[:, 3]), 0.0)
    return sound, _cauchy(np.where(np.isnan(away), 720.0, away), GROSS_MIN)


def _patch(sighting: Sighting, cases: Floats) -> tuple[Floats, Floats]:
    sound, gross = np.ones((len(cases), len(FACTORS))), np.ones(len(cases))
    for measured, column in ((sighting.distance, 0), (sighting.offset, 2)):
        if measured is None:
            continue
        away = cases[:, column] - measured
        density = _within(away, away, USUAL_M * FACTORS)
        sound, gross = (
            sound * density,
            gross * _cauchy(np.where(np.isnan(away), 10.0, away), GROSS_M),
        )
    return sound, gross


def _within(low: Floats, high: Floats, sigma: Floats) -> Floats:
    """Density at 0 of a bell curve of width `sigma` about a place evenly spread from low to high.

    `low` and `high` (m,), `sigma` (k,): shape (m, k). 0 where they are nan.
    """
    finite = ~np.isnan(low)
    low, high = (np.where(finite, limit, 0.0)[:, None] for limit in (low, high))
    width = np.maximum(high - low, 0.0)
    narrow = width < 0.3 * sigma
    spread = np.sqrt(sigma**2 + width**2 / 12.0)
    peak = np.exp(-0.5 * ((low + high) / 2.0 / spread) ** 2) / (spread * np.sqrt(2 * np.pi))
    if not narrow.all():
        part = normal_cdf(high / sigma) - normal_cdf(low / sigma)
        peak = np.where(narrow, peak, np.maximum(part, 0.0) / np.where(narrow, 1.0, width))
    return np.where(finite[:, None], peak, 0.0)


def _delayed(arrival: Floats, mean: float) -> Floats:
    """Density at 0 of something that comes after an interval (m, 2), exponentially later."""
    middle = arrival.mean(axis=1)
    wait = -np.where(np.isnan(middle), np.inf, middle)
    return np.where(wait >= 0.0, np.exp(-np.maximum(wait, 0.0) / mean) / mean, 0.0)[:, None]


def _cauchy(away: Floats, scale: float) -> Floats:
    return np.asarray(1.0 / (np.pi * scale * (1.0 + (away / scale) ** 2)))


def normal_cdf(x: Floats) -> Floats:
    """The normal distribution function, within 8e-8.

    Abramowitz and Stegun, Handbook of Mathematical Functions (1964), formula 26.2.17.
    """
    t = 1.0 / (1.0 + 0.2316419 * np.abs(x))
    series = t * (
        0.319381530 + t * (-0.356563782 + t * (1.781477937 + t * (-1.821255978 + t * 1.330274429)))
    )
    tail = np.exp(-0.5 * np.minimum(np.abs(x), 38.0) ** 2) / np.sqrt(2 * np.pi) * series
    return np.asarray(np.where(x >= 0.0, 1.0 - tail, tail))
