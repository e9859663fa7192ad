"""The site's models: defaults, limits, what is worked out from them."""

from datetime import time
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


def window(name="a", **more):
    return Window(name=name, **{"azimuth": 95.0, "width": 1.2, "height": 1.4, **more})


def shade(name, *windows, **more):
    return Shade(name=name, windows=windows, **more)


def test_equal_sites_have_equal_hashes():
    copy = Site.model_validate_json(WHOLE_SITE.model_dump_json(by_alias=True))
    assert copy == WHOLE_SITE
    assert hash(copy) == hash(WHOLE_SITE)
    assert len({copy, WHOLE_SITE, WHOLE_SITE.model_copy(update={"need": Need(beam=1.0)})}) == 2


def test_a_zone_is_the_stated_one_or_that_of_the_coordinates():
    place = Place(name="x", latitude=36.1, longitude=-79.95, timezone="America/Denver")
    assert (place.zone_name, place.zone) == ("America/Denver", ZoneInfo("America/Denver"))
    assert PLACE.zone_name == "America/New_York"
    moved = PLACE.model_copy(update={"latitude": -41.29, "longitude": 174.78})
    assert moved.zone == ZoneInfo("Pacific/Auckland")


def test_windows_that_no_shade_names_get_one_of_their_own_at_the_end():
    windows = (window("a"), window("b"), window("c"))
    site = Site(place=PLACE, windows=windows, shades=(shade("roller", "b", travel=60.0),))
    own = {"travel": 0.0, "lead": 2.0, "lag": 2.0, "merge": 30.0, "shortest": 10.0}
    assert site.all_shades() == (site.shades[0], shade("a", "a", **own), shade("c", "c", **own))


def test_a_window_is_found_by_its_name():
    site = Site(place=PLACE, windows=(window("kitchen"), window("study")))
    assert site.window("study") is site.windows[1]
    for name, more in (("kichen", ', did you mean "kitchen"?'), ("loft", "")):
        with pytest.raises(RequestError) as caught:
            site.window(name)
        assert str(caught.value) == f'no window is named "{name}"{more}'


def test_a_shades_need_takes_the_rest_from_the_site():
    summer, winter = (MonthDay(4, 15), MonthDay(10, 15)), (MonthDay(11, 1), MonthDay(2, 28))
    need = Need(beam=150.0, fraction=0.1, season=summer)
    for own in (None, {}, {"beam": 0.0}, {"fraction": 0.0}, {"season": winter}):
        roller = shade("roller", "a", need=None if own is None else ShadeNeed(**own))
        site = Site(place=PLACE, need=need, windows=(window(),), shades=(roller,))
        assert site.need_of(roller) == need.model_copy(update=own or {})


def test_values_are_put_in_order():
    """Lengths with units, a skyline with a step, a tree without `bare`, a footprint that closes."""
    made = window(width="4 ft 2 in", position=("1 ft", -2))
    assert (made.width, made.position) == (1.27, (0.3048, -2.0))
    made = window(skyline=((90, 20), (30, 5), (90, 10), (360, 3), (0, 4)))
    assert made.skyline == ((0.0, 4.0), (30.0, 5.0), (90.0, 20.0), (90.0, 10.0), (360.0, 3.0))
    tree = {"name": "t", "trunk": (0, 0), "width": 4, "bottom": 2, "top": 8, "leaf": 0.2}
    assert (Tree(**tree).bare, Tree(**tree, bare=0.7).bare) == (0.2, 0.7)
    corners = ((0.0, 0.0), (2.0, 0.0), (2.0, 2.0))
    assert Obstacle(name="o", footprint=(*corners, corners[0]), top=1.0).footprint == corners


def test_plates_may_stop_short_of_the_glass_but_must_leave_something():
    short = Overhang(depth=1.0, left=-0.5, right=-0.5)
    assert window(overhang=short).overhang == short
    with pytest.raises(ValidationError, match="leave nothing of the overhang"):
        window(width=1.0, overhang=short)
    endless = Overhang(depth=1.0, left=-5.0)
    assert window(overhang=endless).overhang == endless
    fins = (Fin(side="left", depth=1.0), Fin(side="right", depth=1.0, above=-0.7, below=-0.7))
    with pytest.raises(ValidationError, match="leave nothing of fin 2"):
        window(fins=fins)
    assert window(height=1.5, fins=fins).fins == fins


def test_no_more_fins_than_their_shadows_can_be_computed_of():
    fins = [Fin(side="left", depth=0.1 * number) for number in range(1, MOST_FINS + 1)]
    fins += [fin.model_copy(update={"side": "right"}) for fin in fins]
    assert len(glass_of(window(fins=fins, overhang=Overhang(depth=1))).plates) == 2 * MOST_FINS + 1
    with pytest.raises(ValidationError, match="8 fins on the right; at most 7 a side"):
        window(fins=(*fins, fins[-1]))


def test_a_site_made_in_python_keeps_the_rules_between_entries():
    with pytest.raises(ValidationError, match=r'2: \[\[window\]\] 1 has the name "a" too; give e'):
        Site(place=PLACE, windows=(window(), window()))
    with pytest.raises(ValidationError, match=r'\[\[shade\]\] 1: no window is named "b"'):
        Site(place=PLACE, windows=(window(),), shades=(shade("r", "b"),))
    porch = Canopy(name="porch", windows=("a",), height=3, depth=2)
    site = Site(place=PLACE, windows=(window(),), canopies=(porch,))
    assert site.windows[0].overhang == Overhang(depth=2, gap=1.6)
    assert Site.model_validate(dict(site)) == site


def test_the_rules_between_tables_are_gone_through_once_a_load(monkeypatch):
    calls = []
    monkeypatch.setattr(site_rules, "rule_findings", lambda facts: calls.append(facts) or iter(()))
    site_from_text(WHOLE)
    assert len(calls) == 1


@pytest.mark.parametrize("day", ["02-29", "12-31", (4, 15)])
def test_days_of_the_year(day):
    month, number = (int(part) for part in (day.split("-") if isinstance(day, str) else day))
    assert Need(season=(day, day)).season == (MonthDay(month, number),) * 2


@pytest.mark.parametrize(
    "day", ["02-30", "04-31", "13-01", "00-10", "4-15", "04/15", 415, (4, 31), ("4", 15), True]
)
def test_what_is_no_day_of_the_year(day):
    with pytest.raises(ValidationError, match="day"):
        Need(season=(day, "01-01"))


def test_times_of_day():
    for text in ("00:00", "23:59", "21:30:15"):
        moment = time.fromisoformat(text)
        assert shade("r", "a", quiet=(text, time(12))).quiet == (moment, time(12))
    for wrong in ("24:00", "9:30", "21.30", "21:60", "21:30+01:00", 2130):
        with pytest.raises(ValidationError, match=r"not (a time of day|between 00:00 and 23:59)"):
            shade("r", "a", quiet=(wrong, "12:00"))
