"""The builder of houses for tests, and some houses that it needs not build.

`house(window(), table("tree", ...))` is the text of a site file, with a [table] or [[table]] for
each call; `site_of` reads it. A window that nothing is said of is a usual one to the east. A whole
file and what it reads as, and a small one with tables to add, are for tests that spoil them.
"""

import json
from datetime import date, time
from pathlib import Path

import pytest

from suncover.base.errors import FileFaults
from suncover.site import model
from suncover.site.file.sitefile import load_site, site_from_text

ONCE = {"site", "need", "weather", "money", "best", "keeper"}


def toml(value: object) -> str:
    """A value as TOML has it; a dict as an inline table."""
    if isinstance(value, dict):
        return f"{{ {', '.join(f'{key} = {toml(inner)}' for key, inner in value.items())} }}"
    if isinstance(value, list | tuple):
        return f"[{', '.join(map(toml, value))}]"
    return str(value) if isinstance(value, date) else json.dumps(value, ensure_ascii=False)


def table(kind: str, **keys: object) -> str:
    """One table with those of its keys that are not None; `for_` stands for the key `for`."""
    lines = [
        f"{key.rstrip('_')} = {toml(value)}\n" for key, value in keys.items() if value is not None
    ]
    return f"\n[{kind}]\n{''.join(lines)}" if kind in ONCE else f"\n[[{kind}]]\n{''.join(lines)}"


def window(
    name: str = "kitchen",
    azimuth: float | str | None = 95,
    width: float | str = 1.2,
    height: float | str = 1.4,
    **keys: object,
) -> str:
    return table("window", name=name, azimuth=azimuth, width=width, height=height, **keys)


def house(*tables: str, at: tuple[float, float] = (36.1, -79.95), **site: object) -> str:
    """A site file with these tables (texts of others may stand among them)."""
    place = {"name": "Larkspur Lane", "latitude": at[0], "longitude": at[1], **site}
    return "".join((table("site", **place), *tables)).lstrip()


def site_of(*tables: str, **site: object) -> model.Site:
    """The site that `house` describes."""
    return site_from_text(house(*tables, **site))


def faults(text: str | bytes, folder: Path | None = None) -> list[str]:
    """What is said about a file of that text, each without the file's name."""
    path = (folder or Path()) / "house.toml"
    if folder is not None:
        path.write_bytes(text.encode() if isinstance(text, str) else text)
    with pytest.raises(FileFaults) as caught:
        load_site(path) if folder else site_from_text(text, path)
    assert all(fault.file == str(path) for fault in caught.value.faults)
    lines = str(caught.value).split("\n")
    assert len(lines) == len(caught.value.faults), "one line for each fault"
    assert all(line.startswith(f"{path}:") for line in lines)
    return [line.removeprefix(f"{path}:").strip() for line in lines]


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

# 885 ft 10 in = 10630 in of 0.0254 m, 4 in = 0.1016 m, 2 ft = 0.6096 m, 21 ft = 6.4008 m.
WHOLE_SITE = model.Site(
    place=model.Place(
        name="Larkspur Lane", latitude=36.10, longitude=-79.95, elevation=270.002,
        timezone="America/New_York", albedo=0.25,
    ),
    need=model.Need(beam=150, fraction=0.1, season=(model.MonthDay(4, 15), model.MonthDay(10, 15))),
    windows=(
        model.Window(
            name="kitchen", azimuth=95.0, tilt=80.0, width=1.2, height=1.4, sill=0.9, reveal=0.1016,
            skyline=((60.0, 12.0), (95.0, 8.0), (130.0, 15.0)),
            overhang=model.Overhang(depth=0.6, gap=0.25, left=0.3, right=-0.1),
            fins=(
                model.Fin(side="left", depth=0.4, gap=0.1, above=0.5, below=0.0),
                model.Fin(side="right", depth=0.6096),
            ),
            position=(4.2, -3.0), floor=2.8, glazing="clear double",
        ),
        model.Window(name="study", azimuth=360.0, width=1.0, height=1.0),
    ),
    shades=(
        model.Shade(
            name="kitchen roller", windows=("kitchen",), travel=75.0, lead=3.0, lag=4.0, merge=20.0,
            shortest=5.0, moves=4, quiet=(time(21, 30), time(7, 0)), in_quiet="late",
            need=model.ShadeNeed(beam=0.0, season=(model.MonthDay(11, 1), model.MonthDay(2, 29))),
            place="inside", transmittance=0.05, reflectance=0.6,
        ),
    ),
    obstacles=(
        model.Obstacle(
            name="neighbour", footprint=((12.0, -8.0), (20.0, -8.0), (20.0, 4.0), (12.0, 4.0)),
            base=0.5, top=6.4008,
        ),
    ),
    trees=(
        model.Tree(
            name="maple", trunk=(9.0, -6.0), width=7.0, bottom=2.5, top=11.0, leaf=0.15, bare=0.15,
            in_leaf=(model.MonthDay(4, 20), model.MonthDay(11, 5)),
        ),
    ),
    spots=(model.Spot(name="desk", window="study", distance=1.6, offset=-0.4, height=0.75),),
    glazings=(
        model.Glazing(
            name="clear double", angles=(0.0, 40.0, 50.0, 60.0, 70.0, 80.0, 90.0),
            gains=(0.76, 0.74, 0.71, 0.64, 0.5, 0.26, 0.0), diffuse=0.66, u=2.8,
        ),
    ),
    weather=model.Weather(file="year.csv", stamp="end"),
)  # fmt: skip

# Line 8 is the window's azimuth, what is added begins on line 11.
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
WINDOW = "azimuth = 95"  # what more keys of the window are written after
SHADE = table("shade", name="roller", windows=["kitchen"])  # lines 12 to 14
GLAZING = table("glazing", name="clear", angles=[0, 90], gains=[0.7, 0], diffuse=0.6, u=2)
OBSTACLE = table("obstacle", name="shed", footprint=[[0, 0], [4, 0], [4, 4], [0, 4]], top=3)
TREE = table("tree", name="maple", trunk=[9, -6], width=7, bottom=2.5, top=11, leaf=0.15)
SPOT = table("spot", name="desk", window="kitchen", distance=1.6, height=0.75)


def edited(old: str, new: str, more: str = "") -> str:
    """The small file and `more`, with one text in them replaced by another."""
    text = SMALL + more
    assert old in text
    return text.replace(old, new, 1)
