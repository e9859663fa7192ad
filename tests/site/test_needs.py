"""Needs, stops, rollers and spots in the site file: what is read, and what is said of faults."""

from __future__ import annotations

from datetime import time

import pytest

from suncover.base.errors import FileFaults
from suncover.site.file.sitefile import site_from_text
from suncover.site.model import Fading, Glare, MonthDay, Privacy, Roller, Sleep

HEAD = """\
[site]
name = "x"
latitude = 47.0
longitude = 8.0

[[window]]
name = "study"
azimuth = 150
width = 1.6
height = 1.4
sill = 0.8

[[window]]
name = "loft"
azimuth = 240
tilt = 40
width = 0.8
height = 1.2
sill = 1.1

[[spot]]
name = "desk"
window = "study"
distance = 1.4
height = 0.75
"""
SHADE = '\n[[shade]]\nname = "roller"\nwindows = ["study"]\n'


def site(text, spots=""):
    return site_from_text(HEAD + spots + SHADE + text)


def said(text, spots=""):
    with pytest.raises(FileFaults) as caught:
        site(text, spots)
    return [f"{fault.place}: {fault.message}" for fault in caught.value.faults]


WHOLE = """\
travel = 40
stops = [30, 60, 100]
home_after = 6
standoff = "8 cm"
place = "inside"

[shade.roller]
tube = "50 mm"
thickness = "0.5 mm"
drop = 1.4
spare = 0.3

[shade.need]
for = ["heat", "glare", "fading", "sleep", "privacy"]

[shade.need.glare]
spots = ["desk"]
reach = "5 ft"
height = 0.7
season = ["10-01", "03-31"]

[shade.need.fading]
spots = ["desk"]

[shade.need.sleep]
dark = ["21:30", "07:00"]

[shade.need.privacy]
until = "23:15"
"""


def test_every_key_is_read():
    read = site(WHOLE)
    shade = read.shades[0]
    need = read.need_of(shade)
    assert need.purposes == ("heat", "glare", "fading", "sleep", "privacy")
    winter = (MonthDay(10, 1), MonthDay(3, 31))
    assert need.glare == Glare(spots=("desk",), reach=1.524, height=0.7, season=winter)
    assert need.fading == Fading(spots=("desk",))
    assert need.sleep == Sleep(dark=(time(21, 30), time(7)))
    assert need.privacy == Privacy(until=time(23, 15))
    assert shade.stops == (30, 60, 100)
    assert (shade.home_after, shade.standoff, shade.has_stops) == (6, 0.08, True)
    assert shade.roller == Roller(tube=0.05, thickness=0.0005, drop=1.4, spare=0.3)


def test_left_out_nothing_changes():
    shade = site("").shades[0]
    need = site("").need_of(shade)
    assert need.purposes == ("heat",)
    assert need.for_heat_alone
    assert (shade.stops, shade.home_after, shade.roller, shade.standoff) == (
        (100,),
        None,
        None,
        None,
    )
    assert not shade.has_stops


def test_a_shades_own_need_goes_before_the_sites_table_by_table():
    text = SHADE + '[shade.need]\nfor = ["sleep", "glare"]\n[shade.need.glare]\nreach = 2\n'
    night = '[need]\nbeam = 200\nfor = ["heat", "sleep"]\n[need.sleep]\ndark = ["20:00", "06:00"]\n'
    read = site_from_text(HEAD + text + night)
    need = read.need_of(read.shades[0])
    assert need.purposes == ("sleep", "glare")
    assert need.beam == 200
    assert need.sleep == Sleep(dark=(time(20), time(6)))
    assert need.glare == Glare(reach=2.0)
    assert not need.for_heat_alone
    assert need.plan_season is None


FAULTS = [
    (
        "stops = [50, 75]",
        "stops: the last stop must be 100, fully closed, which some needs ask for",
    ),
    ("stops = [50, 50, 100]", "stops: the stops must ascend, but 50 follows 50"),
    ("stops = [0.5, 100]", "stops, stop 1: 0.5 is not a whole number"),
    ("stops = 50", "stops: 50 is not a list of positions in per cent, such as [50, 75, 100]"),
    (
        "home_after = 5",
        "home_after: it only matters with `stops` on the way, such as [50, 100]; add them",
    ),
    (
        "[shade.roller]\ntube = 0.05\nthickness = 0.0005\ndrop = 1.4",
        "with a roller give `travel`, or `turns_per_minute` in [shade.roller]",
    ),
    (
        "travel = 30\n[shade.roller]\ntube = 0.05\nthickness = 0.0005\ndrop = 1\n"
        "turns_per_minute = 28",
        "`travel` and `turns_per_minute` say the same; give one of them",
    ),
    (
        "travel = 30\n[shade.roller]\ntube = 0.05\nthickness = 0.5\ndrop = 1",
        "roller.thickness: 0.5 is not at most 0.02 m",
    ),
    (
        "travel = 30\n[shade.roller]\ntube = 0.05\nthickness = 1e-300\ndrop = 1",
        "roller.thickness: 1e-300 is not 0.00001 m or more",
    ),
    (
        "[shade.roller]\ntube = 0.05\nthickness = 0.0005\ndrop = 1\nturns_per_minute = 1e-9",
        "roller.turns_per_minute: 1e-09 is not between 0.01 and 1000",
    ),
    (
        "[shade.roller]\ntube = 0.05\nthickness = 0.0005\ndrop = 9\nturns_per_minute = 0.5",
        "roller: a full run would take 4887 seconds; at most 3600 are possible: check "
        "turns_per_minute and the lengths",
    ),
    (
        '[shade.need]\nfor = "glare"',
        'need.for: "glare" is not a list of needs, such as ["heat", "glare"]',
    ),
    (
        '[shade.need]\nfor = ["heat", "cold"]',
        'need.for, need 2: "cold" is not "heat", "glare", "fading", "sleep" or "privacy"',
    ),
    ('[shade.need]\nfor = ["heat", "heat"]', 'need.for: "heat" is named twice; name it once'),
    (
        "[shade.need]\nfor = []",
        'need.for: this list has 0 members; it should be a list of needs, such as ["heat", '
        '"glare"]',
    ),
    (
        '[shade.need]\nfor = ["sleep"]',
        'need.for: "sleep" needs to know when: add [shade.need.sleep] with '
        'dark = ["21:00", "07:00"]',
    ),
    (
        '[shade.need.sleep]\ndark = ["21:00", "07:00"]',
        'need.sleep: "sleep" is not asked for; write for = ["heat", "sleep"]',
    ),
    (
        '[shade.need]\nfor = ["sleep"]\n[shade.need.sleep]\ndark = ["07:00", "07:00"]',
        "need.sleep.dark: it starts and ends at the same time; give two times",
    ),
    (
        '[shade.need]\nfor = ["glare"]\nseason = ["04-01", "09-30"]',
        'need.season: it holds for "heat", which is not asked for; write it into the table of the '
        "need it is meant for, such as [shade.need.glare]",
    ),
    (
        '[shade.need]\nfor = ["glare"]\n[shade.need.glare]\nspots = ["dusk"]',
        'need.glare.spots, name 1: no spot is named "dusk", did you mean "desk"?',
    ),
    (
        '[shade.need]\nfor = ["glare"]\n[shade.need.glare]\nreach = 0',
        "need.glare.reach: 0 is not 0.001 m or more",
    ),
    (
        '[shade.need]\nfor = ["privacy"]\n[shade.need.privacy]\nuntil = "dawn"',
        'need.privacy.until: "dawn" is not a time of day such as "21:30"',
    ),
]


@pytest.mark.parametrize(("text", "expected"), FAULTS, ids=[text for text, _ in FAULTS])
def test_fault(text, expected):
    (fault,) = said(text)
    assert fault.removeprefix('shade "roller": ') == expected


def test_a_spot_behind_another_window():
    bed = '\n[[spot]]\nname = "bed"\nwindow = "loft"\ndistance = 2.5\nheight = 0.6\n'
    (fault,) = said('[shade.need]\nfor = ["fading"]\n[shade.need.fading]\nspots = ["bed"]', bed)
    assert fault.endswith(
        'the spot "bed" lies behind the window "loft", which this shade does not cover'
    )


def test_glare_without_anything_to_keep_it_off():
    text = HEAD + SHADE.replace("study", "loft") + '[shade.need]\nfor = ["glare"]\n'
    with pytest.raises(FileFaults) as caught:
        site_from_text(text)
    assert caught.value.faults[0].message == (
        'no [[spot]] lies behind its windows to close for "glare"; give one or a `reach` in '
        "[shade.need.glare]"
    )
    site_from_text(text + "[shade.need.glare]\nreach = 2\n")


SPOT = '\n[[spot]]\nname = "bed"\nwindow = "{}"\ndistance = {}\nheight = {}\n'


@pytest.mark.parametrize(
    ("window", "distance", "height", "expected"),
    [
        pytest.param("loft", 1.0, 2.0, "1.07 m inward", id="above the roof"),
        pytest.param("loft", 1.1, 2.0, None, id="just under it"),
        pytest.param("loft", 0.0, 0.5, None, id="below the sill"),
        pytest.param("study", 0.0, 1.0, None, id="on upright glass"),
    ],
)
def test_spots_outdoors(window, distance, height, expected):
    """The glass slopes at 40°: 0.9 m above its sill it is 0.9 / tan 40° = 1.07 m inward."""
    spot = SPOT.format(window, distance, height)
    if expected is None:
        site("", spot)
        return
    (fault,) = said("", spot)
    assert fault.startswith('spot "bed": distance: the spot lies outdoors: 2 m up')
    assert expected in fault


def test_all_faults_of_needs_at_once():
    text = 'stops = [50]\n[shade.need]\nfor = ["sleep"]\nbeam = -1\n'
    assert len(said(text, SPOT.format("loft", 0.1, 2.0))) == 3
