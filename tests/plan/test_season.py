"""The stages put together: dates and a site in, spells and plans out."""

from __future__ import annotations

import tracemalloc
from collections.abc import Iterable, Iterator, Sequence
from datetime import date, time
from typing import Any

import numpy as np
import pandas as pd
import pvlib
import pytest
from command_line import HOME

from suncover.base.clock import dates_bounds, local_date, season_spells
from suncover.base.errors import RequestError
from suncover.base.spell import Spell, intersect, overlap_seconds, subtract, union
from suncover.export.files import spells_csv
from suncover.facade import exposure
from suncover.facade import hours as sun_hours
from suncover.facade.search import window_search
from suncover.plan import season
from suncover.site.file.sitefile import site_from_text
from suncover.site.model import MonthDay, Need, Place, Shade, ShadeNeed, Site, Spot, Window

FIRST, LAST = date(2026, 4, 10), date(2026, 4, 20)
HOUSE = site_from_text(HOME)
ZONE = HOUSE.place.zone

EAST = Window(name="east", azimuth=80, width=1, height=1)
WEST = Window(name="west", azimuth=260, width=1, height=1)


def house(*shades: Shade, need: Need | None = None, spots: tuple[Spot, ...] = ()) -> Site:
    return Site(
        place=Place(name="Two sides", latitude=36.1, longitude=-79.95),
        need=need or Need(),
        windows=(EAST, WEST),
        shades=shades,
        spots=spots,
    )


class Counter:
    """Watches the work and counts its pieces."""

    def __init__(self) -> None:
        self.pieces = 0

    def __call__(self, pieces: Sequence[Any]) -> Iterator[Any]:
        self.pieces += len(pieces)
        return iter(pieces)


def test_hours_agree_with_pvlib_at_every_minute() -> None:
    """A bare window is in sun while the sun is up and within 90 degrees of its normal.

    pvlib's SPA and angle of incidence, asked at every minute; a minute either side of an end may
    fall on either side of it.
    """
    site = house(need=Need(beam=0))
    spells = sun_hours.hours(site, FIRST, FIRST)
    span = dates_bounds(FIRST, FIRST, ZONE)
    minutes = np.arange(span.start, span.end, 60)
    index = pd.DatetimeIndex(pd.to_datetime(minutes, unit="s", utc=True))
    sun = pvlib.solarposition.get_solarposition(index, 36.1, -79.95, altitude=0)
    for window in (EAST, WEST):
        aoi = pvlib.irradiance.aoi(90, window.azimuth, sun["apparent_zenith"], sun["azimuth"])
        lit = np.asarray((sun["apparent_elevation"] > 0) & (aoi < 90))
        mine = np.zeros(len(minutes), dtype=bool)
        for spell in spells[window.name]:
            mine |= (spell.start <= minutes) & (minutes < spell.end)
        assert lit.any()
        assert np.array_equal(lit, mine)


def test_hours_are_cut_at_the_first_and_last_day() -> None:
    """Under the midnight sun a flat roof window has sun without a break."""
    flat = Window(name="roof", azimuth=0, tilt=0, width=1, height=1)
    place = Place(name="North", latitude=70, longitude=25, timezone="Europe/Oslo")
    site = Site(place=place, need=Need(beam=0), windows=(flat,))
    first, last = date(2026, 6, 20), date(2026, 6, 22)
    assert sun_hours.hours(site, first, last) == {"roof": (dates_bounds(first, last, place.zone),)}


def test_hours_of_some_windows_come_in_the_order_of_the_site() -> None:
    site = house()
    assert list(sun_hours.hours(site, FIRST, FIRST, windows=["west", "east"])) == ["east", "west"]
    assert list(sun_hours.hours(site, FIRST, FIRST, windows=["west"])) == ["west"]


def test_a_higher_beam_shortens_the_hours_and_the_sites_own_is_the_default() -> None:
    site = house(need=Need(beam=300))
    lengths = [
        sum(spell.seconds for spell in sun_hours.hours(site, FIRST, FIRST, beam=beam)["east"])
        for beam in (0, 120, 300, 600)
    ]
    assert lengths == sorted(lengths, reverse=True)
    assert len(set(lengths)) == 4
    assert sun_hours.hours(site, FIRST, FIRST) == sun_hours.hours(site, FIRST, FIRST, beam=300)


@pytest.mark.parametrize("beam", [-1.0, float("nan"), float("inf")])
def test_a_beam_that_cannot_be_is_refused(beam: float) -> None:
    with pytest.raises(RequestError, match="give 0 or more"):
        sun_hours.hours(house(), FIRST, FIRST, beam=beam)
    with pytest.raises(RequestError, match="give 0 or more"):
        season.reaches(house(), {}, beam=beam)


def test_an_unknown_window_is_refused_with_the_nearest_name() -> None:
    with pytest.raises(RequestError, match=r'no window is named "eastt", did you mean "east"\?'):
        sun_hours.hours(house(), FIRST, FIRST, windows=["eastt"])


@pytest.mark.parametrize("stage", [sun_hours.hours, sun_hours.spots, season.season_plan])
def test_dates_that_run_backwards_are_refused(stage: Any) -> None:
    with pytest.raises(RequestError, match="before the first"):
        stage(HOUSE, LAST, FIRST)


def test_spots_have_sun_only_while_their_window_has() -> None:
    windows = sun_hours.hours(HOUSE, FIRST, LAST)
    spots = sun_hours.spots(HOUSE, FIRST, LAST)
    assert list(spots) == ["desk"]
    assert spots["desk"]
    assert subtract(spots["desk"], windows["study"]) == ()


def test_a_site_without_spots_has_no_sun_on_them() -> None:
    assert sun_hours.spots(house(), FIRST, LAST) == {}


def test_a_shade_has_its_sun_by_its_own_need_and_by_the_sites() -> None:
    strong = Shade(name="strong", windows=("east", "west"), need=ShadeNeed(beam=500))
    (sun,) = season.shade_sun(house(strong), FIRST, LAST)
    own = sun_hours.hours(house(), FIRST, LAST, beam=500)
    sites = sun_hours.hours(house(), FIRST, LAST)
    assert sun.shade is strong
    assert sun.needed == own
    assert sun.counted == union([*sites["east"], *sites["west"]])


@pytest.mark.parametrize(
    ("needs", "times"),
    [
        pytest.param([None, None], 1, id="the same need for both"),
        pytest.param([None, ShadeNeed(season=(MonthDay(5, 1), MonthDay(6, 1)))], 1, id="season"),
        pytest.param([None, ShadeNeed(beam=200)], 2, id="beam"),
        pytest.param([ShadeNeed(fraction=0.5), ShadeNeed(beam=200)], 3, id="each its own"),
    ],
)
def test_a_window_is_worked_out_once_for_each_need(
    needs: list[ShadeNeed | None], times: int
) -> None:
    shades = [
        Shade(name=f"shade {number}", windows=("east",), need=need)
        for number, need in enumerate(needs)
    ]
    rest = Shade(name="rest", windows=("west",))
    counter = Counter()
    season.shade_sun(house(*shades, rest), FIRST, FIRST, watch=counter)
    assert counter.pieces == times + 1


def test_the_watch_goes_on_in_step_with_the_work(monkeypatch: pytest.MonkeyPatch) -> None:
    seen: list[str] = []
    finish = exposure.rounded

    def finished(intervals: Any) -> Any:
        seen.append("done")
        return finish(intervals)

    def watch(windows: Sequence[Any]) -> Iterator[Any]:
        for window in windows:
            seen.append(window.name)
            yield window
        seen.append("end")

    monkeypatch.setattr(exposure, "rounded", finished)
    sun_hours.hours(house(), FIRST, FIRST, watch=watch)
    assert seen == ["east", "done", "west", "done", "end"]
    seen.clear()
    strong = Shade(name="strong", windows=("east",), need=ShadeNeed(beam=500))
    season.shade_sun(house(strong), FIRST, FIRST, watch=watch)
    assert seen == ["east", "done", "east", "done", "west", "done", "end"]


def seconds(spells: Iterable[Spell]) -> int:
    return sum(spell.seconds for spell in spells)


def test_a_closing_begins_travel_and_lead_before_the_sun_and_ends_lag_after_it() -> None:
    shade = Shade(name="both", windows=("east", "west"), travel=75, lead=3, lag=4, merge=0)
    site = house(shade)
    (plan,) = season.season_plan(site, FIRST, FIRST)
    sun = sun_hours.hours(site, FIRST, FIRST)
    assert [(closing.close, closing.open) for closing in plan.closings] == [
        (spell.start - 75 - 180, spell.end + 240) for spell in union([*sun["east"], *sun["west"]])
    ]
    assert [closing.sun_seconds for closing in plan.closings] == [
        spell.seconds for spell in union([*sun["east"], *sun["west"]])
    ]
    assert {closing.shade for closing in plan.closings} == {"both"}


def test_windows_that_no_shade_names_get_a_plan_of_their_own() -> None:
    assert [plan.shade for plan in season.season_plan(HOUSE, FIRST, FIRST)] == [
        "kitchen roller",
        "study",
    ]


def test_only_closings_dated_in_the_season_are_planned() -> None:
    kitchen, study = season.season_plan(HOUSE, FIRST, LAST)
    for plan in (kitchen, study):
        assert [closing.date for closing in plan.closings] == [
            date(2026, 4, day) for day in range(15, 21)
        ]
        assert plan.uncovered == ()


def test_all_sun_of_the_season_is_covered_or_named_as_let_in() -> None:
    days = (MonthDay(4, 12), MonthDay(4, 18))
    quiet = (time(19, 0), time(9, 0))
    need = Need(season=days)
    late = Shade(name="late", windows=("east",), quiet=quiet, in_quiet="late", travel=60)
    early = Shade(name="early", windows=("east",), quiet=quiet, travel=60)
    short = Shade(name="short", windows=("west",), shortest=400)
    site = house(late, early, short, need=need)
    sun = sun_hours.hours(site, FIRST, LAST)
    in_season = season_spells(days, FIRST, LAST, ZONE)
    rules = set()
    for plan in season.season_plan(site, FIRST, LAST):
        window = "west" if plan.shade == "short" else "east"
        asked = intersect(sun[window], in_season)
        closed = union(Spell(closing.close, closing.open) for closing in plan.closings)
        named = tuple(Spell(part.start, part.end) for part in plan.uncovered)
        assert subtract(asked, closed) == named
        rules |= {part.rule for part in plan.uncovered}
    assert rules == {"quiet", "season", "shortest"}


def test_sun_minutes_count_by_the_sites_need_whatever_the_shades_own() -> None:
    weak = Shade(name="weak", windows=("east",), need=ShadeNeed(beam=0), travel=60)
    site = house(weak, need=Need(beam=400))
    (plan, _) = season.season_plan(site, FIRST, FIRST)
    (closing,) = plan.closings
    sites = sun_hours.hours(site, FIRST, FIRST)["east"]
    own = sun_hours.hours(site, FIRST, FIRST, beam=0)["east"]
    assert closing.sun_seconds == seconds(sites) < seconds(own)
    assert closing.close == own[0].start - 60 - 120


def test_sun_minutes_leave_out_what_lies_outside_the_closing() -> None:
    """By the shade's own need it closes for strong sun only; the site counts weaker sun too."""
    strong = Shade(name="strong", windows=("east",), need=ShadeNeed(beam=600))
    site = house(strong)
    (plan, _) = season.season_plan(site, FIRST, FIRST)
    (closing,) = plan.closings
    sites = sun_hours.hours(site, FIRST, FIRST)["east"]
    assert closing.sun_seconds == overlap_seconds(sites, [Spell(closing.close, closing.open)])
    assert closing.sun_seconds < seconds(sites)


def test_a_closing_for_the_first_morning_may_begin_the_evening_before() -> None:
    early = Shade(name="early", windows=("east",), quiet=(time(20, 0), time(9, 0)), travel=60)
    site = house(early)
    (plan, _) = season.season_plan(site, FIRST, FIRST)
    (closing,) = plan.closings
    assert closing.date == date(2026, 4, 9)
    assert local_date(closing.open, ZONE) == FIRST


DESK = Spot(name="desk", window="west", distance=1.2, height=0.3)


def test_a_shade_for_glare_closes_for_its_spot_and_not_for_other_sun() -> None:
    need = ShadeNeed(purposes=("glare",))
    shade = Shade(name="west", windows=("west",), need=need, shortest=0, merge=0)
    site = house(shade, spots=(DESK,))
    east, west = season.shade_sun(site, FIRST, LAST)
    if east.shade.name != "east":
        east, west = west, east
    assert east.wants is None
    assert west.wants is not None
    on_desk = sun_hours.spots(site, FIRST, LAST)["desk"]
    assert tuple(want.spell for want in west.wants) == on_desk
    (plan,) = season.plans_for(site, [west])
    closed = union(Spell(closing.close, closing.open) for closing in plan.closings)
    assert subtract(on_desk, closed) == ()
    assert seconds(closed) == seconds(on_desk) + len(on_desk) * 240
    sun = sun_hours.hours(site, FIRST, LAST)["west"]
    assert [c.sun_seconds for c in plan.closings] == [overlap_seconds(sun, [c]) for c in closed]


def test_reaches_and_doses_of_a_site() -> None:
    site = house(spots=(DESK,))
    spells = sun_hours.hours(site, FIRST, FIRST)
    found = season.reaches(site, spells)
    assert {name: len(each) for name, each in found.items()} == {"east": 1, "west": 1}
    assert season.reaches(site, spells, height=0.5)["west"][0] < found["west"][0]
    (dose,) = season.doses(site, FIRST, LAST)
    assert dose.spot == "desk"
    # By default the shade is down for all sun above 120 W/m²; what is left is weaker.
    assert 0 < dose.kwh_left_per_m2 < 0.05 * dose.kwh_per_m2


def test_hours_need_no_more_memory_for_more_windows(monkeypatch: pytest.MonkeyPatch) -> None:
    """The most that is held while the table is written, beside the site."""
    monkeypatch.setattr(window_search, "POOL", 8)
    monkeypatch.setattr(spells_csv, "ROWS_AT_ONCE", 1000)

    def most(windows: int) -> int:
        site = house().model_copy(
            update={
                "windows": tuple(
                    Window(name=f"w{number}", azimuth=number * 37 % 360, width=1, height=1)
                    for number in range(windows)
                )
            }
        )
        window_search._sky_intervals.cache_clear()  # each finds the sky's for itself
        tracemalloc.start()
        rows = sun_hours.hours_seconds(site, date(2027, 1, 1), date(2027, 12, 31))
        size = sum(map(len, spells_csv.hours_pieces(rows, site.place.zone)))
        peak = tracemalloc.get_traced_memory()[1]
        tracemalloc.stop()
        assert size > windows * 10_000
        return peak

    most(1)  # what is loaded once
    few = most(16)
    assert few > 1_000_000
    assert most(64) < 1.1 * few
