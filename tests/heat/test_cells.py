"""The glass cut into cells: held against closed forms, polygons drawn by shapely, and itself."""

import numpy as np
import pytest

from suncover.facade.daylight import Daylight
from suncover.facade.exposure import glass_of, observer_of, window_scene
from suncover.facade.frame import Slopes, shadow_slopes
from suncover.facade.plates import sunlit_fraction
from suncover.heat.cells import CELLS, STRIPS, depth_of, leaves_at, lit_strips, overhang_of
from suncover.site.model import Fin, Obstacle, Overhang, Place, Site, Tree, Window

ROOF = Overhang(depth=0.7, gap=0.2, left=0.3, right=0.1)
FINS = (Fin(side="left", depth=0.4, gap=0.1, above=0.3, below=0.0), Fin(side="right", depth=0.3))
WINDOWS = [
    Window(name="roof", azimuth=180, width=1.2, height=1.4, overhang=ROOF),
    Window(name="fins", azimuth=150, width=1.2, height=1.4, fins=FINS),
    Window(name="deep", azimuth=200, width=0.9, height=1.6, reveal=0.3),
    Window(name="all", azimuth=95, width=2.0, height=1.1, reveal=0.15, overhang=ROOF, fins=FINS),
    Window(name="tilted", azimuth=180, tilt=65, width=1.2, height=1.4, overhang=ROOF),
]
# An edge through a cell is exact; two of them in one are not, for a cell's share of the glass.
ONE_CELL = 1.0 / (STRIPS * CELLS)


def some_slopes(count: int = 4000, seed: int = 7) -> Slopes:
    rng = np.random.default_rng(seed)
    direction = rng.normal(size=(3, count))
    direction[2] = np.abs(direction[2]) + 0.05
    direction /= np.linalg.norm(direction, axis=0)
    return Slopes(direction[0] / direction[2], direction[1] / direction[2], direction[2])


@pytest.mark.parametrize("window", WINDOWS, ids=lambda window: window.name)
def test_plates_and_reveal_are_those_of_the_closed_form(window):
    glass, slopes = glass_of(window), some_slopes()
    exact = sunlit_fraction(slopes.p, slopes.q, glass)
    strips = lit_strips(glass, None, slopes, np.zeros((0, len(slopes.p))))
    found = strips.share(depth_of(glass))
    assert found == pytest.approx(exact, abs=2 * ONE_CELL)
    assert float(np.mean(found - exact)) == pytest.approx(0.0, abs=1e-3)


WALL = Obstacle(name="wall", footprint=((-6, -5), (1, -7), (2, -6), (-5, -4)), top=2.6)
TREES = (
    Tree(name="near", trunk=(1.0, -4.0), width=3.0, bottom=0.5, top=5.0, leaf=0.2, bare=0.7),
    Tree(name="far", trunk=(-3.0, -9.0), width=6.0, bottom=1.0, top=9.0, leaf=0.1),
)
PLACE = Place(name="x", latitude=47.0, longitude=8.0)


def yard(window: Window) -> Site:
    placed = window.model_copy(update={"position": (0.0, 0.0), "sill": 0.8})
    return Site(place=PLACE, windows=(placed,), obstacles=(WALL,), trees=TREES)


@pytest.mark.parametrize("window", WINDOWS[:4], ids=lambda window: window.name)
def test_obstacles_and_crowns_are_those_of_drawn_polygons(window):
    """Joint shares: `Surroundings.beam_share` draws every shadow and cuts them by shapely."""
    site = yard(window)
    pane = site.windows[0]
    seconds = 1_782_000_000.0 + np.arange(0.0, 365 * 86_400.0, 7_517.0)
    scene = window_scene(site, pane, site.need, int(seconds[0]), int(seconds[-1]) + 1)
    sun = Daylight.at(seconds, observer_of(PLACE))
    slopes = shadow_slopes(sun.direction, scene.axes)
    some = np.flatnonzero(slopes.in_front & (sun.direction[2] > 0.0))
    slopes, seconds = slopes.take(some), seconds[some]
    around = scene.surroundings
    exact = around.beam_share(scene.glass, slopes.p, slopes.q, seconds)
    strips = lit_strips(scene.glass, around, slopes, leaves_at(around, seconds))
    found = strips.share(depth_of(scene.glass))
    assert np.abs(found - exact).max() < 3 * ONE_CELL
    weight = slopes.cos_incidence
    assert float(found @ weight) == pytest.approx(float(exact @ weight), rel=2e-3)
    assert 0.05 < exact.mean() < 0.95


@pytest.mark.parametrize("window", [WINDOWS[0], WINDOWS[3]], ids=lambda window: window.name)
def test_what_every_depth_takes_is_what_each_depth_leaves(window):
    """The sum over all depths at once, beside the share at each depth alone."""
    site = yard(window)
    scene = window_scene(site, site.windows[0], site.need, 0, 86_400)
    around, slopes = scene.surroundings, some_slopes(900)
    leaves = np.full((2, 900), 0.3)
    strips = lit_strips(scene.glass, around, slopes, leaves, overhang_of(scene.glass))
    weights = np.random.default_rng(3).uniform(size=(900, 2))
    depths = np.array([0.05, 0.3, 0.7, 1.6])
    lost = strips.lost(weights, depths)
    bare = strips.share(0.0)
    for depth, row in zip(depths, lost, strict=True):
        assert row == pytest.approx((bare - strips.share(float(depth))) @ weights, rel=1e-9)


def test_nothing_around_takes_light_twice():
    """Two walls, one behind the other, hide what the nearer hides."""
    near = WALL.model_copy(update={"top": 3.0})
    far = near.model_copy(
        update={"name": "far", "footprint": ((-9, -9), (6, -9), (6, -8), (-9, -8))}
    )
    window = WINDOWS[2].model_copy(update={"position": (0.0, 0.0)})
    shares = []
    for obstacles in ((near,), (near, far.model_copy(update={"top": 1.0}))):
        site = Site(place=PLACE, windows=(window,), obstacles=obstacles)
        scene = window_scene(site, window, site.need, 0, 86_400)
        slopes = some_slopes(600, seed=5)
        strips = lit_strips(scene.glass, scene.surroundings, slopes, np.zeros((0, 600)))
        shares.append(strips.share(0.0))
    assert (shares[1] <= shares[0] + 1e-12).all()
