"""A shade of a group that has to stay up goes its own way for that time: any shades, any times."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import UTC, date, datetime
from itertools import pairwise
from random import Random
from zoneinfo import ZoneInfo

import pytest

from suncover.base.spell import Spell, intersect, subtract, union
from suncover.plan import season
from suncover.plan.best.plans import best_plans
from suncover.plan.closings.shade_plan import Closing, ShadePlan, motor_moves_by_date
from suncover.plan.closings.unit_plans import own_way, with_own_way
from suncover.plan.exceptions import Happening, up_spells
from suncover.plan.motor import Motor, any_in, timing_of
from suncover.plan.season import ShadeSun
from suncover.plan.timers.variants import Variant, vary, whole_of
from suncover.site.model import Shade, Site

UTC_ZONE = ZoneInfo("Etc/UTC")
DAY = int(datetime(2026, 6, 1, tzinfo=UTC).timestamp())
DATES = date(2026, 6, 1), date(2026, 6, 4)
LIGHT = [Spell(DAY - 86400, DAY + 5 * 86400)]


def at(text: str) -> int:
    return DAY + 3600 * int(text[:2]) + 60 * int(text[3:])


def rows(*spans: str, shade: str = "r") -> tuple[Closing, ...]:
    """Closings such as "08:00-09:00"."""
    ends = (span.split("-") for span in spans)
    return tuple(Closing(shade, DATES[0], at(a), at(b), 0, f"sun {a}") for a, b in ends)


def spells(*spans: str) -> tuple[Spell, ...]:
    return tuple(Spell(at(a), at(b)) for a, b in (span.split("-") for span in spans))


GROUP = ("08:00-09:00", "10:00-12:00", "13:00-14:00")


@pytest.mark.parametrize(
    ("own", "up", "kept", "instead", "keys"),
    [
        pytest.param((), (), (0, 1, 2), (), {}, id="never up"),
        pytest.param(("10:30-11:30",), ("09:10-09:50",), (0, 1, 2), (), {}, id="in a gap"),
        pytest.param((), ("10:30-11:00",), (0, 2), (), {}, id="nothing of its own"),
        pytest.param(
            ("08:10-08:50", "10:00-10:20", "11:10-12:00", "13:20-13:40"),
            ("10:30-11:00",),
            (0, 2),
            (1, 2),
            {},
            id="in the midst of one",
        ),
        # 60 s from the start of opening, at 09:00, its motor still runs.
        pytest.param((), ("09:00-09:10",), (1, 2), (), {}, id="as the motor opens"),
        pytest.param((), ("09:01-09:10",), (0, 1, 2), (), {}, id="once it has opened"),
        pytest.param((), ("09:50-10:00",), (0, 1, 2), (), {}, id="until it closes"),
        pytest.param(("08:30-12:00",), ("10:30-11:00",), (2,), (0,), {}, id="into another"),
        pytest.param(("10:00-12:59",), ("10:30-11:00",), (0, 2), (0,), {}, id="a run apart"),
        pytest.param(
            ("10:00-12:59", "13:10-13:20"),
            ("10:30-11:00",),
            (0,),
            (0, 1),
            {"travel": 61},
            id="less than a run apart",
        ),
        pytest.param(
            ("10:00-10:20", "11:10-12:00", "13:20-13:40"),
            ("10:30-11:00",),
            (),
            (0, 1, 2),
            {"moves": 6},
            id="too many moves together",
        ),
    ],
)
def test_what_a_shade_does_in_place_of_the_closings_of_its_group(
    own: tuple[str, ...],
    up: tuple[str, ...],
    kept: tuple[int, ...],
    instead: tuple[int, ...],
    keys: dict[str, int],
) -> None:
    shade = Shade.model_validate({"name": "r", "windows": ["w"], "travel": 60, **keys})
    found = own_way(Motor(shade, UTC_ZONE, spells(*up)), rows(*GROUP), rows(*own))
    assert (found.kept, found.own) == (kept, instead)


def test_its_full_runs_come_as_its_own_motor_needs_them() -> None:
    """The group's full run was in the closing that it leaves out: the next one is its own."""
    keys = {"name": "r", "windows": ["w"], "stops": [50, 100], "home_after": 4}
    shade = Shade.model_validate(keys)
    half = [
        Closing("r", DATES[0], r.close, r.open, 0, "glare; 50 % down keeps the sun off", 50)
        for r in rows("06:00-07:00", "08:00-09:00", "10:00-11:00", "12:00-13:00")
    ]
    full = half[2].__class__("r", DATES[0], half[2].close, half[2].open, 0, "sun")
    group = ShadePlan("r", (*half[:2], full, half[3]))
    found = with_own_way(Motor(shade, UTC_ZONE, spells("10:10-10:20")), group, ShadePlan("r", ()))
    assert [row.position for row in found.closings] == [50, 50, 100]
    assert found.closings[2].reason == (
        "glare; closes fully, to find its place again after 4 moves part of the way"
    )
    assert found.closings[:2] == group.closings[:2]


def test_the_closings_of_a_group_are_put_beside_each_other() -> None:
    one = rows("08:00-09:00", "10:00-12:00", shade="a")
    other = (*rows("08:00-09:00", shade="b"), *rows("13:00-14:00", shade="b"))
    found = whole_of([one, other])
    assert found is not None
    times = [[(row.close, row.open) for row in mine] for mine in found]
    assert times == [[(r.close, r.open) for r in rows("08:00-09:00", *GROUP[1:])]] * 2
    assert [row.shade for row in found[0]] == ["a", "a", "b"]
    # A supply has joined two of one shade: no way to tell which belongs to which.
    assert whole_of([one, rows("08:00-12:00", shade="b")]) is None


def random_site(random: Random, *, quiet: bool) -> Site:
    names = ["a", "b", "c"]
    in_quiet = random.choice(["early", "late"])
    facts = {
        "site": {"name": "s", "latitude": 47.0, "longitude": 8.0, "timezone": "Etc/UTC"},
        "window": [{"name": n, "azimuth": 90, "width": 1, "height": 1} for n in names],
        "shade": [
            {
                "name": n,
                "windows": [n],
                "travel": random.choice([0, 30, 75, 600]),
                "lead": random.choice([0, 2, 10]),
                "lag": random.choice([0, 2, 10]),
                "merge": random.choice([15, 30, 90]),
                "shortest": random.choice([0, 10, 40]),
                "moves": random.choice([None, 2, 4, 6]),
                "quiet": ("21:00", "07:30") if quiet else None,
                "in_quiet": in_quiet,
            }
            for n in names
        ],
        "group": [{"name": "g", "shades": names}],
        "best": {"daylight": random.choice([0.1, 0.5]), "move": random.choice([1, 5])},
    }
    if random.random() < 0.3:
        facts["supply"] = [{"name": "s", "shades": names, "gap": random.choice([0, 90, 900])}]
    for shade in facts["shade"]:  # type: ignore[attr-defined]
        if shade["moves"] is None:
            del shade["moves"]
        if shade["quiet"] is None:
            del shade["quiet"]
    return Site.model_validate(facts)


def random_suns(random: Random, site: Site) -> list[ShadeSun]:
    """Some days with sun on each window at a few times, and times to stay up for some of them."""
    found = []
    for shade in site.shades:
        sun, up = [], []
        for day in range(4):
            midnight = DAY + 86400 * day
            starts = random.sample(range(6 * 60, 20 * 60, 10), random.randint(0, 4))
            sun += [(midnight + 60 * s, random.choice([5, 20, 60, 300])) for s in starts]
            if random.random() < 0.3:
                start = midnight + 60 * random.randrange(0, 24 * 60, 5)
                up.append((start, random.choice([5, 30, 120, 1440])))
        needed = {shade.name: union(Spell(s, s + 60 * n) for s, n in sun)}
        mine = tuple(Happening(Spell(s, s + 60 * n), "cleaning", "up") for s, n in up)
        found.append(ShadeSun(shade, needed, needed[shade.name], None, mine))
    return season.kept_still(site, found)


def made(random: Random, site: Site, suns: list[ShadeSun]) -> tuple[list[ShadePlan], bool]:
    """The plans of the shades, in one of the ways there are, and whether they are for timers."""
    plans = season.plans_for(site, suns)
    if random.random() < 0.3:
        plans = [one.plan for one in best_plans(site, suns, LIGHT)]
    if random.random() < 0.5:
        return plans, False
    minutes, steady = random.choice([(5, None), (60, None), (None, 15), (None, 120), (5, 30)])
    variant = Variant(round_minutes=minutes, steady_minutes=steady)
    if random.random() < 0.3:
        variant = Variant(round_minutes=minutes, every=random.choice(["day", "week"]))
    return list(vary(site, suns, plans, DATES, variant).plans), variant.every is not None


def check(site: Site, suns: list[ShadeSun], plans: list[ShadePlan], *, quiet: bool) -> int:
    """How many closings are made by a shade that goes its own way."""
    apart = 0
    for sun, plan in zip(suns, plans, strict=True):
        travel, up = timing_of(sun.shade).travel, up_spells(sun.exceptions)
        closed = union(Spell(row.close, row.open) for row in plan.closings)
        for row in plan.closings:
            assert not any_in(up, row.close, row.open + travel), row
        for before, after in pairwise(plan.closings):
            # After quiet hours a plan may have to close again before its motor's run is over.
            room = max(travel, 1) if not quiet or before.apart != after.apart else 1
            assert before.open + room <= after.close
        told = [Spell(part.start, part.end) for part in plan.uncovered]
        assert all(one.end <= other.start for one, other in pairwise(told))
        assert intersect(union(told), closed) == ()
        need = union(season.needed_by(sun))
        assert subtract(subtract(need, closed), union(told)) == ()
        assert subtract(union(told), need) == ()
        apart += sum(row.apart for row in plan.closings)
    return apart


def days_of(spells: Iterable[Spell]) -> set[int]:
    return {day for s in spells for day in range(s.start // 86400, (s.end - 1) // 86400 + 1)}


def check_alike(suns: list[ShadeSun], plans: list[ShadePlan], margin: int) -> None:
    """A shade makes what another of its group does, but for days on which either goes its own way,
    or so many seconds beside them, and what rounding joins to a closing of such a day.
    """
    apart = [
        days_of(
            [
                *up_spells(sun.exceptions),
                *(Spell(r.close, r.open) for r in plan.closings if r.apart),
            ]
        )
        for sun, plan in zip(suns, plans, strict=True)
    ]
    for one, mine in zip(plans, apart, strict=True):
        for other, theirs in zip(plans, apart, strict=True):
            for row in one.closings:
                whole = [r for r in other.closings if r.close <= row.close and row.open <= r.open]
                spans = [Spell(r.close - margin, r.open + margin) for r in (row, *whole)]
                alike = (row.close, row.open) in [(r.close, r.open) for r in whole]
                assert alike or not days_of(spans).isdisjoint(mine | theirs)


@pytest.mark.parametrize("quiet", [False, True], ids=["any time", "quiet hours"])
def test_random_groups(quiet: bool) -> None:
    random = Random(5 + quiet)
    apart = 0
    for _ in range(400):
        site = random_site(random, quiet=quiet)
        suns = random_suns(random, site)
        plans, timers = made(random, site, suns)
        apart += check(site, suns, plans, quiet=quiet)
        if not site.supplies:
            # A timer's day need not begin at midnight.
            check_alike(suns, plans, 86400 if timers else 600)
    assert apart > 100


def test_on_days_of_its_own_closings_a_shade_makes_no_more_moves_than_it_may() -> None:
    """Unless its own plan does: no gap is bridged in which it has to stay up."""
    random = Random(3)
    days = 0
    for _ in range(400):
        site = random_site(random, quiet=False).model_copy(update={"supplies": ()})
        suns = random_suns(random, site)
        for sun, plan in zip(suns, season.plans_for(site, suns), strict=True):
            if sun.shade.moves is None:
                continue
            own = season.plans_for(site, [sun])[0].closings
            moves, alone = (motor_moves_by_date(r, UTC_ZONE) for r in (plan.closings, own))
            apart = motor_moves_by_date([row for row in plan.closings if row.apart], UTC_ZONE)
            assert all(moves[day] <= max(sun.shade.moves, alone.get(day, 0)) for day in apart)
            days += len(apart)
            over = any(count > sun.shade.moves for count in moves.values())
            assert over <= any("more than" in remark for remark in plan.remarks)
    assert days > 100
