"""`suncover today`: one day in words that a family understands."""

from __future__ import annotations

import json
import re
from datetime import date
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from command_line import HOME, run, write_home

from suncover.base.clock import iso_local
from suncover.plan.season import season_plan
from suncover.site.file.sitefile import load_site

EARLY = HOME.replace('["21:30", "07:00"]', '["20:00", "09:00"]')
LATE = HOME.replace('["21:30", "07:00"]', '["20:00", "09:00"]\nin_quiet = "late"')
NORTH = """\
[site]
name = "Nordly"
latitude = 69.65
longitude = 18.96
[[window]]
name = "roof"
azimuth = 180
tilt = 20
width = 1
height = 1
[[shade]]
name = "roof screen"
windows = ["roof"]
merge = 1440
"""


def words(page: str) -> str:
    return " ".join(page.split())


def test_today_is_the_day_of_the_sites_clock(tmp_path: Path) -> None:
    said = run("today", write_home(tmp_path), today=date(2026, 6, 1))
    assert (said.status, said.err) == (0, "")
    assert said.out.startswith("Larkspur Lane, Monday 1 Jun 2026\n")


def test_each_shade_says_when_and_why_as_the_plan_has_it(tmp_path: Path) -> None:
    path = write_home(tmp_path)
    page = words(run("today", path, "--at", "2026-06-21").out)
    rows = run("plan", path, "--from", "2026-06-21", "--to", "2026-06-21", "--csv", "-").rows
    assert [row["shade"] for row in rows] == ["kitchen roller", "study"]
    for row in rows:
        close, opens = row["close"][11:16], row["open"][11:16]
        minutes = int(float(row["minutes"]))
        length = f"{minutes // 60} h {minutes % 60} min"
        assert (
            f"{row['shade']} goes down at {close}, up at {opens} ({length}) why: {row['reason']}"
            in page
        )


def test_a_closing_begun_yesterday_and_one_that_ends_tomorrow_say_so(tmp_path: Path) -> None:
    path = write_home(tmp_path, EARLY)
    page = words(run("today", path, today=date(2026, 6, 21)).out)
    assert re.search(
        r"kitchen roller down already since 19:5\d yesterday, goes up at 1\d:\d\d", page
    )
    assert re.search(
        r"why: sun 07:\d\d–1\d:\d\d today on kitchen; closes 19:58, before quiet", page
    )
    assert re.search(r"goes down at 19:5\d, up again at 1\d:\d\d tomorrow", page)
    assert re.search(r"why: sun 07:\d\d–1\d:\d\d tomorrow on kitchen", page)


def test_on_another_day_the_days_around_it_have_dates(tmp_path: Path) -> None:
    path = write_home(tmp_path, EARLY)
    page = words(run("today", path, "--at", "2026-06-21", today=date(2026, 6, 1)).out)
    assert "since 19:58 on 20 Jun" in page
    assert "on 22 Jun" in page
    assert "yesterday" not in page
    assert "tomorrow" not in page
    assert "today" not in page


def test_sun_that_is_let_in_is_said_with_its_reason(tmp_path: Path) -> None:
    page = words(run("today", write_home(tmp_path, LATE), "--at", "2026-06-21").out)
    assert re.search(r"sun comes in 07:\d\d to 09:00: quiet hours: the shade closes when", page)


def test_out_of_season_the_shade_stays_up_and_says_so(tmp_path: Path) -> None:
    page = words(run("today", write_home(tmp_path), "--at", "2026-12-21").out)
    pattern = (
        r"study stays up: sun on study \d\d:\d\d to \d\d:\d\d, but its season is 15 Apr to 15 Oct"
    )
    assert re.search(pattern, page)


def test_a_day_without_sun_on_the_window_says_so(tmp_path: Path) -> None:
    text = HOME.replace("azimuth = 95", "azimuth = 0")
    page = words(run("today", write_home(tmp_path, text), "--at", "2026-09-30").out)
    assert "kitchen roller stays up: no sun that counts on its window" in page


@pytest.mark.parametrize(
    ("day", "told"),
    [
        pytest.param("2026-06-21", "The sun is up all day and all night.", id="midnight sun"),
        pytest.param("2026-12-21", "The sun does not come up.", id="polar night"),
    ],
)
def test_the_far_north(tmp_path: Path, day: str, told: str) -> None:
    said = run("today", write_home(tmp_path, NORTH), "--at", day)
    assert said.status == 0
    assert told in said.out


def test_a_shade_that_is_down_for_months_says_since_when(tmp_path: Path) -> None:
    page = words(run("today", write_home(tmp_path, NORTH), "--at", "2026-06-21").out)
    assert re.search(r"stays down all day: since \d\d:\d\d on \d+ \w+, up again at", page)


def strips(page: str) -> dict[str, str]:
    return dict(re.findall(r"^  (\S+(?: \S+)?) +([#*.-]{48})$", page, re.M))


def test_the_strip_shows_the_closings_to_half_an_hour(tmp_path: Path) -> None:
    path = write_home(tmp_path)
    page = run("today", path, "--at", "2026-06-21").out
    (row, _) = run("plan", path, "--from", "2026-06-21", "--to", "2026-06-21", "--csv", "-").rows
    strip = strips(page)["kitchen roller"]
    start, end = (2 * int(row[key][11:13]) + int(row[key][14:16]) / 30 for key in ("close", "open"))
    assert abs(strip.index("#") - start) <= 1
    assert abs(strip.rindex("#") + 1 - end) <= 1
    assert strip[:8] == strip[-4:] * 2 == "." * 8


def test_the_strip_shows_sun_that_comes_in(tmp_path: Path) -> None:
    assert "*" in strips(run("today", write_home(tmp_path), "--at", "2026-12-21").out)["study"]


@pytest.mark.parametrize("day", ["2026-03-08", "2026-11-01"], ids=["23 hours", "25 hours"])
def test_hours_stand_above_their_place_when_clocks_change(tmp_path: Path, day: str) -> None:
    page = run("today", write_home(tmp_path), "--at", day).out
    scale = next(line for line in page.splitlines() if re.match(r" +0 ", line))
    length = 23 if day == "2026-03-08" else 25
    noon = scale.index("12") - scale.index("0")
    assert noon == round((11 if length == 23 else 13) * 48 / length)


def test_a_date_that_the_zone_skips(tmp_path: Path) -> None:
    """Samoa had no 30 December 2011 (IANA tz database, Pacific/Apia)."""
    text = HOME.replace("36.10", "-13.83").replace("-79.95", "-171.76")
    text = text.replace("elevation = 270", 'timezone = "Pacific/Apia"')
    said = run("today", write_home(tmp_path, text), "--at", "2011-12-30")
    assert said.status == 0
    assert "The clocks of this place leave this date out." in said.out


@pytest.mark.parametrize("day", ["2026-13-01", "tomorrow", "1899-12-31"])
def test_a_wrong_day_is_one_line(tmp_path: Path, day: str) -> None:
    said = run("today", write_home(tmp_path), "--at", day)
    assert (said.status, said.out) == (2, "")
    assert len(said.faults) == 1
    assert f"'{day}'" in said.faults[0]


def test_no_line_is_wider_than_a_screen(tmp_path: Path) -> None:
    long = EARLY.replace('"kitchen', f'"{"a very long window name " * 3}kitchen')
    page = run("today", write_home(tmp_path, long), "--at", "2026-06-21").out
    assert max(map(len, page.splitlines())) <= 80


KEPT_UP = (
    HOME
    + """
[[exception]]
name = "window cleaner"
dates = ["2027-06-21", "2027-06-21"]
do = "up"
shades = ["study"]
"""
)


def test_an_exception_is_named_where_it_keeps_a_shade_up(tmp_path: Path) -> None:
    said = run("today", write_home(tmp_path, KEPT_UP), "--at", "2027-06-21")
    assert said.status == 0
    assert "stays up all day: window cleaner" in said.out
    assert said.out.count("stays up") == 1


def test_json_tells_what_the_page_does(tmp_path: Path) -> None:
    path, day = write_home(tmp_path, KEPT_UP), date(2027, 6, 21)
    told = json.loads(run("today", path, "--at", "2027-06-21", "--format", "json").out)
    assert (told["date"], told["timezone"]) == ("2027-06-21", "America/New_York")
    kitchen, study = told["shades"]
    assert study["closings"] == []
    assert [one["reason"] for one in study["stays_up"]] == ["window cleaner"]
    plans = {plan.shade: plan for plan in season_plan(load_site(path), day, day)}
    ours = [(one["close"], one["open"], one["reason"]) for one in kitchen["closings"]]
    zone = ZoneInfo("America/New_York")
    assert ours == [
        (iso_local(one.close, zone), iso_local(one.open, zone), one.reason)
        for one in plans["kitchen roller"].closings
    ]
    target = tmp_path / "today.json"
    run("today", path, "--at", "2027-06-21", "--format", "json", "-o", target)
    assert json.loads(target.read_text()) == told
