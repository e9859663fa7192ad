"""The site's weather year: file, bundled, clear sky; and the remarks on what does not fit."""

import re

import numpy as np
import pandas as pd
import pvlib
import pytest
from pydantic import ValidationError
from weather_texts import csv_text

from suncover.base.errors import FileFaults
from suncover.site.model import Place, Site, Weather, Window
from suncover.sun.weather.load import clear_year, distance_km, load_weather

GREENSBORO = Place(name="x", latitude=36.1, longitude=-79.95, elevation=273)


def site(place: Place = GREENSBORO, **weather) -> Site:
    window = Window(name="w", azimuth=180, width=1, height=1)
    return Site(place=place, windows=(window,), weather=Weather(**weather) if weather else None)


def turin(tmp_path, place: Place, text: str | None = None, stamp="end") -> Site:
    path = tmp_path / "year.csv"
    path.write_text(text or csv_text(2025, "end"), encoding="utf-8")
    return site(place, file=str(path), stamp=stamp)


NEAR = Place(name="x", latitude=45.0, longitude=8.0, elevation=250)
WEST = Place(name="x", latitude=36.1, longitude=-86.0, elevation=150)
HAVANA = Place(name="x", latitude=23.1, longitude=-82.4)


def test_a_file_in_time_at_its_place_has_no_remarks(tmp_path):
    assert load_weather(turin(tmp_path, NEAR)).remarks == ()


@pytest.mark.parametrize(
    ("stamp", "way"), [("start", "60 minutes late"), ("middle", "30 minutes late")]
)
def test_a_wrong_stamp_is_noticed(tmp_path, stamp, way):
    remarks = load_weather(turin(tmp_path, NEAR, stamp=stamp)).remarks
    assert len(remarks) == 1
    assert f"seems {way}: check its stamps" in remarks[0]


def test_an_offset_that_is_an_hour_off_is_noticed(tmp_path):
    text = csv_text(2025, "end").replace("+01:00", "+00:00")
    remarks = load_weather(turin(tmp_path, NEAR, text)).remarks
    assert "60 minutes late: check its stamps, its UTC offset" in remarks[0]


def test_an_offset_that_is_hours_off_is_refused(tmp_path):
    text = csv_text(2025, "end").replace("+01:00", "-05:00")
    with pytest.raises(FileFaults, match=r"year.csv: this cannot be the weather of 45.0° N, 8.0°"):
        load_weather(turin(tmp_path, NEAR, text))


def test_a_swapped_longitude_is_noticed(tmp_path):
    remarks = load_weather(turin(tmp_path, NEAR.model_copy(update={"longitude": -8.0}))).remarks
    assert "minutes early" in remarks[0]


@pytest.mark.parametrize(
    ("name", "latitude", "longitude"),
    [("greensboro", 36.1, -79.95), ("miami", 25.8, -80.3), ("sand-point", 55.3, -160.5)],
)
def test_a_bundled_year_fits_its_own_place(name, latitude, longitude):
    place = Place(name="x", latitude=latitude, longitude=longitude)
    assert load_weather(site(place, file=f"bundled:{name}")).remarks == ()


def test_a_bundled_year_far_away_is_said():
    weather = load_weather(site(HAVANA, file="bundled:miami"))
    assert len(weather.remarks) == 1
    said = re.match(
        r"The weather is of Miami, FL \(TM2\), (\d+) km from the site", weather.remarks[0]
    )
    assert said is not None
    assert not weather.elsewhere
    # By the spherical law of cosines, on the same sphere.
    north, south = np.radians(23.1), np.radians(25.8)
    turn = np.radians(82.4 - 80.0 - 16.0 / 60.0)
    cosine = np.sin(north) * np.sin(south) + np.cos(north) * np.cos(south) * np.cos(turn)
    assert float(said[1]) == pytest.approx(6371.0 * float(np.arccos(cosine)), abs=1.0)


def test_an_unknown_bundled_year_names_the_known_ones():
    with pytest.raises(ValidationError, match="there are bundled:greensboro, bundled:miami"):
        site(file="bundled:paris")
    with pytest.raises(ValidationError, match='did you mean "bundled:greensboro"'):
        site(file="bundled:greensbro")


def test_distance_along_a_meridian():
    """A degree of latitude is 10 000 km / 90, by the metre's first definition (0.1 % off)."""
    assert distance_km((0.0, 5.0), (1.0, 5.0)) == pytest.approx(10_000 / 90, rel=2e-3)
    assert distance_km((50.0, 179.5), (50.0, -179.5)) < 72.0


def test_without_weather_the_sky_is_clear_and_what_that_means_is_said():
    weather = load_weather(site())
    assert weather.clear
    assert "glass in shade gets more than this from bright clouds" in weather.remarks[0]


def test_glass_in_shade_gets_more_under_a_real_sky_than_under_a_clear_one():
    """Why a clear sky bounds nothing there: a north wall's sky light, and a flat one's beam."""
    clear, real = load_weather(site()), load_weather(site(file="bundled:greensboro"))
    light = [float(one.dhi.sum() * one.step) for one in (clear, real)]
    assert light[1] > 1.1 * light[0]
    beam = [float(one.dni.sum() * one.step) for one in (clear, real)]
    assert beam[1] < 0.7 * beam[0]


def test_the_clear_year_is_pvlibs_clear_sky():
    """pvlib.location.Location.get_clearsky with its defaults (Ineichen, climatological Linke)."""
    weather = clear_year(GREENSBORO)
    pick = np.arange(77, len(weather.start), 1009)
    middle = weather.start[pick] + weather.step / 2
    times = pd.DatetimeIndex(pd.to_datetime(middle, unit="s", utc=True))
    expected = pvlib.location.Location(36.1, -79.95, "UTC", 273).get_clearsky(times)
    assert weather.dni[pick] == pytest.approx(expected["dni"].to_numpy(), abs=0.5)
    assert weather.ghi[pick] == pytest.approx(expected["ghi"].to_numpy(), abs=0.5)
    # pvlib's diffuse light closes the balance as ours does, with the same sun.
    assert weather.dhi[pick] == pytest.approx(expected["dhi"].to_numpy(), abs=1.0)


def test_sunshine_dims_beam_and_global_light_month_by_month():
    """Angstrom 1924: global light 0.25 + 0.75 S of the clear sky's (from memory)."""
    share = (1.0, 0.0, *[0.5] * 10)
    clear, dimmed = clear_year(GREENSBORO), clear_year(GREENSBORO, share)
    days = (clear.start - clear.start[0]) / 86_400.0
    for first, last, s in ((0, 31, 1.0), (31, 59, 0.0), (59, 90, 0.5)):
        rows = (days >= first) & (days < last)
        assert dimmed.dni[rows].sum() == pytest.approx(s * clear.dni[rows].sum())
        assert dimmed.ghi[rows].sum() == pytest.approx((0.25 + 0.75 * s) * clear.ghi[rows].sum())
    assert "A rough guess" in dimmed.remarks[0]


def test_light_always_adds_up_in_the_clear_year():
    weather = clear_year(replace_latitude(69.65))
    assert (weather.dhi >= 0).all()
    assert (weather.ghi >= 0).all()
    assert len(weather.start) * weather.step == 365 * 86_400


def replace_latitude(latitude: float) -> Place:
    return GREENSBORO.model_copy(update={"latitude": latitude})


def test_a_year_is_never_changed_by_its_remarks():
    """The remarks come beside the numbers: the rows are those of the file."""
    near = load_weather(site(file="bundled:greensboro"))
    far = load_weather(site(WEST, file="bundled:greensboro"))
    assert (near.ghi == far.ghi).all()
    assert (near.start == far.start).all()
    assert far.remarks
    assert near.remarks == ()
