"""What shades share, and exceptions by date: read, refused, and followed by the plan."""

from __future__ import annotations

from datetime import date, timedelta
from zoneinfo import ZoneInfo

import pytest

from suncover.base import clock
from suncover.base.errors import FileFaults
from suncover.base.spell import Spell, intersect, total_seconds, union
from suncover.export.text.audit_text import audit_text
from suncover.facade import hours as sun_hours
from suncover.plan import season
from suncover.plan.audit import audit_plan
from suncover.plan.closings.shade_plan import Closing
from suncover.site.file.sitefile import site_from_text
from suncover.site.model import Site

HOME = """
[site]
name = "s"
latitude = 47.0
longitude = 8.0
timezone = "Europe/Zurich"
[[window]]
name = "east"
azimuth = 95
width = 1
height = 1
[[window]]
name = "south"
azimuth = 180
width = 1
height = 1
[[shade]]
name = "roller"
windows = ["east"]
travel = 75
lead = 5
"""
QUIET = HOME + 'quiet = ["22:00", "07:00"]\n'
SEVEN = 1780549200  # 4 June 2026, 07:00 in Zurich, 05:00 UTC
FIRST, LAST = date(2026, 6, 1), date(2026, 6, 7)


def plans_of(text: str, first: date = FIRST, last: date = LAST) -> dict[str, tuple[Closing, ...]]:
    site = site_from_text(text)
    return {plan.shade: plan.closings for plan in season.season_plan(site, first, last)}


@pytest.mark.parametrize(
    ("table", "message"),
    [
        (
            '[[supply]]\nname = "a"\nshades = ["rolller"]',
            'no shade is named "rolller", did you mean "roller"?',
        ),
        ('[[supply]]\nname = "a"\nshades = ["east"]', 'no shade is named "east"'),
        (
            '[[group]]\nname = "a"\nshades = ["roller"]\n'
            '[[group]]\nname = "b"\nshades = ["roller"]',
            '"roller" stands in [[group]] "a" already; name it in one group',
        ),
        ('[[supply]]\nname = "a"\nshades = []\nat_once = 0', "at_once"),
        ('[[group]]\nname = "a"\nshades = []\nmove = "apart"', "move"),
        (
            '[[exception]]\nname = "a"\ndates = ["2027-07-24", "2027-07-10"]\ndo = "up"',
            "the last date, 2027-07-10, is before the first, 2027-07-24; swap them",
        ),
        (
            '[[exception]]\nname = "a"\ndates = ["07-10", "07-24"]\ndo = "up"',
            '"07-10" is not a date such as "2027-07-10"',
        ),
        (
            '[[exception]]\nname = "a"\ndates = ["2027-02-29", "2027-07-24"]\ndo = "up"',
            "2027-02-29: February 2027 has no such day",
        ),
    ],
    ids=["slip", "no shade", "twice", "none at once", "move", "backwards", "no year", "no day"],
)
def test_what_is_wrong_is_told(table: str, message: str) -> None:
    with pytest.raises(FileFaults) as caught:
        site_from_text(f"{HOME}\n{table}\n")
    assert message in str(caught.value)


def test_shades_that_move_together_need_the_same_quiet_hours() -> None:
    group = '[[group]]\nname = "g"\nshades = ["roller", "south"]\n'
    with pytest.raises(FileFaults, match="need the same `quiet` and `in_quiet`"):
        site_from_text(QUIET + group)
    site_from_text(QUIET + group + 'move = "own"\n')
    site_from_text(HOME + group)


def test_a_group_closes_while_any_of_it_needs_to() -> None:
    alone = plans_of(HOME)
    text = HOME + '[[group]]\nname = "g"\nshades = ["roller", "south"]\n'
    together = plans_of(text)
    times = [[(c.close, c.open) for c in together[name]] for name in ("roller", "south")]
    assert times[0] == times[1]
    spans = [(c.close, c.open) for c in together["roller"]]
    for name in alone:
        for closing in alone[name]:
            assert any(close <= closing.close and closing.open <= o for close, o in spans)
    audit = audit_plan(site_from_text(text), [c for mine in together.values() for c in mine])
    assert audit is not None
    assert not audit.broken
    own = plans_of(text + 'move = "own"\n')
    assert own == alone


def test_an_exception_of_one_shade_is_the_reason_of_its_whole_group() -> None:
    text = HOME + '[[group]]\nname = "g"\nshades = ["roller", "south"]\n'
    text += '[[exception]]\nname = "guests"\ndates = ["2026-06-04", "2026-06-04"]\n'
    plans = plans_of(text + 'do = "down"\nshades = ["south"]\n')
    for name in ("roller", "south"):
        reasons = [c.reason for c in plans[name] if c.reason.startswith("guests: down ")]
        assert len(reasons) == 1
        assert any(c.reason.startswith("sun ") for c in plans[name])


@pytest.mark.parametrize("move", ["own", "together"])
def test_staying_down_for_an_exception_is_no_sun(move: str) -> None:
    quiet = 'quiet = ["22:00", "07:00"]\nin_quiet = "late"\n'
    text = HOME + quiet + '[[shade]]\nname = "other"\nwindows = ["south"]\n' + quiet
    text += f'[[group]]\nname = "g"\nmove = "{move}"\nshades = ["roller", "other"]\n'
    text += '[[exception]]\nname = "away"\ndates = ["2026-06-04", "2026-06-05"]\ndo = "down"\n'
    site = site_from_text(text)
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


def test_a_supply_spreads_the_starts_of_a_plan_and_the_audit_sees_it() -> None:
    text = HOME.replace('["east"]', '["east", "south"]')
    text += '[[window]]\nname = "low"\nazimuth = 95\nwidth = 1\nheight = 1\n'
    supply = '[[supply]]\nname = "box"\nshades = ["roller", "low"]\ngap = 600\n'
    before, after = plans_of(text), plans_of(text + supply)
    site = site_from_text(text + supply)
    for plan, busy in ((before, True), (after, False)):
        audit = audit_plan(site, [c for mine in plan.values() for c in mine])
        assert audit is not None
        assert bool(audit.overloads) == busy
        assert not any(shade.broken for shade in audit.shades)
        assert audit.broken == busy  # a supply that is asked for too much is a broken promise
        text_of_it = audit_text(site, audit)
        assert ("Not as the site file asks" in text_of_it) == busy
        assert ("supply box: more motors at once" in text_of_it) == busy
        assert ("no supply is asked for too much" in " ".join(text_of_it.split())) != busy


SHARED = {
    "a group": '[[group]]\nname = "g"\nshades = ["roller", "south"]\n',
    "a supply": '[[supply]]\nname = "box"\nshades = ["roller", "low"]\ngap = 600\n',
    "both": '[[group]]\nname = "g"\nshades = ["roller", "south"]\n'
    '[[supply]]\nname = "box"\nshades = ["roller", "low", "south"]\ngap = 300\n'
    '[[exception]]\nname = "away"\ndates = ["2026-06-03", "2026-06-03"]\ndo = "down"\n',
}


@pytest.mark.parametrize("shared", SHARED.values(), ids=SHARED)
def test_an_untouched_plan_is_down_as_long_as_one_made_anew(shared: str) -> None:
    low = '[[window]]\nname = "low"\nazimuth = 95\nwidth = 1\nheight = 1\n'
    site = site_from_text(HOME + low + shared)
    closings = [c for plan in season.season_plan(site, FIRST, LAST) for c in plan.closings]
    audit = audit_plan(site, closings, FIRST, LAST)
    assert audit is not None
    assert not audit.broken
    assert [one.needless for one in audit.shades] == [one.own_needless for one in audit.shades]
    assert "made anew" not in audit_text(site, audit)


def day_of(closing: Closing) -> date:
    return clock.local_date(closing.close, ZoneInfo("Europe/Zurich"))


EXCEPTION = '[[exception]]\nname = "painters"\ndates = [2026-06-03, "2026-06-04"]\n'


def test_a_shade_that_is_to_stay_up_stays_up() -> None:
    plain = plans_of(HOME)
    plans = plans_of(HOME + EXCEPTION + 'do = "up"\nshades = ["roller"]\n')
    assert plans["south"] == plain["south"]
    kept = [c for c in plain["roller"] if c.date not in (date(2026, 6, 3), date(2026, 6, 4))]
    assert list(plans["roller"]) == kept


def test_a_shade_that_is_to_stay_down_is_down_all_day_by_its_rules() -> None:
    site = site_from_text(QUIET + EXCEPTION + 'do = "down"\n')
    plans = {plan.shade: plan.closings for plan in season.season_plan(site, FIRST, LAST)}
    zone = site.place.zone
    for name, closings in plans.items():
        days = clock.dates_bounds(date(2026, 6, 3), date(2026, 6, 4), zone)
        (long,) = [c for c in closings if c.close <= days.start and days.end <= c.open]
        assert long.reason.startswith("painters: down ")
        assert [c.reason.startswith("painters") for c in closings].count(True) == 1, name
    # Quiet hours from 22:00: the motor has done its run of 75 s by then.
    (roller,) = [c for c in plans["roller"] if c.reason.startswith("painters")]
    assert clock.iso_local(roller.close, zone) == "2026-06-02T21:58:45+02:00"
    audit = audit_plan(site, [c for mine in plans.values() for c in mine])
    assert audit is not None
    assert not audit.broken


def test_up_wins_over_down() -> None:
    down = '[[exception]]\nname = "away"\ndates = ["2026-06-01", "2026-06-07"]\ndo = "down"\n'
    site = site_from_text(HOME + down + EXCEPTION + 'do = "up"\n')
    zone = site.place.zone
    up = clock.dates_bounds(date(2026, 6, 3), date(2026, 6, 4), zone)
    for plan in season.season_plan(site, FIRST, LAST):
        assert [
            c for c in plan.closings if up.start + 300 < c.open and c.close < up.end - 900
        ] == []
        assert len(plan.closings) == 2


@pytest.mark.parametrize("day", [date(2026, 3, 29), date(2026, 10, 25)])
def test_a_day_down_is_a_whole_day_when_clocks_change(day: date) -> None:
    dates = f'dates = ["{day}", "{day}"]'
    text = HOME + f'[[exception]]\nname = "x"\n{dates}\ndo = "down"\n'
    closings = plans_of(text, day - timedelta(days=1), day + timedelta(days=1))["south"]
    bounds = clock.day_bounds(day, ZoneInfo("Europe/Zurich"))
    assert any(c.close <= bounds.start and bounds.end <= c.open for c in closings)


def test_a_site_without_any_of_it_has_none() -> None:
    site: Site = site_from_text(HOME)
    assert (site.supplies, site.groups, site.exceptions) == ((), (), ())
