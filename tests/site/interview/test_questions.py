"""Questions and answers without anybody to talk to: what each answer may be, and what is asked."""

import tomllib
from datetime import date

import pytest

from suncover.site.file.sitefile import site_from_text
from suncover.site.file.toml_text import parse_toml
from suncover.site.interview.answers import fault_of_answer
from suncover.site.interview.around import TOPICS
from suncover.site.interview.compose import answers_text, flat, site_file
from suncover.site.interview.kinds import direction, quiet_hours, yes_or_no
from suncover.site.interview.questions import KnownHome, next_question
from suncover.site.interview.sheet import kind_of
from suncover.site.kinds.kind import read_value

TODAY = date(2027, 3, 2)
PLACE, SOUTH = {"site.place": "47.38, 8.54"}, {"window.1.azimuth": "south"}


def answered(said):
    """All answers: those `said`, and the default to everything else."""
    answers, known = {}, KnownHome(TODAY)
    while (question := next_question(answers, known)) is not None:
        answer = said.get(question.key, question.default)
        assert answer is not None, question.key
        question.check(answer)
        answers[question.key] = answer
    return answers


def site_of(said):
    return site_from_text(site_file(answered(said), KnownHome(TODAY)))


def test_defaults_lead_to_a_site_that_loads_by_few_questions():
    site = site_of(PLACE | SOUTH)
    assert site.place.zone_name == "Europe/Zurich"
    assert (site.windows[0].azimuth, site.windows[0].overhang) == (180.0, None)
    assert site.shades[0].windows == ("window 1",)
    assert [key.rpartition(".")[2] for key in answered(PLACE | SOUTH)] == [
        *("name", "place", "elevation", "timezone"),
        *("name", "azimuth", "width", "height", "sill", "reveal", "overhang"),
        *("shade", "shade_name", "travel", "quiet", "more"),
    ]


def test_every_question_says_how_to_find_out_and_offers_an_answer_where_it_can():
    answers, without_default, known = {}, [], KnownHome(TODAY)
    said = {"site.place": "47, 8", "window.1.azimuth": "compass 10", "window.1.overhang": "1"}
    while (question := next_question(answers, known)) is not None:
        assert question.how.endswith(".")
        assert question.text.strip()
        if question.default is None:
            without_default.append(question.key)
        answers[question.key] = said.get(question.key, question.default or "")
    assert without_default == ["site.place", "window.1.azimuth"]
    assert answers["window.1.measured"] == "2027-03-02"


def test_only_windows_are_asked_for_where_the_place_is_known():
    known = KnownHome(TODAY, windows=["kitchen"], shades=["kitchen roller"], place=(47.0, 8.0))
    first = next_question({}, known)
    assert (first.key, first.default) == ("window.1.name", "window 2")
    with pytest.raises(ValueError, match='there is a "kitchen" already'):
        first.check("kitchen")


def test_a_wall_and_a_compass_ask_for_what_they_need():
    ends = {"wall_left": "47.000000, 8.000000", "wall_right": "47.000000, 8.000200"}
    wall = {f"window.1.{key}": answer for key, answer in {"azimuth": "wall", **ends}.items()}
    by_wall = site_of({"site.place": "47.0, 8.0", **wall}).windows[0]
    assert by_wall.azimuth == pytest.approx(180.0, abs=0.01)
    by_compass = site_of(PLACE | {"window.1.azimuth": "Compass: 101,5"}).windows[0]
    assert (by_compass.compass, by_compass.measured) == (101.5, TODAY)


def test_answers_survive_being_kept_in_a_file():
    two = {"window.1.name": 'a "b" \\ c', "window.1.more": "yes", "window.2.azimuth": "91"}
    answers = answered(PLACE | SOUTH | two)
    assert flat(parse_toml(answers_text(answers), "answers")) == answers


def test_directions():
    for text, found in (
        ("101.5", ("azimuth", 101.5)),
        ("101,5°", ("azimuth", 101.5)),
        ("ENE", ("azimuth", 67.5)),
        ("compass 10", ("compass", 10.0)),
        ("WALL", ("wall", 0.0)),
    ):
        assert direction(text) == found
    for text, sentence in (
        ("361", "not between 0 and 360"),
        ("-5", "not between 0 and 360"),
        ("compass", "compass 101.5"),
        ("compass 400", "not between 0 and 360"),
        ("up", "is not a direction"),
        ("", "is not a direction"),
    ):
        with pytest.raises(ValueError, match=sentence):
            direction(text)


def test_yes_no_and_quiet_hours():
    assert yes_or_no(" Y ")
    assert not yes_or_no("no")
    with pytest.raises(ValueError, match="answer yes or no"):
        yes_or_no("perhaps")
    assert quiet_hours("none") is None
    for text in ("21:30-07:00", "21:30 to 07:00", "9:30 pm - 7 am", "21.30 to 7:00"):
        assert quiet_hours(text) == ("21:30", "07:00")
    for wrong in ("21:30", "21:30-7", "25:00-07:00", "07:00-07:00"):
        with pytest.raises(ValueError, match=r"time|between 00:00 and 23:59"):
            quiet_hours(wrong)


TRIED = """
    | 0 | 0.0 | -0.5 | 1 | 1,5 | 75 | 100 | 101 | 360 | 1e3 | 2000000 | nan | inf | 120 cm | -10 cm
    | 45 s | 2 h | 8 d | Endless | SAME | None | Evergreen | tenth | x | north | wall
    | 21:30-07:00 | dawn | 22:30 | 50, 100 | 0.1 to 0.2
    | 15 Oct to 15 Apr | 2027-07-10 | kitchen | a/b | mqtt://h | up
""".replace("\n", "").split(" | ")


def test_what_is_right_in_the_interview_is_right_in_the_file():
    """Each answer that a question takes: its own, and many that are meant for others."""
    answers, known, held = {}, KnownHome(TODAY), 0
    said = PLACE | {"site.deep": "yes", "window.1.azimuth": "compass 10", "window.1.overhang": "1"}
    said |= {
        "window.1.fin_left": "1",
        "window.1.moved": "yes",
        "tree.1.bare": "0.5",
        "rest.topics": ", ".join(TOPICS),
    }
    said |= {"need.for": "glare, sleep, privacy", "keeper.broker": "mqtts://h", "keeper.user": "me"}
    while (question := next_question(answers, known)) is not None:
        own = said.get(question.key, question.default or question.example)
        for answer in dict.fromkeys([own, *TRIED]):
            answers[question.key] = answer
            if fault_of_answer(question, answer) is None:
                text = "".join(f"{key} = {value}\n" for key, value, _ in question.lines(answer))
                for key, value in tomllib.loads(text).items():
                    read_value(kind_of(question.table, key), value)
                    held += 1
        if question.deep:
            answers[question.deep] = "yes"
        answers[question.key] = own
    assert held > 300
