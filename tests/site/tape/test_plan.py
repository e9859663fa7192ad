"""Places by tape measure: the same house with positions worked out on squared paper."""

from __future__ import annotations

import math
import tomllib
from pathlib import Path

import jsonschema
import pytest
from site_texts import faults

from suncover.site.file.schema import site_schema
from suncover.site.file.sitefile import site_from_text
from suncover.site.tape.frames import Frame, rectangle

HEAD = """\
[site]
name = "Corner house"
latitude = -30.03
longitude = -51.22
"""
FRONT = '[[wall]]\nname = "front"\nazimuth = 0\nlength = 8\n'  # looks north: its left end is east
SIDE = '[[wall]]\nname = "side"\nafter = "front"\nlength = "6 m"\n'
GLASS = "width = 1.2\nheight = 1.4\n"


def window(name: str, *keys: str) -> str:
    return "\n".join(["[[window]]", f'name = "{name}"', GLASS, *keys, ""])


KITCHEN = window("kitchen", 'wall = "front"', 'along = "1 m"')
TREE = '[[tree]]\nname = "fig"\nwidth = 6\nbottom = 2\ntop = 9\nleaf = 0.2\n'
SHED = '[[obstacle]]\nname = "shed"\ntop = 3\n'


def test_walls_go_on_to_the_right_of_one_another() -> None:
    """Round a house with square corners, seen from outdoors: north, west, south, east."""
    text = HEAD + FRONT
    for name, after in (("west", "front"), ("south", "west"), ("east", "south")):
        length = 5 if name != "south" else 8
        text += f'[[wall]]\nname = "{name}"\nafter = "{after}"\nlength = {length}\n'
    walls = site_from_text(text + KITCHEN).walls
    assert [wall.azimuth for wall in walls] == [0, 270, 180, 90]
    assert [wall.start for wall in walls] == [(0, 0), (-8, 0), (-8, -5), (0, -5)]


def test_a_bay_turns_out_and_back_again() -> None:
    """Inside a house its corners measure 225, 135, 135 and 225 degrees; together no turn."""
    text = HEAD + FRONT
    before = "front"
    for number, corner in enumerate((225, 135, 135, 225), 1):
        text += f'[[wall]]\nname = "bay {number}"\nafter = "{before}"\ncorner = {corner}\n'
        text += "length = 2\n"
        before = f"bay {number}"
    walls = site_from_text(text + KITCHEN).walls
    assert [wall.azimuth for wall in walls] == [0, 45, 0, 315, 0]
    half = math.sqrt(2)
    assert walls[2].start == pytest.approx((-8 - half, half), abs=1e-4)
    assert walls[4].start == pytest.approx((-8 - half - 2 - half, 0), abs=1e-3)


@pytest.mark.parametrize(
    ("keys", "position", "azimuth"),
    [
        pytest.param(['wall = "front"', "along = 1"], (-1.6, 0), 0, id="on a wall"),
        pytest.param(
            ['wall = "front"', "along = 1", "reveal = 0.1"], (-1.6, -0.1), 0, id="behind its face"
        ),
        pytest.param(['wall = "front"', "along = 1", "out = 0.4"], (-1.6, 0.4), 0, id="out of it"),
        pytest.param(['wall = "side"', 'along = "50 cm"'], (-8, -1.1), 270, id="round the corner"),
        pytest.param(
            ['wall = "front"', "along = 0", "tilt = 30", "reveal = 0.2"],
            (-0.6, -0.1),  # 0.2 m at right angles to glass of 30° is 0.1 m level
            0,
            id="sloping glass",
        ),
        pytest.param(
            ['right_of = "kitchen"', 'apart = "1.2 m"', "out = 0.4"],
            (-4.0, 0.4),
            0,
            id="right of another",
        ),
        pytest.param(['left_of = "kitchen"', "apart = 0"], (-0.4, 0), 0, id="left of another"),
        pytest.param(
            ['right_of = "kitchen"', "apart = 1", "azimuth = 270"],
            (-3.2, -0.6),
            270,
            id="round a corner from another",
        ),
    ],
)
def test_windows_on_the_plan(
    keys: list[str], position: tuple[float, float], azimuth: float
) -> None:
    """The kitchen's glass runs from 1.0 to 2.2 m along a wall that goes west from the origin."""
    site = site_from_text(HEAD + FRONT + SIDE + KITCHEN + window("study", *keys))
    assert site.windows[1].position == pytest.approx(position, abs=1e-9)
    assert site.windows[1].azimuth == azimuth
    assert site.windows[0].facade == "front"


def test_the_way_of_a_wall_goes_to_its_windows_as_it_was_found() -> None:
    wall = FRONT.replace("azimuth = 0", "compass = 15\nmeasured = 2027-03-02")
    [first, second] = site_from_text(
        HEAD + wall + KITCHEN + window("study", 'right_of = "kitchen"', "apart = 1")
    ).windows
    assert (first.compass, str(first.measured)) == (15.0, "2027-03-02")
    assert (second.azimuth, second.azimuth_sd, second.facade) == (
        first.azimuth,
        first.azimuth_sd,
        "front",
    )
    [kitchen] = site_from_text(
        HEAD + FRONT + "azimuth_sd = 2\n" + SIDE + KITCHEN.replace("front", "side")
    ).windows
    assert (kitchen.azimuth, kitchen.azimuth_sd) == (270.0, 2.0)


@pytest.mark.parametrize(
    ("keys", "trunk"),
    [
        pytest.param('from = "kitchen"\nout = 5', (-1.6, 5), id="straight out of a window"),
        pytest.param('from = "kitchen"\nout = 5\nright = -2', (0.4, 5), id="and to the left"),
        pytest.param(
            'from = "kitchen"\ndistance = "10 m"\ndirection = "west"', (-11.6, 0), id="west"
        ),
        pytest.param('from = "front"\nout = 5', (-4, 5), id="from the middle of a wall"),
        pytest.param('from = "front"\nout = 5\nalong = 0', (0, 5), id="from its left end"),
        pytest.param('from = "front"\nout = 5\nright = 1', (-5, 5), id="right of its middle"),
        pytest.param(
            'from = "side"\nalong = 6\ndistance = 10\ndirection = 225',
            (-8 - 10 * math.sqrt(0.5), -6 - 10 * math.sqrt(0.5)),
            id="from its right end",
        ),
    ],
)
def test_trees_on_the_plan(keys: str, trunk: tuple[float, float]) -> None:
    site = site_from_text(HEAD + FRONT + SIDE + KITCHEN + TREE + keys)
    assert site.trees[0].trunk == pytest.approx(trunk, abs=1e-4)


def test_an_obstacle_is_a_rectangle_behind_the_point_that_was_measured() -> None:
    site = site_from_text(
        HEAD + FRONT + KITCHEN + SHED + 'from = "front"\nout = 7\nwidth = 4\ndepth = "3 m"\n'
    )
    assert set(site.obstacles[0].footprint) == {(-2, 7), (-6, 7), (-6, 10), (-2, 10)}
    corners = rectangle((0.0, 0.0), 45.0, 2.0, 1.0)
    assert Frame((0, 0), 45.0).beyond(1.0, 45.0) == pytest.approx(
        [sum(c[axis] for c in corners[2:]) / 2 for axis in (0, 1)], abs=1e-4
    )


# ruff: noqa: E501  (a fault to a line)
FAULTS = [
    pytest.param(SIDE.replace('"front"', '"frnt"'), "after: no wall is named \"frnt\", did you mean "
                 '"front"?', id="unknown wall"),
    pytest.param('[[wall]]\nname = "b"\nlength = 2\nazimuth = 9\n', 'wall "b": say where it starts',
                 id="no start"),
    pytest.param(SIDE + "start = [0, 0]\n", "start: `start` and `after` say the same", id="twice"),
    pytest.param(SIDE + "azimuth = 9\ncorner = 90\n", "corner: it tells the direction", id="corner"),
    pytest.param(SIDE + SIDE.replace("front", "b").replace("side", "c")
                 + SIDE.replace("front", "c").replace("side", "b"), "in a circle", id="circle"),
    pytest.param(SIDE + "corner = 400\n", "corner: 400 is not", id="no such corner"),
    pytest.param(SIDE + "lenght = 4\n", "unknown key `lenght`, did you mean `length`?", id="key"),
    pytest.param(window("w", 'wall = "front"'), "wall: give `along` too", id="no along"),
    pytest.param(window("w", 'wall = "frnt"', "along = 1"), 'no wall is named "frnt"', id="no wall"),
    pytest.param(window("w", 'wall = "front"', "alon = 1"), "unknown key `alon`, did you mean "
                 "`along`?", id="slip in a key"),
    pytest.param(window("w", 'wall = "front"', "along = 7.2"), "would end 0.40 m past the right end "
                 'of "front", which is 8 m long', id="past the wall"),
    pytest.param(window("w", 'wall = "front"', "along = 1", "azimuth = 9"), "the wall tells it; take "
                 "`azimuth` away", id="azimuth twice"),
    pytest.param(window("w", 'wall = "front"', "along = 1", "position = [0, 0]"), "`position` and "
                 "`wall` say the same", id="position twice"),
    pytest.param(window("w", 'right_of = "kitchn"', "apart = 1"), 'no window is named "kitchn", did '
                 'you mean "kitchen"?', id="no window"),
    pytest.param(window("w", 'right_of = "w"', "apart = 1"), "in a circle", id="of itself"),
    pytest.param(window("a", "azimuth = 9") + window("w", 'right_of = "a"', "apart = 1"),
                 '"a" is not on the plan; give it a place, such as position = [0, 0]', id="nowhere"),
    pytest.param(TREE + 'from = "kitchen"\n', "give `out`, straight out", id="no distance"),
    pytest.param(TREE + 'from = "kitchen"\nout = 1\ntrunk = [0, 1]\n', "`trunk` and `from` say",
                 id="trunk twice"),
    pytest.param(TREE + 'from = "kitchen"\nout = 1\nalong = 1\n', "`along` goes with a wall", id="along"),
    pytest.param(TREE + 'from = "front"\nout = 1\nalong = 1\nright = 1\n', "`right` and `along`", id="aside twice"),
    pytest.param(TREE + "out = 1\n", "say `from` where it is measured", id="from nowhere"),
    pytest.param(TREE + 'from = "front"\nout = 1\ndistance = 3\n', "`out` and `distance`", id="both"),
    pytest.param(TREE + 'from = "frnt"\nout = 1\n', 'no window or wall is named "frnt"', id="from"),
    pytest.param(SHED + 'from = "front"\nout = 1\nwidth = 3\n', "`depth` is missing", id="no depth"),
    pytest.param(SHED + 'from = "front"\nout = "x"\nwidth = 3\ndepth = 2\n', 'out: "x" is not a '
                 "length", id="no length"),
]  # fmt: skip


@pytest.mark.parametrize(("more", "sentence"), FAULTS)
def test_what_cannot_be_placed_is_told_once(tmp_path: Path, more: str, sentence: str) -> None:
    told = faults(HEAD + FRONT + KITCHEN + more, tmp_path)
    assert any(sentence in fault for fault in told), told
    assert len(told) <= 2
    assert all(fault[0].isdigit() for fault in told), "each with its line"


def test_an_editor_with_the_schema_takes_what_the_program_takes() -> None:
    judge = jsonschema.Draft202012Validator(site_schema())
    text = (
        HEAD + FRONT + SIDE + KITCHEN + window("b", 'right_of = "kitchen"', "apart = 1")
        + TREE + 'from = "kitchen"\nout = 5\n'
        + SHED + 'from = "front"\ndistance = 5\ndirection = "east"\nwidth = 4\ndepth = 2\n'
    )  # fmt: skip
    site_from_text(text)
    assert list(judge.iter_errors(tomllib.loads(text))) == []
    for wrong in (text + "alogn = 5\n", text.replace('"1 m"', '"1"'), text + 'wall = "front"\n'):
        assert list(judge.iter_errors(tomllib.loads(wrong)))


@pytest.mark.parametrize("count", [3000])
def test_a_long_row_is_placed_step_by_step(count: int) -> None:
    """Nothing calls itself for each window in a row, nor looks at all of them for each."""
    row = [KITCHEN]
    before = "kitchen"
    for number in range(count):
        row.append(window(f"w{number}", f'right_of = "{before}"', "apart = 0"))
        before = f"w{number}"
    site = site_from_text(HEAD + FRONT + "\n".join(reversed(row)))
    assert site.windows[0].position == pytest.approx((-1.6 - 1.2 * count, 0), abs=1e-3)


@pytest.mark.parametrize(
    "junk",
    [
        "[[wall]]\n",
        '[[wall]]\nname = "a"\nafter = ["a"]\nlength = "x"\n',
        "[[tree]]\nfrom = 5\nout = []\n",
        window("x", "wall = 5", "along = []"),
        window("x", 'right_of = ["kitchen"]', "apart = {}"),
        '[[obstacle]]\nfrom = "kitchen"\nwidth = "x"\nout = 1e400\n',
    ],
)
def test_junk_is_told_and_nothing_breaks(tmp_path: Path, junk: str) -> None:
    assert faults(HEAD + FRONT + KITCHEN + junk, tmp_path)
    assert faults(f"{HEAD}wall = 5\n[window]\n{junk}", tmp_path)
