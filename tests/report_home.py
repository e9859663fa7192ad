"""A home with everything that a report shows, and its report; worked out once for all tests."""

from __future__ import annotations

from datetime import date
from functools import cache

from suncover.report.gather import ReportData, gather_report
from suncover.site import Site
from suncover.sitefile import site_from_text
from suncover.weather import load_weather

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
