"""How much shadows may change on the way: against their areas as polygons, along the way."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from random_surroundings import with_house_and_tree
from random_windows import random_suns, random_window

from suncover.facade.exposure import glass_of
from suncover.facade.frame import window_axes
from suncover.facade.glazed import Glass
from suncover.facade.yard.cones import Path
from suncover.facade.yard.drift import Sway, swept
from suncover.facade.yard.outlines import Outlines
from suncover.facade.yard.solid_arrays import flat
from suncover.facade.yard.solids import Prism
from suncover.site.model import Window

seeds = st.integers(0, 2**32 - 1)
COUNT = 30


def moves(rng: np.random.Generator, window: Window, suns: np.ndarray) -> tuple[Path, np.ndarray]:
    """Paths from `suns`, and directions in the window's axes on them, off by up to the slack."""
    local = window_axes(window.azimuth, window.tilt) @ suns
    size = local.shape[1]
    step = 10.0 ** rng.uniform(-4, -1.5, size) * local[2]
    ends = np.stack([local, local + step * rng.normal(size=(3, size))], axis=1)
    slack = step * rng.choice([0.0, 0.2], size)
    share = np.linspace(0.0, 1.0, 7)
    between = ends[:, 0, :, None] * (1 - share) + ends[:, 1, :, None] * share
    off = rng.normal(size=between.shape)
    off *= (rng.random(between.shape[1:]) < 0.5) / np.linalg.norm(off, axis=0)
    return Path(ends, slack), between + slack[:, None] * off


@settings(max_examples=20)
@given(seeds)
def test_no_shadow_takes_or_gives_more(seed):
    rng = np.random.default_rng(seed)
    window, around, suns = with_house_and_tree(rng, COUNT)
    glass = glass_of(window)
    path, between = moves(rng, window, suns)
    front = np.flatnonzero(between[2].min(axis=-1) > 1e-4)
    sway, between = Sway.along(path.take(front)), between[:, front]
    p, q = between[0] / between[2], between[1] / between[2]
    assert (p >= sway.p_low[:, None] - 1e-9).all()
    assert (p <= sway.p_high[:, None] + 1e-9).all()
    assert (q >= sway.q_low[:, None] - 1e-9).all()
    assert (q <= sway.q_high[:, None] + 1e-9).all()
    for solid in [*around.prisms, *(tree.crown for tree in around.trees)]:
        outlines = Outlines(glass, p.ravel(), q.ravel())
        outlines.hide(outlines.hull(solid))
        free = outlines.free_area().reshape(p.shape)
        most = swept(solid, glass, sway)
        # Polygons of crowns are drawn to 0.0001 of their size.
        slack = 0.0 if isinstance(solid, Prism) else 1e-4 * (1.0 + solid.across * glass.height)
        assert (np.ptp(free, axis=1) <= most + slack + 1e-9).all()


@settings(max_examples=20)
@given(seeds)
def test_no_plate_takes_or_gives_more(seed):
    rng = np.random.default_rng(seed)
    window = random_window(rng)
    glass = glass_of(window)
    path, between = moves(rng, window, random_suns(rng, window, COUNT))
    front = np.flatnonzero(between[2].min(axis=-1) > 1e-4)
    sway = Sway.along(path.take(front))
    p, q = between[0, front] / between[2, front], between[1, front] / between[2, front]
    most = glass.reveal * sway.swept(glass.width, glass.height)
    for plate in glass.plates:
        most = most + swept(flat(plate), glass, sway)
    free = Outlines(glass, p.ravel(), q.ravel()).free_area().reshape(p.shape)
    assert (np.ptp(free, axis=1) <= most + 1e-9).all()


def test_what_is_not_on_the_glass_sweeps_nothing():
    """A slab wholly before the glass and wider than it, and one far aside."""
    glass = Glass(1.0, 1.0)
    still = Path(np.array([[[0.0], [1e-3]], [[0.0], [1e-3]], [[1.0], [1.0]]]), np.zeros(1))
    sway = Sway.along(still)
    square = np.array([[-1, -1], [2, -1], [2, 2], [-1, 2]], dtype=float)
    for aside in (0.0, 30.0):
        slab = np.array([[x + aside, y, z] for z in (4.0, 5.0) for x, y in square])
        edges = [[n, (n + 1) % 4] for n in range(4)] + [[n, n + 4] for n in range(4)]
        edges += [[n + 4, (n + 1) % 4 + 4] for n in range(4)]
        assert swept(Prism(slab, np.array(edges)), glass, sway).tolist() == [0.0]
    # Half before the glass: of its upright edges at x = 0.5, 4 m and 5 m out, each sweeps its depth
    # times the move of 0.001 times the height of the glass.
    slab = np.array([[x + 1.5, y, z] for z in (4.0, 5.0) for x, y in square])
    (found,) = swept(Prism(slab, np.array(edges)), glass, sway)
    assert found == pytest.approx((4.0 + 5.0) * 1e-3 * 1.0, rel=1e-12)


def test_sun_that_comes_from_behind_may_sweep_anything():
    path = Path(np.array([[[0.1], [0.1]], [[0.0], [0.0]], [[-0.01], [0.01]]]), np.zeros(1))
    sway = Sway.along(path)
    slab = Prism(np.array([[0.0, 0, 2], [1, 0, 2], [1, 1, 3]]))
    assert swept(slab, Glass(1.0, 1.0), sway)[0] > 1e6
