"""Footprint checks against shapely, a general-purpose geometry library (GEOS)."""

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from shapely.geometry import LineString, Point, Polygon

from suncover.site.kinds.polygons import is_well_inside, ring_fault, without_closing_point

# Whole metres on a small grid: corners on sides, sides on sides and collinear corners are common.
corner = st.tuples(st.integers(0, 6), st.integers(0, 6)).map(lambda c: (float(c[0]), float(c[1])))
far_corner = st.tuples(st.floats(-1e4, 1e4), st.floats(-1e4, 1e4))


@settings(max_examples=200)
@given(st.lists(corner, min_size=3, max_size=8))
def test_proper_outlines_are_those_that_shapely_calls_valid(corners):
    # shapely passes over neighbours that are alike; here they are a fault of their own.
    assume(all(corners[i] != corners[i - 1] for i in range(len(corners))))
    assert (ring_fault(corners) is None) == Polygon(corners).is_valid


@given(st.lists(far_corner, min_size=3, max_size=30, unique=True))
def test_proper_outlines_of_any_shape(corners):
    sides = [LineString((a, corners[i - 1])) for i, a in enumerate(corners)]
    # Where a corner all but lies on a side, rounding may decide either way.
    near = (s.distance(Point(c)) <= 1e-6 for s in sides for c in corners if c not in s.coords)
    assume(not any(near))
    assert (ring_fault(corners) is None) == Polygon(corners).is_valid


@pytest.mark.parametrize(
    ("corners", "fault"),
    [
        ([(0, 0), (1, 1)], "at least three corners, not 2"),
        ([(0, 0), (1, 0), (1, 0), (0, 1)], "corners 2 and 3 are the same"),
        ([(0, 0), (1, 1), (3, 3)], "lie on one line"),
        ([(0, 0), (2, 2), (2, 0), (0, 2)], "side 1 meets side 3"),
        ([(0, 0), (4, 0), (2, 0), (2, 2)], "side 1 meets side 2"),
        ([(0, 0), (4, 0), (4, 4), (2, 0), (0, 4)], "side 1 meets side 4"),
    ],
    ids=["two corners", "twice", "no area", "bow tie", "folds back", "corner on a side"],
)
def test_what_is_wrong_with_an_outline(corners, fault):
    assert fault in ring_fault(corners)


def test_concave_outlines_either_way_round_are_proper_and_a_closing_corner_is_dropped():
    ell = ((0.0, 0.0), (4.0, 0.0), (4.0, 2.0), (2.0, 2.0), (2.0, 4.0), (0.0, 4.0))
    assert ring_fault(ell) is ring_fault(ell[::-1]) is None
    assert without_closing_point((*ell, ell[0])) == without_closing_point(ell) == ell


# Those that do not cross themselves.
outline = st.lists(corner, min_size=3, max_size=6).filter(lambda corners: not ring_fault(corners))


@given(outline, st.floats(-1, 7), st.floats(-1, 7))
def test_inside_with_a_margin_is_as_shapely_has_it(corners, east, north):
    polygon, point, margin = Polygon(corners), Point(east, north), 0.25
    distance = polygon.exterior.distance(point)
    assume(abs(distance - margin) > 1e-9)
    expected = polygon.contains(point) and distance > margin
    assert is_well_inside((east, north), corners, margin) == expected
