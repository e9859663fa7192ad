"""Straight lines through what days show, of which a few are strange.

Linear Bayesian regression with Student's t: A. Gelman and others, Bayesian Data Analysis, 3rd
edition, chapters 14 and 17.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

SCATTER_DAYS = 3.0  # days that the readings' own uncertainty counts for, beside what the days show
FREEDOM = 4.0  # degrees of freedom of Student's t
TURNS = 12  # of weights and parameters
LONE = 8.0  # standard deviations of a day, for one that is not known at all


class LineFits(NamedTuple):
    """Of k lines the parameters' best values (k, p) and their covariances, and the days' scatter
    (k,); `weight` is the log of the likelihood. Of each day what is `left` (k, n), and how much it
    has to `say`, 0 to 1.
    """

    guess: Floats
    spread: Floats
    scatter: Floats
    weight: Floats
    left: Floats
    say: Floats


def log_t(away: Floats | float) -> Floats:
    """Log of Student's t, but for a constant."""
    return np.asarray(-(FREEDOM + 1.0) / 2.0 * np.log1p(np.square(away) / FREEDOM))


def fit_lines(
    model: Floats, late: Floats, known: NDArray[np.bool_], prior: Floats, own: float
) -> LineFits:
    """What each of k straight lines in some parameters makes of edges that come `late` (k, n), in
    minutes.

    `model` (k, n, p) has what each parameter adds to each edge, `prior` (k, p) one over the
    variance that it has beforehand, and `own` is an edge's standard deviation by the readings.
    Edges that are not `known` (k, n; some of each line are) count as strange, and show no more.
    Student's t is had by weights that are found in turns with the parameters and the scatter.
    """
    count = known.sum(axis=1)
    rows, there = np.where(known[..., None], model, 0.0), np.where(known, late, 0.0)
    across, diagonal = rows.swapaxes(1, 2), prior[:, :, None] * np.eye(prior.shape[1])
    left = there - np.nanmedian(np.where(known, late, np.nan), axis=1)[:, None]
    scatter = np.full(len(late), 2.0 * own)
    say, guess, spread = known.astype(np.float64), np.zeros(prior.shape), diagonal
    for _ in range(TURNS):
        away = left / scatter[:, None]
        say = np.where(known, np.minimum((FREEDOM + 1.0) / (FREEDOM + away**2), 1.0), 0.0)
        weighed = across * (say / scatter[:, None] ** 2)[:, None, :]
        spread = np.asarray(np.linalg.inv(weighed @ rows + diagonal), dtype=np.float64)
        guess = (spread @ (weighed @ there[..., None]))[..., 0]
        left = there - (rows @ guess[..., None])[..., 0]
        square = SCATTER_DAYS * own**2 + (say * left**2).sum(axis=1)
        scatter = np.sqrt(square / (SCATTER_DAYS + count))
    weight = (
        np.where(known, log_t(left / scatter[:, None]), log_t(LONE)).sum(axis=1)
        - (count + SCATTER_DAYS) * np.log(scatter)
        - 0.5 * SCATTER_DAYS * (own / scatter) ** 2
        - 0.5 * (prior * guess**2).sum(axis=1)
        + 0.5 * (np.linalg.slogdet(spread)[1] + np.log(prior).sum(axis=1))
    )
    return LineFits(guess, spread, scatter, weight, np.where(known, left, np.nan), say)
