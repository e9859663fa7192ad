"""The rough shift of the sun's times, held against that by the sun's tables and the search."""

from __future__ import annotations

import pytest
from made_sightings import made_site

from suncover.facing.effect import azimuth_effect_minutes
from suncover.site.model import Need
from suncover.site.rough_shift import rough_shift

# What the rough sun leaves out: refraction (0.5° at the horizon, 3 minutes of the sun's turn and
# hardly any of a difference), half a degree of declination, and how strong the beam is where it is
# low. Minutes are shown whole.
MINUTE, SHARE = 1.0, 0.15


@pytest.mark.parametrize(
    "window",
    [
        pytest.param({"azimuth": 200.0}, id="south"),
        pytest.param({"azimuth": 120.0, "overhang": {"depth": 0.8, "gap": 0.1}}, id="under a roof"),
        pytest.param({"azimuth": 265.0, "reveal": 0.2}, id="west, behind a reveal"),
        pytest.param({"azimuth": 90.0}, id="east, from sunrise on"),
        pytest.param(
            {"azimuth": 180.0, "fins": [{"side": "left", "depth": 0.5}]}, id="beside a fin"
        ),
        pytest.param({"azimuth": 150.0, "tilt": 40}, id="in a roof"),
    ],
)
@pytest.mark.parametrize("latitude", [47.0, -34.0])
def test_the_rough_shift_is_about_that_by_the_suns_tables(
    window: dict[str, object], latitude: float
) -> None:
    azimuth = float(str(window["azimuth"])) + (180.0 if latitude < 0 else 0.0)
    site = made_site(latitude, 8.0, 400.0, **{**window, "azimuth": azimuth % 360.0})
    exact = azimuth_effect_minutes(site, site.windows[0], 4.0, 2027)
    rough = rough_shift(site.windows[0], latitude, site.need, 4.0)
    assert rough.coming == pytest.approx(exact.coming, abs=MINUTE, rel=SHARE)
    assert rough.leaving == pytest.approx(exact.leaving, abs=MINUTE, rel=SHARE)
    assert max(exact.coming, exact.leaving) > 5.0


def test_sun_that_never_counts_shifts_nothing() -> None:
    site = made_site(47.0, azimuth=180.0)
    rough = rough_shift(site.windows[0], 47.0, Need(beam=1400.0), 5.0)
    assert (rough.coming, rough.leaving) == (0.0, 0.0)
