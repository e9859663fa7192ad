"""A whole house by the interview, and the same house typed by hand: one and the same site.

It stands in the southern hemisphere and has a bay of three windows, a roof window, a balcony door,
a tree, a neighbour, and motors on a small supply.
"""

import math
from datetime import date
from functools import cache

from site_texts import house, table, window

from suncover.site.file.sitefile import site_from_text
from suncover.site.file.toml_text import parse_toml
from suncover.site.interview.compose import answers_text, flat, site_file
from suncover.site.interview.questions import KnownHome, next_question

TODAY = date(2027, 3, 2)

# What a person types, in the order of the questions: "window.1" heads those of a window. + asks for
# more, nothing takes what is proposed.
TALK = """
site: name=+ | name=Casa | place=30.03 S, 51.22 W | elevation=10 | timezone=
wall.1: name=street side | length=4 | azimuth=north | more=yes
wall.2: name=bay left | length=1.2 m | corner=225 | more=yes
wall.3: name=bay front | length=2 | corner=135 | more=yes
wall.4: name=bay right | length=120 cm | corner=135 | more=no
window.1: name=left pane | azimuth=bay left | along=10 cm | width=1
window.1: height= | sill= | reveal= | overhang= | shade= | shade_name=bay roller
window.1: travel=45 s | quiet=10 pm to 7 am | more=yes
window.2: name=front pane | azimuth=bay front | along=0.2 | width=1.6
window.2: height= | sill= | reveal= | overhang= | shade=bay roller | more=yes
window.3: name=right pane | azimuth=bay right | along=0.1 | width=1
window.3: height= | sill= | reveal= | overhang= | shade=bay roller | more=yes
window.4: name=+ | name=roof | azimuth=street side | along=1, 0.5 in | width=78 cm
window.4: height=118 cm | sill=1.1 | reveal=0 | tilt=35 | floor=2.8 | skyline= | glazing=
window.4: overhang= | fin_left= | fin_right= | shade= | shade_name=+ | shade_name=roof shade
window.4: travel=1 min 5 s | quiet= | shade_place=outside | fabric= | stops= | lead= | lag=
window.4: moves= | home_after=20 | moved=yes | travel_up=75 | end_stop=top | overrun=5 s
window.4: after_hand=2 h | program=python3 'my relay.py' {direction} {seconds} | more=yes
window.5: name=+ | name=balcony door | azimuth=street side | along=2.2 | width=90 cm
window.5: height=2.1 | sill=0 | reveal= | tilt= | floor= | skyline= | glazing= | overhang=1.2
window.5: gap=0.3 | overhang_left=0.5 | overhang_right= | fin_left=1.2 | fin_left_gap=0.5
window.5: fin_left_above= | fin_left_below= | fin_right= | shade= | shade_name=door screen
window.5: travel=50 | quiet= | more=+ | more=no
rest: topics=season, trees, neighbours, supplies, spots, money, keeper
obstacle.1: name=neighbour | where=8 out from street side, 2 left | width=10 | depth=9 m
obstacle.1: top=6 | more=
tree.1: name=jacaranda | where=12 m north-west of front pane | width=7 | bottom=3 | top=9
tree.1: leaf= | bare=0.6 | in_leaf= | more=
spot.1: name=desk | window=front pane | distance=1.2 | offset=-0.3 | height= | more=
supply.1: name=box | shades= | at_once=1 | gap=2 s | more=
need: season=
money: currency=R$ | electricity=0.80 to 1.10 | heating= | overhang= | shade=
keeper: broker=mqtts://192.168.1.5 | topic= | user=keeper | password_file= | ca_file=own.pem
"""

# On squared paper: east and north of the corner where the street side begins, which is its eastern
# end as the wall looks north. The bay's walls lie at 45° to it.
H = math.sqrt(0.5)


def on_paper(east, north):
    return [round(east, 4), round(north, 4)]


def wall(name, azimuth, length, *start):
    return table(
        "wall", name=name, azimuth=azimuth, azimuth_sd=6.5, length=length, start=on_paper(*start)
    )


def pane(name, azimuth, width, wall, *position, height=1.4, **keys):
    keys |= {"azimuth_sd": 6.5, "facade": wall, "position": on_paper(*position)}
    return window(name, azimuth, width, height, **keys)


BAY = {"sill": 0.9, "reveal": 0.1}
BY_HAND = house(
    table("need", beam=120, season=["10-15", "04-15"]),
    table("money", currency="R$", electricity=[0.8, 1.1]),
    table(
        "keeper", broker="mqtts://192.168.1.5", user="keeper", password_file="broker-password",
        ca_file="own.pem",
    ),
    wall("street side", 0, 4, 0, 0),
    wall("bay left", 45, 1.2, -4, 0),
    wall("bay front", 0, 2, -4 - 1.2 * H, 1.2 * H),
    wall("bay right", 315, 1.2, -6 - 1.2 * H, 1.2 * H),
    pane("left pane", 45, 1, "bay left", -4 - 0.6 * H - 0.1 * H, 0.6 * H - 0.1 * H, **BAY),
    pane("front pane", 0, 1.6, "bay front", -5 - 1.2 * H, 1.2 * H - 0.1, **BAY),
    pane("right pane", 315, 1, "bay right", -6 - 1.7 * H, 0.5 * H, **BAY),
    pane("roof", 0, 0.78, "street side", -1.39, -0.5, height=1.18, tilt=35, sill=1.1, floor=2.8),
    pane(
        "balcony door", 0, 0.9, "street side", -2.65, -0.1, height=2.1, reveal=0.1,
        overhang={"depth": 1.2, "gap": 0.3, "left": 0.5},
        fin=[{"side": "left", "depth": 1.2, "gap": 0.5}],
    ),
    table(
        "shade", name="bay roller", windows=["left pane", "front pane", "right pane"], travel=45,
        quiet=["22:00", "07:00"],
    ),
    table(
        "shade", name="roof shade", windows=["roof"], travel=65, place="outside", home_after=20,
        travel_up=75, end_stop="top", overrun=5, after_hand="2 h",
        program=["python3", "my relay.py", "{direction}", "{seconds}"],
    ),
    table("shade", name="door screen", windows=["balcony door"], travel=50),
    table("obstacle", name="neighbour", footprint=[[5, 8], [-5, 8], [-5, 17], [5, 17]], top=6),
    table(
        "tree", name="jacaranda", trunk=on_paper(-5 - 13.2 * H, 13.2 * H), width=7, bottom=3, top=9,
        leaf=0.2, bare=0.6, in_leaf=["10-20", "05-05"],
    ),
    table("spot", name="desk", window="front pane", distance=1.2, offset=-0.3, height=0.75),
    table("supply", name="box", shades=["bay roller", "roof shade", "door screen"], gap=2),
    name="Casa", at=(-30.03, -51.22), elevation=10, timezone="America/Sao_Paulo",
)  # fmt: skip

MEANINGS = {}


@cache
def talked():
    """The answers of the talk; how many were typed, and how many were empty lines."""
    known, answers, typed, empty = KnownHome(TODAY), {}, 0, 0
    for line in TALK.strip().splitlines():
        head, _, said = line.partition(": ")
        for pair in said.split(" |"):
            key, _, answer = pair.strip().partition("=")
            question = next_question(answers, known)
            assert question.key == f"{head}.{key}"
            assert question.how.endswith(".")
            assert question.text.strip()
            typed, empty = typed + bool(answer), empty + (not answer)
            if answer == "+":
                answers[question.deep] = "yes"
                continue
            answer = answer or question.default
            question.check(answer)
            assert question.doubt(answer) is None, pair
            if (meaning := question.meaning(answer)) is not None:
                MEANINGS[question.key] = meaning
            answers[question.key] = answer
    assert next_question(answers, known) is None
    return answers, typed, empty


def test_the_interview_and_the_hand_write_the_same_house():
    text, by_hand = (
        text.replace("home_after", "stops = [50, 100]\nhome_after")
        for text in (site_file(talked()[0], KnownHome(TODAY)), BY_HAND)
    )
    assert site_from_text(text) == site_from_text(by_hand)


def test_the_house_takes_so_many_answers():
    """A change alarm: what a person has to say must not grow unnoticed."""
    _, typed, empty = talked()
    assert (typed, empty) == (102, 51)


def test_the_file_keeps_what_was_said():
    text = site_file(talked()[0], KnownHome(TODAY))
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


def test_each_wall_and_what_is_in_it_is_said_in_words():
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


def test_kept_answers_are_the_same_answers_and_more_is_asked_only_where_it_was():
    answers, _, _ = talked()
    assert flat(parse_toml(answers_text(answers), "home.toml.answers")) == answers
    for key, deep in (("window.4", "window.4.tilt"), ("rest", "supply")):
        short = {k: v for k, v in answers.items() if not k.startswith((deep, f"{key}.deep"))}
        question = next_question(short, KnownHome(TODAY))
        assert question is None or not question.key.startswith(deep)
