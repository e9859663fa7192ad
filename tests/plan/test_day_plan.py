"""One day: the same closings as the season's plan, and the sun's own hours."""

from datetime import date, time, timedelta

import pandas as pd
import pvlib
import pytest

from suncover.base.clock import FIRST_DATE, LAST_DATE, clock_text, day_bounds
from suncover.base.errors import RequestError
from suncover.base.spell import Spell, intersect
from suncover.plan.closings.shade_plan import Closing
from suncover.plan.day_plan import plan_day, sun_day
from suncover.plan.season import season_plan, shade_sun
from suncover.site.model import Group, MonthDay, Need, Place, Shade, Site, Supply, Window

GREENSBORO = Place(name="Larkspur Lane", latitude=36.1, longitude=-79.95)
TROMSO = Place(name="Nordly", latitude=69.65, longitude=18.96, timezone="Europe/Oslo")

# pvlib's SPA gives the same height to 0.001 degree, and the sun climbs at most 15 arc seconds a
# second: half a second from the horizon, where whole seconds are cut, is 0.0021 degree.
HORIZON_DEG = 0.001 + 0.0021


def sunny(place: Place, *shades: Shade, season: tuple[MonthDay, MonthDay] | None = None) -> Site:
    windows = (
        Window(name="east", azimuth=85, width=1, height=1),
        Window(name="roof", azimuth=0, tilt=0, width=1, height=1),
    )
    return Site(place=place, need=Need(season=season), windows=windows, shades=shades)


def touching(closings: tuple[Closing, ...], day: Spell) -> tuple[Closing, ...]:
    return tuple(c for c in closings if c.close < day.end and c.open > day.start)


@pytest.mark.parametrize(
    ("place", "day"),
    [
        (GREENSBORO, date(2026, 6, 1)),
        (GREENSBORO, date(2026, 3, 8)),
        (GREENSBORO, date(2026, 11, 1)),
        (TROMSO, date(2026, 6, 21)),
        (TROMSO, date(2026, 12, 21)),
    ],
    ids=["ordinary", "clocks go forward", "clocks go back", "midnight sun", "polar night"],
)
def test_a_day_has_the_closings_of_the_whole_years_plan(place, day):
    early = Shade(name="early", windows=("east",), travel=60, quiet=(time(21), time(10)))
    roof = Shade(name="roof", windows=("roof",), travel=60, merge=400)
    site = sunny(place, early, roof)
    days = plan_day(site, day)
    plans = season_plan(site, date(2026, 1, 1), date(2026, 12, 31))
    assert [one.shade.name for one in days] == [plan.shade for plan in plans]
    span = day_bounds(day, place.zone)
    assert [one.closings for one in days] == [touching(plan.closings, span) for plan in plans]


BOTH = ("early", "roof")
GROUP, SUPPLY = Group(name="both", shades=BOTH), Supply(name="box", shades=BOTH, gap=900)


@pytest.mark.parametrize(
    "shared", [{"groups": (GROUP,)}, {"supplies": (SUPPLY,)}], ids=["a group", "a supply"]
)
def test_a_day_has_what_its_shades_share(shared):
    early = Shade(name="early", windows=("east",), travel=240)
    roof = Shade(name="roof", windows=("roof",), travel=240)
    alone = sunny(GREENSBORO, early, roof)
    site = alone.model_copy(update=shared)
    day = date(2026, 6, 1)
    span = day_bounds(day, GREENSBORO.zone)
    plans = season_plan(site, day - timedelta(days=5), day + timedelta(days=5))
    days = plan_day(site, day)
    assert [one.closings for one in days] == [touching(p.closings, span) for p in plans]
    assert [one.closings for one in days] != [one.closings for one in plan_day(alone, day)]


def test_a_days_sun_is_that_of_its_windows_within_the_day():
    """Where the sun stays up, a shade over a roof window stays down, through many midnights."""
    site = sunny(TROMSO, Shade(name="both", windows=("east", "roof"), merge=400))
    day = date(2026, 6, 21)
    span = day_bounds(day, TROMSO.zone)
    (one,) = plan_day(site, day)
    (sun,) = shade_sun(site, day - timedelta(days=3), day + timedelta(days=3))
    assert one.sun == {name: intersect(spells, [span]) for name, spells in sun.needed.items()}
    assert one.sun["east"]
    assert one.closings[0].open - one.closings[0].close > 60 * 86400


def test_outside_its_season_a_shade_stays_up_though_there_is_sun():
    """In it, what its rules let in is there with the reason."""
    late = Shade(name="late", windows=("east",), quiet=(time(21), time(10)), in_quiet="late")
    site = sunny(GREENSBORO, late, season=(MonthDay(6, 1), MonthDay(8, 31)))
    for day, inside in ((date(2026, 5, 20), False), (date(2026, 6, 20), True)):
        east = plan_day(site, day)[0]
        assert (east.in_season, bool(east.closings)) == (inside, inside)
        assert east.sun["east"]
    (part,) = east.uncovered
    assert (part.rule, clock_text(part.end, GREENSBORO.zone)) == ("quiet", "10:00")


@pytest.mark.parametrize("day", [FIRST_DATE, LAST_DATE])
def test_the_first_and_last_dates_are_days_like_others(day):
    assert plan_day(sunny(GREENSBORO), day)[0].closings
    with pytest.raises(RequestError, match="too far off"):
        plan_day(sunny(GREENSBORO), date(2200, 1, 1))


PLACES = {"Greensboro": (36.1, -79.95), "Wellington": (-41.29, 174.78), "Singapore": (1.3, 103.85)}


@pytest.mark.parametrize("name", PLACES)
@pytest.mark.parametrize("day", [date(2026, 1, 10), date(2026, 6, 1), date(2026, 9, 23)], ids=str)
def test_the_sun_is_up_from_where_pvlib_has_it_at_the_horizon_and_as_high(name, day):
    """pvlib's SPA, apparent elevation of the sun's middle; its greatest of all minutes."""
    where = PLACES[name]
    place = Place(name=name, latitude=where[0], longitude=where[1])
    found, span = sun_day(place, day), day_bounds(day, place.zone)
    (up,) = found.up
    index = pd.to_datetime([up.start, up.end, *range(span.start, span.end, 60)], unit="s", utc=True)
    heights = pvlib.solarposition.get_solarposition(index, *where, altitude=0)["apparent_elevation"]
    assert heights[:2].abs().max() < HORIZON_DEG
    assert found.height == pytest.approx(heights.max(), abs=0.001)


def test_the_midnight_sun_is_up_all_day_and_the_polar_night_not_at_all():
    midsummer, midwinter = date(2026, 6, 21), date(2026, 12, 21)
    assert sun_day(TROMSO, midsummer).up == (day_bounds(midsummer, TROMSO.zone),)
    dark = sun_day(TROMSO, midwinter)
    assert dark.up == ()
    # 90 - 69.65 - 23.44, lifted by refraction at about 3 degrees below the horizon: none.
    assert dark.height == pytest.approx(90 - 69.65 - 23.44, abs=0.02)


def test_a_date_that_the_zone_skips_has_no_sun_and_no_closing():
    """Samoa crossed the date line and had no 30 December 2011 (IANA tz, Pacific/Apia)."""
    samoa = Place(name="Samoa", latitude=-13.83, longitude=-171.76, timezone="Pacific/Apia")
    skipped = date(2011, 12, 30)
    assert sun_day(samoa, skipped).up == ()
    assert [one.closings for one in plan_day(sunny(samoa), skipped)] == [(), ()]
