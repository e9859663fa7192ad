"""Reading site files: what a good one gives, and that all faults of a bad one come at once."""

import sys

import pytest
from site_texts import OBSTACLE, SHADE, SMALL, WHOLE, WHOLE_SITE, WINDOW, edited, faults, window

from suncover.base.errors import FileFaults
from suncover.site.file.sitefile import load_site, site_from_text
from suncover.site.model import Need, Place, Site, Window


def test_every_key_comes_out_in_metres_and_degrees():
    assert site_from_text(WHOLE) == WHOLE_SITE


def test_a_small_file_has_the_defaults():
    site = site_from_text(SMALL)
    assert site == Site(
        place=Place(name="Larkspur Lane", latitude=36.1, longitude=-79.95),
        windows=(Window(name="kitchen", azimuth=95.0, width=1.2, height=1.4),),
    )
    assert (site.place.elevation, site.place.albedo) == (0.0, 0.2)
    assert site.need == Need(beam=120.0, fraction=0.0, season=None)
    kitchen, shade = site.windows[0], site.all_shades()[0]
    assert (kitchen.tilt, kitchen.sill, kitchen.reveal, kitchen.floor) == (90.0, 0.0, 0.0, 0.0)
    assert (shade.name, shade.windows) == ("kitchen", ("kitchen",))
    assert (shade.travel, shade.lead, shade.lag) == (0.0, 2.0, 2.0)
    assert (shade.merge, shade.shortest, shade.moves, shade.quiet) == (30.0, 10.0, None, None)
    assert (site.supplies, site.groups, site.exceptions) == ((), (), ())


def test_the_weather_file_is_beside_the_site_file(tmp_path, monkeypatch):
    (tmp_path / "house.toml").write_text(WHOLE, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    for path in (tmp_path / "house.toml", "house.toml"):
        assert load_site(path).weather.file == str(tmp_path / "year.csv")


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("[site]", "\ufeff[site]"),  # a byte order mark
        ("\n", "\r\n"),
        (WINDOW, "azimuth = 0"),
        (WINDOW, "azimuth = 360"),
        (WINDOW, f"{WINDOW}\ntilt = 0"),
        (WINDOW, f"{WINDOW}\ntilt = 180"),
        ("latitude = 36.10", "latitude = -90"),
        ("longitude = -79.95", "longitude = 180"),
        (WINDOW, f"{WINDOW}\nskyline = [[90, 0], [90, 20]]"),
        ("[[window]]", '[need]\nseason = ["02-29", "02-29"]\n[[window]]'),
        ("kitchen", "Küche 窓 👩‍🍳"),
    ],
)
def test_edges_that_are_allowed(tmp_path, old, new):
    path = tmp_path / "house.toml"
    path.write_bytes(SMALL.replace(old, new).encode())
    assert load_site(path).windows[0].width == 1.2


ALL_AT_ONCE = """\
[site]
name = "Larkspur Lane"
latitude = 95
longitude = true
elvation = 3

[needs]
beam = 2

[[window]]
name = "kitchen"
azimuth = 400
width = "48"
skyline = [[60, 12],
           [365, 8]]

[window.overhang]
gap = -1

[[window.fin]]
side = "front"
depth = 1

[[window]]
azimuth = nan
width = 1
height = 1

[[window]]
name = "kitchen"
azimuth = 1
width = 1
height = 1
sill = -1
position = [1, 1]

[[shade]]
name = "roller"
windows = ["kitchen", "kichen"]
moves = 1

[[obstacle]]
name = "shed"
footprint = [[0, 0], [2, 0], [2, 2], [0, 2]]
top = 4
colour = "red"
"""


def test_all_faults_come_at_once_in_the_order_of_the_file():
    """A fault in one key or table hides none in another, nor between tables."""
    assert faults(ALL_AT_ONCE) == [
        "3:12: [site]: latitude: 95 is not between -90 and 90",
        "4:13: [site]: longitude: true is not a number",
        "5:1: [site]: unknown key `elvation`, did you mean `elevation`?",
        "7:1: unknown key `needs`, did you mean `need`?",
        '10:1: window "kitchen": `height` is missing; '
        "give it: metres, of the glass, along its slope",
        '12:11: window "kitchen": azimuth: 400 is not between 0 and 360',
        '13:9: window "kitchen": width: "48" has no unit; add one of mm, cm, m, in, ft '
        '(such as "48 cm"), or leave out the quotes for metres',
        '15:13: window "kitchen": skyline, point 2, azimuth: 365 is not between 0 and 360',
        '17:1: window "kitchen": overhang: `depth` is missing; '
        "give it: metres out from the wall's face",
        '18:7: window "kitchen": overhang.gap: -1 is not 0 m or more',
        '21:8: window "kitchen": fin 1.side: "front" is not "left" or "right"',
        "24:1: [[window]] 2: `name` is missing; give it: unique among the windows",
        "25:11: [[window]] 2: azimuth: nan is not a finite number",
        '30:8: window "kitchen": name: [[window]] 1 has the name "kitchen" too; give each its own',
        '34:8: window "kitchen": sill: -1 is not 0 m or more',
        '39:23: shade "roller": windows, name 2: no window is named "kichen", '
        'did you mean "kitchen"?',
        '40:9: shade "roller": moves: 1 is not 2 or more',
        '46:1: obstacle "shed": unknown key `colour`; known here are name, footprint, base, top, '
        "from, right, along, out, distance, direction, width, depth",
    ]


def test_rules_between_tables_hold_where_other_keys_are_faulty():
    text = edited(WINDOW, "azimuth = 500\nposition = [1, 1]", OBSTACLE + "colour = 1\n")
    assert faults(text) == [
        '8:11: window "kitchen": azimuth: 500 is not between 0 and 360',
        '9:12: window "kitchen": position: the glass stands inside obstacle "shed"; '
        "move it out of the footprint",
        '17:1: obstacle "shed": unknown key `colour`; known here are name, footprint, base, top, '
        "from, right, along, out, distance, direction, width, depth",
    ]


@pytest.mark.parametrize(
    ("keys", "inside"),
    [
        ("position = [1, 1]", True),
        ("position = [1, 1]\nfloor = 1.6", True),  # glass from 1.6 to 3.0, the shed's top
        ("position = [1, 1]\nfloor = 1.7", False),
        ("position = [1, 1]\nfloor = 1.7\ntilt = 60", True),  # 1.7 + 1.4 sin 60° = 2.91
        ("position = [1, 1]\nfloor = 1.7\ntilt = 120", True),
        ("position = [0, 1]", False),  # on the shed's face
        ("position = [-1, 1]", False),
    ],
)
def test_a_window_is_inside_an_obstacle_with_all_of_its_glass(keys, inside):
    text = edited(WINDOW, f"{WINDOW}\n{keys}", OBSTACLE)
    if inside:
        with pytest.raises(FileFaults, match="stands inside"):
            site_from_text(text)
    else:
        assert site_from_text(text).windows[0].position is not None


def test_windows_covered_by_a_faulty_shade_are_not_taken_for_bare():
    """Which windows the second shade covers is not known, so no clash of names is made up."""
    loft = SHADE.replace('"roller"', '"loft"')
    bad = SHADE.replace('"roller"', '"b"').replace('["kitchen"]', "[7]")
    assert faults(SMALL + window("loft", 1, 1, 1) + loft + bad) == [
        '24:12: shade "b": windows, name 1: 7 is not text; write it in quotes'
    ]


def test_a_hundred_faults_are_told_and_the_rest_counted():
    told = faults(SMALL + "".join(f"key{i} = 1\n" for i in range(130)))
    assert len(told) == 101
    assert told[0].startswith('11:1: window "kitchen": unknown key `key0`')
    assert told[99].startswith('110:1: window "kitchen": unknown key `key99`')
    assert told[100] == "… and 30 more"


def test_without_the_parser_of_places_faults_come_without_lines(monkeypatch):
    monkeypatch.setitem(sys.modules, "tree_sitter_toml", None)
    assert faults(edited("= 95", "= 400")) == [
        'window "kitchen": azimuth: 400 is not between 0 and 360'
    ]


def test_text_of_the_file_cannot_steer_the_terminal():
    text = edited('"kitchen"', '"\\u001b[2J\\u202e"') + '"\\u001b]0;x\\u0007" = 1\n'
    assert all(fault.isprintable() for fault in faults(text))
