"""The beam's energy on windows, against pvlib's angle of incidence and sums of its own."""

import numpy as np
import pandas as pd
import pytest
from pvlib import irradiance, solarposition

from suncover.base.spell import Spell
from suncover.facade.exposure import observer_of
from suncover.heat.beam_heat import beam_kwh
from suncover.site.model import Site
from suncover.sun.clearsky import clear_sky_dni

NOON = 1_780_308_000  # 2026-06-01 10:00 UTC


def site_of(**window: object) -> Site:
    return Site.model_validate(
        {
            "site": {"name": "s", "latitude": 47.0, "longitude": 8.0},
            "window": [{"name": "w", "azimuth": 150, "width": 2, "height": 1.5, **window}],
        }
    )


@pytest.mark.parametrize(("azimuth", "tilt"), [(150, 90), (100, 90), (200, 35)])
def test_a_bare_window_gets_what_pvlibs_angles_give(azimuth, tilt):
    site = site_of(azimuth=azimuth, tilt=tilt)
    spell = Spell(NOON - 3600, NOON + 5400)
    seconds = np.arange(spell.start, spell.end, 10) + 5.0
    times = pd.DatetimeIndex(pd.to_datetime(seconds, unit="s", utc=True))
    sun = solarposition.get_solarposition(times, 47.0, 8.0)
    angle = irradiance.aoi(tilt, azimuth, sun["apparent_zenith"], sun["azimuth"])
    facing = np.maximum(np.cos(np.radians(angle.to_numpy())), 0.0)
    dni = clear_sky_dni(seconds, observer_of(site.place))
    expected = float((dni * facing).sum()) * 10 * 3.0 / 3.6e6
    # Sums in steps of a minute and of ten seconds differ far less than in 1,000.
    assert beam_kwh(site, site.all_shades()[0], [spell]) == pytest.approx(expected, rel=1e-3)


def test_spells_add_up_and_a_shaded_window_gets_nothing():
    site = site_of()
    shade = site.all_shades()[0]
    parts = [Spell(NOON, NOON + 1234), Spell(NOON + 1234, NOON + 3000)]
    whole = beam_kwh(site, shade, [Spell(NOON, NOON + 3000)])
    assert sum(beam_kwh(site, shade, [part]) for part in parts) == pytest.approx(whole, rel=1e-3)
    assert whole > 0
    behind = site_of(skyline=[[0, 89], [180, 89]])
    assert beam_kwh(behind, behind.all_shades()[0], parts) == 0
    assert beam_kwh(site, shade, []) == 0
