"""What a minute of need is worth by the heat that it lets in."""

from datetime import UTC, datetime

import numpy as np
import pandas as pd
import pvlib
import pytest

from suncover.base.spell import Spell, total_seconds, union
from suncover.heat.need_heat import STEP_S, admitted_watts, pieces_of, worth_by_heat
from suncover.site.model import Site

START = int(datetime(2027, 6, 21, tzinfo=UTC).timestamp())
HOUR = 3600
EVEN = {"name": "even", "angles": [0, 90], "gains": [0.5, 0.5], "diffuse": 0.5, "u": 1.0}


def home(**best: object) -> Site:
    """One shade over two windows of glass that lets half of all light in, at any angle."""
    windows = [
        {"name": name, "azimuth": azimuth, "width": width, "height": 2, "glazing": "even"}
        for name, azimuth, width in (("east", 80, 1.5), ("south", 170, 1.0))
    ]
    return Site.model_validate(
        {
            "site": {"name": "h", "latitude": 39.7, "longitude": -105.0, "elevation": 1600},
            "window": windows,
            "shade": [{"name": "both", "windows": ["east", "south"]}],
            "glazing": [EVEN],
            "best": {"by": "heat", **best},
        }
    )


def test_the_heat_is_that_of_pvlibs_clear_sky_on_both_windows():
    """pvlib from end to end: sun, clear sky, Perez on a wall, half of that on 3 and 2 m²."""
    place = pvlib.location.Location(39.7, -105.0, tz="UTC", altitude=1600)
    pieces = [Spell(START + HOUR * h, START + HOUR * h + 60) for h in range(12, 27)]
    times = pd.to_datetime([piece.start + 30 for piece in pieces], unit="s", utc=True)
    sun, sky = place.get_solarposition(times), place.get_clearsky(times)
    airmass = pvlib.atmosphere.get_relative_airmass(sun["apparent_zenith"])
    expected = np.zeros(len(pieces))
    for azimuth, area in ((80, 3.0), (170, 2.0)):
        light = pvlib.irradiance.get_total_irradiance(
            90, azimuth, sun["apparent_zenith"], sun["azimuth"], sky["dni"], sky["ghi"], sky["dhi"],
            dni_extra=pvlib.irradiance.get_extra_radiation(times), airmass=airmass, albedo=0.2,
            model="perez",
        )  # fmt: skip
        expected += 0.5 * area * light["poa_global"].fillna(0).to_numpy()
    site = home()
    found = admitted_watts(site, site.shades[0], pieces)
    # Two computations of one sun, and a horizon's light that is told from the dome's.
    assert found == pytest.approx(expected, rel=0.01, abs=1.0)
    assert expected.max() > 1000


def test_a_kilowatt_hour_counts_what_the_file_says():
    site = home(kwh=60)
    asked = [Spell(START + 14 * HOUR, START + 18 * HOUR)]
    pieces, worth, watts = worth_by_heat(site, site.shades[0], asked, [])
    assert total_seconds(pieces) == 4 * HOUR
    assert union(pieces) == tuple(asked)
    seconds = np.array([piece.seconds for piece in pieces])
    energy = float(seconds @ np.array(watts)) / 3.6e6
    assert energy > 3
    assert float(seconds @ np.array(worth)) / 60 == pytest.approx(60 * energy)


def test_what_is_not_for_heat_counts_a_minute_at_least():
    """At night nothing comes in, and a shade that is down for sleep still counts."""
    site = home(kwh=0)
    night = Spell(START + 5 * HOUR, START + 9 * HOUR)  # 23:00 to 3:00 by the sun
    day = Spell(START + 15 * HOUR, START + 19 * HOUR)
    some = Spell(START + 16 * HOUR, START + 17 * HOUR)
    pieces, worth, watts = worth_by_heat(site, site.shades[0], [night, day], [night, some])
    for piece, each, power in zip(pieces, worth, watts, strict=True):
        whole = piece.end <= night.end or some.start <= piece.start < some.end
        assert each == float(whole)
        assert (power > 0) == (piece.start >= day.start)


def test_pieces_are_even_and_hold_every_second():
    spells = [Spell(10, 11), Spell(20, 20 + 2 * STEP_S + 1), Spell(5000, 5000 + STEP_S)]
    pieces = pieces_of(spells)
    assert union(pieces) == tuple(spells)
    assert [piece.seconds for piece in pieces] == [1, 200, 200, 201, STEP_S]
