"""Ranges that hold what they say: the shade method's own uncertainty, seasons, searches' edges."""

from typing import Any

import numpy as np
import pytest
from site_texts import site_of, table, window

from suncover.compare.money import day_kinds, spared_by_day
from suncover.compare.options import STANDS
from suncover.compare.overhangs import best_overhangs
from suncover.compare.season import best_season
from suncover.compare.summary import Summary, summarize
from suncover.compare.year import Comparison, compare_year
from suncover.export.text.compare_advice import advice, overhang_verdict
from suncover.heat.glass import CLASSES, class_table
from suncover.heat.shade_optics import FABRICS, LEAST_OFF, MOST_OFF, effect_on
from suncover.sun.weather.load import load_weather

ROOF = {"gap": 0.25, "left": 0.3, "right": 0.3}


def pane(name: str, azimuth: float, **keys: Any) -> str:
    return window(name, azimuth, 1.4, 1.3, **keys)


def compared(*tables: str, heating: float = 0.08) -> Comparison:
    prices = {"electricity": 0.2, "heating": heating, "shade": 300, "overhang": 400}
    money = table("money", **prices, cop=3.5, cooling_share=0.7, heating_share=0.6)
    site = site_of(table("weather", file="bundled:greensboro"), money, *tables)
    return compare_year(site, load_weather(site))


@pytest.fixture(scope="module")
def south() -> Summary:
    film = table("option", name="outside", place="outside", fabric="dark", price=500)
    return summarize(compared(pane("s", 185), film))


@pytest.mark.parametrize("kind", list(CLASSES))
@pytest.mark.parametrize("fabric", list(FABRICS))
@pytest.mark.parametrize("place", ["inside", "outside", "between"])
def test_what_a_shade_leaves_holds_the_methods_own_uncertainty(kind, fabric, place):
    """EN 13363-1: the simplified g lies 0.02 below to 0.10 above the exact one."""
    glass = class_table(kind)
    effect = effect_on(place, FABRICS[fabric], glass)
    g = effect.left * glass.normal
    assert effect.least * glass.normal == pytest.approx(max(g - 0.10, 0.0))
    assert effect.most * glass.normal == pytest.approx(min(g + 0.02, glass.normal))
    assert (LEAST_OFF, MOST_OFF) == (-0.10, 0.02)


def test_a_measured_roller_lies_within_the_range():
    """Interior rollers behind single clear glass: a published optical sheet gives shading
    coefficients 0.25, 0.39, 0.51, 0.71 for T/R of 13/76, 5/54, 4/37, 0/7 per cent. A shading
    coefficient is the share of single clear glass's 0.87.
    """
    glass = class_table("single clear")
    for name, coefficient in zip(FABRICS, (0.25, 0.39, 0.51, 0.71), strict=True):
        effect = effect_on("inside", FABRICS[name], glass)
        g = coefficient * 0.87
        # Its second decimal, and this glass's g, which is not quite the sheet's.
        assert effect.least * glass.normal - 0.02 <= g <= effect.most * glass.normal


def test_the_uncertainty_goes_into_what_a_shade_keeps_out(south):
    comparison, kinds = south.comparison, south.kinds
    out = comparison.outcomes["shade"]["s"]
    assert (out.least <= out.admitted + 1e-9).all()
    assert (out.most >= out.admitted - 1e-9).all()
    cases = spared_by_day(comparison, "shade", "s")
    hot = [float(case[kinds.cooling[0]].sum()) for case in cases]
    kept = south.line("shade").worth.kept_out_kwh
    # A tenth for the models on either side of that.
    assert kept == pytest.approx((0.9 * min(hot), 1.1 * max(hot)))
    assert max(hot) > 1.1 * hot[0]


def test_what_is_off_for_one_shade_is_off_for_the_same_elsewhere(south):
    """The same cloth beside itself is certain; another place for it is not."""
    same = spared_by_day(south.comparison, "shade", "s", "both")
    assert np.abs(same).max() == 0.0
    other = spared_by_day(south.comparison, "outside", "s", "shade").sum(axis=1)
    assert other[1] < other[0] < other[2] or other[2] < other[0] < other[1]


def test_a_season_is_advised_where_it_is_worth_something(south):
    """Without a season the shade takes the winter's sun; within it, it is not said again."""
    found = best_season(south.comparison, south.kinds)
    first, last = found.season
    assert first.month in (3, 4, 5)
    assert last.month in (9, 10)
    assert found.worth.net[0] > 0.0
    assert any("season = [" in sentence for sentence in advice(south))
    within = compared(pane("s", 185), table("need", season=[str(first), str(last)]))
    assert best_season(within, day_kinds(within.site, within.days)) is None
    # What it brings is what the season spares.
    gained = [
        sum(
            float(case[ends[0]].sum()) * sign
            for ends, sign in ((south.kinds.cooling, 0.2 * 0.2), (south.kinds.heating, -0.6 * 0.08))
        )
        for case in (
            spared_by_day(one, "shade", "s", "bare")[0] for one in (within, south.comparison)
        )
    ]
    low, high = found.worth.money or (0.0, 0.0)
    assert low <= gained[0] - gained[1] <= high


def test_a_north_window_needs_no_season_and_no_overhang_that_pays():
    """Far from the low sun: a wall to the north sees the sky alone but for summer's ends."""
    summary = summarize(compared(pane("n", 2)))
    best = summary.overhang("n")
    assert "low sun" not in overhang_verdict(best)
    if best.best is not None:
        assert best.best.worth.payback[1] > 100.0


WALL = (
    table("obstacle", name="wall", footprint=[[-9, -5], [9, -5], [9, -4.5], [-9, -4.5]], top=7.0),
    table(
        "tree", name="tree", trunk=[-2.0, -9.0], width=6.0, bottom=2.0, top=9.0, leaf=0.1, bare=0.6,
        in_leaf=["04-20", "11-05"],
    ),
)  # fmt: skip


@pytest.mark.parametrize("depth", [0.4, 1.2])
def test_the_search_among_a_wall_and_a_tree_is_what_comparing_each_depth_gives(depth):
    """The joint shares, by two ways: the whole comparison of one overhang, and the search."""
    free = (
        pane("s", 178, position=[0, 0], sill=0.9, reveal=0.1),
        table("option", name="roof", overhang={"depth": depth, **ROOF}),
    )
    comparison = compared(*free, *WALL)
    kinds = day_kinds(comparison.site, comparison.days)
    swept = best_overhangs(comparison, kinds, (depth,))[0].tried[0]
    spared = spared_by_day(comparison, "roof", "s")[0]
    assert swept.kept_out == pytest.approx(float(spared[kinds.cooling[0]].sum()), rel=6e-3)
    assert swept.lost == pytest.approx(float(spared[kinds.heating[0]].sum()), rel=6e-3)
    # Shares multiplied would say far more: the wall has the low sun already.
    alone = spared_by_day(compared(*free), "roof", "s")[0]
    assert swept.lost < 0.8 * float(alone[kinds.heating[0]].sum())


def test_every_depth_has_its_gain_its_band_and_its_payback(south):
    best = south.overhang("s")
    assert best.runs == (0.3, 0.3)
    assert best.today.depth == 0.0
    for one in best.tried:
        low, high = one.worth.net
        assert low <= high
        assert one.worth.payback is not None
        middle = (one.worth.money[0] + one.worth.money[1]) / 2.0
        assert middle == pytest.approx(one.net, rel=0.05, abs=0.2)


def test_todays_overhang_is_where_the_curve_is_nought():
    roof = {"depth": 0.5, "gap": 0.2, "left": 1.0, "right": 2.0}
    comparison = compared(pane("s", 180, overhang=roof))
    kinds = day_kinds(comparison.site, comparison.days)
    best = best_overhangs(comparison, kinds)[0]
    assert best.runs == (1.0, 2.0)
    same = next(one for one in best.tried if one.depth == 0.5)
    assert same.worth.net == (0.0, 0.0)
    assert same.worth.kept_out_kwh == (0.0, 0.0)
    assert best.today.depth == 0.5
    assert best.today.kept_out == same.kept_out
    deeper = next(one for one in best.tried if one.depth == 0.8)
    assert deeper.worth.kept_out_kwh[0] > 0.0


def test_an_overhang_is_none_where_each_loses_more_than_it_saves():
    summary = summarize(compared(pane("s", 180), heating=2.0))
    best = summary.overhang("s")
    assert best.best is None
    assert overhang_verdict(best) == "none is worth its loss of winter sun"
    assert advice(summary)[0].startswith("Leave it as it stands")
    assert summary.line(STANDS).worth.money == (0.0, 0.0)
