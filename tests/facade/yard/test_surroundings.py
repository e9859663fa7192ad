"""What stands around a window and how much of the beam it leaves: against rays and pvlib's sky."""

from __future__ import annotations

from datetime import UTC, datetime

import numpy as np
import pandas as pd
import pvlib
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from random_surroundings import (
    in_local,
    plain_window,
    random_obstacle,
    random_tree,
    shaded_window,
    suns_towards,
)
from random_windows import on_site, points_on, site_of, slopes_of, within_cone
from raycast import beam_share

from suncover.facade.daylight import BeamGate, Daylight
from suncover.facade.exposure import glass_of, observer_of, window_scene
from suncover.facade.glazed import Glass
from suncover.facade.shadows import Patch
from suncover.facade.yard.of_site import foliage_of
from suncover.facade.yard.surroundings import BeamThrough, Foliage, Surroundings
from suncover.site.model import Need, Site, Window

seeds = st.integers(0, 2**32 - 1)
DAY = 86400
START = int(datetime(2026, 6, 1, tzinfo=UTC).timestamp())
END = START + 30 * DAY


def beam_of_clear_sky(site: Site, elevation: np.ndarray, seconds: float) -> np.ndarray:
    """pvlib's clear-sky beam in W/m² for a sun at apparent `elevation`, on the day of `seconds`."""
    place = site.place
    index = pd.DatetimeIndex([int(seconds) // DAY * DAY * 1_000_000_000], tz="UTC")
    turbidity = pvlib.clearsky.lookup_linke_turbidity(index, place.latitude, place.longitude)
    pressure = pvlib.atmosphere.alt2pres(place.elevation)
    airmass = pvlib.atmosphere.get_relative_airmass(90.0 - elevation)
    absolute = pvlib.atmosphere.get_absolute_airmass(airmass, pressure)
    extra = pvlib.irradiance.get_extra_radiation(index).to_numpy()
    zenith, low = 90.0 - elevation, elevation <= 0.0
    sky = pvlib.clearsky.ineichen(zenith, absolute, turbidity.to_numpy(), place.elevation, extra)
    return np.where(low, 0.0, np.nan_to_num(np.asarray(sky["dni"])))


def scenery(rng: np.random.Generator, beam: float) -> tuple[Site, Window, np.ndarray]:
    """Bare or shaded glass behind an obstacle or none and up to three trees."""
    window = shaded_window(rng) if rng.random() < 0.5 else plain_window(rng)
    obstacles = [random_obstacle(rng, window, "o")] if rng.random() < 0.6 else []
    trees = [
        random_tree(rng, window, f"t{n}", leaf=float(rng.choice([0.0, 0.1, 0.4, 0.8])))
        for n in range(rng.integers(1, 4))
    ]
    site = site_of(window, obstacle=obstacles, tree=trees, need={"beam": beam})
    seen = [[*tree.trunk, (tree.bottom + tree.top) / 2] for tree in trees]
    seen += [[*corner, obstacle.top] for obstacle in obstacles for corner in obstacle.footprint]
    return site, window, np.array(seen, dtype=float)


def around(site: Site, window: Window) -> Surroundings:
    found = window_scene(site, window, site.need, START, END).surroundings
    assert found is not None
    return found


def sun_at(suns: np.ndarray, rng: np.random.Generator, radius: float = 0.0) -> Daylight:
    """Those directions at instants drawn at random; nothing but the date hangs on the instant."""
    seconds = START + rng.uniform(0, END - START, suns.shape[1])
    return Daylight(seconds, suns, radius)


def counts(site: Site, sun: np.ndarray, seconds: float, share: np.ndarray) -> np.ndarray:
    """Whether a share of the beam is sun: by the clear sky's beam or, with beam 0, if any."""
    elevation = np.degrees(np.arcsin(sun[2]))
    if site.need.beam == 0.0:
        return (share > 0.0) & (elevation > 0.0)
    beam = beam_of_clear_sky(site, np.array([elevation]), seconds)
    return share * beam > site.need.beam


@settings(max_examples=15)
@given(seeds, st.sampled_from([0.0, 120.0, 400.0]))
def test_what_reaches_a_point_is_what_rays_and_the_sky_say(seed, beam):
    rng = np.random.default_rng(seed)
    site, window, seen = scenery(rng, beam)
    bare = window.model_copy(update={"reveal": 0.0, "overhang": None, "fins": ()})
    suns = suns_towards(rng, window, seen, 25)
    suns = suns[:, suns[2] > 0.0]
    sun = sun_at(suns, rng)
    (point,) = points_on(rng, window, 1)
    here = np.append(point, 0.0)
    reached = around(site, window).reaches(here, sun, in_local(window, suns))
    for number, direction in enumerate(suns.T):
        # With all of the beam on its way it counts for sure: how low the sun stands is not asked.
        share = beam_share(site, bare, on_site(window, here[None]), direction)
        expected = (share == 1.0) | counts(site, direction, sun.seconds[number], share)
        assert reached[number] == expected[0]


@settings(max_examples=15)
@given(seeds, st.sampled_from([0.0, 120.0, 400.0]))
def test_share_of_the_glass_as_by_random_rays(seed, beam):
    rng = np.random.default_rng(seed)
    site, window, seen = scenery(rng, beam)
    suns = suns_towards(rng, window, seen, 8)
    suns = suns[:, suns[2] > np.sin(np.radians(6.0))]  # high enough for the beam itself to count
    slopes, glass, sun = slopes_of(window, suns), glass_of(window), sun_at(suns, rng)
    shade = around(site, window)
    lit = shade.lit_share(glass, slopes.p, slopes.q, sun)
    mean = shade.beam_share(glass, slopes.p, slopes.q, sun.seconds)
    rays = 600
    for number, direction in enumerate(suns.T):
        points = on_site(window, points_on(rng, window, rays))
        shares = beam_share(site, window, points, direction)
        counted = (shares == 1.0) | counts(site, direction, sun.seconds[number], shares)
        # Five standard deviations of so many draws, and two rays.
        spread = 5 * np.sqrt(lit[number] * (1 - lit[number]) / rays) + 2 / rays
        assert counted.mean() == pytest.approx(lit[number], abs=spread)
        assert shares.mean() == pytest.approx(mean[number], abs=5 * 0.5 / np.sqrt(rays))


@settings(max_examples=25)
@given(seeds, st.sampled_from([0.0, 120.0, 400.0]), st.floats(0.01, 0.7))
def test_what_is_settled_for_a_cone_holds_for_all_of_it(seed, beam, radius):
    """Whole panes, single points, and the bounds of the share, within one day."""
    rng = np.random.default_rng(seed)
    site, window, seen = scenery(rng, beam)
    glass, shade = glass_of(window), around(site, window)
    suns = suns_towards(rng, window, seen, 15)
    suns = suns[:, suns[2] > np.sin(np.radians(6.0))]
    sun = sun_at(suns, rng, radius)
    radii, local = np.full(suns.shape[1], radius), in_local(window, suns)
    slopes = slopes_of(window, suns)
    patch = Patch.around(slopes.p, slopes.q, slopes.cos_incidence, radii)
    known = np.flatnonzero(np.isfinite(patch.p))
    pane = shade.settled(glass.corners, sun, local, radii)
    point = np.append(points_on(rng, window, 1)[0], 0.0)
    alone = shade.settled(point[None], sun, local, radii)
    least, most = shade.share_bounds(
        glass, slopes.take(known), sun.take(known), patch.take(known), radii[known]
    )
    cones = within_cone(rng, suns, radii, 10)
    for number in range(suns.shape[1]):
        inside = cones[:, number]
        inside = inside[:, in_local(window, inside)[2] > 1e-6]
        seconds = np.full(inside.shape[1], sun.seconds[number])
        exact, there = Daylight(seconds, inside), slopes_of(window, inside)
        if alone[number]:
            reached = shade.reaches(point, exact, in_local(window, inside))
            assert (reached == (alone[number] > 0)).all()
        share = shade.lit_share(glass, there.p, there.q, exact)
        bare = shade.lit_share(Glass(glass.width, glass.height), there.p, there.q, exact)
        if pane[number]:
            assert bare == pytest.approx(np.full(len(bare), float(pane[number] > 0)), abs=1e-12)
        if number in known:
            place = int(np.searchsorted(known, number))
            assert (least[place] <= share + 1e-9).all()
            assert (most[place] >= share - 1e-9).all()


SHADY = Window(name="w", azimuth=180, width=1, height=1, sill=1, position=(0.0, 0.0))


def tree(name: str, trunk: tuple[float, float], **shares: object) -> dict:
    return {"name": name, "trunk": trunk, "width": 6.0, "bottom": 0.0, "top": 40.0, **shares}


@pytest.mark.parametrize(
    ("shares", "beam", "reached"),
    [
        ([0.2], 120.0, False),
        ([0.24], 120.0, True),
        ([0.5, 0.48], 120.0, True),
        ([0.5, 0.4], 120.0, False),
        ([0.02], 0.0, True),
        ([0.02, 0.02, 0.02], 0.0, True),
        ([0.0], 0.0, False),
        ([0.9, 0.0], 0.0, False),
        ([1.0], 120.0, True),
    ],
)
def test_crowns_weaken_the_beam_by_turns(shares, beam, reached):
    """A sun 30° high over trees in a row: pvlib's clear sky gives 553 W/m² there in June.

    With `beam` 0, only a crown that lets nothing through blocks.
    """
    trees = [tree(f"t{n}", (0.0, -8.0 - 7 * n), leaf=leaf) for n, leaf in enumerate(shares)]
    site = site_of(SHADY, tree=trees, need={"beam": beam})
    suns = np.array([[0.0], [-np.sqrt(0.75)], [0.5]])
    sun = Daylight(np.array([START + 12 * 3600.0]), suns)
    strength = beam_of_clear_sky(site, np.array([30.0]), START)[0]
    assert strength == pytest.approx(553.0, abs=1.0)
    shade = around(site, SHADY)
    here = np.array([0.5, 0.5, 0.0])
    assert shade.reaches(here, sun, in_local(SHADY, suns)).tolist() == [reached]
    share = shade.lit_share(glass_of(SHADY), np.array([0.0]), np.array([np.tan(np.pi / 6)]), sun)
    assert share.tolist() == [float(reached)]


def test_beam_through_a_crown_counts_from_the_height_at_which_the_sky_gives_more():
    site = site_of(SHADY)
    light = BeamThrough(START, END, observer_of(site.place), 120.0)
    elevation = np.linspace(0.1, 60.0, 400)
    suns = np.stack([0 * elevation, -np.cos(np.radians(elevation)), np.sin(np.radians(elevation))])
    sun = Daylight(np.full(400, START + 3600.0), suns)
    beam = beam_of_clear_sky(site, elevation, START)
    for share in (0.25, 0.5, 1.0):
        enough = light.enough(sun, np.full(400, share))
        assert (enough == (share * beam > 120.0)).all()
        assert enough.any()
        assert not enough.all()
        for radius in (0.5, 3.0):
            state = light.settled(sun, share, np.full(400, radius))
            reach = int(radius / 0.15)  # as many samples within the radius
            for number in range(reach, 400 - reach):
                around_it = enough[number - reach : number + reach + 1]
                assert state[number] != 1 or around_it.all()
                assert state[number] != -1 or not around_it.any()
            assert (state != 0).any()
    assert not light.enough(sun, np.zeros(400)).any()
    assert (light.settled(sun, 0.0, np.zeros(400)) == -1).all()


def foliage_in(site: Site, start: float, end: float) -> Foliage:
    return foliage_of(site.trees[0], site.place, BeamGate(start, end, observer_of(site.place), 0.0))


def test_foliage_changes_at_local_midnight_and_may_wrap_over_the_new_year():
    window = SHADY
    wrap = tree("t", (0, -9), leaf=0.1, bare=0.6, in_leaf=("10-15", "04-02"))
    site = site_of(window, tree=[wrap], place={"timezone": "Australia/Sydney"})

    def local(month, day, hour, offset):
        return datetime(2026, month, day, hour, tzinfo=UTC).timestamp() - offset * 3600

    start, end = int(local(3, 1, 0, 11)), int(local(12, 1, 0, 11))
    foliage = foliage_in(site, start, end)
    # Summer time (UTC+11) until 5 Apr, again from 4 Oct; 2 April is the last day in leaf.
    change, back = local(4, 3, 0, 11), local(10, 15, 0, 11)
    times = np.array([change - 1, change, change + 1, back - 1, back, back + 1])
    assert foliage.share(times).tolist() == [0.1, 0.6, 0.6, 0.6, 0.1, 0.1]
    assert (foliage.least, foliage.most) == (0.1, 0.6)


@pytest.mark.parametrize(
    ("leaves", "first", "share"),
    [
        ({"leaf": 0.1, "bare": 0.6, "in_leaf": ("04-20", "11-05")}, (2026, 1, 10), 0.6),
        ({"leaf": 0.1, "bare": 0.6, "in_leaf": ("04-20", "11-05")}, (2026, 7, 1), 0.1),
        ({"leaf": 0.2}, (2026, 7, 1), 0.2),
    ],
    ids=["bare", "in leaf", "evergreen"],
)
def test_foliage_that_does_not_change_in_the_time_asked_for(leaves, first, share):
    site = site_of(SHADY, tree=[tree("t", (0, -9), **leaves)])
    start = int(datetime(*first, tzinfo=UTC).timestamp())
    foliage = foliage_in(site, start, start + DAY)
    assert foliage.share(np.array([start, start + DAY])).tolist() == [share, share]


def test_nothing_around_a_window_without_a_place():
    nowhere = SHADY.model_copy(update={"position": None})
    site = site_of(nowhere, tree=[tree("t", (0, -9), leaf=0.0)])
    assert window_scene(site, nowhere, Need(), START, END).surroundings is None
    assert window_scene(site_of(SHADY), SHADY, Need(), START, END).surroundings is None
