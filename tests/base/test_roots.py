"""Many roots at once, of functions made to have theirs at known places."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from suncover.base.roots import CLOSE, find_changes, find_roots

SHAPES = {
    "straight": lambda x, c: x - c,
    "kinked": lambda x, c: min(x - c, 40.0 * (x - c)),
    "kinked the other way": lambda x, c: max(x - c, 40.0 * (x - c)),
    "flat at the root": lambda x, c: (x - c) ** 3,
    "steep": lambda x, c: np.expm1((x - c) / 30.0),
    "falling": lambda x, c: c - x,
}


@pytest.mark.parametrize("shape", SHAPES)
@given(st.lists(st.floats(1.0, 1199.0), min_size=1, max_size=12))
def test_finds_them_all(shape, centers):
    one = SHAPES[shape]

    def value(x: np.ndarray, which: np.ndarray) -> np.ndarray:
        return np.array([one(a, centers[k]) for a, k in zip(x, which, strict=True)])

    low, high = np.zeros(len(centers)), np.full(len(centers), 1200.0)
    found = find_roots(value, low, high)
    assert np.abs(found - centers).max() <= CLOSE


LEAPS = {
    "leaps above": lambda x, c: x - c if x < c else 0.7,
    "leaps below": lambda x, c: 0.01 * (x - c) ** 2 + x - c if x > c else -0.7,
    "leaps on both sides": lambda x, c: -0.3 if x < c else 0.7,
}


@pytest.mark.parametrize("shape", [*SHAPES, *LEAPS])
@given(st.lists(st.floats(1.0, 1199.0), min_size=1, max_size=12))
def test_finds_changes(shape, centers):
    """As closely as is asked for, with a bend or a leap there as well."""
    curve, close = (SHAPES | LEAPS)[shape], 1e-4

    def value(x: np.ndarray, which: np.ndarray) -> np.ndarray:
        return np.array([curve(a, centers[k]) for a, k in zip(x, which, strict=True)])

    low, high = np.zeros(len(centers)), np.full(len(centers), 1200.0)
    every = np.arange(len(centers))
    ends = value(low, every), value(high, every)
    found = find_changes(value, low, high, close, ends)
    assert np.abs(found - centers).max() <= close


def test_no_brackets_no_roots():
    nothing = np.zeros(0)
    assert find_roots(lambda x, _: x, nothing, nothing).shape == (0,)
    ends = nothing, nothing
    assert find_changes(lambda x, _: x, nothing, nothing, CLOSE, ends).shape == (0,)
