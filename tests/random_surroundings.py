"""Obstacles and trees about a window, drawn at random, so that they often matter to it."""

import numpy as np
import shapely
from random_windows import random_window, site_of

from suncover.facade.exposure import window_scene
from suncover.facade.frame import window_axes
from suncover.facade.yard.of_site import standpoint_of
from suncover.facade.yard.solids import Standpoint
from suncover.facade.yard.surroundings import Surroundings
from suncover.site.model import Need, Obstacle, Tree, Window


def plain_window(rng: np.random.Generator) -> Window:
    """Bare glass of any azimuth and tilt, up to a few metres above the ground, off the origin."""
    return Window(
        name="w",
        azimuth=float(rng.uniform(0.0, 360.0)),
        tilt=float(rng.choice([90.0, rng.uniform(20.0, 120.0)])),
        width=float(rng.uniform(0.7, 3.0)),
        height=float(rng.uniform(0.7, 2.5)),
        sill=float(rng.uniform(0.0, 2.0)),
        floor=float(rng.uniform(0.0, 6.0)),
        position=(float(rng.uniform(-5, 5)), float(rng.uniform(-5, 5))),
    )


def shaded_window(rng: np.random.Generator, most_fins: int = 1) -> Window:
    """Such a window with a reveal, an overhang and fins, each of them or not."""
    keys, window = ("width", "height", "reveal", "overhang", "fins"), plain_window(rng)
    shaded = random_window(rng, most_fins=most_fins)
    return window.model_copy(update={key: getattr(shaded, key) for key in keys})


def in_local(window: Window, suns: np.ndarray) -> np.ndarray:
    """Directions of the site in the window's axes."""
    return np.asarray(window_axes(window.azimuth, window.tilt) @ suns)


def frame_for(window: Window) -> Standpoint:
    return standpoint_of(window)


def ground_before(rng: np.random.Generator, window: Window, away: float) -> np.ndarray:
    """A place on the plan about `away` metres from the window, mostly before it."""
    turn = np.radians(window.azimuth + rng.normal(0.0, 50.0))
    return np.array(window.position) + away * np.array([np.sin(turn), np.cos(turn)])


def random_footprint(rng: np.random.Generator, middle: np.ndarray) -> list[tuple[float, float]]:
    """A simple polygon, seldom convex: corners about a middle, in the order of their bearing."""
    corners = int(rng.integers(3, 9))
    bearings = 2 * np.pi * (np.arange(corners) + rng.uniform(0.05, 0.95, corners)) / corners
    reach = rng.uniform(0.5, 6.0, corners)
    ring = middle + reach[:, None] * np.stack([np.cos(bearings), np.sin(bearings)], axis=1)
    if rng.random() < 0.5:
        ring = ring[::-1]
    return [(float(x), float(y)) for x, y in ring]


def random_obstacle(rng: np.random.Generator, window: Window, name: str) -> Obstacle:
    base = float(rng.choice([0.0, rng.uniform(-1.0, 6.0)]))
    while True:
        middle = ground_before(rng, window, float(rng.uniform(1.0, 25.0)))
        footprint = random_footprint(rng, middle)
        # Clear of the glass, which is up to 3 m wide: nobody builds into a window.
        if shapely.distance(shapely.Polygon(footprint), shapely.Point(window.position)) > 1.6:
            break
    return Obstacle(
        name=name,
        footprint=footprint,
        base=base,
        top=base + float(rng.uniform(0.3, 14.0)),
    )


def random_tree(rng: np.random.Generator, window: Window, name: str, **shares: float) -> Tree:
    bottom = float(rng.uniform(0.0, 5.0))
    trunk = ground_before(rng, window, float(rng.uniform(1.0, 18.0)))
    return Tree(
        name=name,
        trunk=(float(trunk[0]), float(trunk[1])),
        width=float(rng.uniform(1.0, 9.0)),
        bottom=bottom,
        top=bottom + float(rng.uniform(1.0, 9.0)),
        **(shares or {"leaf": 0.0}),
    )


def suns_towards(
    rng: np.random.Generator, window: Window, targets: np.ndarray, count: int
) -> np.ndarray:
    """Unit vectors (3, count) before the glass: half anywhere, half from it near to `targets`.

    `targets` (k, 3) points of the site.
    """
    axes = window_axes(window.azimuth, window.tilt)
    anywhere = rng.normal(size=(3, 4 * count))
    start = frame_for(window).origin
    aimed = targets[rng.integers(0, len(targets), 4 * count)] - start
    aimed = (aimed + 0.15 * np.linalg.norm(aimed, axis=1)[:, None] * rng.normal(size=aimed.shape)).T
    sun = np.where(np.arange(4 * count) % 2, anywhere, aimed)
    sun = sun[:, axes[2] @ sun > 1e-3 * np.linalg.norm(sun, axis=0)][:, :count]
    return np.asarray(sun / np.linalg.norm(sun, axis=0))


def with_house_and_tree(
    rng: np.random.Generator, count: int
) -> tuple[Window, Surroundings, np.ndarray]:
    """A window, an obstacle and a tree before it, and so many suns behind their corners."""
    window = plain_window(rng)
    house, tree = random_obstacle(rng, window, "o"), random_tree(rng, window, "t")
    site = site_of(window, obstacle=[house], tree=[tree])
    around = window_scene(site, window, Need(), 0, 86400).surroundings
    assert around is not None
    aims = [[*corner, house.top] for corner in house.footprint]
    aims += [[*tree.trunk, z] for z in (tree.bottom, tree.top)]
    return window, around, suns_towards(rng, window, np.array(aims), count)
