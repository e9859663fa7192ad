"""Questions and answers without anybody to talk to: what each answer may be, and what is asked."""

from __future__ import annotations

from datetime import date

import pytest

from suncover.site.file.sitefile import site_from_text
from suncover.site.file.toml_text import parse_toml
from suncover.site.interview.compose import answers_text, flat, site_file
from suncover.site.interview.kinds import coordinates, direction, quiet_hours, yes_or_no
from suncover.site.interview.questions import Known, next_question

TODAY = date(2027, 3, 2)


def defaults(known: Known, **said: str) -> dict[str, str]:
    """Answers with the default to everything but `said` (with `__` for the dots)."""
    wanted = {key.replace("__", "."): answer for key, answer in said.items()}
    answers: dict[str, str] = {}
    while (question := next_question(answers, known)) is not None:
        answer = wanted.get(question.key, question.default)
        assert answer is not None, question.key
        question.check(answer)
        answers[question.key] = answer
    return answers


def test_defaults_lead_to_a_site_that_loads() -> None:
    answers = defaults(Known(TODAY), site__place="47.38, 8.54", window__1__azimuth="south")
    site = site_from_text(site_file(answers, Known(TODAY)))
    assert site.place.zone_name == "Europe/Zurich"
    assert (site.windows[0].azimuth, site.windows[0].overhang) == (180.0, None)
    assert site.shades[0].windows == ("window 1",)


def test_every_question_says_how_to_find_out_and_offers_an_answer_where_it_can() -> None:
    answers: dict[str, str] = {}
    without_default = []
    known = Known(TODAY)
    said = {"site.place": "47, 8", "window.1.azimuth": "compass 10", "window.1.overhang": "1"}
    while (question := next_question(answers, known)) is not None:
        assert question.how.endswith(".")
        assert question.text.strip()
        if question.default is None:
            without_default.append(question.key)
        answers[question.key] = said.get(question.key, question.default or "")
    assert without_default == ["site.place", "window.1.azimuth"]
    assert answers["window.1.measured"] == "2027-03-02"


def test_only_windows_are_asked_for_where_the_place_is_known() -> None:
    known = Known(TODAY, windows=["kitchen"], shades=["kitchen roller"], place=(47.0, 8.0))
    first = next_question({}, known)
    assert first is not None
    assert first.key == "window.1.name"
    assert first.default == "window 2"
    with pytest.raises(ValueError, match='there is a "kitchen" already'):
        first.check("kitchen")


def test_a_wall_and_a_compass_ask_for_what_they_need() -> None:
    by_wall = defaults(
        Known(TODAY),
        site__place="47.0, 8.0",
        window__1__azimuth="wall",
        window__1__wall_left="47.000000, 8.000000",
        window__1__wall_right="47.000000, 8.000200",
    )
    site = site_from_text(site_file(by_wall, Known(TODAY)))
    assert site.windows[0].azimuth == pytest.approx(180.0, abs=0.01)
    by_compass = defaults(Known(TODAY), site__place="47, 8", window__1__azimuth="Compass: 101,5")
    window = site_from_text(site_file(by_compass, Known(TODAY))).windows[0]
    assert (window.compass, window.measured) == (101.5, TODAY)


def test_answers_survive_being_kept_in_a_file() -> None:
    answers = defaults(
        Known(TODAY),
        site__place="47, 8",
        window__1__azimuth="east",
        window__1__name='a "b" \\ c',
        window__1__more="yes",
        window__2__azimuth="91",
    )
    text = answers_text(answers)
    assert flat(parse_toml(text, "answers")) == answers


@pytest.mark.parametrize(
    ("text", "place"),
    [
        ("47.38, 8.54", (47.38, 8.54)),
        ("-37.95 144.42", (-37.95, 144.42)),
        ("36.1; −79.95", (36.1, -79.95)),
        ("47.38°, 8.54°", (47.38, 8.54)),
    ],
)
def test_coordinates_as_people_paste_them(text: str, place: tuple[float, float]) -> None:
    assert coordinates(text) == place


@pytest.mark.parametrize("text", ["", "47", "47, 8, 9", "91, 0", "0, 181", "47 N by 8 W", "here"])
def test_what_is_no_place(text: str) -> None:
    with pytest.raises(ValueError, match=r"latitude|longitude"):
        coordinates(text)


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("101.5", ("azimuth", 101.5)),
        ("101,5°", ("azimuth", 101.5)),
        ("ENE", ("azimuth", 67.5)),
        ("compass 10", ("compass", 10.0)),
        ("WALL", ("wall", 0.0)),
    ],
)
def test_directions(text: str, found: tuple[str, float]) -> None:
    assert direction(text) == found


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("361", "not between 0 and 360"),
        ("-5", "not between 0 and 360"),
        ("compass", "compass 101.5"),
        ("compass 400", "not between 0 and 360"),
        ("up", "is not a direction"),
        ("", "is not a direction"),
    ],
)
def test_what_is_no_direction(text: str, sentence: str) -> None:
    with pytest.raises(ValueError, match=sentence):
        direction(text)


def test_yes_no_and_quiet_hours() -> None:
    assert yes_or_no(" Y ")
    assert not yes_or_no("no")
    assert quiet_hours("21:30-07:00") == quiet_hours("21:30 to 07:00") == ("21:30", "07:00")
    assert quiet_hours("9:30 pm - 7 am") == quiet_hours("21.30 to 7:00") == ("21:30", "07:00")
    assert quiet_hours("none") is None
    for wrong in ("21:30", "21:30-7", "25:00-07:00", "07:00-07:00"):
        with pytest.raises(ValueError, match=r"time|between 00:00 and 23:59"):
            quiet_hours(wrong)
    with pytest.raises(ValueError, match="answer yes or no"):
        yes_or_no("perhaps")


def test_the_short_way_stays_short() -> None:
    answers = defaults(Known(TODAY), site__place="47.38, 8.54", window__1__azimuth="south")
    assert [key.rpartition(".")[2] for key in answers] == [
        *("name", "place", "elevation", "timezone"),
        *("name", "azimuth", "width", "height", "sill", "reveal", "overhang"),
        *("shade", "shade_name", "travel", "quiet", "more"),
    ]
