"""The sweep of overhangs: the same as comparing each, quick, and best where it should be."""

import numpy as np
import pytest

from suncover.compare.money import day_kinds
from suncover.compare.overhangs import DEPTHS, best_overhangs
from suncover.compare.year import Comparison, compare_year
from suncover.site.model import Fin, Money, Need, Overhang, Place, Site, Window
from suncover.site.options import Option
from suncover.sun.weather.files import bundled_path, read_weather
from suncover.sun.weather.load import load_weather

PLACE = Place(name="x", latitude=36.1, longitude=-79.95, elevation=273)
ROOF = Overhang(depth=0.6, gap=0.2, left=0.4, right=0.1)


def window(name: str, azimuth: float, **more) -> Window:
    return Window(name=name, azimuth=azimuth, width=1.2, height=1.4, **more)


def run(*windows: Window, **more) -> Comparison:
    path = bundled_path("greensboro")
    site = Site(place=PLACE, need=Need(season=((4, 15), (10, 15))), windows=windows, **more)
    return compare_year(site, read_weather(path))


@pytest.fixture(scope="module")
def south() -> Comparison:
    deep = Option(name="deep", overhang=ROOF.model_copy(update={"depth": 1.2}))
    return run(
        window("plain", 180, overhang=ROOF),
        window("finned", 150, overhang=ROOF, reveal=0.1, fin=(Fin(side="left", depth=0.3),)),
        options=(deep,),
    )


@pytest.mark.parametrize("name", ["plain", "finned"])
@pytest.mark.parametrize(("depth", "option"), [(0.6, "overhang"), (1.2, "deep")])
def test_a_swept_depth_is_what_the_comparison_says_of_it(south, name, depth, option):
    kinds = day_kinds(south.site, south.days)
    found = {b.window: b for b in best_overhangs(south, kinds, (depth,), (0.2,))}[name]
    bare, out = (south.outcomes[o][name].admitted for o in ("bare", option))
    spared = south.days.sums(bare - out) / 1000.0
    swept = found.tried[0]
    # Coarser cells of the view factors: 3e-4 of the dome's light.
    assert swept.kept_out == pytest.approx(float(spared[kinds.cooling[0]].sum()), rel=3e-3)
    assert swept.lost == pytest.approx(float(spared[kinds.heating[0]].sum()), rel=3e-3)


def test_deeper_keeps_out_more_and_costs_more_winter_sun(south):
    for best in best_overhangs(south, day_kinds(south.site, south.days)):
        assert len(best.tried) == len(DEPTHS)
        for column in ("kept_out", "lost"):
            assert (np.diff([getattr(tried, column) for tried in best.tried]) > 0).all()
        assert best.best.net == max(tried.net for tried in best.tried)
    kinds = day_kinds(south.site, south.days)
    best = best_overhangs(south, kinds, (0.4, 0.8), (0.0, 0.3))[0]  # gaps are swept too
    tried = {(t.depth, t.gap): t for t in best.tried}
    assert set(tried) == {(0.4, 0.0), (0.8, 0.0), (0.4, 0.3), (0.8, 0.3)}
    assert tried[0.4, 0.0].kept_out > tried[0.4, 0.3].kept_out


def test_dear_heat_asks_for_a_shallower_roof_and_dear_cooling_for_a_deeper():
    money = {
        "cold": Money(electricity=(0.1, 0.1), heating=(0.3, 0.3)),
        "even": Money(electricity=(0.2, 0.2), heating=(0.08, 0.08)),
        "hot": Money(electricity=(0.5, 0.5), heating=(0.01, 0.01)),
    }
    depths = {}
    for name, prices in money.items():
        comparison = run(window("s", 180), money=prices)
        best = best_overhangs(comparison, day_kinds(comparison.site, comparison.days))[0]
        depths[name] = best.best.depth if best.best is not None else 0.0
    assert depths["cold"] < depths["even"] < depths["hot"]
    assert depths["cold"] == 0.0
    assert depths["hot"] == max(DEPTHS)


def test_the_shade_is_counted_the_same_way(south):
    kinds = day_kinds(south.site, south.days)
    best = best_overhangs(south, kinds, (0.6,))[0]
    bare, shade = (south.outcomes[o]["plain"].admitted for o in ("bare", "shade"))
    spared = south.days.sums(bare - shade) / 1000.0
    assert best.unit == "kWh of electricity"
    # The defaults: COP 3 to 4.1, shares of 0.5 to 0.9 and 0.4 to 0.8, taken at their middles.
    cop = (3.0 + 4.1) / 2
    net = spared[kinds.cooling[0]].sum() * 0.7 / cop - spared[kinds.heating[0]].sum() * 0.6 / cop
    assert best.shade_net == pytest.approx(float(net))


def test_obstacles_and_trees_are_kept_in_the_sweep():
    """A wall that takes all the beam leaves an overhang little to do."""
    wall = {"name": "wall", "footprint": ((-30, -4), (30, -4), (30, -3), (-30, -3)), "top": 9.0}
    free = run(window("s", 180, position=(0.0, 0.0)))
    walled = run(window("s", 180, position=(0.0, 0.0)), obstacle=(wall,))
    assert load_weather(free.site).clear
    kept = [
        best_overhangs(c, day_kinds(c.site, c.days), (0.8,))[0].tried[0].kept_out
        for c in (free, walled)
    ]
    assert 0 < kept[1] < 0.5 * kept[0]
