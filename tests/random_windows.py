"""Windows and suns drawn at random, for checks that must hold whatever the window."""

import numpy as np

from suncover.facade.frame import Slopes, shadow_slopes, window_axes
from suncover.facade.search.panes import SkyForms
from suncover.site.model import Fin, Overhang, Site, Window


def random_window(rng: np.random.Generator, *, most_fins: int = 3) -> Window:
    """Any azimuth and tilt; a reveal, an overhang and fins, each of them or not."""

    width, height = float(rng.uniform(0.7, 3.0)), float(rng.uniform(0.7, 2.5))

    def ends(size: float) -> tuple[float | None, float | None]:
        """Endless, past the edge of the glass, short of it, or all beside it."""
        while True:
            reach = rng.uniform(-0.3, 0.8, 2) if rng.random() < 0.7 else rng.uniform(-3.5, 4.0, 2)
            if size + reach.sum() > 0.01:
                one, other = (None if rng.random() < 0.3 else float(end) for end in reach)
                return one, other

    (left, right), fin_ends = ends(width), [ends(height) for _ in range(most_fins)]
    overhang = Overhang(
        depth=float(rng.uniform(0.05, 1.5)),
        gap=float(rng.choice([0.0, rng.uniform(0.0, 0.8)])),
        left=left,
        right=right,
    )
    fins = tuple(
        Fin(
            side=str(rng.choice(["left", "right"])),
            depth=float(rng.uniform(0.05, 1.5)),
            gap=float(rng.choice([0.0, rng.uniform(0.0, 0.8)])),
            above=above,
            below=below,
        )
        for above, below in fin_ends[: rng.integers(0, most_fins + 1)]
    )
    return Window(
        name="w",
        azimuth=float(rng.uniform(0.0, 360.0)),
        tilt=float(rng.choice([90.0, rng.uniform(0.0, 180.0)])),
        width=width,
        height=height,
        sill=1.0,
        reveal=float(rng.choice([0.0, rng.uniform(0.0, 0.4)])),
        overhang=overhang if rng.random() < 0.7 else None,
        fins=fins,
        position=(0.0, 0.0),
    )


def random_suns(rng: np.random.Generator, window: Window, count: int) -> np.ndarray:
    """Unit vectors (3, count; east, north, up) in front of the glass, also from below."""
    local = rng.normal(size=(3, count))
    kind = np.arange(count) % 4
    # All over the hemisphere; near the normal, where most of the glass is lit; and in line with the
    # glass's height or its width, where shadows change sides.
    local[2] = np.abs(local[2]) * np.where(kind == 1, 3.0, 1.0) + 1e-3
    local[0] *= np.where(kind == 2, 0.03, 1.0)
    local[1] *= np.where(kind == 3, 0.03, 1.0)
    sun = window_axes(window.azimuth, window.tilt).T @ local
    return sun / np.linalg.norm(sun, axis=0)


def slopes_of(window: Window, sun: np.ndarray) -> Slopes:
    return shadow_slopes(sun, window_axes(window.azimuth, window.tilt))


def all_forms(forms: SkyForms, owner: np.ndarray, directions: np.ndarray) -> np.ndarray:
    """Every form of the glass `owner` (m,) at directions (3, m): (k, m)."""
    numbers = range(len(forms.degrees))
    return np.stack([forms.at(np.full_like(owner, n), owner, directions) for n in numbers])


def within_cone(
    rng: np.random.Generator, sun: np.ndarray, radius: np.ndarray, count: int
) -> np.ndarray:
    """Unit vectors (3, n, count) within `radius` (n,) degrees of `sun` (3, n), many on the rim."""
    helper = np.where(
        np.abs(sun[2]) < 0.9, np.array([[0.0], [0], [1]]), np.array([[1.0], [0], [0]])
    )
    first = np.cross(sun, helper, axis=0)
    first /= np.linalg.norm(first, axis=0)
    second = np.cross(sun, first, axis=0)
    turn = rng.uniform(0.0, 2.0 * np.pi, (sun.shape[1], count))
    share = np.minimum(rng.uniform(0.0, 1.5, (sun.shape[1], count)), 1.0)
    off = np.radians(radius)[:, None] * share
    aside = first[:, :, None] * np.cos(turn) + second[:, :, None] * np.sin(turn)
    return np.asarray(sun[:, :, None] * np.cos(off) + aside * np.sin(off))


def points_on(rng: np.random.Generator, window: Window, count: int) -> np.ndarray:
    """Points (count, 2) of the glass, from its lower left corner to the right and up, metres."""
    return rng.uniform(0.0, 1.0, (count, 2)) * [window.width, window.height]


def on_site(window: Window, points: np.ndarray) -> np.ndarray:
    """Points (k, 2 or 3) in the window's coordinates as points (k, 3) of the site."""
    local = np.zeros((len(points), 3))
    local[:, : points.shape[1]] = points
    local[:, 0] -= window.width / 2.0
    east, north = window.position or (0.0, 0.0)
    axes = window_axes(window.azimuth, window.tilt)
    return local @ axes + np.array([east, north, window.floor + window.sill])


def site_of(
    *windows: Window, latitude: float = 45.0, longitude: float = 10.0, **more: object
) -> Site:
    """A site with these windows; `more` as in a site file."""
    place = {"name": "test", "latitude": latitude, "longitude": longitude, "timezone": "UTC"}
    place |= more.pop("place", {})
    return Site.model_validate({"site": place, "window": windows, **more})
