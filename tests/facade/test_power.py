"""Sun that counts from a power on the whole glass, against pvlib and rays.

The sun and the clear sky are pvlib's own (`sun_scan`); shadows are closed forms written here, or
rays cast by `raycast`, which shares nothing with the package.
"""

from __future__ import annotations

from datetime import date

import numpy as np
import pvlib
import pytest
import raycast
from random_scenes import random_site
from random_windows import random_window, site_of
from sun_scan import pvlib_sun

from suncover.base.clock import dates_bounds
from suncover.base.spell import Spell, intersect
from suncover.facade.exposure import find_exposures
from suncover.facade.hours import hours, peaks
from suncover.site.model import Overhang, Site, Window

ONE_SECOND = 1
# Points along each side of the glass from which rays are cast. A straight edge of a shadow, along a
# row of points at the worst, is off by half a row: so much of the glass for each of a few edges.
RAYS, EDGES = 40, 4
RAY_SHARE = 0.5 * EDGES / RAYS

PLACES = {
    "Porto Alegre": (-30.03, -51.22, 10.0),
    "Nairobi": (-1.29, 36.82, 1700.0),
    "Bergen": (60.39, 5.32, 12.0),
    "Wellington": (-41.29, 174.78, 30.0),
}


def sky_at(site: Site, seconds: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Unit vectors (3, n) to the apparent sun and the clear sky's beam (n,), both by pvlib."""
    place = site.place
    location = pvlib.location.Location(place.latitude, place.longitude, "UTC", place.elevation)
    sun, beam = pvlib_sun(location, seconds)
    up, around = (np.radians(sun[key].to_numpy()) for key in ("apparent_elevation", "azimuth"))
    return np.stack([np.cos(up) * np.sin(around), np.cos(up) * np.cos(around), np.sin(up)]), beam


def power_by_rays(site: Site, seconds: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Power on the whole glass (n,) by rays from a lattice of points, and on glass in full sun."""
    window = site.windows[0]
    sun, beam = sky_at(site, seconds)
    origin, right, upward, outward = raycast.frame_of(window)
    share = (np.arange(RAYS) + 0.5) / RAYS
    along, up = (part.ravel() for part in np.meshgrid(share - 0.5, share))
    points = origin + along[:, None] * window.width * right + up[:, None] * window.height * upward
    full = beam * np.maximum(outward @ sun, 0.0)
    shares = [raycast.beam_share(site, window, points, each).mean() for each in sun.T]
    return full * np.array(shares), full


def counted_with(site: Site, power: float, span: Spell) -> tuple[Spell, ...]:
    return find_exposures(site.with_power(power), span.start, span.end)["w"]


def runs(seconds: np.ndarray, state: np.ndarray) -> list[tuple[int, int]]:
    """First second in and first second out of each run of True."""
    edges = np.flatnonzero(np.diff(np.concatenate([[0], state.astype(int), [0]])))
    return [(int(seconds[a]), int(seconds[b - 1]) + 1) for a, b in edges.reshape(-1, 2)]


@pytest.mark.parametrize(
    ("place", "tilt", "roof"),
    [
        ("Porto Alegre", 90, False),
        ("Porto Alegre", 90, True),
        ("Nairobi", 35, False),
        ("Bergen", 90, True),
        ("Bergen", 35, False),
        ("Wellington", 90, True),
        ("Wellington", 90, False),
    ],
)
def test_to_the_second_where_the_shadow_has_a_closed_form(place, tilt, roof):
    """Bare walls, roof windows, and walls under an endless overhang, second by second."""
    latitude, longitude, elevation = PLACES[place]
    rng = np.random.default_rng([tilt, roof, len(place)])
    overhang = Overhang(depth=0.8, gap=0.1) if roof else None
    facts = {"azimuth": float(rng.uniform(0, 360)), "tilt": tilt, "width": 1.0, "height": 1.3}
    window = Window(name="w", sill=1.0, overhang=overhang, **facts)
    site = site_of(window, latitude=latitude, longitude=longitude, place={"elevation": elevation})
    day = date(2026, int(rng.integers(1, 13)), int(rng.integers(1, 29)))
    span = dates_bounds(day, day, site.place.zone)
    seconds = np.arange(span.start, span.end)
    sun, beam = sky_at(site, seconds)
    _, _, upward, outward = raycast.frame_of(window)
    ahead = np.maximum(outward @ sun, 1e-9)
    share = np.ones(len(seconds))
    if roof:  # its shadow begins depth * q - gap below the upper edge
        share = np.clip(1.0 - (0.8 * (upward @ sun) / ahead - 0.1) / 1.3, 0.0, 1.0)
    value = np.where((outward @ sun > 0) & (sun[2] > 0), beam * ahead * share, 0.0)
    power = float(rng.uniform(0.1, 0.95) * value.max())
    expected = runs(seconds, (value >= power) & (beam >= 120.0))
    found = [(spell.start, spell.end) for spell in counted_with(site, power, span)]
    assert len(found) == len(expected) > 0
    assert np.abs(np.subtract(found, expected)).max() <= ONE_SECOND


@pytest.mark.parametrize("seed", range(10))
def test_among_obstacles_and_trees_as_by_rays(seed):
    """Anywhere on Earth, glass of any tilt; the rays' power is right to a share of the glass."""
    rng = np.random.default_rng(seed)
    site = random_site(rng)
    day = date(2026, int(rng.integers(1, 13)), int(rng.integers(1, 29)))
    span = dates_bounds(day, day, site.place.zone)
    power = float(rng.choice([20.0, 60.0, 150.0, 300.0]))
    whole = find_exposures(site, span.start, span.end)["w"]
    found = counted_with(site, power, span)
    assert intersect(whole, found) == found
    times = [np.arange(spell.start + 2, spell.end - 1, 600) for spell in whole]
    times += [np.array([s.start + 2, s.end - 2]) for s in found if s.seconds > 4]
    seconds = np.unique(np.concatenate([np.zeros(0, dtype=int), *times]))
    if len(seconds) == 0:
        return
    value, full = power_by_rays(site, seconds)
    inside = np.array([any(s.start <= at < s.end for s in found) for at in seconds])
    slack = RAY_SHARE * full + 1e-6
    assert (value[inside] >= power - slack[inside]).all()
    assert (value[~inside] < power + slack[~inside]).all()
    # The greatest of each spell is no less than the rays', no more than that of glass in full sun.
    for spell, peak in zip(whole, peaks(site, {"w": whole})["w"], strict=True):
        some = (spell.start <= seconds) & (seconds < spell.end)
        assert peak >= (value - slack)[some].max(initial=0.0)
        assert peak <= full[some].max(initial=1500.0 if some.sum() < 3 else 0.0) * 1.02 + 1.0


def test_a_dip_and_a_peak_that_just_reach_it_are_found():
    """South-facing glass at noon: the greatest power of the day, by a scan of pvlib's."""
    window = Window(name="w", azimuth=180, width=1, height=1, sill=1)
    site = site_of(window, latitude=47.0, longitude=11.0)
    day = date(2026, 4, 3)
    span = dates_bounds(day, day, site.place.zone)
    seconds = np.arange(span.start, span.end, 1)
    sun, beam = sky_at(site, seconds)
    value = beam * np.maximum(raycast.frame_of(window)[3] @ sun, 0.0)
    most = float(value.max())
    # Just under the greatest, sun counts for half a minute about it; just over, not at all.
    expected = runs(seconds, value >= most - 1e-3)
    ((start, end),) = [(s.start, s.end) for s in counted_with(site, most - 1e-3, span)]
    assert len(expected) == 1
    assert end - start > 20
    assert abs((start + end) - sum(expected[0])) <= 60
    assert counted_with(site, most + 0.05, span) == ()
    ((peak,),) = peaks(site, hours(site, day, day)).values()
    assert peak == pytest.approx(most, abs=0.01)


@pytest.mark.parametrize("seed", range(5))
def test_more_power_is_part_of_less_and_peaks_reach_it(seed):
    rng = np.random.default_rng([seed, 7])
    site = random_site(rng)
    first = date(2026, int(rng.integers(1, 13)), 1)
    last = first.replace(day=6)
    span = dates_bounds(first, last, site.place.zone)
    whole = find_exposures(site, span.start, span.end)["w"]
    assert counted_with(site, 0.0, span) == whole
    before = whole
    for power in (1.0, 40.0, 160.0, 420.0):
        counted = site.with_power(power)
        found = hours(counted, first, last)
        # Ends are right to 0.05 s, and so may round to the next second.
        wider = tuple(Spell(s.start - 1, s.end + 1) for s in before)
        assert intersect(found["w"], wider) == found["w"]
        loose = peaks(counted, found)["w"]
        assert all(peak >= power - 0.5 for peak in loose)
        assert all(peak >= power for peak in peaks(counted, found, counted=power)["w"])
        before = found["w"]


def test_windows_searched_together_are_each_as_alone():
    """Windows with plates of all kinds, and one among obstacles, of one home."""
    rng = np.random.default_rng(11)
    windows = [
        random_window(rng).model_copy(update={"name": f"w{number}", "position": None})
        for number in range(9)
    ]
    windows.append(windows[0].model_copy(update={"name": "w", "position": (0.0, 0.0)}))
    tree = {"name": "t", "trunk": (1.0, -5.0), "width": 5.0, "bottom": 1.0, "top": 7.0, "leaf": 0.3}
    site = site_of(*windows, need={"power": 45.0}, tree=[tree])
    first, last = date(2026, 2, 20), date(2026, 3, 5)
    together = hours(site, first, last)
    assert sum(map(len, together.values())) > 50
    for window in site.windows:
        assert together[window.name] == hours(site, first, last, windows=[window.name])[window.name]


def test_leaves_that_come_end_it_at_midnight():
    """In the polar day: a crown that lets all through bare and a tenth in leaf, from 10 June."""
    window = Window(name="w", azimuth=0, width=1, height=1, sill=1, position=(0.0, 0.0))
    crown = {"name": "t", "trunk": (0, 60), "width": 110.0, "bottom": -60.0, "top": 200.0}
    crown |= {"leaf": 0.1, "bare": 1.0, "in_leaf": ("06-10", "09-01")}
    where = {"latitude": 71.0, "longitude": 25.0, "place": {"timezone": "Europe/Oslo"}}
    site = site_of(window, **where, need={"beam": 0.0}, tree=[crown])
    first, last = date(2026, 6, 9), date(2026, 6, 10)
    span = dates_bounds(first, last, site.place.zone)
    midnight = dates_bounds(last, last, site.place.zone).start
    assert any(s.start < midnight < s.end for s in counted_with(site, 0.0, span))
    found = counted_with(site, 150.0, span)
    assert midnight in [s.end for s in found]
    assert not any(s.start <= midnight + 600 < s.end for s in found)
