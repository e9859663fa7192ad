"""How the sun's light begins, by logs of `made_light.py` without a cloud: in which way, and when.

The sun there is ERFA's, panes are by Fresnel's formulas, and the sky's side toward the sun is
brighter, as in the skies of ISO 15469:2004.
"""

from datetime import date

import numpy as np
import pytest
from made_light import Logger, made_log
from made_sightings import made_site
from raycast import erfa_sun, frame_of

from suncover.facade.exposure import observer_of
from suncover.facing.light.edges import PANE_MIN, find_edges
from suncover.facing.light.fits import Edge
from suncover.facing.light.pattern import sunny_days
from suncover.site.model import Site


def late_min(edge: Edge, site: Site) -> float:
    """By how many minutes an edge is told late at a coming, or early at a leaving."""
    place = site.place
    times = edge.time + np.arange(-3600.0, 3601.0, 20.0)
    sun = erfa_sun(times, place.latitude, place.longitude, place.elevation)
    cosine = frame_of(site.windows[0])[3] @ sun
    if edge.coming:
        return (edge.time - np.interp(0.0, cosine, times)) / 60.0
    return (np.interp(0.0, -cosine, times) - edge.time) / 60.0


@pytest.mark.parametrize("panes", [0, 1, 2, 3])
@pytest.mark.parametrize(
    ("latitude", "azimuth", "first"),
    [
        pytest.param(48.0, 262.0, date(2027, 4, 5), id="a coming"),
        pytest.param(-35.0, 96.0, date(2027, 4, 20), id="a leaving"),
    ],
)
def test_number_of_panes_and_the_moment_are_told(
    latitude: float, azimuth: float, first: date, panes: int
) -> None:
    """Were the sky taken to be as bright all round, panes would be told as one more than there are,
    and the sun up to ten minutes early.
    """
    site = made_site(latitude, 12.0, azimuth=azimuth)
    logger = Logger(
        interval=300.0, through_glass=panes > 0, panes=max(panes, 1), noise=0.003, clear=1.0
    )
    log = made_log(site, logger, np.random.default_rng(3), first, 14)
    window = site.windows[0]
    edges = find_edges(log, site, window, sunny_days(log, observer_of(site.place), window))
    (ways,) = edges.ways
    assert ways[0].shape == ("ramp", "one pane", "two panes", "three panes")[panes]
    assert ways[0].share > 0.5
    late = [late_min(edge, site) for edge in edges.clear]
    assert len(late) > 10
    assert abs(np.median(late)) < PANE_MIN
