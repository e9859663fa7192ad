"""The sun's position against pvlib's, which asks NREL's algorithm anew at every instant."""

from datetime import UTC, datetime

import numpy as np
import pandas as pd
import pvlib
import pytest

from suncover.base.errors import RequestError
from suncover.facade.twilight import light_intervals
from suncover.sun.position import Observer, refraction, sun_directions, sun_position

# The algorithm's own uncertainty is 0.0003 degree (Reda and Andreas, NREL/TP-560-34302, abstract);
# a thirtieth of that is lost in it. Measured: 0.0000003.
CLOSE = 0.00001
# Refraction sets in where the upper limb shows, all at once. Within this many degrees of that
# height the last digit decides, and the two may differ by the whole of it.
ONSET, ONSET_WIDTH = -(0.26667 + 0.5667), 0.00001

LATITUDES = [-90.0, -89.9999, -66.6, -45.0, -23.4, 0.0, 10.0, 36.1, 51.5, 66.5, 78.2, 89.99, 90.0]


def seconds_of(year, month, day):
    return int(datetime(year, month, day, tzinfo=UTC).timestamp())


def by_pvlib(times, observer):
    index = pd.DatetimeIndex(times.astype("datetime64[s]"), tz="UTC")
    return pvlib.solarposition.get_solarposition(
        index, observer.latitude, observer.longitude, altitude=observer.elevation
    )


def vectors(elevation, azimuth):
    e, a = np.radians(elevation), np.radians(azimuth)
    return np.stack([np.cos(e) * np.sin(a), np.cos(e) * np.cos(a), np.sin(e)])


def degrees_apart(one, other):
    """Angle between unit vectors that are close together."""
    return np.degrees(np.linalg.norm(one - other, axis=0))


def assert_as_pvlib(times, observer):
    theirs = by_pvlib(times, observer)
    ours = sun_position(times, observer)
    elevation, azimuth = theirs["elevation"].to_numpy(), theirs["azimuth"].to_numpy()
    apparent = theirs["apparent_elevation"].to_numpy()
    sure = np.abs(elevation - ONSET) > ONSET_WIDTH
    assert sure.mean() > 0.999
    assert np.abs(ours.elevation - elevation).max() < CLOSE
    assert np.abs(ours.apparent_elevation - apparent)[sure].max() < CLOSE
    # Azimuths mean nothing at the zenith and the nadir: compare the places on the sky.
    there = vectors(elevation, azimuth)
    assert degrees_apart(vectors(ours.elevation, ours.azimuth), there).max() < CLOSE
    apart = degrees_apart(sun_directions(times, observer), vectors(apparent, azimuth))
    assert apart[sure].max() < CLOSE


@pytest.mark.parametrize("latitude", LATITUDES)
def test_random_minutes_of_2000_to_2060_as_pvlib(latitude):
    rng = np.random.default_rng(int(1e4 * (latitude + 90)))
    elevation = float(rng.choice([0.0, 4000.0, -400.0]))
    minutes = rng.integers(seconds_of(2000, 1, 1) // 60, seconds_of(2061, 1, 1) // 60, 700)
    observer = Observer(latitude, float(rng.uniform(-180, 180)), elevation)
    assert_as_pvlib(minutes * 60, observer)


@pytest.mark.parametrize("longitude", [-180.0, -0.1, 180.0])
def test_midnight_and_its_neighbours_as_pvlib(longitude):
    """Whole days are where one stretch of the interpolation meets the next."""
    midnights = np.arange(seconds_of(2025, 12, 1), seconds_of(2026, 6, 1), 86400)
    times = (midnights[:, None] + np.array([-1, 0, 1])).ravel()
    assert_as_pvlib(times, Observer(48.0, longitude, 100.0))


@pytest.mark.parametrize("year", [1900, 1969, 1970, 2100, 2199])
def test_far_years_as_pvlib(year):
    rng = np.random.default_rng(year)
    times = seconds_of(year, 1, 1) + rng.integers(0, 365 * 86400, 300)
    assert_as_pvlib(times, Observer(-33.9, 18.4, 20.0))


def test_the_same_alone_in_a_crowd_and_out_of_order():
    observer = Observer(51.5, -0.1)
    times = np.random.default_rng(5).uniform(seconds_of(2026, 1, 1), seconds_of(2031, 1, 1), 40)
    crowd = sun_directions(times, observer)
    alone = np.stack([sun_directions(time, observer) for time in times], axis=1)
    assert degrees_apart(crowd, alone).max() < 1e-9


@pytest.mark.parametrize("shape", [(), (1,), (7,), (2, 3), (0,), (0, 4)], ids=str)
def test_answers_have_the_shape_of_the_times(shape):
    times = seconds_of(2026, 6, 21) + np.arange(np.prod(shape, dtype=int)).reshape(shape) * 3600.0
    found = sun_position(times, Observer(40.0, 10.0))
    for part in (found.apparent_elevation, found.elevation, found.azimuth):
        assert np.shape(part) == shape
    assert sun_directions(times, Observer(40.0, 10.0)).shape == (3, *shape)


def test_directions_are_unit_vectors_to_the_apparent_place():
    observer = Observer(-12.0, -77.0, 150.0)
    times = seconds_of(2026, 1, 1) + np.arange(0, 365 * 86400, 5000.0)
    position, directions = sun_position(times, observer), sun_directions(times, observer)
    assert np.linalg.norm(directions, axis=0) == pytest.approx(np.ones(len(times)), abs=1e-12)
    there = vectors(position.apparent_elevation, position.azimuth)
    assert degrees_apart(directions, there).max() < 1e-9
    assert position.azimuth.min() >= 0.0
    assert position.azimuth.max() < 360.0


def test_sun_through_the_zenith_keeps_a_direction():
    """Where the sun passes within seconds of the zenith, level and height change places."""
    observer = Observer(10.0, 0.0)
    times = seconds_of(2026, 4, 16) + np.arange(11.5 * 3600, 12.5 * 3600, 1.0)
    directions = sun_directions(times, observer)
    assert directions[2].max() > np.cos(np.radians(0.5))
    assert np.linalg.norm(directions, axis=0) == pytest.approx(np.ones(len(times)), abs=1e-12)
    # 15 degrees an hour, and no leaps: what refraction changes so near the zenith is nothing.
    steps = np.degrees(np.linalg.norm(np.diff(directions, axis=1), axis=0))
    assert steps.max() < 15.1 / 3600
    assert steps.min() > 14.0 / 3600


@pytest.mark.parametrize(
    ("pressure", "temperature"), [(1013.25, 12.0), (820.0, 11.0), (650.0, -15.0), (1050.0, 35.0)]
)
def test_refraction_as_pvlib(pressure, temperature):
    heights = np.concatenate([np.linspace(-5.0, 90.0, 2001), [ONSET + 1e-9, ONSET - 1e-9]])
    theirs = pvlib.spa.atmospheric_refraction_correction(pressure, temperature, heights, 0.5667)
    assert refraction(heights, pressure, temperature) == pytest.approx(theirs, abs=1e-12)


@pytest.mark.parametrize("elevation", [-430.0, 0.0, 1600.0, 5100.0])
def test_air_pressure_is_the_standard_atmospheres(elevation):
    theirs = pvlib.atmosphere.alt2pres(elevation) / 100.0
    assert Observer(0.0, 0.0, elevation).pressure_mbar == pytest.approx(theirs, rel=1e-12)
    assert Observer(0.0, 0.0, elevation, pressure=900.0).pressure_mbar == 900.0


def test_smooth_directions_are_the_same_above_the_horizon_and_jump_nowhere():
    observer = Observer(60.0, 25.0, 50.0)
    times = seconds_of(2026, 3, 1) + np.arange(0, 3 * 86400, 30.0)
    plain = sun_directions(times, observer)
    smooth = sun_directions(times, observer, smooth=True)
    shown = sun_position(times, observer).elevation > ONSET
    assert np.array_equal(smooth[:, shown], plain[:, shown])
    half_minute = 15.1 / 120  # degrees that the sun moves in it
    assert np.degrees(np.linalg.norm(np.diff(smooth, axis=1), axis=0)).max() < half_minute
    assert np.degrees(np.linalg.norm(np.diff(plain, axis=1), axis=0)).max() > 0.5


@pytest.mark.parametrize("instant", [1.8e15, -1e18, float("nan"), float("inf")])
def test_an_instant_beyond_all_dates_is_refused_and_takes_no_memory(instant):
    observer = Observer(47.0, 8.0)
    for ask in (
        lambda: sun_position(np.array([0.0, instant]), observer),
        lambda: light_intervals(observer, 0.0, instant),
    ):
        with pytest.raises(RequestError, match=r"1900 to 2199|missing"):
            ask()
