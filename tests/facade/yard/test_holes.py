"""What three shadows have in common: found line by line, against lines all over the glass."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from suncover.facade.glazed import Glass
from suncover.facade.yard.cover import Rim
from suncover.facade.yard.holes import Lines
from suncover.facade.yard.solid_arrays import SolidArrays
from suncover.facade.yard.solids import Prism

GLASS = Glass(2.0, 2.0)
MANY = 4000


def slab(points: np.ndarray) -> Prism:
    return Prism(np.array([(*xy, z) for z in (5.0, 6.0) for xy in points]))


def lines_across(solids: list[Prism]) -> Lines:
    none = np.zeros(1)
    rim = Rim.of(np.array([[GLASS.width], [GLASS.height]]), 0.0, none, none)
    arrays = SolidArrays([GLASS], [solids])
    return Lines(arrays, np.arange(3)[:, None], np.zeros((2, 1)), rim)


@pytest.mark.parametrize("lies", ["amid", "first", "last"])
@given(st.integers(0, 2**32 - 1))
def test_the_longest_part_in_common_is_found(lies, seed):
    """Of three triangles that have a side each of a triangle in the glass, and reach into it; the
    line to begin with may be the first or the last as well.
    """
    rng = np.random.default_rng(seed)
    corners = rng.uniform(0.2, 1.8, (3, 2))
    if lies != "amid":
        corners[1] = corners[0] if lies == "first" else corners[2]
    solids = []
    for number in range(3):
        ends = corners[[number, (number + 1) % 3]]
        # With a little width, where both are one.
        about = ends[:, None] + 1e-3 * np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]])
        apex = corners.mean(axis=0) + rng.normal(0.0, 0.2, 2)
        hull = shapely.MultiPoint([*about.reshape(-1, 2), apex]).convex_hull
        solids.append(slab(np.array(hull.exterior.coords)[:-1]))
    lines = lines_across(solids)
    most, _ = lines.longest(np.sort(corners.T[..., None], axis=1))
    low, high = corners.min(axis=0), corners.max(axis=0)
    share = np.linspace(0.0, 1.0, MANY)[:, None]
    (length, _), _ = lines.parts((low + (high - low) * share).T[..., None])
    # A hole is told where none of these lines has a part in common.
    assert most[0] > 0.0 or length.max() < 1e-6
