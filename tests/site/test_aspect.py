"""A window's azimuth in each of its forms in a site file."""

from __future__ import annotations

from datetime import date

import pytest
from jsonschema import Draft202012Validator, FormatChecker

from suncover.base.errors import FileFaults
from suncover.site.aspect import aspect_warnings, shown_form
from suncover.site.file.schema import site_schema
from suncover.site.file.sitefile import site_from_text
from suncover.site.kinds.azimuth import bearing_from_compass, bearing_from_wall
from suncover.site.model import Site, Window

SITE = """\
[site]
name = "home"
latitude = 47.4
longitude = 8.5
elevation = 400

[[window]]
name = "kitchen"
width = 1
height = 1
{}
"""
WALL = "wall = [[47.40000, 8.50000], [47.40012, 8.50007]]"


def window_with(lines: str) -> Window:
    return site_from_text(SITE.format(lines)).windows[0]


def faults_of(lines: str) -> list[str]:
    with pytest.raises(FileFaults) as caught:
        site_from_text(SITE.format(lines), "home.toml")
    return str(caught.value).splitlines()


def test_degrees_are_taken_as_they_are() -> None:
    window = window_with("azimuth = 101.5")
    assert (window.azimuth, window.azimuth_sd) == (101.5, None)


def test_words_become_degrees_with_their_uncertainty() -> None:
    window = window_with('azimuth = "east-north-east"')
    assert (window.azimuth, window.azimuth_sd) == (67.5, 6.5)


def test_a_compass_is_corrected_for_the_place_and_the_day() -> None:
    window = window_with("compass = 101.5\nmeasured = 2027-03-02")
    bearing = bearing_from_compass(101.5, date(2027, 3, 2), (47.4, 8.5), 400.0)
    assert window.azimuth == pytest.approx(bearing.azimuth, abs=0.006)
    assert window.azimuth_sd == pytest.approx(bearing.sd, abs=0.006)
    assert shown_form(window) == "compass 101.5° on 2027-03-02"


def test_the_place_may_stand_after_the_window() -> None:
    text = SITE.format("compass = 101.5\nmeasured = 2027-03-02")
    head, tail = text.split("\n\n")
    turned = site_from_text(f"{tail}\n{head}\n").windows[0]
    assert turned.azimuth == window_with("compass = 101.5\nmeasured = 2027-03-02").azimuth


def test_two_ends_of_a_wall() -> None:
    window = window_with(WALL)
    bearing = bearing_from_wall((47.4, 8.5), (47.40012, 8.50007))
    assert window.azimuth == pytest.approx(bearing.azimuth, abs=0.006)
    assert window.azimuth_sd == pytest.approx(bearing.sd, abs=0.006)


def test_a_stated_uncertainty_goes_before_the_forms_own() -> None:
    assert window_with('azimuth = "east"\nazimuth_sd = 2').azimuth_sd == 2.0


@pytest.mark.parametrize(
    ("lines", "fault"),
    [
        pytest.param(
            'azimuth = "up"',
            ':11:11: window "kitchen": azimuth: "up" is not a direction; write degrees from true '
            "north, or one of the 16 points of the compass such as "
            '"east-north-east" or "ENE"',
            id="words",
        ),
        pytest.param(
            "compass = 10",
            ':7:1: window "kitchen": azimuth: `compass` needs `measured`, the day it was read, as '
            "magnetic north moves",
            id="no day",
        ),
        pytest.param(
            "compass = 400\nmeasured = 2027-01-01",
            ':11:11: window "kitchen": compass: 400 is not between 0 and 360',
            id="compass",
        ),
        pytest.param(
            'compass = 10\nmeasured = 2027-01-01\nazimuth_sd = "5"',
            ':13:14: window "kitchen": azimuth_sd: "5" is text; it should be a number, without '
            "quotes",
            id="deviation as text",
        ),
        pytest.param(
            "compass = 10\nmeasured = 2027-01-01\nazimuth_sd = [1]",
            ':13:14: window "kitchen": azimuth_sd: a list is not a number',
            id="deviation that is a list",
        ),
        pytest.param(
            "compass = 10\nmeasured = 27",
            ':12:12: window "kitchen": measured: 27 is not a date such as "2027-07-10"',
            id="day",
        ),
        pytest.param(
            f"azimuth = 10\n{WALL}",
            ':11:11: window "kitchen": azimuth: `azimuth` and `wall` say the same; give one of '
            "them",
            id="two forms",
        ),
        pytest.param(
            "azimuth = 10\nmeasured = 2027-01-01",
            ':11:11: window "kitchen": azimuth: `measured` goes with `compass`; take it away',
            id="day without compass",
        ),
        pytest.param(
            "wall = [[8.5, 47.4], [8.5001, 47.4]]",
            ':7:1: window "kitchen": azimuth: the wall is 5661 km from the site\'s latitude and '
            "longitude; write each end as [latitude, longitude]",
            id="swapped",
        ),
        pytest.param(
            "wall = [[47.4, 8.5], [97.4, 8.5]]",
            ':11:23: window "kitchen": wall, end 2, latitude: 97.4 is not between -90 and 90',
            id="latitude",
        ),
    ],
)
def test_what_is_wrong_is_told_with_its_place(lines: str, fault: str) -> None:
    assert faults_of(lines) == [f"home.toml{fault}"]


def test_a_window_without_any_form_is_told_of_all() -> None:
    [fault] = faults_of("")
    assert "`azimuth` is missing" in fault
    assert "`compass`" in fault
    assert "`wall`" in fault


def test_windows_of_one_facade_face_one_way() -> None:
    other = '\n[[window]]\nname = "hall"\nwidth = 1\nheight = 1\nazimuth = 20\nfacade = "street"'
    [fault] = faults_of(f'azimuth = 10\nfacade = "street"\n{other}')
    assert fault.endswith(
        'on "street" window "kitchen" faces 10° and this one 20°; give both the same'
    )


def test_a_reading_outside_the_models_years_is_warned_of() -> None:
    site = site_from_text(SITE.format("compass = 10\nmeasured = 2041-01-01"))
    [warning] = aspect_warnings(site.windows[0], site.place)
    assert "2041-01-01" in warning
    sound = site_from_text(SITE.format("compass = 10\nmeasured = 2027-01-01"))
    assert aspect_warnings(sound.windows[0], sound.place) == ()


def test_a_site_survives_being_dumped_and_read_again() -> None:
    site = site_from_text(SITE.format("compass = 101.5\nmeasured = 2027-03-02"))
    again = Site.model_validate(site.model_dump(by_alias=True))
    assert again == site


@pytest.mark.parametrize(
    ("window", "sound"),
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
def test_the_schema_asks_for_one_form(window: dict[str, object], sound: bool) -> None:
    raw = {
        "site": {"name": "home", "latitude": 1, "longitude": 1},
        "window": [{"name": "k", "width": 1, "height": 1, **window}],
    }
    checker = Draft202012Validator(site_schema(), format_checker=FormatChecker())
    assert checker.is_valid(raw) is sound
