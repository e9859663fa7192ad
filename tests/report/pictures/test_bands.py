"""Bands of rows: what their path encloses is what the rows hold."""

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from svg_reading import spans_at, walk

from suncover.report.pictures.bands import band_edges, band_path, bands_of, relative_path

Rows = list[list[tuple[float, float]]]


@st.composite
def rows(draw: st.DrawFn) -> Rows:
    """Up to eight rows of spans between whole numbers, in order and apart."""
    found: Rows = []
    for _ in range(draw(st.integers(1, 8))):
        ends = sorted(draw(st.sets(st.integers(0, 20), max_size=8)))
        found.append([(float(a), float(b)) for a, b in zip(ends[0::2], ends[1::2], strict=False)])
    return found


def area(points: list[tuple[float, float]]) -> float:
    """By the shoelace formula."""
    pairs = pairwise(points)
    return abs(sum(x1 * y2 - x2 * y1 for (x1, y1), (x2, y2) in pairs)) / 2


def place(row: float, value: float) -> tuple[float, float]:
    return row * 2.0, value


@given(rows())
def test_the_path_encloses_as_much_as_the_spans_hold(given):
    held = sum(end - start for row in given for start, end in row) * 2.0
    assert sum(area(part) for part in walk(band_path(given, place))) == pytest.approx(held)


@given(rows())
def test_every_span_is_in_one_band(given):
    found = sorted(
        (band.first + number, span)
        for band in bands_of(given)
        for number, span in enumerate(band.spans)
    )
    assert found == sorted((number, span) for number, row in enumerate(given) for span in row)


@given(rows())
def test_edges_are_where_a_row_and_the_next_differ(given):
    """Along the rows' common side, as long as what is in just one of the two; along the rows, two
    sides for each span.
    """
    across = along = 0.0
    for part in walk(band_edges(given, place)):
        for (x1, y1), (x2, y2) in pairwise(part):
            across += abs(y2 - y1)
            along += abs(x2 - x1)
    cells = [{c for a, b in row for c in range(int(a), int(b))} for row in given]
    steps = sum(
        len(one ^ other) for one, other in zip([set(), *cells], [*cells, set()], strict=True)
    )
    spans = sum(len(row) for row in given)
    assert along == pytest.approx(4.0 * spans)
    assert across == pytest.approx(steps)


@given(rows())
def test_eased_shapes_pass_through_the_middles_of_the_rows(given):
    """At the middle of each row they are as wide as its spans, within what they may leave them by
    and a tenth; slanted lines make the more of it the steeper they are.
    """
    path, ease = band_path(given, place, ease=1e-6), 0.051
    for row, spans in enumerate(given):
        drawn = spans_at(path, row * 2.0 + 1.0 + 1e-3)
        assert len(drawn) == len(spans)
        for (start, end), (low, high) in zip(spans, drawn, strict=True):
            assert (low, high) == pytest.approx((start, end), abs=ease + 0.02)


def test_a_path_is_right_to_a_tenth_everywhere():
    """A thousand steps of a third: rounding does not add up."""
    points = [(index / 3, (index % 7) / 3) for index in range(1000)]
    found = walk(relative_path(points, closed=False))[0]
    assert found[-1] == pytest.approx(points[-1], abs=0.051)


def test_steps_in_one_direction_join():
    assert relative_path([(0, 0), (1, 0), (2, 0), (2, 1)]) == "M0 0h2v1z"
