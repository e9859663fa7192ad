"""Where two rules meet: what a household would expect, worked out by hand for one home each."""

from datetime import date

import pytest
from plan_cases import home, spans

from suncover.base import clock
from suncover.base.spell import subtract, total_seconds, union
from suncover.export.files.plan_ics import plan_ics
from suncover.export.files.plan_rrule_ics import plan_rrule_ics
from suncover.plan import season
from suncover.plan.asked import asked_plans
from suncover.plan.audit import audit_plan
from suncover.plan.closings.shade_plan import Closing
from suncover.plan.motor import moves_by_date
from suncover.plan.timers.variants import Variant

NIGHT = {"travel": 30, "quiet": ["21:30", "07:30"]}
SLEEP = {"for": ["sleep"], "sleep": {"dark": ["22:00", "08:00"]}}
TOGETHER = [{"name": "g", "shades": ["a", "b"]}]
EAST = {"east": 90}
BY_RULES_OR_BEST = pytest.mark.parametrize("best", [False, True], ids=["by rules", "best"])


def over(window, **keys):
    return {"windows": [window], **keys}


def up_on(day, **shades):
    return [{"name": "cleaning", "dates": [day, day], "do": "up", **shades}]


def asked(site, first, last, variant=None, *, best=False):
    suns = season.shade_sun(site, first, last)
    return asked_plans(site, suns, (first, last), variant or Variant(), best=best)


def rows_of(plans):
    rows = [row for plan in plans for row in plan.closings]
    return sorted(rows, key=lambda row: (row.close, row.shade))


def walls(site, rows):
    return [
        " ".join(f"{clock.iso_local(at, site.place.zone)[8:19]}" for at in (row.close, row.open))
        for row in rows
    ]


def test_what_a_daily_plan_covers_a_timer_on_a_supply_covers():
    """A setting of the evening goes over midnight; that of the afternoon is still there."""
    need = {"for": ["heat", "sleep"], "sleep": {"dark": ["22:30", "07:00"]}}
    shades = {"s": {"windows": ["east", "west"], "travel": 30}}
    supply = [{"name": "p", "shades": ["s"]}]
    site = home({"east": 20, "west": 300}, shades, need=need, supply=supply)
    timer = asked(site, date(2027, 6, 21), date(2027, 6, 24), Variant(every="month"))
    (plan,) = timer.varied.plans
    assert subtract(spans(rows_of(timer.daily)), spans(plan.closings)) == ()
    assert plan.uncovered == ()
    assert max(moves_by_date(plan.closings, site.place.zone).values()) == 4


def test_a_shade_that_stays_up_does_not_close_that_evening_for_the_next_morning():
    """Quiet hours would have it close at 21:29 on the 21st; it closes when they end and says so."""
    dates = date(2027, 6, 20), date(2027, 6, 23)
    shades = {"s": over("east", **NIGHT)}
    site = home(EAST, shades, exception=up_on("2027-06-21"))
    (plan,) = asked(site, *dates).varied.plans
    closes = [at[:11] for at in walls(site, plan.closings)]
    assert closes == ["19T21:29:30", "22T07:30:00", "22T21:29:30"]
    (part,) = plan.uncovered
    assert part.rule == "quiet"
    assert part.why == (
        "quiet hours: the shade closes when they end, at 07:30, as it has to be up when they begin"
    )
    assert clock.iso_local(part.end, site.place.zone)[8:19] == "22T07:30:00"
    assert not audit_plan(site, plan.closings).broken
    # As it would be without the exception: the audit tells of the shade that is not up.
    (free,) = season.season_plan(home(EAST, shades), *dates)
    (shade,) = audit_plan(site, free.closings).shades
    assert total_seconds(shade.not_up) > 2 * 3600


def test_a_shade_that_has_to_be_up_in_quiet_hours_opens_before_they_begin():
    shades = {"s": over("west", travel=30, quiet=["19:00", "07:30"])}
    site = home({"west": 300}, shades, exception=up_on("2027-06-22"))
    (plan,) = asked(site, date(2027, 6, 21), date(2027, 6, 21)).varied.plans
    (row,), (part,) = plan.closings, plan.uncovered
    assert clock.iso_local(row.open, site.place.zone)[11:19] == "18:59:30"
    assert row.reason.endswith("opens 18:59, before quiet hours")
    assert (part.start, part.rule) == (row.open, "quiet")
    assert part.why == (
        "quiet hours: the shade opens before they begin, at 18:59, as it has to be up when they end"
    )


def sleepers(**more):
    return home(EAST, {"s": over("east")}, need=SLEEP, exception=up_on("2027-06-22"), **more)


def test_a_night_into_a_day_to_stay_up_ends_before_it_though_the_plan_ends_sooner():
    site = sleepers()
    made = asked(site, date(2027, 6, 21), date(2027, 6, 21))
    assert walls(site, rows_of(made.varied.plans)) == ["21T21:58:00 22T00:00:00"]


# Two closings begin on each date.
NOTCH = [[0, 0], [80, 0], [80, 80], [100, 80], [100, 0]]
MORNINGS = home({"east": {"azimuth": 90, "skyline": NOTCH}}, {"s": over("east", **NIGHT)})


def uids(content):
    """The UID of each event by its start."""
    lines = content.decode().replace("\r\n ", "").splitlines()
    starts = [line.partition(":")[2] for line in lines if line.startswith("DTSTART")]
    names = [line for line in lines if line.startswith("UID")]
    return dict(zip(starts[-len(names) :], names, strict=True))


@BY_RULES_OR_BEST
def test_a_closing_has_its_uid_whatever_the_dates_of_the_plan(best):
    """The first of a plan that begins later is the second one of its date."""
    first, *others = (
        rows_of(asked(MORNINGS, date(2027, 6, day), date(2027, 6, 25), best=best).varied.plans)
        for day in range(20, 24)
    )
    whole = uids(plan_ics(first, MORNINGS.place))
    for later in others:
        found = uids(plan_ics(later, MORNINGS.place))
        assert {start: whole[start] for start in found} == found
    assert len(set(whole.values())) == len(whole) >= 10
    if not best:
        plans = season.season_plan(MORNINGS, date(2027, 6, 22), date(2027, 6, 25))
        assert rows_of(plans) == others[1]


@pytest.mark.parametrize("every", ["week", "month"])
def test_a_setting_of_a_period_that_has_begun_keeps_its_uid(every):
    found = []
    for day in (21, 23, 24):
        made = asked(MORNINGS, date(2027, 6, day), date(2027, 7, 9), Variant(every=every))
        content = plan_rrule_ics(made.varied.timers, MORNINGS.place, made.varied.dial)
        names = uids(content).values()
        assert len(set(names)) == len(names)
        found.append(set(names))
    assert found[0] >= found[1] >= found[2]
    assert len(found[2]) >= 4


@pytest.mark.parametrize("minutes", [5, 15, 30, 60])
def test_round_times_uncover_nothing_where_closings_wait_for_their_turn(minutes):
    shades = {name: over("east", in_quiet="late", **NIGHT) for name in "ab"}
    site = home(EAST, shades, supply=[{"name": "p", "shades": ["a", "b"]}])
    day = date(2027, 6, 21)
    rows = rows_of(asked(site, day, day, Variant(round_minutes=minutes)).varied.plans)
    assert [at[3:11] for at in walls(site, rows)] == ["07:30:00", "07:30:30"]
    assert [row.reason.split("; ")[1] for row in rows] == ["closes 07:30, after quiet hours"] * 2
    assert not audit_plan(site, rows).broken


def test_days_drawn_together_stay_on_their_side_of_quiet_hours():
    quiet = {"quiet": ["21:30", "07:00"]}
    shades = {"a": over("w", travel=60, **quiet), "b": over("w", lead=8, **quiet)}
    supply = [{"name": "p", "shades": ["b", "a"], "gap": 30}]
    place = 10.5, -66.9, "America/Caracas"
    site = home({"w": 180}, shades, place, group=TOGETHER, supply=supply)
    made = asked(site, date(2028, 1, 2), date(2028, 1, 3), Variant(steady_minutes=1))
    rows = rows_of(made.varied.plans)
    starts = ["02T07:00:11", "02T07:00:41", "03T07:00:11", "03T07:00:41"]
    assert [at[:11] for at in walls(site, rows)] == starts
    assert all("one setting for 2 Jan to 3 Jan" in row.reason for row in rows)


def test_the_best_plan_stays_down_over_what_the_rules_bridge_for_moves():
    """Seven hours without sun between two spells, and two moves a day."""
    skyline = [[0, 0], [100, 0], [100, 80], [275, 80], [275, 0]]
    roof = {"azimuth": 180, "tilt": 20, "skyline": skyline}
    site = home({"w": roof}, {"s": over("w", moves=2)}, best={"daylight": 0.05})
    (best,) = asked(site, date(2027, 6, 21), date(2027, 6, 21), best=True).best
    assert best.price.missed == 0
    assert best.price.cost <= best.by_rules + 1e-6


def test_a_group_is_not_charged_for_a_shade_that_stays_up():
    shades = {"a": over("w"), "b": over("w")}
    tables = {"group": TOGETHER, "best": {"daylight": 1.0}}
    site = home({"w": 180}, shades, exception=up_on("2029-03-15", shades=["a"]), **tables)
    made = asked(site, date(2029, 3, 15), date(2029, 3, 15), best=True)
    assert [len(best.plan.closings) for best in made.best] == [0, 1]
    assert all(best.price.cost <= best.by_rules + 1e-6 for best in made.best)


def test_the_best_plan_tells_of_dates_with_more_moves_than_the_limit():
    """Quiet hours bring the next morning's closing forward to a date that has two moves already."""
    skyline = [[54.4, 0], [54.4, 27.4], [61.5, 27.4], [61.5, 0]]
    site = home(
        {"east": {"azimuth": 90, "skyline": skyline}},
        {"s": over("east", moves=2, quiet=["22:00", "08:30"])},
        (-43.95, -176.55, "Pacific/Chatham"),
        need={"season": ["09-20", "10-14"]},
    )
    (plan,) = asked(site, date(2025, 9, 20), date(2025, 9, 21), best=True).varied.plans
    assert moves_by_date(plan.closings, site.place.zone)[date(2025, 9, 20)] == 3
    assert plan.remarks == (
        "more than 2 moves on 1 day, first on 2025-09-20 (3 moves): quiet hours moved closings or "
        "openings to another day",
    )


@BY_RULES_OR_BEST
def test_a_timer_keeps_to_the_limit_of_moves_beside_an_exception(best):
    skyline = [[0, 0], [110, 0], [110, 80], [220, 80], [220, 0]]
    away = [{"name": "away", "dates": ["2027-06-23", "2027-06-24"], "do": "down"}]
    window = {"azimuth": 180, "skyline": skyline}
    site = home({"w": window}, {"s": over("w", moves=2)}, exception=away)
    dates = date(2027, 6, 21), date(2027, 6, 27)
    (plan,) = asked(site, *dates, Variant(every="week"), best=best).varied.plans
    moves = moves_by_date(plan.closings, site.place.zone)
    assert max(moves.values()) <= 2 or "more than 2 moves" in " ".join(plan.remarks)


@BY_RULES_OR_BEST
def test_no_setting_closes_before_the_season(best):
    """Its first morning would have to close on the evening before; the afternoon does not."""
    skyline = [[0, 0], [210.0, 0], [210.0, 63.4], [212, 63.4], [212, 0]]
    site = home(
        {"w": {"azimuth": 180, "skyline": skyline}},
        {"s": over("w", quiet=["20:00", "10:00"])},
        (47.0, 8.5, "UTC"),
        need={"season": ["12-20", "01-10"]},
    )
    dates = date(2027, 12, 18), date(2027, 12, 23)
    made = asked(site, *dates, Variant(every="month"), best=best)
    rows = rows_of(made.varied.plans)
    assert min(row.date for row in rows) >= date(2027, 12, 20)
    assert subtract(spans(rows_of(made.daily)), spans(rows)) == ()


def test_a_shade_of_a_group_that_stays_up_has_its_own_margins():
    """It opens as the cleaning begins and closes as it ends, with lead, lag and travel 0; the other
    keeps the group's 20 minutes.
    """
    shades = {"a": over("east", lead=0, lag=0), "b": over("east", lead=20, lag=20, travel=60)}
    up = up_on("2027-06-22", shades=["a"])
    site = home(EAST, shades, need=SLEEP, group=TOGETHER, exception=up)
    made = asked(site, date(2027, 6, 21), date(2027, 6, 22))
    a, b = (walls(site, plan.closings) for plan in made.varied.plans)
    assert a == ["21T22:00:00 22T00:00:00", "23T00:00:00 23T08:00:00"]
    assert b == ["21T21:39:00 22T08:20:00", "22T21:39:00 23T08:20:00"]


def test_a_plan_whose_last_row_begins_after_midnight_passes_the_audit():
    site = sleepers()
    rows = rows_of(asked(site, date(2027, 6, 21), date(2027, 6, 22)).varied.plans)
    assert [row.date.day for row in rows] == [21, 23]
    assert not audit_plan(site, rows).broken
    # A row that is missing in the midst is found all the same.
    rows = rows_of(asked(site, date(2027, 6, 21), date(2027, 6, 25)).varied.plans)
    assert audit_plan(site, [row for row in rows if row.date.day != 24]).broken


def test_a_plan_to_the_last_date_there_is_passes_the_audit():
    need = {"for": ["sleep"], "sleep": {"dark": ["22:00", "09:30"]}}
    site = home(EAST, {"s": over("east")}, need=need)
    rows = rows_of(asked(site, date(2199, 12, 30), date(2199, 12, 31)).varied.plans)
    assert clock.local_date(rows[-1].open, site.place.zone) == date(2200, 1, 1)
    assert not audit_plan(site, rows).broken


def test_needless_time_is_that_of_the_replay_where_rows_overlap():
    """The second row opens the shade at 13:00; what the first says of 15:00 is nothing."""
    site, day = home(EAST), date(2027, 6, 21)

    def audited(*pairs):
        at = [
            [
                clock.instant_of(day, clock.time.fromisoformat(wall), site.place.zone)
                for wall in pair
            ]
            for pair in pairs
        ]
        rows = [Closing("east", day, *ends, 0, "") for ends in at]
        return audit_plan(site, rows, day, day).shades[0]

    shade = audited(("06:39:01", "15:00"), ("07:00", "13:00"))
    alone = audited(("06:39:01", "13:00"))
    assert shade.needless == alone.needless == 120
    assert shade.uncovered == alone.uncovered


def test_the_audit_holds_the_shades_of_a_group_to_the_rules_of_the_group():
    """Sun of 100 minutes on b's window: too short for b, not for the group; a's limit of moves."""
    skyline = [[0, 0], [76, 0], [76, 80], [160, 80], [160, 0]]
    shades = {"a": over("west", shortest=5, moves=4), "b": over("east", shortest=300)}
    site = home({"east": {"azimuth": 90, "skyline": skyline}, "west": 270}, shades, group=TOGETHER)
    day = date(2027, 6, 21)
    rows = rows_of(asked(site, day, day).varied.plans)
    assert not audit_plan(site, rows, day, day).broken
    a, b = audit_plan(site, [r for r in rows if r.close > rows[0].open], day, day).shades
    assert not a.broken
    assert total_seconds(b.uncovered) > 3600
    twice = [
        Closing(row.shade, row.date, start, start + 600, 0, "")
        for row in rows
        for start in range(row.close, row.close + 3 * 1200, 1200)
    ]
    limits = [shade.over_limit for shade in audit_plan(site, twice, day, day).shades]
    assert limits == [{day: 12}] * 2


def test_what_the_audit_calls_the_need_is_all_of_it_however_late_a_shade_closes():
    """While a motor that closes late still runs, the sun comes in: that is need, too."""
    quiet = {"travel": 40, "quiet": ["22:00", "07:30"]}
    shades = {"late": over("w", in_quiet="late", **quiet), "early": over("w", **quiet)}
    site = home({"w": 150}, shades)
    dates = date(2027, 6, 22), date(2027, 6, 24)
    late, early = audit_plan(site, rows_of(asked(site, *dates).varied.plans)).shades
    assert late.promised + late.let_in == early.promised + early.let_in
    assert early.let_in == 0
    suns = season.shade_sun(site, *dates)
    assert early.promised == total_seconds(union(season.needed_by(suns[1])))
