"""Changing single values in a site file: nothing else may move."""

import difflib
import tomllib

import pytest
from site_texts import SMALL, table, window

from suncover.base.errors import RequestError
from suncover.site.file.edit import (
    with_azimuths,
    with_overhang,
    with_skyline,
    with_values,
    with_windows_added,
)
from suncover.site.file.sitefile import site_from_text

TEXT = """\
# my house
[site]
name = "x"   # n

[[window]]   # first
name = "a"
  azimuth = 95    # a guess
width = 1

[[shade]]
name = "s"
windows = ["a"]

[[window]]
name = "b"
compass = 101.5  # phone
measured = 2027-03-02 # by me
width = 2
overhang = { depth = 0.5 }

[[window]]
name = "c"
wall = [[1, 2], # one
  [3, 4]]
height = 3
[window.overhang]
depth = "2 ft" # d
"""


def moved(after, before=TEXT):
    """The lines that went and came."""
    lines = difflib.ndiff(before.splitlines(), after.splitlines())
    return [line for line in lines if line[0] in "+-"]


def test_an_azimuth_is_replaced_where_it_stands_and_other_forms_stay_as_comments():
    assert moved(with_azimuths(TEXT, {"a": (96.123, 0.5)})) == [
        "-   azimuth = 95    # a guess",
        "+   azimuth = 96.12    # a guess",
        "+   azimuth_sd = 0.5",
    ]
    assert moved(with_azimuths(TEXT, {"b": (103.0, 1.25)})) == [
        "+ azimuth = 103",
        "- compass = 101.5  # phone",
        "+ # compass = 101.5  # phone",
        "+ azimuth_sd = 1.25",
        "- measured = 2027-03-02 # by me",
        "+ # measured = 2027-03-02 # by me",
    ]
    changed = with_azimuths(TEXT, {"c": (1.5, 2.0)})
    assert "azimuth = 1.5\n# wall = [[1, 2], # one\n#   [3, 4]]\nazimuth_sd = 2\nheight" in changed


def test_several_windows_at_once_and_again():
    once = with_azimuths(TEXT, {"a": (1.0, 2.0), "b": (3.0, 4.0)})
    assert with_azimuths(once, {"a": (1.0, 2.0), "b": (3.0, 4.0)}) == once
    assert [window.get("azimuth") for window in tomllib.loads(once)["window"]] == [1, 3, None]


@pytest.mark.parametrize("name", ["b", "c"])
def test_an_overhang_in_either_way_of_writing(name):
    for text in (TEXT, TEXT.rstrip("\n")):
        changed = tomllib.loads(with_overhang(text, name, 0.612, 0.2))
        [roof] = [window["overhang"] for window in changed["window"] if window["name"] == name]
        assert roof == {"depth": 0.61, "gap": 0.2}


def test_a_skyline_is_added():
    changed = with_skyline(TEXT, "c", [(60.0, 12.0), (95.5, 8.25)])
    assert moved(changed) == ["+ skyline = [[60, 12], [95.5, 8.25]]"]


def test_line_ends_and_accents_are_kept():
    text = TEXT.replace("my house", "mein Häuschen ☀").replace("\n", "\r\n")
    changed = with_azimuths(text, {"a": (96.0, 0.5)})
    assert changed.count("\r\n") == changed.count("\n") == text.count("\n") + 1
    assert "mein Häuschen ☀" in changed


def test_what_cannot_be_changed_is_told_with_what_to_write():
    text = 'window = [{name = "a", compass = 3, measured = 2027-01-01}]\n'
    with pytest.raises(RequestError, match=r"at window \"a\" without harm"):
        with_azimuths(text, {"a": (1.0, 2.0)})
    with pytest.raises(RequestError, match=r"write overhang\.depth = 0\.6 there by hand"):
        with_overhang(TEXT, "a", 0.6, 0.2)
    with pytest.raises(RequestError, match='there is no window "z"'):
        with_azimuths(TEXT, {"z": (1.0, 2.0)})


@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_tables_are_added_at_the_end(end):
    text = TEXT.rstrip("\n").replace("\n", end)
    changed = with_windows_added(text, ['[[window]]\nname = "d"\n'])
    assert changed.startswith(text)
    assert changed.endswith(f'{end}{end}[[window]]{end}name = "d"{end}')


WALLED = "".join(
    (
        SMALL.replace("azimuth = 95", 'wall = "front"\nalong = 1'),
        '\n[[wall]]\nname = "front"\nazimuth = 90  # by the map\nlength = 8\n',
        table("wall", name="side", after="front", corner=85, length=8),
        window("study", None, 1, 1, right_of="kitchen", apart=1),
        window("bath", None, 1, 1, wall="side", along=1),
    )
)


def test_the_azimuth_of_a_window_in_a_wall_is_the_walls():
    found = {"kitchen": (95.5, 0.5), "study": (95.5, 0.5), "bath": (2.0, 0.25)}
    text = with_azimuths(WALLED, found)
    site, before = site_from_text(text), site_from_text(WALLED)
    assert {w.name: (w.azimuth, w.azimuth_sd) for w in site.windows} == found
    assert "azimuth = 95.5  # by the map" in text
    assert "# corner = 85" in text
    turned = [w.position for w in site.windows] != [w.position for w in before.windows]
    assert turned, "the plan turns with the wall"


VALUES = """\
[[window]]
# in the hall
name = "hall"   # its name
width = 1.0
    [window.overhang]
    depth = 0.5 # eaves
"""
INLINE = "roof = { depth = 1.0, gap = 0.2, left = 0 } # felt"


@pytest.mark.parametrize(
    ("before", "changes", "parts"),
    [
        (
            "width = 1.0",
            {"width": None, "sill": '"3 ft"', "overhang.depth": "0.75", "overhang.gap": "0.1"},
            {
                "width": "# width",
                "its name\n": 'its name\nsill = "3 ft"\n',
                "    depth = 0.5 # eaves\n": "    depth = 0.75 # eaves\n    gap = 0.1\n",
            },
        ),
        (
            "width = 1.0",
            {"roof.depth": "1.0", "roof.gap": "0.2"},
            {"its name\n": "its name\nroof = { depth = 1.0, gap = 0.2 }\n"},
        ),
        (INLINE, {"roof.depth": None}, {"depth = 1.0, ": ""}),
        (INLINE, {"roof.gap": None}, {"gap = 0.2, ": ""}),
        (INLINE, {"roof.left": None}, {", left = 0": ""}),
        ("roof = { depth = 1.0 }", {"roof.depth": None}, {"roof": "# roof"}),
        (
            "width = 1.0\n[window.need] # own\n",
            {"need.glare.reach": "1.0", "need.beam": "0"},
            {"# own\n": "# own\nglare = { reach = 1.0 }\nbeam = 0\n"},
        ),
        (
            "need = { glare = { reach = 1 } }",
            {"need.beam": "0"},
            {"reach = 1 } }": "reach = 1 }, beam = 0 }"},
        ),
    ],
    ids=[
        "set, added, taken",
        "a table not there",
        "first",
        "middle",
        "last",
        "only",
        "empty",
        "of tables",
    ],
)
def test_values_are_set_where_they_stand_added_and_taken_away(before, changes, parts):
    text = expected = VALUES.replace("width = 1.0", before)
    for old, new in parts.items():
        expected = expected.replace(old, new)
    paths = {("window", 0, *key.split(".")): value for key, value in changes.items()}
    assert with_values(text, paths) == expected


@pytest.mark.parametrize(
    "path", [("window", 1, "width"), ("door", 0, "width"), ("window", -2, "width"), ("site", "a")]
)
def test_a_value_of_an_entry_that_is_not_there_is_told(path):
    with pytest.raises(RequestError, match="no such entry"):
        with_values(VALUES, {path: "1"})
    with pytest.raises(RequestError, match="no TOML"):
        with_values("[[window", {("window", 0, "width"): "1"})
