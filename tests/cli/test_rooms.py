"""What the commands say of rooms: reach, spots, doses, and closings for more than heat."""

import re
from datetime import date

import pytest
from command_line import HOME, refused, run, write_home
from site_texts import house, table, window

from suncover.facade import hours as sun_hours
from suncover.plan import season
from suncover.site.file.sitefile import load_site

WEEK = ("--from", "2026-09-10", "--to", "2026-09-16")
YEAR = ("--from", "2026-01-01", "--to", "2026-12-31")
# A screen held high behind the glass, so that half a shade keeps the sun off it.
ROLLER = {"tube": "50 mm", "thickness": "0.5 mm", "drop": 1.2, "turns_per_minute": 28}
ROOMS = HOME.replace("distance = 1.0\nheight = 0.75", "distance = 0.6\nheight = 1.5") + table(
    "shade",
    name="study roller",
    windows=["study"],
    stops=[50, 100],
    roller=ROLLER,
    need={"for": ["glare", "sleep"], "sleep": {"dark": ["21:30", "07:30"]}},
)


def test_hours_with_reach_and_spots(home):
    said = run("hours", home, *WEEK, "--reach", "--spots", "--format", "csv")
    assert said.out_bytes.startswith(b"window,date,start,end,minutes,reach,spots\r\n")
    site = load_site(home)
    reaches = season.reaches(site, sun_hours.hours(site, date(2026, 9, 10), date(2026, 9, 16)))
    shown = [float(row["reach"]) for row in said.rows]
    assert shown == pytest.approx([*reaches["kitchen"], *reaches["study"]], abs=0.005)
    assert [row["spots"] for row in said.rows] == [""] * 7 + ["desk"] * 7
    page = run("hours", home, *YEAR, "--reach", "--spots").out
    assert "How far the sun falls into the room, on the floor" in page
    assert "Direct sun on places in Larkspur Lane" in page
    assert max(map(len, page.splitlines())) <= 80
    kitchen = run("hours", home, *WEEK, "--spots", "--window", "kitchen").out
    assert "No place to watch lies behind these windows." in kitchen


def test_a_table_is_reached_less_far_than_the_floor(home):
    args = (*WEEK, "--window", "study", "--reach", "--format", "json")
    floor = run("hours", home, *args).json
    table = run("hours", home, *args, "--height", "0.75").json
    pairs = zip(floor["windows"][0]["spells"], table["windows"][0]["spells"], strict=True)
    assert all(low["reach_m"] > high["reach_m"] for low, high in pairs)
    assert "spots" not in floor
    above = run("hours", home, *WEEK, "--reach", "--height", "0.75").out
    assert "0.75 m above the floor" in above
    assert "Direct sun on places" not in above


def test_sun_that_falls_outward_of_the_window_is_no_reach_into_the_room(tmp_path):
    """A flat roof's window tipped a little to the north: low sun from the south comes in over the
    house and falls outward, north of the window's lower edge.
    """
    light = window("rooflight", 0, 0.8, 0.8, tilt=10, sill=2.2)
    path = write_home(tmp_path, house(light, at=(50, 10)))
    page = run("hours", path, *YEAR, "--reach").out
    months = [line for line in page.split("into the room")[1].splitlines() if " 2026 " in line]
    reached = {line.split()[0]: line.split()[2:] for line in months}
    # The sun stands due south at noon: at 50° north, all of a January or December day's sun is
    # from the southern half of the sky.
    assert reached["Jan"] == reached["Dec"] == ["-", "-"]
    assert "m" in reached["Jun"]
    assert "none of it falls farther in than the window's lower edge" in page
    assert not re.search(r"-\d+\.\d+ m", page)
    day = ("--from", "2026-12-21", "--to", "2026-12-21", "--reach", "--format")
    assert [row["reach"] for row in run("hours", path, *day, "csv").rows] == [""]
    told = run("hours", path, *day, "json").json
    assert [spell["reach_m"] for spell in told["windows"][0]["spells"]] == [None]


@pytest.mark.parametrize(
    ("args", "expected"),
    [
        ("hours --height 1", "--height goes with --reach"),
        ("spots --dose --format csv", "--dose goes with"),
    ],
)
def test_options_that_do_not_go_together(home, args, expected):
    command, *options = args.split()
    said = refused(command, home, *WEEK, *options)
    assert expected in said.err


def test_doses_as_a_page_and_as_json(home):
    page = run("spots", home, *YEAR, "--dose").out
    (dose,) = season.doses(load_site(home), date(2026, 1, 1), date(2026, 12, 31))
    assert "Light from direct sun" in page
    row = next(line for line in page.splitlines() if line.startswith("  desk ") and "m" not in line)
    assert row.split()[-1] != "desk"
    assert f" {dose.klux_hours:.0f} " in page
    (spot,) = run("spots", home, *YEAR, "--dose", "--format", "json").json["spots"]
    assert spot["dose"]["kwh_per_m2"] == pytest.approx(dose.kwh_per_m2, abs=0.001)
    assert spot["dose"]["klux_hours_with_the_plan"] < spot["dose"]["klux_hours"]
    (spot,) = run("spots", home, *WEEK, "--format", "json").json["spots"]
    assert "dose" not in spot


def test_plan_has_positions_and_seconds_where_a_shade_has_stops_and_a_roller(tmp_path):
    path = write_home(tmp_path, ROOMS)
    said = run("plan", path, *WEEK, "--csv", "-")
    assert said.out_bytes.startswith(
        b"shade,date,close,open,minutes,sun_minutes,reason,position,run_seconds\r\n"
    )
    study = [row for row in said.rows if row["shade"] == "study roller"]
    glare = [row["position"] for row in study if row["reason"].startswith("glare")]
    nights = [row["position"] for row in study if row["reason"].startswith("dark for sleep")]
    assert (glare, nights) == (["50"] * 7, ["100"] * 7)
    assert all(0 < float(row["run_seconds"]) < 60 for row in study)
    kitchen = [row for row in said.rows if row["shade"] == "kitchen roller"]
    assert {(row["position"], row["run_seconds"]) for row in kitchen} == {("100", "")}
    # The calendar says how far down and why.
    text = run("plan", path, *WEEK, "--ics", "-").out.replace("\r\n ", "")
    assert "SUMMARY:study roller 50 % closed" in text
    assert "DESCRIPTION:glare " in text
    assert "dark for sleep" in text
    # Heat has a season, sleep has none: without dates the plan runs for a year.
    said = run("plan", path, "--csv", "-", today=date(2026, 11, 1))
    assert "2026-11-01 to 2027-10-31" in said.err


def test_today_tells_why_in_plain_words(tmp_path):
    page = run("today", write_home(tmp_path, ROOMS), "--at", "2026-09-12").flat
    assert "why: glare " in page
    assert "at desk" in page
    assert "dark for sleep 21:30 to 07:30 next day, as dawn comes at 06:" in page
    asleep = ROOMS.replace('for = ["glare", "sleep"]', 'for = ["sleep"]').replace("07:30", "05:00")
    winter = run("today", write_home(tmp_path, asleep), "--at", "2026-12-12").out
    assert "stays up: nothing to close for (sleep)" in " ".join(winter.split())
