"""Remarks on long closings, against the exact hours, which they are only near to."""

from datetime import date

from site_texts import site_of, table, window

from suncover.base.spell import total_seconds
from suncover.facade.hours import hours
from suncover.site.sun_notes import sun_notes


def roof(**need):
    return site_of(
        table("need", season=["10-15", "04-15"], **need),
        window("roof", 0, 0.8, 1.2, tilt=20, sill=2),
        window("door", 0, 1, 1.2, sill=1, overhang={"depth": 0.65, "gap": 0.05}),
        at=(-30.03, -51.22),
        timezone="America/Sao_Paulo",
    )


def test_all_day_on_a_roof_window_and_hours_of_slight_sun_are_remarked_on():
    site, solstice, equinox = roof(), date(2026, 12, 21), date(2026, 3, 21)
    notes = list(sun_notes(site))
    whole = hours(site, solstice, solstice)["roof"]
    slight = [hours(site, equinox, equinox, power=power)["door"] for power in (0.0, 60.0)]
    lost = total_seconds(slight[0]) - total_seconds(slight[1])
    assert f"about {total_seconds(whole) / 3600:.0f} h on 21 Dec" in notes[0]
    assert f"about {lost / 3600:.0f} h of 21 Mar" in notes[1]
    assert "power = 60" in notes[1]
    assert not list(sun_notes(roof(power=60)))
