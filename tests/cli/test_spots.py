"""`suncover spots`: direct sun on places in a room."""

from datetime import date, datetime

import pytest
from command_line import HOME, ok, refused, run, write_home

from suncover.facade import hours as sun_hours
from suncover.site.file.sitefile import load_site

WEEK = ("--from", "2026-06-01", "--to", "2026-06-07")
COLUMNS = "spot,window,date,start,end,minutes\r\n"


def test_csv_rows_are_the_spells_of_sun(home):
    said = run("spots", home, *WEEK, "--format", "csv")
    assert (said.status, said.err) == (0, "")
    assert said.out.startswith(COLUMNS)
    spells = sun_hours.spots(load_site(home), date(2026, 6, 1), date(2026, 6, 7))["desk"]
    assert len(said.rows) == len(spells) == 7
    for row, spell in zip(said.rows, spells, strict=True):
        assert (row["spot"], row["window"]) == ("desk", "study")
        assert datetime.fromisoformat(row["start"]).timestamp() == spell.start
        assert datetime.fromisoformat(row["end"]).timestamp() == spell.end
        assert float(row["minutes"]) == pytest.approx(spell.seconds / 60, abs=0.005)
    (desk,) = run("spots", home, *WEEK, "--format", "json").json["spots"]
    assert (desk["spot"], desk["window"], desk["sunny_days"]) == ("desk", "study", 7)
    assert [spell["end"] for spell in desk["spells"]] == [row["end"] for row in said.rows]
    page = run("spots", home, *WEEK).out
    for text in ("desk, through study", "Mon 1 Jun", "while no shade is down"):
        assert text in page


def test_a_site_without_places_gives_a_header_and_tells_how_to_add_one(tmp_path):
    without = HOME.partition("[[spot]]")[0]
    path = write_home(tmp_path, without)
    table = run("spots", path, *WEEK, "--format", "csv")
    assert (table.status, table.out) == (0, COLUMNS)
    page = ok("spots", path, *WEEK)
    example = page.out[page.out.index("[[spot]]") :]
    assert example in ok("hours", path, *WEEK, "--spots").out
    assert "[[spot]]" not in ok("hours", path, *WEEK).out
    more = write_home(tmp_path, f"{without}\n{example}", "more.toml")
    assert run("spots", more, *WEEK, "--format", "csv").rows


def test_a_spot_behind_no_window_is_a_fault_of_the_file(tmp_path):
    text = HOME.replace('window = "study"', 'window = "studdy"')
    said = refused("spots", write_home(tmp_path, text), *WEEK)
    assert said.faults[0].endswith('no window is named "studdy", did you mean "study"?')


def test_dates_left_out_are_this_years(home):
    said = run("spots", home, "--format", "json", today=date(2027, 6, 1))
    page = said.json
    assert (page["from"], page["to"]) == ("2027-01-01", "2027-12-31")
    assert said.err.startswith("taking 2027-01-01 to 2027-12-31;")
