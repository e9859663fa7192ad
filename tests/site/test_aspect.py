"""A window's azimuth in each of its forms in a site file."""
# ruff: noqa: E501  (a case to a line)

from datetime import date

import pytest
from jsonschema import Draft202012Validator, FormatChecker
from site_texts import faults, house, site_of, window

from suncover.site.aspect import aspect_warnings, shown_form
from suncover.site.file.schema import site_schema
from suncover.site.file.sitefile import site_from_text
from suncover.site.kinds.azimuth import bearing_from_compass, bearing_from_wall
from suncover.site.model import Site

ZURICH = {"at": (47.4, 8.5), "elevation": 400}
WALL = "wall = [[47.40000, 8.50000], [47.40012, 8.50007]]"
COMPASS = "compass = 101.5\nmeasured = 2027-03-02"


def text_with(lines):
    return house(window(azimuth=None), f"{lines}\n", **ZURICH)


def window_with(lines):
    return site_from_text(text_with(lines)).windows[0]


@pytest.mark.parametrize(
    ("lines", "azimuth", "sd"),
    [
        ("azimuth = 101.5", 101.5, None),
        ('azimuth = "east-north-east"', 67.5, 6.5),
        ('azimuth = "east"\nazimuth_sd = 2', 90, 2),
    ],
)
def test_degrees_and_words(lines, azimuth, sd):
    found = window_with(lines)
    assert (found.azimuth, found.azimuth_sd) == (azimuth, sd)


def test_compass_and_wall_are_corrected_for_the_place_and_the_day():
    by_compass = bearing_from_compass(101.5, date(2027, 3, 2), (47.4, 8.5), 400.0)
    by_wall = bearing_from_wall((47.4, 8.5), (47.40012, 8.50007))
    for lines, bearing in ((COMPASS, by_compass), (WALL, by_wall)):
        found = window_with(lines)
        assert found.azimuth == pytest.approx(bearing.azimuth, abs=0.006)
        assert found.azimuth_sd == pytest.approx(bearing.sd, abs=0.006)
    assert shown_form(window_with(COMPASS)) == "compass 101.5° on 2027-03-02"
    # The place may stand after the window, and a site survives being dumped and read again.
    head, tail = text_with(COMPASS).split("\n\n")
    site = site_from_text(f"{tail}\n{head}\n")
    assert site.windows[0].azimuth == window_with(COMPASS).azimuth
    assert Site.model_validate(site.model_dump(by_alias=True)) == site


@pytest.mark.parametrize(
    ("lines", "fault"),
    [
        ("",
         '7:1: window "kitchen": `azimuth` is missing; give it: the way the glass faces: degrees clockwise from true north, or words such as "east-north-east". Or give `compass` with `measured`, or `wall`'),
        ('azimuth = "up"',
         '11:11: window "kitchen": azimuth: "up" is not a direction; write degrees from true north, or one of the 16 points of the compass such as "east-north-east" or "ENE"'),
        ("compass = 10", '7:1: window "kitchen": azimuth: `compass` needs `measured`, the day it was read, as magnetic north moves'),
        ("compass = 400\nmeasured = 2027-01-01", '11:11: window "kitchen": compass: 400 is not between 0 and 360'),
        ('compass = 10\nmeasured = 2027-01-01\nazimuth_sd = "5"', '13:14: window "kitchen": azimuth_sd: "5" is text; write 5, without quotes'),
        ("compass = 10\nmeasured = 2027-01-01\nazimuth_sd = [1]", '13:14: window "kitchen": azimuth_sd: a list is not a number'),
        ("compass = 10\nmeasured = 27", '12:12: window "kitchen": measured: 27 is not a date such as "2027-07-10"'),
        (f"azimuth = 10\n{WALL}", '11:11: window "kitchen": azimuth: `azimuth` and `wall` say the same; give one of them'),
        ("azimuth = 10\nmeasured = 2027-01-01", '11:11: window "kitchen": azimuth: `measured` goes with `compass`; take it away'),
        ("wall = [[8.5, 47.4], [8.5001, 47.4]]",
         '7:1: window "kitchen": azimuth: the wall is 5661 km from the site\'s latitude and longitude; write each end as [latitude, longitude]'),
        ("wall = [[47.4, 8.5], [97.4, 8.5]]", '11:23: window "kitchen": wall, end 2, latitude: 97.4 is not between -90 and 90'),
        ('azimuth = 10\nfacade = "street"\n[[window]]\nname = "hall"\nwidth = 1\nheight = 1\nazimuth = 20\nfacade = "street"',
         '18:10: window "hall": facade: a facade faces one way, but on "street" window "kitchen" faces 10° and this one 20°; give both the same'),
    ],
)  # fmt: skip
def test_what_is_wrong_is_told_with_its_place(lines, fault):
    assert faults(text_with(lines)) == [fault]


def test_a_reading_outside_the_models_years_is_warned_of():
    for year, warnings in ((2041, 1), (2027, 0)):
        site = site_of(window(azimuth=None, compass=10, measured=date(year, 1, 1)), **ZURICH)
        found = aspect_warnings(site.windows[0], site.place)
        assert len(found) == " ".join(found).count("2041-01-01") == warnings


@pytest.mark.parametrize(
    ("keys", "sound"),
    [
        ({"azimuth": 10}, True),
        ({"azimuth": "east"}, True),
        ({"compass": 10, "measured": "2027-01-01"}, True),
        ({"wall": [[47.4, 8.5], [47.5, 8.5]]}, True),
        ({"compass": 10}, False),
        ({"azimuth": 10, "wall": [[47.4, 8.5], [47.5, 8.5]]}, False),
        ({}, False),
    ],
)
def test_the_schema_asks_for_one_form(keys, sound):
    raw = {
        "site": {"name": "home", "latitude": 1, "longitude": 1},
        "window": [{"name": "k", "width": 1, "height": 1, **keys}],
    }
    checker = Draft202012Validator(site_schema(), format_checker=FormatChecker())
    assert checker.is_valid(raw) is sound
