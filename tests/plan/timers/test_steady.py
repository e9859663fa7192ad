"""Days drawn together: as few settings as can be, nothing uncovered, and every rule kept."""

import random
import re
from collections.abc import Iterator
from datetime import date, time, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest
from command_line import HOME, run, write_home

from suncover.base import clock
from suncover.plan.closings.shade_plan import Closing
from suncover.plan.motor import Motor
from suncover.plan.timers.steady import settings_in, steady_closings
from suncover.site.model import Shade

NEW_YORK, HOWE = ZoneInfo("America/New_York"), ZoneInfo("Australia/Lord_Howe")
ROLLER = Shade(name="roller", windows=("w",), travel=60)


JUNE = date(2027, 6, 1)
ONE = timedelta(days=1)


def closing(day, close, opens, position=100):
    """A closing on a day by clock times in New York; `+07:00` is the next day's."""
    start = clock.instant_of(day, time.fromisoformat(close), NEW_YORK)
    ends = day + ONE * opens.startswith("+")
    end = clock.instant_of(ends, time.fromisoformat(opens.removeprefix("+")), NEW_YORK)
    return Closing("roller", day, start, end, 0, "sun", position)


def drawn(rows, minutes, zone=NEW_YORK):
    return steady_closings(Motor(ROLLER, zone), [rows], round(60 * minutes))[0]


def walls(rows):
    return [
        f"{row.date:%d} " + "-".join(clock.clock_text(at, NEW_YORK) for at in (row.close, row.open))
        for row in rows
    ]


def test_the_earliest_close_and_the_latest_open():
    times = [("09:00", "10:59"), ("09:03", "11:02"), ("09:05", "10:58"), ("09:06", "10:57")]
    rows = [closing(JUNE + n * ONE, *pair) for n, pair in enumerate(times)]
    # Two settings will do: the first three days in one, or the last three, or two and two. That
    # closes least.
    found = drawn(rows, 5)
    assert walls(found) == ["01 09:00-11:02", "02 09:00-11:02", "03 09:05-10:58", "04 09:05-10:58"]
    assert found[1].reason == "sun; one setting for 1 Jun to 2 Jun"
    assert walls(drawn(rows, 6)) == [f"0{day} 09:00-11:02" for day in range(1, 5)]
    assert drawn(rows, 0) == tuple(rows)


@pytest.mark.parametrize(
    "second",
    [[("09:00", "11:00"), ("13:00", "14:00")], [("09:00", "+08:30")], [], [("09:00", "11:01", 50)]],
    ids=["two closings", "over midnight", "none", "not so far down"],
)
def test_days_that_do_not_correspond_stay_apart(second):
    rows = [closing(JUNE, "09:01", "11:00")]
    rows += [closing(JUNE + ONE, *facts) for facts in second]
    rows += [closing(JUNE + 2 * ONE, "09:02", "11:00")]
    assert drawn(rows, 30) == tuple(rows)


@pytest.mark.parametrize(
    ("zone", "change"),
    [(NEW_YORK, date(2027, 3, 14)), (NEW_YORK, date(2027, 11, 7)), (HOWE, date(2027, 10, 3))],
    ids=["forward", "back", "half an hour"],
)
def test_days_about_a_change_of_clocks(zone, change):
    """The sun keeps its own time, so by the clock it jumps. What the wall shows is made alike."""
    offset = clock.utc_offset(clock.instant_of(change, time(12), zone), zone)
    rows = []
    for n in range(-3, 4):
        day = change + n * ONE
        noon = (day - date(1970, 1, 1)).days * clock.DAY_S + 12 * 3600 - offset
        start = noon + 20 * n
        rows.append(Closing("roller", day, start, start + 7200, 0, "sun"))
    jump = abs(clock.utc_offset(rows[0].close, zone) - offset)
    assert jump in (1800, 3600)
    # Two, before the change, and from its day on. With the jump within the tolerance all are one.
    for minutes, number in ((5, 2), (65, 1)):
        found = drawn(rows, minutes, zone)
        assert settings_in(found, zone) == number
        for new, old in zip(found, rows, strict=True):
            assert new.close <= old.close
            assert new.open >= old.open


def test_a_day_whose_clocks_change_while_it_is_closed_stays_as_it_is():
    rows = [closing(date(2027, 3, 12) + n * ONE, "22:00", f"+07:0{n}") for n in range(4)]
    found = drawn(rows, 10)
    assert found[1] == rows[1]  # the night to 14 March
    assert settings_in(found, NEW_YORK) == 3


def _parts(count: int) -> Iterator[list[range]]:
    """Every way to part a row of days into runs."""
    for cuts in range(1 << (count - 1)):
        ends = [n + 1 for n in range(count - 1) if cuts >> n & 1] + [count]
        yield [range(start, end) for start, end in zip([0, *ends[:-1]], ends, strict=True)]


def _walls(row):
    """Its two times as a clock on the wall shows them, seconds of its days."""
    ends = row.close, row.open
    return [(at + clock.utc_offset(at, NEW_YORK)) % clock.DAY_S for at in ends]


def _made(days, parts):
    """What the closings are with each run at its earliest closes and latest opens."""
    made = []
    for part in parts:
        for n in part:
            for place, row in enumerate(days[n]):
                times = [_walls(days[m][place]) for m in part]
                close, opens = times[n - part.start]
                early, late = min(t[0] for t in times), max(t[1] for t in times)
                made.append((row.close - (close - early), row.open + late - opens))
    return made


def _allowed(days, parts, tolerance):
    """Whether times in each run are near enough, and each takes no more than half of any room."""
    for part in parts:
        if len({len(days[n]) for n in part}) > 1:
            return False
        for place in range(len(days[part.start])):
            for times in zip(*(_walls(days[n][place]) for n in part), strict=True):
                if max(times) - min(times) > tolerance:
                    return False
    rows, flat = [row for day in days for row in day], _made(days, parts)
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
        (600, 80),
        (40, 80),
        pytest.param(600, 5000, marks=pytest.mark.slow),
        pytest.param(40, 5000, marks=pytest.mark.slow),
    ],
    ids=["room enough", "tight", "room enough, many", "tight, many"],
)
def test_no_way_to_part_the_days_has_fewer_settings(gap, weeks):
    """Against every way there is, and of those with as few settings, the one that closes least."""
    draw = random.Random(gap + weeks)
    tried = bound = 0
    for _ in range(weeks):
        count = draw.randint(2, 8)
        days, seconds = [], [8 * 3600, 10 * 3600, 10 * 3600 + gap + 60, 12 * 3600]
        two = draw.random() < 0.7
        for n in range(count):
            day = JUNE + n * ONE
            seconds = [at + draw.randint(-120, 120) for at in seconds]
            seconds[2] = max(seconds[2], seconds[1] + 61)
            start = clock.day_bounds(day, NEW_YORK).start
            pairs = [seconds[:2], seconds[2:]][: 2 if two else 1]
            days.append([Closing("roller", day, start + a, start + b, 0, "sun") for a, b in pairs])
        tolerance = draw.choice([60, 180, 400])
        rows = [row for day in days for row in day]
        found = [(row.close, row.open) for row in drawn(rows, tolerance / 60)]
        least = min(
            (len(parts), sum(end - start for start, end in _made(days, parts)))
            for parts in _parts(count)
            if _allowed(days, parts, tolerance)
        )
        mine = [
            (len(parts), sum(end - start for start, end in found))
            for parts in _parts(count)
            if _made(days, parts) == found and _allowed(days, parts, tolerance)
        ]
        assert min(mine) == least
        tried += 1
        bound += 1 < least[0] < count
    assert bound > tried / 5


def test_shades_that_move_together_have_the_same_runs_of_days():
    left = [closing(JUNE + n * ONE, "09:00", f"11:0{n}") for n in range(4)]
    right = [closing(JUNE + n * ONE, f"09:0{n}", "11:00") for n in range(4)]
    found = steady_closings(Motor(ROLLER, NEW_YORK), [left, right], 300)
    assert [settings_in(rows, NEW_YORK) for rows in found] == [1, 1]
    times = [{walls([row])[0][3:] for row in rows} for rows in found]
    assert times == [{"09:00-11:03"}, {"09:00-11:00"}]  # each its own, as a supply may have it
    # Of which one has no closing on some day: nothing is made alike.
    found = steady_closings(Motor(ROLLER, NEW_YORK), [left, right[1:]], 300)
    assert [list(rows) for rows in found] == [left, right[1:]]


DATES = ("--from", "2026-05-01", "--to", "2026-05-31")


def test_the_price_is_told_also_beside_a_table_on_the_screen(tmp_path):
    said = run("plan", write_home(tmp_path, HOME), *DATES, "--steady", "5min", "--csv", "-")
    assert "Steady times: days in a row that differ by up to 5 min, made alike" in said.err
    assert said.rows
    line = re.search(r"  kitchen roller +(\d+) +(\d+) +(?:\d+ h )?\d+ min more\n", said.err)
    assert 1 < int(line[1]) < int(line[2])
