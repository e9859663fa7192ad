"""What the rim of a shadow may sweep: against the areas of shadows on the way, by shapely."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from random_surroundings import with_house_and_tree

from suncover.facade.exposure import glass_of
from suncover.facade.frame import window_axes
from suncover.facade.glazed import Glass
from suncover.facade.yard.cones import Path
from suncover.facade.yard.drift import Sway
from suncover.facade.yard.partly import swept_by_rim
from suncover.facade.yard.solids import Crown, Prism

COUNT, ON_THE_WAY = 10, 9


@given(st.integers(0, 2**32 - 1))
def test_on_no_way_does_a_shadow_change_more(seed):
    """All that it takes and gives on the way, one after the other, added up."""
    rng = np.random.default_rng(seed)
    window, around, suns = with_house_and_tree(rng, COUNT)
    glass = glass_of(window)
    local = window_axes(window.azimuth, window.tilt) @ suns
    far = 10.0 ** rng.uniform(-4, -1, local.shape[1]) * local[2]
    ends = np.stack([local, local + far * rng.normal(size=local.shape)], axis=1)
    front = np.flatnonzero(ends[2].min(axis=0) > 1e-3)
    ends = ends[:, :, front]
    sway = Sway.along(Path(ends, np.zeros(len(front))))
    share = np.linspace(0.0, 1.0, ON_THE_WAY)
    way = ends[:, 0, :, None] * (1.0 - share) + ends[:, 1, :, None] * share
    p, q = way[0] / way[2], way[1] / way[2]
    pane = shapely.box(0.0, 0.0, glass.width, glass.height)
    for solid in [*around.prisms, *(tree.crown for tree in around.trees)]:
        rings = solid.outline(p.ravel(), q.ravel())
        shadows = shapely.convex_hull(shapely.multipoints(rings))
        area = shapely.area(shapely.intersection(shadows, pane)).reshape(p.shape)
        taken = np.abs(np.diff(area, axis=1)).sum(axis=1)
        # A crown's outline has corners, which lie off its rim by a share of 0.0001 of its size.
        slack = 0.0 if isinstance(solid, Prism) else 2e-4 * (1.0 + solid.across * glass.height)
        assert (taken <= swept_by_rim(solid, glass, sway) + slack + 1e-9).all()


def move(p: float = 0.0, q: float = 0.0) -> Sway:
    """From straight before the glass, p and q grow by so much."""
    none, p_end, q_end = np.zeros(1), np.full(1, p), np.full(1, q)
    return Sway(none, p_end, none, q_end)


@pytest.mark.parametrize(
    ("sway", "most"), [(move(p=0.001), 0.0), (move(q=0.001), 0.004 * 2.0)], ids=["along", "across"]
)
def test_a_level_edge_sweeps_only_what_it_is_moved_across(sway, most):
    """A wall to half the height of a glass of 2 by 1 m, 4 m before it and far wider."""
    wall = Prism(np.array([[x, y, 4.0] for x, y in [(-9, -1), (9, -1), (9, 0.5), (-9, 0.5)]]))
    (found,) = swept_by_rim(wall, Glass(2.0, 1.0), sway)
    assert found == pytest.approx(most, rel=1e-9, abs=1e-12)


def test_a_crown_over_all_of_the_glass_and_one_beside_it_sweep_nothing():
    up = np.array([0.0, 1.0, 0.0])
    for aside in (0.0, 30.0):
        crown = Crown(np.array([0.5 + aside, 0.5, 10.0]), up, 3.0, 3.0)
        assert swept_by_rim(crown, Glass(1.0, 1.0), move(p=0.01, q=0.01)).tolist() == [0.0]
