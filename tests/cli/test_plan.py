"""`suncover plan`: the files, the summary, and that both files come or neither."""

from __future__ import annotations

import re
from datetime import UTC, date, datetime
from pathlib import Path

import icalendar
import pytest
from command_line import HOME, run, write_home

from suncover.export.files.plan_csv import plan_csv
from suncover.export.files.plan_ics import plan_ics
from suncover.plan import season
from suncover.site.file.sitefile import load_site

SEASON = ("--from", "2026-04-15", "--to", "2026-10-15")
JUNE = ("--from", "2026-06-01", "--to", "2026-06-30")

LATE = HOME.replace('["21:30", "07:00"]', '["19:00", "09:00"]\nin_quiet = "late"')
SHORT = HOME.replace("travel = 75", "travel = 75\nshortest = 600")


def test_the_files_hold_the_seasons_plan(tmp_path: Path) -> None:
    path, table, calendar = write_home(tmp_path), tmp_path / "p.csv", tmp_path / "p.ics"
    said = run("plan", path, *SEASON, "--csv", table, "--ics", calendar)
    assert (said.status, said.err) == (0, "")
    site = load_site(path)
    plans = season.season_plan(site, date(2026, 4, 15), date(2026, 10, 15))
    closings = [closing for plan in plans for closing in plan.closings]
    assert table.read_bytes() == plan_csv(closings, site.place.zone)
    assert calendar.read_bytes() == plan_ics(closings, site.place)
    assert f"wrote {table}" in said.out
    assert f"wrote {calendar}" in said.out


def test_the_calendar_has_an_event_for_each_row(tmp_path: Path) -> None:
    path, calendar = write_home(tmp_path), tmp_path / "p.ics"
    rows = run("plan", path, *JUNE, "--csv", "-").rows
    assert run("plan", path, *JUNE, "--ics", calendar).status == 0
    events = icalendar.Calendar.from_ical(calendar.read_bytes()).walk("VEVENT")
    assert [
        (event["DTSTART"].dt, event["DTEND"].dt, str(event["SUMMARY"])) for event in events
    ] == [
        (
            datetime.fromisoformat(row["close"]).astimezone(UTC),
            datetime.fromisoformat(row["open"]).astimezone(UTC),
            f"{row['shade']} closed",
        )
        for row in rows
    ]
    assert len(events) == 60


def test_a_plan_made_again_is_the_same_to_the_byte(tmp_path: Path) -> None:
    path = write_home(tmp_path)
    names = [tmp_path / "one.ics", tmp_path / "two.ics"]
    for name in names:
        run("plan", path, *JUNE, "--ics", name)
    assert names[0].read_bytes() == names[1].read_bytes()


@pytest.mark.parametrize("kind", ["--csv", "--ics"])
def test_a_dash_stands_for_the_screen_and_the_summary_steps_aside(
    tmp_path: Path, kind: str
) -> None:
    path, target = write_home(tmp_path, LATE), tmp_path / "plan"
    run("plan", path, *JUNE, kind, target)
    said = run("plan", path, *JUNE, kind, "-")
    assert said.status == 0
    assert said.out_bytes == target.read_bytes()
    assert "because of quiet hours" in " ".join(said.err.split())


def test_one_to_a_file_and_one_to_the_screen(tmp_path: Path) -> None:
    path, target = write_home(tmp_path), tmp_path / "plan.ics"
    said = run("plan", path, *JUNE, "--csv", "-", "--ics", target)
    assert said.out.startswith("shade,date,close,open,minutes,sun_minutes,reason\r\n")
    assert target.read_bytes().startswith(b"BEGIN:VCALENDAR")


def test_without_a_file_it_shows_the_first_days_and_how_to_keep_the_plan(tmp_path: Path) -> None:
    path = write_home(tmp_path)
    page = run("plan", path, *JUNE).out
    rows = run("plan", path, *JUNE, "--csv", "-").rows
    shown = re.findall(
        r"^  (\w{3} +\d+ \w{3})  (\d\d:\d\d)  (\d\d:\d\d) +(\S+( \S+)?)  ", page, re.M
    )
    assert [(down, up, shade) for _, down, up, shade, _ in shown] == [
        (row["close"][11:16], row["open"][11:16], row["shade"]) for row in rows[: len(shown)]
    ]
    assert len(shown) == 8
    assert "and 52 more" in page
    assert "To keep it, add to the command: --csv plan.csv --ics plan.ics" in page
    assert list(tmp_path.iterdir()) == [path]


def test_the_summary_counts_closings_moves_and_sun(tmp_path: Path) -> None:
    path = write_home(tmp_path)
    page = run("plan", path, *JUNE).out
    rows = [row for row in run("plan", path, *JUNE, "--csv", "-").rows if row["shade"] == "study"]
    sun = sum(float(row["sun_minutes"]) for row in rows) / 60
    assert re.search(rf"^  study +15 Apr to 15 Oct +30 +60 +{sun:.1f} h +0\.0 h$", page, re.M)
    assert "All sun that the shades are to keep out is kept out." in page


@pytest.mark.parametrize(
    ("text", "told"),
    [
        pytest.param(
            LATE, "not kept out because of quiet hours; first on Mon 1 Jun, 07:", id="quiet"
        ),
        pytest.param(SHORT, "not kept out because it is too short to close for", id="shortest"),
    ],
)
@pytest.mark.parametrize("files", [[], ["--csv", "plan.csv"]], ids=["page", "file"])
def test_sun_that_is_let_in_is_said(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, text: str, told: str, files: list[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    page = run("plan", write_home(tmp_path, text), *JUNE, *files).out
    assert "Not as asked" in page
    assert told in " ".join(page.split())
    assert re.search(r"^  kitchen roller .* [1-9][\d.]* h$", page, re.M)


def test_a_closing_that_the_season_leaves_out_is_said(tmp_path: Path) -> None:
    """The shade would have to close the evening before the season's first day."""
    early = HOME.replace('["21:30", "07:00"]', '["19:00", "09:00"]')
    page = run("plan", write_home(tmp_path, early), *SEASON).out
    assert "not kept out because its closing would be outside the season" in " ".join(page.split())


def test_what_a_plan_could_not_keep_to_is_said(tmp_path: Path) -> None:
    night = HOME.replace('["21:30", "07:00"]', '["00:00", "23:59:30"]')
    page = run("plan", write_home(tmp_path, night), *JUNE).out
    assert "kitchen roller: quiet hours leave the motor no time to run" in page


def test_a_plan_without_closings_is_an_empty_table_and_calendar(tmp_path: Path) -> None:
    path, table, calendar = write_home(tmp_path), tmp_path / "p.csv", tmp_path / "p.ics"
    winter = ("--from", "2026-12-01", "--to", "2026-12-31")
    said = run("plan", path, *winter, "--csv", table, "--ics", calendar)
    assert said.status == 0
    assert table.read_bytes() == b"shade,date,close,open,minutes,sun_minutes,reason\r\n"
    assert icalendar.Calendar.from_ical(calendar.read_bytes()).walk("VEVENT") == []
    assert "No shade closes in these days." in run("plan", path, *winter).out


def test_the_usual_caution_is_shown(tmp_path: Path) -> None:
    assert "Take care: a shade that moves by itself" in run("plan", write_home(tmp_path), *JUNE).out


@pytest.mark.parametrize(
    ("csv", "ics", "told"),
    [
        pytest.param("new.csv", "none/plan.ics", "there is no folder", id="no folder"),
        pytest.param("old.csv", ".", "is a directory", id="a folder"),
        pytest.param("same", "same", "name two different files", id="one file twice"),
        pytest.param("same", "./same", "name two different files", id="one file, two paths"),
        pytest.param("-", "-", "name two different files", id="both to the screen"),
        pytest.param("home.toml", "plan.ics", "home.toml, which is read", id="the site file"),
    ],
)
def test_both_files_appear_or_neither(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, csv: str, ics: str, told: str
) -> None:
    monkeypatch.chdir(tmp_path)
    path = write_home(tmp_path)
    (tmp_path / "old.csv").write_text("what was there")
    said = run("plan", path, *JUNE, "--csv", csv, "--ics", ics)
    assert said.status == 2
    assert len(said.faults) == 1, said.err
    assert told in said.faults[0]
    assert said.out == ""
    assert sorted(file.name for file in tmp_path.iterdir()) == ["home.toml", "old.csv"]
    assert (tmp_path / "old.csv").read_text() == "what was there"
    assert path.read_text() == HOME


def test_a_wrong_site_file_leaves_the_outputs_alone(tmp_path: Path) -> None:
    path, table = write_home(tmp_path, HOME.replace('"21:30"', '"25:30"')), tmp_path / "plan.csv"
    table.write_text("what was there")
    said = run("plan", path, *JUNE, "--csv", table, "--ics", tmp_path / "plan.ics")
    assert said.status == 2
    assert said.faults[0].startswith(f"{path}:29:")
    assert table.read_text() == "what was there"
    assert not (tmp_path / "plan.ics").exists()


def test_names_of_any_kind_come_through(tmp_path: Path) -> None:
    odd = "[red]=küche[/] 窓, \u201c🪟\u201d; a\\n"
    text = HOME.replace('"kitchen roller"', f"'{odd}'")
    path, table, calendar = write_home(tmp_path, text), tmp_path / "p.csv", tmp_path / "p.ics"
    said = run("plan", path, *JUNE, "--csv", table, "--ics", calendar)
    assert said.status == 0
    event = icalendar.Calendar.from_ical(calendar.read_bytes()).walk("VEVENT")[0]
    assert str(event["SUMMARY"]) == f"{odd} closed"
    assert "[red]=küche[/] 窓" in said.out


@pytest.mark.parametrize(
    ("season", "args", "taken"),
    [
        pytest.param('"04-15", "10-15"', [], ("2026-06-01", "2026-10-16"), id="in season"),
        pytest.param('"08-01", "09-30"', [], ("2026-08-01", "2026-10-01"), id="season ahead"),
        pytest.param('"02-01", "03-31"', [], ("2027-02-01", "2027-04-01"), id="season past"),
        pytest.param('"11-01", "07-31"', [], ("2026-06-01", "2026-08-01"), id="over new year"),
        pytest.param(None, [], ("2026-06-01", "2027-05-31"), id="all year"),
        pytest.param(
            '"04-15", "10-15"',
            ["--from", "2026-12-24"],
            ("2026-12-24", "2027-10-16"),
            id="from alone",
        ),
        pytest.param(
            '"04-15", "10-15"', ["--to", "2026-06-30"], ("2026-06-01", "2026-06-30"), id="to alone"
        ),
        pytest.param(None, ["--from", "2028-02-29"], ("2028-02-29", "2029-02-28"), id="leap day"),
    ],
)
def test_dates_left_out_are_chosen_and_said(
    tmp_path: Path, season: str | None, args: list[str], taken: tuple[str, str]
) -> None:
    """To the morning after the season's last evening, on which a shade may close for it."""
    line = f"season = [{season}]" if season else ""
    path = write_home(tmp_path, HOME.replace('season = ["04-15", "10-15"]', line))
    said = run("plan", path, *args, today=date(2026, 6, 1))
    assert said.err == f"taking {taken[0]} to {taken[1]}; choose other days with --from and --to\n"
    assert said.status == 0


def test_a_shade_that_closes_on_the_last_evening_opens_the_morning_after(tmp_path: Path) -> None:
    """Without dates, the plan has the closing that `today` tells of on that evening."""
    # A window to the east, whose sun comes before quiet hours end.
    home = HOME.replace('["04-15", "10-15"]', '["04-15", "08-15"]').replace('"07:00"', '"08:30"')
    rows = run("plan", write_home(tmp_path, home), "--csv", "-", today=date(2026, 8, 1)).rows
    last = max(rows, key=lambda row: row["close"])
    assert (last["close"][:10], last["open"][:10]) == ("2026-08-15", "2026-08-16")
    late = home.replace('"08:30"]', '"08:30"]\nin_quiet = "late"')
    said = run("plan", write_home(tmp_path, late), today=date(2026, 8, 1))
    assert said.err.startswith("taking 2026-08-01 to 2026-08-15;")


def test_the_days_reach_over_the_seasons_of_all_shades(tmp_path: Path) -> None:
    own = '[[shade]]\nname = "blind"\nwindows = ["study"]\n[shade.need]\nseason = {}\n\n[[spot]]'
    for months, last in (
        ('["11-01", "02-28"]', "2027-02-28"),
        ('["01-01", "12-31"]', "2027-05-31"),
    ):
        text = HOME.replace("[[spot]]", own.format(months))
        said = run("plan", write_home(tmp_path, text), today=date(2026, 6, 1))
        assert said.err.startswith(f"taking 2026-06-01 to {last};")


def test_a_last_day_that_is_past_needs_a_first(tmp_path: Path) -> None:
    said = run("plan", write_home(tmp_path), "--to", "2026-05-31", today=date(2026, 6, 1))
    assert said.status == 2
    assert "--to 2026-05-31 lies before today, 2026-06-01; give --from as well" in said.faults[0]


def test_no_line_is_wider_than_a_screen(tmp_path: Path) -> None:
    long = HOME.replace('"kitchen', f'"{"a very long window name " * 3}kitchen')
    text = long.replace("travel = 75", "travel = 75\nshortest = 270")
    page = run("plan", write_home(tmp_path, text), *SEASON).out.splitlines()
    assert max(map(len, page)) <= 80


def test_a_reminder_stands_on_the_last_day_when_asked_for(tmp_path: Path) -> None:
    home = write_home(tmp_path)
    week = ("--from", "2027-06-01", "--to", "2027-06-07")
    plain = run("plan", home, *week, "--ics", "-").out
    for more in ((), ("--every", "week")):
        said = run("plan", home, *week, *more, "--ics", "-", "--remind").out
        events = icalendar.Calendar.from_ical(said).walk("VEVENT")
        (last,) = [event for event in events if str(event["SUMMARY"]).startswith("Renew")]
        assert (last.start, last.end) == (date(2027, 6, 7), date(2027, 6, 8))
        assert str(last["TRANSP"]) == "TRANSPARENT"
    assert "Renew" not in plain
    assert run("plan", home, *week, "--remind").status == 2


def test_the_page_leads_with_what_to_do_and_brief_leaves_out_the_rest(tmp_path: Path) -> None:
    home, week = write_home(tmp_path), ("--from", "2027-06-01", "--to", "2027-06-07")
    whole, brief = run("plan", home, *week).out, run("plan", home, *week, "--brief").out
    heads = ["The first days", "What it comes to", "What one step would bring", "Take care"]
    places = [whole.index(head) for head in heads]
    assert places == sorted(places)
    assert [head in brief for head in heads] == [True, False, False, True]
    assert not re.search("needless|let in|bridged", whole)


def test_dates_left_out_end_with_the_last_day_that_there_is(tmp_path: Path) -> None:
    said = run("plan", write_home(tmp_path), "--from", "2199-12-31", "--csv", "-")
    assert said.status == 0
    assert said.err.startswith("taking 2199-12-31 to 2199-12-31;")
