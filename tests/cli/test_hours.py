"""`suncover hours`: the columns, the choices, the page to read, and what is refused."""

import re
from datetime import date, datetime, timedelta

import pytest
from command_line import HOME, fault_of, ok, run, write_home

from suncover.facade import hours as sun_hours
from suncover.site.file.sitefile import load_site

WEEK = ("--from", "2026-06-01", "--to", "2026-06-07")
YEAR = ("--from", "2026-01-01", "--to", "2026-12-31")
CSV = ("--format", "csv")


def test_csv_rows_are_the_spells_of_sun(home):
    said = run("hours", home, *WEEK, *CSV)
    assert (said.status, said.err) == (0, "")
    assert said.out_bytes.startswith(b"window,date,start,end,minutes\r\n")
    spells = sun_hours.hours(load_site(home), date(2026, 6, 1), date(2026, 6, 7))
    assert [row["window"] for row in said.rows] == ["kitchen"] * 7 + ["study"] * 7
    for row, spell in zip(said.rows, [*spells["kitchen"], *spells["study"]], strict=True):
        start, end = (datetime.fromisoformat(row[key]) for key in ("start", "end"))
        assert (start.timestamp(), end.timestamp()) == (spell.start, spell.end)
        assert start.utcoffset() == timedelta(hours=-4)
        assert row["date"] == row["start"][:10]
        assert float(row["minutes"]) == pytest.approx((end - start).total_seconds() / 60, abs=0.005)


def test_the_season_does_not_cut_the_hours(home):
    said = ok("hours", home, "--from", "2026-01-05", "--to", "2026-01-05")
    assert "Mon 5 Jan" in said.out


def test_windows_can_be_picked_by_name(home):
    study, kitchen = ("--window", "study"), ("--window", "kitchen")
    assert {row["window"] for row in run("hours", home, *WEEK, *CSV, *study).rows} == {"study"}
    every = run("hours", home, *WEEK, *CSV)
    assert run("hours", home, *WEEK, *CSV, *study, *kitchen).out == every.out


def test_beam_takes_the_place_of_the_sites(home):
    said = [run("hours", home, *WEEK, *CSV, "--beam", beam) for beam in ("0", "120", "700")]
    minutes = [sum(float(row["minutes"]) for row in one.rows) for one in said]
    assert minutes[0] > minutes[1] > minutes[2] > 0
    assert "Any sun counts" in run("hours", home, *WEEK, "--beam", "0").out


@pytest.mark.parametrize(
    ("args", "told"),
    [
        ("--window kitchn", 'home.toml: --window: no window is named "kitchn", did you mean "kit'),
        ("--from 2026-6-1", "'2026-6-1' is not a date"),
        ("--from 2026-02-30", "'2026-02-30' is not a date"),
        ("--from 0000-01-01", "'0000-01-01' is not a date"),
        ("--to 2200-01-01", "outside 1900 to 2199"),
        (
            "--from 2026-06-02 --to 2026-06-01",
            "--to 2026-06-01 lies before --from 2026-06-02; swap them",
        ),
        ("--beam -1", "--beam"),
        ("--beam nan", "--beam"),
        ("--beam much", "'much' is not a number;"),
        ("--power nan", "--power"),
        ("--format xml", "'csv'"),
        ("--windows kitchen", "--window"),
    ],
)
def test_a_wrong_request_is_one_line_and_writes_nothing(home, args, told):
    target = home.with_name("sun.csv")
    target.write_text("what was there")
    assert told in fault_of("hours", home, *args.split(), "-o", target)
    assert target.read_text() == "what was there"


@pytest.mark.parametrize("target", ["none/sun.csv", ".", "home.toml"])
def test_an_output_that_cannot_be_is_one_line(home, target):
    assert str(home.parent / target) in fault_of("hours", home, *WEEK, "-o", home.parent / target)
    assert home.read_text() == HOME


def months_in(page, window):
    """The lines of a window's months: label -> hours, days, a day, earliest, latest."""
    block = page[page.index(f"{window}, facing") :].split("\n\n")[0]
    found = re.findall(
        r"^  (\w{3} \d{4}|together) +([\d.]+) +(\d+) +([\d.]+ h) +(\S+) +(\S+)", block, re.M
    )
    return {label: rest for label, *rest in found}


def test_json_and_page_hold_the_sums_of_the_spells(home):
    page = run("hours", home, *YEAR, "--format", "json").json
    rows = run("hours", home, *YEAR, *CSV).rows
    assert (page["from"], page["to"]) == ("2026-01-01", "2026-12-31")
    assert (page["timezone"], page["beam_w_per_m2"]) == ("America/New_York", 120.0)
    for window in page["windows"]:
        mine = [row for row in rows if row["window"] == window["window"]]
        assert [spell["start"] for spell in window["spells"]] == [row["start"] for row in mine]
        hours = sum(float(row["minutes"]) for row in mine) / 60
        assert window["sun_hours"] == pytest.approx(hours, abs=0.005 * len(mine) / 60)
        assert window["sunny_days"] == len({row["date"] for row in mine})
        total = sum(one["sun_hours"] for one in window["periods"])
        assert total == pytest.approx(window["sun_hours"], abs=0.001)
    months = months_in(run("hours", home, *YEAR).out, "kitchen")
    july = [r for r in rows if r["window"] == "kitchen" and r["date"].startswith("2026-07")]
    hours = sum(float(row["minutes"]) for row in july) / 60
    earliest, latest = min(r["start"][11:16] for r in july), max(r["end"][11:16] for r in july)
    expected = [f"{hours:.1f}", "31", f"{hours / 31:.1f} h", earliest, latest]
    assert (len(months), months["Jul 2026"]) == (13, expected)
    total = sum(float(line[0]) for label, line in months.items() if label != "together")
    assert float(months["together"][0]) == pytest.approx(total, abs=12 * 0.05)


def test_few_days_are_listed_and_many_years_summed_by_year(home):
    page = run("hours", home, *WEEK).out
    assert "1 to 7 Jun 2026, by the clocks of America/New_York" in page
    assert len(re.findall(r"^  \w{3} \d Jun  \d\d:\d\d  \d\d:\d\d", page, re.M)) == 14
    years = ("--from", "2026-12-01", "--to", "2029-01-31", "--window", "kitchen")
    found = re.findall(r"^  (\d{4}) ", run("hours", home, *years).out, re.M)
    assert found == ["2026", "2027", "2028", "2029"]


def test_a_window_without_sun_and_one_that_faces_nowhere(tmp_path):
    north = HOME.replace("azimuth = 95", "azimuth = 0").replace("= 250", "= 250\ntilt = 0")
    day = ("--from", "2026-02-01", "--to", "2026-02-01")
    page = run("hours", write_home(tmp_path, north), *day).out
    assert "no direct sun in these days" in page
    assert "\nstudy, flat, looking up\n" in page
    assert "\nkitchen, facing 0° (north)\n" in page


@pytest.mark.parametrize(
    ("args", "taken"),
    [
        ([], ("2026-01-01", "2026-12-31")),
        (["--from", "2027-03-01"], ("2027-03-01", "2027-12-31")),
        (["--to", "2027-03-01"], ("2027-01-01", "2027-03-01")),
    ],
    ids=["neither", "from alone", "to alone"],
)
def test_dates_left_out_are_chosen_and_said(home, args, taken):
    said = run("hours", home, *args, "--format", "json", today=date(2026, 6, 1))
    page = said.json
    assert (page["from"], page["to"]) == taken
    assert said.err == f"taking {taken[0]} to {taken[1]}; choose other days with --from and --to\n"


def test_sun_over_midnight_is_latest_on_the_next_morning(tmp_path):
    """North of the polar circle a window to the north has the sun from evening to morning."""
    far_north = HOME.replace("36.10", "68.9").replace("-79.95", "27.0")
    open_view = far_north.replace("azimuth = 95", "azimuth = 0").replace("skyline", "# skyline")
    asked = (
        write_home(tmp_path, open_view),
        "--beam",
        "0",
        "--from",
        "2026-06-10",
        "--to",
        "2026-07-20",
    )
    page = run("hours", *asked).out
    [line] = re.findall(r"^  kitchen +.* (\d\d):\d\d +(\d\d):\d\d$", page, re.M)
    assert 16 <= int(line[0]) <= 22
    assert 3 <= int(line[1]) <= 9
    assert "\nWhere the latest is before the earliest, sun goes on over midnight.\n" in page
    periods = run("hours", *asked, "--format", "json").json["windows"][0]["periods"]
    assert all(one["latest"] < one["earliest"] for one in periods)
    assert "midnight" not in run("hours", *asked, "--window", "study").out
