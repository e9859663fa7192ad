"""Sun on glass on single days, where it grazes an edge: conditions as cubics in time.

Over 20 minutes the path of a sun well up is a cubic to 1e-6 radian, and so is every condition,
which four instants therefore tell in full; nearer to the horizon, where refraction bends the path
faster, 10 or 5 minutes are taken. Between the zeros of all conditions that matter nothing changes,
and one question settles it.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from suncover.roots import find_roots
from suncover.sun import Observer, sun_directions
from suncover.sweep.panes import Panes, SkyForms
from suncover.sweep.sun_grid import SLICE, motion_slack

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]
Found = list[tuple[Floats, Ints]]

# Into how many parts a span is cut by the least height (its sine) of the sun: between which
# heights. So no part strays from a cubic by more than the sun moves in 0.1 s.
PARTS = ((-1.1, 0.09, 4), (0.09, 0.17, 2), (0.17, 1.1, 1))
# From values at 0, 1/3, 2/3 and 1 to the coefficients of 1, x, x², x³.
CUBIC = np.array(
    [
        [1.0, 0.0, 0.0, 0.0],
        [-5.5, 9.0, -4.5, 1.0],
        [9.0, -22.5, 18.0, -4.5],
        [-4.5, 13.5, -13.5, 4.5],
    ]
)


def lit_within(
    observer: Observer, panes: Panes, begin: Floats, owner: Ints, height: Floats
) -> tuple[Floats, Ints]:
    """When some of each glass is in sun within the spans of `SLICE` seconds from `begin` (n,), in
    which the sun stands no lower than `height` (its sine).

    Intervals (k, 2), unix seconds, unsorted, those that touch not yet joined; and the number (k,)
    of the glass each belongs to. What they say holds while the sun is up.
    """
    found: Found = [(np.zeros((0, 2)), np.zeros(0, dtype=np.int64))]
    for least, most, parts in PARTS:
        some = (height >= least) & (height < most)
        part = SLICE / parts
        first = (begin[some][:, None] + np.arange(parts) * part).ravel()
        found += _lit(observer, panes, first, np.repeat(owner[some], parts), part)
    return np.concatenate([lit for lit, _ in found]), np.concatenate([who for _, who in found])


def _lit(observer: Observer, panes: Panes, begin: Floats, owner: Ints, step: float) -> Found:
    """What is lit within spans of `step` seconds, by quarter of the sky."""
    if len(begin) == 0:
        return []
    sun = sun_directions(begin + np.arange(4.0)[:, None] / 3.0 * step, observer, smooth=True)
    slack = np.stack(motion_slack(sun[2].min(axis=0), step, 0))
    found: Found = []
    right, up, out = panes.local(sun, owner)
    sides = (right.max(axis=0), -right.min(axis=0)), (up.max(axis=0), -up.min(axis=0))
    for number, forms in enumerate(panes.forms):
        least = np.minimum(sides[0][number % 2], sides[1][number // 2])
        some = np.flatnonzero(np.minimum(least, out.max(axis=0)) + slack[0] > 0.0)
        if len(some) == 0:
            continue
        values = forms.values(owner[some], sun[:, :, some])
        lit, span = _lit_by(forms, values, slack[:, some], step)
        found.append((begin[some[span]][:, None] + lit, owner[some[span]]))
    return found


def _lit_by(forms: SkyForms, values: Floats, slack: Floats, step: float) -> tuple[Floats, Ints]:
    """What is lit in m spans by forms of `values` (k, 4, m): intervals (n, 2) in seconds from the
    start of the span (n,) each belongs to.
    """
    loose = slack[forms.degrees]
    low, high = values.min(axis=1) - loose, values.max(axis=1) + loose
    form, span = np.nonzero(forms.that_matter(low, high))
    terms = CUBIC @ values
    at, which = _zeros(terms[form, :, span].T, step)
    every = np.arange(values.shape[2])
    cut = np.concatenate([at, np.zeros(len(every)), np.full(len(every), step)])
    owner = np.concatenate([span[which], every, every])
    order = np.lexsort((cut, owner))
    cut, owner = cut[order], owner[order]
    some = np.flatnonzero((owner[1:] == owner[:-1]) & (cut[1:] > cut[:-1]))
    begin, end, owner = cut[some], cut[some + 1], owner[some]
    x = (begin + end) / 2.0 / step
    a, b, c, d = terms[:, :, owner].transpose(1, 0, 2)
    lit = forms.lit_in_quarter((a + x * (b + x * (c + x * d))) > 0.0)
    return np.stack([begin[lit], end[lit]], axis=1), owner[lit]


def _zeros(terms: Floats, step: float) -> tuple[Floats, Ints]:
    """Where cubics in x = seconds / `step` with coefficients (4, m) cross zero between 0 and 1: in
    seconds, and of which cubic.
    """
    a, b, c, d = terms

    def value(seconds: Floats, which: Ints) -> Floats:
        x = seconds / step
        return np.asarray(a[which] + x * (b[which] + x * (c[which] + x * d[which])))

    # Between its turns a cubic crosses zero once at the most.
    with np.errstate(divide="ignore", invalid="ignore"):
        half = -(c + np.copysign(np.sqrt(c * c - 3.0 * b * d), c))
        turns = np.stack([half / (3.0 * d), b / half])
    turns = np.sort(
        np.clip(np.nan_to_num(turns, nan=0.0, posinf=0.0, neginf=0.0), 0.0, 1.0), axis=0
    )
    edge = np.zeros((1, len(a)))
    ends = np.concatenate([edge, turns, edge + 1.0]) * step
    every = np.arange(len(a))
    above = np.stack([value(each, every) > 0.0 for each in ends])
    part, which = np.nonzero(above[1:] != above[:-1])
    low, high = ends[part, which], ends[part + 1, which]
    return find_roots(lambda seconds, some: value(seconds, which[some]), low, high), which
