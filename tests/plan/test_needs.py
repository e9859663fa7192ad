"""When a shade has to be closed, and for which need."""

from datetime import date, time, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from astral import Observer as AstralObserver
from astral.sun import dawn, dusk
from hypothesis import given, settings
from hypothesis import strategies as st
from plan_cases import home

from suncover.base.clock import dates_bounds, instant_of, season_spells
from suncover.base.spell import Spell, intersect, subtract, union
from suncover.facade.daylight import Daylight
from suncover.facade.exposure import find_exposures, observer_of, sun_on_spots, window_scene
from suncover.facade.reach import Level, reach
from suncover.plan.needs import Want, needed_spells, spots_behind

ZURICH = ZoneInfo("Europe/Zurich")
FIRST, LAST = date(2026, 9, 10), date(2026, 9, 24)
# astral's dawn is good to about 0.01 degree; twilight's height changes by 1 degree in 6 minutes.
ONE_MINUTE = 60

WINDOWS = {
    "study": {"azimuth": 150, "width": 1.6, "height": 1.4, "sill": 0.8},
    "hall": {"azimuth": 200, "width": 1.0, "height": 2.0},
}
SPOTS = [
    {"name": "desk", "window": "study", "distance": 1.4, "height": 0.75},
    {"name": "painting", "window": "study", "distance": 3, "offset": -1, "height": 1.5},
    {"name": "basket", "window": "hall", "distance": 1.0, "height": 0.1},
]


def house(need, windows=("study",), place=(47.37, 8.54, "Europe/Zurich"), **shade):
    shades = {"s": {"windows": list(windows), "need": need, **shade}}
    return home(WINDOWS, shades, place, spot=SPOTS)


def wants_of(site, first=FIRST, last=LAST):
    span = span_of(site, first, last)
    return needed_spells(site, site.shades[0], span.start, span.end)


def spells_for(wants, need, what=None):
    return tuple(w.spell for w in wants if w.need == need and what in (None, w.what))


def span_of(site, first=FIRST, last=LAST):
    return dates_bounds(first, last, site.place.zone)


def test_heat_is_the_sun_on_the_windows():
    site = house({"beam": 150, "fraction": 0.2}, ("study", "hall"))
    span = span_of(site)
    sun = find_exposures(site, span.start, span.end, site.need_of(site.shades[0]))
    wants = wants_of(site)
    assert {w.need for w in wants} == {"heat"}
    assert {name: spells_for(wants, "heat", name) for name in sun} == sun
    assert wants == tuple(sorted(wants, key=lambda w: w.spell))


def test_heats_season_is_the_plans_when_alone_and_cut_beside_other_needs():
    season = ["09-15", "10-01"]
    alone = wants_of(house({"season": season}))
    beside = wants_of(house({"season": season, "for": ["heat", "glare"]}))
    days = season_spells(((9, 15), (10, 1)), FIRST, LAST, ZURICH)
    assert spells_for(beside, "heat") == intersect(spells_for(alone, "heat"), days)
    assert len(spells_for(beside, "heat")) < len(spells_for(alone, "heat"))


def test_glare_is_the_sun_on_the_spots_behind_its_windows():
    site = house({"for": ["glare"]})
    span = span_of(site)
    sun = sun_on_spots(site, span.start, span.end)
    wants = wants_of(site)
    for name in ("desk", "painting"):
        assert spells_for(wants, "glare", name) == sun[name]
    assert sun["desk"]
    assert {w.what for w in wants} <= {"desk", "painting"}
    assert [s.name for s in spots_behind(site, site.shades[0])] == ["desk", "painting"]


def test_each_need_has_its_own_spots_and_season():
    need = {
        "for": ["glare", "fading"],
        "glare": {"spots": ["desk"], "season": ["09-20", "03-01"]},
        "fading": {"spots": ["painting"]},
    }
    site = house(need)
    first, last = date(2026, 9, 1), date(2026, 11, 5)
    span = span_of(site, first, last)
    sun = sun_on_spots(site, span.start, span.end)
    wants = wants_of(site, first, last)
    days = season_spells(((9, 20), (3, 1)), first, last, ZURICH)
    assert spells_for(wants, "glare") == intersect(sun["desk"], days)
    assert spells_for(wants, "fading") == sun["painting"]
    assert sun["painting"]
    assert {(w.need, w.what) for w in wants} == {("glare", "desk"), ("fading", "painting")}


def test_glare_by_reach_is_while_the_sun_falls_farther_in():
    """Against the reach itself, asked at every minute; spots can be left out with an empty list."""
    site = house({"for": ["glare"], "glare": {"spots": [], "reach": 1.2, "height": 0.7}})
    span = span_of(site)
    wants = wants_of(site)
    times = np.arange(span.start, span.end, 60.0)
    scene = window_scene(site, site.windows[0], site.need, span.start, span.end)
    far = reach(scene, Daylight.at(times, observer_of(site.place)), Level(0.8, 0.7))
    beyond = np.nan_to_num(far, nan=-1) > 1.2
    ours = np.zeros(times.shape, bool)
    for want in wants:
        assert (want.need, want.what, want.beyond) == ("glare", "study", 1.2)
        ours |= (times >= want.spell.start) & (times < want.spell.end)
    ends = np.array([e for w in wants for e in (w.spell.start, w.spell.end)])
    near = np.abs(times[:, None] - ends[None, :]).min(axis=1) <= 1
    assert (ours == beyond)[~near].all()
    assert beyond.sum() > 500


ALL = {
    "for": ["heat", "glare", "fading", "sleep", "privacy"],
    "season": ["09-12", "10-10"],
    "glare": {"spots": ["desk"], "reach": 2.0},
    "fading": {"spots": ["painting"], "season": ["09-15", "03-31"]},
    "sleep": {"dark": ["21:00", "07:10"]},
    "privacy": {"until": "22:30", "season": ["09-18", "04-01"]},
}


@settings(max_examples=8)
@given(chosen=st.sets(st.sampled_from(ALL["for"]), min_size=1))
def test_union_of_needs_covers_each_and_holds_nothing_else(chosen):
    """What several needs ask together is the union of what each of them asks alone."""
    keys = [key for key in ALL["for"] if key in chosen]
    need = {"for": keys} | {k: v for k, v in ALL.items() if k in keys}
    if "heat" in keys:
        need["season"] = ALL["season"]
    together = union(w.spell for w in wants_of(house(need)))
    alone = []
    for key in keys:
        one = {"for": [key]} | ({key: ALL[key]} if key in ALL else {})
        spells = union(w.spell for w in wants_of(house(one)))
        if key == "heat" and len(keys) == 1:
            assert together == spells
            return
        if key == "heat":
            spells = intersect(spells, season_spells(((9, 12), (10, 10)), FIRST, LAST, ZURICH))
        assert subtract(spells, together) == ()
        alone += spells
    assert union(alone) == together


def astral_times(find, site, day):
    place = AstralObserver(site.place.latitude, site.place.longitude, 0.0)
    return find(place, day, tzinfo=site.place.zone).timestamp()


def test_sleep_only_where_astrals_dawn_comes_first():
    """From March to June in Zurich, dawn moves from after 06:00 to hours before it."""
    site = house({"for": ["sleep"], "sleep": {"dark": ["21:30", "06:00"]}})
    first, last = date(2026, 3, 1), date(2026, 6, 10)
    wants = {w.spell.start: w for w in wants_of(site, first, last)}
    kept = 0
    for step in range((last - first).days + 1):
        day = first + timedelta(days=step)
        night = Spell(
            instant_of(day, time(21, 30), ZURICH),
            instant_of(day + timedelta(days=1), time(6), ZURICH),
        )
        rises = astral_times(dawn, site, day + timedelta(days=1))
        if abs(rises - night.end) < ONE_MINUTE:
            continue
        assert (night.start in wants) == (rises < night.end), day
        if night.start in wants:
            want = wants[night.start]
            assert want.spell == night
            assert want.dawn == pytest.approx(rises, abs=ONE_MINUTE)
            kept += 1
    assert 50 < kept < 100


def test_sleep_under_the_midnight_sun_and_in_the_polar_night():
    """Tromsø: in June it stays light, so every night asks; in December it is dark at seven."""
    tromso = 69.65, 18.96, "Europe/Oslo"
    site = house({"for": ["sleep"], "sleep": {"dark": ["22:00", "07:00"]}}, place=tromso)
    light = wants_of(site, date(2026, 6, 10), date(2026, 6, 14))
    assert len(light) == 5
    assert all(want.dawn is None and want.spell.seconds == 9 * 3600 for want in light)
    assert wants_of(site, date(2026, 12, 10), date(2026, 12, 14)) == ()


@pytest.mark.parametrize(
    ("need", "first", "nights"),
    [
        # Who sleeps from 08:00 to 15:00 sleeps in the light, which came before.
        ({"for": ["sleep"], "sleep": {"dark": ["08:00", "15:00"]}}, FIRST, 3),
        # In mid-October a child's bedtime of 18:30 is light, and dawn comes after waking at 06:30:
        # a light evening alone is no reason to sleep in the dark.
        ({"for": ["sleep"], "sleep": {"dark": ["18:30", "06:30"]}}, date(2026, 10, 12), 0),
        # In June dusk in Zurich is at 22:05: privacy until 21:30 asks for nothing then.
        ({"for": ["privacy"], "privacy": {"until": "21:30"}}, date(2026, 6, 15), 0),
    ],
    ids=["by day", "a light evening", "a late dusk"],
)
def test_nights_that_ask(need, first, nights):
    wants = wants_of(house(need), first, first + timedelta(days=2))
    assert len(wants) == nights
    assert all(want.spell.seconds == 7 * 3600 and want.dawn is None for want in wants)


@pytest.mark.parametrize("until", ["22:30", "00:45", None])
def test_privacy_from_astrals_dusk(until):
    need = {"for": ["privacy"]} | ({"privacy": {"until": until}} if until else {})
    site = house(need)
    wants = wants_of(site)
    assert len(wants) == 15
    for step, want in enumerate(wants):
        day = FIRST + timedelta(days=step)
        assert want.spell.start == pytest.approx(astral_times(dusk, site, day), abs=ONE_MINUTE)
        morning = day + timedelta(days=1)
        if until is None:
            end = astral_times(dawn, site, morning)
        else:
            wall = time.fromisoformat(until)
            end = instant_of(day if until > "12" else morning, wall, ZURICH)
        assert want.spell.end == pytest.approx(end, abs=ONE_MINUTE if until is None else 0)


def test_privacy_in_the_polar_night_goes_by_the_clock():
    north = 78.2, 15.6, "Arctic/Longyearbyen"
    site = house({"for": ["privacy"], "privacy": {"until": "23:00"}}, place=north)
    wants = wants_of(site, date(2026, 12, 10), date(2026, 12, 12))
    assert [w.spell.seconds for w in wants] == [11 * 3600] * 3
    whole = house({"for": ["privacy"]}, place=north)
    (want,) = wants_of(whole, date(2026, 12, 10), date(2026, 12, 12))
    assert want.spell.seconds == 3 * 24 * 3600


def test_nights_that_begin_in_the_time_asked_for_are_whole():
    """A plan for some days and one for the next ones share no night, and together lose none."""
    need = {"for": ["sleep", "privacy"], "sleep": {"dark": ["21:30", "07:00"]}}
    site = house(need)
    middle = date(2026, 9, 15)
    parts = wants_of(site, FIRST, middle) + wants_of(site, middle + timedelta(days=1), LAST)
    assert parts == wants_of(site)
    assert wants_of(site, FIRST, middle)[-1].spell.end > span_of(site, FIRST, middle).end


def test_positions_are_asked_for_only_where_the_shade_has_stops():
    need = {"for": ["heat", "glare"], "glare": {"spots": ["desk"], "reach": 2.5}}
    full = wants_of(house(need))
    assert {w.position for w in full} == {100}
    part = wants_of(house(need, stops=[25, 50, 75, 100]))
    assert [w.spell for w in part] == [w.spell for w in full]
    assert {w.position for w in part if w.need == "heat"} == {100}
    glare = [w.position for w in part if w.need == "glare"]
    assert min(glare) < 60
    assert max(glare) <= 100


def test_exposures_worked_out_before_are_taken():
    site = house({"for": ["heat", "sleep"], "sleep": {"dark": ["21:30", "07:00"]}})
    span = span_of(site)
    known = {"study": (Spell(span.start + 100, span.start + 4000),)}
    wants = needed_spells(site, site.shades[0], span.start, span.end, known)
    assert [w for w in wants if w.need == "heat"] == [Want(known["study"][0], "heat", "study")]
