"""Whatever is asked of a plan together (a group, an exception, a supply, round or steady times, a
timer, quiet hours, the best plan), its promises hold. The homes are random, the sun is real.
"""

from __future__ import annotations

import json
from datetime import date, timedelta
from itertools import pairwise

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from suncover.base import clock
from suncover.base.spell import Spell, intersect, subtract, union
from suncover.export.files.plan_ics import plan_ics
from suncover.plan import season
from suncover.plan.asked import AskedPlans, asked_plans
from suncover.plan.audit import audit_plan
from suncover.plan.closings.shade_plan import Closing, ShadePlan
from suncover.plan.motor import Motor, any_in, moves_by_date
from suncover.plan.sharing.supply import overloads
from suncover.plan.timers.variants import Variant
from suncover.plan.unit import ShadeSun, leader_of
from suncover.site.file.sitefile import site_from_text
from suncover.site.model import Site

PLACES = [
    (47.0, 8.5, "Europe/Zurich", date(2027, 6, 19)),
    (36.1, -79.95, "America/New_York", date(2027, 3, 12)),  # clocks change on the 14th
    (-43.95, -176.55, "Pacific/Chatham", date(2027, 9, 24)),  # on the 26th
    (10.5, -66.9, "America/Caracas", date(2028, 1, 1)),
]
QUIET = [None, ("21:30", "07:00"), ("22:00", "08:30"), ("12:00", "13:30"), ("23:30", "00:30")]
VARIANTS = [
    Variant(),
    Variant(round_minutes=5),
    Variant(round_minutes=15),
    Variant(round_minutes=60),
    Variant(steady_minutes=1),
    Variant(steady_minutes=15),
    Variant(round_minutes=5, steady_minutes=10),
    Variant(every="day"),
    Variant(every="week"),
    Variant(every="month", round_minutes=10),
]


@st.composite
def homes(draw: st.DrawFn) -> tuple[str, date, int]:  # noqa: PLR0912  (a key each)
    """A site file, the first day of a plan, and its days."""
    latitude, longitude, zone, first = draw(st.sampled_from(PLACES))
    pick = lambda *values: draw(st.sampled_from(values))  # noqa: E731
    number = draw(st.integers(1, 3))
    names = [f"s{i}" for i in range(number)]
    lines = [f'[site]\nname = "h"\nlatitude = {latitude}\nlongitude = {longitude}']
    lines.append(f'timezone = "{zone}"')
    if pick(True, False):
        starts = first + timedelta(days=pick(-9, 1, 2))
        ends = first + timedelta(days=pick(3, 30))
        lines.append(f'[need]\nseason = ["{starts:%m-%d}", "{ends:%m-%d}"]')
    if pick(False, False, True):
        lines.append('[need]\nfor = ["heat", "sleep"]\n[need.sleep]\ndark = ["22:30", "07:00"]')
        lines = [line for line in lines if not line.startswith("[need]\nseason")]
    for name in names:
        lines.append(f'[[window]]\nname = "w{name}"\nwidth = 1.2\nheight = 1.4')
        lines.append(f"azimuth = {pick(90, 95, 180, 185, 265)}")
        if pick(True, False):
            at = pick(100, 140, 200)
            lines.append(f"skyline = [[0,0],[{at},0],[{at},80],[{at + 20},80],[{at + 20},0]]")
    group, in_quiet, quiet = pick(False, True), pick("early", "late"), pick(*QUIET)
    for name in names:
        lines.append(f'[[shade]]\nname = "{name}"\nwindows = ["w{name}"]')
        lines.append(f"travel = {pick(0, 30, 75, 600)}\nlead = {pick(0, 2, 20)}")
        lines.append(f"lag = {pick(0, 2, 20)}\nmerge = {pick(0, 30, 90)}")
        lines.append(f"shortest = {pick(0, 10, 120)}")
        if pick(True, False):
            lines.append(f"moves = {pick(2, 3, 4)}")
        if not group:
            in_quiet, quiet = pick("early", "late"), pick(*QUIET)
        if quiet:
            lines.append(f'quiet = {json.dumps(quiet)}\nin_quiet = "{in_quiet}"')
    if group and number > 1:
        lines.append(f'[[group]]\nname = "g"\nshades = {json.dumps(names)}')
    if pick(True, False):
        lines.append(f'[[supply]]\nname = "p"\nshades = {json.dumps(names)}')
        lines.append(f"at_once = {pick(1, 2)}\ngap = {pick(0, 30)}")
    for do in draw(st.lists(st.sampled_from(["up", "down"]), max_size=2)):
        day = first + timedelta(days=pick(0, 1, 2))
        lines.append(f'[[exception]]\nname = "x"\ndo = "{do}"')
        lines.append(f'dates = ["{day}", "{day + timedelta(days=pick(0, 1))}"]')
        if pick(True, False):
            lines.append(f"shades = {json.dumps(names[:1])}")
    if pick(True, False):
        lines.append(f"[best]\ndaylight = {pick(0.05, 0.2, 1.0)}\nmove = {pick(0.0, 2.0, 15.0)}")
    return _named_exceptions("\n".join(lines)), first, pick(1, 3, 5)


def _named_exceptions(text: str) -> str:
    first, *rest = text.split('name = "x"')
    return first + "".join(f'name = "x{n}"{part}' for n, part in enumerate(rest))


def hold(site: Site, suns: list[ShadeSun], asked: AskedPlans, variant: Variant) -> None:
    plans = {plan.shade: plan for plan in asked.varied.plans}
    for sun, daily in zip(suns, asked.daily, strict=True):
        plan = plans[sun.shade.name]
        motor = Motor(sun.shade, site.place.zone, [s.spell for s in sun.exceptions if s.do == "up"])
        _holds_for_a_shade(site, sun, plan, motor)
        # Whatever is made of the daily plan only ever grows its closings.
        assert subtract(spans(daily.closings), spans(plan.closings)) == ()
    remarks = " ".join(remark for plan in plans.values() for remark in plan.remarks)
    rows = [row for plan in plans.values() for row in plan.closings]
    motors = {shade.name: Motor(shade, site.place.zone) for shade in site.all_shades()}
    for supply in site.supplies:
        if list(overloads(supply, motors, rows)):
            assert "is asked for more than it can do" in remarks
    uids = [line for line in plan_ics(rows, site.place).splitlines() if line.startswith(b"UID")]
    assert len(set(uids)) == len(uids)


def spans(rows: tuple[Closing, ...]) -> tuple[Spell, ...]:
    return union(Spell(row.close, row.open) for row in rows)


def _holds_for_a_shade(site: Site, sun: ShadeSun, plan: ShadePlan, motor: Motor) -> None:
    rows, travel, shade = plan.closings, motor.timing.travel, sun.shade
    up = union(motor.up)
    for row in rows:
        assert row.date == clock.local_date(row.close, motor.zone)
        assert row.close < row.open
        assert not any_in(up, row.close, row.open + travel), "it is up and still when it has to be"
        if site.need_of(shade).for_heat_alone:
            group = [g.shades for g in site.groups if shade.name in g.shades]
            seasons = [site.need_of(s).plan_season for s in site.all_shades()]
            own = [site.need_of(shade).plan_season]
            assert any(clock.in_season(row.date, s) for s in (seasons if group else own))
    assert all(before.open < after.close for before, after in pairwise(rows))
    assert list(motor.in_quiet(rows)) == []
    told = [Spell(part.start, part.end) for part in plan.uncovered]
    assert all(before.end <= after.start for before, after in pairwise(told))
    assert intersect(told, spans(rows)) == ()
    need = union(season.needed_by(sun))
    if site.need_of(shade).plan_season is None:
        assert subtract(subtract(need, spans(rows)), union(told)) == ()
    assert subtract(union(told), need) == ()
    limits = [shade.moves]
    if site.groups:
        limits.append(leader_of(site.all_shades()).moves)
    most = max((moves_by_date(rows, motor.zone)).values(), default=0)
    if all(limit is not None and most > limit for limit in limits):
        assert any("more than" in remark for remark in plan.remarks)


def passes_its_audit(site: Site, asked: AskedPlans, dates: tuple[date, date] | tuple[()]) -> None:
    rows = [row for plan in asked.varied.plans for row in plan.closings]
    rows.sort(key=lambda row: (row.close, row.shade))
    audit = audit_plan(site, rows, *dates)
    if audit is None:
        return
    told = " ".join(remark for plan in asked.varied.plans for remark in plan.remarks)
    assert not any(shade.broken for shade in audit.shades), audit
    assert not audit.overloads or "is asked for more than it can do" in told


quickly = settings(
    max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow], derandomize=True
)


@quickly
@given(homes(), st.sampled_from(VARIANTS))
def test_the_promises_of_a_plan_by_the_rules(home: tuple[str, date, int], variant: Variant) -> None:
    text, first, days = home
    site, dates = site_from_text(text), (first, first + timedelta(days=days - 1))
    suns = season.shade_sun(site, *dates)
    wordless = season.lowerings_for(site, suns)
    assert wordless == {
        plan.shade: [(row.close, row.open, row.position) for row in plan.closings]
        for plan in season.plans_for(site, suns)
    }
    asked = asked_plans(site, suns, dates, variant)
    hold(site, suns, asked, variant)
    passes_its_audit(site, asked, dates)
    passes_its_audit(site, asked, ())


@quickly
@given(homes(), st.sampled_from(VARIANTS))
def test_the_promises_of_the_best_plan(home: tuple[str, date, int], variant: Variant) -> None:
    text, first, days = home
    site, dates = site_from_text(text), (first, first + timedelta(days=days - 1))
    suns = season.shade_sun(site, *dates)
    asked = asked_plans(site, suns, dates, variant, best=True)
    hold(site, suns, asked, variant)
    assert asked.best is not None
    if site.groups or site.supplies:
        cost, by_rules = (
            sum(values)
            for values in zip(*((b.price.cost, b.by_rules) for b in asked.best), strict=True)
        )
        assert cost <= by_rules + 1e-6
    else:
        assert all(each.price.cost <= each.by_rules + 1e-6 for each in asked.best)
