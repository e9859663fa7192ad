"""The far edge of the sun's patch, held against rays cast from the floor."""

from __future__ import annotations

import numpy as np
import pytest
from made_sightings import made_site
from raycast import patch_by_rays

from suncover.facade.frame import direction
from suncover.facing.patch import far_edge

GRID = 0.01  # metres between the points of floor that are tried


@pytest.mark.parametrize(
    ("window", "elevation", "azimuth"),
    [
        pytest.param({"azimuth": 180, "sill": 0.9}, 35, 180, id="square on"),
        pytest.param({"azimuth": 180, "sill": 0.9}, 35, 215, id="from the side"),
        pytest.param({"azimuth": 95, "sill": 0.4, "reveal": 0.2}, 50, 120, id="reveal"),
        pytest.param(
            {"azimuth": 200, "sill": 0.9, "overhang": {"depth": 0.6, "gap": 0.2}},
            48,
            225,
            id="overhang",
        ),
        pytest.param(
            {
                "azimuth": 200,
                "sill": 0.9,
                "fin": [{"side": "left", "depth": 0.5, "gap": 0.1}],
            },
            40,
            170,
            id="fin",
        ),
        pytest.param({"azimuth": 30, "sill": 1.0, "tilt": 60}, 55, 60, id="roof window"),
    ],
)
def test_far_edge_is_where_rays_find_it(
    window: dict[str, object], elevation: float, azimuth: float
) -> None:
    site = made_site(47.0, **window)
    sun = direction(elevation, azimuth)
    assert far_edge(site.windows[0], sun) == pytest.approx(patch_by_rays(site, sun), abs=2.5 * GRID)


def test_square_on_it_is_the_height_over_the_tangent() -> None:
    # h / tan(sun's height), the rule of every sundial.
    site = made_site(47.0, azimuth=180, sill=0.9)
    distance, left, right = far_edge(site.windows[0], direction(35.0, 180.0))
    assert distance == pytest.approx(2.3 / np.tan(np.radians(35)), abs=0.001)
    assert (left, right) == pytest.approx((-0.6, 0.6), abs=0.005)


@pytest.mark.parametrize(("elevation", "azimuth"), [(30, 0), (-5, 180), (89.9, 185)])
def test_without_sun_through_the_window_there_is_no_patch(elevation: float, azimuth: float) -> None:
    site = made_site(47.0, azimuth=180, sill=0.9, reveal=0.05, overhang={"depth": 1.0})
    assert np.isnan(far_edge(site.windows[0], direction(elevation, azimuth))).all()
