"""A home with everything that a report shows, and its report; worked out once for all tests."""

from __future__ import annotations

import re
from datetime import date
from functools import cache

from suncover.report.gather import ReportData, gather_report
from suncover.site.file.sitefile import site_from_text
from suncover.site.model import Site
from suncover.sun.weather.load import load_weather

HOME = """\
[site]
name = "Larkspur <i>Lane</i> & \\"Co\\""
latitude = 36.10
longitude = -79.95
elevation = 270
timezone = "America/New_York"

[need]
season = ["04-15", "10-15"]

[money]
currency = "$"
electricity = [0.12, 0.16]
heating = 0.05

[[window]]
name = "kitchen </title><script>alert(1)</script>"
azimuth = 95
width = 1.20
height = 1.40
sill = 0.90
reveal = 0.10
skyline = [[60, 12], [95, 8], [130, 15]]

[window.overhang]
depth = 0.60
gap = 0.25
left = 0.30
right = 0.30

[[window.fin]]
side = "right"
depth = 0.40

[[window]]
name = "study"
azimuth = 250
width = "4 ft"
height = 1.20
sill = 0.90
position = [0, 0]

[[shade]]
name = "kitchen 'roller'"
windows = ["kitchen </title><script>alert(1)</script>"]
travel = 75
quiet = ["21:30", "07:00"]

[[spot]]
name = "<desk>"
window = "study"
distance = 1.6
offset = 0.4
height = 0.75

[[obstacle]]
name = "neighbour & son"
footprint = [[-20, -8], [-12, -8], [-12, 2], [-20, 2]]
top = 6.5
"""
AT = date(2026, 6, 21)


@cache
def home() -> Site:
    """The site, as its file says."""
    return site_from_text(HOME, "home.toml")


@cache
def report_data() -> ReportData:
    """Its report for a whole year, with the comparison."""
    site = home()
    return gather_report(
        site,
        date(2026, 1, 1),
        date(2026, 12, 31),
        AT,
        weather=load_weather(site),
        source=HOME,
        file="home.toml",
    )


SITES = {
    "north": (
        63.83,
        20.26,
        "name='lake'\nazimuth=262\nwidth=3.6\nheight=2.3\n[[window.fin]]\nside='left'\ndepth=1.2",
        "name='kitchen'\nazimuth=172\nwidth=1.8\nheight=1.3\nsill=0.9\nreveal=0.12\n"
        "[window.overhang]\ndepth=0.7\ngap=0.35",
    ),
    "south": (
        -31.42,
        -64.18,
        "name='study'\nazimuth=10\nwidth=1.2\nheight=1.2\nsill=0.9\nreveal=0.1\nposition=[3, 0]",
        "name='roof'\nazimuth=10\ntilt=35\nwidth=0.78\nheight=1.18\nsill=1.2\nposition=[0, -2]",
        "name='dormer'\nazimuth=165\ntilt=22\nwidth=0.9\nheight=1\nsill=1.9\nposition=[0, -4]",
    ),
    "equator": (
        -0.22,
        -78.51,
        "name='doors'\nazimuth=92\nwidth=4.2\nheight=2.4\n[window.overhang]\ndepth=2.5\ngap=0.1",
        "name='west'\nazimuth=272\nwidth=1.2\nheight=1.2\nsill=0.9\nposition=[-5, 0]",
        "name='front'\nazimuth=182\ntilt=105\nwidth=2\nheight=2\nsill=0.4",
    ),
}
TREE = "[[tree]]\nname='algarrobo'\ntrunk=[7, 2]\nwidth=6\nbottom=2\ntop=7.5\nleaf=0.2\n"
SPOT = "[[spot]]\nname='chair by {0}'\nwindow='{0}'\ndistance=1.4\nheight=0.5\n"


@cache
def home_on(name: str) -> ReportData:
    latitude, longitude, *windows = SITES[name]
    text = f"[site]\nname='{name}'\nlatitude={latitude}\nlongitude={longitude}\n"
    text += "".join(f"[[window]]\n{window}\n" for window in windows) + TREE
    text += "".join(SPOT.format(re.search(r"'(\w+)'", window)[1]) for window in windows)  # type: ignore[index]
    first, last = date(2027, 1, 1), date(2027, 12, 31)
    return gather_report(site_from_text(text), first, last, first)
