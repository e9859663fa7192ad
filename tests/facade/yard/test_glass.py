"""A window among obstacles and trees: what is settled for a stretch of time holds in all of it."""

from __future__ import annotations

from datetime import UTC, datetime

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from random_scenes import drawn_share, random_site

from suncover.facade.daylight import Daylight
from suncover.facade.exposure import observer_of, window_scene
from suncover.facade.plates import sunlit_fraction
from suncover.facade.scene import WindowScene
from suncover.facade.search.paths import cell_slack
from suncover.facade.search.share_search import STEPS
from suncover.facade.search.sun_grid import SLICE, STRIDE
from suncover.facade.yard.cones import Path, Stretch
from suncover.site.model import Need, Site
from suncover.sun.position import Observer, sun_directions

seeds = st.integers(0, 2**32 - 1)
DAY = 86400
START = int(datetime(2026, 4, 1, tzinfo=UTC).timestamp())
END = START + 60 * DAY


def crowded(rng: np.random.Generator) -> Site:
    while True:
        site = random_site(rng)
        if site.obstacles or site.trees:
            return site


def stretches(
    scene: WindowScene, observer: Observer, begin: np.ndarray, step: float, days: int
) -> Stretch:
    """Cells of `days` days by `step` seconds, or the one day's stretches for 0 days."""
    corners = begin + np.array([0.0, step, days * DAY, days * DAY + step])[:, None]
    directions = sun_directions(corners[: 4 if days else 2], observer, smooth=True)
    slack = cell_slack(directions[2].min(axis=0), step, days)
    nodes = np.einsum("ij,jcm->icm", scene.axes, directions)
    return Stretch(begin, begin + step + max(days - 1, 0) * DAY, Path(nodes, slack))


SPANS = [(SLICE, STRIDE), *((step, 0) for step in STEPS[::3])]


@pytest.mark.parametrize(("step", "days"), SPANS)
@settings(max_examples=15)
@given(seed=seeds, beam=st.sampled_from([0.0, 120.0]), fraction=st.sampled_from([0.1, 0.3]))
def test_what_is_settled_holds_all_the_time(seed, beam, fraction, step, days):
    rng = np.random.default_rng(seed)
    site = crowded(rng)
    observer = observer_of(site.place)
    need = Need(beam=beam, fraction=fraction)
    scene = window_scene(site, site.windows[0], need, START, END)
    assert scene.yard is not None
    begin = rng.uniform(START, END - 9 * DAY, 150)
    stretch = stretches(scene, observer, begin, step, days)
    state = scene.yard.settled(stretch)
    if days == 0:
        at_ends = [scene.yard.share(Daylight.at(begin + end, observer)) for end in (0.0, step)]
        between = scene.yard.settled_between(stretch, np.stack(at_ends))
        state = np.where(state == 0, between, state)
    for _ in range(4):
        times = begin + rng.choice([0.0, 1.0, rng.uniform()]) * step
        times += DAY * rng.integers(0, max(days, 1), 150)
        sun = Daylight.at(times, observer)
        share = drawn_share(scene, sun)
        u, v, n = scene.axes @ sun.direction
        run = np.where(n > 1e-9, n, np.inf)
        alone = sunlit_fraction(u / run, v / run, scene.glass)
        asked = (sun.elevation > 0.0) & (n > 1e-9) & (alone > fraction + 1e-9)
        # Down to a beam that counts by itself, which is asked elsewhere.
        asked &= sun.elevation > scene.gate.height(times)
        # Crowns are drawn to 0.0001 of their size.
        drawn = 1e-4
        assert (share[asked & (state > 0)] > fraction - drawn).all()
        assert (share[asked & (state < 0)] < fraction + drawn + 1e-7).all()
