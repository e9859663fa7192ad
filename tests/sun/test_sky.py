"""The year's sky by slots, held against pvlib's own transposition and against the rows' energy."""

from datetime import UTC, datetime

import numpy as np
import pandas as pd
import pvlib
import pytest

from suncover.heat.gain import Light
from suncover.heat.tally import Tally
from suncover.heat.view_factors import Views, open_views
from suncover.sun.position import Observer, sun_position
from suncover.sun.sky import MODELS, Sky, extraterrestrial, sky_of
from suncover.sun.weather.year import LightRows

GREENSBORO = Observer(36.1, -79.95, 273)
ALBEDO = 0.2


def hours(start: str, ghi, dni, dhi, step: float = 3600.0) -> LightRows:
    """A stretch of weather that starts at `start` (UTC)."""
    begin = datetime.fromisoformat(start).replace(tzinfo=UTC).timestamp()
    count = len(ghi)
    return LightRows(
        begin + np.arange(count) * step,
        step,
        np.array(ghi, float),
        np.array(dni, float),
        np.array(dhi, float),
    )


def watts_on(sky: Sky, azimuth: float, tilt: float, views: Views, lit: float = 1.0) -> np.ndarray:
    """W/m² in each slot on a plane of which so much is in sun, and that sees so much."""
    count = len(sky.seconds)
    tally = Tally(sky, np.arange(count), count)
    facing = tally.facing(azimuth, tilt)
    shares = np.full(len(facing.slots), lit)
    light = Light(tally, facing, shares, (views,), np.zeros(count, dtype=np.intp), tilt)
    return light.outside().total / sky.hours


def some_days() -> LightRows:
    """Three days of June and their light by a made-up but steady sky."""
    begin = datetime(2026, 6, 20, tzinfo=UTC).timestamp()
    start = begin + np.arange(72) * 3600.0
    height = np.sin(np.radians(sun_position(start + 1800.0, GREENSBORO).apparent_elevation)).clip(0)
    cloud = np.array([1.0, 0.55, 0.1]).repeat(24)
    dni = 850.0 * cloud * (height > 0)
    dhi = (60.0 + 250.0 * (1 - cloud)) * height
    return LightRows(start, 3600.0, dni * height + dhi, dni, dhi)


@pytest.mark.parametrize("model", list(MODELS))
@pytest.mark.parametrize(
    ("azimuth", "tilt"), [(180, 90), (95, 90), (300, 90), (180, 30), (40, 110), (0, 0)]
)
def test_an_open_window_gets_what_pvlib_says_in_every_slot(model, azimuth, tilt):
    """pvlib.irradiance.get_total_irradiance, with the same airmass and extraterrestrial light."""
    weather = some_days()
    sky = sky_of(weather, GREENSBORO, ALBEDO, model)
    found = watts_on(sky, azimuth, tilt, open_views(tilt))
    sun = sun_position(sky.seconds, GREENSBORO)
    zenith = 90.0 - sun.apparent_elevation
    asked = zenith < 90.0
    expected = pvlib.irradiance.get_total_irradiance(
        tilt,
        azimuth,
        zenith,
        sun.azimuth,
        weather.dni[sky.row],
        weather.ghi[sky.row],
        weather.dhi[sky.row],
        dni_extra=extraterrestrial(sky.seconds),
        airmass=pvlib.atmosphere.get_relative_airmass(zenith),
        albedo=ALBEDO,
        model=model,
    )["poa_global"]
    # One thousandth of a watt: rounding, and nothing else.
    assert np.abs(found - np.nan_to_num(expected))[asked].max() < 1e-3


def test_extraterrestrial_light_is_pvlibs():
    days = pd.date_range("2027-01-01", "2027-12-31", freq="D", tz="UTC")
    seconds = np.array([day.timestamp() for day in days])
    expected = pvlib.irradiance.get_extra_radiation(days)
    assert extraterrestrial(seconds) == pytest.approx(expected.to_numpy(), abs=1e-6)


def test_each_row_keeps_its_energy():
    weather = some_days()
    sky = sky_of(weather, GREENSBORO, ALBEDO)
    for light, column in ((sky.beam, weather.dni), (sky.ground, weather.ghi * ALBEDO)):
        back = np.bincount(sky.row, light * sky.hours, len(column))
        assert back == pytest.approx(column, abs=1e-9)


def test_the_beam_of_a_sunrise_hour_stands_in_its_sunlit_part():
    """On 20 June the sun rises in Greensboro at about 10:03 UTC; the hour before has none."""
    weather = hours("2026-06-20T09:30", [30.0], [200.0], [20.0])
    sky = sky_of(weather, GREENSBORO, ALBEDO)
    assert sky.seconds.min() > datetime(2026, 6, 20, 10, 0, tzinfo=UTC).timestamp()
    assert (sky.direction[2] > 0).all()
    assert float((sky.beam * sky.hours).sum()) == pytest.approx(200.0)
    assert len(sky.seconds) < 12


def test_an_hour_of_twilight_has_diffuse_light_from_the_dome_and_no_beam():
    weather = hours("2026-06-20T09:00", [5.0], [3.0], [5.0])
    sky = sky_of(weather, GREENSBORO, ALBEDO)
    assert sky.beam == pytest.approx([0.0])
    assert sky.circumsolar == pytest.approx([0.0])
    assert sky.isotropic == pytest.approx([5.0])
    assert float((sky.isotropic * sky.hours).sum()) == pytest.approx(5.0)


def test_rows_without_light_have_no_slots():
    weather = hours("2026-06-20T04:00", [0.0, 0.0], [0.0, 0.0], [0.0, 0.0])
    assert len(sky_of(weather, GREENSBORO, ALBEDO).seconds) == 0


@pytest.mark.parametrize(
    ("step", "slots"),
    [(3600.0, 12), (1800.0, 6), (600.0, 2), (400.0, 2), (360.0, 2), (300.0, 1), (60.0, 1)],
)
def test_slots_are_five_minutes_or_less(step, slots):
    weather = hours("2026-06-20T16:00", [800.0], [700.0], [120.0], step)
    sky = sky_of(weather, GREENSBORO, ALBEDO)
    assert len(sky.seconds) == slots
    assert float(sky.length.sum()) == pytest.approx(step)


def test_a_dark_horizon_takes_from_the_dome_and_not_from_the_ground():
    """Perez's horizon is negative under thick cloud. Where no dome is seen, nothing is taken."""
    weather = hours("2026-06-20T22:30", [8.0], [0.0], [8.0])
    sky = sky_of(weather, GREENSBORO, ALBEDO)
    assert (sky.horizon < 0).any()
    diffuse = watts_on(sky, 0.0, 90.0, Views(0.0, 0.5, 1.0), lit=0.0)
    dark = sky.horizon < 0
    assert diffuse[dark] == pytest.approx(sky.ground[dark] * 0.5)
