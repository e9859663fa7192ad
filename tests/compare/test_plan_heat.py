"""The heat of any plan: the rules' own, the best, one changed by hand, another year's."""

from dataclasses import replace
from datetime import date
from functools import cache

import numpy as np
import pytest
from command_line import ok, write_home

from suncover.base.errors import RequestError
from suncover.compare.given import in_year
from suncover.compare.plan_heat import plan_heat
from suncover.compare.year import Comparison, compare_year
from suncover.export.files.plan_csv import plan_csv
from suncover.export.files.plan_read import plan_from_text
from suncover.plan.season import season_plan
from suncover.site.file.sitefile import site_from_text
from suncover.sun.weather.load import load_weather

HOME = """
site = {name = "x", latitude = 36.1, longitude = -79.95, timezone = "America/New_York"}
need.season = ["05-01", "09-30"]
weather.file = "bundled:greensboro"
window = [{name = "w", azimuth = 250, width = 1.5, height = 1.4}]
"""
SITE = site_from_text(HOME)


@pytest.fixture(scope="module")
def year() -> Comparison:
    return compare_year(SITE, load_weather(SITE))


@cache
def planned(of):
    return season_plan(SITE, date(of, 5, 1), date(of, 9, 30))


def of_2026():
    return rows_of(planned(2026))


def rows_of(plans):
    return [row for plan in plans for row in plan.closings]


def test_the_rules_own_plan_is_the_option_both(year):
    given = year.with_plan("mine", planned(2026))
    mine, both = (given.outcomes[name]["w"] for name in ("mine", "both"))
    assert mine.admitted == pytest.approx(both.admitted, rel=1e-9, abs=1e-6)
    assert mine.closed_h == pytest.approx(both.closed_h)
    assert "mine" not in year.outcomes  # the first comparison is as it was


def test_last_years_plan_drifts_by_little(year):
    """A year later the sun is where it was within a quarter of a day's way: 0.1° of declination."""
    given = year.with_plan("old", planned(2025))
    old, both = (given.house(name).sum() for name in ("old", "both"))
    assert old == pytest.approx(both, rel=2e-3)
    assert old != both


def test_a_plan_read_from_its_csv_is_the_same(year):
    text = plan_csv(of_2026(), SITE.place.zone).decode()
    rows = plan_from_text(text, ["w"], SITE.place.zone)
    given = year.with_plan("csv", rows)
    assert given.house("csv") == pytest.approx(year.house("both"))


def test_a_plan_that_closes_less_lets_in_more(year):
    rows = of_2026()
    half = rows[::2]
    heat, full = plan_heat(year, half), plan_heat(year, rows)
    assert heat.up_kwh > heat.plan_kwh > heat.rules_kwh
    assert full.plan_kwh == pytest.approx(full.rules_kwh)
    assert heat.plan.kept_out_kwh[1] < heat.rules.kept_out_kwh[1]
    assert full.days == 153


def test_days_that_the_plan_is_not_for_do_not_count(year):
    june = [row for row in of_2026() if row.date.month == 6]
    heat = plan_heat(year, june)
    assert heat.days <= 30
    days = np.array([day.month == 6 for day in year.days.dates])
    bare = year.days.sums(year.house("overhang"))[days].sum() / 1000.0
    assert heat.up_kwh == pytest.approx(bare, rel=0.08)  # less the days without sun at its ends


def test_half_closed_keeps_out_half(year):
    rows = of_2026()
    half = [replace(row, position=50) for row in rows]
    up = year.house("overhang").sum()
    kept = [up - year.with_plan("p", some).house("p").sum() for some in (rows, half)]
    assert kept[1] == pytest.approx(kept[0] / 2)


def test_closings_over_the_new_year_keep_their_dates(year):
    rows = of_2026()[:2]
    winter = replace(rows[0], date=date(2024, 12, 30), close=1735578000, open=1735588800)
    next_day = replace(rows[1], date=date(2025, 1, 2), close=1735837200, open=1735848000)
    moved = in_year([winter, next_day], year.days, SITE)
    assert [row.date for row in moved] == [date(2026, 12, 30), date(2026, 1, 2)]
    leap = replace(rows[0], date=date(2024, 2, 29), close=1709222400, open=1709226000)
    assert in_year([leap], year.days, SITE) == ()


def test_names_that_are_not_known_or_taken_are_told(year):
    rows = of_2026()[:3]
    with pytest.raises(RequestError, match='an option "both" already'):
        year.with_plan("both", rows)
    with pytest.raises(RequestError, match='no shade is named "ww", did you mean "w"'):
        year.with_plan("p", [replace(rows[0], shade="ww")])
    with pytest.raises(RequestError, match='no option is named "boht", did you mean "both"'):
        year.house("boht")
    assert plan_heat(year, []) is None


def test_audit_and_compare_tell_the_same_of_a_plan(tmp_path):
    home, plan = write_home(tmp_path, HOME), tmp_path / "july.csv"
    rows = season_plan(SITE, date(2027, 5, 1), date(2027, 9, 30))
    plan.write_bytes(plan_csv(rows_of(rows), SITE.place.zone))
    let_in = ok("audit", home, plan, "--heat", "--format", "json").json["heat"]["let_in_kwh"]
    compared = ok("compare", home, "--plan", plan, "--format", "json").json["house"]
    house = {line["option"]: line["admitted_kwh"] for line in compared}
    spared = house["overhang"] - house["plan july"]
    assert let_in["shades_up"] - let_in["plan"] == pytest.approx(spared, abs=0.01)
    assert "The heat of it" in ok("audit", home, plan, "--heat").out
    assert "w,plan july,year," in ok("compare", home, "--plan", plan, "--format", "csv").out
