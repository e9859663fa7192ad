"""How far the sun falls in within spells, and the dose of light that spots get."""

from dataclasses import dataclass

import numpy as np
import pandas as pd
import pvlib
import pytest

from suncover.facade.exposure import find_exposures, observer_of, sun_on_spots
from suncover.facade.frame import profile_angle
from suncover.plan.room_sun import LUMENS_PER_WATT, reach_by_spell, spot_doses
from suncover.site.model import Need, Site
from suncover.sun.position import sun_position

DAY = 86_400
START = 1_788_220_800  # 2026-09-01 00:00 UTC
END = START + 20 * DAY


PLACE = {"name": "x", "latitude": 47.37, "longitude": 8.54, "elevation": 400}
STUDY = {"name": "study", "azimuth": 150, "width": 1.6, "height": 1.4, "sill": 0.8}
SPOTS = [
    {"name": "desk", "window": "study", "distance": 1.4, "height": 0.75},
    {"name": "far wall", "window": "study", "distance": 30, "height": 0.75},
]


def home(**tables):
    window = [{**STUDY, "position": [0, 0]}]
    return Site.model_validate({"site": PLACE, "window": window, "spot": SPOTS, **tables})


@dataclass(frozen=True)
class Run:
    close: int
    open: int
    position: int = 100


@pytest.mark.parametrize("height", [0.0, 0.75])
def test_farthest_of_each_spell_by_the_profile_angle(height):
    """A bare pane: (head - level) / tan Ω at the lowest profile angle of the spell."""
    site = home()
    need = Need(beam=120)
    spells = find_exposures(site, START, END, need)["study"]
    ours = reach_by_spell(site, site.windows[0], spells, need, height)
    for spell, far in zip(spells, ours, strict=True):
        sun = sun_position(np.arange(spell.start, spell.end), observer_of(site.place))
        angle = profile_angle(sun.apparent_elevation, sun.azimuth, 150).min()
        expected = (0.8 + 1.4 - height) / np.tan(np.radians(angle))
        # Looked at a second from the ends, and every minute between.
        assert far == pytest.approx(expected, rel=0.002)
    assert len(ours) == 20


def test_no_spells_no_reach_and_no_sun_on_a_level_above_the_glass():
    site = home()
    assert reach_by_spell(site, site.windows[0], [], site.need) == []
    spells = find_exposures(site, START, START + DAY)["study"]
    assert np.isnan(reach_by_spell(site, site.windows[0], spells, site.need, 2.5)).all()


def test_dose_against_pvlibs_clear_sky_summed_over_the_spells():
    """The beam of pvlib's own clear sky, every 30 s while the spot is in sun."""
    site = home()
    desk, wall = spot_doses(site, START, END, {})
    spells = sun_on_spots(site, START, END, Need(beam=0))
    location = pvlib.location.Location(47.37, 8.54, altitude=400)
    times = np.arange(START, END, 30)
    index = pd.DatetimeIndex(pd.to_datetime(times, unit="s", utc=True))
    beam = location.get_clearsky(index)["dni"].to_numpy()
    for dose, name in ((desk, "desk"), (wall, "far wall")):
        inside = np.zeros(times.shape, bool)
        for spell in spells[name]:
            inside |= (times >= spell.start) & (times < spell.end)
        # Each of the spells' 40 ends may take in half a step too much or too little.
        assert dose.kwh_per_m2 == pytest.approx(beam[inside].sum() * 30 / 3.6e6, rel=0.004)
        assert dose.seconds == sum(spell.seconds for spell in spells[name])
        assert dose.kwh_left_per_m2 == dose.kwh_per_m2
        assert dose.klux_hours == pytest.approx(dose.kwh_per_m2 * LUMENS_PER_WATT)
    assert desk.kwh_per_m2 > 20


def test_a_crown_weakens_the_dose_by_its_share():
    tree = {"name": "oak", "trunk": [5, -9], "width": 60, "bottom": -30, "top": 30, "leaf": 0.4}
    veiled, bare = (spot_doses(home(**t), START, END, {})[0] for t in ({"tree": [tree]}, {}))
    assert veiled.seconds == bare.seconds
    assert veiled.kwh_per_m2 == pytest.approx(0.4 * bare.kwh_per_m2)


def test_what_closings_leave_of_the_dose():
    site = home(shade=[{"name": "roller", "windows": ["study"], "stops": [30, 100]}])
    whole = spot_doses(site, START, END, {})[0]
    spells = sun_on_spots(site, START, END, Need(beam=0))["desk"]
    closed = [Run(spell.start, spell.end) for spell in spells]
    assert spot_doses(site, START, END, {"roller": closed})[0].kwh_left_per_m2 == 0
    first = spot_doses(site, START, END, {"roller": closed[:1]})[0]
    assert 0.9 * whole.kwh_per_m2 < first.kwh_left_per_m2 < whole.kwh_per_m2
    # Down by less than it takes, a shade leaves the sun on the spot at the time of its lowest rays.
    part = [Run(spell.start, spell.end, 30) for spell in spells]
    left = spot_doses(site, START, END, {"roller": part})[0].kwh_left_per_m2
    assert 0 < left < whole.kwh_per_m2
    # The plan of another shade is none of this window's.
    other = spot_doses(site, START, END, {"other": closed})[0]
    assert other.kwh_left_per_m2 == whole.kwh_per_m2


def test_a_dose_without_sun_is_nothing():
    north = home(spot=[{"name": "shelf", "window": "study", "distance": 0.5, "height": 2.6}])
    (dose,) = spot_doses(north, START, END, {"study": [Run(START, START + 10)]})
    assert (dose.seconds, dose.kwh_per_m2, dose.klux_hours_left) == (0, 0, 0)
