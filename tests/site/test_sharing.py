"""What shades share, and exceptions by date: read, refused, and followed by the plan."""
# ruff: noqa: E501  (a case to a line)

from datetime import date, timedelta
from zoneinfo import ZoneInfo

import pytest
from site_texts import faults, house, table, window

from suncover.base import clock
from suncover.base.spell import Spell, intersect, total_seconds, union
from suncover.export.text.audit_text import audit_text
from suncover.facade import hours as sun_hours
from suncover.plan import season
from suncover.plan.audit import audit_plan
from suncover.site.file.sitefile import site_from_text

ZURICH = ZoneInfo("Europe/Zurich")
HEAD = house(window("east", 95, 1, 1), window("south", 180, 1, 1), at=(47, 8), timezone=ZURICH.key)
LOW = window("low", 95, 1, 1)
SEVEN = 1780549200  # 4 June 2026, 07:00 in Zurich, 05:00 UTC
FIRST, LAST = date(2026, 6, 1), date(2026, 6, 7)


def roller(*windows, **keys):
    return table("shade", name="roller", windows=windows or ["east"], travel=75, lead=5, **keys)


HOME = HEAD + roller()
QUIET = HEAD + roller(quiet=["22:00", "07:00"])


def group(*shades, **keys):
    return table("group", name="g", shades=shades, **keys)


def supply(*shades, gap):
    return table("supply", name="box", shades=shades, gap=gap)


def exception(name, first, last, do, **keys):
    dates = [f"2026-06-0{day}" for day in (first, last)]
    return table("exception", name=name, dates=dates, do=do, **keys)


def plans_of(text, first=FIRST, last=LAST):
    """Its shades' closings by name, which the audit takes."""
    site = site_from_text(text)
    plans = season.season_plan(site, first, last)
    audit = audit_plan(site, [c for plan in plans for c in plan.closings], first, last)
    assert audit is not None
    assert not any(shade.broken for shade in audit.shades)
    return {plan.shade: plan.closings for plan in plans}


EXCEPTION = '[[exception]]\nname = "a"\ndo = "up"\ndates = '


@pytest.mark.parametrize(
    ("tables", "message"),
    [
        ('[[supply]]\nname = "a"\nshades = ["rolller"]', 'no shade is named "rolller", did you mean "roller"?'),
        ('[[supply]]\nname = "a"\nshades = ["east"]', 'no shade is named "east"'),
        (group("roller") + group("roller").replace('"g"', '"b"'), '"roller" stands in [[group]] "g" already; name it in one group'),
        ('[[supply]]\nname = "a"\nshades = []\nat_once = 0', "at_once"),
        ('[[group]]\nname = "a"\nshades = []\nmove = "apart"', "move"),
        (f'{EXCEPTION}["2027-07-24", "2027-07-10"]', "the last date, 2027-07-10, is before the first, 2027-07-24; swap them"),
        (f'{EXCEPTION}["07-10", "07-24"]', '"07-10" is not a date such as "2027-07-10"'),
    ],
)  # fmt: skip
def test_what_is_wrong_is_told(tables, message):
    assert message in "\n".join(faults(f"{HOME}\n{tables}\n"))


def test_shades_that_move_together_need_the_same_quiet_hours():
    [fault] = faults(QUIET + group("roller", "south"))
    assert "need the same `quiet` and `in_quiet`" in fault
    site_from_text(QUIET + group("roller", "south", move="own"))


def test_a_group_closes_while_any_of_it_needs_to():
    alone, together = plans_of(HOME), plans_of(HOME + group("roller", "south"))
    times = [[(c.close, c.open) for c in together[name]] for name in ("roller", "south")]
    assert times[0] == times[1]
    for closing in (closing for closings in alone.values() for closing in closings):
        assert any(close <= closing.close and closing.open <= o for close, o in times[0])
    assert plans_of(HOME + group("roller", "south", move="own")) == alone


def test_an_exception_of_one_shade_is_the_reason_of_its_whole_group():
    guests = exception("guests", 4, 4, "down", shades=["south"])
    plans = plans_of(HOME + group("roller", "south") + guests)
    for name in ("roller", "south"):
        assert sum(c.reason.startswith("guests: down ") for c in plans[name]) == 1
        assert any(c.reason.startswith("sun ") for c in plans[name])


@pytest.mark.parametrize("move", ["own", "together"])
def test_staying_down_for_an_exception_is_no_sun(move):
    quiet = {"quiet": ["22:00", "07:00"], "in_quiet": "late"}
    other = table("shade", name="other", windows=["south"], **quiet)
    more = group("roller", "other", move=move) + exception("away", 4, 5, "down")
    site = site_from_text(HEAD + roller(**quiet) + other + more)
    suns = season.shade_sun(site, FIRST, LAST)
    hours = sun_hours.hours(site, FIRST, LAST)
    for sun, plan in zip(suns, season.plans_for(site, suns), strict=True):
        # The sun is the sun's own, whatever the shade does.
        (window,) = sun.shade.windows
        assert sun.needed == {window: hours[window]}
        # It is to be down from midnight and closes when quiet hours end.
        night = Spell(SEVEN - 7 * 3600, SEVEN)
        left = [part for part in plan.uncovered if night.start <= part.start < night.end]
        assert union(Spell(part.start, part.end) for part in left) == (night,)
        for part in left:
            spell = [Spell(part.start, part.end)]
            assert total_seconds(intersect(spell, hours[window])) == part.sun * spell[0].seconds
        away = next(c for c in plan.closings if c.reason.startswith("away: down "))
        sunny = intersect([Spell(away.close, away.open)], hours[window])
        assert away.sun_seconds == total_seconds(sunny)


def test_a_supply_spreads_the_starts_of_a_plan_and_the_audit_sees_it():
    text = HEAD + roller("east", "south") + LOW
    shared = text + supply("roller", "low", gap=600)
    site = site_from_text(shared)
    for plans, busy in ((plans_of(text), True), (plans_of(shared), False)):
        audit = audit_plan(site, [c for closings in plans.values() for c in closings])
        assert not any(shade.broken for shade in audit.shades)
        # A supply that is asked for too much is a broken promise.
        assert bool(audit.overloads) == audit.broken == busy
        told = " ".join(audit_text(site, audit).split())
        assert ("Not as the site file asks" in told) == busy
        assert ("supply box: more motors at once" in told) == busy
        assert ("no supply is asked for too much" in told) != busy


@pytest.mark.parametrize(
    "shared",
    [
        group("roller", "south"),
        supply("roller", "low", gap=600),
        group("roller", "south")
        + supply("roller", "low", "south", gap=300)
        + exception("away", 3, 3, "down"),
    ],
    ids=["a group", "a supply", "both"],
)
def test_an_untouched_plan_is_down_as_long_as_one_made_anew(shared):
    site = site_from_text(HOME + LOW + shared)
    closings = [c for plan in season.season_plan(site, FIRST, LAST) for c in plan.closings]
    audit = audit_plan(site, closings, FIRST, LAST)
    assert not audit.broken
    assert [shade.needless for shade in audit.shades] == [s.own_needless for s in audit.shades]
    assert "made anew" not in audit_text(site, audit)


def test_a_shade_that_is_to_stay_up_stays_up():
    plain = plans_of(HOME)
    plans = plans_of(HOME + exception("painters", 3, 4, "up", shades=["roller"]))
    assert plans["south"] == plain["south"]
    kept = [c for c in plain["roller"] if c.date not in (date(2026, 6, 3), date(2026, 6, 4))]
    assert list(plans["roller"]) == kept


def test_a_shade_that_is_to_stay_down_is_down_all_day_by_its_rules():
    plans = plans_of(QUIET + exception("painters", 3, 4, "down"))
    days = clock.dates_bounds(date(2026, 6, 3), date(2026, 6, 4), ZURICH)
    for closings in plans.values():
        (long,) = [c for c in closings if c.close <= days.start and days.end <= c.open]
        assert long.reason.startswith("painters: down ")
        assert [c.reason.startswith("painters") for c in closings].count(True) == 1
    # Quiet hours from 22:00: the motor has done its run of 75 s by then.
    (long,) = [c for c in plans["roller"] if c.reason.startswith("painters")]
    assert clock.iso_local(long.close, ZURICH) == "2026-06-02T21:58:45+02:00"


def test_up_wins_over_down():
    text = HOME + exception("away", 1, 7, "down") + exception("painters", 3, 4, "up")
    up = clock.dates_bounds(date(2026, 6, 3), date(2026, 6, 4), ZURICH)
    for closings in plans_of(text).values():
        assert not [c for c in closings if up.start + 300 < c.open and c.close < up.end - 900]
        assert len(closings) == 2


@pytest.mark.parametrize("day", [date(2026, 3, 29), date(2026, 10, 25)])
def test_a_day_down_is_a_whole_day_when_clocks_change(day):
    text = HOME + table("exception", name="x", dates=[day, day], do="down")
    closings = plans_of(text, day - timedelta(days=1), day + timedelta(days=1))["south"]
    bounds = clock.day_bounds(day, ZURICH)
    assert any(c.close <= bounds.start and bounds.end <= c.open for c in closings)
