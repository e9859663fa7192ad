"""Roots of many functions of one variable at once, each in its own bracket."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

# How closely a root is known unless the caller says, in the units of the bracket, and after how
# many rounds at the most.
CLOSE, MOST_ROUNDS = 0.02, 60
# Brackets in which several points are tried at once.
FEW = 400


def find_roots(
    value: Callable[[Floats, Ints], Floats],
    low: Floats,
    high: Floats,
    close: float = CLOSE,
    values: tuple[Floats, Floats] | None = None,
) -> Floats:
    """Where `value` crosses zero between each `low` and `high`, once: to within `close`.

    `value` takes points and which of the brackets they are for; it must have different signs at the
    two ends of each, `values` if they are known. It need not be smooth. Shape (n,) all through.

    Inverse quadratic interpolation where that is safe and bisection elsewhere: T. R. Chandrupatla,
    A new hybrid quadratic/bisection algorithm for finding the zero of a nonlinear function without
    using derivatives, Advances in Engineering Software 28 (1997), 145-149 (from memory).
    """
    root = low.copy()
    brackets = np.arange(len(low))
    # x1 is the newest point, x2 the other end of the bracket, x3 the end before.
    x1, x2, x3 = high, low, low
    f2, f1 = values or (value(low, brackets), value(high, brackets))
    # Even functions are tried first where a straight line would cross zero.
    f3, share = (
        f2,
        np.full(len(low), 0.5) if values is None else np.clip(f1 / (f1 - f2), 0.02, 0.98),
    )
    for _ in range(MOST_ROUNDS):
        point = x1 + share * (x2 - x1)
        at_point = value(point, brackets)
        same_sign = (at_point > 0.0) == (f1 > 0.0)
        x3, f3 = np.where(same_sign, x1, x2), np.where(same_sign, f1, f2)
        x2, f2 = np.where(same_sign, x2, x1), np.where(same_sign, f2, f1)
        x1, f1 = point, at_point
        width = np.abs(x2 - x1)
        wide = (width > close) & (f1 != 0.0)
        nearer = np.where(np.abs(f1) < np.abs(f2), x1, x2)
        root[brackets[~wide]] = nearer[~wide]
        if not wide.any():
            return root
        brackets, width = brackets[wide], width[wide]
        x1, x2, x3, f1, f2, f3 = (values[wide] for values in (x1, x2, x3, f1, f2, f3))
        share = _next_share((x1, x2, x3), (f1, f2, f3), close / 2.0 / width)
    root[brackets] = (x1 + x2) / 2.0
    return root


def _next_share(
    x: tuple[Floats, Floats, Floats], f: tuple[Floats, Floats, Floats], least: Floats
) -> Floats:
    """The next point, as a share of the way from x1 to x2; no nearer than `least` to either."""
    with np.errstate(divide="ignore", invalid="ignore"):
        xi = (x[0] - x[1]) / (x[2] - x[1])
        phi = (f[0] - f[1]) / (f[2] - f[1])
        safe = (1.0 - np.sqrt(1.0 - xi) < phi) & (phi < np.sqrt(xi))
        quadratic = f[0] / (f[1] - f[0]) * f[2] / (f[1] - f[2]) + (x[2] - x[0]) / (x[1] - x[0]) * f[
            0
        ] / (f[2] - f[0]) * f[1] / (f[2] - f[1])
    share = np.where(safe & np.isfinite(quadratic), quadratic, 0.5)
    return np.clip(share, least, 1.0 - least)


def find_changes(
    value: Callable[[Floats, Ints], Floats],
    low: Floats,
    high: Floats,
    close: float,
    values: tuple[Floats, Floats],
) -> Floats:
    """The same for values that at least on one side go evenly to zero, with a bend or a leap there,
    and are known at both ends of the brackets. Where they go evenly to zero on both sides, the
    change is known far closer, by the line through both ends of the last bracket.

    On either side of the change, the last two points lead to where it is; the side where they do so
    from nearer to zero is believed, and what is tried lies just past that, to bring the farther end
    near. A bracket that is not halved in two rounds is cut evenly, and each is after half of all
    rounds.
    """
    root = low.copy()
    which = np.arange(len(low))
    # Both ends of the brackets, and beyond each of them the last that was one.
    x, f = np.full((4, len(low)), np.nan), np.full((4, len(low)), np.nan)
    x[1], x[2], (f[1], f[2]) = low, high, values
    widths = np.full((2, len(low)), np.inf)
    points = (low + np.clip(f[1] / (f[1] - f[2]), 0.02, 0.98) * (high - low))[None]
    for number in range(MOST_ROUNDS):
        index = np.tile(which, len(points))
        x, f = _bracket(x, f, points, value(points.ravel(), index).reshape(points.shape))
        width = x[2] - x[1]
        zero = (f[1:3] == 0.0).any(axis=0)
        ended = (width <= close) | zero
        root[which[ended]] = (x[1] + f[1] / (f[1] - f[2]) * width)[ended]
        if ended.all():
            return root
        slow = (width > widths[0] / 2.0) | (number > MOST_ROUNDS // 2)
        widths = np.stack([widths[1], width])
        open_still = ~ended
        which, x, f = which[open_still], x[:, open_still], f[:, open_still]
        widths, slow = widths[:, open_still], slow[open_still]
        points = _next_points(x, _lead(x, f), slow, close / 4.0)
    root[which] = (x[1] + x[2]) / 2.0
    return root


def _bracket(x: Floats, f: Floats, points: Floats, values: Floats) -> tuple[Floats, Floats]:
    """The change between `x` (4, n), with values f, and some points (k, n) within, in order: what
    is before it and after, two of each.
    """
    x, f = (np.concatenate([old[:2], new, old[2:]]) for old, new in ((x, points), (f, values)))
    changed = (f[1:-1] > 0.0) != (f[1] > 0.0)
    # If at no point, then at the end.
    changed[-1] = True
    four = changed.argmax(axis=0) + np.arange(-1, 3)[:, None]
    return np.take_along_axis(x, four, axis=0), np.take_along_axis(f, four, axis=0)


def _lead(x: Floats, f: Floats) -> Floats:
    """Where the two points on one side of the change lead: the side that is nearer to zero, if it
    does not lead far beyond an end, else the other; else the middle.
    """
    here, width = np.arange(x.shape[1]), x[2] - x[1]
    ends, beyond = (slice(1, 3), slice(0, 4, 3))
    with np.errstate(divide="ignore", invalid="ignore"):
        led = x[ends] - f[ends] * (x[ends] - x[beyond]) / (f[ends] - f[beyond])
    within = (led > x[1] - width / 8.0) & (led < x[2] + width / 8.0)
    nearer = np.abs(f[ends]).argmin(axis=0)
    side = np.where(within[nearer, here], nearer, 1 - nearer)
    return np.asarray(np.where(within[side, here], led[side, here], (x[1] + x[2]) / 2.0))


def _next_points(x: Floats, led: Floats, slow: Bools, past: float) -> Floats:
    """What is tried next, (k, n): a place `past` that to which it is `led`, towards the farther
    end, or close to an end, if it is led beyond that; the middle of what is `slow`.

    Where few are left, a round costs the same for several points: so the places about that, and
    the quarters.
    """
    width, middle = x[2] - x[1], (x[1] + x[2]) / 2.0
    tried = led + np.where(led < middle, past, -past)
    tried = np.where(led >= x[2], x[2] - width / 16.0, tried)
    tried = np.where(led <= x[1], x[1] + width / 16.0, tried)
    tried = np.where(slow, middle, np.clip(tried, x[1] + past, x[2] - past))
    if len(led) > FEW:
        return tried[None]
    about = np.stack([tried, np.clip(2.0 * led - tried, x[1] + past, x[2] - past), middle])
    quarters = x[1] + width * np.array([0.25, 0.5, 0.75])[:, None]
    return np.asarray(np.sort(np.where(slow, quarters, about), axis=0))
