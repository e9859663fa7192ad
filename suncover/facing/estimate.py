"""The azimuth that sightings show, with its uncertainty: a Bayesian fit over the whole circle.

What each sighting should read is worked out for azimuths two degrees apart, all round, and ever
more closely where the sightings say the truth may be. Between neighbours it is taken as linear. The
file's azimuth counts for little: it may well be tens of degrees off.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from suncover.facing.expected import SightedWindow
from suncover.facing.likelihood import FACTORS, LOG_FACTOR_PRIOR, gross_chance, log_likelihood
from suncover.site.model import Site
from suncover.site.sightings import Sighting

Floats = NDArray[np.float64]

FIRST_STEP = 2.0  # degrees between the first azimuths
PIECES = 8  # between two neighbouring azimuths
FINEST = 0.02  # degrees between the last
HEAVY = 0.08  # share of the probability above which a step is split
MOST_EXTRA = 160  # azimuths beyond the first
# Minutes a degree: a faster change between neighbours is not one time moving, but two times.
JUMP = 90.0
# What the file's azimuth is worth: off by 40° (one standard deviation), or anything at all.
GUESS_SD, GUESS_SHARE = 40.0, 0.8


class Odds(NamedTuple):
    """Azimuths in degrees, and how likely each is; arrays of one shape, shares add up to 1."""

    azimuth: Floats
    share: Floats


def bell(azimuth: float, sd: float) -> Odds:
    """The odds of a bell curve about `azimuth`."""
    away = np.linspace(-3.0, 3.0, 61)
    share = np.exp(-0.5 * away**2)
    return Odds(azimuth + sd * away, share / share.sum())


@dataclass(frozen=True)
class Check:
    """One sighting beside the result.

    `off` is how much later it was than it should have been, in minutes (for a patch: how much
    farther, in metres); 0 within what the sighting leaves open, nan where nothing should have been
    seen. `slope` is how far the time moves for a degree of azimuth. `wrong` is the chance that it
    is wrong altogether.
    """

    sighting: Sighting
    off: float
    slope: float
    wrong: float

    @property
    def tells(self) -> bool:
        """Whether such a sighting says anything about the azimuth."""
        threshold = LEAST_SLOPE_M if self.sighting.seen == "patch" else LEAST_SLOPE
        return abs(self.slope) >= threshold  # False for nan


@dataclass(frozen=True)
class Facing:
    """Which way the windows of one wall face: degrees from true north, one standard deviation.

    `minutes` is by how much its good sightings are off, one standard deviation; `others` are other
    azimuths that fit, with their chances.
    """

    windows: tuple[str, ...]
    azimuth: float
    sd: float
    minutes: float
    checks: tuple[Check, ...]
    odds: Odds
    others: tuple[tuple[float, float], ...] = ()

    @property
    def doubt(self) -> str | None:
        """Why the result is not to be relied on; None if it may be."""
        sound = [check for check in self.checks if check.wrong < 0.5]
        telling = [check for check in sound if check.tells]
        if self.others:
            return "more than one direction fits; more sightings will tell which"
        if len(telling) < ENOUGH:
            return (
                f"too few sightings tell the direction ({len(telling)} of {len(self.checks)}; "
                f"at least {ENOUGH} should): a single mistake would go unnoticed"
            )
        if self.sd > WELL_KNOWN:
            return "the sightings leave the direction wide open; watch on more days"
        return None


ENOUGH = 3  # sightings that must tell the direction before it may be relied on
# Minutes a degree, or for a patch metres: with less, a sighting tells nothing of the direction.
LEAST_SLOPE, LEAST_SLOPE_M = 0.2, 0.01
WELL_KNOWN = 3.0  # degrees


def estimate_facing(
    site: Site, sightings: Sequence[Sighting], windows: Sequence[str], late: float | None = None
) -> Facing:
    """Which way the wall of `windows` faces, from all the `sightings` of them.

    `late` is for a skyline that is not known, as in `log_likelihood`.

    Raises
    ------
    ValueError
        When none of the sightings is of these windows.
    """
    of_wall = distinct(sighting for sighting in sightings if sighting.window in windows)
    if not of_wall:
        raise ValueError("there are no sightings of these windows")
    sighted = [
        SightedWindow(site, site.window(name), part)
        for name in windows
        if (part := [sighting for sighting in of_wall if sighting.window == name])
    ]
    grid = _Grid(sighted, site.window(windows[0]).azimuth, late)
    odds, factors = grid.refined()
    azimuth = middle(odds)
    sd = spread(odds, azimuth)
    return Facing(
        windows=tuple(windows),
        azimuth=azimuth % 360.0,
        sd=sd,
        minutes=float(factors @ FACTORS),
        checks=grid.checks(odds, factors, azimuth),
        odds=odds,
        others=_others(odds, azimuth, sd),
    )


def distinct(sightings: Iterable[Sighting]) -> list[Sighting]:
    """Each sighting once: the same one may stand in the site file and in a table."""
    return list(dict.fromkeys(sightings))


def expected_for(sighted: Sequence[SightedWindow], azimuth: float) -> Floats:
    """What the sightings of a wall's windows should read if it faced `azimuth`: shape (n, 4)."""
    return np.concatenate(
        [
            part.expected(part.window.model_copy(update={"azimuth": azimuth % 360.0}))
            for part in sighted
        ]
    )


class _Grid:
    """Azimuths round the circle, and what the sightings should read for each."""

    def __init__(self, sighted: Sequence[SightedWindow], guess: float, late: float | None) -> None:
        self._sighted, self._guess, self._late = sighted, guess, late
        self._seen = [sighting for part in sighted for sighting in part.sightings]
        self._azimuths = guess + np.arange(-180.0, 180.0, FIRST_STEP)
        self._expected = self._ask(self._azimuths)

    def _ask(self, azimuths: Floats) -> Floats:
        return np.stack([expected_for(self._sighted, azimuth) for azimuth in azimuths], axis=1)

    def refined(self) -> tuple[Odds, Floats]:
        """The odds of azimuths, split finely where they are; and those of the shared factor."""
        left = MOST_EXTRA
        while True:
            odds, factors = self._odds()
            shares = odds.share.reshape(-1, PIECES).sum(axis=1)
            widths = self._widths()
            split = np.flatnonzero((shares > HEAVY) & (widths > FINEST))
            split = split[np.argsort(-shares[split])][: left // 3]
            if len(split) == 0:
                return odds, factors
            inner = (self._azimuths[split, None] + widths[split, None] * [0.25, 0.5, 0.75]).ravel()
            left -= len(inner)
            order = np.argsort(np.append(self._azimuths, inner), kind="stable")
            self._azimuths = np.append(self._azimuths, inner)[order]
            self._expected = np.concatenate([self._expected, self._ask(inner)], axis=1)[:, order]

    def _widths(self) -> Floats:
        return np.diff(np.append(self._azimuths, self._azimuths[0] + 360.0))

    def _odds(self) -> tuple[Odds, Floats]:
        widths = self._widths()
        at = (np.arange(PIECES) + 0.5) / PIECES
        azimuth = (self._azimuths[:, None] + widths[:, None] * at).ravel()
        cases = between(self._expected, np.roll(self._expected, -1, axis=1), widths, at)
        away = (azimuth - self._guess + 180.0) % 360.0 - 180.0
        bell = np.exp(-0.5 * (away / GUESS_SD) ** 2) / (GUESS_SD * np.sqrt(2 * np.pi))
        prior = GUESS_SHARE * bell + (1.0 - GUESS_SHARE) / 360.0
        log = log_likelihood(self._seen, cases, self._late) + LOG_FACTOR_PRIOR
        log += np.log(prior * np.repeat(widths, PIECES))[:, None]
        weight = np.exp(log - log.max())
        weight /= weight.sum()
        return Odds(azimuth, weight.sum(axis=1)), weight.sum(axis=0)

    def checks(self, odds: Odds, factors: Floats, azimuth: float) -> tuple[Check, ...]:
        """Each sighting beside what it should have been at `azimuth`."""
        expected, before, after = (
            expected_for(self._sighted, azimuth + step) for step in (0.0, -0.5, 0.5)
        )
        slopes = (after - before)[:, 2:].mean(axis=1)
        rows = zip(self._seen, expected, slopes, self._wrong(odds, factors), strict=True)
        return tuple(
            Check(sighting, off_by(sighting, row), float(slope), chance)
            for sighting, row, slope, chance in rows
        )

    def _wrong(self, odds: Odds, factors: Floats) -> list[float]:
        """The chance of each sighting to be wrong altogether."""
        at = (np.arange(PIECES) + 0.5) / PIECES
        cases = between(self._expected, np.roll(self._expected, -1, axis=1), self._widths(), at)
        heavy = odds.share > 1e-6
        weight = odds.share[heavy][:, None] * factors
        weight = weight / weight.sum()
        return [
            float((gross_chance(sighting, case[heavy], self._late) * weight).sum())
            for sighting, case in zip(self._seen, cases, strict=True)
        ]


def between(left: Floats, right: Floats, widths: Floats, at: Floats) -> Floats:
    """What is expected between neighbours: shapes (n, a, 4) and (a,) give (n, a * pieces, 4).

    Linear; where a time jumps, or there is one on one side only, it is that of the nearer side.
    Intervals are widened by what they move within a piece, so that a piece stands for all in it.
    """
    change = right - left
    jumps = ~(np.abs(change) <= JUMP * widths[:, None])
    smooth = left[:, :, None] + np.where(jumps, 0.0, change)[:, :, None] * at[:, None]
    nearer = np.where((at < 0.5)[:, None], left[:, :, None], right[:, :, None])
    middle = np.where(jumps[:, :, None], nearer, smooth)
    half = np.abs(np.where(jumps, 0.0, change)) / (2 * len(at))
    sides = np.array([-1.0, 1.0, -1.0, 1.0])
    cases = middle + (half * sides)[:, :, None]
    return np.asarray(cases.reshape(len(left), -1, 4))


def middle(odds: Odds) -> float:
    """The azimuth that the odds gather about; far-off ones have little say."""
    doubled = odds.azimuth
    width = 2.0
    # The place where most lies within a few degrees, then a mean that far ones hardly move.
    heavy = doubled[odds.share > odds.share.max() * 1e-3]
    gathered = [
        float((odds.share * np.exp(-0.5 * (turn(doubled - near) / width) ** 2)).sum())
        for near in heavy
    ]
    centre = float(heavy[int(np.argmax(gathered))])
    for _ in range(20):
        away = turn(odds.azimuth - centre)
        typical = max(quantile(np.abs(away), odds.share, 0.6827), 0.05)
        say = odds.share / (1.0 + (away / (3.0 * typical)) ** 2)
        centre += float((say * away).sum() / say.sum())
    return centre


def spread(odds: Odds, azimuth: float) -> float:
    """One standard deviation about `azimuth`: it holds 68 % of the odds.

    Where far more than a bell curve's share lies far out (one sighting alone, which may be wrong
    altogether), it is half of what holds 95 %.
    """
    away = np.abs(turn(odds.azimuth - azimuth))
    near, far = (quantile(away, odds.share, share) for share in (0.6827, 0.9545))
    return near if far < HEAVY_TAIL * near else far / 2.0


HEAVY_TAIL = 3.5  # times what holds 68 %; for a bell curve, 95 % lie within twice of it


def turn(degrees: Floats) -> Floats:
    """Angles as turns from -180 to 180."""
    turned: Floats = (degrees + 180.0) % 360.0 - 180.0
    return turned


def quantile(values: Floats, weights: Floats, share: float) -> float:
    """The value below which `share` of the weight lies."""
    order = np.argsort(values)
    heap = np.cumsum(weights[order])
    return float(np.interp(share * heap[-1], heap, values[order]))


def _others(odds: Odds, azimuth: float, sd: float) -> tuple[tuple[float, float], ...]:
    """Other directions that hold a tenth of the odds or more, apart from the main one."""
    share_left = odds.share.copy()
    main = np.abs(turn(odds.azimuth - azimuth)) < APART
    share_left[main] = 0.0
    directions = []
    while share_left.sum() >= LEAST_OTHER:
        near = odds.azimuth[int(np.argmax(share_left))]
        about = np.abs(turn(odds.azimuth - near)) < APART
        share = float(share_left[about].sum())
        if share < LEAST_OTHER or sd < APART / 2:
            break
        middle = near + float((share_left[about] * turn(odds.azimuth[about] - near)).sum()) / share
        directions.append((middle % 360.0, share))
        share_left[about] = 0.0
    return tuple(directions)


APART = 10.0  # degrees: directions nearer than this are one
LEAST_OTHER = 0.1


def off_by(sighting: Sighting, expected: Floats) -> float:
    """How much later than expected (minutes), or of a patch how much farther (metres), it was."""
    if sighting.seen == "patch":
        if sighting.distance is not None:
            return float(sighting.distance - expected[0])
        return float((sighting.offset or 0.0) - expected[2])
    low, high = expected[2:] if sighting.seen in ("on", "off") else expected[:2]
    if np.isnan(low):
        return float("nan")
    return float(-low if low > 0 else -high if high < 0 else 0.0)
