"""A whole house by the interview, and the same house typed by hand: one and the same site.

It stands in the southern hemisphere and has a bay of three windows, a roof window, a balcony door,
a tree, a neighbour, and motors on a small supply.
"""

from __future__ import annotations

import math
from datetime import date
from functools import cache

import pytest

from suncover.site.file.sitefile import site_from_text
from suncover.site.file.toml_text import parse_toml
from suncover.site.interview.compose import answers_text, flat, site_file
from suncover.site.interview.questions import Known, next_question

TODAY = date(2027, 3, 2)
DEFAULT = ""  # an empty line

# What a person types, in the order of the questions. + asks for more.
TALK = (
    ("site.name", "+", "Casa"),
    ("site.place", "30.03 S, 51.22 W"),
    ("site.elevation", "10"),
    ("site.timezone", DEFAULT),
    # The walls, from left to right as seen from the street, which lies to the north.
    ("wall.1.name", "street side"),
    ("wall.1.length", "4"),
    ("wall.1.azimuth", "north"),
    ("wall.1.more", "yes"),
    ("wall.2.name", "bay left"),
    ("wall.2.length", "1.2 m"),
    ("wall.2.corner", "225"),
    ("wall.2.more", "yes"),
    ("wall.3.name", "bay front"),
    ("wall.3.length", "2"),
    ("wall.3.corner", "135"),
    ("wall.3.more", "yes"),
    ("wall.4.name", "bay right"),
    ("wall.4.length", "120 cm"),
    ("wall.4.corner", "135"),
    ("wall.4.more", "no"),
    # A bay of three windows.
    ("window.1.name", "left pane"),
    ("window.1.azimuth", "bay left"),
    ("window.1.along", "10 cm"),
    ("window.1.width", "1"),
    *((f"window.1.{key}", DEFAULT) for key in ("height", "sill", "reveal", "overhang", "shade")),
    ("window.1.shade_name", "bay roller"),
    ("window.1.travel", "45 s"),
    ("window.1.quiet", "10 pm to 7 am"),
    ("window.1.more", "yes"),
    ("window.2.name", "front pane"),
    ("window.2.azimuth", "bay front"),
    ("window.2.along", "0.2"),
    ("window.2.width", "1.6"),
    *((f"window.2.{key}", DEFAULT) for key in ("height", "sill", "reveal", "overhang")),
    ("window.2.shade", "bay roller"),
    ("window.2.more", "yes"),
    ("window.3.name", "right pane"),
    ("window.3.azimuth", "bay right"),
    ("window.3.along", "0.1"),
    ("window.3.width", "1"),
    *((f"window.3.{key}", DEFAULT) for key in ("height", "sill", "reveal", "overhang")),
    ("window.3.shade", "bay roller"),
    ("window.3.more", "yes"),
    # A roof window, over the street side.
    ("window.4.name", "+", "roof"),
    ("window.4.azimuth", "street side"),
    ("window.4.along", "1, 0.5 in"),
    ("window.4.width", "78 cm"),
    ("window.4.height", "118 cm"),
    ("window.4.sill", "1.1"),
    ("window.4.reveal", "0"),
    ("window.4.tilt", "35"),
    ("window.4.floor", "2.8"),
    *((f"window.4.{key}", DEFAULT) for key in ("skyline", "glazing", "overhang")),
    *((f"window.4.{key}", DEFAULT) for key in ("fin_left", "fin_right", "shade")),
    ("window.4.shade_name", "+", "roof shade"),
    ("window.4.travel", "1 min 5 s"),
    ("window.4.quiet", DEFAULT),
    ("window.4.shade_place", "outside"),
    *((f"window.4.{key}", DEFAULT) for key in ("fabric", "stops", "lead", "lag", "moves")),
    ("window.4.home_after", "20"),
    ("window.4.moved", "yes"),
    ("window.4.travel_up", "75"),
    ("window.4.end_stop", "top"),
    ("window.4.overrun", "5 s"),
    ("window.4.after_hand", "2 h"),
    ("window.4.program", "python3 'my relay.py' {direction} {seconds}"),
    ("window.4.more", "yes"),
    # A balcony door beside it in the same wall, with a roof and a side wall.
    ("window.5.name", "+", "balcony door"),
    ("window.5.azimuth", "street side"),
    ("window.5.along", "2.2"),
    ("window.5.width", "90 cm"),
    ("window.5.height", "2.1"),
    ("window.5.sill", "0"),
    ("window.5.reveal", DEFAULT),
    *((f"window.5.{key}", DEFAULT) for key in ("tilt", "floor", "skyline", "glazing")),
    ("window.5.overhang", "1.2"),
    ("window.5.gap", "0.3"),
    ("window.5.overhang_left", "0.5"),
    ("window.5.overhang_right", DEFAULT),
    ("window.5.fin_left", "1.2"),
    ("window.5.fin_left_gap", "0.5"),
    *((f"window.5.fin_left_{key}", DEFAULT) for key in ("above", "below")),
    ("window.5.fin_right", DEFAULT),
    ("window.5.shade", DEFAULT),
    ("window.5.shade_name", "door screen"),
    ("window.5.travel", "50"),
    ("window.5.quiet", DEFAULT),
    ("window.5.more", "+", "no"),
    ("rest.topics", "season, trees, neighbours, supplies, spots, money, keeper"),
    ("obstacle.1.name", "neighbour"),
    ("obstacle.1.where", "8 out from street side, 2 left"),
    ("obstacle.1.width", "10"),
    ("obstacle.1.depth", "9 m"),
    ("obstacle.1.top", "6"),
    ("obstacle.1.more", DEFAULT),
    ("tree.1.name", "jacaranda"),
    ("tree.1.where", "12 m north-west of front pane"),
    ("tree.1.width", "7"),
    ("tree.1.bottom", "3"),
    ("tree.1.top", "9"),
    ("tree.1.leaf", DEFAULT),
    ("tree.1.bare", "0.6"),
    ("tree.1.in_leaf", DEFAULT),
    ("tree.1.more", DEFAULT),
    ("spot.1.name", "desk"),
    ("spot.1.window", "front pane"),
    ("spot.1.distance", "1.2"),
    ("spot.1.offset", "-0.3"),
    ("spot.1.height", DEFAULT),
    ("spot.1.more", DEFAULT),
    ("supply.1.name", "box"),
    ("supply.1.shades", DEFAULT),
    ("supply.1.at_once", "1"),
    ("supply.1.gap", "2 s"),
    ("supply.1.more", DEFAULT),
    ("need.season", DEFAULT),
    ("money.currency", "R$"),
    ("money.electricity", "0.80 to 1.10"),
    *((f"money.{key}", DEFAULT) for key in ("heating", "overhang", "shade")),
    ("keeper.broker", "mqtts://192.168.1.5"),
    ("keeper.topic", DEFAULT),
    ("keeper.user", "keeper"),
    ("keeper.password_file", DEFAULT),
    ("keeper.ca_file", "own.pem"),
)

# On squared paper: east and north of the corner where the street side begins, which is its eastern
# end as the wall looks north. The bay's walls lie at 45° to it.
H = math.sqrt(0.5)


def on_paper(east: float, north: float) -> str:
    return f"[{round(east, 4)}, {round(north, 4)}]"


BY_HAND = f"""
[site]
name = "Casa"
latitude = -30.03
longitude = -51.22
elevation = 10
timezone = "America/Sao_Paulo"

[need]
beam = 120
season = ["10-15", "04-15"]

[money]
currency = "R$"
electricity = [0.8, 1.1]

[keeper]
broker = "mqtts://192.168.1.5"
user = "keeper"
password_file = "broker-password"
ca_file = "own.pem"

[[wall]]
name = "street side"
azimuth = 0
azimuth_sd = 6.5
length = 4
start = [0, 0]
[[wall]]
name = "bay left"
azimuth = 45
azimuth_sd = 6.5
length = 1.2
start = [-4, 0]
[[wall]]
name = "bay front"
azimuth = 0
azimuth_sd = 6.5
length = 2
start = {on_paper(-4 - 1.2 * H, 1.2 * H)}
[[wall]]
name = "bay right"
azimuth = 315
azimuth_sd = 6.5
length = 1.2
start = {on_paper(-6 - 1.2 * H, 1.2 * H)}

[[window]]
name = "left pane"
azimuth = 45
azimuth_sd = 6.5
facade = "bay left"
width = 1.0
height = 1.4
sill = 0.9
reveal = 0.1
position = {on_paper(-4 - 0.6 * H - 0.1 * H, 0.6 * H - 0.1 * H)}
[[window]]
name = "front pane"
azimuth = 0
azimuth_sd = 6.5
facade = "bay front"
width = 1.6
height = 1.4
sill = 0.9
reveal = 0.1
position = {on_paper(-5 - 1.2 * H, 1.2 * H - 0.1)}
[[window]]
name = "right pane"
azimuth = 315
azimuth_sd = 6.5
facade = "bay right"
width = 1.0
height = 1.4
sill = 0.9
reveal = 0.1
position = {on_paper(-6 - 1.2 * H - 0.6 * H + 0.1 * H, 1.2 * H - 0.6 * H - 0.1 * H)}
[[window]]
name = "roof"
azimuth = 0
azimuth_sd = 6.5
facade = "street side"
tilt = 35
width = 0.78
height = 1.18
sill = 1.1
floor = 2.8
position = [-1.39, -0.5]
[[window]]
name = "balcony door"
azimuth = 0
azimuth_sd = 6.5
facade = "street side"
width = 0.9
height = 2.1
reveal = 0.1
position = [-2.65, -0.1]
[window.overhang]
depth = 1.2
gap = 0.3
left = 0.5
[[window.fin]]
side = "left"
depth = 1.2
gap = 0.5

[[shade]]
name = "bay roller"
windows = ["left pane", "front pane", "right pane"]
travel = 45
quiet = ["22:00", "07:00"]
[[shade]]
name = "roof shade"
windows = ["roof"]
travel = 65
place = "outside"
home_after = 20
travel_up = 75
end_stop = "top"
overrun = 5
after_hand = "2 h"
program = ["python3", "my relay.py", "{{direction}}", "{{seconds}}"]
[[shade]]
name = "door screen"
windows = ["balcony door"]
travel = 50

[[obstacle]]
name = "neighbour"
footprint = [[5, 8], [-5, 8], [-5, 17], [5, 17]]
top = 6
[[tree]]
name = "jacaranda"
trunk = {on_paper(-5 - 1.2 * H - 12 * H, 1.2 * H + 12 * H)}
width = 7
bottom = 3
top = 9
leaf = 0.2
bare = 0.6
in_leaf = ["10-20", "05-05"]
[[spot]]
name = "desk"
window = "front pane"
distance = 1.2
offset = -0.3
height = 0.75
[[supply]]
name = "box"
shades = ["bay roller", "roof shade", "door screen"]
gap = 2
"""


MEANINGS: dict[str, str] = {}


@cache
def talked() -> tuple[dict[str, str], int, int]:
    """The answers of the talk; how many were typed, and how many were empty lines."""
    MEANINGS.clear()
    known = Known(TODAY)
    answers: dict[str, str] = {}
    typed = empty = 0
    for key, *said in TALK:
        for answer in said:
            question = next_question(answers, known)
            assert question is not None, key
            assert question.key == key
            assert question.how.endswith(".")
            assert question.text.strip()
            typed += answer != DEFAULT
            empty += answer == DEFAULT
            if answer == "+":
                assert question.deep is not None
                answers[question.deep] = "yes"
                continue
            given = answer or question.default
            assert given is not None, key
            question.check(given)
            assert question.doubt(given) is None, key
            if (meaning := question.meaning(given)) is not None:
                MEANINGS[key] = meaning
            answers[key] = given
    assert next_question(answers, known) is None
    return answers, typed, empty


def test_the_interview_and_the_hand_write_the_same_house() -> None:
    answers, _, _ = talked()
    text = site_file(answers, Known(TODAY)).replace("home_after", "stops = [50, 100]\nhome_after")
    by_hand = BY_HAND.replace("home_after", "stops = [50, 100]\nhome_after")
    assert site_from_text(text) == site_from_text(by_hand)


def test_the_house_takes_so_many_answers() -> None:
    """A change alarm: what a person has to say must not grow unnoticed."""
    _, typed, empty = talked()
    assert (typed, empty) == (102, 51)


def test_the_file_keeps_what_was_said() -> None:
    text = site_file(talked()[0], Known(TODAY))
    for line in (
        'along = "10 cm"',
        'travel = "1 min 5 s"',
        'azimuth = "north"',
        'direction = "north-west"',
        'after = "street side"',
        "corner = 225",
        "out = -0.5",
    ):
        assert line in text
    assert text.count("#") > 60, "every key has its comment"


def test_each_wall_and_what_is_in_it_is_said_in_words() -> None:
    talked()
    assert [MEANINGS[f"wall.{number}.corner"] for number in (2, 3, 4)] == [
        "that faces 45°, north-east",
        "that faces 0°, north",
        "that faces 315°, north-west",
    ]
    assert MEANINGS["window.1.azimuth"] == "that faces 45°, north-east, as bay left does"
    assert MEANINGS["tree.1.where"] == "that is 8.5 m west and 8.5 m north of it"
    assert MEANINGS["window.4.tilt"] == "that is a slope of 35°"
    assert MEANINGS["need.season"] == "that is 15 Oct to 15 Apr"


def test_kept_answers_are_the_same_answers() -> None:
    answers, _, _ = talked()
    again = flat(parse_toml(answers_text(answers), "home.toml.answers"))
    assert again == answers


@pytest.mark.parametrize("key", ["window.4", "rest"])
def test_without_asking_for_more_none_of_it_is_asked(key: str) -> None:
    answers, _, _ = talked()
    deep = {"window.4": "window.4.tilt", "rest": "supply"}[key]
    short = {k: v for k, v in answers.items() if not k.startswith((deep, f"{key}.deep"))}
    question = next_question(short, Known(TODAY))
    assert question is None or not question.key.startswith(deep)
