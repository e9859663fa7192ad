"""The comparison's shade closes for what the site asks of it, and as far down as its plan says."""

import numpy as np
import pytest

from suncover.compare.summary import of_always, summarize
from suncover.compare.year import compare_year
from suncover.export.text.compare_text import advice
from suncover.plan import season
from suncover.site.model import Site
from suncover.sun.weather.load import clear_year

HOME = {
    "site": {"name": "x", "latitude": 36.1, "longitude": -79.95, "timezone": "America/New_York"},
    "window": [{"name": "study", "azimuth": 200, "width": 1.6, "height": 1.4, "sill": 0.8}],
    "spot": [{"name": "screen", "window": "study", "distance": 0.8, "height": 1.5}],
}


def compared(**shade):
    entry = {"name": "roller", "windows": ["study"], "travel": 0, "lead": 0, "lag": 0, **shade}
    site = Site.model_validate({**HOME, "shade": [{"merge": 0, "shortest": 0, **entry}]})
    return site, compare_year(site, clear_year(site.place))


def closed_hours(comparison):
    return comparison.outcomes["shade"]["study"].closed_h


def year_of(comparison):
    return min(comparison.days.dates), max(comparison.days.dates)


def test_a_shade_for_glare_is_closed_as_its_plan_says():
    site, comparison = compared(need={"for": ["glare"]})
    (plan,) = season.season_plan(site, *year_of(comparison))
    planned = sum(closing.open - closing.close for closing in plan.closings) / 3600
    # Only hours of daylight count, and the sun is up while it dazzles.
    assert closed_hours(comparison) == pytest.approx(planned, rel=1e-6)
    _, heat = compared()
    assert 0 < closed_hours(comparison) < 0.7 * closed_hours(heat)


def test_part_of_the_way_down_keeps_out_that_part():
    """The screen needs no more than 50 %; a shade that far down covers half of the glass."""
    _, whole = compared(need={"for": ["glare"]})
    _, half = compared(need={"for": ["glare"]}, stops=[50, 100])
    bare = whole.outcomes["bare"]["study"].admitted.sum()
    kept = [bare - c.outcomes["shade"]["study"].admitted.sum() for c in (whole, half)]
    assert kept[1] == pytest.approx(kept[0] / 2, rel=1e-6)
    assert closed_hours(half) == pytest.approx(closed_hours(whole) / 2, rel=1e-6)


def test_shades_that_move_together_go_no_farther_down_than_they_need_to():
    """Two over one window, each of which would go half of the way down by itself."""
    entry = {"windows": ["study"], "stops": [50, 100], "need": {"for": ["glare"]}}
    rules = {"travel": 0, "lead": 0, "lag": 0, "merge": 0, "shortest": 0}
    shades = [{"name": name, **entry, **rules} for name in ("inner", "outer")]
    group = [{"name": "g", "shades": ["inner", "outer"]}]
    alone, together = (
        compare_year(site, clear_year(site.place))
        for site in (
            Site.model_validate({**HOME, "shade": shades}),
            Site.model_validate({**HOME, "shade": shades, "group": group}),
        )
    )
    assert closed_hours(together) == pytest.approx(closed_hours(alone), rel=1e-9)


def test_sleep_keeps_out_the_suns_first_hours():
    need = {"for": ["sleep"], "sleep": {"dark": ["21:00", "09:00"]}}
    _, comparison = compared(need=need)
    bare, shade = (comparison.outcomes[name]["study"].admitted for name in ("bare", "shade"))
    assert (shade <= bare + 1e-9).all()
    assert 0 < np.sum(bare - shade) < 0.3 * bare.sum()


def test_a_plan_for_more_than_heat_is_not_held_against_a_season_for_heat():
    """For heat and glare it keeps out more than the shade closed through the season for heat."""
    short = {"for": ["heat", "glare"], "season": ["06-01", "06-30"]}
    _, comparison = compared(need=short)
    summary = summarize(comparison)
    share = of_always(summary)
    assert share > 1.0
    assert not any("closing all season" in sentence for sentence in advice(summary))
