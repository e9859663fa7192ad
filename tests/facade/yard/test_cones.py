"""What fixed points of the glass lose of the sky, along paths of the sun: against rays."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from random_surroundings import (
    frame_for,
    plain_window,
    random_footprint,
    random_obstacle,
    random_tree,
    suns_towards,
)
from random_windows import on_site, points_on, random_suns, random_window, site_of
from raycast import beam_share

from suncover.facade.exposure import glass_of
from suncover.facade.frame import window_axes
from suncover.facade.yard.cones import Path, cone_rows, cones_of, touching, wall_cones
from suncover.facade.yard.footprints import convex_parts
from suncover.facade.yard.solids import crown_before_glass, prism_before_glass
from suncover.site.model import Window

seeds = st.integers(0, 2**32 - 1)


def paths(rng: np.random.Generator, window: Window, suns: np.ndarray) -> tuple[Path, np.ndarray]:
    """Short straight paths from `suns`, and directions of the site on each: (3, m, 9).

    The directions stray from the paths by up to the slack that the paths allow for.
    """
    size = suns.shape[1]
    step = 10.0 ** rng.uniform(-4, -0.7, size)
    ends = np.stack([suns, suns + step * rng.normal(size=(3, size))], axis=1)
    slack = step * rng.choice([0.0, 0.1], size)
    share = np.linspace(0.0, 1.0, 9)
    between = ends[:, 0, :, None] * (1 - share) + ends[:, 1, :, None] * share
    off = rng.normal(size=between.shape)
    between += slack[:, None] * off / np.linalg.norm(off, axis=0)
    local = np.einsum("ij,jcm->icm", window_axes(window.azimuth, window.tilt), ends)
    return Path(local, slack), between


def lost(site, window, points, directions) -> np.ndarray:
    """Whether points (k, 2) lose the sun in `directions` (3, m, n), by rays: (k, m, n)."""
    here, shape = on_site(window, points), directions.shape[1:]
    many = directions[0].size
    suns = np.tile(directions.reshape(3, -1), len(here))
    found = beam_share(site, window, np.repeat(here, many, axis=0), suns) == 0.0
    return found.reshape(-1, *shape)


def assert_holds(inside, outside, rays, front) -> None:
    """What is inside is lost all along the path, what is outside nowhere on it.

    Behind the glass rays see nothing; those paths say nothing.
    """
    assert not (inside & outside).any()
    assert rays[inside & front].all()
    assert not rays[outside & front].any()


@pytest.mark.parametrize("kind", ["prism", "crown", "plates"])
@settings(max_examples=12)
@given(seed=seeds)
def test_sides_hold_all_along_the_path(kind, seed):
    rng = np.random.default_rng(seed)
    window = plain_window(rng) if kind != "plates" else random_window(rng)
    frame, glass = frame_for(window), glass_of(window)
    points = np.column_stack([points_on(rng, window, 5), np.zeros(5)])
    if kind == "prism":
        obstacle = random_obstacle(rng, window, "o")
        part = convex_parts(obstacle.footprint)[0]
        site = site_of(window, obstacle=[obstacle.model_copy(update={"footprint": part.tolist()})])
        solid = prism_before_glass(part, obstacle.base, obstacle.top, frame)
        aims = np.column_stack([part, np.full(len(part), obstacle.top)])
    elif kind == "crown":
        tree = random_tree(rng, window, "t")
        site = site_of(window, tree=[tree])
        solid = crown_before_glass(tree.trunk, tree.width, tree.bottom, tree.top, frame)
        aims = np.array([[*tree.trunk, z] for z in (tree.bottom, tree.top)])
    else:
        site, solid = site_of(window), None
    suns = random_suns(rng, window, 40) if kind == "plates" else suns_towards(rng, window, aims, 40)
    path, between = paths(rng, window, suns)
    normal = window_axes(window.azimuth, window.tilt)[2]
    front = (np.einsum("i,imn->mn", normal, between) > 1e-3).all(axis=1)
    rays = lost(site, window, points[:, :2], between)
    if kind == "plates":
        walls, shape = list(wall_cones(glass, points)), rays.shape[:2]
        inside = np.any([np.zeros(shape, bool), *(cones.inside(path) for cones in walls)], axis=0)
        outside = np.all([np.ones(shape, bool), *(cones.outside(path) for cones in walls)], axis=0)
        assert_holds(inside, outside, rays, front)
    elif solid is not None:
        (cones,) = cones_of([solid], points)
        inside, outside = cones.inside(path), cones.outside(path)
        assert_holds(inside, outside, rays, front)
        (untouched,) = touching(solid, glass.corners[None]).outside(path)
        assert not rays[:, untouched & front].any()
        assert not inside[:, untouched].any()
    # Of points of the sky nearly all are known.
    if solid is not None and kind != "plates":
        still = Path(path.nodes[:, :1], np.zeros(len(path.slack)))
        (cones,) = cones_of([solid], points)
        inside, outside = cones.inside(still), cones.outside(still)
        assert (inside | outside).mean() > 0.99


@given(seed=seeds)
@settings(max_examples=20)
def test_rows_bound_just_the_cone_of_their_rays(seed):
    rng = np.random.default_rng(seed)
    corners = np.array(random_footprint(rng, np.zeros(2)))
    rays = np.column_stack([corners, rng.uniform(0.1, 3.0, len(corners))])
    (rows,) = cone_rows(rays[None])
    assert (rows @ rays.T).max() < 1e-12
    weights = rng.dirichlet(np.ones(len(rays)), 50)
    assert (rows @ (weights @ rays).T).max() < 1e-12
    # Each side has at least two of the rays on it.
    assert ((np.abs(rows @ rays.T) < 1e-9).sum(axis=1) >= 2).all()
