"""Looks at windows in their yards: a reason that is found to hold, holds all the time."""

from __future__ import annotations

from datetime import UTC, datetime

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from random_scenes import drawn_share, random_site

from suncover.facade.daylight import Daylight
from suncover.facade.exposure import observer_of, window_scene
from suncover.facade.glazed import Glass
from suncover.facade.search.paths import cell_slack, stretches_of
from suncover.facade.search.sun_grid import SLICE, STRIDE
from suncover.facade.yard import solids
from suncover.facade.yard.cones import Path, Stretch
from suncover.facade.yard.solids import Prism
from suncover.facade.yard.surroundings import BeamThrough, Surroundings
from suncover.facade.yard.yards import Yards
from suncover.site.model import Need, Site
from suncover.sun.position import Observer, sun_directions

seeds = st.integers(0, 2**32 - 1)
DAY, MANY = 86400, 150
START = int(datetime(2026, 4, 1, tzinfo=UTC).timestamp())
END = START + 60 * DAY


# Metres of glass that are lit at both ends of a stretch: more than a sliver.
WIDE = 0.01


@pytest.fixture(scope="module", autouse=True)
def _fine_crowns():
    """Polygons of crowns with so many corners that they are the ellipses, to a few micrometres."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(solids, "OUTLINE", 2048)
        yield


def crowded(rng: np.random.Generator) -> Site:
    while True:
        site = random_site(rng)
        if site.obstacles or site.trees:
            return site


def cells(scene, observer, begin: np.ndarray) -> Stretch:
    """Cells of some days by a slice of the day."""
    corners = begin + np.array([0.0, SLICE, STRIDE * DAY, STRIDE * DAY + SLICE])[:, None]
    directions = sun_directions(corners, observer, smooth=True)
    slack = cell_slack(directions[2].min(axis=0), SLICE, STRIDE)
    nodes = np.einsum("ij,jcm->icm", scene.axes, directions)
    return Stretch(begin, begin + SLICE + (STRIDE - 1) * DAY, Path(nodes, slack))


@pytest.mark.parametrize("step", [5.0, 200.0, 2400.0, None])
@settings(max_examples=20)
@given(seed=seeds, beam=st.sampled_from([0.0, 120.0]))
def test_what_holds_for_a_reason_holds_all_the_time(seed, beam, step):
    """On stretches of a day from looks at both ends, in cells from one in their middle."""
    rng = np.random.default_rng(seed)
    site = crowded(rng)
    observer = observer_of(site.place)
    scene = window_scene(site, site.windows[0], Need(beam=beam), START, END)
    assert scene.yard is not None
    yards = Yards([(scene.axes, scene.glass, scene.yard.around)])
    begin = rng.uniform(START, END - 9 * DAY, MANY)
    if step is None:
        stretch = cells(scene, observer, begin)
    else:
        stretch = stretches_of(begin, begin + step, observer, scene.axes)
    touched, which = scene.yard.touched(stretch.path), np.arange(MANY)
    parts = yards.parts([touched])

    def seen(times):
        return yards.look(parts, which, Daylight.at(times, observer))

    if step is None:
        first = last = seen(begin + 4 * DAY + SLICE / 2.0)
    else:
        first, last = seen(stretch.begin), seen(stretch.end)
    holds = yards.holds(parts, which, stretch, first, last) & (first.lit == last.lit)
    for _ in range(4):
        times = begin + rng.choice([0.0, 1.0, rng.uniform()]) * (step or SLICE)
        times += DAY * rng.integers(0, 1 if step else STRIDE, MANY)
        sun = Daylight.at(times, observer)
        share = drawn_share(scene, sun)
        front = (scene.axes[2] @ sun.direction > 1e-9) & (sun.elevation > 0.0)
        # Down to a beam that counts by itself, which is asked elsewhere.
        asked = holds & front & (sun.elevation > scene.gate.height(times))
        # Polygons take a sliver for none.
        assert (share[asked & ~first.lit] < 1e-7).all()
        wide = np.minimum(first.value, last.value) > WIDE
        assert (share[asked & first.lit & wide] > 0.0).all()


# Corners of three slabs on glass of 2 m by 2 m: two that meet from 1.2 m up, and one between them.
LEFT = [(-9.0, -9.0), (-1.55, -9.0), (3.45, 11.0), (-9.0, 11.0)]
RIGHT = [(11.0, -9.0), (3.55, -9.0), (-1.45, 11.0), (11.0, 11.0)]


@pytest.mark.parametrize("apex", [1.6, 0.9], ids=["past where both meet", "short of that"])
def test_an_edge_that_takes_three_shadows_stays_dark(apex):
    """Each corner of the lower edge has one of two shadows, which do not meet on it; a third, that
    fills the gap, hides all the rest of the glass only where it reaches to where they meet.
    """
    glass, axes = Glass(2.0, 2.0), np.eye(3)
    amid = [(-0.5, -1.0), (2.5, -1.0), (1.0, apex)]
    prisms = tuple(
        Prism(np.array([(*xy, z) for z in (5.0, 6.0) for xy in ring]))
        for ring in (LEFT, RIGHT, amid)
    )
    around = Surroundings(prisms, (), BeamThrough(START, END, Observer(0.0, 0.0), 0.0))
    yards = Yards([(axes, glass, around)])
    parts, which = yards.parts([np.ones((3, 1), dtype=bool)]), np.zeros(1, dtype=np.int64)
    # The sun moves by less than the shadows overlap, 5 m before the glass.
    ways = [np.array([[0.004 * x], [0.002 * x], [1.0]]) for x in (-1.0, 0.0, 1.0)]
    suns = [way / np.linalg.norm(way) for way in ways]
    first, last = (
        yards.look(parts, which, Daylight(np.zeros(1), sun)) for sun in (suns[0], suns[-1])
    )
    path = Path(np.stack(suns, axis=1), np.full(1, 1e-6))
    held = yards.holds(parts, which, Stretch(np.zeros(1), np.ones(1), path), first, last)
    dark = apex > 1.2
    assert first.lit[0] == last.lit[0] == (not dark)
    assert held[0]
    if dark:
        assert first.between[2, 0] >= 0
        assert (first.hides > 0).all()
