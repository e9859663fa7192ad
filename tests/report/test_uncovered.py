"""What a plan leaves uncovered is all accounted for, and one step brings what it says."""

from datetime import date
from typing import Any

import pytest
from site_texts import site_of, table, window

from suncover.report.gather import ReportData, gather_report
from suncover.report.uncovered import uncovered_words

QUIET = {"quiet": ["12:00", "14:30"], "in_quiet": "late"}
FIRST, LAST = date(2027, 4, 1), date(2027, 7, 31)


def report(**rules: Any) -> ReportData:
    """A west window behind a tower that takes the sun away for a while in the afternoon."""
    tower = [[-12, -4], [-9, -4], [-9, 1], [-12, 1]]
    site = site_of(
        table("need", season=["05-01", "09-30"]),
        window("w", 270, 1, 1, sill=1, position=[0, 0]),
        table("obstacle", name="tower", footprint=tower, top=30),
        table("shade", name="s", windows=["w"], merge=0, **rules),
    )
    return gather_report(site, FIRST, LAST, FIRST)


def test_hours_of_sun_add_up():
    """Those covered, out of season and let in are all of them, where sun alone is asked for."""
    (shade,) = report(**QUIET).shades
    what = shade.uncovered
    assert what.sun_h == pytest.approx(sum(p.end - p.start for p in shade.sun) / 3600)
    assert what.out_of_season_h > 100
    assert what.let_in_h > 10
    parts = what.covered_h + what.out_of_season_h + what.let_in_h
    # While the motor makes its run the shade counts as up, though its closing has begun.
    assert parts == pytest.approx(what.sun_h, abs=0.5)


def test_the_step_brings_what_a_plan_without_the_rule_covers():
    held, free = (report(**rules).shades[0] for rules in (QUIET, {}))
    step = held.uncovered.step
    assert step.words == "without its quiet hours"
    assert step.hours == pytest.approx(held.uncovered.let_in_h - free.uncovered.let_in_h)
    assert step.moves == sum(free.audit.moves.values()) - sum(held.audit.moves.values())
    words = uncovered_words(report().site, held.shade, held.uncovered)
    assert f"{step.hours:.1f} h of that would be covered, for {step.moves} more moves" in words


def test_where_nothing_is_left_no_step_is_named():
    what = report(shortest=0).shades[0].uncovered
    assert what.let_in_h < 0.5
    assert what.step is None
