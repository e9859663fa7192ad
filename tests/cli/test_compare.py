"""`suncover compare`: what it prints, what it writes, and how it fails."""

from __future__ import annotations

import csv
import io
import json
import subprocess
import sys

import pytest
from weather_texts import csv_text

from suncover.cli import main
from suncover.cli.compare import SKIES
from suncover.sun.sky import MODELS

SITE = """
[site]
name = "Hill House"
latitude = 45.0
longitude = 8.0
elevation = 250
[weather]
file = "year.csv"
stamp = "end"
[[window]]
name = "south"
azimuth = 180
width = 2
height = 1
[window.overhang]
depth = 0.5
"""


@pytest.fixture
def home(tmp_path):
    (tmp_path / "year.csv").write_text(csv_text(2025, "end"), encoding="utf-8")
    path = tmp_path / "home.toml"
    path.write_text(SITE, encoding="utf-8")
    return path


def run(capsys, *arguments) -> tuple[int, str, str]:
    with pytest.raises(SystemExit) as done:
        main([str(argument) for argument in arguments])
    captured = capsys.readouterr()
    return int(done.value.code or 0), captured.out, captured.err


def test_csv_on_the_screen(capsys, home) -> None:
    status, out, err = run(capsys, "compare", home, "--format", "csv")
    assert (status, err) == (0, "")
    rows = list(csv.DictReader(io.StringIO(out)))
    assert len(rows) == 4 * 13
    assert {row["option"] for row in rows} == {"bare", "overhang", "shade", "both"}


def test_text_is_the_usual_form(capsys, home) -> None:
    status, out, _ = run(capsys, "compare", home)
    assert status == 0
    assert out.startswith("Overhang against shade: Hill House\nWeather: year.csv\n")


@pytest.mark.parametrize("form", ["text", "csv", "json"])
def test_files_hold_what_the_screen_shows(capsys, home, form) -> None:
    target = home.parent / "out"
    status, out, err = run(capsys, "compare", home, "--format", form, "-o", target)
    assert (status, out, err) == (0, "", "")
    _, shown, _ = run(capsys, "compare", home, "--format", form)
    assert target.read_bytes().decode().replace("\r\n", "\n") == shown.replace("\r\n", "\n")


def test_another_sky_model_gives_other_numbers(capsys, home) -> None:
    _, perez, _ = run(capsys, "compare", home, "--format", "json")
    _, even, _ = run(capsys, "compare", home, "--format", "json", "--sky", "isotropic")
    assert json.loads(even)["sky_model"] == "isotropic"
    ours, theirs = (json.loads(text)["house"][0]["admitted_kwh"] for text in (perez, even))
    assert theirs < ours


def test_the_best_overhang_is_tried_at_the_gaps_that_are_given(capsys, home) -> None:
    arguments = ("compare", home, "--format", "json", "--gap", "0.1", "--gap", "0.4")
    status, out, _ = run(capsys, *arguments)
    assert status == 0
    tried = json.loads(out)["best_overhangs"][0]["tried"]
    assert {one["gap"] for one in tried} == {0.1, 0.4}
    status, _, err = run(capsys, "compare", home, "--gap", "nan")
    assert (status, err.count("\n")) == (2, 1)
    assert "nan is not a number that can be used" in err
    status, _, err = run(capsys, "compare", home, "--gap", "-1")
    assert status == 2
    assert "--gap" in err


@pytest.mark.parametrize(
    ("change", "says"),
    [
        (("year.csv", "+01:00", ""), "year.csv:2: time:"),
        (("home.toml", "azimuth = 180", "azimuth = 400"), "home.toml:12:"),
        (("home.toml", "year.csv", "other.csv"), "other.csv: there is no such file"),
        (("home.toml", 'stamp = "end"', ""), "it must be given for a CSV file"),
        (("home.toml", '"year.csv"', '"bundled:paris"'), "there are bundled:greensboro"),
    ],
    ids=["weather", "site", "no weather file", "no stamp", "no bundled year"],
)
def test_faults_end_with_2_and_leave_files_alone(capsys, home, change, says) -> None:
    name, old, new = change
    path = home.parent / name
    path.write_text(path.read_text(encoding="utf-8").replace(old, new), encoding="utf-8")
    target = home.parent / "kept.csv"
    target.write_text("kept", encoding="utf-8")
    status, out, err = run(capsys, "compare", home, "--format", "csv", "-o", target)
    assert status == 2
    assert out == ""
    assert says in err
    assert "Traceback" not in err
    assert target.read_text(encoding="utf-8") == "kept"


def test_an_ascii_terminal_gets_the_text_too(home) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "suncover", "compare", str(home)],
        capture_output=True,
        check=False,
        env={"PYTHONIOENCODING": "ascii", "PATH": "", "PYTHONUTF8": "0"},
    )
    assert done.returncode == 0, done.stderr
    assert b"All windows, 2.0 m" in done.stdout
    assert done.stderr == b""


def test_every_way_to_spread_the_sky_can_be_asked_for() -> None:
    assert tuple(MODELS) == SKIES
