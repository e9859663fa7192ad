"""`suncover today`: one day in words that a family understands."""

import re
from datetime import date

import pytest
from command_line import HOME, fault_of, ok, run, write_home
from site_texts import house, table, window

from suncover.base.clock import iso_local
from suncover.plan.season import season_plan
from suncover.site.file.sitefile import load_site

EARLY = HOME.replace('["21:30", "07:00"]', '["20:00", "09:00"]')
LATE = EARLY.replace('"09:00"]', '"09:00"]\nin_quiet = "late"')
NORTH = house(
    window("roof", 180, 1, 1, tilt=20),
    table("shade", name="roof screen", windows=["roof"], merge=1440),
    at=(69.65, 18.96),
)


def page_of(folder, text=HOME, at="2026-06-21", **keys):
    said = ok("today", write_home(folder, text), *(("--at", at) if at else ()), **keys)
    return said.flat


def test_today_is_the_day_of_the_sites_clock(home):
    said = run("today", home, today=date(2026, 6, 1))
    assert (said.status, said.err) == (0, "")
    assert said.out.startswith("Larkspur Lane, Monday 1 Jun 2026\n")


def strips(page):
    return dict(re.findall(r"^  (\S+(?: \S+)?) +([#*.-]{48})$", page, re.M))


def test_each_shade_says_when_and_why_as_the_plan_has_it(home):
    shown = run("today", home, "--at", "2026-06-21").out
    page = " ".join(shown.split())
    rows = run("plan", home, "--from", "2026-06-21", "--to", "2026-06-21", "--csv", "-").rows
    assert [row["shade"] for row in rows] == ["kitchen roller", "study"]
    for row in rows:
        close, opens = row["close"][11:16], row["open"][11:16]
        minutes = int(float(row["minutes"]))
        length = f"{minutes // 60} h {minutes % 60} min"
        when = f"{row['shade']} goes down at {close}, up at {opens} ({length})"
        assert f"{when} why: {row['reason']}" in page
    # The strip shows the closings to half an hour.
    strip, row = strips(shown)["kitchen roller"], rows[0]
    start, end = (2 * int(row[key][11:13]) + int(row[key][14:16]) / 30 for key in ("close", "open"))
    assert abs(strip.index("#") - start) <= 1
    assert abs(strip.rindex("#") + 1 - end) <= 1
    assert strip[:8] == strip[-4:] * 2 == "." * 8


def test_a_closing_begun_yesterday_and_one_that_ends_tomorrow_say_so(tmp_path):
    page = page_of(tmp_path, EARLY, at=None, today=date(2026, 6, 21))
    for pattern in (
        r"kitchen roller down already since 19:5\d yesterday, goes up at 1\d:\d\d",
        r"why: sun 07:\d\d–1\d:\d\d today on kitchen; closes 19:58, before quiet",
        r"goes down at 19:5\d, up again at 1\d:\d\d tomorrow",
        r"why: sun 07:\d\d–1\d:\d\d tomorrow on kitchen",
    ):
        assert re.search(pattern, page)
    # On another day the days around it have dates.
    page = page_of(tmp_path, EARLY, today=date(2026, 6, 1))
    assert "since 19:58 on 20 Jun" in page
    assert "on 22 Jun" in page
    assert not re.search("yesterday|today|tomorrow", page)


def test_a_shade_that_stays_up_or_lets_sun_in_says_why(tmp_path):
    page = page_of(tmp_path, LATE)
    assert re.search(r"sun comes in 07:\d\d to 09:00: quiet hours: the shade closes when", page)
    page = page_of(tmp_path, at="2026-12-21")
    assert re.search(
        r"study stays up: sun on study \d\d:\d\d to \d\d:\d\d, but its season is 15 Apr to 15 Oct",
        page,
    )
    page = page_of(tmp_path, HOME.replace("azimuth = 95", "azimuth = 0"), "2026-09-30")
    assert "kitchen roller stays up: no sun that counts on its window" in page
    assert "*" in strips(run("today", write_home(tmp_path), "--at", "2026-12-21").out)["study"]


def test_the_far_north(tmp_path):
    page = page_of(tmp_path, NORTH)
    assert "The sun is up all day and all night." in page
    assert re.search(r"stays down all day: since \d\d:\d\d on \d+ \w+, up again at", page)
    assert "The sun does not come up." in page_of(tmp_path, NORTH, "2026-12-21")


@pytest.mark.parametrize(("day", "length"), [("2026-03-08", 23), ("2026-11-01", 25)])
def test_hours_stand_above_their_place_when_clocks_change(home, day, length):
    page = run("today", home, "--at", day).out
    scale = next(line for line in page.splitlines() if re.match(r" +0 ", line))
    noon = scale.index("12") - scale.index("0")
    assert noon == round((11 if length == 23 else 13) * 48 / length)


def test_a_date_that_the_zone_skips(tmp_path):
    """Samoa had no 30 December 2011 (IANA tz database, Pacific/Apia)."""
    text = HOME.replace("36.10", "-13.83").replace("-79.95", "-171.76")
    text = text.replace("elevation = 270", 'timezone = "Pacific/Apia"')
    page = page_of(tmp_path, text, "2011-12-30")
    assert "The clocks of this place leave this date out." in page


@pytest.mark.parametrize("day", ["2026-13-01", "tomorrow", "1899-12-31"])
def test_a_wrong_day_is_one_line(home, day):
    assert f"'{day}'" in fault_of("today", home, "--at", day)


def test_json_tells_what_the_page_does_of_an_exception(tmp_path):
    day = date(2027, 6, 21)
    cleaner = {"dates": [day, day], "do": "up", "shades": ["study"]}
    path = write_home(tmp_path, HOME + table("exception", name="window cleaner", **cleaner))
    page = run("today", path, "--at", "2027-06-21").out
    assert "stays up all day: window cleaner" in page
    assert page.count("stays up") == 1
    told = run("today", path, "--at", "2027-06-21", "--format", "json").json
    assert (told["date"], told["timezone"]) == ("2027-06-21", "America/New_York")
    rise, set_ = (told["sun"][key] for key in ("sunrise", "sunset"))
    assert f"In almanacs: sunrise {rise[11:16]}, sunset {set_[11:16]}." in " ".join(page.split())
    # The upper edge is up before the middle is, and stays longer: 16' and more, over a minute.
    assert rise < told["sun"]["up"][0]["start"] < told["sun"]["up"][0]["end"] < set_
    kitchen, study = told["shades"]
    assert study["closings"] == []
    assert [one["reason"] for one in study["stays_up"]] == ["window cleaner"]
    site = load_site(path)
    (plan, _) = season_plan(site, day, day)
    assert [(one["close"], one["open"], one["reason"]) for one in kitchen["closings"]] == [
        (*(iso_local(at, site.place.zone) for at in (one.close, one.open)), one.reason)
        for one in plan.closings
    ]
