"""A home with everything that a report shows, and its report; worked out once for all tests."""

import re
from datetime import date
from functools import cache

from site_texts import house, site_of, table, window

from suncover.report.gather import ReportData, gather_report
from suncover.site.file.sitefile import site_from_text
from suncover.site.model import Site
from suncover.sun.weather.load import load_weather

KITCHEN = "kitchen </title><script>alert(1)</script>"
HOME = house(
    table("need", season=["04-15", "10-15"]),
    table("money", currency="$", electricity=[0.12, 0.16], heating=0.05),
    window(
        KITCHEN, 95, sill=0.9, reveal=0.1, skyline=[[60, 12], [95, 8], [130, 15]],
        overhang={"depth": 0.6, "gap": 0.25, "left": 0.3, "right": 0.3},
        fin=[{"side": "right", "depth": 0.4}],
    ),
    window("study", 250, "4 ft", 1.2, sill=0.9, position=[0, 0]),
    table(
        "shade", name="kitchen 'roller'", windows=[KITCHEN], travel=75, quiet=["21:30", "07:00"]
    ),
    table("spot", name="<desk>", window="study", distance=1.6, offset=0.4, height=0.75),
    table(
        "obstacle", name="neighbour & son", footprint=[[-20, -8], [-12, -8], [-12, 2], [-20, 2]],
        top=6.5,
    ),
    name='Larkspur <i>Lane</i> & "Co"', elevation=270, timezone="America/New_York",
)  # fmt: skip
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
        (63.83, 20.26),
        window("lake", 262, 3.6, 2.3, fin=[{"side": "left", "depth": 1.2}]),
        window(
            "kitchen", 172, 1.8, 1.3, sill=0.9, reveal=0.12, overhang={"depth": 0.7, "gap": 0.35}
        ),
    ),
    "south": (
        (-31.42, -64.18),
        window("study", 10, 1.2, 1.2, sill=0.9, reveal=0.1, position=[3, 0]),
        window("roof", 10, 0.78, 1.18, tilt=35, sill=1.2, position=[0, -2]),
        window("dormer", 165, 0.9, 1, tilt=22, sill=1.9, position=[0, -4]),
    ),
    "equator": (
        (-0.22, -78.51),
        window("doors", 92, 4.2, 2.4, overhang={"depth": 2.5, "gap": 0.1}),
        window("west", 272, 1.2, 1.2, sill=0.9, position=[-5, 0]),
        window("front", 182, 2, 2, tilt=105, sill=0.4),
    ),
}
TREE = table("tree", name="algarrobo", trunk=[7, 2], width=6, bottom=2, top=7.5, leaf=0.2)


@cache
def home_on(name: str) -> ReportData:
    at, *windows = SITES[name]
    names = re.findall(r'name = "(\w+)"', "".join(windows))
    spots = [
        table("spot", name=f"chair by {one}", window=one, distance=1.4, height=0.5) for one in names
    ]
    first, last = date(2027, 1, 1), date(2027, 12, 31)
    return gather_report(site_of(*windows, TREE, *spots, name=name, at=at), first, last, first)
