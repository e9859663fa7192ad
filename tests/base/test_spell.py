"""Spells: sums of time, held against plain sets of seconds."""

from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from suncover.base.spell import (
    Spell,
    clip,
    intersect,
    overlap_seconds,
    seconds_in_each,
    subtract,
    total_seconds,
    union,
)

any_spell = st.tuples(st.integers(0, 60), st.integers(0, 12)).map(
    lambda pair: Spell(pair[0], pair[0] + pair[1])
)
any_spells = st.lists(any_spell, max_size=8)
tidy_spells = any_spells.map(union)


def seconds_of(spells):
    """The seconds that the spells hold, one by one: slow and plain."""
    return {second for spell in spells for second in range(spell.start, spell.end)}


def is_tidy(spells):
    """In order, none empty, none overlapping."""
    edges = [edge for spell in spells for edge in (spell.start, spell.end)]
    return edges == sorted(edges) and all(spell.start < spell.end for spell in spells)


@given(any_spells)
def test_union_holds_the_same_seconds_and_joins_what_touches(spells):
    joined = union(spells)
    assert seconds_of(joined) == seconds_of(spells)
    assert all(before.end < after.start for before, after in pairwise(joined))


@given(tidy_spells, tidy_spells)
def test_intersect_subtract_and_overlap_agree_with_sets(spells, others):
    common, left = intersect(spells, others), subtract(spells, others)
    assert seconds_of(common) == seconds_of(spells) & seconds_of(others)
    assert seconds_of(left) == seconds_of(spells) - seconds_of(others)
    assert is_tidy(common)
    assert is_tidy(left)
    assert overlap_seconds(spells, others) == len(seconds_of(spells) & seconds_of(others))
    assert seconds_in_each(spells, others) == [
        len(seconds_of(spells) & seconds_of([other])) for other in others
    ]


@given(tidy_spells, st.integers(0, 40), st.integers(0, 40))
def test_clip_keeps_only_what_lies_inside(spells, start, length):
    inside = clip(spells, start, start + length)
    assert seconds_of(inside) == seconds_of(spells) & set(range(start, start + length))
    assert is_tidy(inside)


def test_touching_spells_stay_apart_when_clipped_and_join_in_a_union():
    touching = (Spell(0, 10), Spell(10, 20))
    assert clip(touching, 5, 15) == (Spell(5, 10), Spell(10, 15))
    assert union(touching) == (Spell(0, 20),)


def test_total_counts_a_shared_second_twice_and_length_is_end_less_start():
    assert total_seconds([Spell(0, 10), Spell(5, 20)]) == 25
    assert Spell(5, 20).seconds == 15
