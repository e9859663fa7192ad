"""What no house is likely to have is worth a look, and changes nothing."""

from __future__ import annotations

import pytest
from command_line import run, write_home

from suncover.site.file.sitefile import site_from_text
from suncover.site.rules.oddities import odd_notes

HOUSE = """\
[site]
name = "Larkspur Lane"
latitude = 36.10
longitude = -79.95

[[window]]
name = "kitchen"
azimuth = 180
width = 1.20
height = 1.40
sill = 0.9
position = [0, 0]

[[window]]
name = "study"
azimuth = 180
width = 1.20
height = 1.40
sill = 0.9
position = [3, 0]

[[obstacle]]
name = "shed"
footprint = [[-2, -6], [2, -6], [2, -4], [-2, -4]]
top = 2

[[tree]]
name = "maple"
trunk = [9, -6]
width = 7
bottom = 2.5
top = 11
leaf = 0.15
bare = 0.6

[[glazing]]
name = "double"
angles = [0, 60, 90]
gains = [0.7, 0.6, 0]
diffuse = 0.6
u = 2.8

[[shade]]
name = "roller"
windows = ["kitchen"]

[[supply]]
name = "box"
shades = ["roller"]

[best]
sun = 1
"""

ODDITIES = [
    pytest.param(
        "position = [3, 0]",
        "position = [0, 0.02]",
        'windows "kitchen" and "study" are in one place; are position, floor and sill right?',
        id="two windows in one place",
    ),
    pytest.param(
        "[[-2, -6], [2, -6], [2, -4], [-2, -4]]",
        "[[0.2, -6], [2, -6], [2, 1], [0.2, 1]]",
        'window "kitchen": obstacle "shed" cuts through its glass; is one of them misplaced?',
        id="an obstacle through the glass",
    ),
    pytest.param(
        "trunk = [9, -6]\nwidth = 7\nbottom = 2.5",
        "trunk = [1, -1]\nwidth = 7\nbottom = 0",
        'window "kitchen": it stands in the crown of tree "maple"; is one of them misplaced?',
        id="a crown around the window",
    ),
    pytest.param(
        "position = [3, 0]",
        "skyline = [[0, 90], [180, 90]]",
        'window "study": its skyline rises above the sun all round and all year, so it never '
        "gets any",
        id="a skyline that hides the sky",
    ),
    pytest.param(
        "bare = 0.6",
        "bare = 0.1",
        'tree "maple": it lets more through in leaf (0.15) than bare (0.1); are they swapped?',
        id="denser without leaves",
    ),
    pytest.param(
        "[0.7, 0.6, 0]",
        "[0.1, 0.6, 0.7]",
        'glazing "double": it lets in more at some angle than nearer to right angles; are gains '
        "and angles in the same order?",
        id="gains that rise with the angle",
    ),
    pytest.param(
        'shades = ["roller"]',
        "shades = []",
        'supply "box": it has no shades, so it changes nothing',
        id="a supply of no shades",
    ),
    pytest.param(
        "sun = 1",
        "sun = 0\ndaylight = 0\nmove = 0",
        "best: all weights are 0, so that every plan is as good as any other",
        id="all weights 0",
    ),
    pytest.param(
        'name = "study"',
        'name = "kit\u0441hen"',  # the fourth letter is the Cyrillic one
        'windows "kitchen" and "kit\u0441hen" have names that look alike; a letter of one may be '
        "of another alphabet",
        id="names that look alike",
    ),
]


def test_an_ordinary_house_has_no_oddities() -> None:
    assert not list(odd_notes(site_from_text(HOUSE)))


@pytest.mark.parametrize(("old", "new", "note"), ODDITIES)
def test_an_oddity_is_worth_a_look(old: str, new: str, note: str) -> None:
    assert old in HOUSE
    assert note in list(odd_notes(site_from_text(HOUSE.replace(old, new))))


@pytest.mark.parametrize("name", ["maple 2", "kitchen 2", "study", "kütchen"])
def test_names_that_only_differ_are_not_alike(name: str) -> None:
    house = HOUSE.replace('name = "study"', f'name = "{name}"')
    assert not list(odd_notes(site_from_text(house)))


def test_check_shows_it_and_finds_no_fault(tmp_path) -> None:
    said = run("check", write_home(tmp_path, HOUSE.replace("bare = 0.6", "bare = 0.1")))
    assert said.status == 0
    assert "no faults found" in said.out
    assert "are they swapped?" in " ".join(said.out.split())


def test_check_says_that_all_is_well_only_when_it_is(tmp_path) -> None:
    """A calendar whose events come too often for the coming year."""
    event = "BEGIN:VEVENT\r\nSUMMARY:Away\r\nDTSTART:20260601\r\nRRULE:FREQ=DAILY\r\nEND:VEVENT\r\n"
    calendar = f"BEGIN:VCALENDAR\r\nVERSION:2.0\r\n{event * 400}END:VCALENDAR\r\n"
    (tmp_path / "ours.ics").write_text(calendar, newline="")
    text = '[[calendar]]\nfile = "ours.ics"\n[[calendar.event]]\nwords = ["away"]\ndo = "up"\n'
    said = run("check", write_home(tmp_path, HOUSE + text))
    assert (said.status, said.out) == (2, "")
    assert "choose rarer words in [[calendar.event]]" in said.err
