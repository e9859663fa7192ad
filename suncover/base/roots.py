"""Roots of many functions of one variable at once, each in its own bracket."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

# How closely a root is known unless the caller says, in the units of the bracket, and after how
# many rounds at the most.
CLOSE, MOST_ROUNDS = 0.02, 60


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
    near. Bisection where that does not halve a bracket in two rounds, and after half of all rounds.
    """
    root = low.copy()
    which = np.arange(len(low))
    x, f, older = np.stack([low, high]), np.stack(values), np.full((2, 2, len(low)), np.nan)
    widths = np.full((2, len(low)), np.inf)
    point = low + np.clip(f[0] / (f[0] - f[1]), 0.02, 0.98) * (high - low)
    for number in range(MOST_ROUNDS):
        at_point = value(point, which)
        side = ((at_point > 0.0) == (f[1] > 0.0)).astype(np.intp)
        here = np.arange(len(which))
        older[:, side, here] = x[side, here], f[side, here]
        x[side, here], f[side, here] = point, at_point
        width = x[1] - x[0]
        wide = (width > close) & (at_point != 0.0)
        crossing = x[0] + f[0] / (f[0] - f[1]) * width
        root[which[~wide]] = crossing[~wide]
        if not wide.any():
            return root
        nearer = np.abs(f).argmin(axis=0)
        slow = (width > widths[0] / 2.0) | (number > MOST_ROUNDS // 2)
        widths = np.stack([widths[1], width])
        which, x, f, older = which[wide], x[:, wide], f[:, wide], older[..., wide]
        widths, slow, nearer = widths[:, wide], slow[wide], nearer[wide]
        point = _next_point(x, f, older, nearer, close / 4.0)
        point = np.where(slow, (x[0] + x[1]) / 2.0, point)
    root[which] = (x[0] + x[1]) / 2.0
    return root


def _next_point(x: Floats, f: Floats, older: Floats, nearer: Ints, past: float) -> Floats:
    """Where the last two points on the `nearer` of both sides lead, and `past` that, towards the
    farther end; if they lead to little beyond an end, a place close to that; else the middle.
    """
    here, width = np.arange(len(nearer)), x[1] - x[0]
    with np.errstate(divide="ignore", invalid="ignore"):
        led = x - f * (x - older[0]) / (f - older[1])
    within = (led > x[0] - width / 8.0) & (led < x[1] + width / 8.0)
    side = np.where(within[nearer, here], nearer, 1 - nearer)
    middle = (x[0] + x[1]) / 2.0
    led = np.where(within[side, here], led[side, here], middle)
    tried = led + np.where(led < middle, past, -past)
    tried = np.where(led >= x[1], x[1] - width / 16.0, tried)
    tried = np.where(led <= x[0], x[0] + width / 16.0, tried)
    return np.asarray(np.clip(tried, x[0] + past, x[1] - past))
