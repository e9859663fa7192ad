"""The parts of the sweep, each against numpy or the definition it goes back to."""

from __future__ import annotations

from datetime import UTC, datetime

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from random_windows import random_window

from suncover.facade.conditions import SkyQuarters, is_simple
from suncover.facade.exposure import glass_of
from suncover.facade.frame import window_axes
from suncover.facade.search.panes import Panes, products_of
from suncover.facade.search.single_days import _zeros
from suncover.facade.search.sun_grid import SLICE, SPEED, STRIDE, motion_slack, slope_slack
from suncover.sun.position import DAY, Observer, sun_directions

NEW_YEAR = datetime(2026, 1, 1, tzinfo=UTC).timestamp()


def some_panes(rng: np.random.Generator) -> tuple[Panes, object]:
    while True:
        window = random_window(rng)
        if is_simple(glass_of(window)):
            axes = window_axes(window.azimuth, window.tilt)
            return Panes.of([axes], [SkyQuarters(glass_of(window))]), window


@given(st.integers(0, 2**32 - 1))
def test_forms_are_no_steeper_than_a_component_or_a_product(seed):
    """Second derivatives along great circles: 1 and 2 radian⁻² at the most, by the largest
    eigenvalue that numpy finds.
    """
    rng = np.random.default_rng(seed)
    panes, _ = some_panes(rng)
    for forms in panes.forms:
        assert np.linalg.norm(forms.linear, axis=-1).max() <= 1 + 1e-12
        for xx, yy, zz, xy, xz, yz in forms.products[:, 0]:
            matrix = np.array([[xx, xy / 2, xz / 2], [xy / 2, yy, yz / 2], [xz / 2, yz / 2, zz]])
            assert 2 * np.abs(np.linalg.eigvalsh(matrix)).max() == pytest.approx(1.0, abs=1e-9)


@given(
    st.lists(st.floats(-2, 2), min_size=4, max_size=4).filter(
        lambda terms: min(abs(term) for term in terms) > 1e-6
    )
)
def test_zeros_of_cubics_as_numpy_finds_them(terms):
    step = 600.0
    found, _ = _zeros(np.array(terms)[:, None], np.array([step]))
    roots = np.roots(terms[::-1])
    true = np.sort(roots[np.abs(roots.imag) < 1e-12].real)
    true = true[(true > 1e-3) & (true < 1 - 1e-3)]
    # Double roots may be found or not.
    gaps = np.diff(true, prepend=-1.0, append=2.0)
    apart = (gaps[:-1] > 1e-3) & (gaps[1:] > 1e-3)
    for root in true[apart]:
        assert np.abs(found - root * step).min(initial=np.inf) < 0.05


@pytest.mark.parametrize("latitude", [-90.0, -66.0, -35.0, 0.0, 23.4, 47.0, 60.0, 80.0])
def test_cells_bound_what_the_sun_does_in_them(latitude):
    """Components and products of the direction at random instants of cells of the grid: their
    values beside those at the corners, their slopes beside those along the edges.
    """
    rng = np.random.default_rng(3)
    here = Observer(latitude, 11.0)
    origin = NEW_YEAR + rng.integers(0, 358, 3000) * DAY + rng.uniform(0, DAY, 3000)

    def forms(days, seconds):
        sun = sun_directions(origin + days * DAY + seconds, here, smooth=True)
        return np.concatenate([sun, products_of(sun)])

    corners = np.stack([forms(day, at) for day in (0, STRIDE) for at in (0.0, SLICE)])
    up = (corners[:, 2] > 0.0).all(axis=0)
    height = corners[:, 2].min(axis=0)
    slack, wander = motion_slack(height, SLICE, STRIDE), slope_slack(height, SLICE, STRIDE)
    degree = np.repeat([0, 1], [3, 6])
    loose, free = np.stack(slack)[degree], np.stack(wander)[degree]
    early, late = corners[1] - corners[0], corners[3] - corners[2]
    for _ in range(12):
        day, at = rng.integers(0, STRIDE + 1, 3000), rng.uniform(1.0, SLICE - 1.0, 3000)
        inside = forms(day, at)
        over = np.maximum(inside - corners.max(axis=0), corners.min(axis=0) - inside)
        assert (over - loose)[:, up].max() <= 0.0
        slope = (forms(day, at + 1.0) - forms(day, at - 1.0)) / 2.0 * SLICE
        astray = np.maximum(slope - np.maximum(early, late), np.minimum(early, late) - slope)
        assert (astray - free)[:, up].max() <= 0.0
    assert up.sum() > 500
    assert SLICE * SPEED < 0.09
