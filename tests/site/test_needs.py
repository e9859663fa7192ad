"""Needs, stops, rollers and spots in the site file: what is read, and what is said of faults."""
# ruff: noqa: E501  (a case to a line)

from datetime import time

import pytest
from site_texts import faults, house, table, window

from suncover.site.file.sitefile import site_from_text
from suncover.site.model import Fading, Glare, MonthDay, Privacy, Roller, Sleep

HEAD = house(
    window("study", 150, 1.6, 1.4, sill=0.8),
    window("loft", 240, 0.8, 1.2, tilt=40, sill=1.1),
    table("spot", name="desk", window="study", distance=1.4, height=0.75),
)
SHADE = table("shade", name="roller", windows=["study"])


def said(text):
    return [fault.partition(": ")[2] for fault in faults(text)]


def spot(window, distance, height):
    return table("spot", name="bed", window=window, distance=distance, height=height)


WHOLE = """\
travel = 40
stops = [30, 60, 100]
home_after = 6
standoff = "8 cm"
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
    read = site_from_text(HEAD + SHADE + WHOLE)
    shade = read.shades[0]
    need = read.need_of(shade)
    assert need.purposes == ("heat", "glare", "fading", "sleep", "privacy")
    winter = (MonthDay(10, 1), MonthDay(3, 31))
    assert need.glare == Glare(spots=("desk",), reach=1.524, height=0.7, season=winter)
    assert need.fading == Fading(spots=("desk",))
    assert need.sleep == Sleep(dark=(time(21, 30), time(7)))
    assert need.privacy == Privacy(until=time(23, 15))
    assert (shade.stops, shade.home_after, shade.standoff) == ((30, 60, 100), 6, 0.08)
    assert shade.roller == Roller(tube=0.05, thickness=0.0005, drop=1.4, spare=0.3)
    assert shade.has_stops


def test_left_out_nothing_changes():
    read = site_from_text(HEAD + SHADE)
    shade, need = read.shades[0], read.need_of(read.shades[0])
    assert (need.purposes, need.for_heat_alone) == (("heat",), True)
    assert (shade.stops, shade.home_after, shade.roller, shade.standoff) == ((100,), *(None,) * 3)
    assert not shade.has_stops


def test_a_shades_own_need_goes_before_the_sites_table_by_table():
    text = SHADE + '[shade.need]\nfor = ["sleep", "glare"]\n[shade.need.glare]\nreach = 2\n'
    night = '[need]\nbeam = 200\nfor = ["heat", "sleep"]\n[need.sleep]\ndark = ["20:00", "06:00"]\n'
    read = site_from_text(HEAD + text + night)
    need = read.need_of(read.shades[0])
    assert (need.purposes, need.beam) == (("sleep", "glare"), 200)
    assert need.sleep == Sleep(dark=(time(20), time(6)))
    assert need.glare == Glare(reach=2.0)
    assert not need.for_heat_alone
    assert need.plan_season is None


ROLLER = "[shade.roller]\ntube = 0.05\nthickness = 0.0005\ndrop = "
FOR = "[shade.need]\nfor = "
FAULTS = [
    ("stops = [50, 75]", "stops: the last stop must be 100, fully closed, which some needs ask for"),
    ("stops = [50, 50, 100]", "stops: the stops must ascend, but 50 follows 50"),
    ("stops = [0.5, 100]", "stops, stop 1: 0.5 is not a whole number"),
    ("stops = 50", "stops: 50 is not a list of positions in per cent, such as [50, 75, 100]"),
    ("home_after = 5", "home_after: it only matters with `stops` on the way, such as [50, 100]; add them"),
    (f"{ROLLER}1.4", "with a roller give `travel`, or `turns_per_minute` in [shade.roller]"),
    (f"travel = 30\n{ROLLER}1\nturns_per_minute = 28", "`travel` and `turns_per_minute` say the same; give one of them"),
    (f"travel = 30\n{ROLLER}1".replace("0.0005", "0.5"), "roller.thickness: 0.5 is not at most 0.02 m"),
    (f"travel = 30\n{ROLLER}1".replace("0.0005", "1e-300"), "roller.thickness: 1e-300 is not 0.00001 m or more"),
    (f"{ROLLER}1\nturns_per_minute = 1e-9", "roller.turns_per_minute: 1e-09 is not between 0.01 and 1000"),
    (f"{ROLLER}9\nturns_per_minute = 0.5",
     "roller: a full run would take 4887 seconds; at most 3600 are possible: check turns_per_minute and the lengths"),
    (f'{FOR}"glare"', 'need.for: "glare" is not a list of needs, such as ["heat", "glare"]'),
    (f'{FOR}["heat", "cold"]', 'need.for, need 2: "cold" is not "heat", "glare", "fading", "sleep" or "privacy"'),
    (f'{FOR}["heat", "heat"]', 'need.for: "heat" is named twice; name it once'),
    (f"{FOR}[]", 'need.for: this list has 0 members; it should be a list of needs, such as ["heat", "glare"]'),
    (f'{FOR}["sleep"]', 'need.for: "sleep" needs to know when: add [shade.need.sleep] with dark = ["21:00", "07:00"]'),
    ('[shade.need.sleep]\ndark = ["21:00", "07:00"]', 'need.sleep: "sleep" is not asked for; write for = ["heat", "sleep"]'),
    (f'{FOR}["sleep"]\n[shade.need.sleep]\ndark = ["07:00", "07:00"]', "need.sleep.dark: it starts and ends at the same time; give two times"),
    (f'{FOR}["glare"]\nseason = ["04-01", "09-30"]',
     'need.season: it holds for "heat", which is not asked for; write it into the table of the need it is meant for, such as [shade.need.glare]'),
    (f'{FOR}["glare"]\n[shade.need.glare]\nspots = ["dusk"]', 'need.glare.spots, name 1: no spot is named "dusk", did you mean "desk"?'),
    (f'{FOR}["glare"]\n[shade.need.glare]\nreach = 0', "need.glare.reach: 0 is not 0.001 m or more"),
    (f'{FOR}["privacy"]\n[shade.need.privacy]\nuntil = "dawn"', 'need.privacy.until: "dawn" is not a time of day such as "21:30"'),
]  # fmt: skip


@pytest.mark.parametrize(("text", "expected"), FAULTS)
def test_fault(text, expected):
    (fault,) = said(HEAD + SHADE + text)
    assert fault.removeprefix('shade "roller": ') == expected


def test_spots_that_are_not_where_they_are_needed():
    fading = SHADE + f'{FOR}["fading"]\n[shade.need.fading]\nspots = ["bed"]'
    (fault,) = said(HEAD + spot("loft", 2.5, 0.6) + fading)
    assert fault.endswith(
        'the spot "bed" lies behind the window "loft", which this shade does not cover'
    )
    glare = HEAD + SHADE.replace("study", "loft") + f'{FOR}["glare"]\n'
    assert said(glare)[0].endswith(
        'no [[spot]] lies behind its windows to close for "glare"; give one or a `reach` in '
        "[shade.need.glare]"
    )
    site_from_text(glare + "[shade.need.glare]\nreach = 2\n")
    several = HEAD + spot("loft", 0.1, 2.0) + SHADE + f'stops = [50]\n{FOR}["sleep"]\nbeam = -1\n'
    assert len(said(several)) == 3, "all faults of needs at once"


@pytest.mark.parametrize(
    ("window", "distance", "height", "outdoors"),
    [
        ("loft", 1.0, 2.0, True),
        ("loft", 1.1, 2.0, False),
        ("loft", 0.0, 0.5, False),
        ("study", 0.0, 1.0, False),
    ],
    ids=["above the roof", "just under it", "below the sill", "on upright glass"],
)
def test_spots_outdoors(window, distance, height, outdoors):
    """The glass slopes at 40°: 0.9 m above its sill it is 0.9 / tan 40° = 1.07 m inward."""
    text = HEAD + spot(window, distance, height) + SHADE
    if not outdoors:
        site_from_text(text)
        return
    (fault,) = said(text)
    assert fault.startswith('spot "bed": distance: the spot lies outdoors: 2 m up')
    assert "1.07 m inward" in fault
