"""The stages put together: dates and a site in, spells and plans out."""

import tracemalloc
from collections.abc import Iterator, Sequence
from datetime import date
from typing import Any

import pytest
from command_line import HOME
from plan_cases import home

from suncover.base.spell import Spell, overlap_seconds, subtract, total_seconds, union
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


def test_a_shade_has_its_sun_by_its_own_need_and_by_the_sites():
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
def test_a_window_is_worked_out_once_for_each_need(needs, times):
    shades = [
        Shade(name=f"shade {number}", windows=("east",), need=need)
        for number, need in enumerate(needs)
    ]
    rest = Shade(name="rest", windows=("west",))
    counter = Counter()
    season.shade_sun(house(*shades, rest), FIRST, FIRST, watch=counter)
    assert counter.pieces == times + 1


def test_the_watch_goes_on_in_step_with_the_work(monkeypatch):
    seen: list[str] = []
    finish = exposure.rounded

    def finished(intervals):
        seen.append("done")
        return finish(intervals)

    def watch(windows):
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


def test_sun_minutes_count_by_the_sites_need_whatever_the_shades_own():
    weak = Shade(name="weak", windows=("east",), need=ShadeNeed(beam=0), travel=60)
    site = house(weak, need=Need(beam=400))
    (plan, _) = season.season_plan(site, FIRST, FIRST)
    (closing,) = plan.closings
    sites = sun_hours.hours(site, FIRST, FIRST)["east"]
    own = sun_hours.hours(site, FIRST, FIRST, beam=0)["east"]
    assert closing.sun_seconds == total_seconds(sites) < total_seconds(own)
    assert closing.close == own[0].start - 60 - 120


DESK = Spot(name="desk", window="west", distance=1.2, height=0.3)


def test_a_shade_for_glare_closes_for_its_spot_and_not_for_other_sun():
    need = ShadeNeed(purposes=("glare",))
    shade = Shade(name="west", windows=("west",), need=need, shortest=0, merge=0)
    site = house(shade, spots=(DESK,))
    east, west = season.shade_sun(site, FIRST, LAST)
    if east.shade.name != "east":
        east, west = west, east
    assert east.wants is None
    on_desk = sun_hours.spots(site, FIRST, LAST)["desk"]
    assert tuple(want.spell for want in west.wants) == on_desk
    (plan,) = season.plans_for(site, [west])
    closed = union(Spell(closing.close, closing.open) for closing in plan.closings)
    assert subtract(on_desk, closed) == ()
    assert total_seconds(closed) == total_seconds(on_desk) + len(on_desk) * 240
    sun = sun_hours.hours(site, FIRST, LAST)["west"]
    assert [c.sun_seconds for c in plan.closings] == [overlap_seconds(sun, [c]) for c in closed]


def test_reaches_and_doses_of_a_site():
    site = house(spots=(DESK,))
    spells = sun_hours.hours(site, FIRST, FIRST)
    found = season.reaches(site, spells)
    assert {name: len(each) for name, each in found.items()} == {"east": 1, "west": 1}
    assert season.reaches(site, spells, height=0.5)["west"][0] < found["west"][0]
    (dose,) = season.doses(site, FIRST, LAST)
    assert dose.spot == "desk"
    # By default the shade is down for all sun above 120 W/m²; what is left is weaker.
    assert 0 < dose.kwh_left_per_m2 < 0.05 * dose.kwh_per_m2


def test_hours_need_no_more_memory_for_more_windows(monkeypatch):
    """The most that is held while the table is written, beside the site."""
    monkeypatch.setattr(window_search, "POOL", 8)
    monkeypatch.setattr(spells_csv, "ROWS_AT_ONCE", 1000)

    def most(number):
        names = {f"w{n}": {"azimuth": n * 37 % 360, "width": 1, "height": 1} for n in range(number)}
        site = home(names)
        window_search._sky_intervals.cache_clear()  # each finds the sky's for itself
        tracemalloc.start()
        rows = sun_hours.hours_seconds(site, date(2027, 1, 1), date(2027, 12, 31))
        size = sum(map(len, spells_csv.hours_pieces(rows, site.place.zone)))
        peak = tracemalloc.get_traced_memory()[1]
        tracemalloc.stop()
        assert size > number * 10_000
        return peak

    most(1)  # what is loaded once
    few = most(16)
    assert few > 1_000_000
    assert most(64) < 1.1 * few
