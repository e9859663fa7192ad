"""What the commands say of rooms: reach, spots, doses, and closings for more than heat."""

from __future__ import annotations

import json
import re
from datetime import date
from pathlib import Path

import pytest
from command_line import HOME, run, write_home

from suncover.facade import hours as sun_hours
from suncover.plan import season
from suncover.site.file.sitefile import load_site

WEEK = ("--from", "2026-09-10", "--to", "2026-09-16")
YEAR = ("--from", "2026-01-01", "--to", "2026-12-31")
FIRST, LAST = date(2026, 9, 10), date(2026, 9, 16)
# A screen held high behind the glass, so that half a shade keeps the sun off it.
ROOMS = (
    HOME.replace("distance = 1.0\nheight = 0.75", "distance = 0.6\nheight = 1.5")
    + """
[[shade]]
name = "study roller"
windows = ["study"]
stops = [50, 100]

[shade.roller]
tube = "50 mm"
thickness = "0.5 mm"
drop = 1.2
turns_per_minute = 28

[shade.need]
for = ["glare", "sleep"]

[shade.need.sleep]
dark = ["21:30", "07:30"]
"""
)


def test_hours_with_reach_and_spots_as_csv(tmp_path: Path) -> None:
    path = write_home(tmp_path)
    said = run("hours", path, *WEEK, "--reach", "--spots", "--format", "csv")
    assert said.out_bytes.startswith(b"window,date,start,end,minutes,reach,spots\r\n")
    site = load_site(path)
    spells = sun_hours.hours(site, FIRST, LAST)
    reaches = season.reaches(site, spells)
    shown = [float(row["reach"]) for row in said.rows]
    assert shown == pytest.approx([*reaches["kitchen"], *reaches["study"]], abs=0.005)
    assert [row["spots"] for row in said.rows] == [""] * 7 + ["desk"] * 7


def test_a_table_is_reached_less_far_than_the_floor(tmp_path: Path) -> None:
    path = write_home(tmp_path)
    args = ("--window", "study", "--reach", "--format", "json")
    floor = json.loads(run("hours", path, *WEEK, *args).out)
    table = json.loads(run("hours", path, *WEEK, *args, "--height", "0.75").out)
    pairs = zip(floor["windows"][0]["spells"], table["windows"][0]["spells"], strict=True)
    assert all(low["reach_m"] > high["reach_m"] for low, high in pairs)
    assert "spots" not in floor


def test_hours_as_a_page_with_reach_and_spots(tmp_path: Path) -> None:
    page = run("hours", write_home(tmp_path), *YEAR, "--reach", "--spots").out
    assert "How far the sun falls into the room, on the floor" in page
    assert "Direct sun on places in Larkspur Lane" in page
    assert max(map(len, page.splitlines())) <= 80
    above = run("hours", write_home(tmp_path), *WEEK, "--reach", "--height", "0.75").out
    assert "0.75 m above the floor" in above
    assert "Direct sun on places" not in above


# A flat roof's window tipped a little to the north: low sun from the south comes in over the house
# and falls outward, north of the window's lower edge.
ROOFLIGHT = """\
[site]
name = "Long Loft"
latitude = 50.0
longitude = 10.0

[[window]]
name = "rooflight"
azimuth = 0
tilt = 10
width = 0.8
height = 0.8
sill = 2.2
"""


def test_sun_that_falls_outward_of_the_window_is_no_reach_into_the_room(tmp_path: Path) -> None:
    path = write_home(tmp_path, ROOFLIGHT)
    page = run("hours", path, *YEAR, "--reach").out
    months = [line for line in page.split("into the room")[1].splitlines() if " 2026 " in line]
    # The sun stands due south at noon: at 50° north, all of a January or December day's sun is
    # from the southern half of the sky.
    assert [line.split()[2:] for line in months if line.split()[0] in ("Jan", "Dec")] == [
        ["-", "-"]
    ] * 2
    assert "m " in next(line for line in months if line.split()[0] == "Jun")
    assert "none of it falls farther in than the window's lower edge" in page
    assert not re.search(r"-\d+\.\d+ m", page)


def test_sun_that_falls_outward_has_no_reach_in_the_files(tmp_path: Path) -> None:
    path = write_home(tmp_path, ROOFLIGHT)
    day = ("--from", "2026-12-21", "--to", "2026-12-21", "--reach", "--format")
    assert [row["reach"] for row in run("hours", path, *day, "csv").rows] == [""]
    told = json.loads(run("hours", path, *day, "json").out)
    assert [spell["reach_m"] for spell in told["windows"][0]["spells"]] == [None]


def test_spots_of_other_windows_are_not_shown(tmp_path: Path) -> None:
    args = ("--spots", "--window", "kitchen")
    assert (
        "No place to watch lies behind these windows."
        in run("hours", write_home(tmp_path), *WEEK, *args).out
    )


def test_without_being_asked_the_hours_are_as_ever(tmp_path: Path) -> None:
    said = run("hours", write_home(tmp_path), *WEEK, "--format", "csv")
    assert said.out_bytes.startswith(b"window,date,start,end,minutes\r\n")


@pytest.mark.parametrize(
    ("args", "expected"),
    [
        pytest.param(["hours", "--height", "1"], "--height goes with --reach", id="height alone"),
        pytest.param(["spots", "--dose", "--format", "csv"], "--dose goes with", id="dose as csv"),
    ],
)
def test_options_that_do_not_go_together(tmp_path: Path, args: list[str], expected: str) -> None:
    said = run(args[0], write_home(tmp_path), *WEEK, *args[1:])
    assert said.status == 2
    assert expected in said.err
    assert said.out == ""


def test_doses_as_a_page_and_as_json(tmp_path: Path) -> None:
    path = write_home(tmp_path)
    page = run("spots", path, *YEAR, "--dose").out
    (dose,) = season.doses(load_site(path), date(2026, 1, 1), date(2026, 12, 31))
    assert "Light from direct sun" in page
    row = next(line for line in page.splitlines() if line.startswith("  desk ") and "m" not in line)
    assert row.split()[-1] != "desk"
    assert f" {dose.klux_hours:.0f} " in page
    document = json.loads(run("spots", path, *YEAR, "--dose", "--format", "json").out)
    told = document["spots"][0]["dose"]
    assert told["kwh_per_m2"] == pytest.approx(dose.kwh_per_m2, abs=0.001)
    assert told["klux_hours_with_the_plan"] < told["klux_hours"]
    plain = json.loads(run("spots", path, *YEAR, "--format", "json").out)
    assert "dose" not in plain["spots"][0]


def test_plan_has_positions_and_seconds_where_a_shade_has_stops_and_a_roller(
    tmp_path: Path,
) -> None:
    path = write_home(tmp_path, ROOMS)
    said = run("plan", path, *WEEK, "--csv", "-")
    assert said.out_bytes.startswith(
        b"shade,date,close,open,minutes,sun_minutes,reason,position,run_seconds\r\n"
    )
    study = [row for row in said.rows if row["shade"] == "study roller"]
    glare = [row for row in study if row["reason"].startswith("glare")]
    nights = [row for row in study if row["reason"].startswith("dark for sleep")]
    assert len(glare) == len(nights) == 7
    assert {row["position"] for row in nights} == {"100"}
    assert {row["position"] for row in glare} == {"50"}
    assert all(0 < float(row["run_seconds"]) < 60 for row in study)
    kitchen = [row for row in said.rows if row["shade"] == "kitchen roller"]
    assert {(row["position"], row["run_seconds"]) for row in kitchen} == {("100", "")}
    plain = run("plan", write_home(tmp_path), *WEEK, "--csv", "-")
    assert plain.out_bytes.startswith(b"shade,date,close,open,minutes,sun_minutes,reason\r\n")


def test_the_calendar_says_how_far_down_and_why(tmp_path: Path) -> None:
    text = run("plan", write_home(tmp_path, ROOMS), *WEEK, "--ics", "-").out.replace("\r\n ", "")
    assert "SUMMARY:study roller 50 % closed" in text
    assert "DESCRIPTION:glare " in text
    assert "dark for sleep" in text


def test_today_tells_why_in_plain_words(tmp_path: Path) -> None:
    page = " ".join(run("today", write_home(tmp_path, ROOMS), "--at", "2026-09-12").out.split())
    assert "why: glare " in page
    assert "at desk" in page
    assert "dark for sleep 21:30 to 07:30 next day, as dawn comes at 06:" in page
    north = ROOMS.replace('for = ["glare", "sleep"]', 'for = ["sleep"]').replace("07:30", "05:00")
    winter = " ".join(run("today", write_home(tmp_path, north), "--at", "2026-12-12").out.split())
    assert "stays up: nothing to close for (sleep)" in winter


def test_a_plan_for_all_year_where_a_need_has_no_season(tmp_path: Path) -> None:
    """Heat has a season, sleep has none: without dates the plan runs for a year."""
    said = run("plan", write_home(tmp_path, ROOMS), "--csv", "-", today=date(2026, 11, 1))
    assert "2026-11-01 to 2027-10-31" in said.err
