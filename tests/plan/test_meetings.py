"""Where two rules meet: what a household would expect, worked out by hand for one home each."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta

import pytest

from suncover.base import clock
from suncover.base.spell import Spell, subtract, total_seconds, union
from suncover.export.files.plan_ics import plan_ics
from suncover.export.files.plan_rrule_ics import plan_rrule_ics
from suncover.plan import season
from suncover.plan.asked import AskedPlans, asked_plans
from suncover.plan.audit import Audit, audit_plan
from suncover.plan.closings.shade_plan import Closing, ShadePlan
from suncover.plan.motor import moves_by_date
from suncover.plan.timers.variants import Variant
from suncover.site.file.sitefile import site_from_text
from suncover.site.model import Site

DAY = timedelta(days=1)
ZURICH = '[site]\nname = "A"\nlatitude = 47.0\nlongitude = 8.5\ntimezone = "Europe/Zurich"\n'
EAST = '[[window]]\nname = "east"\nazimuth = 90\nwidth = 1.2\nheight = 1.4\n'
SHADE = '[[shade]]\nname = "{}"\nwindows = ["{}"]\n'
NIGHT = 'travel = 30\nquiet = ["21:30", "07:30"]\n'
SLEEP = '[need]\nfor = ["sleep"]\n[need.sleep]\ndark = ["22:00", "08:00"]\n'
TOGETHER = '[[group]]\nname = "g"\nshades = ["a", "b"]\n'
SUPPLY = '[[supply]]\nname = "p"\nshades = [{}]\n'


def up_on(day: str, shades: str = "") -> str:
    text = f'[[exception]]\nname = "cleaning"\ndates = ["{day}", "{day}"]\ndo = "up"\n'
    return text + (f"shades = [{shades}]\n" if shades else "")


def asked(
    text: str, first: date, last: date, variant: Variant | None = None, *, best: bool = False
) -> tuple[Site, AskedPlans]:
    site = site_from_text(text)
    suns = season.shade_sun(site, first, last)
    return site, asked_plans(site, suns, (first, last), variant or Variant(), best=best)


def rows_of(plans: Sequence[ShadePlan]) -> list[Closing]:
    rows = [row for plan in plans for row in plan.closings]
    return sorted(rows, key=lambda row: (row.close, row.shade))


def walls(site: Site, rows: Sequence[Closing]) -> list[str]:
    zone = site.place.zone
    return [
        " ".join(clock.iso_local(at, zone)[8:19].replace("T", " ") for at in (row.close, row.open))
        for row in rows
    ]


def audited(site: Site, rows: Sequence[Closing], *dates: date) -> Audit:
    audit = audit_plan(site, rows, *dates)
    assert audit is not None
    return audit


def test_what_a_daily_plan_covers_a_timer_on_a_supply_covers() -> None:
    """A setting of the evening goes over midnight; that of the afternoon is still there."""
    text = (
        ZURICH
        + '[need]\nfor = ["heat", "sleep"]\n[need.sleep]\ndark = ["22:30", "07:00"]\n'
        + EAST.replace("90", "20")
        + EAST.replace("east", "west").replace("90", "300")
        + '[[shade]]\nname = "s"\nwindows = ["east", "west"]\ntravel = 30\n'
        + SUPPLY.format('"s"')
    )
    dates = date(2027, 6, 21), date(2027, 6, 24)
    _, timer = asked(text, *dates, Variant(every="month"))
    daily, made = (
        union(Spell(row.close, row.open) for row in rows_of(plans))
        for plans in (timer.daily, timer.varied.plans)
    )
    assert subtract(daily, made) == ()
    (plan,) = timer.varied.plans
    assert plan.uncovered == ()
    assert max(moves_by_date(plan.closings, clock.ZoneInfo("Europe/Zurich")).values()) == 4


def test_a_shade_that_stays_up_does_not_close_that_evening_for_the_next_morning() -> None:
    """Quiet hours would have it close at 21:29 on the 21st; it closes when they end and says so."""
    text = ZURICH + EAST + SHADE.format("s", "east") + NIGHT + up_on("2027-06-21")
    dates = date(2027, 6, 20), date(2027, 6, 23)
    site, made = asked(text, *dates)
    (plan,) = made.varied.plans
    closes = [at[:11] for at in walls(site, plan.closings)]
    assert closes == ["19 21:29:30", "22 07:30:00", "22 21:29:30"]
    (part,) = plan.uncovered
    assert part.rule == "quiet"
    assert part.why.endswith("when they end, at 07:30, as it has to be up when they begin")
    assert clock.iso_local(part.end, site.place.zone)[8:19] == "22T07:30:00"
    assert not audited(site, plan.closings).broken
    # As it would be without the exception: the audit tells of the shade that is not up.
    without = season.season_plan(site_from_text(text.replace(up_on("2027-06-21"), "")), *dates)
    (shade,) = audited(site, without[0].closings, *dates).shades
    assert total_seconds(shade.not_up) > 2 * 3600


def test_a_shade_that_has_to_be_up_in_quiet_hours_opens_before_they_begin() -> None:
    west = EAST.replace("east", "west").replace("90", "300")
    quiet = 'travel = 30\nquiet = ["19:00", "07:30"]\n'
    text = ZURICH + west + SHADE.format("s", "west") + quiet + up_on("2027-06-22")
    site, made = asked(text, date(2027, 6, 21), date(2027, 6, 21))
    (plan,) = made.varied.plans
    (row,) = plan.closings
    assert clock.iso_local(row.open, site.place.zone)[11:19] == "18:59:30"
    assert row.reason.endswith("opens 18:59, before quiet hours")
    (part,) = plan.uncovered
    assert (part.start, part.rule) == (row.open, "quiet")
    assert "has to be up when they end" in part.why


def test_a_night_into_a_day_to_stay_up_ends_before_it_though_the_plan_ends_sooner() -> None:
    text = ZURICH + SLEEP + EAST + SHADE.format("s", "east") + up_on("2027-06-22")
    site, made = asked(text, date(2027, 6, 21), date(2027, 6, 21))
    assert walls(site, rows_of(made.varied.plans)) == ["21 21:58:00 22 00:00:00"]


MORNINGS = (
    ZURICH
    + EAST
    + "skyline = [[0,0],[80,0],[80,80],[100,80],[100,0]]\n"
    + SHADE.format("s", "east")
    + NIGHT
)


def uids(content: bytes) -> dict[str, str]:
    """The UID of each event by its start."""
    lines = content.decode().replace("\r\n ", "").splitlines()
    starts = [line.partition(":")[2] for line in lines if line.startswith("DTSTART")]
    names = [line for line in lines if line.startswith("UID")]
    return dict(zip(starts[-len(names) :], names, strict=True))


@pytest.mark.parametrize("best", [False, True], ids=["by rules", "best"])
def test_a_closing_has_its_uid_whatever_the_dates_of_the_plan(best: bool) -> None:
    """Two closings begin on each date; the first of a plan that begins later is the second one."""
    last = date(2027, 6, 25)
    found = []
    for day in range(20, 24):
        site, made = asked(MORNINGS, date(2027, 6, day), last, best=best)
        found.append(uids(plan_ics(rows_of(made.varied.plans), site.place)))
    for later in found[1:]:
        assert {start: found[0][start] for start in later} == later
    assert len(set(found[0].values())) == len(found[0]) >= 10


def test_a_season_plan_has_the_same_uids_as_the_command() -> None:
    site, made = asked(MORNINGS, date(2027, 6, 22), date(2027, 6, 24))
    plans = season.season_plan(site, date(2027, 6, 22), date(2027, 6, 24))
    rows = rows_of(made.varied.plans)
    assert plan_ics(rows_of(plans), site.place) == plan_ics(rows, site.place)


@pytest.mark.parametrize("every", ["week", "month"])
def test_a_setting_of_a_period_that_has_begun_keeps_its_uid(every: str) -> None:
    found = []
    for day in (21, 23, 24):
        variant = Variant(every=every)  # type: ignore[arg-type]
        site, made = asked(MORNINGS, date(2027, 6, day), date(2027, 7, 9), variant)
        content = plan_rrule_ics(made.varied.timers, site.place, made.varied.dial)
        names = uids(content).values()
        assert len(set(names)) == len(names)
        found.append(set(names))
    assert found[0] >= found[1] >= found[2]
    assert len(found[2]) >= 4


TWO_LATE = (
    ZURICH
    + EAST
    + "".join(SHADE.format(name, "east") + NIGHT + 'in_quiet = "late"\n' for name in "ab")
    + SUPPLY.format('"a", "b"')
)


@pytest.mark.parametrize("minutes", [5, 15, 30, 60])
def test_round_times_uncover_nothing_where_closings_wait_for_their_turn(minutes: int) -> None:
    dates = date(2027, 6, 21), date(2027, 6, 21)
    site, made = asked(TWO_LATE, *dates, Variant(round_minutes=minutes))
    rows = rows_of(made.varied.plans)
    assert [at[3:11] for at in walls(site, rows)] == ["07:30:00", "07:30:30"]
    assert [row.reason.split("; ")[1] for row in rows] == ["closes 07:30, after quiet hours"] * 2
    assert not audited(site, rows).broken


def test_days_drawn_together_stay_on_their_side_of_quiet_hours() -> None:
    text = (
        '[site]\nname = "A"\nlatitude = 10.5\nlongitude = -66.9\ntimezone = "America/Caracas"\n'
        + EAST.replace("east", "w").replace("90", "180")
        + (SHADE.format("a", "w") + 'travel = 60\nquiet = ["21:30", "07:00"]\n')
        + (SHADE.format("b", "w") + 'lead = 8\nquiet = ["21:30", "07:00"]\n')
        + TOGETHER
        + SUPPLY.format('"b", "a"')
        + "gap = 30\n"
    )
    dates = date(2028, 1, 2), date(2028, 1, 3)
    site, made = asked(text, *dates, Variant(steady_minutes=1))
    starts = [at[:11] for at in walls(site, rows_of(made.varied.plans))]
    assert starts == ["02 07:00:11", "02 07:00:41", "03 07:00:11", "03 07:00:41"]
    assert all("one setting for 2 Jan to 3 Jan" in r.reason for r in rows_of(made.varied.plans))


def test_the_best_plan_stays_down_over_what_the_rules_bridge_for_moves() -> None:
    """Seven hours without sun between two spells, and two moves a day."""
    text = (
        ZURICH
        + EAST.replace("east", "w").replace("90", "180\ntilt = 20")
        + "skyline = [[0,0],[100,0],[100,80],[275,80],[275,0]]\n"
        + SHADE.format("s", "w")
        + "moves = 2\n[best]\ndaylight = 0.05\n"
    )
    _, made = asked(text, date(2027, 6, 21), date(2027, 6, 21), best=True)
    assert made.best is not None
    (best,) = made.best
    assert best.price.missed == 0
    assert best.price.cost <= best.by_rules + 1e-6


def test_a_group_is_not_charged_for_a_shade_that_stays_up() -> None:
    text = (
        ZURICH
        + EAST.replace("90", "180")
        + SHADE.format("a", "east")
        + SHADE.format("b", "east")
        + TOGETHER
        + up_on("2029-03-15", '"a"')
        + "[best]\ndaylight = 1.0\n"
    )
    _, made = asked(text, date(2029, 3, 15), date(2029, 3, 15), best=True)
    assert made.best is not None
    assert [len(best.plan.closings) for best in made.best] == [0, 1]
    assert all(best.price.cost <= best.by_rules + 1e-6 for best in made.best)


def test_the_best_plan_tells_of_dates_with_more_moves_than_the_limit() -> None:
    """Quiet hours bring the next morning's closing forward to a date that has two moves already."""
    text = (
        '[site]\nname = "A"\nlatitude = -43.95\nlongitude = -176.55\n'
        'timezone = "Pacific/Chatham"\n'
        + EAST
        + "skyline = [[54.4, 0], [54.4, 27.4], [61.5, 27.4], [61.5, 0]]\n"
        + SHADE.format("s", "east")
        + 'moves = 2\nquiet = ["22:00", "08:30"]\n[need]\nseason = ["09-20", "10-14"]\n'
    )
    site, made = asked(text, date(2025, 9, 20), date(2025, 9, 21), best=True)
    (plan,) = made.varied.plans
    assert moves_by_date(plan.closings, site.place.zone)[date(2025, 9, 20)] == 3
    assert plan.remarks == (
        "more than 2 moves on 1 day, first on 2025-09-20 (3 moves): quiet hours moved closings or "
        "openings to another day",
    )


@pytest.mark.parametrize("best", [False, True], ids=["by rules", "best"])
def test_a_timer_keeps_to_the_limit_of_moves_beside_an_exception(best: bool) -> None:
    text = (
        ZURICH
        + EAST.replace("90", "180")
        + "skyline = [[0,0],[110,0],[110,80],[220,80],[220,0]]\n"
        + SHADE.format("s", "east")
        + "moves = 2\n"
        + '[[exception]]\nname = "away"\ndates = ["2027-06-23", "2027-06-24"]\ndo = "down"\n'
    )
    dates = date(2027, 6, 21), date(2027, 6, 27)
    site, made = asked(text, *dates, Variant(every="week"), best=best)
    (plan,) = made.varied.plans
    moves = moves_by_date(plan.closings, site.place.zone)
    assert max(moves.values()) <= 2 or "more than 2 moves" in " ".join(plan.remarks)


@pytest.mark.parametrize("best", [False, True], ids=["by rules", "best"])
def test_no_setting_closes_before_the_season(best: bool) -> None:
    """Its first morning would have to close on the evening before; the afternoon does not."""
    text = (
        ZURICH.replace("Europe/Zurich", "UTC")
        + EAST.replace("90", "180")
        + "skyline = [[0, 0], [210.0, 0], [210.0, 63.4], [212, 63.4], [212, 0]]\n"
        + SHADE.format("s", "east")
        + 'quiet = ["20:00", "10:00"]\n[need]\nseason = ["12-20", "01-10"]\n'
    )
    dates = date(2027, 12, 18), date(2027, 12, 23)
    _, made = asked(text, *dates, Variant(every="month"), best=best)
    rows = rows_of(made.varied.plans)
    assert min(row.date for row in rows) >= date(2027, 12, 20)
    daily = union(Spell(row.close, row.open) for row in rows_of(made.daily))
    assert subtract(daily, union(Spell(row.close, row.open) for row in rows)) == ()


def test_a_shade_of_a_group_that_stays_up_has_its_own_margins() -> None:
    """It opens as the cleaning begins and closes as it ends, with lead, lag and travel 0; the other
    keeps the group's 20 minutes.
    """
    text = (
        ZURICH
        + SLEEP
        + EAST
        + SHADE.format("a", "east")
        + "lead = 0\nlag = 0\n"
        + SHADE.format("b", "east")
        + "lead = 20\nlag = 20\ntravel = 60\n"
        + TOGETHER
        + up_on("2027-06-22", '"a"')
    )
    site, made = asked(text, date(2027, 6, 21), date(2027, 6, 22))
    a, b = (walls(site, plan.closings) for plan in made.varied.plans)
    assert a == ["21 22:00:00 22 00:00:00", "23 00:00:00 23 08:00:00"]
    assert b == ["21 21:39:00 22 08:20:00", "22 21:39:00 23 08:20:00"]


def test_a_plan_whose_last_row_begins_after_midnight_passes_the_audit() -> None:
    text = ZURICH + SLEEP + EAST + SHADE.format("s", "east") + up_on("2027-06-22")
    site, made = asked(text, date(2027, 6, 21), date(2027, 6, 22))
    rows = rows_of(made.varied.plans)
    assert [row.date.day for row in rows] == [21, 23]
    assert not audited(site, rows).broken
    # A row that is missing in the midst is found all the same.
    site, made = asked(text, date(2027, 6, 21), date(2027, 6, 25))
    rows = rows_of(made.varied.plans)
    assert audited(site, [row for row in rows if row.date.day != 24]).broken


def test_a_plan_to_the_last_date_there_is_passes_the_audit() -> None:
    text = ZURICH + SLEEP.replace('["22:00", "08:00"]', '["22:00", "09:30"]')
    text += EAST + SHADE.format("s", "east")
    site, made = asked(text, date(2199, 12, 30), date(2199, 12, 31))
    rows = rows_of(made.varied.plans)
    assert clock.local_date(rows[-1].open, site.place.zone) == date(2200, 1, 1)
    assert not audited(site, rows).broken


def test_needless_time_is_that_of_the_replay_where_rows_overlap() -> None:
    """The second row opens the shade at 13:00; what the first says of 15:00 is nothing."""
    site = site_from_text(ZURICH + EAST)
    zone, day = site.place.zone, date(2027, 6, 21)

    def at(wall: str) -> int:
        return clock.instant_of(day, clock.time.fromisoformat(wall), zone)

    rows = [
        Closing("east", day, at("06:39:01"), at("15:00"), 0, ""),
        Closing("east", day, at("07:00"), at("13:00"), 0, ""),
    ]
    (shade,) = audited(site, rows, day, day).shades
    alone = audited(site, [Closing("east", day, rows[0].close, at("13:00"), 0, "")], day, day)
    assert shade.needless == alone.shades[0].needless == 120
    assert shade.uncovered == alone.shades[0].uncovered


def test_the_audit_holds_the_shades_of_a_group_to_the_rules_of_the_group() -> None:
    """Sun of 100 minutes on b's window: too short for b, not for the group; a's limit of moves."""
    text = (
        ZURICH
        + EAST
        + "skyline = [[0,0],[76,0],[76,80],[160,80],[160,0]]\n"
        + EAST.replace("east", "west").replace("90", "270")
        + SHADE.format("a", "west")
        + "shortest = 5\nmoves = 4\n"
        + SHADE.format("b", "east")
        + "shortest = 300\n"
        + TOGETHER
    )
    day = date(2027, 6, 21)
    site, made = asked(text, day, day)
    rows = rows_of(made.varied.plans)
    assert not audited(site, rows, day, day).broken
    afternoon = [row for row in rows if row.close > rows[0].open]
    a, b = audited(site, afternoon, day, day).shades
    assert not a.broken
    assert total_seconds(b.uncovered) > 3600
    twice = [
        Closing(row.shade, row.date, start, start + 600, 0, "")
        for row in rows
        for start in range(row.close, row.close + 3 * 1200, 1200)
    ]
    over = [shade.over_limit for shade in audited(site, twice, day, day).shades]
    assert over[0] == over[1] == {day: 12}


def test_what_the_audit_calls_the_need_is_all_of_it_however_late_a_shade_closes() -> None:
    """While a motor that closes late still runs, the sun comes in: that is need, too."""
    text = ZURICH + EAST.replace("90", "150")
    quiet = 'travel = 40\nquiet = ["22:00", "07:30"]\n'
    text += SHADE.format("late", "east") + quiet + 'in_quiet = "late"\n'
    text += SHADE.format("early", "east") + quiet
    site, made = asked(text, date(2027, 6, 22), date(2027, 6, 24))
    late, early = audited(site, rows_of(made.varied.plans)).shades
    assert late.promised + late.let_in == early.promised + early.let_in
    assert early.let_in == 0
    suns = season.shade_sun(site, date(2027, 6, 22), date(2027, 6, 24))
    assert early.promised == total_seconds(union(season.needed_by(suns[1])))
