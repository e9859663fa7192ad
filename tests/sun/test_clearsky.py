"""The clear sky's beam against pvlib's own chain, and the height of the sun that gives a beam."""

from datetime import UTC, datetime

import numpy as np
import pandas as pd
import pvlib
import pytest

from suncover.site.model import Need
from suncover.sun.clearsky import _sky_of_days, beam_at_height, clear_sky_dni, height_for_beam
from suncover.sun.position import DAY, Observer, sun_position

PLACES = {
    "Greensboro": Observer(36.1, -79.95, 270.0),
    "Wellington": Observer(-41.29, 174.78, 10.0),
    "Quito": Observer(-0.18, -78.47, 2850.0),
    "Tromso": Observer(69.65, 18.96, 5.0),
    "Dead Sea": Observer(31.5, 35.48, -430.0),
    "Taveuni, on the date line": Observer(-16.8, 180.0, 10.0),
    "South Pole": Observer(-90.0, -180.0, 2835.0),
    "North Pole": Observer(90.0, 0.0, 0.0),
}
# The sun's position agrees within 0.0000003 degree (tests of the sun's position); where the beam
# rises fastest, at the horizon of a clean sky, by 200 W/m² a degree, that is 0.0001 W/m².
CLOSE = 0.001


def days_of(year: int) -> np.ndarray:
    first = int(datetime(year, 1, 1, tzinfo=UTC).timestamp() // DAY)
    return np.arange(first, first + 366)


def pvlib_index(times: np.ndarray) -> pd.DatetimeIndex:
    return pd.DatetimeIndex(times.astype("datetime64[s]"), tz="UTC")


@pytest.mark.parametrize("name", PLACES)
def test_beam_as_pvlibs_clear_sky(name):
    place = PLACES[name]
    rng = np.random.default_rng(len(name))
    times = np.sort(rng.choice(days_of(2024)[0] * 86400 + np.arange(0, 366 * 86400, 60), 1500))
    location = pvlib.location.Location(place.latitude, place.longitude, altitude=place.elevation)
    theirs = location.get_clearsky(pvlib_index(times), model="ineichen")["dni"].to_numpy()
    ours = clear_sky_dni(times, place)
    assert theirs.max() > 600.0
    assert np.abs(ours - theirs).max() < CLOSE
    assert (ours[sun_position(times, place).apparent_elevation <= 0.0] == 0.0).all()


@pytest.mark.parametrize("name", PLACES)
@pytest.mark.parametrize("beam", [1.0, 120.0, 600.0])
def test_height_for_beam_is_where_pvlibs_beam_reaches_it(name, beam):
    """pvlib's model at exactly that height of the sun, and a hair below and above it."""
    place, days = PLACES[name], days_of(2024)
    heights = height_for_beam(days, place, beam)
    index = pvlib_index(days * 86400)
    turbidity = pvlib.clearsky.lookup_linke_turbidity(index, place.latitude, place.longitude)
    extra = pvlib.irradiance.get_extra_radiation(index)
    pressure = pvlib.atmosphere.alt2pres(place.elevation)

    def beam_at(height: np.ndarray) -> np.ndarray:
        airmass = pvlib.atmosphere.get_relative_airmass(90.0 - height)
        absolute = pvlib.atmosphere.get_absolute_airmass(airmass, pressure)
        sky = pvlib.clearsky.ineichen(90.0 - height, absolute, turbidity, place.elevation, extra)
        return np.asarray(sky["dni"])

    assert heights.shape == days.shape
    reached = np.isfinite(heights)
    assert reached.any()
    somewhere = np.where(reached, heights, 45.0)
    above, below = beam_at(somewhere + 1e-6), beam_at(somewhere - 1e-6)
    assert (above[reached] >= beam).all()
    # In air so clean that the beam is there at the very horizon, there is no below.
    low = reached & (heights > 1e-6)
    assert (below[low] < beam).all()
    at_horizon = beam_at(np.full(days.shape, 1e-6))
    assert (at_horizon[reached & (heights <= 1e-6)] >= beam).all()
    assert (beam_at(np.full(days.shape, 90.0))[~reached] < beam).all()


@pytest.mark.parametrize("name", PLACES)
@pytest.mark.parametrize("beam", [120.0, 400.0, 600.0])
def test_beam_at_the_height_for_a_beam_is_that_beam(name, beam):
    """Each is the other's inverse on every day; heights are known to 1e-9 degree."""
    days = np.arange(20_400, 21_500, 9)
    heights = height_for_beam(days, PLACES[name], beam)
    reached = np.isfinite(heights)
    found = beam_at_height(days[reached], heights[reached], PLACES[name])
    assert found == pytest.approx(np.full(reached.sum(), beam), abs=1e-6)
    below = beam_at_height(days[reached], heights[reached] - 0.01, PLACES[name])
    assert (below < beam).all()
    assert beam_at_height([], np.zeros(0), PLACES[name]).shape == (0,)
    assert beam_at_height(days[:1], np.array([-0.1]), PLACES[name]).tolist() == [0.0]


def test_air_and_distance_of_the_sun_are_those_that_pvlib_looks_up():
    """Every day of leap years and others, at places many of which lie between the table's cells."""
    days = np.arange(-1, 160) * 191 + days_of(2023)[0]
    days = np.unique(np.concatenate([days, days_of(2023), days_of(2024), days_of(1900)]))
    index = pvlib_index(days * 86400)
    extra = pvlib.irradiance.get_extra_radiation(index)
    edges = np.arange(-90 * 24, 90 * 24 + 1, 397) / 24.0
    for latitude, longitude in zip(
        [*edges, 90.0, -90.0], [*edges * 2.0, 180.0, -180.0], strict=True
    ):
        for shift in (0.0, 1e-3):
            place = Observer(float(np.clip(latitude + shift, -90, 90)), float(longitude))
            turbidity, radiation = _sky_of_days(days, place)
            looked_up = pvlib.clearsky.lookup_linke_turbidity(
                index, place.latitude, place.longitude
            )
            assert (turbidity == looked_up.to_numpy()).all()
            assert radiation == pytest.approx(extra.to_numpy(), rel=1e-12)


def test_days_are_those_of_universal_time():
    """Turbidity and distance of the sun step at midnight UTC, wherever the place is."""
    place, midnight = PLACES["Wellington"], 20_500 * 86400
    before, after = height_for_beam([20_499, 20_500], place, 120.0)
    assert before != after
    location = pvlib.location.Location(place.latitude, place.longitude, altitude=place.elevation)
    times = midnight + np.array([-1, 0])
    theirs = location.get_clearsky(pvlib_index(times), model="ineichen")["dni"].to_numpy()
    assert clear_sky_dni(times, place) == pytest.approx(theirs, abs=CLOSE)


def test_the_height_grows_with_the_beam_until_none_reaches_it():
    """Outside the air the beam is at most 1412 W/m² (1366.1 in the mean, 3.4 % more in January).

    Turbid summers: some days reach 900 W/m² at no height, others do.
    """

    def heights_for(beam, place="Greensboro"):
        return height_for_beam(days_of(2026), PLACES[place], beam)

    assert (np.diff([heights_for(beam) for beam in (0.0, 50.0, 120.0, 500.0)], axis=0) > 0.0).all()
    assert all((heights_for(beam, "Quito") == 0.0).all() for beam in (0.0, -5.0))
    assert all((heights_for(beam) == np.inf).all() for beam in (1400.0, 1e9, np.inf))
    heights = heights_for(900.0)
    assert np.isinf(heights).any()
    assert np.isfinite(heights).any()
    assert (heights[np.isfinite(heights)] < 90.0).all()


def test_sunshine_threshold_is_the_default_need():
    """WMO-No. 8, sunshine chapter: sunshine is direct irradiance above 120 W/m²."""
    assert Need().beam == 120.0


def test_times_and_days_of_any_shape():
    place = PLACES["Greensboro"]
    noon = datetime(2026, 6, 21, 17, 20, tzinfo=UTC).timestamp()
    single = clear_sky_dni(noon, place)
    assert np.shape(single) == ()
    assert single > 500.0
    many = clear_sky_dni(noon + np.array([[0.0, 60.0, 120.0], [DAY, 2 * DAY, 3 * DAY]]), place)
    assert many.shape == (2, 3)
    assert many[0, 0] == single
    assert many[1, 2] == clear_sky_dni([noon + 3 * DAY], place)[0]
    assert clear_sky_dni([], place).shape == (0,)
    assert height_for_beam([], place, 120.0).shape == (0,)
    assert height_for_beam(20_500, place, 120.0) == height_for_beam([20_500], place, 120.0)[0]


def test_answers_differ_by_day_but_not_by_their_order():
    place, days = PLACES["Tromso"], days_of(2026)
    mixed = np.random.default_rng(1).permutation(days)
    by_day = dict(zip(days, height_for_beam(days, place, 120.0), strict=True))
    assert height_for_beam(mixed, place, 120.0).tolist() == [by_day[day] for day in mixed]
