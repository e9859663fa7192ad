"""`suncover plan`: the files, the summary, and that both files come or neither."""

import re
from datetime import UTC, date, datetime

import icalendar
import pytest
from command_line import HOME, fault_of, ok, refused, run, write_home

from suncover.export.files.plan_csv import plan_csv
from suncover.export.files.plan_ics import plan_ics
from suncover.plan import season
from suncover.site.file.sitefile import load_site

SEASON = ("--from", "2026-04-15", "--to", "2026-10-15")
JUNE = ("--from", "2026-06-01", "--to", "2026-06-30")
WEEK = ("--from", "2027-06-01", "--to", "2027-06-07")
HEAD = b"shade,date,close,open,minutes,sun_minutes,reason\r\n"
QUIET = '["21:30", "07:00"]'
LATE = HOME.replace(QUIET, '["19:00", "09:00"]\nin_quiet = "late"')
SHORT = HOME.replace("travel = 75", "travel = 75\nshortest = 600")


def events_in(content):
    return icalendar.Calendar.from_ical(content).walk("VEVENT")


def test_the_files_hold_the_seasons_plan(home):
    table, calendar = home.with_name("p.csv"), home.with_name("p.ics")
    said = run("plan", home, *SEASON, "--csv", table, "--ics", calendar)
    assert (said.status, said.err) == (0, "")
    assert f"wrote {table}" in said.out
    assert f"wrote {calendar}" in said.out
    site = load_site(home)
    plans = season.season_plan(site, date(2026, 4, 15), date(2026, 10, 15))
    closings = [closing for plan in plans for closing in plan.closings]
    assert table.read_bytes() == plan_csv(closings, site.place.zone)
    assert calendar.read_bytes() == plan_ics(closings, site.place)
    before = calendar.read_bytes()
    rows = run("plan", home, *SEASON, "--ics", calendar, "--csv", "-").rows
    assert calendar.read_bytes() == before, "a plan made again is the same to the byte"
    # The calendar has an event for each row.
    assert [(e["DTSTART"].dt, e["DTEND"].dt, str(e["SUMMARY"])) for e in events_in(before)] == [
        (
            datetime.fromisoformat(row["close"]).astimezone(UTC),
            datetime.fromisoformat(row["open"]).astimezone(UTC),
            f"{row['shade']} closed",
        )
        for row in rows
    ]
    assert len(rows) > 300


@pytest.mark.parametrize("kind", ["--csv", "--ics"])
def test_a_dash_stands_for_the_screen_and_the_summary_steps_aside(tmp_path, kind):
    path, target = write_home(tmp_path, LATE), tmp_path / "plan"
    run("plan", path, *JUNE, kind, target)
    said = run("plan", path, *JUNE, kind, "-")
    assert (said.status, said.out_bytes) == (0, target.read_bytes())
    assert "because of quiet hours" in " ".join(said.err.split())


def test_without_a_file_it_shows_the_first_days_and_the_sums(home):
    page = run("plan", home, *JUNE).out
    rows = run("plan", home, *JUNE, "--csv", "-").rows
    shown = re.findall(
        r"^  \w{3} +\d+ \w{3}  (\d\d:\d\d)  (\d\d:\d\d) +(\S+(?: \S+)?)  ", page, re.M
    )
    first = [(row["close"][11:16], row["open"][11:16], row["shade"]) for row in rows]
    assert (len(shown), shown) == (8, first[:8])
    assert "and 52 more" in page
    assert "To keep it, add to the command: --csv plan.csv --ics plan.ics" in page
    assert "Take care: a shade that moves by itself" in page
    assert list(home.parent.iterdir()) == [home]
    sun = sum(float(row["sun_minutes"]) for row in rows if row["shade"] == "study") / 60
    assert re.search(rf"^  study +15 Apr to 15 Oct +30 +60 +{sun:.1f} h +0\.0 h$", page, re.M)
    assert "All sun that the shades are to keep out is kept out." in page


@pytest.mark.parametrize(
    ("text", "told"),
    [
        (LATE, "not kept out because of quiet hours; first on Mon 1 Jun, 07:"),
        (SHORT, "not kept out because it is too short to close for"),
    ],
    ids=["quiet", "shortest"],
)
@pytest.mark.parametrize("files", [[], ["--csv", "plan.csv"]], ids=["page", "file"])
def test_sun_that_is_let_in_is_said(tmp_path, monkeypatch, text, told, files):
    monkeypatch.chdir(tmp_path)
    page = run("plan", write_home(tmp_path, text), *JUNE, *files).out
    assert "Not as asked" in page
    assert told in " ".join(page.split())
    assert re.search(r"^  kitchen roller .* [1-9][\d.]* h$", page, re.M)


@pytest.mark.parametrize(
    ("quiet", "told"),
    [
        # It would have to close the evening before the season's first day.
        ('["19:00", "09:00"]', "not kept out because its closing would be outside the season"),
        ('["00:00", "23:59:30"]', "kitchen roller: quiet hours leave the motor no time to run"),
    ],
)
def test_what_a_plan_could_not_keep_to_is_said(tmp_path, quiet, told):
    page = run("plan", write_home(tmp_path, HOME.replace(QUIET, quiet)), *SEASON).out
    assert told in " ".join(page.split())


def test_a_plan_without_closings_is_an_empty_table_and_calendar(home):
    table, calendar = home.with_name("p.csv"), home.with_name("p.ics")
    winter = ("--from", "2026-12-01", "--to", "2026-12-31")
    ok("plan", home, *winter, "--csv", table, "--ics", calendar)
    assert table.read_bytes() == HEAD
    assert events_in(calendar.read_bytes()) == []
    assert "No shade closes in these days." in run("plan", home, *winter).out


@pytest.mark.parametrize(
    ("csv", "ics", "told"),
    [
        ("new.csv", "none/plan.ics", "there is no folder"),
        ("old.csv", ".", "is a directory"),
        ("same", "same", "name two different files"),
        ("same", "./same", "name two different files"),
        ("-", "-", "name two different files"),
        ("home.toml", "plan.ics", "home.toml, which is read"),
    ],
)
def test_both_files_appear_or_neither(home, monkeypatch, csv, ics, told):
    monkeypatch.chdir(home.parent)
    old = home.with_name("old.csv")
    old.write_text("what was there")
    assert told in fault_of("plan", home, *JUNE, "--csv", csv, "--ics", ics)
    assert sorted(file.name for file in home.parent.iterdir()) == ["home.toml", "old.csv"]
    assert (old.read_text(), home.read_text()) == ("what was there", HOME)


@pytest.mark.parametrize(
    ("season", "args", "taken"),
    [
        ('"04-15", "10-15"', "", "2026-06-01 to 2026-10-16"),
        ('"08-01", "09-30"', "", "2026-08-01 to 2026-10-01"),
        ('"02-01", "03-31"', "", "2027-02-01 to 2027-04-01"),
        ('"11-01", "07-31"', "", "2026-06-01 to 2026-08-01"),
        (None, "", "2026-06-01 to 2027-05-31"),
        ('"04-15", "10-15"', "--from 2026-12-24", "2026-12-24 to 2027-10-16"),
        ('"04-15", "10-15"', "--to 2026-06-30", "2026-06-01 to 2026-06-30"),
        (None, "--from 2028-02-29", "2028-02-29 to 2029-02-28"),
        (None, "--from 2199-12-31", "2199-12-31 to 2199-12-31"),  # the last day that there is
    ],
)
def test_dates_left_out_are_chosen_and_said(tmp_path, season, args, taken):
    """To the morning after the season's last evening, on which a shade may close for it."""
    line = f"season = [{season}]" if season else ""
    path = write_home(tmp_path, HOME.replace('season = ["04-15", "10-15"]', line))
    said = run("plan", path, *args.split(), today=date(2026, 6, 1))
    assert said.err == f"taking {taken}; choose other days with --from and --to\n"
    assert said.status == 0


def test_a_shade_that_closes_on_the_last_evening_opens_the_morning_after(tmp_path):
    """Without dates, the plan has the closing that `today` tells of on that evening."""
    # A window to the east, whose sun comes before quiet hours end.
    text = HOME.replace('["04-15", "10-15"]', '["04-15", "08-15"]').replace('"07:00"', '"08:30"')
    rows = run("plan", write_home(tmp_path, text), "--csv", "-", today=date(2026, 8, 1)).rows
    last = max(rows, key=lambda row: row["close"])
    assert (last["close"][:10], last["open"][:10]) == ("2026-08-15", "2026-08-16")
    late = text.replace('"08:30"]', '"08:30"]\nin_quiet = "late"')
    said = run("plan", write_home(tmp_path, late), today=date(2026, 8, 1))
    assert said.err.startswith("taking 2026-08-01 to 2026-08-15;")


@pytest.mark.parametrize(
    ("months", "last"),
    [('["11-01", "02-28"]', "2027-02-28"), ('["01-01", "12-31"]', "2027-05-31")],
)
def test_the_days_reach_over_the_seasons_of_all_shades(tmp_path, months, last):
    own = f'[[shade]]\nname = "blind"\nwindows = ["study"]\nneed.season = {months}\n\n[[spot]]'
    said = run("plan", write_home(tmp_path, HOME.replace("[[spot]]", own)), today=date(2026, 6, 1))
    assert said.err.startswith(f"taking 2026-06-01 to {last};")


def test_a_last_day_that_is_past_needs_a_first(home):
    said = refused("plan", home, "--to", "2026-05-31", today=date(2026, 6, 1))
    assert "--to 2026-05-31 lies before today, 2026-06-01; give --from as well" in said.faults[0]


def test_a_reminder_stands_on_the_last_day_when_asked_for(home):
    assert "Renew" not in run("plan", home, *WEEK, "--ics", "-").out
    for more in ((), ("--every", "week")):
        events = events_in(run("plan", home, *WEEK, *more, "--ics", "-", "--remind").out)
        (last,) = [event for event in events if str(event["SUMMARY"]).startswith("Renew")]
        assert (last.start, last.end) == (date(2027, 6, 7), date(2027, 6, 8))
        assert str(last["TRANSP"]) == "TRANSPARENT"
    assert run("plan", home, *WEEK, "--remind").status == 2


def test_the_page_leads_with_what_to_do_and_brief_leaves_out_the_rest(home):
    whole, brief = run("plan", home, *WEEK).out, run("plan", home, *WEEK, "--brief").out
    heads = ["The first days", "What it comes to", "What one step would bring", "Take care"]
    places = [whole.index(head) for head in heads]
    assert places == sorted(places)
    assert [head in brief for head in heads] == [True, False, False, True]
    assert not re.search("needless|let in|bridged", whole)
