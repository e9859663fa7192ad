"""`suncover spots`: direct sun on places in a room."""

from __future__ import annotations

import json
from datetime import date, datetime
from pathlib import Path

import pytest
from command_line import HOME, run, write_home

from suncover.facade import hours as sun_hours
from suncover.site.file.sitefile import load_site

WEEK = ("--from", "2026-06-01", "--to", "2026-06-07")
NO_SPOTS = HOME.partition("[[spot]]")[0]


def test_csv_rows_are_the_spells_of_sun(tmp_path: Path) -> None:
    path = write_home(tmp_path)
    said = run("spots", path, *WEEK, "--format", "csv")
    assert (said.status, said.err) == (0, "")
    assert said.out_bytes.startswith(b"spot,window,date,start,end,minutes\r\n")
    spells = sun_hours.spots(load_site(path), date(2026, 6, 1), date(2026, 6, 7))["desk"]
    assert len(said.rows) == len(spells) == 7
    for row, spell in zip(said.rows, spells, strict=True):
        assert (row["spot"], row["window"]) == ("desk", "study")
        assert datetime.fromisoformat(row["start"]).timestamp() == spell.start
        assert datetime.fromisoformat(row["end"]).timestamp() == spell.end
        assert float(row["minutes"]) == pytest.approx(spell.seconds / 60, abs=0.005)


def test_a_file_gets_the_same_bytes_as_the_screen(tmp_path: Path) -> None:
    path, target = write_home(tmp_path), tmp_path / "spots.out"
    for form in ("csv", "json", "text"):
        shown = run("spots", path, *WEEK, "--format", form)
        kept = run("spots", path, *WEEK, "--format", form, "-o", target)
        assert (kept.status, kept.out) == (0, "")
        assert target.read_bytes() == shown.out_bytes


def test_the_page_names_each_place_and_its_window(tmp_path: Path) -> None:
    said = run("spots", write_home(tmp_path), *WEEK)
    assert "desk, through study" in said.out
    assert "Mon 1 Jun" in said.out
    assert "while no shade is down" in said.out


def test_json_holds_the_sums_and_the_spells(tmp_path: Path) -> None:
    path = write_home(tmp_path)
    (desk,) = json.loads(run("spots", path, *WEEK, "--format", "json").out)["spots"]
    rows = run("spots", path, *WEEK, "--format", "csv").rows
    assert (desk["spot"], desk["window"], desk["sunny_days"]) == ("desk", "study", 7)
    assert [spell["end"] for spell in desk["spells"]] == [row["end"] for row in rows]


def test_a_site_without_places_gives_a_header_and_tells_how_to_add_one(tmp_path: Path) -> None:
    path = write_home(tmp_path, NO_SPOTS)
    table = run("spots", path, *WEEK, "--format", "csv")
    assert (table.status, table.out) == (0, "spot,window,date,start,end,minutes\r\n")
    page = run("spots", path, *WEEK)
    assert page.status == 0
    example = page.out[page.out.index("[[spot]]") :]
    more = write_home(tmp_path, f"{NO_SPOTS}\n{example}", "more.toml")
    assert run("spots", more, *WEEK, "--format", "csv").rows


def test_a_spot_behind_no_window_is_a_fault_of_the_file(tmp_path: Path) -> None:
    text = HOME.replace('window = "study"', 'window = "studdy"')
    said = run("spots", write_home(tmp_path, text), *WEEK)
    assert said.status == 2
    assert said.faults[0].endswith('no window is named "studdy", did you mean "study"?')


def test_dates_left_out_are_this_years(tmp_path: Path) -> None:
    said = run("spots", write_home(tmp_path), "--format", "json", today=date(2027, 6, 1))
    page = json.loads(said.out)
    assert (page["from"], page["to"]) == ("2027-01-01", "2027-12-31")
    assert said.err.startswith("taking 2027-01-01 to 2027-12-31;")
