"""A year of weather against what a place's sun can give: the other side of the Earth is refused."""

from functools import cache

import numpy as np
import pytest

from suncover.base.errors import FileFaults, RequestError
from suncover.compare.summary import summarize
from suncover.compare.year import compare_year
from suncover.site.model import Money, Place, Site, Weather, Window
from suncover.sun.position import Observer
from suncover.sun.weather.files import bundled_path, read_weather
from suncover.sun.weather.load import load_weather, weather_at
from suncover.sun.weather.possible import MOST_BEAM, MOST_SPREAD, bounds_of, impossible_shares
from suncover.sun.weather.year import LightRows, WeatherYear

PLACES = {"greensboro": (36.1, -79.95), "miami": (25.8, -80.3), "sand-point": (55.3, -160.5)}
ROOM = (Window(name="w", azimuth=180, width=2, height=1.5),)


@cache
def bundled(name):
    return read_weather(bundled_path(name))


def at(latitude, longitude):
    return Place(name="x", latitude=latitude, longitude=longitude)


@pytest.mark.parametrize("name", PLACES)
def test_a_year_of_the_place_is_far_within_the_bounds(name):
    beam, spread = impossible_shares(bundled(name), Observer(*PLACES[name]))
    assert beam < 0.001 < MOST_BEAM / 10
    assert spread < 0.0002 < MOST_SPREAD / 10


@pytest.mark.parametrize("name", PLACES)
@pytest.mark.parametrize("where", ["mirrored", "antipodes", "a third round the Earth"])
def test_a_year_of_the_other_side_of_the_earth_is_refused(name, where):
    latitude, longitude = PLACES[name]
    place = {
        "mirrored": at(-latitude, longitude),
        "antipodes": at(-latitude, longitude + 180.0),
        "a third round the Earth": at(latitude, longitude + 120.0),
    }[where]
    with pytest.raises(RequestError, match="this cannot be the weather of"):
        weather_at(bundled(name), place)
    with pytest.raises(RequestError, match="take a year of the site's own region"):
        compare_year(Site(place=place, windows=ROOM), bundled(name))
    if name == "greensboro":
        site = Site(place=place, windows=ROOM, weather=Weather(file=f"bundled:{name}"))
        with pytest.raises(FileFaults, match=f"bundled:{name}: this cannot be"):
            load_weather(site)


def test_the_bounds_are_those_of_the_radiation_network():
    """BSRN, physically possible: S, 0.95 S m^1.2 + 50, 1.5 S m^1.2 + 100 W/m².

    Long and Dutton 2002. At the equator on an equinox's noon m is 1, and S the solar constant times
    1.009 or so.
    """
    noon = float(np.datetime64("2026-03-20T12:07", "s").astype(np.int64))
    day, night = (
        bounds_of(LightRows(np.array([start]), 60.0, *np.zeros((3, 1))), Observer(0.0, 0.0))
        for start in (noon - 30.0, noon + 43_200.0)
    )
    outside = float(day.dni[0])
    assert outside == pytest.approx(1366.1 * 1.0086, rel=2e-3)
    assert day.dhi[0] == pytest.approx(0.95 * outside + 50.0, rel=1e-3)
    assert day.ghi[0] == pytest.approx(1.5 * outside + 100.0, rel=1e-3)
    assert (night.dni[0], night.dhi[0], night.ghi[0]) == (0.0, 50.0, 100.0)


@pytest.mark.parametrize(
    ("place", "says", "tells"),
    [
        (at(36.1, -79.95), "", True),
        (at(36.1, -81.5), "km from the site.", True),
        (at(43.0, -80.0), "take its figures for another climate's", False),
        (at(36.1, -70.0), "take its figures for another climate's", False),
    ],
    ids=["own place", "nearby", "another latitude", "far off"],
)
def test_no_payback_is_told_by_another_climates_weather(place, says, tells):
    priced = Money(electricity=(0.2, 0.2), heating=(0.1, 0.1), shade=(100.0, 100.0))
    site = Site(place=place, windows=ROOM, money=priced)
    summary = summarize(compare_year(site, bundled("greensboro")))
    assert says in " ".join(summary.comparison.weather.remarks)
    assert summary.comparison.tells_payback is tells
    assert (summary.line("shade").worth.payback is not None) is tells


GOOD = bundled("greensboro")


def made(**change):
    """The year of Greensboro, made by hand with some parts of it changed."""
    parts = {"start": GOOD.start, "step": 3600.0, "ghi": GOOD.ghi, "dni": GOOD.dni}
    return WeatherYear(**parts | {"dhi": GOOD.dhi, "temperature": None, "source": "mine"} | change)


def test_warmth_that_comes_with_the_low_sun_is_the_other_hemispheres():
    """A year of even light that is warmest in January, under a northern sun."""
    days = np.arange(len(GOOD.start)) / 24.0
    warmth = 15.0 + 10.0 * np.cos(2 * np.pi * (days - 20.0) / 365.0)
    found = weather_at(made(temperature=warmth), at(36.1, -79.95))
    assert found.elsewhere
    assert "the other hemisphere" in " ".join(found.remarks)


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"ghi": GOOD.ghi * np.nan}, "ghi is missing in 8760 rows"),
        ({"dni": -GOOD.dni}, "dni is below 0 W/m²"),
        ({"dhi": GOOD.dhi[:10]}, "dhi has 10 rows and start 8760"),
        ({"temperature": np.full(8760, np.inf)}, "temperature is missing in 8760 rows"),
        ({"start": GOOD.start * 2.0}, "its rows are uneven"),
        ({"step": 7200.0}, "1 to 60 minutes"),
        ({"ghi": ["a"] * 8760}, "ghi is not all numbers"),
        ({"ghi": np.zeros((2, 4380))}, "ghi has 2 dimensions"),
        (
            {name: getattr(GOOD, name)[:4380] for name in ("start", "ghi", "dni", "dhi")},
            "its rows make 182 days; a whole year is needed",
        ),
    ],
    ids=["nan", "negative", "short", "infinite", "uneven", "step", "text", "table", "half"],
)
def test_a_year_made_by_hand_is_checked(change, says):
    with pytest.raises(RequestError, match=says):
        made(**change)
