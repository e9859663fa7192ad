"""What no house is likely to have is worth a look, and changes nothing."""
# ruff: noqa: E501  (a case to a line)

import pytest
from command_line import ok, refused, write_home
from site_texts import house, table, window

from suncover.site.file.sitefile import site_from_text
from suncover.site.rules.oddities import odd_notes

TREE = {"width": 7, "bottom": 2.5, "top": 11, "leaf": 0.15, "bare": 0.6}
HOUSE = house(
    window("kitchen", 180, sill=0.9, position=[0, 0]),
    window("study", 180, sill=0.9, position=[3, 0]),
    table("obstacle", name="shed", footprint=[[-2, -6], [2, -6], [2, -4], [-2, -4]], top=2),
    table("tree", name="maple", trunk=[9, -6], **TREE),
    table("glazing", name="double", angles=[0, 60, 90], gains=[0.7, 0.6, 0], diffuse=0.6, u=2.8),
    table("shade", name="roller", windows=["kitchen"]),
    table("supply", name="box", shades=["roller"]),
    table("best", sun=1),
)


def notes(old, new):
    assert old in HOUSE
    return list(odd_notes(site_from_text(HOUSE.replace(old, new))))


@pytest.mark.parametrize(
    ("old", "new", "note"),
    [
        ("[3, 0]", "[0, 0.02]", 'windows "kitchen" and "study" are in one place; are position, floor and sill right?'),
        ("[[-2, -6], [2, -6], [2, -4], [-2, -4]]", "[[0.2, -6], [2, -6], [2, 1], [0.2, 1]]",
         'window "kitchen": obstacle "shed" cuts through its glass; is one of them misplaced?'),
        ("trunk = [9, -6]\nwidth = 7\nbottom = 2.5", "trunk = [1, -1]\nwidth = 7\nbottom = 0",
         'window "kitchen": it stands in the crown of tree "maple"; is one of them misplaced?'),
        ("position = [3, 0]", "skyline = [[0, 90], [180, 90]]",
         'window "study": its skyline rises above the sun all round and all year, so it never gets any'),
        ("bare = 0.6", "bare = 0.1", 'tree "maple": it lets more through in leaf (0.15) than bare (0.1); are they swapped?'),
        ("[0.7, 0.6, 0]", "[0.1, 0.6, 0.7]",
         'glazing "double": it lets in more at some angle than nearer to right angles; are gains and angles in the same order?'),
        ('shades = ["roller"]', "shades = []", 'supply "box": it has no shades, so it changes nothing'),
        ("sun = 1", "sun = 0\ndaylight = 0\nmove = 0", "best: all weights are 0, so that every plan is as good as any other"),
        ('name = "study"', 'name = "kit\u0441hen"',  # the fourth letter is the Cyrillic one
         'windows "kitchen" and "kit\u0441hen" have names that look alike; a letter of one may be of another alphabet'),
    ],
)  # fmt: skip
def test_an_oddity_is_worth_a_look(old, new, note):
    assert note in notes(old, new)


def test_an_ordinary_house_has_no_oddities():
    for name in ("study", "maple 2", "kitchen 2", "kütchen"):
        assert notes('name = "study"', f'name = "{name}"') == []


def test_check_shows_it_and_finds_no_fault(tmp_path):
    said = ok("check", write_home(tmp_path, HOUSE.replace("bare = 0.6", "bare = 0.1")))
    assert "no faults found" in said.out
    assert "are they swapped?" in said.flat


def test_check_says_that_all_is_well_only_when_it_is(tmp_path, monkeypatch):
    """A calendar whose events come too often for the coming year."""
    monkeypatch.setattr("suncover.plan.exceptions.MOST_TIMES", 1000)
    event = "BEGIN:VEVENT\r\nSUMMARY:Away\r\nDTSTART:20260601\r\nRRULE:FREQ=DAILY\r\nEND:VEVENT\r\n"
    calendar = f"BEGIN:VCALENDAR\r\nVERSION:2.0\r\n{event * 4}END:VCALENDAR\r\n"
    (tmp_path / "ours.ics").write_text(calendar, newline="")
    text = '[[calendar]]\nfile = "ours.ics"\n[[calendar.event]]\nwords = ["away"]\ndo = "up"\n'
    said = refused("check", write_home(tmp_path, HOUSE + text))
    assert "choose rarer words in [[calendar.event]]" in said.err
