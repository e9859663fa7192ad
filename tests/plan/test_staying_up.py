"""A shade of a group that has to stay up by a calendar goes its own way, and what is said of it."""

from dataclasses import replace
from datetime import date
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from plan_cases import spans

from suncover.base import clock
from suncover.base.spell import intersect, subtract, union
from suncover.plan import season
from suncover.plan.asked import asked_plans
from suncover.plan.audit import audit_plan
from suncover.plan.day_plan import plan_day
from suncover.plan.exceptions import up_spells
from suncover.plan.motor import any_in, timing_of
from suncover.plan.timers.variants import Variant
from suncover.site.file.sitefile import load_site

HOME = """
site = {name = "s", latitude = 47.0, longitude = 8.0, timezone = "Europe/Zurich"}
window = [
  {name = "east", azimuth = 95, width = 1, height = 1.2},
  {name = "south", azimuth = 180, width = 1, height = 1.2},
  {name = "west", azimuth = 265, width = 1, height = 1.2, \
skyline = [[240, 0], [250, 40], [262, 40], [263, 0]]},
]
shade = [
  {name = "east roller", windows = ["east", "west"], travel = 75, lead = 5, moves = 6},
  {name = "south roller", windows = ["south"], travel = 30, merge = 10},
  {name = "west roller", windows = ["west"], travel = 55, lag = 3},
]
group = [{name = "g", shades = ["east roller", "south roller", "west roller"]}]
calendar = [{file = "family.ics", event = [{words = ["cleaning"], do = "up", shades = SHADES}]}]
"""
EVENT = "BEGIN:VEVENT\nUID:{n}@s.example\nSUMMARY:Cleaning\n{times}\nEND:VEVENT\n"
CLEANING = (
    # In the midst of the sun, as it comes on the east wall, on two walls, all day, and two days.
    "DTSTART:20260602T100000\nDURATION:PT45M",
    "DTSTART:20260603T062000\nDURATION:PT20M",
    "DTSTART:20260604T125000\nDURATION:PT15M",
    "DTSTART;VALUE=DATE:20260606\nDURATION:P1D",
    "DTSTART:20260608T160000\nDTEND:20260609T120000",
)
DATES = date(2026, 6, 1), date(2026, 6, 12)
EAST, SOUTH, WEST = ALL = ("east roller", "south roller", "west roller")


@cache
def made(shades=(EAST,), variant=Variant(), best=False):  # noqa: B008
    """A site, its plans by the names of its shades, and when each of them has to stay up."""
    with TemporaryDirectory() as folder:
        events = "".join(EVENT.format(n=n, times=times) for n, times in enumerate(CLEANING))
        begin = "BEGIN:VCALENDAR\nVERSION:2.0\nPRODID:-//s//EN\n"
        Path(folder, "family.ics").write_text(f"{begin}{events}END:VCALENDAR\n")
        file = Path(folder, "home.toml")
        file.write_text(HOME.replace("SHADES", str(list(shades)).replace("'", '"')))
        site = load_site(file)
    suns = season.shade_sun(site, *DATES)
    plans = asked_plans(site, suns, DATES, variant, best=best).varied.plans
    up = {sun.shade.name: up_spells(sun.exceptions) for sun in suns}
    return site, {plan.shade: plan for plan in plans}, up


def times(rows):
    return [(row.close, row.open) for row in rows]


def travel_of(site, name):
    (shade,) = [shade for shade in site.shades if shade.name == name]
    return timing_of(shade).travel


STEADY, WEEK = Variant(steady_minutes=10), Variant(every="week")
LONG, BOTH = Variant(steady_minutes=120), Variant(round_minutes=5, steady_minutes=10)


@pytest.mark.parametrize("best", [False, True], ids=["by rules", "best"])
@pytest.mark.parametrize("variant", [Variant(), STEADY], ids=["daily", "steady"])
@pytest.mark.parametrize("name", ALL)
def test_shades_of_a_group_keep_the_same_times_but_for_that(name, variant, best):
    """What would move it while it stays up goes; in its place it closes within that time alone."""
    site, plans, held_up = made((name,), variant, best)
    one, other = (plan.closings for shade, plan in plans.items() if shade != name)
    assert times(one) == times(other)
    assert len(one) >= 8
    up, travel, mine = held_up[name], travel_of(site, name), plans[name].closings
    kept = [row for row in one if not any_in(up, row.close, row.open + travel)]
    gone = spans(row for row in one if row not in kept)
    assert gone
    assert times(kept) == times([row for row in mine if not row.apart])
    own = [row for row in mine if row.apart]
    assert own
    assert subtract(spans(own), gone) == ()
    if not best:
        rows = [row for plan in plans.values() for row in plan.closings]
        assert not audit_plan(site, rows, *DATES).broken


@pytest.mark.parametrize("shades", [ALL, (EAST,)], ids=["all", "one"])
@pytest.mark.parametrize(
    ("variant", "best"),
    [(STEADY, False), (LONG, False), (BOTH, False), (STEADY, True)],
    ids=["steady", "steady for long", "round, steady", "best, steady"],
)
def test_a_setting_is_said_of_the_rows_that_have_it(variant, best, shades):
    site, plans, _ = made(shades, variant, best)
    settings = 0
    for plan in plans.values():
        said = {}
        for row in plan.closings:
            _, _, setting = row.reason.partition("; one setting for ")
            if setting:
                places = [other for other in plan.closings if other.date == row.date]
                key = (setting, len(places), places.index(row))
                ends = (clock.clock_text(at, site.place.zone) for at in (row.close, row.open))
                said.setdefault(key, set()).add(tuple(ends))
        assert all(len(ends) == 1 for ends in said.values())
        settings += len(said)
    assert settings >= 3


def test_the_audit_finds_a_shade_that_goes_with_its_group_all_the_same():
    site, plans, up = made()
    rows = [row for name in (SOUTH, WEST) for row in plans[name].closings]
    rows += [replace(row, shade=EAST) for row in plans[SOUTH].closings]
    (broken,) = [one for one in audit_plan(site, rows, *DATES).shades if one.broken]
    assert broken.shade == EAST
    travel = travel_of(site, EAST)
    busy = spans(replace(r, open=r.open + travel) for r in plans[SOUTH].closings)
    assert union(broken.not_up) == union(intersect(up[EAST], busy))


def test_only_the_timer_of_the_shade_that_stays_up_has_to_be_set_by_hand():
    _, plans, _ = made(variant=WEEK)
    by_hand = [n for n, plan in plans.items() if "switch it off" in " ".join(plan.remarks)]
    assert by_hand == [EAST]
    (remark,) = plans[EAST].remarks
    assert remark.startswith("on 6 days, the first 2 Jun, exceptions rule")
    for name in (SOUTH, WEST):
        assert all(r.reason.startswith("one setting") for r in plans[name].closings)


@pytest.mark.parametrize("shades", [(EAST,), (SOUTH,)], ids="".join)
def test_a_day_of_the_plan_has_the_rows_of_the_season(shades):
    site, plans, _ = made(shades)
    for day in (date(2026, 6, 2), date(2026, 6, 4), date(2026, 6, 6)):
        for one in plan_day(site, day):
            rows = plans[one.shade.name].closings
            assert list(one.closings) == [row for row in rows if row.date == day]


@pytest.mark.parametrize("best", [False, True], ids=["by rules", "best"])
def test_what_stays_up_is_no_reason_for_the_others_to_close(best):
    """All of 6 June the east roller stays up: its own window is in no reason of that day."""
    _, plans, _ = made(best=best)
    said = {row.date.day: row.reason for row in plans[SOUTH].closings if row.date.day in (5, 6)}
    assert "east" in said[5]
    assert "south" in said[6]
    assert "east" not in said[6]
