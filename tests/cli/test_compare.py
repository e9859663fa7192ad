"""`suncover compare`: what it prints, what it writes, and how it fails."""

import pytest
from command_line import ok, refused, run, write_home
from site_texts import house, table, window
from weather_texts import csv_text

from suncover.cli.compare import SKIES
from suncover.sun.sky import MODELS

SITE = house(
    table("weather", file="year.csv", stamp="end"),
    window("south", 180, 2, 1, overhang={"depth": 0.5}),
    at=(45, 8),
    elevation=250,
)


@pytest.fixture(scope="module")
def year():
    return csv_text(2025, "end")


@pytest.fixture
def home(tmp_path, year):
    (tmp_path / "year.csv").write_text(year, encoding="utf-8")
    return write_home(tmp_path, SITE)


def test_as_a_table_and_as_text_on_any_screen(home):
    rows = ok("compare", home, "--format", "csv").rows
    assert len(rows) == 4 * 13
    assert {row["option"] for row in rows} == {"bare", "overhang", "shade", "both"}
    text = ok("compare", home, encoding="ascii").out
    assert text.startswith("Overhang against shade: Larkspur Lane\nWeather: year.csv\n")
    assert "All windows, 2.0 m" in text


def test_another_sky_model_and_other_gaps_give_other_numbers(home):
    asked = ("compare", home, "--format", "json")
    gaps = ("--sky", "isotropic", "--gap", "0.1", "--gap", "0.4")
    perez, even = (run(*asked, *more).json for more in ((), gaps))
    assert even["sky_model"] == "isotropic"
    assert even["house"][0]["admitted_kwh"] < perez["house"][0]["admitted_kwh"]
    assert {one["gap"] for one in even["best_overhangs"][0]["tried"]} == {0.1, 0.4}
    for gap, told in (("nan", "nan is not a number that can be used"), ("-1", "--gap")):
        said = run("compare", home, "--gap", gap)
        assert (said.status, len(said.faults)) == (2, 1)
        assert told in said.err
    assert tuple(MODELS) == SKIES, "every way to spread the sky can be asked for"


@pytest.mark.parametrize(
    ("name", "old", "new", "says"),
    [
        ("year.csv", "+01:00", "", "year.csv:2: time:"),
        ("home.toml", "year.csv", "other.csv", "other.csv: there is no such file"),
        ("home.toml", 'stamp = "end"', "", "it must be given for a CSV file"),
        ("home.toml", '"year.csv"', '"bundled:paris"', "there are bundled:greensboro"),
    ],
    ids=["weather", "no weather file", "no stamp", "no bundled year"],
)
def test_faults_end_with_2_and_leave_files_alone(home, name, old, new, says):
    path, target = home.with_name(name), home.with_name("kept.csv")
    path.write_text(path.read_text(encoding="utf-8").replace(old, new), encoding="utf-8")
    target.write_text("kept", encoding="utf-8")
    said = refused("compare", home, "--format", "csv", "-o", target)
    assert says in said.err
    assert target.read_text(encoding="utf-8") == "kept"
