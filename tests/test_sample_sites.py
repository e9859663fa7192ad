"""The sample sites load, say nothing odd, and come out as their places and plans demand.

What must come out is found here by astral, an independent sun (its elevation and azimuth are within
0.02 degrees of the ones used by the program; sunlight moves by that much in five seconds), and by a
carpenter's similar triangles.
"""

import math
import tomllib
from datetime import UTC, date, datetime, timedelta
from functools import cache
from pathlib import Path

import astral
import astral.sun
import jsonschema
import pytest

from suncover.base.clock import dates_bounds
from suncover.facade.exposure import find_exposures
from suncover.plan.season import season_plan
from suncover.site.file.schema import site_schema
from suncover.site.file.sitefile import load_site
from suncover.site.model import Need
from suncover.site.notes import site_notes

FOLDER = Path(__file__).parent.parent / "sample_sites"
FILES = sorted(FOLDER.glob("*.toml"))
GEOMETRY = Need(beam=0.0)  # any sun above the horizon
STEP = timedelta(minutes=5)
DAY = timedelta(days=1)
JUNE, DECEMBER = date(2027, 6, 21), date(2027, 12, 21)

by_file = pytest.mark.parametrize("name", [file.stem for file in FILES])


@cache
def sample(name):
    return load_site(FOLDER / f"{name}.toml")


@cache
def exposures(name, first, last, need=None):
    site = sample(name)
    days = dates_bounds(first, last, site.place.zone)
    found = find_exposures(site, days.start, days.end, need)
    return {window: list(spells) for window, spells in found.items()}


def sun_at(site, moment):
    """Azimuth and apparent elevation by astral, degrees."""
    here = astral.Observer(site.place.latitude, site.place.longitude, site.place.elevation)
    return astral.sun.azimuth(here, moment), astral.sun.elevation(here, moment)


def moments(site, first, last):
    """Every five minutes of the local days."""
    days = dates_bounds(first, last, site.place.zone)
    start, end = (datetime.fromtimestamp(at, UTC) for at in (days.start, days.end))
    return [start + STEP * number for number in range((end - start) // STEP)]


def noon(site, day):
    """When the sun crosses the meridian, by astral."""
    here = astral.Observer(site.place.latitude, site.place.longitude)
    return astral.sun.noon(here, day, tzinfo=site.place.zone)


def holds(spells, moment):
    return any(spell.start <= moment.timestamp() < spell.end for spell in spells)


def turned(azimuth, window):
    """Degrees from the way the window looks to the sun's azimuth, clockwise, -180 to 180."""
    return (azimuth - window.azimuth + 180) % 360 - 180


def shadow_below(window, azimuth, elevation):
    """Metres of a wall's glass, from its top, that an endless overhang shades.

    ASHRAE Handbook, Fundamentals, fenestration chapter (from memory): the shadow of a horizontal
    projection P reaches P tan β / cos γ below it.
    """
    profile = math.tan(math.radians(elevation)) / math.cos(math.radians(turned(azimuth, window)))
    return (window.overhang.depth + window.reveal) * profile - window.overhang.gap


SCHEMA = jsonschema.Draft202012Validator(site_schema())


def test_there_are_samples_for_every_part_of_the_world():
    latitudes = [sample(file.stem).place.latitude for file in FILES]
    assert len(latitudes) >= 5
    assert max(latitudes) > 66.6
    assert min(latitudes) < -23.5
    assert min(map(abs, latitudes)) < 5
    assert sample("bungalow").weather.file == "bundled:greensboro", "that of its place"
    season = sample("terrace").need.season
    assert season[0] > season[1], "over the new year"


@by_file
def test_a_sample_teaches_says_nothing_odd_and_fits_the_schema(name):
    """So that an editor marks nothing in it; at least every fourth line has a comment."""
    text = (FOLDER / f"{name}.toml").read_text(encoding="utf-8")
    assert SCHEMA.is_valid(tomllib.loads(text))
    lines = [line for line in text.splitlines() if line.strip()]
    assert sum("#" in line for line in lines) >= len(lines) / 4
    notes = site_notes(sample(name))
    if name == "minimal":  # it leaves out all it can, and is told what was assumed
        assert len(notes) == 2
        assert notes[0].startswith("time zone: Europe/Lisbon")
        assert notes[1].startswith('no shade names "living room"')
    else:
        assert notes == ()


@by_file
def test_every_window_has_sun_on_some_days_and_there_is_a_plan_for_it(name):
    moved, sun = 0, {}
    for month in (1, 4, 7, 10):
        day = date(2027, month, 10)
        for window, spells in exposures(name, day, day).items():
            sun[window] = sun.get(window, 0) + sum(spell.seconds for spell in spells)
        moved += sum(len(plan.closings) for plan in season_plan(sample(name), day, day))
    assert moved > 0
    assert all(seconds > 1800 for seconds in sun.values()), sun


# --- minimal: a bare window, nothing before it


def test_minimal_has_sun_from_the_plane_of_the_glass_to_sunset():
    site = sample("minimal")
    (spell,) = exposures("minimal", JUNE, JUNE, GEOMETRY)["living room"]
    azimuth, _ = sun_at(site, datetime.fromtimestamp(spell.start, UTC))
    assert azimuth == pytest.approx(250 - 90, abs=0.05)
    _, elevation = sun_at(site, datetime.fromtimestamp(spell.end, UTC))
    assert elevation == pytest.approx(0, abs=0.05)


# --- bungalow: eaves, a neighbour, a maple


def test_bungalow_eaves_shade_the_south_in_june_and_let_the_sun_in_in_december():
    site = sample("bungalow")
    for name in ("living room", "dining room"):
        window = site.window(name)
        for day, covered in ((JUNE, True), (DECEMBER, False)):
            at = noon(site, day)
            assert (shadow_below(window, *sun_at(site, at)) > window.height) is covered
            assert holds(exposures("bungalow", day, day)[name], at) is not covered


def test_bungalow_neighbour_holds_back_the_morning():
    """Below the line from the glass's top to the ridge no sun can be on the bedroom."""
    site, day = sample("bungalow"), JUNE
    window, neighbour = site.window("bedroom"), site.obstacles[0]
    east = min(corner[0] for corner in neighbour.footprint) - window.position[0]
    rise = neighbour.top - (window.floor + window.sill + window.height)
    spells = exposures("bungalow", day, day)["bedroom"]
    first = datetime.fromtimestamp(spells[0].start, UTC)
    azimuth, elevation = sun_at(site, first)
    assert 60 < azimuth < 110  # the footprint spans this from the window, with room to spare
    along = math.sin(math.radians(azimuth))  # of a metre of the sun's ray, this much is east
    assert elevation > math.degrees(math.atan2(rise * along, east)) - 0.5
    assert elevation > 5  # higher than what the beam threshold asks for


def test_bungalow_maple_takes_evening_sun_from_the_kitchen_while_in_leaf():
    """In leaf a tenth of the beam comes through, which never counts here."""
    site = sample("bungalow")
    bare = site.model_copy(update={"trees": ()})
    kitchen, maple = site.window("kitchen"), site.trees[0]
    east, north = (at - here for at, here in zip(maple.trunk, kitchen.position, strict=True))
    trunk = math.degrees(math.atan2(east, north)) % 360
    for day, least in ((JUNE, 3600), (date(2027, 3, 25), 0)):
        days = dates_bounds(day, day, site.place.zone)
        found = (
            find_exposures(house, days.start, days.end, windows=[kitchen])["kitchen"]
            for house in (site, bare)
        )
        seconds = [sum(spell.seconds for spell in spells) for spells in found]
        suns = [(moment, *sun_at(site, moment)) for moment in moments(site, day, day)]
        behind = [at for at, azimuth, up in suns if up > 10 and abs(azimuth - trunk) < 5]
        assert bool(behind) is (least > 0)  # in March the sun sets before it gets that far
        assert least <= seconds[1] - seconds[0] < max(1200, 4 * least)
        assert not any(holds(exposures("bungalow", day, day)["kitchen"], at) for at in behind)


# --- terrace: the sun stands in the north, and summer is in January


@pytest.mark.parametrize("month", range(1, 13))
def test_terrace_has_noon_sun_in_the_north(month):
    site, day = sample("terrace"), date(2027, month, 21)
    at = noon(site, day)
    azimuth, elevation = sun_at(site, at)
    assert min(azimuth, 360 - azimuth) < 1
    if month in (6, 12):  # the obliquity of the ecliptic is 23.44 degrees
        assert elevation == pytest.approx(90 - 42.88 + (23.44 if month == 12 else -23.44), abs=0.05)
    found = exposures("terrace", day, day)
    assert holds(found["study"], at)
    assert not holds(found["bedroom"], at)


# --- corner flat: the sun changes sides over the year


@pytest.mark.parametrize(
    ("name", "month"), [("living room", 12), ("bedroom", 6)], ids=["north side", "south side"]
)
def test_corner_flat_has_no_sun_on_the_far_side(name, month):
    site, day = sample("corner_flat"), date(2027, month, 21)
    window = site.window(name)
    for moment in moments(site, day, day):
        azimuth, elevation = sun_at(site, moment)
        # All day it is behind the wall.
        assert elevation < 0 or abs(turned(azimuth, window)) > 90
    assert exposures("corner_flat", day, day, GEOMETRY)[name] == []
    assert exposures("corner_flat", day, day)["bedroom" if month == 12 else "living room"]


@pytest.mark.parametrize(("name", "month"), [("living room", 6), ("bedroom", 12)])
def test_corner_flat_balcony_above_keeps_the_noon_sun_off(name, month):
    site, day = sample("corner_flat"), date(2027, month, 21)
    window, at = site.window(name), noon(site, day)
    azimuth, elevation = sun_at(site, at)
    assert abs(turned(azimuth, window)) < 15
    assert shadow_below(window, azimuth, elevation) > 0.98 * window.height
    assert not holds(exposures("corner_flat", day, day)[name], at)


def test_corner_flat_study_has_afternoon_sun_in_every_month():
    for month in range(1, 13):
        day = date(2027, month, 15)
        at = noon(sample("corner_flat"), day) + timedelta(hours=3)
        assert holds(exposures("corner_flat", day, day)["study"], at)


# --- arctic flat: midnight sun and polar night


def test_arctic_flat_has_no_sun_in_polar_night():
    site, first, last = sample("arctic_flat"), date(2026, 12, 1), date(2027, 1, 10)
    highest = max(sun_at(site, moment)[1] for moment in moments(site, first, last)[::6])
    assert highest < -0.3
    assert exposures("arctic_flat", first, last, GEOMETRY) == {"roof window": [], "bedroom": []}


def test_arctic_flat_has_the_midnight_sun_through_the_gable():
    site, first, last = sample("arctic_flat"), date(2027, 6, 20), date(2027, 6, 22)
    lowest = noon(site, date(2027, 6, 21)) + timedelta(hours=12)
    azimuth, elevation = sun_at(site, lowest)
    assert min(azimuth, 360 - azimuth) < 1
    assert 2.5 < elevation < 4  # 69.65 + 23.44 - 90, and the refraction
    need = site.need_of(site.shades[1])
    assert need.beam == 0
    spells = exposures("arctic_flat", first, last, need)["bedroom"]
    (across,) = (spell for spell in spells if spell.start <= lowest.timestamp() < spell.end)
    # From the end of the neighbour's gable at 334 to the plane of the wall at 340 + 90, where the
    # sun goes round by about a degree in four minutes.
    assert across.end - across.start == pytest.approx(96 * 240, rel=0.1)


def test_arctic_flat_roof_window_has_sun_that_a_wall_would_not():
    """At noon the roof's western slope is in sun; a wall that looks the same way is not, yet."""
    site, day = sample("arctic_flat"), JUNE
    window, at = site.window("roof window"), noon(site, day) - timedelta(hours=2)
    azimuth, _ = sun_at(site, at)
    assert abs(turned(azimuth, window)) > 90
    assert holds(exposures("arctic_flat", day, day)["roof window"], at)
