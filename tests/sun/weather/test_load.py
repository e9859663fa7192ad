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


def at(latitude, longitude, elevation=0):
    return Place(name="x", latitude=latitude, longitude=longitude, elevation=elevation)


GREENSBORO = at(36.1, -79.95, 273)
NEAR = at(45.0, 8.0, 250)
YEAR = csv_text(2025, "end")


def load(place=GREENSBORO, **weather):
    window = Window(name="w", azimuth=180, width=1, height=1)
    keys = {"weather": Weather(**weather)} if weather else {}
    return load_weather(Site(place=place, windows=(window,), **keys))


def turin(folder, place=NEAR, text=YEAR, stamp="end"):
    """The remarks on a file of Turin's year."""
    path = folder / "year.csv"
    path.write_text(text, encoding="utf-8")
    return load(place, file=str(path), stamp=stamp).remarks


def test_a_file_that_is_off_in_time_or_place_is_noticed(tmp_path):
    assert turin(tmp_path) == ()
    for stamp, minutes in (("start", 60), ("middle", 30)):
        [remark] = turin(tmp_path, stamp=stamp)
        assert f"seems {minutes} minutes late: check its stamps" in remark
    [remark] = turin(tmp_path, text=YEAR.replace("+01:00", "+00:00"))
    assert "60 minutes late: check its stamps, its UTC offset" in remark
    assert "minutes early" in turin(tmp_path, at(45.0, -8.0, 250))[0]
    with pytest.raises(FileFaults, match=r"year.csv: this cannot be the weather of 45.0° N, 8.0°"):
        turin(tmp_path, text=YEAR.replace("+01:00", "-05:00"))


@pytest.mark.parametrize(
    ("name", "latitude", "longitude"),
    [("greensboro", 36.1, -79.95), ("miami", 25.8, -80.3), ("sand-point", 55.3, -160.5)],
)
def test_a_bundled_year_fits_its_own_place(name, latitude, longitude):
    assert load(at(latitude, longitude), file=f"bundled:{name}").remarks == ()


def test_a_bundled_year_far_away_is_said_and_not_changed_by_it():
    near = load(file="bundled:greensboro")
    far = load(at(36.1, -83.5, 150), file="bundled:greensboro")
    assert (near.ghi == far.ghi).all()
    assert (near.start == far.start).all()
    assert (near.remarks, len(far.remarks), far.elsewhere) == ((), 1, False)
    assert not load(at(23.1, -82.4), file="bundled:miami").elsewhere  # Havana, in the tropics
    said = re.match(r"The weather is of Greensboro.*?, (\d+) km from the site", far.remarks[0])
    # By the spherical law of cosines, on the same sphere; the file has 36.1° N, 79.95° W.
    up, turn = np.radians(36.1), np.radians(83.5 - 79.95)
    cosine = np.sin(up) ** 2 + np.cos(up) ** 2 * np.cos(turn)
    assert float(said[1]) == pytest.approx(6371.0 * float(np.arccos(cosine)), abs=1.0)


@pytest.mark.parametrize(
    ("name", "says"),
    [
        ("paris", "there are bundled:greensboro, bundled:miami"),
        ("greensbro", 'did you mean "bundled:greensboro"'),
    ],
)
def test_an_unknown_bundled_year_names_the_known_ones(name, says):
    with pytest.raises(ValidationError, match=says):
        Weather(file=f"bundled:{name}")


def test_distance_along_a_meridian():
    """A degree of latitude is 10 000 km / 90, by the metre's first definition (0.1 % off)."""
    assert distance_km((0.0, 5.0), (1.0, 5.0)) == pytest.approx(10_000 / 90, rel=2e-3)
    assert distance_km((50.0, 179.5), (50.0, -179.5)) < 72.0


def test_without_weather_the_sky_is_clear_and_what_that_means_is_said():
    """A clear sky bounds nothing in shade: a north wall's sky light, against a flat one's beam."""
    clear, real = load(), load(file="bundled:greensboro")
    assert clear.clear
    assert "glass in shade gets more than this from bright clouds" in clear.remarks[0]
    light, beam = (
        [float(getattr(one, name).sum() * one.step) for one in (clear, real)]
        for name in ("dhi", "dni")
    )
    assert light[1] > 1.1 * light[0]
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
    north = clear_year(at(69.65, -79.95, 273))
    assert (north.dhi >= 0).all()
    assert (north.ghi >= 0).all()
    assert len(north.start) * north.step == 365 * 86_400


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
