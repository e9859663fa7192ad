"""Whole windows against a sun of ERFA's and rays, which share nothing with the program.

ERFA is the IAU's own collection of routines (through the package pyerfa). A window is in sun while
a ray gets to any point of its glass: points all along its edges, closest at the corners, and
within; and, lest a sliver lie between them, one in the middle of what plain polygons leave in sun.
"""

from dataclasses import dataclass
from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from random_windows import on_site, site_of
from raycast import beam_share, erfa_sun, frame_of
from thrown_plates import lit_glass

from suncover.base.clock import dates_bounds
from suncover.facade.exposure import sun_on_window
from suncover.site.model import Fin, Need, Overhang, Site, Window
from suncover.sun.position import Observer, sun_directions

# Reda and Andreas state 0.0003 degree for their algorithm; between UTC and UT1 there is up to 0.9 s
# (0.004 degree) and between the two clocks' fixed differences from terrestrial time 2 s, in which
# the sun moves by 0.00002 degree. The rays' points are up to some millimetres apart.
SECONDS = 5.0
DEGREES = 0.0003
# Rays are cast every so often, and what they find is then closed in on.
STEP = 30
SHORTEST = 60


@pytest.mark.parametrize("latitude", [-77.8, -33.9, 0.0, 36.1, 51.5, 69.6, 90.0])
def test_sun_stands_where_erfa_has_it(latitude):
    start = datetime(2026, 1, 1, tzinfo=UTC).timestamp()
    times = start + np.random.default_rng(7).uniform(0, 366 * 86400, 700)
    ours = sun_directions(times, Observer(latitude, 25.0, 120.0))
    theirs = erfa_sun(times, latitude, 25.0, 120.0)
    shown = (ours[2] > -0.003) & (theirs[2] > -0.003)  # sine; below, refraction sets in at once
    assert np.degrees(np.linalg.norm(ours - theirs, axis=0))[shown].max() < DEGREES


def edge_points(window: Window, count: int) -> np.ndarray:
    """Points (k, 2) all along the edges, from 10 µm beside each corner, and a grid within."""
    near = np.geomspace(1e-5, 0.02, 12)
    along = np.concatenate([[0.0], near, np.linspace(0.02, 0.98, count), 1.0 - near, [1.0]])
    none = np.zeros_like(along)
    sides = [(along, none), (along, none + 1.0), (none, along), (none + 1.0, along)]
    inner = np.linspace(0.01, 0.99, 9)
    within = (np.repeat(inner, 9), np.tile(inner, 9))
    points = np.concatenate([np.stack(side, axis=1) for side in (*sides, within)])
    # A hair within the glass: exactly on its edge, a ray along a plate might count either way.
    return (0.5 + (points - 0.5) * (1.0 - 1e-9)) * [window.width, window.height]


@dataclass
class Rays:
    """Whether any of a window's points is in sun, by ERFA's sun, one ray at a time."""

    site: Site
    window: Window
    count: int

    def lit(self, times: np.ndarray) -> np.ndarray:
        place = self.site.place
        points = on_site(self.window, edge_points(self.window, self.count))
        suns = erfa_sun(times, place.latitude, place.longitude, place.elevation)
        return np.array([self._reached(points, sun) for sun in suns.T])

    def _reached(self, points: np.ndarray, sun: np.ndarray) -> bool:
        if sun[2] <= 0.0:
            return False
        if self.window.skyline:
            azimuths, elevations = np.array(self.window.skyline).T
            azimuth = np.degrees(np.arctan2(sun[0], sun[1])) % 360.0
            line = np.interp(azimuth, azimuths, elevations, period=360.0)
            if np.degrees(np.arcsin(sun[2])) <= line:
                return False
        _, right, up, out = frame_of(self.window)
        if sun @ out <= 0.0:
            return False
        if (beam_share(self.site, self.window, points, sun) > 0.0).any():
            return True
        left = lit_glass(self.window, sun @ right / (sun @ out), sun @ up / (sun @ out))
        if left.is_empty or left.area == 0.0:
            return False
        sliver = np.array(left.representative_point().coords)
        return bool(beam_share(self.site, self.window, on_site(self.window, sliver), sun)[0] > 0.0)


def rayed_spells(site: Site, window: Window, start: int, end: int) -> list[tuple[float, float]]:
    coarse, fine = Rays(site, window, 30), Rays(site, window, 300)
    times = np.arange(start, end + STEP, STEP, dtype=float)
    lit = coarse.lit(times)
    (changes,) = np.nonzero(lit[1:] != lit[:-1])
    low, high, before = times[changes], times[changes + 1], lit[changes]
    for _ in range(6):
        middle = (low + high) / 2.0
        same = fine.lit(middle) == before if len(middle) else middle > 0
        low, high = np.where(same, middle, low), np.where(same, high, middle)
    edges = ((low + high) / 2.0).tolist()
    if lit[0]:
        edges.insert(0, float(start))
    if lit[-1]:
        edges.append(float(end))
    return [(edges[n], edges[n + 1]) for n in range(0, len(edges), 2)]


SIZES = {"width": 1.20, "height": 1.40, "sill": 0.90}
KITCHEN = Window(
    name="kitchen", azimuth=95, reveal=0.10, skyline=((60.0, 12.0), (95.0, 8.0), (130.0, 15.0)),
    overhang=Overhang(depth=0.60, gap=0.25, left=0.30, right=0.30),
    fins=(Fin(side="left", depth=0.40, gap=0.10, above=0.50, below=0.0),), **SIZES,
)  # fmt: skip
BALCONY = Window(
    name="balcony", azimuth=200, width=2.4, height=2.2,
    overhang=Overhang(depth=1.4, gap=0.1, left=0.6, right=0.2),
    fins=(
        Fin(side="left", depth=1.4, gap=0.6),
        Fin(side="right", depth=1.0, gap=0.2, above=-0.4, below=0.3),
    ),
)  # fmt: skip
ROOF = Window(name="roof", azimuth=315, tilt=40, width=0.8, height=1.2, sill=1.5, reveal=0.25)
LEANING = Window(
    name="leaning", azimuth=20, tilt=105, width=3.0, height=2.0, reveal=0.2,
    fins=(Fin(side="right", depth=0.5, below=-0.5), Fin(side="left", depth=0.8, above=0.1)),
)  # fmt: skip
FINNED = Window(
    name="finned", azimuth=270, width=1.0, height=2.0,
    fins=tuple(
        Fin(side=side, depth=0.5, gap=gap) for side in ("left", "right") for gap in (0, 0.4)
    ),
    overhang=Overhang(depth=0.3, left=0.1, right=0.0),
)  # fmt: skip
YARD = Window(
    name="yard", azimuth=170, width=1.6, height=1.3, sill=0.9, floor=0.3, position=(2.0, -1.0)
)
L_SHAPE = [(-14, -12), (-2, -12), (-2, -16), (-10, -16), (-10, -30), (-14, -30)]
BRIDGE = [(6, -9), (16, -6), (16, -8), (6, -11)]
AROUND = {
    "obstacle": [
        {"name": "L-shaped house", "footprint": L_SHAPE, "top": 7.5},
        {"name": "bridge", "footprint": BRIDGE, "base": 4.0, "top": 5.0},
    ],
    "tree": [
        {"name": "yew", "trunk": (4, -7), "width": 4.0, "bottom": 0.5, "top": 5.5, "leaf": 0.0},
        {"name": "birch", "trunk": (0, -6), "width": 3.0, "bottom": 1.0, "top": 9.0, "leaf": 0.3},
    ],
}

CASES = {
    "kitchen in Carolina": (KITCHEN, 36.1, -79.95, "America/New_York", (2026, 6, 1), {}),
    "kitchen at the equinox": (KITCHEN, 36.1, -79.95, "America/New_York", (2026, 3, 21), {}),
    "balcony in Lisbon": (BALCONY, 38.72, -9.14, "Europe/Lisbon", (2026, 4, 9), {}),
    "balcony in Santiago": (BALCONY, -33.45, -70.67, "America/Santiago", (2026, 12, 3), {}),
    "roof window in Tromso": (ROOF, 69.65, 18.96, "Europe/Oslo", (2026, 6, 5), {}),
    "leaning glass in Singapore": (LEANING, 1.35, 103.82, "Asia/Singapore", (2026, 7, 1), {}),
    "leaning glass in Wellington": (LEANING, -41.3, 174.8, "Pacific/Auckland", (2026, 2, 1), {}),
    "fins in Nairobi": (FINNED, -1.29, 36.82, "Africa/Nairobi", (2026, 1, 15), {}),
    "yard in Krakow": (YARD, 50.06, 19.94, "Europe/Warsaw", (2026, 10, 12), AROUND),
    "yard in Adelaide": (
        YARD.model_copy(update={"azimuth": 80.0, "position": (-20.0, -15.0)}),
        -34.93,
        138.6,
        "Australia/Adelaide",
        (2026, 11, 20),
        AROUND,
    ),
}


@pytest.mark.parametrize("name", CASES)
def test_spells_as_by_rays(name):
    window, latitude, longitude, zone, day, around = CASES[name]
    site = site_of(window, latitude=latitude, longitude=longitude, **around)
    span = dates_bounds(date(*day), date(*day), ZoneInfo(zone))
    found = sun_on_window(site, window, Need(beam=0.0), span.start, span.end)
    ours = [(spell.start, spell.end) for spell in found if spell.seconds >= SHORTEST]
    rays = rayed_spells(site, window, span.start, span.end)
    theirs = [spell for spell in rays if spell[1] - spell[0] >= SHORTEST]
    assert ours
    assert np.array(ours) == pytest.approx(np.array(theirs), abs=SECONDS)
