"""A straight line through what days show, of which a few are strange.

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


class LineFit(NamedTuple):
    """The parameters' best values and their covariance, and the days' scatter; `weight` is the log
    of the likelihood. Of each day what is `left`, and how much it has to `say`, 0 to 1.
    """

    guess: Floats
    spread: Floats
    scatter: float
    weight: float
    left: Floats
    say: Floats


def _log_t(away: Floats | float) -> Floats:
    """Log of Student's t, but for a constant."""
    return np.asarray(-(FREEDOM + 1.0) / 2.0 * np.log1p(np.square(away) / FREEDOM))


def fit_line(
    model: Floats, late: Floats, known: NDArray[np.bool_], prior: Floats, own: float
) -> LineFit:
    """What a straight line in some parameters makes of edges that come `late` (n,), in minutes.

    `model` (n, p) has what each parameter adds to each edge, `prior` (p,) one over the variance
    that it has beforehand, and `own` is an edge's standard deviation by the readings. Edges that
    are not `known` count as strange, and show no more. Student's t is had by weights that are found
    in turns with the parameters and the scatter.
    """
    count = int(known.sum())
    rows, there = model[known], late[known]
    scatter, left = 2.0 * own, there - np.median(there)
    say = spread = guess = np.zeros(0)
    for _ in range(TURNS):
        say = np.minimum((FREEDOM + 1.0) / (FREEDOM + (left / scatter) ** 2), 1.0)
        weighed = rows.T * say / scatter**2
        spread = np.asarray(np.linalg.inv(weighed @ rows + np.diag(prior)), dtype=np.float64)
        guess = spread @ (weighed @ there)
        left = there - rows @ guess
        square = SCATTER_DAYS * own**2 + float((say * left) @ left)
        scatter = float(np.sqrt(square / (SCATTER_DAYS + count)))
    weight = (
        float(_log_t(left / scatter).sum() + _log_t(LONE) * (len(late) - count))
        - (count + SCATTER_DAYS) * np.log(scatter)
        - 0.5 * SCATTER_DAYS * (own / scatter) ** 2
        - 0.5 * float(guess @ (prior * guess))
        + 0.5 * float(np.linalg.slogdet(spread)[1] + np.log(prior).sum())
    )
    off, trusted = np.full(len(late), np.nan), np.zeros(len(late))
    off[known], trusted[known] = left, say
    return LineFit(guess, spread, scatter, float(weight), off, trusted)
