"""Site files for the tests: a whole one and what it reads as, a small one to spoil, and more."""

from __future__ import annotations

from datetime import time
from pathlib import Path

import pytest

from suncover.base.errors import FileFaults
from suncover.site.file.sitefile import load_site
from suncover.site.model import (
    Fin,
    Glazing,
    MonthDay,
    Need,
    Obstacle,
    Overhang,
    Place,
    Shade,
    ShadeNeed,
    Site,
    Spot,
    Tree,
    Weather,
    Window,
)

WHOLE = """\
[site]
name = "Larkspur Lane"
latitude = 36.10
longitude = -79.95
elevation = "885 ft 10 in"
timezone = "America/New_York"
albedo = 0.25

[need]
beam = 150
fraction = 0.1
season = ["04-15", "10-15"]

[weather]
file = "year.csv"
stamp = "end"

[[window]]
name = "kitchen"
azimuth = 95
tilt = 80
width = 1.20
height = "140 cm"
sill = 0.90
reveal = "4 in"
skyline = [[130, 15], [60, 12], [95, 8]]
position = [4.2, "-3 m"]
floor = 2.8
glazing = "clear double"

[window.overhang]
depth = 0.60
gap = 0.25
left = 0.30
right = -0.10

[[window.fin]]
side = "left"
depth = 0.40
gap = 0.10
above = 0.50
below = 0.00

[[window.fin]]
side = "right"
depth = "2 ft"

[[window]]
name = "study"
azimuth = 360
width = 1
height = 1

[[shade]]
name = "kitchen roller"
windows = ["kitchen"]
travel = 75
lead = 3
lag = 4
merge = 20
shortest = 5
moves = 4
quiet = ["21:30", 07:00:00]
in_quiet = "late"
place = "inside"
transmittance = 0.05
reflectance = 0.60
need.beam = 0
need.season = ["11-01", "02-29"]

[[obstacle]]
name = "neighbour"
footprint = [[12, -8], [20, -8], [20, 4], [12, 4], [12, -8]]
base = 0.5
top = "21 ft"

[[tree]]
name = "maple"
trunk = [9.0, -6.0]
width = 7.0
bottom = 2.5
top = 11.0
leaf = 0.15
in_leaf = ["04-20", "11-05"]

[[spot]]
name = "desk"
window = "study"
distance = 1.6
offset = "-40 cm"
height = 0.75

[[glazing]]
name = "clear double"
angles = [0, 40, 50, 60, 70, 80, 90]
gains = [0.76, 0.74, 0.71, 0.64, 0.50, 0.26, 0.0]
diffuse = 0.66
u = 2.8
"""

WHOLE_SITE = Site(
    place=Place(
        name="Larkspur Lane",
        latitude=36.10,
        longitude=-79.95,
        elevation=270.002,  # 885 ft 10 in = 10630 in of 0.0254 m
        timezone="America/New_York",
        albedo=0.25,
    ),
    need=Need(beam=150.0, fraction=0.1, season=(MonthDay(4, 15), MonthDay(10, 15))),
    windows=(
        Window(
            name="kitchen",
            azimuth=95.0,
            tilt=80.0,
            width=1.2,
            height=1.4,
            sill=0.9,
            reveal=0.1016,
            skyline=((60.0, 12.0), (95.0, 8.0), (130.0, 15.0)),
            overhang=Overhang(depth=0.6, gap=0.25, left=0.3, right=-0.1),
            fins=(
                Fin(side="left", depth=0.4, gap=0.1, above=0.5, below=0.0),
                Fin(side="right", depth=0.6096),
            ),
            position=(4.2, -3.0),
            floor=2.8,
            glazing="clear double",
        ),
        Window(name="study", azimuth=360.0, width=1.0, height=1.0),
    ),
    shades=(
        Shade(
            name="kitchen roller",
            windows=("kitchen",),
            travel=75.0,
            lead=3.0,
            lag=4.0,
            merge=20.0,
            shortest=5.0,
            moves=4,
            quiet=(time(21, 30), time(7, 0)),
            in_quiet="late",
            need=ShadeNeed(beam=0.0, season=(MonthDay(11, 1), MonthDay(2, 29))),
            place="inside",
            transmittance=0.05,
            reflectance=0.6,
        ),
    ),
    obstacles=(
        Obstacle(
            name="neighbour",
            footprint=((12.0, -8.0), (20.0, -8.0), (20.0, 4.0), (12.0, 4.0)),
            base=0.5,
            top=6.4008,
        ),
    ),
    trees=(
        Tree(
            name="maple",
            trunk=(9.0, -6.0),
            width=7.0,
            bottom=2.5,
            top=11.0,
            leaf=0.15,
            bare=0.15,
            in_leaf=(MonthDay(4, 20), MonthDay(11, 5)),
        ),
    ),
    spots=(Spot(name="desk", window="study", distance=1.6, offset=-0.4, height=0.75),),
    glazings=(
        Glazing(
            name="clear double",
            angles=(0.0, 40.0, 50.0, 60.0, 70.0, 80.0, 90.0),
            gains=(0.76, 0.74, 0.71, 0.64, 0.5, 0.26, 0.0),
            diffuse=0.66,
            u=2.8,
        ),
    ),
    weather=Weather(file="year.csv", stamp="end"),
)

# Line 8 is the window's azimuth.
SMALL = """\
[site]
name = "Larkspur Lane"
latitude = 36.10
longitude = -79.95

[[window]]
name = "kitchen"
azimuth = 95
width = 1.20
height = 1.40
"""


def faults(text: str | bytes, folder: Path) -> list[str]:
    """What is said about a file of that text, each without the file's name."""
    path = folder / "house.toml"
    path.write_bytes(text.encode() if isinstance(text, str) else text)
    with pytest.raises(FileFaults) as caught:
        load_site(path)
    assert all(fault.file == str(path) for fault in caught.value.faults)
    lines = str(caught.value).split("\n")
    assert len(lines) == len(caught.value.faults), "one line for each fault"
    assert all(line.startswith(f"{path}:") for line in lines)
    return [line.removeprefix(f"{path}:").strip() for line in lines]


WINDOW = "azimuth = 95"  # what more keys of the window are written after
SHADE = '\n[[shade]]\nname = "roller"\nwindows = ["kitchen"]\n'  # lines 12 to 14
GLAZING = (
    '\n[[glazing]]\nname = "clear"\nangles = [0, 90]\ngains = [0.7, 0]\ndiffuse = 0.6\nu = 2\n'
)
OBSTACLE = '\n[[obstacle]]\nname = "shed"\nfootprint = [[0, 0], [4, 0], [4, 4], [0, 4]]\ntop = 3\n'
TREE = (
    '\n[[tree]]\nname = "maple"\ntrunk = [9, -6]\nwidth = 7\nbottom = 2.5\ntop = 11\nleaf = 0.15\n'
)
SPOT = '\n[[spot]]\nname = "desk"\nwindow = "kitchen"\ndistance = 1.6\nheight = 0.75\n'


def edited(old: str, new: str, more: str = "") -> str:
    """The small file and `more`, with one text in them replaced by another."""
    text = SMALL + more
    assert old in text
    return text.replace(old, new, 1)
