"""What the surroundings leave of the sun on a glass, against rays cast from many of its points.

The rays' sun is ERFA's and their geometry is written anew (`raycast`): nothing of the program is
used on that side. The two suns agree to 0.001 degree, which moves a shadow's edge by 0.3 mm for
every 15 m to what throws it.
"""

from __future__ import annotations

from datetime import UTC, datetime

import numpy as np
import pytest
from random_scenes import random_site
from raycast import beam_share, erfa_sun, frame_of

from suncover.facade.daylight import Daylight
from suncover.facade.exposure import find_exposures, observer_of, window_scene
from suncover.site.model import Need, Site

DAY = 86_400
START = 1_767_225_600  # 2026-01-01 00:00 UTC
POINTS = 1200
# Share of a glass that the suns' 0.001 degree may move an edge by: 0.3 mm on half a metre.
EDGE = 0.001
GEOMETRY = Need(beam=0)


def points_of(window, rng, count=POINTS):
    """Random points of the glass, even over it, in the site's metres: (count, 3)."""
    origin, right, upward, _ = frame_of(window)
    x, y = rng.uniform(-0.5, 0.5, count) * window.width, rng.uniform(0, 1, count) * window.height
    return origin + x[:, None] * right + y[:, None] * upward


def suns_of(site, times):
    place = site.place
    return erfa_sun(times, place.latitude, place.longitude, place.elevation)


def is_up(sun):
    """Is the sun clear of the horizon by more than the two suns may differ?"""
    return sun[2] > np.sin(np.radians(0.01))


@pytest.mark.parametrize("seed", range(20))
def test_share_of_random_yards(seed):
    """The sunlit share is the mean of the rays', within five standard errors of a mean.

    Where no ray arrives the window is dark, where the share is not tiny and it is dark no ray does;
    with a threshold of share, lit means that more than that share of the rays arrives.
    """
    rng = np.random.default_rng([2026, seed])
    site = random_site(rng)
    window = site.windows[0]
    start = START + int(rng.integers(0, 330)) * DAY
    times = np.sort(rng.uniform(start, start + 20 * DAY, 120))
    sun = Daylight.at(times, observer_of(site.place))
    some, most = (
        window_scene(site, window, need, start, start + 20 * DAY)
        for need in (GEOMETRY, Need(beam=0, fraction=0.3))
    )
    points = points_of(window, rng)
    found = zip(some.sunlit_share(sun), some.lit(sun), most.lit(sun), strict=True)
    for (ours, is_lit, mostly), ray in zip(found, suns_of(site, times).T, strict=True):
        if not is_up(ray):
            continue
        rays = beam_share(site, window, points, ray)
        # The spread of a share by chance; of a share near 0 or 1, that of a single point.
        error = max(rays.std(), 1 / np.sqrt(POINTS)) / np.sqrt(POINTS)
        assert abs(rays.mean() - ours) < 5 * error + EDGE
        arrive = (rays > 0).mean()
        if not is_lit:
            assert arrive < EDGE
        if ours > 0.01 + EDGE:
            assert is_lit
        # Five standard errors of a share of 0.3.
        if abs(arrive - 0.3) > 5 * np.sqrt(0.3 * 0.7 / POINTS) + EDGE:
            assert mostly == (arrive > 0.3)


def yard(window, latitude=46.0, longitude=8.0, **tables):
    pane = {"name": "w", "azimuth": 180, "width": 1.2, "height": 1.4, "sill": 0.9}
    return Site.model_validate(
        {
            "site": {"name": "yard", "latitude": latitude, "longitude": longitude},
            "need": {"beam": 0},
            "window": [{**pane, "position": [0, 0], **window}],
            **tables,
        }
    )


def crown(name, trunk, **keys):
    return {"name": name, "trunk": trunk, "width": 5, "bottom": 0.5, "top": 9, "leaf": 0.4, **keys}


def noon(year, month, day):
    """Solar noon at 8 degrees east, within the equation of time."""
    return datetime(year, month, day, 11, 28, tzinfo=UTC).timestamp()


def share_at(site, when):
    scene = window_scene(site, site.windows[0], GEOMETRY, int(when) - DAY, int(when) + DAY)
    return scene.sunlit_share(Daylight.at(np.array([when]), observer_of(site.place)))[0]


def test_two_crowns_in_a_row_multiply():
    """A glass wholly in the shade of both gets 0.4 x 0.25 of the beam, of one 0.4 or 0.25."""
    near, far = crown("near", [0, -6]), crown("far", [0, -13], leaf=0.25, top=14, width=9)
    when = noon(2026, 2, 1)
    assert share_at(yard({}, tree=[near]), when) == pytest.approx(0.4)
    assert share_at(yard({}, tree=[far]), when) == pytest.approx(0.25)
    assert share_at(yard({}, tree=[near, far]), when) == pytest.approx(0.1)
    # And the rays say so too.
    both = yard({}, tree=[near, far])
    ray = suns_of(both, np.array([when]))[:, 0]
    points = points_of(both.windows[0], np.random.default_rng(1), 200)
    assert beam_share(both, both.windows[0], points, ray) == pytest.approx(0.1)


@pytest.mark.parametrize(
    ("place", "in_leaf", "leafy", "bare"),
    [
        pytest.param(
            (46, 180, [0, -6]), ["04-20", "11-05"], (2026, 10, 20), (2026, 2, 10), id="north"
        ),
        pytest.param((-38, 0, [0, 6]), ["09-20", "05-10"], (2026, 5, 5), (2026, 8, 1), id="south"),
    ],
)
def test_leaf_dates_on_either_side_of_the_equator(place, in_leaf, leafy, bare):
    """South of the equator the season in leaf runs over the new year."""
    latitude, azimuth, trunk = place
    tree = crown("maple", trunk, leaf=0.1, bare=0.7, in_leaf=in_leaf, top=11)
    site = yard({"azimuth": azimuth}, latitude=latitude, tree=[tree])
    assert share_at(site, noon(*leafy)) == pytest.approx(0.1)
    assert share_at(site, noon(*bare)) == pytest.approx(0.7)


def test_a_crown_is_a_wall_only_while_too_little_comes_through():
    """Through a crown that lets 0.4 through, sun counts from a clear-sky beam of 300 W/m².

    The window is in its shade all day; its sun ends as that of a bare window at 300 W/m² does.
    """
    wide = crown("oak", [0, -6], width=40, bottom=-20, top=30)
    start, end = START + 60 * DAY, START + 70 * DAY
    veiled = yard({"position": [0, 0]}, tree=[wide])
    bare = yard({})
    ours = find_exposures(veiled, start, end, Need(beam=120))["w"]
    assert ours == find_exposures(bare, start, end, Need(beam=300))["w"]
    assert len(ours) == 10
