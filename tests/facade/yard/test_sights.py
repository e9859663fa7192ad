"""What moving points of the glass lose of the sun along its path: against rays."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from random_surroundings import frame_for, plain_window, random_obstacle, random_tree, suns_towards
from random_windows import on_site, points_on, random_suns, random_window, site_of
from raycast import beam_share

from suncover.facade.exposure import glass_of
from suncover.facade.frame import window_axes
from suncover.facade.yard.cones import Path
from suncover.facade.yard.footprints import convex_parts
from suncover.facade.yard.sights import Sights
from suncover.facade.yard.solid_arrays import SolidArrays
from suncover.facade.yard.solids import crown_before_glass, prism_before_glass
from suncover.site.model import Window

seeds = st.integers(0, 2**32 - 1)
MANY, SHARES = 40, np.linspace(0.0, 1.0, 7)


def parabolas(rng: np.random.Generator, suns: np.ndarray) -> tuple[np.ndarray, ...]:
    """Nodes of parabolas from `suns` (3, m), the slack of each, and directions on them, strayed by
    up to that: (3, 3, m), (m,), (3, m, 7).
    """
    size = suns.shape[1]
    step = 10.0 ** rng.uniform(-4, -0.7, size)
    middle, last = suns + step * rng.normal(size=(2, 3, size))
    nodes = np.stack([suns, middle, last], axis=1)
    x = SHARES
    on = (
        nodes[:, 0, :, None] * (1 - x) ** 2
        + nodes[:, 1, :, None] * 2 * x * (1 - x)
        + nodes[:, 2, :, None] * x**2
    )
    slack = step * rng.choice([0.0, 0.1], size)
    off = rng.normal(size=on.shape)
    return nodes, slack, on + slack[:, None] * off / np.linalg.norm(off, axis=0)


def scene(rng: np.random.Generator, kind: str):
    """A window, its site, what stands before it, and suns near to that."""
    window = random_window(rng) if kind == "plates" else plain_window(rng)
    if kind == "plates":
        return window, site_of(window), [], random_suns(rng, window, MANY)
    if kind == "prism":
        obstacle = random_obstacle(rng, window, "o")
        part = convex_parts(obstacle.footprint)[0]
        site = site_of(window, obstacle=[obstacle.model_copy(update={"footprint": part.tolist()})])
        solid = prism_before_glass(part, obstacle.base, obstacle.top, frame_for(window))
        aims = np.column_stack([part, np.full(len(part), obstacle.top)])
    else:
        tree = random_tree(rng, window, "t")
        site = site_of(window, tree=[tree])
        size = tree.width, tree.bottom, tree.top
        solid = crown_before_glass(tree.trunk, *size, frame_for(window))
        aims = np.array([[*tree.trunk, z] for z in (tree.bottom, tree.top)])
    return window, site, [] if solid is None else [solid], suns_towards(rng, window, aims, MANY)


def lost(site, window: Window, points: np.ndarray, suns: np.ndarray) -> np.ndarray:
    """Whether each point (2, m, n) of the glass loses the sun in its own direction, by rays."""
    places = on_site(window, points.reshape(2, -1).T)
    found = beam_share(site, window, places, suns.reshape(3, -1)) == 0.0
    return found.reshape(points.shape[1:])


@pytest.mark.parametrize("kind", ["prism", "crown", "plates"])
@settings(max_examples=15)
@given(seed=seeds)
def test_sides_hold_for_moving_points(kind, seed):
    rng = np.random.default_rng(seed)
    window, site, solids, suns = scene(rng, kind)
    glass = glass_of(window)
    if kind == "plates":
        # Each plate by itself, without the reveal.
        number = len(glass.plates)
        kept = rng.integers(0, max(number, 1))
    arrays = SolidArrays([glass], [solids])
    if len(arrays.owner) == 0:
        return
    solid = int(kept) if kind == "plates" else 0
    nodes, slack, between = parabolas(rng, suns)
    local = np.einsum("ij,jcm->icm", window_axes(window.azimuth, window.tilt), nodes)
    points = np.stack([points_on(rng, window, suns.shape[1]).T for _ in range(2)])
    still = rng.random(suns.shape[1]) < 0.3
    points[1][:, still] = points[0][:, still]
    each = np.full(suns.shape[1], solid)
    sights, path = Sights(arrays), Path(local, slack)
    inside, outside = sights.always(points, each, path), sights.never(points, each, path)
    assert not (inside & outside).any()
    places = points[0][..., None] * (1 - SHARES) + points[1][..., None] * SHARES
    normal = window_axes(window.azimuth, window.tilt)[2]
    front = (np.einsum("i,imn->mn", normal, between) > 1e-3).all(axis=1)
    if kind == "plates":
        window, site = only_plate(window, solid)
    rays = lost(site, window, places, between)
    assert rays[inside & front].all()
    assert not rays[outside & front].any()


def only_plate(window: Window, number: int):
    """The window with one of its plates, and no reveal: the plate stands as far out as before."""
    roof, fins = window.overhang, window.fins
    shift = window.reveal
    if roof is not None and number == 0:
        parts = {"overhang": roof.model_copy(update={"depth": roof.depth + shift}), "fins": ()}
    else:
        fin = fins[number - (roof is not None)]
        parts = {
            "overhang": None,
            "fins": (fin.model_copy(update={"depth": fin.depth + shift}),),
        }
    alone = window.model_copy(update={"reveal": 0.0, **parts})
    return alone, site_of(alone)


@pytest.mark.parametrize("swept", [1.0, 10.0, 30.0], ids="{:.0f} degrees".format)
def test_a_ray_that_leads_away_from_a_crown_never_meets_it(swept):
    """The line through the sun meets the crown behind the glass, the ray does not."""
    window = Window(name="w", azimuth=180.0, width=1.2, height=1.4, sill=1.0, position=(0.0, 0.0))
    # A crown at the wall, of which a part is behind it.
    crown = crown_before_glass((4.0, -0.8), 3.0, 0.0, 4.0, frame_for(window))
    assert crown is not None
    towards = np.sign(crown.middle[0])
    points = np.tile(np.array([[0.6], [0.7]]), (2, 1, 1))
    turns = np.radians(2.0 + swept * np.array([0.0, 0.5, 1.0]))
    for side, free in ((-towards, True), (towards, False)):
        nodes = np.stack([side * np.cos(turns), np.full(3, 0.02), np.sin(turns)])[..., None]
        sights = Sights(SolidArrays([glass_of(window)], [[crown]]))
        never = sights.never(points, np.zeros(1, dtype=np.intp), Path(nodes, np.full(1, 1e-4)))
        assert never.tolist() == [free]
