"""What never matters to a window is left out of the search, and no second of sun changes."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest

from suncover.facade import exposure
from suncover.facade.hours import hours
from suncover.facade.yard.matter import with_what_matters
from suncover.site.model import Site


def a_site(latitude: float, azimuth: float, tilt: float, beam: float, seed: int) -> Site:
    """A window among forty boxes and six trees, near and far, low and high."""
    random = np.random.default_rng(seed)
    obstacles, trees = [], []
    for number in range(46):
        away, way = 14 + 120 * random.random(), random.uniform(0, 2 * np.pi)
        east, north = away * np.sin(way), away * np.cos(way)
        if number < 40:
            half, base = random.uniform(2, 8), float(random.choice([0.0, 3.0]))
            corners = [(-half, -half), (half, -half), (half, half), (-half, half)]
            obstacles.append(
                {
                    "name": f"box {number}",
                    "footprint": [[east + x, north + y] for x, y in corners],
                    "base": base,
                    "top": base + random.uniform(1, 15),
                }
            )
        else:
            tree = {"name": f"tree {number}", "trunk": [east, north], "width": 6, "bottom": 2}
            trees.append({**tree, "top": random.uniform(5, 14), "leaf": 0.1})
    window = {"name": "w", "azimuth": azimuth, "tilt": tilt, "width": 1.4, "height": 1.2}
    window |= {"sill": 1.0, "position": [0.5, -0.5], "floor": 2.5}
    place = {"name": "m", "latitude": latitude, "longitude": 10, "timezone": "Etc/GMT"}
    tables = {"need": {"beam": beam}, "window": [window], "obstacle": obstacles, "tree": trees}
    return Site.model_validate({"site": place, **tables})


@pytest.mark.parametrize(
    ("latitude", "azimuth", "tilt", "beam"),
    [
        (52.0, 160.0, 90.0, 120.0),
        (-38.0, 40.0, 90.0, 0.0),
        (67.5, 5.0, 90.0, 0.0),
        (-3.0, 175.0, 90.0, 120.0),
        (35.0, 250.0, 40.0, 0.0),
        (-20.0, 300.0, 110.0, 0.0),
        (82.0, 330.0, 90.0, 0.0),
    ],
)
def test_no_second_of_sun_changes(latitude, azimuth, tilt, beam, monkeypatch):
    site = a_site(latitude, azimuth, tilt, beam, seed=round(azimuth))
    window = site.windows[0]
    less = with_what_matters(site, window)
    assert len(less.obstacles) < len(site.obstacles)
    assert less.obstacles
    spans = [(date(2027, m, 10), date(2027, m, 16)) for m in (1, 4, 6, 9)]
    found = [hours(site, *span) for span in spans]
    monkeypatch.setattr(exposure, "with_what_matters", lambda site, *_: site)
    assert found == [hours(site, *span) for span in spans]
    assert any(spells for part in found for spells in part.values())
