"""Closings for slight sun: told only where a scan of the power on the glass never reaches it."""

from datetime import date

import numpy as np
import pytest
from plan_cases import home

from suncover.export.text.plan_text import slight_lines
from suncover.facade.peaks import power_at
from suncover.plan.season import season_plan
from suncover.plan.slight import SLIGHT, power_steps, slight_sun
from suncover.site.model import Need

FIRST, LAST = date(2026, 12, 1), date(2026, 12, 31)


def site_with(**need):
    """In Porto Alegre: a wall to the north under a narrow ledge, and one to the west."""
    wall = {"width": 1.0, "height": 1.3, "sill": 0.9}
    windows = {
        "shy": {"azimuth": 0, **wall, "overhang": {"depth": 0.1}},
        "west": {"azimuth": 270, **wall},
    }
    return home(windows, place=(-30.03, -51.22, "America/Sao_Paulo"), need=need)


def test_slight_closings_are_those_that_a_scan_finds():
    site = site_with()
    plans = {plan.shade: plan for plan in season_plan(site, FIRST, LAST)}
    found = {one.shade: one for one in slight_sun(site, list(plans.values()))}
    assert "west" not in found
    for name, plan in plans.items():
        strongest = {
            row: power_at(site, site.window(name), np.arange(row.close, row.open, 30.0)).max()
            for row in plan.closings
        }
        expected = [row for row, watts in strongest.items() if watts < SLIGHT]
        assert list(found[name].slight if name in found else ()) == expected
    shy = found["shy"]
    assert shy.slight
    assert shy.most < SLIGHT
    (step,) = power_steps([shy])
    assert step.moves == -2 * len(shy.slight)
    text = " ".join(slight_lines([shy]))
    assert f"shy: {len(shy.slight)} of {len(plans['shy'].closings)} closings" in text


def test_with_that_power_those_closings_are_gone():
    site, asked = site_with(), site_with(power=SLIGHT)
    (shy,) = slight_sun(site, season_plan(site, FIRST, LAST))
    plans = {plan.shade: plan for plan in season_plan(asked, FIRST, LAST)}
    kept = [(row.close, row.open) for row in plans["shy"].closings]
    assert not any(
        row.close < end and begin < row.open for row in shy.slight for begin, end in kept
    )
    assert slight_sun(asked, list(plans.values())) == []


@pytest.mark.parametrize("power", [-1.0, float("nan"), float("inf")])
def test_no_such_power(power):
    with pytest.raises(ValueError, match="power"):
        site_with(power=power)
    assert Need(power=0.0).on_glass == (120.0, 0.0, 0.0)
