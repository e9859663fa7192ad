"""Random yards: one window, what stands on it and around it, and spots in its room."""

import numpy as np

from suncover.facade.daylight import Daylight
from suncover.facade.scene import WindowScene
from suncover.site.model import Site

BARN = np.array([[0, 0], [8, 0], [8, 3], [3, 3], [3, 7], [0, 7]], float)  # an L
HOUSE = np.array([[0, 0], [6, 0], [6, 4], [0, 4]], float)


def random_site(rng: np.random.Generator) -> Site:
    """A window anywhere, facing any way, with obstacles, crowns and spots before and behind it."""
    azimuth = rng.uniform(0, 360)
    facing = np.radians(azimuth)
    out = np.array([np.sin(facing), np.cos(facing)])
    right = np.array([-np.cos(facing), np.sin(facing)])
    position = rng.uniform(-20, 20, 2)
    window = {
        "name": "w",
        "azimuth": azimuth,
        "tilt": float(rng.choice([90.0, 90.0, rng.uniform(20, 140)])),
        "width": rng.uniform(0.5, 2.5),
        "height": rng.uniform(0.5, 2.5),
        "sill": rng.uniform(0, 1.5),
        "floor": float(rng.choice([0.0, 2.8])),
        "position": position.tolist(),
        **_on_the_wall(rng),
    }

    def before(near: float, far: float) -> np.ndarray:
        """A place on the ground before the window."""
        return position + out * rng.uniform(near, far) + right * rng.uniform(-10, 10)

    return Site.model_validate(
        {
            "site": {
                "name": "yard",
                "latitude": rng.uniform(-70, 70),
                "longitude": rng.uniform(-180, 180),
                "elevation": rng.uniform(0, 2000),
            },
            "window": [window],
            "obstacle": [_obstacle(rng, before(5.5, 15), n) for n in range(rng.integers(0, 3))],
            "tree": [_tree(rng, before(3, 12), n) for n in range(rng.integers(0, 3))],
            "spot": [
                {
                    "name": f"spot {number}",
                    "window": "w",
                    # Deep enough to lie indoors behind sloping glass.
                    "distance": rng.uniform(1.2, 4),
                    "offset": rng.uniform(-1, 1),
                    "height": rng.uniform(0, 0.4) * window["sill"],
                }
                for number in range(2)
            ],
        }
    )


def _on_the_wall(rng):
    found = {}
    if rng.random() < 0.5:
        found["reveal"] = rng.uniform(0, 0.3)
    if rng.random() < 0.5:
        found["overhang"] = {
            "depth": rng.uniform(0.1, 1.5),
            "gap": float(rng.choice([0.0, 0.3])),
            "left": rng.uniform(-0.2, 1),
            "right": rng.uniform(-0.2, 1),
        }
    if rng.random() < 0.4:
        found["fin"] = [{"side": "left", "depth": 0.6, "gap": 0.1, "above": 0.3, "below": 0.0}]
    return found


def _obstacle(rng, middle, number):
    turn = rng.uniform(0, 2 * np.pi)
    rotate = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
    shape = BARN * rng.uniform(0.3, 1.0) if rng.random() < 0.5 else HOUSE
    corners = (shape - shape.mean(axis=0)) @ rotate.T + middle
    base = float(rng.choice([0.0, 0.0, 3.0]))
    return {
        "name": f"obstacle {number}",
        "footprint": corners.tolist(),
        "base": base,
        "top": base + rng.uniform(0.5, 6.0),
    }


def _tree(rng, trunk, number):
    bottom = rng.uniform(0.5, 3)
    return {
        "name": f"tree {number}",
        "trunk": trunk.tolist(),
        "width": rng.uniform(2, 6),
        "bottom": bottom,
        "top": bottom + rng.uniform(2, 8),
        "leaf": float(rng.choice([0.0, 0.15, 0.4])),
        "bare": 0.65,
    }


def drawn_share(scene: WindowScene, sun: Daylight) -> np.ndarray:
    """Share of the glass in enough sun, by its shadows drawn as polygons; before the glass."""
    u, v, n = scene.axes @ sun.direction
    share = np.zeros(len(n))
    front = np.flatnonzero(n > 1e-9)
    p, q = u[front] / n[front], v[front] / n[front]
    share[front] = scene.surroundings.lit_share(scene.glass, p, q, sun.take(front))
    return share
