"""A measure counts what lies in any stretch of time."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from suncover.base.spell import Spell
from suncover.plan.best.measure import Measure


@given(
    st.lists(st.tuples(st.integers(1, 30), st.integers(0, 9)), max_size=8),
    st.integers(-10, 300),
    st.integers(-10, 300),
)
def test_a_second_counts_what_its_piece_is_worth(parts, start, end):
    """Pieces that touch, each of so many seconds and of another worth; plain spells are worth 1."""
    seconds = [worth for length, worth in parts for _ in range(length)]
    at, pieces = 0, []
    for length, _ in parts:
        pieces.append(Spell(at, at + length))
        at += length
    measure = Measure(pieces, [worth for _, worth in parts])
    assert measure.between(start, end) == sum(seconds[max(start, 0) : max(end, 0)])
    assert measure.total == sum(seconds)
    sunny = pieces[::2]
    inside = {second for spell in sunny for second in range(spell.start, spell.end)}
    assert Measure(sunny).between(start, end) == len(inside & set(range(start, end)))
    starts, ends = np.array([start, end]), np.array([end, start])
    assert Measure(sunny).between_each(starts, ends).tolist() == [
        len(inside & set(range(first, last))) for first, last in ((start, end), (end, start))
    ]
