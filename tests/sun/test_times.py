"""The sun, the clear sky and scenes take times as people have them, and answer in that form.

Reference: pvlib's own solar position and clear sky, with the same index.
"""

from datetime import date
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd
import pvlib
import pytest

import suncover

PLACE = pvlib.location.Location(-33.45, -70.67, tz="America/Santiago", altitude=570)
OBSERVER = suncover.Observer(-33.45, -70.67, 570.0)
HOME = suncover.site_from_tables(
    {
        "site": {"name": "Trial", "latitude": -33.45, "longitude": -70.67, "elevation": 570},
        "window": [{"name": "patio", "azimuth": 20, "width": 1.4, "height": 1.2, "sill": 0.9}],
        "spot": [{"name": "desk", "window": "patio", "distance": 0.6, "height": 0.75}],
    }
)
DAY = pd.date_range("2027-06-21 00:00", periods=49, freq="30min", tz="America/Santiago")
# Both follow NREL's SPA; the difference allowed is that of the interpolation (degrees).
CLOSE = 1e-4


@pytest.mark.parametrize(
    ("unit", "zone"),
    [("s", "UTC"), ("ms", "America/Santiago"), ("us", "Asia/Kolkata"), ("ns", "UTC")],
)
def test_the_sun_is_where_pvlib_has_it(unit, zone):
    times = DAY.tz_convert(zone).as_unit(unit)
    ours = suncover.sun_position(times, OBSERVER)
    theirs = PLACE.get_solarposition(times)
    assert ours.index.equals(times)
    assert set(ours.columns) <= set(theirs.columns)  # named as pvlib names them
    up = theirs["apparent_elevation"] > -0.5
    for name in ours.columns:
        difference = (ours[name] - theirs[name])[up].abs()
        assert float(np.minimum(difference, 360.0 - difference).max()) < CLOSE, name


def test_the_clear_sky_is_a_series_like_pvlibs():
    ours = suncover.clear_sky_dni(DAY, OBSERVER)
    theirs = PLACE.get_clearsky(DAY)["dni"]
    assert ours.index.equals(DAY)
    assert ours.name == "dni"
    assert float((ours - theirs).abs().max()) < 0.1  # W/m²


def test_directions_have_a_column_for_each_axis():
    ways = suncover.sun_directions(DAY, OBSERVER)
    assert ways.columns.tolist() == ["east", "north", "up"]
    assert np.allclose((ways**2).sum(axis=1), 1.0)
    assert suncover.sun_directions(DAY.tz_convert(None).to_numpy(), OBSERVER).shape == (3, 49)


def test_plain_arrays_keep_their_shape():
    times = DAY[:48].tz_convert(None).to_numpy().reshape(6, 8)
    assert suncover.clear_sky_dni(times, OBSERVER).shape == (6, 8)
    assert suncover.sun_position(times, OBSERVER).azimuth.shape == (6, 8)
    assert suncover.clear_sky_dni(DAY[24], OBSERVER).shape == ()


def test_scenes_answer_with_the_callers_index():
    kitchen = suncover.window_scene(HOME, "patio", HOME.need, DAY[0], DAY[-1])
    desk = suncover.spot_scene(HOME, HOME.spots[0], HOME.need, DAY[0], DAY[-1])
    seconds = np.array([time.timestamp() for time in DAY])
    indexed = suncover.Daylight.at(DAY, OBSERVER)
    plain = suncover.Daylight.at(seconds, OBSERVER)
    for scene, method in ((kitchen, "sunlit_share"), (kitchen, "lit"), (desk, "lit")):
        told = getattr(scene, method)(indexed)
        assert told.index.equals(DAY)
        assert np.array_equal(told.to_numpy(), getattr(scene, method)(plain))
        assert told.any()
    far = suncover.reach(kitchen, indexed, suncover.Level(0.9))
    assert far.index.equals(DAY)
    assert far.name == "reach_m"
    whole = suncover.Daylight.at(seconds[:48].reshape(6, 8), OBSERVER)
    assert kitchen.sunlit_share(whole).shape == (6, 8)


def test_a_scene_refuses_days_that_it_is_not_made_for():
    scene = suncover.window_scene(HOME, "patio", HOME.need, DAY[0], DAY[-1])
    later = suncover.Daylight.at(DAY + pd.Timedelta(90, "D"), OBSERVER)
    for method in (scene.lit, scene.sunlit_share):
        with pytest.raises(suncover.RequestError, match="made for 2027-06-21"):
            method(later)


@pytest.mark.parametrize(
    "function", [suncover.sun_position, suncover.sun_directions, suncover.clear_sky_dni]
)
def test_wrong_times_are_refused_everywhere(function):
    seconds = np.array([time.timestamp() for time in DAY])
    for times in (DAY.tz_localize(None), seconds * 1e3, seconds * 1e6, seconds * 1e9, [-3e9]):
        with pytest.raises(suncover.RequestError):
            function(times, OBSERVER)
        with pytest.raises(suncover.RequestError):
            suncover.Daylight.at(times, OBSERVER)
    for wrong in (seconds[0] * 1e3, DAY[0].tz_localize(None), "2027-06-21"):
        with pytest.raises(suncover.RequestError):
            suncover.window_scene(HOME, "patio", HOME.need, wrong, DAY[-1])
        with pytest.raises(suncover.RequestError):
            suncover.find_exposures(HOME, DAY[0], wrong)
        with pytest.raises(suncover.RequestError):
            suncover.light_intervals(OBSERVER, wrong, DAY[-1])
        with pytest.raises(suncover.RequestError):
            suncover.iso_local(wrong, ZoneInfo("America/Santiago"))


def test_an_instant_of_any_form_is_written_by_the_clocks_of_a_place():
    zone = ZoneInfo("America/Santiago")
    for form in (DAY[0], DAY[0].to_pydatetime(), np.datetime64("2027-06-21T04:00"), 1813550400):
        assert suncover.iso_local(form, zone) == "2027-06-21T00:00:00-04:00"
        assert suncover.local_date(form, zone) == date(2027, 6, 21)


@pytest.mark.parametrize("form", ["2027-06-21", None, pd.Timestamp("2027-06-21"), 20270621])
def test_what_is_no_date_is_refused_with_the_remedy(form):
    day = date(2027, 6, 21)
    for first, last in ((form, day), (day, form)):
        for function in (suncover.hours, suncover.spots, suncover.season_plan, suncover.doses):
            with pytest.raises(suncover.RequestError, match=r"date"):
                function(HOME, first, last)
        with pytest.raises(suncover.RequestError, match=r"date"):
            suncover.periods((), first, last, HOME.place.zone)


def test_places_and_skies_that_cannot_be_are_refused():
    for place in ((174.8, -36.8), (91.0, 0.0), (0.0, 400.0), (float("nan"), 0.0)):
        with pytest.raises(suncover.RequestError, match="itude"):
            suncover.Observer(*place)
    weather = suncover.load_weather(HOME)
    with pytest.raises(suncover.RequestError, match="there are perez"):
        suncover.compare_year(HOME, weather, "clear")
