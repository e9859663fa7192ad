"""Shadows on the ground, against rays cast from the ground to the sun."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from suncover.facade.yard.ground import crown_shadow, prism_shadow, shadow_way

SUNS = [(180.0, 30.0), (95.0, 12.0), (300.0, 55.0), (10.0, 4.0)]


def to_sun(azimuth: float, elevation: float) -> np.ndarray:
    turned, up = np.radians([azimuth, elevation])
    return np.array([np.sin(turned) * np.cos(up), np.cos(turned) * np.cos(up), np.sin(up)])


def ground_points(shape: object, seed: int) -> np.ndarray:
    east, north, far_east, far_north = shapely.bounds(shape)
    low, high = [east - 3.0, north - 3.0], [far_east + 3.0, far_north + 3.0]
    return np.random.default_rng(seed).uniform(low, high, size=(4000, 2))


@pytest.mark.parametrize("sun", SUNS)
def test_a_crowns_shadow_is_where_its_rays_are_blocked(sun: tuple[float, float]) -> None:
    """A ray meets an ellipsoid where the quadratic along it has a root."""
    trunk, width, bottom, top = (3.0, -2.0), 5.0, 1.5, 8.5
    shape = crown_shadow(trunk, width, bottom, top, shadow_way(*sun))
    points = ground_points(shape, 1)
    axes = np.array([width / 2, width / 2, (top - bottom) / 2])
    middle = np.array([*trunk, (top + bottom) / 2])
    start = (np.column_stack([points, np.zeros(len(points))]) - middle) / axes
    way = to_sun(*sun) / axes
    b, a, c = start @ way, way @ way, (start * start).sum(axis=1) - 1.0
    blocked = b * b - a * c > 0.0
    inside = shapely.contains_xy(shape, points)
    # 48 corners lie on the ellipse: between them it bulges by 1 - cos(180°/48) = 0.2 % of its size.
    near = shapely.distance(shapely.points(points), shape.exterior) < 0.003 * shape.length
    assert blocked.any()
    assert np.array_equal(inside[~near], blocked[~near])


@pytest.mark.parametrize("sun", SUNS)
@pytest.mark.parametrize("base", [0.0, 2.5])
def test_a_solids_shadow_is_where_its_rays_are_blocked(
    sun: tuple[float, float], base: float
) -> None:
    """A ray is in an upright prism where it is over the footprint between base and top."""
    corners = ((0.0, 0.0), (6.0, 0.0), (6.0, 2.0), (2.0, 2.0), (2.0, 5.0), (0.0, 5.0))
    shape = prism_shadow(corners, base, 4.0, shadow_way(*sun))
    points = ground_points(shape, 2)
    way = to_sun(*sun)
    heights = np.linspace(base, 4.0, 400)
    over = points[:, None, :] + heights[None, :, None] / way[2] * way[None, None, :2]
    footprint = shapely.Polygon(corners)
    blocked = shapely.contains_xy(footprint, over[..., 0], over[..., 1]).any(axis=1)
    inside = shapely.contains_xy(shape, points)
    # A step in height moves a ray's foot by so much.
    near = shapely.distance(shapely.points(points), shape.boundary) < 4.0 / 399 / np.tan(
        np.radians(sun[1])
    )
    assert blocked.any()
    assert np.array_equal(inside[~near], blocked[~near])
