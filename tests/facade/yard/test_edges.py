"""Which edges of a solid bound what a point of the glass loses to it."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from random_surroundings import frame_for, plain_window, random_obstacle

from suncover.facade.yard.edges import EdgeTable, MixedEdges
from suncover.facade.yard.footprints import convex_parts
from suncover.facade.yard.solids import Prism, prism_before_glass

seeds = st.integers(0, 2**32 - 1)
MANY = 30
SHARES = (0.0, 0.0), (1.0, 0.0), (0.0, 1.0), (1.0, 1.0)


def some_prism(rng: np.random.Generator) -> tuple[Prism, np.ndarray]:
    """A convex part of an obstacle before a window, and the size of its glass."""
    while True:
        window = plain_window(rng)
        obstacle = random_obstacle(rng, window, "o")
        part = convex_parts(obstacle.footprint)[0]
        solid = prism_before_glass(part, obstacle.base, obstacle.top, frame_for(window))
        if solid is not None:
            return solid, np.array([window.width, window.height])


@given(seeds)
def test_the_faces_beside_an_edge_tell_what_all_corners_tell(seed):
    """An edge bounds what a point loses if no corner lies on the other side of the plane through
    both: here by every corner, there by the two faces that meet at the edge.
    """
    rng = np.random.default_rng(seed)
    solid, size = some_prism(rng)
    table = EdgeTable.of([solid])
    corners = [size[:, None] * np.array(share)[:, None] for share in SHARES]
    edges = MixedEdges.of(table, corners, np.array([True])).take(np.zeros(MANY, dtype=np.int64))
    points = size[:, None] * rng.random((2, MANY))
    turn, sides, never = edges.sides(np.stack([points, points]))

    side, loose = table.take(np.zeros(MANY, dtype=np.int64)).sides_of_corners(points)
    ahead, behind = (side >= -loose).all(axis=1), (side <= loose).all(axis=1)
    # What is within a millionth of a plane may be called either.
    clear = (np.abs(side) > 1e4 * loose) | (np.abs(side) <= loose)
    clear = clear.all(axis=1)
    assert (sides == (ahead | behind))[clear].all()
    assert (never == ~(ahead | behind))[clear].all()
    one_sided = clear & (ahead ^ behind)
    assert (np.where(turn > 0, behind, ahead))[one_sided].all()


@given(seeds)
def test_a_point_that_moves_keeps_the_sides_it_has_at_both_ends(seed):
    rng = np.random.default_rng(seed)
    solid, size = some_prism(rng)
    corners = [size[:, None] * np.array(share)[:, None] for share in SHARES]
    table = EdgeTable.of([solid])
    edges = MixedEdges.of(table, corners, np.array([True])).take(np.zeros(MANY, dtype=np.int64))
    ends = size[:, None, None] * rng.random((2, 2, MANY))
    _, sides, never = edges.sides(ends.swapaxes(0, 1))
    amid = (ends * rng.dirichlet(np.ones(2), MANY).T).sum(axis=1)
    _, sides_amid, never_amid = edges.sides(np.stack([amid, amid]))
    assert not (sides & ~sides_amid).any()
    assert not (never & ~never_amid).any()
