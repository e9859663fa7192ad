"""Places by tape measure: the same house with positions worked out on squared paper."""
# ruff: noqa: E501  (a fault to a line)

import math
import tomllib

import jsonschema
import pytest
from site_texts import faults, house, table, window

from suncover.site.file.schema import site_schema
from suncover.site.file.sitefile import site_from_text
from suncover.site.tape.frames import Frame, rectangle

HEAD = house(at=(-30.03, -51.22))


def wall(name, after=None, **keys):
    return table("wall", name=name, after=after, **keys)


def glass(name="w", **keys):
    return window(name, keys.pop("azimuth", None), **keys)


def tree(**keys):
    return table("tree", name="fig", width=6, bottom=2, top=9, leaf=0.2, **keys)


def shed(**keys):
    return table("obstacle", name="shed", top=3, **keys)


FRONT = wall("front", azimuth=0, length=8)  # looks north: its left end is east
SIDE = wall("side", "front", length="6 m")
KITCHEN = glass("kitchen", wall="front", along="1 m")
ON_FRONT = {"wall": "front", "along": 1}
OUT = {"from_": "front", "out": 1}


def test_walls_go_on_to_the_right_of_one_another():
    """Round a house with square corners, seen from outdoors: north, west, south, east."""
    more = wall("west", "front", length=5) + wall("south", "west", length=8)
    walls = site_from_text(HEAD + FRONT + more + wall("east", "south", length=5) + KITCHEN).walls
    assert [wall.azimuth for wall in walls] == [0, 270, 180, 90]
    assert [wall.start for wall in walls] == [(0, 0), (-8, 0), (-8, -5), (0, -5)]


def test_a_bay_turns_out_and_back_again():
    """Inside a house its corners measure 225, 135, 135 and 225 degrees; together no turn."""
    bay, before = "", "front"
    for number, corner in enumerate((225, 135, 135, 225)):
        bay += wall(f"bay {number}", before, corner=corner, length=2)
        before = f"bay {number}"
    walls = site_from_text(HEAD + FRONT + bay + KITCHEN).walls
    assert [wall.azimuth for wall in walls] == [0, 45, 0, 315, 0]
    half = math.sqrt(2)
    assert walls[2].start == pytest.approx((-8 - half, half), abs=1e-4)
    assert walls[4].start == pytest.approx((-8 - half - 2 - half, 0), abs=1e-3)


@pytest.mark.parametrize(
    ("keys", "position", "azimuth"),
    [
        (ON_FRONT, (-1.6, 0), 0),
        (ON_FRONT | {"reveal": 0.1}, (-1.6, -0.1), 0),
        (ON_FRONT | {"out": 0.4}, (-1.6, 0.4), 0),
        ({"wall": "side", "along": "50 cm"}, (-8, -1.1), 270),
        # 0.2 m at right angles to glass of 30° is 0.1 m level.
        ({"wall": "front", "along": 0, "tilt": 30, "reveal": 0.2}, (-0.6, -0.1), 0),
        ({"right_of": "kitchen", "apart": "1.2 m", "out": 0.4}, (-4.0, 0.4), 0),
        ({"left_of": "kitchen", "apart": 0}, (-0.4, 0), 0),
        # Round a corner from another.
        ({"right_of": "kitchen", "apart": 1, "azimuth": 270}, (-3.2, -0.6), 270),
    ],
)
def test_windows_on_the_plan(keys, position, azimuth):
    """The kitchen's glass runs from 1.0 to 2.2 m along a wall that goes west from the origin."""
    site = site_from_text(HEAD + FRONT + SIDE + KITCHEN + glass("study", **keys))
    assert site.windows[1].position == pytest.approx(position, abs=1e-9)
    assert site.windows[1].azimuth == azimuth
    assert site.windows[0].facade == "front"


def test_the_way_of_a_wall_goes_to_its_windows_as_it_was_found():
    by_compass = FRONT.replace("azimuth = 0", "compass = 15\nmeasured = 2027-03-02")
    study = glass("study", right_of="kitchen", apart=1)
    first, second = site_from_text(HEAD + by_compass + KITCHEN + study).windows
    assert (first.compass, str(first.measured)) == (15.0, "2027-03-02")
    expected = first.azimuth, first.azimuth_sd, "front"
    assert (second.azimuth, second.azimuth_sd, second.facade) == expected
    sure = FRONT + "azimuth_sd = 2\n" + SIDE
    [kitchen] = site_from_text(HEAD + sure + KITCHEN.replace("front", "side")).windows
    assert (kitchen.azimuth, kitchen.azimuth_sd) == (270.0, 2.0)


@pytest.mark.parametrize(
    ("keys", "trunk"),
    [
        ({"from_": "kitchen", "out": 5}, (-1.6, 5)),
        ({"from_": "kitchen", "out": 5, "right": -2}, (0.4, 5)),
        ({"from_": "kitchen", "distance": "10 m", "direction": "west"}, (-11.6, 0)),
        ({"from_": "front", "out": 5}, (-4, 5)),  # the middle of a wall
        ({"from_": "front", "out": 5, "along": 0}, (0, 5)),
        ({"from_": "front", "out": 5, "right": 1}, (-5, 5)),
        (
            {"from_": "side", "along": 6, "distance": 10, "direction": 225},
            (-8 - 10 * math.sqrt(0.5), -6 - 10 * math.sqrt(0.5)),
        ),
    ],
)
def test_trees_on_the_plan(keys, trunk):
    site = site_from_text(HEAD + FRONT + SIDE + KITCHEN + tree(**keys))
    assert site.trees[0].trunk == pytest.approx(trunk, abs=1e-4)


def test_an_obstacle_is_a_rectangle_behind_the_point_that_was_measured():
    behind = shed(from_="front", out=7, width=4, depth="3 m")
    site = site_from_text(HEAD + FRONT + KITCHEN + behind)
    assert set(site.obstacles[0].footprint) == {(-2, 7), (-6, 7), (-6, 10), (-2, 10)}
    corners = rectangle((0.0, 0.0), 45.0, 2.0, 1.0)
    assert Frame((0, 0), 45.0).beyond(1.0, 45.0) == pytest.approx(
        [sum(c[axis] for c in corners[2:]) / 2 for axis in (0, 1)], abs=1e-4
    )


@pytest.mark.parametrize(
    ("more", "sentence"),
    [
        (wall("side", "frnt", length=6), 'after: no wall is named "frnt", did you mean "front"?'),
        (wall("b", length=2, azimuth=9), 'wall "b": say where it starts'),
        (SIDE + "start = [0, 0]\n", "start: `start` and `after` say the same"),
        (SIDE + "azimuth = 9\ncorner = 90\n", "corner: it tells the direction"),
        (SIDE + wall("c", "b", length=6) + wall("b", "c", length=6), "in a circle"),
        (SIDE + "corner = 400\n", "corner: 400 is not"),
        (SIDE + "lenght = 4\n", "unknown key `lenght`, did you mean `length`?"),
        (glass(wall="front"), "wall: give `along` too"),
        (glass(wall="frnt", along=1), 'no wall is named "frnt"'),
        (glass(wall="front", alon=1), "unknown key `alon`, did you mean `along`?"),
        (glass(wall="front", along=7.2), 'would end 0.40 m past the right end of "front", which is 8 m long'),
        (glass(**ON_FRONT, azimuth=9), "the wall tells it; take `azimuth` away"),
        (glass(**ON_FRONT, position=[0, 0]), "`position` and `wall` say the same"),
        (glass(right_of="kitchn", apart=1), 'no window is named "kitchn", did you mean "kitchen"?'),
        (glass(right_of="w", apart=1), "in a circle"),
        (glass("a", azimuth=9) + glass(right_of="a", apart=1), '"a" is not on the plan; give it a place, such as position = [0, 0]'),
        (tree(from_="kitchen"), "give `out`, straight out"),
        (tree(from_="kitchen", out=1, trunk=[0, 1]), "`trunk` and `from` say"),
        (tree(from_="kitchen", out=1, along=1), "`along` goes with a wall"),
        (tree(**OUT, along=1, right=1), "`right` and `along`"),
        (tree(out=1), "say `from` where it is measured"),
        (tree(**OUT, distance=3), "`out` and `distance`"),
        (tree(from_="frnt", out=1), 'no window or wall is named "frnt"'),
        (shed(**OUT, width=3), "`depth` is missing"),
        (shed(from_="front", out="x", width=3, depth=2), 'out: "x" is not a length'),
    ],
)  # fmt: skip
def test_what_cannot_be_placed_is_told_once(more, sentence):
    told = faults(HEAD + FRONT + KITCHEN + more)
    assert any(sentence in fault for fault in told), told
    assert len(told) <= 2
    assert all(fault[0].isdigit() for fault in told), "each with its line"


def test_an_editor_with_the_schema_takes_what_the_program_takes():
    judge = jsonschema.Draft202012Validator(site_schema())
    text = HEAD + FRONT + SIDE + KITCHEN + glass("b", right_of="kitchen", apart=1)
    text += tree(from_="kitchen", out=5)
    text += shed(from_="front", distance=5, direction="east", width=4, depth=2)
    site_from_text(text)
    assert list(judge.iter_errors(tomllib.loads(text))) == []
    for wrong in (text + "alogn = 5\n", text.replace('"1 m"', '"1"'), text + 'wall = "front"\n'):
        assert list(judge.iter_errors(tomllib.loads(wrong)))


def test_a_long_row_is_placed_step_by_step():
    """Nothing calls itself for each window in a row, nor looks at all of them for each."""
    row, count = [KITCHEN], 2000
    for number in range(count):
        before = f"w{number - 1}" if number else "kitchen"
        row.append(glass(f"w{number}", right_of=before, apart=0))
    site = site_from_text(HEAD + FRONT + "\n".join(reversed(row)))
    assert site.windows[0].position == pytest.approx((-1.6 - 1.2 * count, 0), abs=1e-3)


@pytest.mark.parametrize(
    "junk",
    [
        "[[wall]]\n",
        '[[wall]]\nname = "a"\nafter = ["a"]\nlength = "x"\n',
        "[[tree]]\nfrom = 5\nout = []\n",
        glass("x", wall=5, along=[]),
        glass("x", right_of=["kitchen"], apart={}),
        '[[obstacle]]\nfrom = "kitchen"\nwidth = "x"\nout = 1e400\n',
    ],
)
def test_junk_is_told_and_nothing_breaks(junk):
    assert faults(HEAD + FRONT + KITCHEN + junk)
    assert faults(f"{HEAD}wall = 5\n[window]\n{junk}")
