"""An overhang's depth and gap, together with the azimuth, from what was seen of the sun.

Several numbers at once are too many for a grid. Instead a few hundred guesses are drawn, weighed by
how well each agrees with the sightings, and drawn anew from about the good ones, several times over
(population Monte Carlo: O. Cappé and others, J. Computational and Graphical Statistics 13, 907-929,
2004). The draws are the same every time.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from suncover.facing.estimate import Facing, distinct, estimate_facing, turn
from suncover.facing.expected import SightedWindow
from suncover.facing.likelihood import LOG_FACTOR_PRIOR, log_likelihood
from suncover.site.model import Overhang, Site, Window
from suncover.site.sightings import Sighting

Floats = NDArray[np.float64]

# What the file's numbers are worth, one standard deviation: the depth within about a half of it,
# the gap within 25 cm. Our own judgement of what people measure from a window.
DEPTH_SD, GAP_SD = 0.5, 0.25
DRAWS = 250
ROUNDS = (0.1, 0.4, 1.0, 1.0, 1.0, 1.0)  # share of its say that the likelihood gets in each round
LEAST_EFFECTIVE = 40.0  # draws that must carry the result


@dataclass(frozen=True)
class Roof:
    """A window's overhang as the sightings show it: metres, with one standard deviation."""

    window: str
    depth: float
    depth_sd: float
    gap: float
    gap_sd: float


@dataclass(frozen=True)
class RoofedFacing:
    """The azimuth of a wall and the overhangs on it, found together."""

    facing: Facing
    roofs: tuple[Roof, ...]
    settled: bool
    """False where too few guesses agreed with the sightings to rely on the result."""


def estimate_overhangs(
    site: Site, sightings: Sequence[Sighting], windows: Sequence[str]
) -> RoofedFacing:
    """The azimuth of the wall of `windows`, with depth and gap of each overhang that the file has.

    Raises
    ------
    ValueError
        When none of the sightings is of these windows, or none of the windows seen has an overhang.
    """
    first = estimate_facing(site, sightings, windows)
    of_wall = distinct(sighting for sighting in sightings if sighting.window in windows)
    sighted = [
        SightedWindow(site, site.window(name), part)
        for name in windows
        if (part := [sighting for sighting in of_wall if sighting.window == name])
    ]
    roofed = [part.window for part in sighted if part.window.overhang is not None]
    if not roofed:
        raise ValueError(
            "none of these windows has an overhang in the site file; give a first guess"
        )
    problem = _Problem(sighted, roofed, first)
    guesses, weights = problem.solved()
    mean = weights @ guesses
    sd = np.sqrt(weights @ (guesses - mean) ** 2)
    roofs = tuple(
        Roof(window.name, *map(float, (mean[at], sd[at], mean[at + 1], sd[at + 1])))
        for window, at in zip(roofed, range(1, len(mean), 2), strict=True)
    )
    facing = replace(first, azimuth=float(mean[0] % 360.0), sd=float(sd[0]))
    return RoofedFacing(facing, roofs, bool(1.0 / (weights**2).sum() >= LEAST_EFFECTIVE))


class _Problem:
    """Guesses are rows: azimuth, then depth and gap of each roofed window."""

    def __init__(
        self, sighted: Sequence[SightedWindow], roofed: Sequence[Window], first: Facing
    ) -> None:
        self._sighted, self._roofed = sighted, [window.name for window in roofed]
        self._seen = [sighting for part in sighted for sighting in part.sightings]
        self._azimuth, self._azimuth_sd = first.azimuth, max(4.0, 2.0 * first.sd)
        roofs = [window.overhang for window in roofed if window.overhang is not None]
        self._depths = np.array([roof.depth for roof in roofs])
        self._gaps = np.array([roof.gap for roof in roofs])
        self._random = np.random.default_rng(20270621)

    def solved(self) -> tuple[Floats, Floats]:
        """Guesses of the last rounds, and their weights, which add up to 1."""
        guesses = self._first_guesses()
        log_proposal = self._log_prior(guesses)
        rounds: list[tuple[Floats, Floats]] = []
        for number, say in enumerate(ROUNDS):
            log_fit = self._log_fit(guesses)
            log_prior = self._log_prior(guesses)
            log_weight = log_prior + say * log_fit - log_proposal
            if say == 1.0:
                rounds.append((guesses, log_weight))
            weight = _normalised(log_weight)
            if number + 1 < len(ROUNDS):
                guesses, log_proposal = self._next_guesses(guesses, weight)
        all_guesses = np.concatenate([part for part, _ in rounds])
        return all_guesses, _normalised(np.concatenate([part for _, part in rounds]))

    def _first_guesses(self) -> Floats:
        count = len(self._depths)
        normal = self._random.normal(size=(DRAWS, 1 + 2 * count))
        guesses = np.empty_like(normal)
        guesses[:, 0] = self._azimuth + self._azimuth_sd * normal[:, 0]
        guesses[:, 1::2] = self._depths * np.exp(DEPTH_SD * normal[:, 1::2])
        guesses[:, 2::2] = np.abs(self._gaps + GAP_SD * normal[:, 2::2])
        return guesses

    def _log_prior(self, guesses: Floats) -> Floats:
        away = turn(guesses[:, 0] - self._azimuth) / self._azimuth_sd
        depths, gaps = np.maximum(guesses[:, 1::2], 1e-6), guesses[:, 2::2]
        depth_away = np.log(depths / self._depths) / DEPTH_SD
        # The gap's bell curve is folded at 0, as a gap cannot be less.
        folded = np.logaddexp(
            -0.5 * ((gaps - self._gaps) / GAP_SD) ** 2, -0.5 * ((gaps + self._gaps) / GAP_SD) ** 2
        )
        log = -0.5 * away**2 - (0.5 * depth_away**2 + np.log(depths)).sum(axis=1)
        log += folded.sum(axis=1)
        possible = (guesses[:, 1::2] > 0.01).all(axis=1) & (gaps >= 0.0).all(axis=1)
        return np.where(possible, log, -np.inf)

    def _next_guesses(self, guesses: Floats, weight: Floats) -> tuple[Floats, Floats]:
        """Guesses from a bell curve about the good ones, a few far out; with their log density."""
        mean = weight @ guesses
        spread = (guesses - mean).T @ ((guesses - mean) * weight[:, None])
        floor = np.diag([0.05, *([0.01] * (len(mean) - 1))]) ** 2
        narrow = np.linalg.cholesky(1.5 * spread + floor)
        wide = np.linalg.cholesky(9.0 * spread + floor)
        far_out = self._random.random(DRAWS) < 0.2
        normal = self._random.normal(size=(DRAWS, len(mean)))
        drawn = mean + np.where(far_out[:, None], normal @ wide.T, normal @ narrow.T)
        near, far = (_log_normal(drawn - mean, root) for root in (narrow, wide))
        return drawn, np.logaddexp(np.log(0.8) + near, np.log(0.2) + far)

    def _log_fit(self, guesses: Floats) -> Floats:
        possible = (guesses[:, 1::2] > 0.01).all(axis=1) & (guesses[:, 2::2] >= 0.0).all(axis=1)
        fits = np.full(len(guesses), -np.inf)
        cases = [self._expected(guess) for guess in guesses[possible]]
        if cases:
            log = log_likelihood(self._seen, np.stack(cases, axis=1)) + LOG_FACTOR_PRIOR
            fits[possible] = np.logaddexp.reduce(log, axis=1)
        return fits

    def _expected(self, guess: Floats) -> Floats:
        """What the sightings should read by a guess: shape (n, 4)."""
        expected = []
        for part in self._sighted:
            change: dict[str, object] = {"azimuth": float(guess[0] % 360.0)}
            roof = part.window.overhang
            if roof is not None:
                at = 1 + 2 * self._roofed.index(part.window.name)
                change["overhang"] = roofed_like(roof, float(guess[at]), float(guess[at + 1]))
            expected.append(part.expected(part.window.model_copy(update=change)))
        return np.concatenate(expected)


def roofed_like(roof: Overhang, depth: float, gap: float) -> Overhang:
    """An overhang with another depth and gap, in metres."""
    return roof.model_copy(update={"depth": depth, "gap": gap})


def _log_normal(away: Floats, root: Floats) -> Floats:
    scaled = np.linalg.solve(root, away.T)
    size = np.log(np.diag(root)).sum() + 0.5 * len(root) * np.log(2 * np.pi)
    return np.asarray(-0.5 * (scaled**2).sum(axis=0) - size)


def _normalised(log_weight: Floats) -> Floats:
    weight = np.exp(log_weight - log_weight.max())
    return np.asarray(weight / weight.sum())
