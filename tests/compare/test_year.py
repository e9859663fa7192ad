"""Overhang against shade over a year: what must hold whatever the numbers are, and the files."""

import csv
import io
import json
import re
from dataclasses import replace
from datetime import UTC, datetime

import numpy as np
import pytest

from suncover.compare.options import ALWAYS, SUNNY, variants_of
from suncover.compare.summary import Summary, of_always, of_plan, summarize
from suncover.compare.year import Comparison, compare_year
from suncover.export.files.compare_csv import compare_csv
from suncover.export.files.compare_json import compare_json
from suncover.export.text.compare_text import advice, compare_text, years
from suncover.export.text.text_table import width_of
from suncover.facade.exposure import find_exposures
from suncover.heat.shade_optics import effect_of
from suncover.plan.closings.shade_plan import make_shade_plan
from suncover.site.file.sitefile import site_from_text
from suncover.site.model import Site
from suncover.site.options import STANDS
from suncover.sun.weather.load import clear_year, load_weather

HOME = """
site = {name = "Larkspur Lane", latitude = 36.10, longitude = -79.95, elevation = 270, \
timezone = "America/New_York"}
need.season = ["04-15", "10-15"]
weather.file = "bundled:greensboro"
money = {electricity = [0.12, 0.16], heating = [0.05, 0.07], overhang = [600, 900], \
shade = [250, 400]}
window = [
  {name = "kitchen", azimuth = 95, width = 1.2, height = 1.4, reveal = 0.1, \
skyline = [[60, 12], [95, 8], [130, 15]], fin = [{side = "left", depth = 0.4}]},
  {name = "study", azimuth = 185, width = 1.6, height = 1.4, glazing = "double low-e", \
overhang = {depth = 0.6, gap = 0.25, left = 0.3, right = 0.3}},
  {name = "den", azimuth = 265, width = 0.9, height = 1.2, overhang.depth = 0.5},
]
shade = [
  {name = "pair", windows = ["study", "den"], travel = 60, place = "outside", fabric = "medium"},
]
option = [
  {name = "film", like = "bare", film = 0.6, price = 250},
  {name = "deep roof", like = "overhang", windows = ["study"], overhang.depth = 1.5},
  {name = "always down", like = "shade", closed = "always"},
  {name = "dark inside", like = "bare", windows = ["den"], place = "inside", fabric = "dark"},
  {name = "single", like = "bare", glazing = "single clear"},
  {name = "grey film", like = "bare", film = 0.6, light = 0.5},
]
"""


@pytest.fixture(scope="module")
def home() -> Site:
    return site_from_text(HOME)


@pytest.fixture(scope="module")
def year(home: Site) -> Comparison:
    return compare_year(home, load_weather(home))


@pytest.fixture(scope="module")
def summary(year: Comparison) -> Summary:
    return summarize(year)


NAMED = ("film", "deep roof", "always down", "dark inside", "single", "grey film")


def test_no_option_ever_admits_more_than_the_bare_window_but_for_other_glass(year):
    """In every hour, not only over the year."""
    for option, outcomes in year.outcomes.items():
        for name, out in outcomes.items():
            bare = year.outcomes["bare"][name]
            assert (out.incident <= bare.incident + 1e-6).all()
            assert (out.admitted <= out.incident + 1e-6).all()
            assert (out.admitted >= 0).all()
            if option != "single":
                assert (out.admitted <= bare.admitted + 1e-6).all()
            if option == "shade":  # changes nothing outside the glass
                assert (out.incident == bare.incident).all()
            if option == "film":
                assert out.admitted == pytest.approx(0.6 * bare.admitted)
    assert year.house("single").sum() > year.house("bare").sum()


def test_options_that_change_nothing_on_a_window_leave_it(year):
    kitchen = year.outcomes["bare"]["kitchen"]
    assert (year.outcomes["overhang"]["kitchen"].admitted == kitchen.admitted).all()
    assert (year.outcomes["dark inside"]["kitchen"].admitted == kitchen.admitted).all()
    roof = year.outcomes["overhang"]["den"]
    assert (year.outcomes["deep roof"]["den"].admitted == roof.admitted).all()
    assert year.outcomes["deep roof"]["study"].admitted.sum() < (
        year.outcomes["overhang"]["study"].admitted.sum()
    )


def test_glass_and_film_leave_their_share_of_the_light(summary):
    """Visible transmittances: single clear 0.90, double clear 0.81, double low-e 0.76 (ASHRAE
    Handbook, Fundamentals, fenestration chapter; from memory)."""
    assert summary.line("single", "kitchen").daylight == pytest.approx(0.90 / 0.81)
    assert summary.line("single", "study").daylight == pytest.approx(0.90 / 0.76)
    assert summary.line("grey film", "kitchen").daylight == pytest.approx(0.5)
    assert summary.line("grey film").daylight == pytest.approx(0.5)


def test_light_that_is_not_known_is_not_told(summary):
    """A film's share of the heat says nothing of the light: some films keep out heat alone."""
    assert summary.line("film").daylight is None
    text = compare_text(summary)
    light = text[text.index("light\nas it stands") :]
    film = next(line for line in light.splitlines() if line.startswith("film "))
    assert film.endswith(" -")
    house = json.loads(compare_json(summary))["house"]
    left = {line["option"]: line["daylight_left_share"] for line in house}
    assert left["film"] is None
    assert left["bare"] == 1.0


def test_ways_of_closing_stand_in_their_order(year):
    """Always closed keeps out most, then the plan, then the plan in sunny hours."""
    for name in year.outcomes["bare"]:
        kept = [year.outcomes[o][name].admitted.sum() for o in (ALWAYS, "shade", SUNNY, "bare")]
        assert kept == sorted(kept)
        down = [year.outcomes[o][name].closed_h for o in (ALWAYS, "shade", SUNNY, "bare")]
        assert down == sorted(down, reverse=True)
        assert down[-1] == 0.0
        same = year.outcomes["always down"][name].admitted  # as a named option
        assert year.outcomes[ALWAYS][name].admitted == pytest.approx(same)


def test_the_season_applies_to_the_shade(year, home):
    season = year.days.season(home.need.season)
    for name, bare in year.outcomes["bare"].items():
        spared = year.days.sums(bare.admitted - year.outcomes["shade"][name].admitted)
        assert (spared[~season] == 0).all()
        assert spared[season].sum() > 0


def test_a_shade_leaves_g_total_over_g_while_it_is_closed(year, home):
    """In hours that lie wholly inside a closing; none in hours that meet no closing. It is down for
    as long as its plan says: of daylight, the morning's closings lack minutes at the most.
    """
    den, study = (
        home.window(name).model_copy(update={"overhang": None}) for name in ("den", "study")
    )
    roofless = home.model_copy(update={"windows": (home.windows[0], study, den)})
    shade = home.shades[0]
    span = int(year.weather.start[0]), int(year.weather.end)
    sun = find_exposures(roofless, *span, home.need_of(shade), (study, den))
    spells = [spell for one in sun.values() for spell in one]
    plan = make_shade_plan(shade, spells, home.place.zone, home.need.season)
    planned = sum(closing.open - closing.close for closing in plan.closings) / 3600.0
    assert year.outcomes["shade"]["den"].closed_h == pytest.approx(planned, rel=0.01)
    half = round(shade.travel / 2)
    left = effect_of(shade, variants_of(home)[0].windows[2].glass).left
    bare, closed = (year.outcomes[o]["den"].admitted for o in ("bare", "shade"))
    within, touched = np.zeros(len(bare), dtype=bool), np.zeros(len(bare), dtype=bool)
    start, end = year.weather.start, year.weather.start + year.weather.step
    for closing in plan.closings:
        within |= (start >= closing.close + half) & (end <= closing.open + half)
        touched |= (start < closing.open + half) & (end > closing.close + half)
    some = within & (bare > 0)
    assert some.sum() > 500
    assert closed[some] == pytest.approx(left * bare[some])
    assert closed[~touched] == pytest.approx(bare[~touched])


def test_windows_do_not_influence_each_other(home, year):
    alone = home.model_copy(update={"windows": home.windows[:1], "shades": (), "options": ()})
    single = compare_year(alone, year.weather)
    for option in ("bare", "overhang", "shade", "both"):
        ours, theirs = (c.outcomes[option]["kitchen"].admitted for c in (single, year))
        assert ours == pytest.approx(theirs)


def test_more_need_of_sun_closes_less(home, year):
    strict = home.model_copy(update={"need": home.need.model_copy(update={"beam": 600.0})})
    less = compare_year(strict, year.weather)
    for name in ("kitchen", "study", "den"):
        ours, theirs = (c.outcomes["shade"][name] for c in (less, year))
        assert ours.closed_h < theirs.closed_h
        assert ours.admitted.sum() > theirs.admitted.sum()


def test_csv_has_a_row_for_every_month_and_the_year(year, home):
    text = compare_csv(year).decode()
    rows = list(csv.DictReader(io.StringIO(text)))
    assert text.splitlines()[0] == "window,option,month,incident_kwh,admitted_kwh"
    months = [f"{month:02d}" for month in range(1, 13)] + ["year"]
    keys = [(row["window"], row["option"], row["month"]) for row in rows]
    options = ["bare", "overhang", "shade", "both", *NAMED]
    assert keys == [
        (window.name, option, month)
        for window in home.windows
        for option in options
        for month in months
    ]
    for at in range(0, len(rows), 13):
        for column in ("incident_kwh", "admitted_kwh"):
            parts = sum(float(row[column]) for row in rows[at : at + 12])
            # Thousandths of a kWh, twelve times rounded.
            assert float(rows[at + 12][column]) == pytest.approx(parts, abs=0.0065)


def test_json_carries_everything(summary, home):
    document = json.loads(compare_json(summary))
    assert document["site"] == "Larkspur Lane"
    assert document["weather"]["typical_year"] is True
    # Normals of Greensboro: about 1330 degree days of 65 °F, 740 of 18.3 °C (from memory).
    # A typical year is one year, not the normal.
    assert document["weather"]["cooling_degree_days_c"] == pytest.approx(740, rel=0.15)
    options = [line["option"] for line in document["house"]]
    assert options == [variant.name for variant in variants_of(home)]
    assert options == [STANDS, "bare", "overhang", "shade", "both", *NAMED, SUNNY, ALWAYS]
    for window in home.windows:
        line = document["windows"][window.name][3]
        assert sum(line["admitted_kwh_by_month"]) == pytest.approx(line["admitted_kwh"], abs=0.01)
    kitchen, study, den = (document["windows"][w.name][0]["admitted_kwh"] for w in home.windows)
    assert document["house"][0]["admitted_kwh"] == pytest.approx(kitchen + study + den, abs=0.01)
    assert len(document["best_overhangs"]) == 3
    assert document["assumptions"] == list(summary.assumptions)


def test_the_peak_is_the_greatest_hour_of_the_house(summary, year):
    line = summary.line("bare")
    assert line.peak_w == pytest.approx(year.house("bare").max())
    at = int(np.argmax(year.house("bare")))
    assert line.peak_time == int(year.weather.start[at]) + 1800
    moment = datetime.fromtimestamp(line.peak_time, UTC)
    assert 12 <= moment.hour <= 23  # by day in North Carolina


def test_text_fits_the_screen_and_says_what_to_do(summary):
    text = compare_text(summary)
    lines = text.splitlines()
    assert max(map(len, lines)) <= 80
    for part in ("In short", "Assumed", "Take care", "Best overhang", "permit", "snow and wind"):
        assert part in text
    told = " ".join(text.split())
    assert "which may crack" in told  # the dark cloth of an option, inside
    assert "electricity $0.12 to 0.16 per kWh" in told
    assert "not the warmth that glass conducts" in told
    for option in ("bare", "overhang", "shade", "both", *NAMED):
        assert f"\n{option} " in text
    assert SUNNY not in text


def money_rows(text: str) -> list[str]:
    """The lines on money, head and options, of a comparison's text."""
    lines = text.splitlines()
    begin = next(number for number, line in enumerate(lines) if re.search(r"kept out +lost", line))
    end = next(n for n, line in enumerate(lines) if n > begin and line.startswith("  (a year"))
    return lines[begin:end]


@pytest.mark.parametrize("currency", ["$", "盧比", "a currency with a name of some length"])
@pytest.mark.parametrize("price", [0.15, 120.0, 250_000.0], ids=str)
def test_large_amounts_of_money_keep_apart_and_within_the_screen(year, home, currency, price):
    """Columns stay two blanks apart whatever the prices are, and each amount is whole."""
    cost = (price * 2000, price * 3000)
    prices = {"electricity": (price, price), "heating": (price / 2, price), "shade": cost}
    money = home.money.model_copy(update={"currency": currency, **prices})
    result = summarize(replace(year, site=home.model_copy(update={"money": money})))
    text = compare_text(result)
    assert max(map(width_of, text.splitlines())) <= 80
    head, *rows = money_rows(text)
    assert "worth" in head
    lines = [line for line in result.house if not line.extra]
    for line, row in zip(lines, rows, strict=True):
        name, kept, lost, *rest = re.split(r"  +", row)
        assert line.option.startswith(name.rstrip("…"))
        if line.option == "overhang":  # what stands
            assert (kept, lost, *rest[-3:-1]) == ("-", "-", *["0"] * len(rest[-3:-1]))
            continue
        low, high = (round(end) for end in line.worth.money or ())
        assert f"{low}..{high}" in rest
        assert all(cell.count("..") <= 1 for cell in (kept, lost, *rest))


def test_advice_names_the_shares_of_the_plan(summary):
    sentences = " ".join(advice(summary))
    always, sunny = of_always(summary), of_plan(summary)
    assert 0.5 < always < 1.0
    assert f"keeps out {always * 100:.0f} % of what closing all season would" in sentences
    assert f"keeps {sunny * 100:.0f} % of that" in sentences


def test_without_weather_no_payback_is_told_and_what_a_clear_sky_means_is(home):
    clear = home.model_copy(update={"weather": None, "options": ()})
    result = summarize(compare_year(clear, clear_year(clear.place)))
    told = " ".join(compare_text(result).split())
    assert "glass in shade gets more than this from bright clouds" in told
    assert "no payback is worked out from this weather" in told
    document = json.loads(compare_json(result))
    assert document["weather"]["clear_sky"] is True
    assert all(line["payback_years"] is None for line in document["house"])
    assert result.line("both").worth.money is not None


def test_many_windows_are_told_in_short_and_wide_letters_keep_in_step(home, year):
    names = [f"window {number}" for number in range(11)] + ["書斎の西向きの大きな窓の隣の小窓"]
    many = tuple(home.windows[0].model_copy(update={"name": name}) for name in names[::-1])
    big = home.model_copy(update={"windows": many, "shades": (), "options": ()})
    text = compare_text(summarize(compare_year(big, year.weather)))
    assert "and 4 more; --format csv has every window by month" in text
    assert max(map(width_of, text.splitlines())) <= 80


@pytest.mark.parametrize(
    ("pair", "text"),
    [
        ((3.0, 8.04), "3..8 years"),
        ((12.4, 25.0), "12..25 years"),
        ((7.1, float("inf")), "7.1 years or more"),
        ((float("inf"), float("inf")), "never"),
        ((250.0, float("inf")), "never"),
        ((0.0, 0.0), "0 years"),
        (None, "no price"),
    ],
)
def test_paybacks_in_words(pair, text):
    assert years(pair) == text


def test_the_southern_summer_is_in_january(home):
    """The same house with its mirror image: walls turned to the other pole, half a year later."""
    place = home.place.model_copy(update={"latitude": -36.10, "timezone": "Etc/GMT+5"})
    windows = tuple(
        w.model_copy(update={"azimuth": (180 - w.azimuth) % 360, "skyline": (), "fins": ()})
        for w in home.windows
    )
    south = home.model_copy(
        update={"place": place, "windows": windows, "weather": None, "options": ()}
    )
    result = compare_year(south, clear_year(place))
    by_month = result.days.monthly(result.outcomes["overhang"]["study"].admitted)
    # High sun of January passes the roof's shade least: the wall to the equator gets least then.
    assert by_month[[11, 0]].sum() < 0.7 * by_month[[5, 6]].sum()


def test_a_polar_year_is_compared_too(home):
    place = home.place.model_copy(
        update={"latitude": 69.65, "longitude": 18.96, "timezone": "Europe/Oslo"}
    )
    north = home.windows[1].model_copy(update={"azimuth": 0.0, "name": "north"})
    arctic = home.model_copy(
        update={"place": place, "windows": (north,), "shades": (), "options": (), "weather": None}
    )
    result = compare_year(arctic, clear_year(place))
    by_month = result.days.monthly(result.outcomes["bare"]["north"].incident)
    assert by_month[11] < 0.01 * by_month[5]
    assert result.outcomes["shade"]["north"].closed_h > 100  # the midnight sun


def test_a_site_with_remarks_shows_them(home, year):
    odd = replace(year.weather, remarks=("The weather is of elsewhere.",))
    assert "! The weather is of elsewhere." in compare_text(summarize(compare_year(home, odd)))


NORTH_FRONT = """
site = {name = "Two north windows", latitude = -31.53, longitude = 159.07}
window = [
  {name = "lounge", azimuth = 12, width = 2.4, height = 1.3, overhang = {depth = 0.6, gap = 0.2}},
  {name = "kitchen", azimuth = 12, width = 1.2, height = 1.0},
]
shade = [
  {name = "lounge roller", windows = ["lounge"]},
  {name = "kitchen roller", windows = ["kitchen"]},
]
"""
TOGETHER = 'group = [{name = "front", shades = ["lounge roller", "kitchen roller"]}]'


def test_shades_that_move_together_do_so_in_the_comparison():
    """Under its overhang the lounge has less sun, and its shade is down for the kitchen's too."""
    alone, together = (
        compare_year(site, load_weather(site)).outcomes["both"]
        for site in (site_from_text(NORTH_FRONT), site_from_text(NORTH_FRONT + TOGETHER))
    )
    assert together["kitchen"].closed_h == alone["kitchen"].closed_h
    assert alone["lounge"].closed_h < 0.9 * alone["kitchen"].closed_h
    assert together["lounge"].closed_h == together["kitchen"].closed_h
