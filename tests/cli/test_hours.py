"""`suncover hours`: the columns, the choices, the page to read, and what is refused."""

from __future__ import annotations

import json
import re
from datetime import date, datetime, timedelta
from pathlib import Path

import pytest
from command_line import HOME, run, write_home

from suncover.facade import hours as sun_hours
from suncover.site.file.sitefile import load_site

WEEK = ("--from", "2026-06-01", "--to", "2026-06-07")
YEAR = ("--from", "2026-01-01", "--to", "2026-12-31")


def test_csv_rows_are_the_spells_of_sun(tmp_path: Path) -> None:
    path = write_home(tmp_path)
    said = run("hours", path, *WEEK, "--format", "csv")
    assert (said.status, said.err) == (0, "")
    assert said.out_bytes.startswith(b"window,date,start,end,minutes\r\n")
    spells = sun_hours.hours(load_site(path), date(2026, 6, 1), date(2026, 6, 7))
    assert [row["window"] for row in said.rows] == ["kitchen"] * 7 + ["study"] * 7
    for row, spell in zip(said.rows, [*spells["kitchen"], *spells["study"]], strict=True):
        start, end = (datetime.fromisoformat(row[key]) for key in ("start", "end"))
        assert (start.timestamp(), end.timestamp()) == (spell.start, spell.end)
        assert start.utcoffset() == timedelta(hours=-4)
        assert row["date"] == row["start"][:10]
        assert float(row["minutes"]) == pytest.approx((end - start).total_seconds() / 60, abs=0.005)


def test_the_season_does_not_cut_the_hours(tmp_path: Path) -> None:
    said = run("hours", write_home(tmp_path), "--from", "2026-01-05", "--to", "2026-01-05")
    assert said.status == 0
    assert "Mon 5 Jan" in said.out


def test_a_file_gets_the_same_bytes_as_the_screen(tmp_path: Path) -> None:
    path, target = write_home(tmp_path), tmp_path / "sun.csv"
    for form in ("csv", "json", "text"):
        shown = run("hours", path, *WEEK, "--format", form)
        kept = run("hours", path, *WEEK, "--format", form, "-o", target)
        assert (kept.status, kept.out) == (0, "")
        assert target.read_bytes() == shown.out_bytes
    dash = run("hours", path, *WEEK, "-o", "-")
    assert dash.out == run("hours", path, *WEEK).out


def test_windows_can_be_picked_by_name(tmp_path: Path) -> None:
    path = write_home(tmp_path)
    both = ("--window", "study", "--window", "kitchen")
    one = run("hours", path, *WEEK, "--format", "csv", "--window", "study")
    assert {row["window"] for row in one.rows} == {"study"}
    every = run("hours", path, *WEEK, "--format", "csv")
    assert run("hours", path, *WEEK, "--format", "csv", *both).out == every.out


def test_beam_takes_the_place_of_the_sites(tmp_path: Path) -> None:
    path = write_home(tmp_path)
    minutes = [
        sum(float(row["minutes"]) for row in run(*args, "--beam", beam).rows)
        for args in [("hours", path, *WEEK, "--format", "csv")]
        for beam in ("0", "120", "700")
    ]
    assert minutes[0] > minutes[1] > minutes[2] > 0
    assert "Any sun counts" in run("hours", path, *WEEK, "--beam", "0").out


@pytest.mark.parametrize(
    ("args", "told"),
    [
        pytest.param(
            ["--window", "kitchn"],
            'home.toml: --window: no window is named "kitchn", did you mean "kitchen"?',
            id="unknown window",
        ),
        pytest.param(["--from", "2026-6-1"], "'2026-6-1' is not a date", id="form of date"),
        pytest.param(["--from", "2026-02-30"], "'2026-02-30' is not a date", id="no such day"),
        pytest.param(["--from", "0000-01-01"], "'0000-01-01' is not a date", id="year 0"),
        pytest.param(["--to", "2200-01-01"], "outside 1900 to 2199", id="too far off"),
        pytest.param(
            ["--from", "2026-06-02", "--to", "2026-06-01"],
            "--to 2026-06-01 lies before --from 2026-06-02; swap them",
            id="backwards",
        ),
        pytest.param(["--beam", "-1"], "--beam", id="negative beam"),
        pytest.param(["--beam", "nan"], "--beam", id="beam that is no number"),
        pytest.param(["--format", "xml"], "'csv'", id="format"),
        pytest.param(["--windows", "kitchen"], "--window", id="unknown option"),
    ],
)
def test_a_wrong_request_is_one_line_and_writes_nothing(
    tmp_path: Path, args: list[str], told: str
) -> None:
    path, target = write_home(tmp_path), tmp_path / "sun.csv"
    target.write_text("what was there")
    said = run("hours", path, *args, "-o", target)
    assert said.status == 2
    assert said.out == ""
    assert len(said.faults) == 1, said.err
    assert told in said.faults[0]
    assert target.read_text() == "what was there"


def test_a_wrong_site_file_leaves_the_output_alone(tmp_path: Path) -> None:
    path = write_home(tmp_path, HOME.replace("= 95", "= 950"))
    target = tmp_path / "sun.csv"
    target.write_text("what was there")
    said = run("hours", path, *WEEK, "--format", "csv", "-o", target)
    assert said.status == 2
    assert said.faults[0].startswith(f"{path}:12:11: ")
    assert target.read_text() == "what was there"
    assert sorted(file.name for file in tmp_path.iterdir()) == ["home.toml", "sun.csv"]


@pytest.mark.parametrize("target", ["none/sun.csv", ".", "home.toml"])
def test_an_output_that_cannot_be_is_one_line(tmp_path: Path, target: str) -> None:
    path = write_home(tmp_path)
    said = run("hours", path, *WEEK, "-o", tmp_path / target)
    assert (said.status, said.out) == (2, "")
    assert len(said.faults) == 1
    assert str(tmp_path / target) in said.faults[0]
    assert path.read_text() == HOME


def test_json_holds_the_sums_and_the_spells(tmp_path: Path) -> None:
    path = write_home(tmp_path)
    page = json.loads(run("hours", path, *YEAR, "--format", "json").out)
    rows = run("hours", path, *YEAR, "--format", "csv").rows
    assert (page["from"], page["to"]) == ("2026-01-01", "2026-12-31")
    assert (page["timezone"], page["beam_w_per_m2"]) == ("America/New_York", 120.0)
    for window in page["windows"]:
        mine = [row for row in rows if row["window"] == window["window"]]
        assert [spell["start"] for spell in window["spells"]] == [row["start"] for row in mine]
        hours = sum(float(row["minutes"]) for row in mine) / 60
        assert window["sun_hours"] == pytest.approx(hours, abs=0.005 * len(mine) / 60)
        assert window["sunny_days"] == len({row["date"] for row in mine})
        assert sum(one["sun_hours"] for one in window["periods"]) == pytest.approx(
            window["sun_hours"], abs=0.001
        )


def months_in(page: str, window: str) -> dict[str, list[str]]:
    """The lines of a window's months: label -> hours, days, a day, earliest, latest."""
    block = re.split(r"\n\n", page[page.index(f"{window}, facing") :])[0]
    found = re.findall(
        r"^  (\w{3} \d{4}|together) +([\d.]+) +(\d+) +([\d.]+ h) +(\S+) +(\S+)", block, re.M
    )
    return {label: list(rest) for label, *rest in found}


def test_the_page_sums_each_month(tmp_path: Path) -> None:
    path = write_home(tmp_path)
    page = run("hours", path, *YEAR).out
    rows = [
        row
        for row in run("hours", path, *YEAR, "--format", "csv").rows
        if row["window"] == "kitchen" and row["date"].startswith("2026-07")
    ]
    hours = sum(float(row["minutes"]) for row in rows) / 60
    months = months_in(page, "kitchen")
    assert len(months) == 13
    assert months["Jul 2026"] == [
        f"{hours:.1f}",
        "31",
        f"{hours / 31:.1f} h",
        min(row["start"][11:16] for row in rows),
        max(row["end"][11:16] for row in rows),
    ]
    total = sum(float(line[0]) for label, line in months.items() if label != "together")
    assert float(months["together"][0]) == pytest.approx(total, abs=12 * 0.05)


def test_a_few_days_are_listed_spell_by_spell(tmp_path: Path) -> None:
    page = run("hours", write_home(tmp_path), *WEEK).out
    assert "1 to 7 Jun 2026, by the clocks of America/New_York" in page
    assert len(re.findall(r"^  \w{3} \d Jun  \d\d:\d\d  \d\d:\d\d", page, re.M)) == 14


def test_many_years_are_summed_by_year(tmp_path: Path) -> None:
    page = run(
        "hours",
        write_home(tmp_path),
        "--from",
        "2026-01-01",
        "--to",
        "2028-06-30",
        "--window",
        "kitchen",
    ).out
    assert re.findall(r"^  (\d{4}) ", page, re.M) == ["2026", "2027", "2028"]


def test_a_window_without_sun_says_so(tmp_path: Path) -> None:
    north = HOME.replace("azimuth = 95", "azimuth = 0")
    args = ("--from", "2026-01-01", "--to", "2026-02-28", "--window", "kitchen")
    assert "no direct sun in these days" in run("hours", write_home(tmp_path, north), *args).out


def test_a_flat_roof_window_faces_nowhere(tmp_path: Path) -> None:
    text = HOME.replace("azimuth = 250", "azimuth = 250\ntilt = 0")
    days = ("--from", "2026-06-21", "--to", "2026-06-21")
    page = run("hours", write_home(tmp_path, text), *days).out
    assert "\nstudy, flat, looking up\n" in page
    assert "\nkitchen, facing 95° (east)\n" in page


@pytest.mark.parametrize("args", [YEAR, WEEK], ids=["a year", "a week"])
def test_no_line_is_wider_than_a_screen(tmp_path: Path, args: tuple[str, ...]) -> None:
    long = HOME.replace('"kitchen"', f'"{"a very long window name " * 3}x"')
    page = run("hours", write_home(tmp_path, long), *args).out
    assert max(map(len, page.splitlines())) <= 80


@pytest.mark.parametrize(
    ("args", "taken"),
    [
        pytest.param([], ("2026-01-01", "2026-12-31"), id="neither"),
        pytest.param(["--from", "2027-03-01"], ("2027-03-01", "2027-12-31"), id="from alone"),
        pytest.param(["--to", "2027-03-01"], ("2027-01-01", "2027-03-01"), id="to alone"),
    ],
)
def test_dates_left_out_are_chosen_and_said(
    tmp_path: Path, args: list[str], taken: tuple[str, str]
) -> None:
    said = run("hours", write_home(tmp_path), *args, "--format", "json", today=date(2026, 6, 1))
    page = json.loads(said.out)
    assert (page["from"], page["to"]) == taken
    assert said.err == f"taking {taken[0]} to {taken[1]}; choose other days with --from and --to\n"


def test_sun_over_midnight_is_latest_on_the_next_morning(tmp_path: Path) -> None:
    """North of the polar circle a window to the north has the sun from evening to morning."""
    far_north = HOME.replace("36.10", "68.9").replace("-79.95", "27.0")
    open_view = far_north.replace("azimuth = 95", "azimuth = 0").replace("skyline", "# skyline")
    path = write_home(tmp_path, open_view)
    asked = (path, "--beam", "0", "--from", "2026-06-10", "--to", "2026-07-20")
    page = run("hours", *asked).out
    [line] = re.findall(r"^  kitchen +.* (\d\d):\d\d +(\d\d):\d\d$", page, re.M)
    assert 16 <= int(line[0]) <= 22
    assert 3 <= int(line[1]) <= 9
    assert "\nWhere the latest is before the earliest, sun goes on over midnight.\n" in page
    periods = json.loads(run("hours", *asked, "--format", "json").out)["windows"][0]["periods"]
    assert all(one["latest"] < one["earliest"] for one in periods)
    assert "midnight" not in run("hours", *asked, "--window", "study").out


def test_a_word_in_place_of_a_number_is_told_plainly(tmp_path: Path) -> None:
    said = run("hours", write_home(tmp_path), *WEEK, "--beam", "much")
    assert said.status == 2
    assert "'much' is not a number;" in said.err
    assert len(said.faults) == 1
