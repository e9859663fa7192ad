"""What stands today is the start: what is the same gains nothing, what takes it away costs."""

import json
import math
from typing import Any

import numpy as np
import pytest
from site_texts import site_of, table, window

from suncover.compare.options import STANDS, standing_shades
from suncover.compare.summary import Summary, summarize
from suncover.compare.year import Comparison, compare_year
from suncover.export.files.compare_json import compare_json
from suncover.export.text.compare_advice import added_lines, advice, standing_words
from suncover.export.text.compare_text import compare_text
from suncover.site.model import Site
from suncover.sun.weather.load import load_weather

EAVES = {"depth": 0.6, "gap": 0.3, "left": 0.4, "right": 0.4}
SAME = (
    table(
        "option", name="same eaves", windows=["south"], price=700,
        overhang={**EAVES, "depth": "60 cm"},
    ),
    table("option", name="same glass", glazing="double clear", price=[100, 200]),
    table("option", name="no film", film=1.0, light=1.0, price=50),
)  # fmt: skip
FILM = table("option", name="film", film=0.6, light=0.7, price=250)


def home_of(*tables: str, **money: Any) -> Site:
    return site_of(
        table("need", season=["05-01", "09-30"]),
        table("weather", file="bundled:greensboro"),
        table("money", electricity=[0.12, 0.2], heating=0.06, overhang=[500, 800], **money),
        window("south", 184, 2.4, 1.4, reveal=0.1, glazing="double clear", overhang=EAVES),
        window("west", 274, 1.2, 1.2),
        *tables,
    )


def shade(**keys: Any) -> str:
    return table("shade", name="roller", windows=["south", "west"], place="outside", **keys)


def told(*tables: str, **money: Any) -> Summary:
    site = home_of(*tables, **money)
    return summarize(compare_year(site, load_weather(site)))


@pytest.fixture(scope="module")
def eaves() -> Summary:
    """Eaves and no shade; a price for shades."""
    return told(*SAME, FILM, shade=[300, 400])


@pytest.fixture(scope="module")
def shaded() -> Summary:
    """Eaves and shades, both there."""
    same = table("option", name="same shade", place="outside", fabric="light", price=10)
    return told(shade(), *SAME, same, FILM)


def gains_nothing(line) -> bool:
    worth = line.worth
    ranges = (worth.kept_out_kwh, worth.lost_kwh, worth.electricity_kwh, worth.heat_kwh)
    return all(pair == (0.0, 0.0) for pair in (*ranges, worth.net_kwh, worth.money))


@pytest.mark.parametrize(
    ("home", "option"),
    [
        *(("eaves", name) for name in (STANDS, "overhang", "same eaves", "same glass", "no film")),
        *(("shaded", name) for name in (STANDS, "both", "same eaves", "same glass", "same shade")),
    ],
)
def test_what_is_the_same_as_what_stands_gains_nothing(home, option, request):
    """Eaves alone, and eaves with shades."""
    summary = request.getfixturevalue(home)
    line = summary.line(option)
    assert gains_nothing(line)
    assert line.less_kwh == 0.0
    assert line.worth.payback == (math.inf, math.inf)
    assert all(gains_nothing(summary.line(option, name)) for name in ("south", "west"))


def test_files_and_text_say_so_too(eaves):
    house = {line["option"]: line for line in json.loads(compare_json(eaves))["house"]}
    for option in ("overhang", "same eaves", "same glass"):
        assert house[option]["worth_a_year"] == [0.0, 0.0]
        assert house[option]["payback_years"] == [None, None]  # never
        assert house[option]["less_than_as_it_stands_kwh"] == 0.0
    rows = [line for line in compare_text(eaves).splitlines() if line.startswith("same eaves")]
    assert rows[0].endswith("never")


def test_the_standing_window_is_the_overhangs(eaves, shaded):
    for summary, option in ((eaves, "overhang"), (shaded, "both")):
        comparison = summary.comparison
        for name in ("south", "west"):
            stands, same = (comparison.outcomes[of][name] for of in (STANDS, option))
            assert (stands.admitted == same.admitted).all()
            assert (stands.incident == same.incident).all()


def test_bare_is_a_line_to_hold_the_rest_against(eaves):
    """Taking the eaves away lets in sun, and pays nothing back, as nothing is paid."""
    bare = eaves.line("bare")
    assert bare.less_kwh < 0.0
    assert bare.worth.kept_out_kwh[1] < 0.0
    assert bare.worth.payback is None


def test_an_option_starts_from_what_stands(eaves):
    film, stands = eaves.line("film"), eaves.line(STANDS)
    assert film.admitted_kwh == pytest.approx(0.6 * stands.admitted_kwh)
    assert film.less_kwh == pytest.approx(0.4 * stands.admitted_kwh)
    assert film.incident_kwh == stands.incident_kwh


@pytest.mark.parametrize(
    ("price", "stands", "there"),
    [(None, None, True), (300, None, False), (300, True, True), (None, False, False)],
    ids=["no price", "price", "price, but there", "no price, not there"],
)
def test_shades_stand_unless_they_have_a_price_or_the_file_says_so(price, stands, there):
    site = home_of(shade(stands=stands), shade=price)
    assert bool(standing_shades(site)) is there


def test_shades_yet_to_be_bought_pay_back_over_the_eaves(eaves):
    line = eaves.line("both")
    assert line.price == (600.0, 800.0)  # two windows, two shades
    quick, slow = line.worth.payback
    assert quick == pytest.approx(600.0 / line.worth.money[1])
    assert slow >= quick
    sentences = " ".join(advice(eaves))
    assert "Shades by the plan beside the overhangs (both):" in sentences
    assert "pays for itself in" in sentences


def test_the_advice_leads_with_what_to_do_and_never_with_tearing_down(eaves, shaded):
    for summary in (eaves, shaded):
        names = [line.option for line in added_lines(summary)]
        assert "bare" not in names
        assert "shade" not in names
    first = advice(eaves)[0]
    assert first.startswith(("Best by these figures", "Nothing here is sure", "Leave it"))
    assert standing_words(eaves) == "overhangs at 1 of 2 windows, no shade"
    assert standing_words(shaded) == "overhangs at 1 of 2 windows, shades closed by their plan"
    assert any(sentence.startswith("Today's shades: ") for sentence in advice(shaded))


def test_the_days_that_need_cooling_have_a_peak_of_their_own(eaves):
    comparison: Comparison = eaves.comparison
    hot = eaves.kinds.cooling[1][comparison.days.day]
    line = eaves.line("overhang")
    assert line.cooling_peak_w == pytest.approx(comparison.house("overhang")[hot].max())
    assert line.cooling_peak_w < line.peak_w  # a low winter sun is the year's


def test_two_options_whose_ranges_overlap_are_weighed_by_the_same_assumptions(eaves):
    between = eaves.worth_between("film", "both")
    again = eaves.worth_between("both", "film")
    assert between.net_kwh[0] == pytest.approx(-again.net_kwh[1])
    assert eaves.worth_between("film", "film").net_kwh == (0.0, 0.0)
    wide = np.subtract(eaves.line("film").worth.net, eaves.line("both").worth.net[::-1])
    assert between.net[0] >= wide[0] - 1e-9
    assert between.net[1] <= wide[1] + 1e-9
