"""The rough shift of the sun's times, held against that by the sun's tables and the search."""

from __future__ import annotations

import pytest
from made_sightings import made_site

from suncover.facing.effect import azimuth_swings
from suncover.site.model import Need
from suncover.site.rough_shift import rough_shift

# What the rough sun leaves out: refraction (0.5° at the horizon, 3 minutes of the sun's turn),
# half a degree of declination, and how strong the beam is where it is low.
MINUTES, SHARE = 3.0, 0.15


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
    name = site.windows[0].name
    exact = azimuth_swings(site, {name: 4.0}, 2027)[name]
    rough = rough_shift(site.windows[0], latitude, site.need, 4.0)
    assert rough.coming == pytest.approx(max(exact.coming), abs=MINUTES, rel=SHARE)
    assert rough.leaving == pytest.approx(max(exact.leaving), abs=MINUTES, rel=SHARE)
    assert max(exact.coming + exact.leaving) > 5.0


def test_sun_that_never_counts_shifts_nothing() -> None:
    site = made_site(47.0, azimuth=180.0)
    rough = rough_shift(site.windows[0], 47.0, Need(beam=1400.0), 5.0)
    assert (rough.coming, rough.leaving) == (0.0, 0.0)


def test_only_days_of_the_season_are_looked_at() -> None:
    """The sun turns about the zenith the faster the higher it is: four degrees of a south wall are
    fewer minutes at noon's height of June, but in December the wall has the sun from sunrise to
    sunset, which do not shift.
    """
    site = made_site(47.0, azimuth=180.0)
    window = site.windows[0]
    winter = rough_shift(window, 47.0, Need(season=((12, 1), (1, 31))), 4.0)
    summer = rough_shift(window, 47.0, Need(season=((6, 1), (7, 31))), 4.0)
    year = rough_shift(window, 47.0, Need(), 4.0)
    between_days = rough_shift(window, 47.0, Need(season=((6, 16), (7, 14))), 4.0)
    assert (winter.coming, winter.leaving) == (0.0, 0.0)
    assert 10.0 < summer.coming < year.coming
    assert between_days == year
