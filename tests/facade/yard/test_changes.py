"""How shadows change on the sun's way: against the beam left on the glass, step by step."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from random_scenes import random_site
from random_windows import random_window, site_of

from suncover.facade.daylight import Daylight
from suncover.facade.exposure import observer_of, window_scene
from suncover.facade.glazed import Glass, overhang_plate
from suncover.facade.search.paths import cell_slack
from suncover.facade.yard.changes import beam_change, solid_shadow
from suncover.facade.yard.cones import Path, Stretch
from suncover.facade.yard.solids import Crown, Prism
from suncover.facade.yard.swing import Swing
from suncover.site.model import Site
from suncover.sun.position import directions_at

seeds = st.integers(0, 2**32 - 1)
BEGIN = 1_780_272_000.0
STEPS = 13
# What of the shares is rounding, and what polygons of overlapping crowns are off by.
ROUNDING, DRAWN = 1e-9, 2e-4


def held_on_the_way(site: Site, rng: np.random.Generator) -> None:
    """Random stretches of 10 s to 20 minutes of a sun before the glass: at no time does the share
    of the beam there change faster, or slower, than is said of its stretch.
    """
    length = 1200.0 / 2.0 ** int(rng.integers(0, 8))
    begin = BEGIN + np.floor(rng.uniform(0, 180 * 86400 / length, 60)) * length
    scene = window_scene(site, site.windows[0], site.need, BEGIN, BEGIN + 180 * 86400)
    observer = observer_of(site.place)
    ends = directions_at(np.stack([begin, begin + length]), observer, smooth=True)
    nodes = np.einsum("ij,jcm->icm", scene.axes, ends)
    good = np.flatnonzero((nodes[2].min(axis=0) > 0.05) & (ends[2].min(axis=0) > 0.01))
    if len(good) == 0:
        return
    begin, nodes, ends = begin[good], nodes[:, :, good], ends[:, :, good]
    path = Path(nodes, cell_slack(ends[2].min(axis=0), length, 0))
    change = scene.beam_change(Stretch(begin, begin + length, path))
    times = begin + np.linspace(0.0, length, STEPS)[:, None]
    sun = Daylight(times.ravel(), directions_at(times.ravel(), observer, smooth=True))
    shares = scene.share_past(sun).reshape(times.shape)
    slack = ROUNDING + (DRAWN if len(site.trees) > 1 else 0.0)
    slowest, fastest = (speed / (STEPS - 1) for speed in change.speed)
    rise = np.diff(shares, axis=0)
    assert (rise <= fastest + slack).all()
    assert (rise >= slowest - slack).all()
    low, high = change.bounds(shares[0], shares[-1])
    assert (shares >= low - slack).all()
    assert (shares <= high + slack).all()


@given(seeds)
def test_plates_and_reveals_change_no_faster_and_no_slower(seed):
    rng = np.random.default_rng(seed)
    window = random_window(rng)
    held_on_the_way(site_of(window, latitude=float(rng.uniform(-66, 66))), rng)


@given(seeds)
def test_nor_do_obstacles_and_trees(seed):
    rng = np.random.default_rng(seed)
    held_on_the_way(random_site(rng), rng)


def swing(p: tuple[float, float], q: tuple[float, float]) -> Swing:
    """From one pair of slopes to another, without slack."""
    nodes = np.array([p, q, (1.0, 1.0)])
    nodes = nodes / np.sqrt((nodes * nodes).sum(axis=0))
    return Swing.along(Path(nodes[:, :, None], np.zeros(1)))


def test_an_overhang_s_edge_that_sinks_takes_its_depth_times_the_glass_s_width():
    # From q = 1 to 1.001, a plate 0.8 m deep takes 0.8 * 0.001 of 2 m by 1 m: no faster, no slower.
    bare = Glass(2.0, 1.0)
    glass = Glass(2.0, 1.0, plates=(overhang_plate(bare, 0.8),))
    change = beam_change(glass, swing((0.0, 0.0), (1.0, 1.001)))
    assert [float(part[0]) for part in (change.gain, change.least_gain)] == [0.0, 0.0]
    assert change.loss[0] == pytest.approx(0.8e-3, rel=3e-3)
    assert change.least_loss[0] == pytest.approx(0.8e-3, rel=3e-3)


def test_a_ball_that_comes_in_from_aside_only_takes():
    # 5 m before the glass: as p falls its shadow moves to the right, onto the glass. Its middle is
    # 0.1 m aside of that, so that it is 2 √(0.3² - 0.1²) m high at its edge.
    ball = Crown(np.array([0.5, 0.5, 5.0]), np.array([0.0, 1.0, 0.0]), 0.3, 0.3)
    shadow = solid_shadow(ball, Glass(1.0, 1.0), swing((0.12, 0.1199), (0.0, 0.0)))
    change = shadow.change
    assert change.gain[0] == change.least_gain[0] == 0.0
    taken = 5.0 * 1e-4 * 2.0 * np.sqrt(0.3**2 - 0.1**2)
    # Arcs are bounded, not measured: by more than they are, or less.
    assert taken * 0.7 < change.least_loss[0] <= taken * 1.001
    assert taken * 0.999 <= change.loss[0] < taken * 1.3


def test_of_two_shadows_one_may_hide_the_other_s_edges():
    wall = Prism(np.array([[x, y, 4.0] for x, y in [(-9, -1), (9, -1), (9, 0.5), (-9, 0.5)]]))
    glass, sinks = Glass(2.0, 1.0), swing((0.0, 0.0), (0.001, 0.002))
    shadow = solid_shadow(wall, glass, sinks)
    every = np.arange(1)
    alone = beam_change(glass, sinks, [(every, shadow)])
    assert alone.least_gain[0] == pytest.approx(4e-3, rel=0.02)
    both = beam_change(glass, sinks, [(every, shadow), (every, shadow)])
    assert both.least_gain[0] == 0.0
    assert both.gain[0] == pytest.approx(8e-3, rel=0.02)
