"""Changing single values in a site file: nothing else may move."""

from __future__ import annotations

import difflib
import tomllib

import pytest
from site_texts import SMALL

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


def moved(before: str, after: str) -> list[str]:
    """The lines that went and came."""
    lines = difflib.ndiff(before.splitlines(), after.splitlines())
    return [line for line in lines if line[0] in "+-"]


def test_a_number_is_replaced_where_it_stands() -> None:
    assert moved(TEXT, with_azimuths(TEXT, {"a": (96.123, 0.5)})) == [
        "-   azimuth = 95    # a guess",
        "+   azimuth = 96.12    # a guess",
        "+   azimuth_sd = 0.5",
    ]


def test_a_compass_reading_stays_as_a_comment() -> None:
    assert moved(TEXT, with_azimuths(TEXT, {"b": (103.0, 1.25)})) == [
        "+ azimuth = 103",
        "- compass = 101.5  # phone",
        "+ # compass = 101.5  # phone",
        "+ azimuth_sd = 1.25",
        "- measured = 2027-03-02 # by me",
        "+ # measured = 2027-03-02 # by me",
    ]


def test_a_wall_over_several_lines_stays_as_a_comment() -> None:
    changed = with_azimuths(TEXT, {"c": (1.5, 2.0)})
    assert "azimuth = 1.5\n# wall = [[1, 2], # one\n#   [3, 4]]\nazimuth_sd = 2\nheight" in changed


def test_several_windows_at_once_and_again() -> None:
    once = with_azimuths(TEXT, {"a": (1.0, 2.0), "b": (3.0, 4.0)})
    again = with_azimuths(once, {"a": (1.0, 2.0), "b": (3.0, 4.0)})
    assert again == once
    windows = tomllib.loads(once)["window"]
    assert [window.get("azimuth") for window in windows] == [1, 3, None]


@pytest.mark.parametrize("name", ["b", "c"])
def test_an_overhang_in_either_way_of_writing(name: str) -> None:
    changed = tomllib.loads(with_overhang(TEXT, name, 0.612, 0.2))
    [roof] = [window["overhang"] for window in changed["window"] if window["name"] == name]
    assert roof == {"depth": 0.61, "gap": 0.2}


def test_a_skyline_is_added() -> None:
    changed = with_skyline(TEXT, "c", [(60.0, 12.0), (95.5, 8.25)])
    assert moved(TEXT, changed) == ["+ skyline = [[60, 12], [95.5, 8.25]]"]


def test_line_ends_and_accents_are_kept() -> None:
    text = TEXT.replace("my house", "mein Häuschen ☀").replace("\n", "\r\n")
    changed = with_azimuths(text, {"a": (96.0, 0.5)})
    assert changed.count("\r\n") == changed.count("\n") == text.count("\n") + 1
    assert "mein Häuschen ☀" in changed


def test_the_last_line_need_not_end() -> None:
    text = TEXT.rstrip("\n")
    assert tomllib.loads(with_overhang(text, "c", 0.6, 0.2))["window"][2]["overhang"]["gap"] == 0.2


def test_what_cannot_be_changed_is_told_with_what_to_write() -> None:
    text = 'window = [{name = "a", compass = 3, measured = 2027-01-01}]\n'
    with pytest.raises(RequestError, match=r"at window \"a\" without harm"):
        with_azimuths(text, {"a": (1.0, 2.0)})
    with pytest.raises(RequestError, match=r"write overhang\.depth = 0\.6 there by hand"):
        with_overhang(TEXT, "a", 0.6, 0.2)


def test_an_unknown_window_is_told() -> None:
    with pytest.raises(RequestError, match='there is no window "z"'):
        with_azimuths(TEXT, {"z": (1.0, 2.0)})


@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_tables_are_added_at_the_end(end: str) -> None:
    text = TEXT.rstrip("\n").replace("\n", end)
    changed = with_windows_added(text, ['[[window]]\nname = "d"\n'])
    assert changed.startswith(text)
    assert changed.endswith(f'{end}{end}[[window]]{end}name = "d"{end}')


WALLED = (
    SMALL.replace("azimuth = 95", 'wall = "front"\nalong = 1')
    + """
[[wall]]
name = "front"
azimuth = 90  # by the map
length = 8

[[wall]]
name = "side"
after = "front"
corner = 85
length = 8

[[window]]
name = "study"
right_of = "kitchen"
apart = 1
width = 1
height = 1

[[window]]
name = "bath"
wall = "side"
along = 1
width = 1
height = 1
"""
)


def test_the_azimuth_of_a_window_in_a_wall_is_the_walls() -> None:
    text = with_azimuths(
        WALLED, {"kitchen": (95.5, 0.5), "study": (95.5, 0.5), "bath": (2.0, 0.25)}
    )
    site = site_from_text(text)
    assert [(w.azimuth, w.azimuth_sd) for w in site.windows] == [(95.5, 0.5)] * 2 + [(2.0, 0.25)]
    assert "azimuth = 95.5  # by the map" in text
    assert "# corner = 85" in text
    assert [w.position for w in site.windows] != [
        w.position for w in site_from_text(WALLED).windows
    ], "the plan turns with the wall"


VALUES = """\
[[window]]
# in the hall
name = "hall"   # its name
width = 1.0
    [window.overhang]
    depth = 0.5 # eaves
"""


def test_values_are_set_where_they_stand_added_and_taken_away() -> None:
    text = with_values(
        VALUES,
        {
            ("window", 0, "width"): None,
            ("window", 0, "sill"): '"3 ft"',
            ("window", 0, "overhang", "depth"): "0.75",
            ("window", 0, "overhang", "gap"): "0.1",
        },
    )
    assert text == VALUES.replace("width", "# width").replace(
        "its name\n", 'its name\nsill = "3 ft"\n'
    ).replace("    depth = 0.5 # eaves\n", "    depth = 0.75 # eaves\n    gap = 0.1\n")


def test_a_table_that_is_not_there_is_added_in_one_line() -> None:
    text = with_values(
        VALUES,
        {("window", 0, "roof", "depth"): "1.0", ("window", 0, "roof", "gap"): "0.2"},
    )
    assert text == VALUES.replace("its name\n", "its name\nroof = { depth = 1.0, gap = 0.2 }\n")


@pytest.mark.parametrize(
    "path", [("window", 1, "width"), ("door", 0, "width"), ("window", -2, "width"), ("site", "a")]
)
def test_a_value_of_an_entry_that_is_not_there_is_told(path: tuple[str | int, ...]) -> None:
    with pytest.raises(RequestError, match="no such entry"):
        with_values(VALUES, {path: "1"})


def test_a_text_that_is_no_toml_is_told() -> None:
    with pytest.raises(RequestError, match="no TOML"):
        with_values("[[window", {("window", 0, "width"): "1"})


@pytest.mark.parametrize(
    ("taken", "left"),
    [
        ("depth", "roof = { gap = 0.2, left = 0 } # felt"),
        ("gap", "roof = { depth = 1.0, left = 0 } # felt"),
        ("left", "roof = { depth = 1.0, gap = 0.2 } # felt"),
    ],
)
def test_a_member_of_an_inline_table_is_taken_out(taken: str, left: str) -> None:
    text = VALUES.replace("width = 1.0", "roof = { depth = 1.0, gap = 0.2, left = 0 } # felt")
    changed = with_values(text, {("window", 0, "roof", taken): None})
    assert changed == VALUES.replace("width = 1.0", left)


def test_with_its_last_member_an_inline_table_goes() -> None:
    text = VALUES.replace("width = 1.0", "roof = { depth = 1.0 } # felt")
    changed = with_values(text, {("window", 0, "roof", "depth"): None})
    assert changed == VALUES.replace("width = 1.0", "# roof = { depth = 1.0 } # felt")
