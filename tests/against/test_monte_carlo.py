"""Sky, ground and beam through windows deep among things, against random rays.

The rays are cast by `raycast`, which shares nothing with the package: each from a random point of
the glass into a random direction. Directions are drawn by the cosine law, so that a view factor is
the mean of what gets through, and a mean gain the mean of the gain at the ray's angle. Three times
the standard error of so many rays is what is allowed.
"""

import numpy as np
import pytest
from raycast import beam_share, erfa_sun, frame_of

from suncover.facade.exposure import observer_of, window_scene
from suncover.heat.by_row import view_factors
from suncover.heat.gain import lit_share
from suncover.heat.glass import class_table
from suncover.heat.tally import Tally
from suncover.site.model import Fin, Obstacle, Overhang, Place, Site, Tree, Window
from suncover.sun.sky import sky_of
from suncover.sun.weather.year import LightRows

PLACE = Place(name="x", latitude=46.5, longitude=9.0)
# A loggia: set back 1.2 m, a ceiling above and walls at both sides.
LOGGIA = Window(
    name="loggia",
    azimuth=200,
    width=2.4,
    height=2.0,
    sill=0.2,
    overhang=Overhang(depth=1.2, gap=0.1, left=0.2, right=0.2),
    fins=(Fin(side="left", depth=1.2, gap=0.2), Fin(side="right", depth=1.2, gap=0.2)),
)
DEEP = Window(name="deep", azimuth=95, width=1.0, height=1.2, reveal=0.45, sill=0.9)
YARD = Window(
    name="yard", azimuth=170, width=1.6, height=1.3, reveal=0.12, sill=0.8, position=(0.0, 0.0),
    overhang=Overhang(depth=0.7, gap=0.2, left=0.3, right=0.3),
)  # fmt: skip
WALL = Obstacle(name="wall", footprint=((-7, -6), (2, -8), (3, -7), (-6, -5)), top=3.0)
TREES = (
    Tree(name="near", trunk=(1.5, -5.0), width=3.5, bottom=1.0, top=6.0, leaf=0.25, bare=0.25),
    Tree(name="far", trunk=(-4.0, -11.0), width=6.0, bottom=1.0, top=10.0, leaf=0.1, bare=0.1),
)
SITES = {
    "loggia": Site(place=PLACE, windows=(LOGGIA,)),
    "deep reveal": Site(place=PLACE, windows=(DEEP,)),
    "wall among trees": Site(place=PLACE, windows=(YARD,), obstacles=(WALL,), trees=TREES),
}
RAYS = 10_000
MIDSUMMER = 1_782_000_000.0


def thrown(site: Site, seed: int = 11) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Random rays from the glass: what gets through, the cosine of incidence, the rise."""
    window = site.windows[0]
    rng = np.random.default_rng(seed)
    origin, right, upward, outward = frame_of(window)
    radius, turn = np.sqrt(rng.uniform(size=RAYS)), rng.uniform(0, 2 * np.pi, RAYS)
    out = np.sqrt(1 - radius**2)
    direction = (
        np.outer(radius * np.cos(turn), right)
        + np.outer(radius * np.sin(turn), upward)
        + np.outer(out, outward)
    )
    across = rng.uniform(-0.5, 0.5, RAYS) * window.width
    up = rng.uniform(0, 1, RAYS) * window.height
    points = origin + np.outer(across, right) + np.outer(up, upward)
    return beam_share(site, window, points, direction.T), out, direction[:, 2]


@pytest.fixture(scope="module", params=list(SITES))
def rays(request):
    site = SITES[request.param]
    return site, *thrown(site)


def test_view_factors_are_those_of_random_rays(rays):
    site, share, _, rise = rays
    views = view_factors(site, site.windows[0].name)
    for found, part in ((views.sky, rise > 0), (views.ground, rise < 0)):
        seen = share * part
        assert found == pytest.approx(seen.mean(), abs=3 * seen.std() / np.sqrt(RAYS))


@pytest.mark.parametrize("glass", ["double clear", "triple low-e"])
def test_gains_for_sky_and_ground_are_those_of_random_rays(rays, glass):
    """What is let in of an even sky, beside what an open window lets in."""
    site, share, cosine, rise = rays
    table = class_table(glass)
    gain = table.gain(cosine)
    views = view_factors(site, site.windows[0].name)
    found = views.gains(table.gain, site.windows[0].tilt)
    open_gain = table.diffuse  # of the hemisphere, by its integral
    for got, part in ((found[0], rise > 0), (found[1], rise < 0)):
        weight = share * part
        mean = (weight * gain).sum() / weight.sum()
        error = np.sqrt((weight**2 * (gain - mean) ** 2).sum()) / weight.sum()
        assert got == pytest.approx(mean / open_gain, abs=3 * error / open_gain + 1e-3)


def sky_over_the_year(site: Site) -> object:
    """A hundred hours, by the year and the day, of an even sky with some sun."""
    begin = MIDSUMMER - 170 * 86_400.0
    start = begin + np.arange(0.0, 365 * 86_400.0, 3.71 * 86_400.0 + 4_000.0)
    light = np.ones(len(start))
    rows = LightRows(start, 3600.0, 500.0 * light, 600.0 * light, 120.0 * light)
    return sky_of(rows, observer_of(PLACE), 0.2)


@pytest.mark.parametrize("name", list(SITES))
def test_the_lit_share_over_the_year_is_that_of_rays_from_many_points(name):
    """The sun by ERFA, refracted by SPA's formula; 100 points of the glass for each instant, one
    anywhere in each hundredth of it.
    """
    site = SITES[name]
    window = site.windows[0]
    sky = sky_over_the_year(site)
    scene = window_scene(
        site, window, site.need, int(sky.seconds.min()), int(sky.seconds.max()) + 1
    )
    facing = Tally.by_row(sky, 1).facing(window.azimuth, window.tilt)
    found = np.zeros(len(sky.seconds))
    found[facing.slots] = lit_share(scene, sky, facing)
    origin, right, upward, outward = frame_of(window)
    rng = np.random.default_rng(2)
    begin = np.arange(10) / 10
    across, up = (grid.ravel() for grid in np.meshgrid(begin - 0.5, begin))

    def points():
        right_by, up_by = (at + rng.uniform(0.0, 0.1, 100) for at in (across, up))
        return (
            origin
            + np.outer(right_by * window.width, right)
            + np.outer(up_by * window.height, upward)
        )

    sun = erfa_sun(sky.seconds, PLACE.latitude, PLACE.longitude)
    cosine = np.maximum(outward @ sun, 0.0) * (sun[2] > 0.0)
    rays = np.array([beam_share(site, window, points(), one).mean() for one in sun.T])
    # An edge crosses some twenty of the hundred parts: 0.02 by chance at an instant, of which there
    # are hundreds.
    assert float((found * cosine).sum()) == pytest.approx(float((rays * cosine).sum()), rel=0.004)
    assert np.abs(found - rays)[cosine > 0.02].max() < 0.12
