"""The site's models: defaults, limits, what is worked out from them."""

from __future__ import annotations

import re
from datetime import time
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from pydantic import ValidationError
from site_texts import WHOLE, WHOLE_SITE

from suncover.base.errors import RequestError
from suncover.facade.exposure import glass_of
from suncover.site.file.sitefile import site_from_text
from suncover.site.model import (
    MOST_FINS,
    Canopy,
    Fin,
    MonthDay,
    Need,
    Obstacle,
    Overhang,
    Place,
    Shade,
    ShadeNeed,
    Site,
    Tree,
    Window,
)
from suncover.site.rules import entries as site_rules

PLACE = Place(name="Larkspur Lane", latitude=36.1, longitude=-79.95)


def window(name: str, **more: Any) -> Window:
    return Window(name=name, **{"azimuth": 95.0, "width": 1.2, "height": 1.4, **more})


def shade(name: str, *windows: str, **more: Any) -> Shade:
    return Shade(name=name, windows=windows, **more)


def test_a_site_is_fixed() -> None:
    with pytest.raises(ValidationError, match="frozen"):
        WHOLE_SITE.place.latitude = 0.0  # type: ignore[misc]


def test_equal_sites_have_equal_hashes() -> None:
    copy = Site.model_validate_json(WHOLE_SITE.model_dump_json(by_alias=True))
    assert copy == WHOLE_SITE
    assert hash(copy) == hash(WHOLE_SITE)
    assert len({copy, WHOLE_SITE, WHOLE_SITE.model_copy(update={"need": Need(beam=1.0)})}) == 2


def test_a_zone_that_is_stated_is_taken() -> None:
    place = Place(name="x", latitude=36.1, longitude=-79.95, timezone="America/Denver")
    assert place.zone_name == "America/Denver"
    assert place.zone == ZoneInfo("America/Denver")


def test_a_zone_that_is_left_out_is_found_from_the_coordinates() -> None:
    assert PLACE.zone_name == "America/New_York"
    moved = PLACE.model_copy(update={"latitude": -41.29, "longitude": 174.78})
    assert moved.zone == ZoneInfo("Pacific/Auckland")


@pytest.mark.parametrize(
    ("latitude", "longitude"), [(90, 0), (-90, 180), (0, -180), (0, 180)], ids=str
)
def test_the_ends_of_the_earth_are_places(latitude: float, longitude: float) -> None:
    assert Place(name="x", latitude=latitude, longitude=longitude).zone_name


def test_windows_that_no_shade_names_get_one_of_their_own_at_the_end() -> None:
    site = Site(
        place=PLACE,
        windows=(window("a"), window("b"), window("c")),
        shades=(shade("roller", "b", travel=60.0),),
    )
    assert site.all_shades() == (site.shades[0], shade("a", "a"), shade("c", "c"))
    assert site.all_shades()[1] == Shade(
        name="a", windows=("a",), travel=0.0, lead=2.0, lag=2.0, merge=30.0, shortest=10.0
    )


def test_a_window_is_found_by_its_name() -> None:
    site = Site(place=PLACE, windows=(window("kitchen"), window("study")))
    assert site.window("study") is site.windows[1]
    with pytest.raises(RequestError) as caught:
        site.window("kichen")
    assert str(caught.value) == 'no window is named "kichen", did you mean "kitchen"?'
    with pytest.raises(RequestError) as caught:
        site.window("loft")
    assert str(caught.value) == 'no window is named "loft"'


SEASON = (MonthDay(4, 15), MonthDay(10, 15))
WINTER = (MonthDay(11, 1), MonthDay(2, 28))


@pytest.mark.parametrize(
    ("own", "expected"),
    [
        (None, Need(beam=150.0, fraction=0.1, season=SEASON)),
        (ShadeNeed(), Need(beam=150.0, fraction=0.1, season=SEASON)),
        (ShadeNeed(beam=0.0), Need(beam=0.0, fraction=0.1, season=SEASON)),
        (ShadeNeed(fraction=0.0), Need(beam=150.0, fraction=0.0, season=SEASON)),
        (ShadeNeed(season=WINTER), Need(beam=150.0, fraction=0.1, season=WINTER)),
    ],
    ids=["none", "empty", "beam 0", "fraction 0", "season"],
)
def test_a_shades_need_takes_the_rest_from_the_site(own: ShadeNeed | None, expected: Need) -> None:
    site = Site(
        place=PLACE,
        need=Need(beam=150.0, fraction=0.1, season=SEASON),
        windows=(window("a"),),
        shades=(shade("roller", "a", need=own),),
    )
    assert site.need_of(site.shades[0]) == expected


def test_lengths_may_carry_their_unit_in_python_too() -> None:
    made = window("a", width="4 ft 2 in", position=("1 ft", -2))
    assert made.width == pytest.approx(1.27, abs=0)
    assert made.position == (0.3048, -2.0)


def test_the_skyline_is_ordered_by_azimuth_and_a_step_keeps_its_order() -> None:
    made = window("a", skyline=((90, 20), (30, 5), (90, 10), (360, 3), (0, 4)))
    assert made.skyline == ((0.0, 4.0), (30.0, 5.0), (90.0, 20.0), (90.0, 10.0), (360.0, 3.0))


def test_a_tree_without_a_value_for_bare_is_as_in_leaf() -> None:
    tree = {"name": "t", "trunk": (0, 0), "width": 4, "bottom": 2, "top": 8, "leaf": 0.2}
    assert Tree(**tree).bare == 0.2
    assert Tree(**tree, bare=0.7).bare == 0.7


def test_a_footprint_may_repeat_its_first_corner_at_the_end() -> None:
    corners = ((0.0, 0.0), (2.0, 0.0), (2.0, 2.0))
    assert Obstacle(name="o", footprint=(*corners, corners[0]), top=1.0).footprint == corners


def test_an_overhang_may_stop_short_of_the_glass_but_must_have_some_width() -> None:
    short = Overhang(depth=1.0, left=-0.5, right=-0.5)
    assert window("a", overhang=short).overhang == short
    with pytest.raises(ValidationError, match="leave nothing of the overhang"):
        window("a", width=1.0, overhang=short)
    endless = Overhang(depth=1.0, left=-5.0)
    assert window("a", overhang=endless).overhang == endless


def test_no_more_fins_than_their_shadows_can_be_computed_of() -> None:
    fins = [Fin(side="left", depth=0.1 * number) for number in range(1, MOST_FINS + 1)]
    fins += [fin.model_copy(update={"side": "right"}) for fin in fins]
    overhang = Overhang(depth=1.0)
    most = Window(name="w", azimuth=0, width=1, height=1, fins=tuple(fins), overhang=overhang)
    assert len(glass_of(most).plates) == 2 * MOST_FINS + 1
    with pytest.raises(ValidationError, match="8 fins on the right; at most 7 a side"):
        Window(name="w", azimuth=0, width=1, height=1, fins=(*fins, fins[-1]))


def test_a_fin_may_stop_short_of_the_glass_but_must_have_some_height() -> None:
    fins = (Fin(side="left", depth=1.0), Fin(side="right", depth=1.0, above=-0.7, below=-0.7))
    with pytest.raises(ValidationError, match="leave nothing of fin 2"):
        window("a", fins=fins)
    assert window("a", height=1.5, fins=fins).fins == fins


@pytest.mark.parametrize(
    ("entries", "message"),
    [
        pytest.param(
            {"windows": (window("a"), window("a"))},
            '[[window]] 2: [[window]] 1 has the name "a" too; give each its own',
            id="two windows of one name",
        ),
        pytest.param(
            {"shades": (shade("r", "b"),)}, '[[shade]] 1: no window is named "b"', id="unknown"
        ),
        pytest.param(
            {"shades": (shade("r", "a", "a"),)},
            '[[shade]] 1: the window "a" is named twice; name it once',
            id="window twice",
        ),
    ],
)
def test_a_site_made_in_python_keeps_the_rules_between_entries(
    entries: dict[str, Any], message: str
) -> None:
    with pytest.raises(ValidationError, match=re.escape(message)):
        Site(**{"place": PLACE, "windows": (window("a"),), **entries})


def test_a_site_made_in_python_has_its_canopies_as_overhangs_and_is_not_changed_again() -> None:
    porch = Canopy(name="porch", windows=("a",), height=3, depth=2)
    site = Site(place=PLACE, windows=(window("a"),), canopies=(porch,))
    assert site.windows[0].overhang == Overhang(depth=2, gap=1.6)
    assert Site.model_validate(dict(site)) == site


def test_the_rules_between_tables_are_gone_through_once_a_load(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    calls: list[object] = []
    monkeypatch.setattr(site_rules, "rule_findings", lambda facts: calls.append(facts) or iter(()))
    site_from_text(WHOLE)
    assert len(calls) == 1


@pytest.mark.parametrize(
    ("written", "day"),
    [("02-29", MonthDay(2, 29)), ("12-31", MonthDay(12, 31)), ((4, 15), MonthDay(4, 15))],
    ids=str,
)
def test_days_of_the_year(written: Any, day: MonthDay) -> None:
    assert Need(season=(written, written)).season == (day, day)
    assert str(MonthDay(2, 9)) == "02-09"


@pytest.mark.parametrize(
    "written", ["02-30", "04-31", "13-01", "00-10", "4-15", "04/15", 415, (4, 31), ("4", 15), True]
)
def test_what_is_no_day_of_the_year(written: Any) -> None:
    with pytest.raises(ValidationError, match="day"):
        Need(season=(written, "01-01"))


@pytest.mark.parametrize(
    ("written", "moment"),
    [("00:00", time(0)), ("23:59", time(23, 59)), ("21:30:15", time(21, 30, 15))],
)
def test_times_of_day(written: Any, moment: time) -> None:
    assert shade("r", "a", quiet=(written, time(12))).quiet == (moment, time(12))


@pytest.mark.parametrize("written", ["24:00", "9:30", "21.30", "21:60", "21:30+01:00", 2130])
def test_what_is_no_time_of_day(written: Any) -> None:
    with pytest.raises(ValidationError, match=r"is not (a time of day|between 00:00 and 23:59)"):
        shade("r", "a", quiet=(written, "12:00"))
