"""What sightings should read, held against the search for hours of sun and against plain cases."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest
from made_sightings import made_site

from suncover.base.clock import day_bounds
from suncover.facade.exposure import find_exposures
from suncover.facing.estimate import between
from suncover.facing.expected import SightedWindow
from suncover.site.model import Need, Site
from suncover.site.sightings import Seen, Sighting

DAY = date(2027, 6, 10)
NEAR = 1.5 / 60  # minutes: times are found to about a second
# But where the sun rises or sets: refraction sets in within one step there, in which the sun's path
# is taken as straight.
RISE = 0.75


def noon(site: Site) -> float:
    bounds = day_bounds(DAY, site.place.zone)
    return (bounds.start + bounds.end) / 2


def read(site: Site, seen: Seen, at: float, **more: object) -> np.ndarray:
    """What one sighting should read."""
    sighting = Sighting.model_validate({"window": "w", "time": at, "seen": seen, **more})
    window = site.windows[0]
    return SightedWindow(site, window, [sighting]).expected(window)[0]


def sun(site: Site, beam: float) -> list[tuple[float, float]]:
    """Spells of sun on the day, minutes from noon."""
    bounds = day_bounds(DAY, site.place.zone)
    spells = find_exposures(site, bounds.start, bounds.end, Need(beam=beam))["w"]
    return [((s.start - noon(site)) / 60, (s.end - noon(site)) / 60) for s in spells]


@pytest.mark.parametrize(
    "window",
    [
        pytest.param({"azimuth": 95}, id="east"),
        pytest.param({"azimuth": 200, "reveal": 0.2}, id="behind a reveal"),
        pytest.param({"azimuth": 120, "overhang": {"depth": 0.8, "gap": 0.1}}, id="under a roof"),
        pytest.param({"azimuth": 270, "skyline": [(0, 10), (180, 25)]}, id="before hills"),
        pytest.param({"azimuth": 10, "tilt": 40}, id="roof light"),
    ],
)
def test_coming_and_leaving_are_those_of_the_search_for_hours(window: dict[str, object]) -> None:
    site = made_site(47.0, 8.0, 400.0, **window)
    any_sun, counted = sun(site, 0.0), sun(site, 120.0)
    on, off = (read(site, seen, noon(site)) for seen in ("on", "off"))
    assert on[:2] == pytest.approx([any_sun[0][0], counted[0][0]], abs=RISE)
    assert off[:2] == pytest.approx([counted[-1][1], any_sun[-1][1]], abs=RISE)
    assert on[1] == pytest.approx(counted[0][0], abs=NEAR)
    assert off[0] == pytest.approx(counted[-1][1], abs=NEAR)


def test_where_the_sun_comes_twice_the_nearest_counts_too() -> None:
    # A tower hides the sun about noon.
    tower = [(0, 0), (150, 0), (150, 80), (200, 80), (200, 0)]
    site = made_site(47.0, azimuth=180, skyline=tower)
    spells = sun(site, 0.0)
    assert len(spells) == 2
    afternoon = noon(site) + 60 * spells[1][0] - 300
    first = read(site, "on", afternoon)
    assert first[0] == pytest.approx(spells[0][0] - spells[1][0] + 5, abs=NEAR)
    assert first[2] == pytest.approx(5.0, abs=NEAR)


def test_a_window_without_sun_expects_nothing() -> None:
    # A wall to the north at 50° N in December.
    site = made_site(50.0, azimuth=0)
    winter = day_bounds(date(2027, 12, 21), site.place.zone)
    assert np.isnan(read(site, "on", (winter.start + winter.end) / 2)).all()


def test_states_are_the_spells_of_sun_and_shade() -> None:
    site = made_site(47.0, azimuth=95)
    [(begin, end)] = sun(site, 0.0)
    counted = sun(site, 120.0)[0]
    half_day = 12 * 60
    assert read(site, "already-on", noon(site))[:2] == pytest.approx([begin, end], abs=RISE)
    afternoon = noon(site) + 60 * (end + 100)
    off = read(site, "already-off", afternoon)[:2]
    assert off[0] == pytest.approx(-100, abs=NEAR)
    assert off[1] > 600
    dawn = noon(site) + 60 * (begin - 30)
    waiting = read(site, "not-yet-on", dawn)[:2]
    assert waiting[1] == pytest.approx(30 + counted[0] - begin, abs=NEAR)
    assert waiting[0] >= -half_day


def test_a_midnight_sun_is_cut_at_half_a_day() -> None:
    # At 75° N a flat window is in sun all day and night.
    site = made_site(75.0, azimuth=0, tilt=0)
    assert list(read(site, "already-on", noon(site))[:2]) == [-720.0, 720.0]
    assert np.isnan(read(site, "on", noon(site))).all()


def test_between_neighbours_times_run_evenly_and_jumps_do_not() -> None:
    here = np.array([[[0.0, 0.0, 0.0, 0.0]], [[0.0, 0.0, np.nan, np.nan]]])
    there = np.array([[[8.0, 8.0, 400.0, 400.0]], [[8.0, 8.0, 3.0, 3.0]]])
    found = between(here, there, np.array([2.0]), np.array([0.25, 0.75]))
    assert found.shape == (2, 2, 4)
    # Half the width of a piece to either side of 2 and of 6.
    assert found[0, :, 0] == pytest.approx([0.0, 4.0])
    assert found[0, :, 1] == pytest.approx([4.0, 8.0])
    assert found[0, :, 2] == pytest.approx([0.0, 400.0])
    assert np.isnan(found[1, 0, 2])
    assert found[1, 1, 2] == 3.0
