"""Remarks on long closings, against the exact hours, which they are only near to."""

from __future__ import annotations

from datetime import date
from pathlib import Path

from suncover.base.spell import total_seconds
from suncover.facade.hours import hours
from suncover.site.file.sitefile import load_site
from suncover.site.sun_notes import sun_notes

ROOF = """\
[site]
name = "Casa"
latitude = -30.03
longitude = -51.22
timezone = "America/Sao_Paulo"
[need]
season = ["10-15", "04-15"]
[[window]]
name = "roof"
azimuth = 0
tilt = 20
width = 0.8
height = 1.2
sill = 2
[[window]]
name = "door"
azimuth = 0
width = 1
height = 1.2
sill = 1
overhang = { depth = 0.65, gap = 0.05 }
"""


def test_all_day_on_a_roof_window_and_hours_of_slight_sun_are_remarked_on(tmp_path: Path) -> None:
    path = tmp_path / "roof.toml"
    path.write_text(ROOF)
    site = load_site(path)
    notes = list(sun_notes(site))
    solstice, equinox = date(2026, 12, 21), date(2026, 3, 21)
    whole = hours(site, solstice, solstice)["roof"]
    slight = [hours(site, equinox, equinox, power=power)["door"] for power in (0.0, 60.0)]
    lost = total_seconds(slight[0]) - total_seconds(slight[1])
    assert f"about {total_seconds(whole) / 3600:.0f} h on 21 Dec" in notes[0]
    assert f"about {lost / 3600:.0f} h of 21 Mar" in notes[1]
    assert "power = 60" in notes[1]
    asked = path.with_name("asked.toml")
    asked.write_text(ROOF.replace("[need]\n", "[need]\npower = 60\n"))
    assert not list(sun_notes(load_site(asked)))
