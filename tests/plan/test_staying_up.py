"""A shade that has to stay up is up and does not move, in whatever way its plan is made; shades of
a group keep the same times but for that.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from functools import cache
from itertools import pairwise
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import NamedTuple

import pytest

from suncover.base import clock
from suncover.base.spell import Spell, intersect, subtract, union
from suncover.plan import season
from suncover.plan.audit import audit_plan
from suncover.plan.best.plans import best_plans
from suncover.plan.closings.shade_plan import Closing, ShadePlan
from suncover.plan.day_plan import plan_day
from suncover.plan.exceptions import up_spells
from suncover.plan.motor import any_in, timing_of
from suncover.plan.timers.variants import Variant, vary
from suncover.site.file.sitefile import load_site
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
height = 1.2
[[window]]
name = "south"
azimuth = 180
width = 1
height = 1.2
[[window]]
name = "west"
azimuth = 265
width = 1
height = 1.2
skyline = [[240, 0], [250, 40], [262, 40], [263, 0]]
[[shade]]
name = "east roller"
windows = ["east", "west"]
travel = 75
lead = 5
moves = 6
[[shade]]
name = "south roller"
windows = ["south"]
travel = 30
merge = 10
[[shade]]
name = "west roller"
windows = ["west"]
travel = 55
lag = 3
"""
GROUP = '[[group]]\nname = "g"\nshades = ["east roller", "south roller", "west roller"]\n'
SUPPLY = '[[supply]]\nname = "box"\nshades = ["east roller", "south roller", "west roller"]\n'
CALENDAR = """
[[calendar]]
file = "family.ics"
[[calendar.event]]
words = ["cleaning"]
do = "up"
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
FIRST, LAST = date(2026, 6, 1), date(2026, 6, 12)


class Kind(NamedTuple):
    """How a plan is made."""

    best: bool = False
    supply: str = ""
    variant: Variant | None = None


ROUND, STEADY = Variant(round_minutes=5), Variant(steady_minutes=10)
KINDS = {
    "by rules": Kind(),
    "best": Kind(best=True),
    "supply": Kind(supply=SUPPLY),
    "best, supply": Kind(best=True, supply=SUPPLY + "gap = 120\n"),
    "round": Kind(variant=ROUND),
    "round to the hour": Kind(variant=Variant(round_minutes=60)),
    "round, supply": Kind(supply=SUPPLY, variant=ROUND),
    "best, round": Kind(best=True, variant=ROUND),
    "steady": Kind(variant=STEADY),
    "steady for long": Kind(variant=Variant(steady_minutes=120)),
    "round, steady": Kind(variant=Variant(round_minutes=5, steady_minutes=10)),
    "steady, supply": Kind(supply=SUPPLY, variant=STEADY),
    "best, steady": Kind(best=True, variant=STEADY),
    "every day": Kind(variant=Variant(every="day")),
    "every week": Kind(variant=Variant(every="week")),
    "every week, round": Kind(variant=Variant(every="week", round_minutes=5)),
    "every month": Kind(variant=Variant(every="month")),
    "every week, supply": Kind(supply=SUPPLY, variant=Variant(every="week")),
}
CASES = {
    "a shade of its own": ("", ("south roller",)),
    "a whole group": (GROUP, None),
    "one of a group": (GROUP, ("east roller",)),
    "another of a group": (GROUP, ("south roller",)),
    "two of a group": (GROUP, ("east roller", "west roller")),
}


class Made(NamedTuple):
    """The plans of a site with the sun they are made for, and when each shade has to stay up."""

    site: Site
    suns: Sequence[season.ShadeSun]
    plans: dict[str, ShadePlan]
    up: dict[str, tuple[Spell, ...]]


@cache
def made(kind: Kind, group: str, shades: tuple[str, ...] | None) -> Made:
    mine = "" if shades is None else f"shades = {list(shades)}\n".replace("'", '"')
    with TemporaryDirectory() as folder:
        events = "".join(EVENT.format(n=n, times=times) for n, times in enumerate(CLEANING))
        begin = "BEGIN:VCALENDAR\nVERSION:2.0\nPRODID:-//s//EN\n"
        Path(folder, "family.ics").write_text(f"{begin}{events}END:VCALENDAR\n")
        home = Path(folder, "home.toml")
        home.write_text(HOME + group + kind.supply + CALENDAR + mine)
        site = load_site(home)
    suns = season.shade_sun(site, FIRST, LAST)
    if kind.best:
        light = season.light_of(site, clock.dates_bounds(FIRST, LAST, site.place.zone))
        plans = [one.plan for one in best_plans(site, suns, light)]
    else:
        plans = season.plans_for(site, suns)
    if kind.variant is not None:
        plans = list(vary(site, suns, plans, (FIRST, LAST), kind.variant).plans)
    up = {sun.shade.name: up_spells(sun.exceptions) for sun in suns}
    return Made(site, suns, {plan.shade: plan for plan in plans}, up)


every_plan = pytest.mark.parametrize("kind", KINDS.values(), ids=KINDS)
every_case = pytest.mark.parametrize("case", CASES.values(), ids=CASES)


@every_plan
@every_case
def test_no_shade_is_down_or_moves_while_it_has_to_stay_up(
    kind: Kind, case: tuple[str, tuple[str, ...] | None]
) -> None:
    found = made(kind, *case)
    held_up = {name for name, up in found.up.items() if up}
    assert held_up == set(case[1] or found.up)
    for shade in found.site.shades:
        travel = timing_of(shade).travel
        rows = found.plans[shade.name].closings
        assert len(rows) >= 8, shade.name
        for row in rows:
            assert not any_in(found.up[shade.name], row.close, row.open + travel), row
        for before, after in pairwise(rows):
            assert before.open + travel <= after.close


@every_plan
@every_case
def test_what_a_shade_needs_is_covered_or_told(
    kind: Kind, case: tuple[str, tuple[str, ...] | None]
) -> None:
    found = made(kind, *case)
    for sun in found.suns:
        plan = found.plans[sun.shade.name]
        rows = union(Spell(row.close, row.open) for row in plan.closings)
        told = [Spell(part.start, part.end) for part in plan.uncovered]
        assert list(union(told)) == sorted(told), "in order, and never twice"
        assert intersect(told, rows) == ()
        need = union(season.needed_by(sun))
        assert subtract(subtract(need, rows), told) == ()
        assert subtract(told, need) == ()


def travel_of(site: Site, name: str) -> int:
    (shade,) = [shade for shade in site.shades if shade.name == name]
    return timing_of(shade).travel


def times(rows: Sequence[Closing]) -> list[tuple[int, int]]:
    return [(row.close, row.open) for row in rows]


def on_days_of(up: Sequence[Spell], row: Closing, site: Site) -> bool:
    """Whether a closing has a part in the days that some times touch."""
    zone = site.place.zone
    days = union(
        clock.dates_bounds(clock.local_date(s.start, zone), clock.local_date(s.end - 1, zone), zone)
        for s in up
    )
    return any_in(days, row.close, row.open)


ALIKE = {name: kind for name, kind in KINDS.items() if not kind.supply}


@pytest.mark.parametrize("kind", ALIKE.values(), ids=ALIKE)
@pytest.mark.parametrize("shades", [None, ("east roller",), ("south roller",), ("west roller",)])
def test_shades_of_a_group_keep_the_same_times_but_for_that(
    kind: Kind, shades: tuple[str, ...] | None
) -> None:
    """Starts that a supply spreads are not the same anyway."""
    found = made(kind, GROUP, shades)
    others = [plan for name, plan in found.plans.items() if name not in (shades or ())]
    for one, other in pairwise(others):
        assert times(one.closings) == times(other.closings)
    for name in shades or ():
        up, travel = found.up[name], travel_of(found.site, name)
        mine, theirs = found.plans[name].closings, others[0].closings
        if kind.variant and kind.variant.every:  # such days are no part of any setting
            mine, theirs = (
                [row for row in rows if not on_days_of(up, row, found.site)]
                for rows in (mine, theirs)
            )
            assert times(mine) == times(theirs)
            continue
        kept = [row for row in theirs if not any_in(up, row.close, row.open + travel)]
        gone = union(Spell(row.close, row.open) for row in theirs if row not in kept)
        assert gone
        own = [row for row in mine if row.apart]
        assert times(kept) == times([row for row in mine if not row.apart])
        assert own
        assert all(subtract([Spell(row.close, row.open)], gone) == () for row in own)


@pytest.mark.parametrize("shades", [None, ("east roller",)], ids=["all", "one"])
@pytest.mark.parametrize("kind", ["steady", "steady for long", "round, steady", "best, steady"])
def test_a_setting_is_said_of_the_rows_that_have_it(
    kind: str, shades: tuple[str, ...] | None
) -> None:
    found = made(KINDS[kind], GROUP, shades)
    zone = found.site.place.zone
    settings = 0
    for plan in found.plans.values():
        said: dict[tuple[str, int, int], set[tuple[str, str]]] = {}
        for row in plan.closings:
            _, _, setting = row.reason.partition("; one setting for ")
            if setting:
                places = [other for other in plan.closings if other.date == row.date]
                key = (setting, len(places), places.index(row))
                ends = [clock.clock_text(at, zone) for at in (row.close, row.open)]
                said.setdefault(key, set()).add((ends[0], ends[1]))
        assert all(len(ends) == 1 for ends in said.values())
        settings += len(said)
    assert settings >= 3


@pytest.mark.parametrize("kind", [n for n, k in KINDS.items() if not k.best])
@every_case
def test_the_audit_of_such_a_plan_finds_nothing(
    kind: str, case: tuple[str, tuple[str, ...] | None]
) -> None:
    found = made(KINDS[kind], *case)
    rows = [row for plan in found.plans.values() for row in plan.closings]
    audit = audit_plan(found.site, rows, FIRST, LAST)
    assert audit is not None
    assert [one.shade for one in audit.shades if one.broken] == []


def test_the_audit_finds_a_shade_that_goes_with_its_group_all_the_same() -> None:
    found = made(Kind(), GROUP, ("east roller",))
    plans = dict(found.plans)
    rows = [row for name in ("south roller", "west roller") for row in plans[name].closings]
    rows += [replace(row, shade="east roller") for row in plans["south roller"].closings]
    audit = audit_plan(found.site, rows, FIRST, LAST)
    assert audit is not None
    (broken,) = [one for one in audit.shades if one.broken]
    assert broken.shade == "east roller"
    travel = travel_of(found.site, "east roller")
    busy = union(Spell(r.close, r.open + travel) for r in plans["south roller"].closings)
    assert union(broken.not_up) == union(intersect(found.up["east roller"], busy))


def test_only_the_timer_of_the_shade_that_stays_up_has_to_be_set_by_hand() -> None:
    found = made(KINDS["every week"], GROUP, ("east roller",))
    by_hand = [n for n, plan in found.plans.items() if "switch it off" in " ".join(plan.remarks)]
    assert by_hand == ["east roller"]
    (remark,) = found.plans["east roller"].remarks
    assert remark.startswith("on 6 days, the first 2 Jun, exceptions rule")
    for name in ("south roller", "west roller"):
        assert all(r.reason.startswith("one setting") for r in found.plans[name].closings)


@pytest.mark.parametrize("shades", [("east roller",), ("south roller",)])
def test_a_day_of_the_plan_has_the_rows_of_the_season(shades: tuple[str, ...]) -> None:
    found = made(Kind(), GROUP, shades)
    for day in (date(2026, 6, 2), date(2026, 6, 4), date(2026, 6, 6)):
        for one in plan_day(found.site, day):
            rows = [r for r in found.plans[one.shade.name].closings if r.date == day]
            assert list(one.closings) == rows


@pytest.mark.parametrize("best", [False, True], ids=["by rules", "best"])
def test_what_stays_up_is_no_reason_for_the_others_to_close(best: bool) -> None:
    """All of 6 June the east roller stays up: its own window is in no reason of that day."""
    found = made(Kind(best=best), GROUP, ("east roller",))
    on_day = {
        closing.date.day: closing.reason
        for closing in found.plans["south roller"].closings
        if closing.date.day in (5, 6)
    }
    assert "east" in on_day[5]
    assert "south" in on_day[6]
    assert "east" not in on_day[6]
