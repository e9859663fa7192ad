"""Whatever is asked of a plan together (a group, an exception, a supply, round or steady times, a
timer, quiet hours, the best plan), its promises hold. The homes are random; the sun is real, or as
random as they are, with times to stay up at any minute.
"""

from datetime import UTC, date, datetime, timedelta
from itertools import pairwise
from random import Random

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from plan_cases import home, spans

from suncover.base import clock
from suncover.base.spell import Spell, intersect, subtract, union
from suncover.export.files.plan_ics import plan_ics
from suncover.plan import season
from suncover.plan.asked import asked_plans
from suncover.plan.audit import audit_plan
from suncover.plan.exceptions import Happening, up_spells
from suncover.plan.motor import Motor, any_in, moves_by_date
from suncover.plan.sharing.supply import overloads
from suncover.plan.timers.variants import Variant
from suncover.plan.unit import ShadeSun, leader_of

PLACES = [
    ((47.0, 8.5, "Europe/Zurich"), date(2027, 6, 19)),
    ((36.1, -79.95, "America/New_York"), date(2027, 3, 12)),  # clocks change on the 14th
    ((-43.95, -176.55, "Pacific/Chatham"), date(2027, 9, 24)),  # on the 26th
    ((10.5, -66.9, "America/Caracas"), date(2028, 1, 1)),
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
def homes(draw):
    """A home, the first day of a plan, and its days."""
    pick = lambda *values: draw(st.sampled_from(values))  # noqa: E731
    place, first = pick(*PLACES)
    names = [f"s{number}" for number in range(pick(1, 2, 3))]
    tables, windows, shades = {}, {}, {}
    if pick(False, False, True):
        tables["need"] = {"for": ["heat", "sleep"], "sleep": {"dark": ["22:30", "07:00"]}}
    elif pick(True, False):
        ends = first + timedelta(days=pick(-9, 1, 2)), first + timedelta(days=pick(3, 30))
        tables["need"] = {"season": [f"{day:%m-%d}" for day in ends]}
    group, in_quiet, quiet = pick(False, True), pick("early", "late"), pick(*QUIET)
    for name in names:
        windows[name] = {"azimuth": pick(90, 95, 180, 185, 265)}
        if pick(True, False):
            at = pick(100, 140, 200)
            notch = [[0, 0], [at, 0], [at, 80], [at + 20, 80], [at + 20, 0]]
            windows[name]["skyline"] = notch
        shades[name] = {
            "travel": pick(0, 30, 75, 600),
            "lead": pick(0, 2, 20),
            "lag": pick(0, 2, 20),
            "merge": pick(0, 30, 90),
            "shortest": pick(0, 10, 120),
        }
        if pick(True, False):
            shades[name]["moves"] = pick(2, 3, 4)
        if not group:
            in_quiet, quiet = pick("early", "late"), pick(*QUIET)
        if quiet:
            shades[name] |= {"quiet": quiet, "in_quiet": in_quiet}
    if group and len(names) > 1:
        tables["group"] = [{"name": "g", "shades": names}]
    if pick(True, False):
        box = {"name": "p", "shades": names, "at_once": pick(1, 2), "gap": pick(0, 30)}
        tables["supply"] = [box]
    tables["exception"] = []
    for number in range(pick(0, 1, 2)):
        day = first + timedelta(days=pick(0, 1, 2))
        dates = [f"{day}", f"{day + timedelta(days=pick(0, 1))}"]
        own = {"shades": names[:1]} if pick(True, False) else {}
        each = {"name": f"x{number}", "do": pick("up", "down"), "dates": dates}
        tables["exception"].append(each | own)
    if pick(True, False):
        tables["best"] = {"daylight": pick(0.05, 0.2, 1.0), "move": pick(0.0, 2.0, 15.0)}
    return home(windows, shades, place, **tables), first, pick(1, 3, 5)


def hold(site, suns, asked):
    """What is promised of every plan; how many closings are of shades that go their own way."""
    plans = {plan.shade: plan for plan in asked.varied.plans}
    for sun, daily in zip(suns, asked.daily, strict=True):
        plan = plans[sun.shade.name]
        _holds_for_a_shade(site, sun, plan)
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
    return sum(row.apart for row in rows)


def _holds_for_a_shade(site, sun, plan):
    rows, shade = plan.closings, sun.shade
    motor = Motor(shade, site.place.zone, up_spells(sun.exceptions))
    travel = motor.timing.travel
    for row in rows:
        assert row.date == clock.local_date(row.close, motor.zone)
        assert row.close < row.open
        still = not any_in(motor.up, row.close, row.open + travel)
        assert still, "it is up and still when it has to be"
        if site.need_of(shade).for_heat_alone:
            group = [g.shades for g in site.groups if shade.name in g.shades]
            seasons = [site.need_of(s).plan_season for s in site.all_shades()]
            own = [site.need_of(shade).plan_season]
            assert any(clock.in_season(row.date, s) for s in (seasons if group else own))
    # Only `merge` keeps runs apart; after quiet hours a plan may close before a run is over.
    wide = min(60 * s.merge for s in site.shades) >= max(s.travel for s in site.shades)
    for before, after in pairwise(rows):
        apart = wide and (not shade.quiet or before.apart != after.apart)
        assert before.open + (max(travel, 1) if apart else 1) <= after.close
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


def passes_its_audit(site, asked, *dates):
    rows = [row for plan in asked.varied.plans for row in plan.closings]
    rows.sort(key=lambda row: (row.close, row.shade))
    audit = audit_plan(site, rows, *dates)
    if audit is None:
        return
    told = " ".join(remark for plan in asked.varied.plans for remark in plan.remarks)
    assert not any(shade.broken for shade in audit.shades), audit
    assert not audit.overloads or "is asked for more than it can do" in told


def costs_no_more(site, asked):
    """Than the plan by the rules: each shade's own, or all of them where they share anything."""
    pairs = [(best.price.cost, best.by_rules) for best in asked.best]
    if site.groups or site.supplies:
        pairs = [tuple(map(sum, zip(*pairs, strict=True)))]
    assert all(cost <= by_rules + 1e-6 for cost, by_rules in pairs)


@pytest.mark.parametrize("best", [False, True], ids=["by rules", "best"])
@settings(max_examples=25, suppress_health_check=[HealthCheck.too_slow], derandomize=True)
@given(drawn=homes(), variant=st.sampled_from(VARIANTS))
def test_the_promises_of_a_plan(best, drawn, variant):
    site, first, days = drawn
    dates = first, first + timedelta(days=days - 1)
    suns = season.shade_sun(site, *dates)
    asked = asked_plans(site, suns, dates, variant, best=best)
    hold(site, suns, asked)
    if best:
        costs_no_more(site, asked)
    else:
        passes_its_audit(site, asked, *dates)
        passes_its_audit(site, asked)
        worded = [
            (
                plan.shade,
                tuple((row.close, row.open, row.position) for row in plan.closings),
                plan.remarks,
            )
            for plan in season.plans_for(site, suns)
        ]
        assert season.lowerings_for(site, suns) == {name: list(rows) for name, rows, _ in worded}
        assert season.moves_for(site, suns) == worded


# Groups whose shades have random sun, and have to stay up at random times.

DAY = int(datetime(2026, 6, 1, tzinfo=UTC).timestamp())
DATES = date(2026, 6, 1), date(2026, 6, 4)


def random_group(random, quiet):
    names = ["a", "b", "c"]
    shades = {
        name: {
            "travel": random.choice([0, 30, 75, 600]),
            "lead": random.choice([0, 2, 10]),
            "lag": random.choice([0, 2, 10]),
            "merge": random.choice([15, 30, 90]),
            "shortest": random.choice([0, 10, 40]),
        }
        | random.choice([{}, {"moves": 2}, {"moves": 4}, {"moves": 6}])
        | quiet
        for name in names
    }
    tables = {"best": {"daylight": random.choice([0.1, 0.5]), "move": random.choice([1, 5])}}
    if random.random() < 0.3:
        box = {"name": "s", "shades": names, "gap": random.choice([0, 90, 900])}
        tables["supply"] = [box]
    group = [{"name": "g", "shades": names}]
    return home(dict.fromkeys(names, 90), shades, (47.0, 8.0, "Etc/UTC"), group=group, **tables)


def random_suns(random, site):
    """Some days with sun on each window at a few times, and times to stay up for some of them."""
    found = []
    for shade in site.shades:
        sun, up = [], []
        for midnight in range(DAY, DAY + 4 * 86400, 86400):
            starts = random.sample(range(6 * 60, 20 * 60, 10), random.randint(0, 4))
            sun += [(midnight + 60 * s, random.choice([5, 20, 60, 300])) for s in starts]
            if random.random() < 0.3:
                start = midnight + 60 * random.randrange(0, 24 * 60, 5)
                up.append((start, random.choice([5, 30, 120, 1440])))
        needed = {shade.name: union(Spell(s, s + 60 * n) for s, n in sun)}
        mine = tuple(Happening(Spell(s, s + 60 * n), "cleaning", "up") for s, n in up)
        found.append(ShadeSun(shade, needed, needed[shade.name], None, mine))
    return season.kept_still(site, found)


def days_of(spells):
    return {day for s in spells for day in range(s.start // 86400, (s.end - 1) // 86400 + 1)}


def are_alike(suns, plans, margin):
    """A shade makes what another of its group does, but for days on which either goes its own way,
    or so many seconds beside them, and what rounding joins to a closing of such a day.
    """
    apart = [
        days_of([*up_spells(sun.exceptions), *spans(r for r in plan.closings if r.apart)])
        for sun, plan in zip(suns, plans, strict=True)
    ]
    for one, mine in zip(plans, apart, strict=True):
        for other, theirs in zip(plans, apart, strict=True):
            for row in one.closings:
                whole = [r for r in other.closings if r.close <= row.close and row.open <= r.open]
                near = [Spell(r.close - margin, r.open + margin) for r in (row, *whole)]
                alike = (row.close, row.open) in [(r.close, r.open) for r in whole]
                assert alike or not days_of(near).isdisjoint(mine | theirs)


def keep_to_moves_on_days_of_their_own(site, suns, plans):
    """Unless a shade's own plan does not: no gap is bridged in which it has to stay up."""
    days = 0
    for sun, plan in zip(suns, plans, strict=True):
        most = sun.shade.moves
        if most is not None:
            alone = season.plans_for(site, [sun])[0].closings
            own = [row for row in plan.closings if row.apart]
            moves, by_itself, apart = (
                moves_by_date(rows, site.place.zone) for rows in (plan.closings, alone, own)
            )
            assert all(moves[day] <= max(most, by_itself.get(day, 0)) for day in apart)
            days += len(apart)
            over = any(count > most for count in moves.values())
            assert over <= any("more than" in remark for remark in plan.remarks)
    return days


QUIET_NIGHTS = [{}, *({"quiet": ("21:00", "07:30"), "in_quiet": way} for way in ("early", "late"))]


@pytest.mark.parametrize("quiet", QUIET_NIGHTS, ids=["any time", "early", "late"])
def test_the_promises_of_random_groups(quiet):
    random = Random(5 + len(str(quiet)))
    apart = days = 0
    for _ in range(35):
        site = random_group(random, quiet)
        suns = random_suns(random, site)
        variant, best = random.choice([Variant(), *VARIANTS]), random.random() < 0.3
        asked = asked_plans(site, suns, DATES, variant, best=best)
        apart += hold(site, suns, asked)
        if not site.supplies:
            # A timer's day need not begin at midnight.
            are_alike(suns, asked.varied.plans, 86400 if variant.every else 3600)
            if not quiet:
                days += keep_to_moves_on_days_of_their_own(site, suns, season.plans_for(site, suns))
    assert apart > 25
    assert quiet or days > 12
