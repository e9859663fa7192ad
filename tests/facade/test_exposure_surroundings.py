"""Direct sun on windows among obstacles and trees, against a scan of whole days with pvlib."""

from __future__ import annotations

from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from random_surroundings import plain_window, random_obstacle, random_tree
from random_windows import site_of
from sun_scan import DAYS, Day, assert_as_scanned, ends_of, scan

from suncover.base.clock import dates_bounds
from suncover.facade.daylight import Daylight
from suncover.facade.exposure import observer_of, spot_scene, sun_on_window, window_scene
from suncover.facade.search.crossings import lit_intervals
from suncover.site.model import Need, Overhang, Window


def test_wall_across_the_street_hides_the_low_sun():
    """10 m away, endless as far as it matters, 7 m above the lower edge of the glass and 8.4 above
    the upper: some of the glass is in sun while q is above (7 - 1.4) / 10.
    """
    day = DAYS["Greensboro, clocks go forward"]
    sky = scan(day)
    window = Window(
        name="w", azimuth=180, width=1.2, height=1.4, sill=1.0, floor=2.0, position=(5.0, 4.0)
    )
    wall = {
        "name": "across",
        "footprint": [(-4000, -6), (4000, -6), (4000, -9), (-4000, -9)],
        "top": 10.0,
    }
    _, up, out = sky.local(window)
    lit = sky.lit(window, 0.0) & (up / np.maximum(out, 1e-9) > (10.0 - 3.0 - 1.4) / 10.0)
    site = day.site(window, obstacle=[wall])
    found = sun_on_window(site, window, Need(beam=0.0), *ends_of(day))
    assert assert_as_scanned(found, sky.seconds, lit) == 1
    # A window that is not placed sees nothing of it.
    nowhere = window.model_copy(update={"position": None})
    free = sun_on_window(day.site(nowhere, obstacle=[wall]), nowhere, Need(beam=0.0), *ends_of(day))
    assert assert_as_scanned(free, sky.seconds, sky.lit(window, 0.0)) == 1


def test_leaves_come_and_go_at_local_midnight():
    """A crown that takes the middle of the day in leaf and nothing out of leaf."""
    day = Day(36.07, -79.79, 270, "America/New_York", date(2026, 4, 18))
    window = Window(name="w", azimuth=180, width=1, height=1, sill=1, position=(0.0, 0.0))
    crown = {"name": "t", "trunk": (0, -40), "width": 76.0, "bottom": -60.0, "top": 200.0}
    crown |= {"leaf": 0.0, "bare": 1.0, "in_leaf": ("04-20", "11-05")}
    start, need = day.span.start, Need(beam=120.0)
    found, bare = (
        sun_on_window(day.site(window, tree=trees), window, need, start, start + 4 * 86400)
        for trees in ([crown], [])
    )
    assert len(bare) == 4
    leaf_out = dates_bounds(date(2026, 4, 20), date(2026, 4, 20), ZoneInfo(day.zone)).start
    assert [s for s in found if s.end <= leaf_out] == [s for s in bare if s.end <= leaf_out]
    for number in range(4):
        noon = start + number * 86400 + 13 * 3600
        assert any(s.start < noon < s.end for s in found) == (noon < leaf_out)


@pytest.mark.parametrize("seed", range(8))
def test_search_among_obstacles_and_trees_loses_and_invents_nothing(seed):
    """Against the same scenes asked at every 15 seconds, for a window and for a spot behind it."""
    rng = np.random.default_rng(seed)
    window = plain_window(rng).model_copy(update={"reveal": 0.1, "overhang": Overhang(depth=0.5)})
    obstacles = [random_obstacle(rng, window, f"o{number}") for number in range(2)]
    shares = [{"leaf": leaf, "bare": 0.8, "in_leaf": ((4, 20), (11, 5))} for leaf in (0.0, 0.3)]
    trees = [random_tree(rng, window, f"t{n}", **share) for n, share in enumerate(shares)]
    inward = max(0.0, 2.0 / np.tan(np.radians(window.tilt)))
    spot = {"name": "s", "window": "w", "distance": 0.6 + inward, "height": window.sill}
    site = site_of(
        window,
        latitude=float(rng.uniform(-70, 70)),
        obstacle=obstacles,
        tree=trees,
        spot=[spot],
        need={"beam": float(rng.choice([0.0, 120.0])), "fraction": float(rng.choice([0.0, 0.2]))},
    )
    start = int(datetime(2026, 4, 18, tzinfo=UTC).timestamp())
    end, here = start + 3 * 86400, observer_of(site.place)
    times = np.arange(start, end, 15.0)
    for scene in (
        window_scene(site, window, site.need, start, end),
        spot_scene(site, site.spots[0], site.need, start, end),
    ):
        edges = lit_intervals(scene, here, start, end).ravel()
        found = np.searchsorted(edges, times, side="right") % 2 == 1
        sure = np.abs(times[:, None] - edges[None, :]).min(axis=1, initial=np.inf) > 0.1
        assert (found == scene.lit(Daylight.at(times, here)))[sure].all()
