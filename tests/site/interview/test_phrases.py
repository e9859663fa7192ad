"""Places, days and doubts as people say and meet them."""

from datetime import date

import pytest

from suncover.site.interview.kinds import near_house, whereabouts
from suncover.site.interview.phrases import (
    along_lines,
    beside_lines,
    from_lines,
    season_days,
    season_words,
    where_lines,
)
from suncover.site.interview.question import KnownHome
from suncover.site.interview.questions import next_question
from suncover.site.kinds.azimuth import ends_doubt
from suncover.site.kinds.zones import clocks_doubt, zone_doubt

HOT = ("10-15", "04-15")


def pairs(lines):
    return {key: value for key, value, _ in lines}


def test_windows_beside_one_another():
    near = {"right_of": '"kitchen"', "apart": "1.2"}
    assert pairs(beside_lines("1.2 right", "kitchen")) == near
    assert pairs(beside_lines("1.2 to the right, 0.4 out", "kitchen")) == near | {"out": "0.4"}
    left = {"left_of": '"kitchen"', "apart": '"4 ft"', "out": '"-10 cm"'}
    assert pairs(beside_lines("4 ft left, 10 cm in", "kitchen")) == left
    assert pairs(where_lines("1.2 right of the Kitchen", ["kitchen"])) == near
    assert pairs(where_lines("4.2, -3", [])) == {"position": "[4.2, -3]"}
    assert where_lines("none", []) == []
    for wrong in ("", "1.2", "1.2 up", "right", "1.2 right, 0.4", "1.2 right, 0.4 out, 1 out"):
        with pytest.raises(ValueError, match=r"right|out|length"):
            beside_lines(wrong, "kitchen")
    with pytest.raises(ValueError, match='"kichen" is not on the plan; did you mean "kitchen"'):
        where_lines("1.2 right of kichen", ["kitchen"])


def test_windows_along_a_wall():
    assert pairs(along_lines("1,2", "front")) == {"wall": '"front"', "along": "1.2"}
    assert pairs(along_lines("50 cm, 0.4 out", "front"))["out"] == "0.4"
    with pytest.raises(ValueError, match="left end"):
        along_lines("-1", "front")


@pytest.mark.parametrize(
    ("answer", "from_", "keys"),
    [
        ("8 out from kitchen", "kitchen", {"out": "8"}),
        ("8 m in front of kitchen", "kitchen", {"out": '"8 m"'}),
        ("8 out from kitchen, 2 left", "kitchen", {"out": "8", "right": "-2"}),
        ("8 out from street side, 3 along", "street side", {"out": "8", "along": "3"}),
        (
            "12 m north-east of kitchen",
            "kitchen",
            {"distance": '"12 m"', "direction": '"north-east"'},
        ),
        (
            "40 ft south south west of street side",
            "street side",
            {"distance": '"40 ft"', "direction": '"south south west"'},
        ),
        ("12 45° from kitchen", "kitchen", {"distance": "12", "direction": "45"}),
    ],
)
def test_trees_and_houses(answer, from_, keys):
    found = pairs(from_lines(answer, ["kitchen", "street side"], "trunk"))
    assert found == {"from": f'"{from_}"', **keys}


def test_what_is_nowhere():
    assert pairs(from_lines("12, -8", ["kitchen"], "trunk")) == {"trunk": "[12, -8]"}
    for answer in (
        "",
        "there",
        "12 upwards of kitchen",
        "8 out from nowhere",
        "8 out from kitchen, 2",
    ):
        with pytest.raises(ValueError, match=r"kitchen"):
            from_lines(answer, ["kitchen"], "trunk")


def test_seasons():
    assert season_days("yes", HOT) == HOT
    assert season_days("no", HOT) is None
    for answer in (
        "15 Oct to 15 Apr",
        "15. October - 15. April",
        "Oct 15, Apr 15",
        "10-15 to 04-15",
    ):
        assert season_days(answer, ("01-01", "01-02")) == HOT
    assert season_words(HOT) == "15 Oct to 15 Apr"
    for wrong in ("15 Oct", "30 Feb to 3 Mar", "summer to winter"):
        with pytest.raises(ValueError, match=r"15 Oct"):
            season_days(wrong, HOT)


def test_a_zone_that_the_place_is_not_in_is_asked_about():
    """Porto Alegre is in America/Sao_Paulo, Tehran's clocks are not; the sea has none."""
    for place, meant in (
        ((30.03, 51.22), "30.03° south, 51.22° west"),
        ((51.22, 30.03), "latitude and longitude swapped"),
    ):
        doubt = zone_doubt(*place, "America/Sao_Paulo")
        assert meant in doubt
    # The Indian Ocean, which is asked about as such.
    doubt = zone_doubt(-30.03, 51.22, "America/Sao_Paulo")
    assert doubt is None or "30.03° south, 51.22° west" in doubt


def test_clocks_of_the_machine_give_a_slip_away():
    assert clocks_doubt(30.03, 51.22, (-3.0, -3.0)) is not None
    assert "is a minus sign wrong?" in str(whereabouts((-3.0, -3.0))("30.03, 51.22"))
    assert whereabouts((-3.0, -3.0))("-30.03, -51.22") is None
    assert whereabouts((1.0, 2.0))("-30.03, -51.22") is None, "somebody far away may write it"
    assert whereabouts((0.0, 0.0))("30.03, 51.22") is None, "many machines go by UTC"
    assert whereabouts(None)("30.03, 51.22") is None


def test_swapped_ends_have_the_house_in_front():
    """The house lies 20 m north of the southern wall's line; its outside is south of it."""
    house = (47.00018, 8.00010)
    left, right = (47.0, 8.0), (47.0, 8.0002)
    assert ends_doubt(left, right, house) is None
    assert "are the two ends swapped?" in str(ends_doubt(right, left, house))
    assert ends_doubt(right, left, (47.0, 8.0)) is None, "a rough place says nothing"
    assert "swapped" in str(near_house(house)("8.0, 47.0"))
    assert "minus sign" in str(near_house(house)("-47.0, 8.0"))
    assert near_house(house)("47.0, 8.0") is None


MEANT = {
    "site.place": (
        "30°01'48\"S 51°13'12\"W",
        "that is 30.03° south, 51.22° west, by the clocks of America/Sao_Paulo",
    ),
    "site.elevation": ("33 ft", "that is 10.1 m"),
    "window.1.azimuth": ("205", "that faces 205°, south-south-west"),
    "window.1.width": ("4 ft", "that is 1.22 m"),
    "window.1.travel": ("75", "that is 1 min 15 s"),
    "window.1.quiet": ("10 pm to 7 am", "the motor rests from 22:00 to 07:00, over midnight"),
}


def test_meanings_are_said_in_words():
    answers, meanings = {}, {}
    while (question := next_question(answers, KnownHome(date(2027, 3, 2)))) is not None:
        answer = MEANT[question.key][0] if question.key in MEANT else question.default or ""
        question.check(answer)
        answers[question.key] = answer
        if (meaning := question.meaning(answer)) is not None:
            meanings[question.key] = meaning
    assert meanings == {key: meaning for key, (_, meaning) in MEANT.items()}
