"""Days drawn together: as few settings as can be, nothing uncovered, and every rule kept."""

from __future__ import annotations

import random
import re
from collections.abc import Iterator, Sequence
from datetime import date, datetime, time, timedelta
from itertools import pairwise
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from command_line import run, write_home

from suncover.base import clock
from suncover.plan.closings.shade_plan import Closing, motor_moves_by_date
from suncover.plan.motor import Motor
from suncover.plan.timers.steady import settings_in, steady_closings
from suncover.site.model import Shade

NEW_YORK, HOWE = ZoneInfo("America/New_York"), ZoneInfo("Australia/Lord_Howe")
ROLLER = Shade(name="roller", windows=("w",), travel=60)


def closing(day: date, close: str, opens: str, zone: ZoneInfo, position: int = 100) -> Closing:
    """A closing on a day by clock times; `+07:00` is the next day's."""
    ends = day + timedelta(days=opens.startswith("+"))
    start = clock.instant_of(day, time.fromisoformat(close), zone)
    end = clock.instant_of(ends, time.fromisoformat(opens.removeprefix("+")), zone)
    return Closing("roller", day, start, end, 0, "sun", position)


def drawn(
    rows: Sequence[Closing], minutes: float, zone: ZoneInfo = NEW_YORK, shade: Shade = ROLLER
) -> tuple[Closing, ...]:
    return steady_closings(Motor(shade, zone), [rows], round(60 * minutes))[0]


def walls(rows: Sequence[Closing], zone: ZoneInfo = NEW_YORK) -> list[str]:
    return [
        f"{row.date:%d} {clock.clock_text(row.close, zone)}-{clock.clock_text(row.open, zone)}"
        for row in rows
    ]


def holds(new: Closing, old: Closing) -> bool:
    return new.close <= old.close and new.open >= old.open


def test_the_earliest_close_and_the_latest_open() -> None:
    june = date(2027, 6, 1)
    times = [("09:00", "10:59"), ("09:03", "11:02"), ("09:05", "10:58"), ("09:06", "10:57")]
    rows = [closing(june + timedelta(days=n), *pair, zone=NEW_YORK) for n, pair in enumerate(times)]
    # Two settings will do: the first three days in one, or the last three, or two and two. That
    # closes least.
    assert walls(drawn(rows, 5)) == [
        "01 09:00-11:02",
        "02 09:00-11:02",
        "03 09:05-10:58",
        "04 09:05-10:58",
    ]
    assert drawn(rows, 5)[1].reason == "sun; one setting for 1 Jun to 2 Jun"
    assert walls(drawn(rows, 6)) == [f"0{day} 09:00-11:02" for day in range(1, 5)]
    assert drawn(rows, 0) == tuple(rows)


@pytest.mark.parametrize(
    "second",
    [
        [("09:00", "11:00"), ("13:00", "14:00")],
        [("09:00", "+08:30")],
        [],
    ],
    ids=["two closings", "over midnight", "none"],
)
def test_days_that_do_not_correspond_stay_apart(second: list[tuple[str, str]]) -> None:
    june = date(2027, 6, 1)
    rows = [closing(june, "09:01", "11:00", NEW_YORK)]
    rows += [closing(june + timedelta(days=1), *pair, zone=NEW_YORK) for pair in second]
    rows += [closing(june + timedelta(days=2), "09:02", "11:00", NEW_YORK)]
    assert drawn(rows, 30) == tuple(rows)


def test_how_far_down_must_be_the_same() -> None:
    june = date(2027, 6, 1)
    rows = [closing(june + timedelta(days=n), "09:00", "11:0" + str(n), NEW_YORK) for n in range(3)]
    rows[1] = closing(june + timedelta(days=1), "09:00", "11:01", NEW_YORK, position=50)
    assert drawn(rows, 30) == tuple(rows)


@pytest.mark.parametrize(
    ("zone", "change"),
    [(NEW_YORK, date(2027, 3, 14)), (NEW_YORK, date(2027, 11, 7)), (HOWE, date(2027, 10, 3))],
    ids=["forward", "back", "half an hour"],
)
def test_days_about_a_change_of_clocks(zone: ZoneInfo, change: date) -> None:
    """The sun keeps its own time, so by the clock it jumps. What the wall shows is made alike."""
    offset = clock.utc_offset(clock.instant_of(change, time(12), zone), zone)
    rows = []
    for n in range(-3, 4):
        day = change + timedelta(days=n)
        noon = (day - date(1970, 1, 1)).days * clock.DAY_S + 12 * 3600 - offset
        start = noon + 20 * n
        rows.append(Closing("roller", day, start, start + 7200, 0, "sun"))
    found = drawn(rows, 5, zone)
    jump = abs(clock.utc_offset(rows[0].close, zone) - offset)
    assert jump in (1800, 3600)
    assert settings_in(found, zone) == 2  # before the change, and from its day on
    assert all(holds(new, old) for new, old in zip(found, rows, strict=True))
    # So far apart that the jump is within the tolerance, all are one; what that does is right, too.
    wide = drawn(rows, 65, zone)
    assert settings_in(wide, zone) == 1
    assert all(holds(new, old) for new, old in zip(wide, rows, strict=True))


def test_a_day_whose_clocks_change_while_it_is_closed_stays_as_it_is() -> None:
    rows = [
        closing(date(2027, 3, 12) + timedelta(days=n), "22:00", f"+07:0{n}", NEW_YORK)
        for n in range(4)
    ]
    found = drawn(rows, 10)
    assert found[1] == rows[1]  # the night to 14 March
    assert settings_in(found, NEW_YORK) == 3


def _parts(count: int) -> Iterator[list[range]]:
    """Every way to part a row of days into runs."""
    for cuts in range(1 << (count - 1)):
        ends = [n + 1 for n in range(count - 1) if cuts >> n & 1] + [count]
        yield [range(start, end) for start, end in zip([0, *ends[:-1]], ends, strict=True)]


def _made(
    days: Sequence[Sequence[Closing]], parts: Sequence[range], zone: ZoneInfo
) -> list[tuple[int, int]]:
    """What the closings are with each run at its earliest closes and latest opens."""
    made = []
    for part in parts:
        for n in part:
            for place in range(len(days[n])):
                reading = [
                    (
                        days[m][place].close + clock.utc_offset(days[m][place].close, zone),
                        days[m][place].open + clock.utc_offset(days[m][place].open, zone),
                    )
                    for m in part
                ]
                early = min(close % clock.DAY_S for close, _ in reading)
                late = max(opens % clock.DAY_S for _, opens in reading)
                mine = reading[n - part.start]
                made.append(
                    (
                        days[n][place].close - (mine[0] % clock.DAY_S - early),
                        days[n][place].open + late - mine[1] % clock.DAY_S,
                    )
                )
    return made


def _allowed(
    days: Sequence[Sequence[Closing]], parts: Sequence[range], zone: ZoneInfo, tolerance: int
) -> bool:
    """Whether times in each run are near enough, and each takes no more than half of any room."""
    made = iter(_made(days, parts, zone))
    new = [[next(made) for _ in day] for day in days]
    for part in parts:
        if len({len(days[n]) for n in part}) > 1:
            return False
        for place in range(len(days[part.start])):
            for key in (lambda row: row.close, lambda row: row.open):
                times = [
                    (key(days[n][place]) + clock.utc_offset(key(days[n][place]), zone))
                    % clock.DAY_S
                    for n in part
                ]
                if max(times) - min(times) > tolerance:
                    return False
    rows = [row for day in days for row in day]
    flat = [times for day in new for times in day]
    run_of = [number for number, part in enumerate(parts) for n in part for _ in days[n]]
    for n, (before, after) in enumerate(pairwise(rows)):
        room = after.close - before.open - 60
        later, sooner = flat[n][1] - before.open, after.close - flat[n + 1][0]
        if run_of[n] == run_of[n + 1]:
            if later + sooner > room:
                return False
        elif max(later, sooner) > room // 2:
            return False
    return True


@pytest.mark.parametrize(
    ("gap", "weeks"),
    [
        (600, 150),
        (40, 150),
        pytest.param(600, 5000, marks=pytest.mark.slow),
        pytest.param(40, 5000, marks=pytest.mark.slow),
    ],
    ids=["room enough", "tight", "room enough, many", "tight, many"],
)
def test_no_way_to_part_the_days_has_fewer_settings(gap: int, weeks: int) -> None:
    """Against every way there is, and of those with as few settings, the one that closes least."""
    draw = random.Random(gap + weeks)
    tried = bound = 0
    for _ in range(weeks):
        count = draw.randint(2, 8)
        days, seconds = [], [8 * 3600, 10 * 3600, 10 * 3600 + gap + 60, 12 * 3600]
        two = draw.random() < 0.7
        for n in range(count):
            day = date(2027, 6, 1) + timedelta(days=n)
            seconds = [at + draw.randint(-120, 120) for at in seconds]
            seconds[2] = max(seconds[2], seconds[1] + 61)
            start = clock.day_bounds(day, NEW_YORK).start
            pairs = [seconds[:2], seconds[2:]][: 2 if two else 1]
            days.append([Closing("roller", day, start + a, start + b, 0, "sun") for a, b in pairs])
        tolerance = draw.choice([60, 180, 400])
        rows = [row for day in days for row in day]
        found = [(row.close, row.open) for row in drawn(rows, tolerance / 60)]
        least = min(
            (len(parts), sum(end - start for start, end in _made(days, parts, NEW_YORK)))
            for parts in _parts(count)
            if _allowed(days, parts, NEW_YORK, tolerance)
        )
        mine = [
            (len(parts), sum(end - start for start, end in found))
            for parts in _parts(count)
            if _made(days, parts, NEW_YORK) == found and _allowed(days, parts, NEW_YORK, tolerance)
        ]
        assert min(mine) == least
        tried += 1
        bound += 1 < least[0] < count
    assert bound > tried / 5


def test_shades_that_move_together_have_the_same_runs_of_days() -> None:
    june = date(2027, 6, 1)
    left = [closing(june + timedelta(days=n), "09:00", f"11:0{n}", NEW_YORK) for n in range(4)]
    right = [closing(june + timedelta(days=n), f"09:0{n}", "11:00", NEW_YORK) for n in range(4)]
    found = steady_closings(Motor(ROLLER, NEW_YORK), [left, right], 300)
    assert [settings_in(rows, NEW_YORK) for rows in found] == [1, 1]
    times = [{walls([row])[0][3:] for row in rows} for rows in found]
    assert times == [{"09:00-11:03"}, {"09:00-11:00"}]  # each its own, as a supply may have it


HOME = """
[site]
name = "Kentia House"
latitude = -31.53
longitude = 159.07
timezone = "Australia/Lord_Howe"
[[window]]
name = "east"
azimuth = 80
width = 1.2
height = 1.2
[[window]]
name = "north"
azimuth = 5
width = 2
height = 1.4
[window.overhang]
depth = 0.8
gap = 0.2
[[window]]
name = "west"
azimuth = 280
width = 1
height = 1
skyline = [[250, 20], [260, 50], [275, 0], [290, 60], [300, 0]]
[[shade]]
name = "east roller"
windows = ["east"]
travel = 70
quiet = ["21:00", "07:15"]
[[shade]]
name = "north roller"
windows = ["north", "east"]
travel = 40
moves = 4
[[shade]]
name = "west roller"
windows = ["west"]
merge = 0
travel = 30
[[supply]]
name = "controller"
shades = ["east roller", "north roller", "west roller"]
gap = 20
"""
DATES = ("--from", "2026-09-20", "--to", "2026-11-10")


@pytest.mark.parametrize(
    "options",
    [(), ("--round", "5min"), ("--best",)],
    ids=["steady", "and round", "and best"],
)
def test_rules_hold_after_it(options: tuple[str, ...], tmp_path: Path) -> None:
    home, file = write_home(tmp_path, HOME), tmp_path / "plan.csv"
    plain = run("plan", home, *DATES, *options, "--csv", "-").rows
    said = run("plan", home, *DATES, *options, "--steady", "6min", "--csv", file)
    assert said.status == 0
    assert "No motor runs in quiet hours." in said.out
    assert "No supply runs more motors at once than it can." in said.out
    rows = run("plan", home, *DATES, *options, "--steady", "6 min", "--csv", "-").rows
    assert sorted((row["shade"], row["date"]) for row in rows) == sorted(
        (row["shade"], row["date"]) for row in plain
    )
    by_shade: dict[str, list[Closing]] = {}
    for row in rows:
        times = [round(datetime.fromisoformat(row[key]).timestamp()) for key in ("close", "open")]
        day = date.fromisoformat(row["date"])
        by_shade.setdefault(row["shade"], []).append(Closing(row["shade"], day, *times, 0, ""))
    assert max(motor_moves_by_date(by_shade["north roller"], HOWE).values()) <= 4
    for name, travel in (("east roller", 70), ("north roller", 40), ("west roller", 30)):
        for before, after in pairwise(by_shade[name]):
            assert before.open + travel <= after.close
    if not options:
        assert run("audit", home, file, *DATES).status == 0


def test_the_price_is_told_also_beside_a_table_on_the_screen(tmp_path: Path) -> None:
    home = write_home(tmp_path, HOME)
    said = run("plan", home, *DATES, "--steady", "5min", "--csv", "-")
    assert "Steady times: days in a row that differ by up to 5 min, made alike" in said.err
    assert said.rows
    line = re.search(r"  east roller +(\d+) +(\d+) +(?:\d+ h )?\d+ min more\n", said.err)
    assert line is not None
    assert 1 < int(line[1]) < int(line[2])


@pytest.mark.parametrize(
    ("options", "message"),
    [
        (("--steady", "0min"), "'0min' is not a length of time from 1min to 120min"),
        (("--steady", "3h"), "'3h' is not a length of time from 1min to 120min"),
        (("--steady", "5min", "--every", "week"), "--every week has one setting for each week"),
        (("--steady", "5min", "--card", "card.txt"), "--card goes with --every"),
    ],
    ids=["nothing", "hours", "every week", "a card"],
)
def test_what_makes_no_sense_is_refused(
    options: tuple[str, ...], message: str, tmp_path: Path
) -> None:
    said = run("plan", write_home(tmp_path, HOME), *DATES, *options)
    assert (said.status, said.out) == (2, "")
    assert message in said.err
