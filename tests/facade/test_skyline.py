"""Skylines: linear between their points, round through north, and bounded by what is asked for."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from suncover.facade.skyline import Skyline

Points = tuple[tuple[float, float], ...]


def point_by_point(points: Points, azimuth: float) -> float:
    """The same by plain arithmetic: the point before and the one after, going clockwise."""
    before = min(points, key=lambda point: (azimuth - point[0]) % 360.0)
    after = min(points, key=lambda point: (point[0] - azimuth) % 360.0)
    span = (after[0] - before[0]) % 360.0
    if span == 0.0:
        # Between a lone point and itself, or on a point.
        return before[1]
    share = ((azimuth - before[0]) % 360.0) / span
    return before[1] + share * (after[1] - before[1])


@pytest.mark.parametrize(
    ("azimuth", "elevation"),
    [
        (60.0, 12.0),
        (77.5, 10.0),
        (95.0, 8.0),
        (112.5, 11.5),
        (130.0, 15.0),
        # From 130 on to 60 again: 290 degrees, 3 less.
        (275.0, 13.5),
        (360.0, 15.0 - 3.0 * 230 / 290),
        (0.0, 15.0 - 3.0 * 230 / 290),
        (-1.0, 15.0 - 3.0 * 229 / 290),
        (420.0, 12.0),
    ],
)
def test_linear_between_points_and_round_through_north(azimuth, elevation):
    skyline = Skyline(((60.0, 12.0), (95.0, 8.0), (130.0, 15.0)))
    assert skyline.elevation(azimuth) == pytest.approx(elevation, abs=1e-12)


def test_one_point_is_level_all_round():
    skyline = Skyline(((200.0, 7.5),))
    assert (skyline.elevation(np.arange(0.0, 360.0)) == 7.5).all()
    low, high = skyline.bounds([0.0, 200.0], [1.0, 180.0])
    assert low.tolist() == high.tolist() == [7.5, 7.5]


def test_step_at_two_points_of_one_azimuth():
    """They stand in the order of travel, clockwise: 5 up to the step, 20 from it on."""
    skyline = Skyline(((90.0, 5.0), (180.0, 5.0), (180.0, 20.0), (270.0, 20.0)))
    assert skyline.elevation([180.0 - 1e-6, 180.0 + 1e-6]) == pytest.approx([5.0, 20.0])
    for azimuth in (179.9, 180.0, 180.1):
        assert skyline.bounds(azimuth, 0.3) == (5.0, 20.0)
    # On the edge of a half degree: 40 is reached only just before 180; from 180 on it is 5.
    skyline = Skyline(((179.0, 0.0), (180.0, 40.0), (180.0, 5.0), (300.0, 5.0)))
    assert skyline.elevation(179.99) == pytest.approx(39.6)
    assert skyline.bounds(179.75, 0.2499)[1] == 40.0
    assert skyline.bounds(180.25, 0.2)[0] == 5.0


def test_step_at_north_between_360_and_0():
    """A round that ends at 360 with another elevation than it begins with at 0."""
    skyline = Skyline(((0.0, 10.0), (90.0, 10.0), (270.0, 30.0), (360.0, 30.0)))
    assert skyline.elevation(359.999) == pytest.approx(30.0, abs=0.001)
    assert skyline.elevation(315.0) == pytest.approx(30.0)
    assert skyline.elevation(0.001) == pytest.approx(10.0, abs=0.001)
    assert skyline.elevation(45.0) == pytest.approx(10.0)
    low, high = skyline.bounds([0.0, 359.9, 45.0, 315.0], 0.4)
    assert low.tolist() == [10.0, 10.0, 10.0, 30.0]
    assert high.tolist() == [30.0, 30.0, 10.0, 30.0]


# On the edges of half degrees, and anywhere, to a ten-thousandth.
azimuths = st.one_of(
    st.integers(0, 720).map(lambda half: half / 2.0),
    st.integers(0, 3_599_999).map(lambda part: part / 10_000.0),
)
skylines = st.lists(
    st.tuples(azimuths, st.floats(-20.0, 80.0)),
    min_size=1,
    max_size=8,
    unique_by=lambda point: point[0] % 360.0,
).map(tuple)


@given(skylines, st.floats(0.0, 360.0))
def test_elevation_by_plain_arithmetic(points, azimuth):
    turned = tuple((a % 360.0, e) for a, e in points[::-1])  # in any order
    expected = point_by_point(turned, azimuth)
    # A hundred degrees within a ten-thousandth: 1e6 times the last digits of the azimuth.
    assert Skyline(points).elevation(azimuth) == pytest.approx(expected, abs=1e-6)


@given(skylines, st.floats(0.0, 360.0), st.floats(0.0, 180.0), st.integers(0, 2**32 - 1))
def test_bounds_hold_all_that_is_asked_for(points, azimuth, half_width, seed):
    skyline = Skyline(points)
    low, high = skyline.bounds(azimuth, half_width)
    inside = azimuth + half_width * np.random.default_rng(seed).uniform(-1.0, 1.0, 100)
    elevations = skyline.elevation(inside)
    assert low <= elevations.min() + 1e-9
    assert high >= elevations.max() - 1e-9
    corners = [e for a, e in points if abs((a - azimuth + 180) % 360 - 180) < half_width - 1e-9]
    assert all(low <= corner <= high for corner in corners)


def test_bounds_are_no_wider_than_half_a_degree_beyond():
    """They are of use: pieces of half a degree are what they are made of."""
    skyline = Skyline(tuple((float(a), 5.0 + 5.0 * math.sin(a / 9.0)) for a in range(0, 360, 3)))
    middle = np.arange(0.0, 360.0, 0.37)
    low, high = skyline.bounds(middle, 2.0)
    near = skyline.elevation(middle[:, None] + np.linspace(-2.51, 2.51, 252))
    # The skyline rises by less than 0.6 degree a degree, and is looked at every 0.02.
    assert (low >= near.min(axis=1) - 0.012).all()
    assert (high <= near.max(axis=1) + 0.012).all()


def test_half_circle_is_all_of_it_and_shapes_are_kept():
    skyline = Skyline(((10.0, 1.0), (190.0, 25.0), (200.0, 3.0)))
    for azimuth in (0.0, 90.0, 355.0):
        for half_width in (180.0, 400.0, np.inf):
            assert skyline.bounds(azimuth, half_width) == (1.0, 25.0)
    for shape in ((), (0,), (2, 3)):
        assert skyline.elevation(np.zeros(shape)).shape == shape
        assert [bound.shape for bound in skyline.bounds(np.zeros(shape), 1.0)] == [shape] * 2


def test_no_points_are_refused():
    with pytest.raises(ValueError, match="at least one point"):
        Skyline(())
