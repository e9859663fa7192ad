"""`suncover audit`: exit status, what it says, and faults in its files."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from command_line import HOME, Said, run, write_home

WEEK = ("--from", "2027-06-01", "--to", "2027-06-07")


@pytest.fixture
def plan(tmp_path: Path) -> tuple[Path, Path]:
    """A site, and the plan of its shades for a week."""
    home, file = write_home(tmp_path), tmp_path / "plan.csv"
    assert run("plan", home, *WEEK, "--csv", file).status == 0
    return home, file


def edited(file: Path, old: str, new: str) -> Path:
    text = file.read_text(encoding="utf-8")
    assert text.count(old) == 1, old
    file.write_text(text.replace(old, new), encoding="utf-8")
    return file


def rows(file: Path, shade: str) -> list[str]:
    return [line for line in file.read_text().splitlines() if line.startswith(shade)]


def test_our_own_plan_passes(plan: tuple[Path, Path]) -> None:
    said = run("audit", *plan)
    assert (said.status, said.err) == (0, "")
    assert "1 to 7 Jun 2027" in said.out
    assert "All that the site file asks for is kept" in said.out
    assert all(len(line) <= 80 for line in said.out.splitlines())


def test_a_missing_row_is_found_with_its_day(plan: tuple[Path, Path]) -> None:
    home, file = plan
    said = run("audit", home, edited(file, rows(file, "study")[3] + "\n", ""))
    assert said.status == 1
    assert "study: " in said.out
    assert "uncovered on 1 day" in said.out
    assert "Fri 4 Jun" in said.out


def test_a_move_in_quiet_hours_is_found(plan: tuple[Path, Path]) -> None:
    home, file = plan
    row = rows(file, "study")[2]
    opens = row.split(",")[3]
    # The study has the default shade without quiet hours, the kitchen roller has them.
    assert run("audit", home, edited(file, opens, "2027-06-03T23:00:00-04:00")).status == 0
    row = rows(file, "kitchen roller")[2]
    said = run("audit", home, edited(file, row.split(",")[3], "2027-06-03T23:00:00-04:00"))
    assert said.status == 1
    assert "kitchen roller: 1 move in quiet hours" in said.out
    assert "Thu 3 Jun: opens at 23:00" in said.out


def test_json_has_every_figure(plan: tuple[Path, Path], tmp_path: Path) -> None:
    home, file = plan
    edited(file, rows(file, "study")[3] + "\n", "")
    target = tmp_path / "audit.json"
    said = run("audit", home, file, "--format", "json", "-o", target)
    assert (said.status, said.out) == (1, "")
    document = json.loads(target.read_text(encoding="utf-8"))
    assert document["kept"] is False
    assert (document["from"], document["to"]) == ("2027-06-01", "2027-06-07")
    study = next(shade for shade in document["shades"] if shade["shade"] == "study")
    assert [part["date"] for part in study["uncovered"]] == ["2027-06-04"]
    assert study["uncovered_minutes"] == pytest.approx(study["uncovered"][0]["minutes"])
    assert 0.8 < study["covered_share"] < 0.9  # six days of seven


def test_another_year(plan: tuple[Path, Path]) -> None:
    said = run("audit", *plan, "--year", "2028")
    assert "1 to 7 Jun 2028" in said.out
    assert said.status in (0, 1)


def test_a_plan_without_closings(plan: tuple[Path, Path]) -> None:
    home, file = plan
    file.write_text(file.read_text().splitlines()[0] + "\n")
    said = run("audit", home, file)
    assert said.status == 0
    assert "it does not say which days it is for" in said.out
    assert run("audit", home, file, *WEEK).status == 1


def faults_of(said: Said) -> list[str]:
    assert (said.status, said.out) == (2, "")
    return said.faults


def test_every_fault_of_the_files_is_one_line(plan: tuple[Path, Path], tmp_path: Path) -> None:
    home, file = plan
    first, second = rows(file, "study")[:2]
    edited(file, first, first.replace("study", "studdy"))
    edited(file, second, second.replace("-04:00", "!"))
    faults = faults_of(run("audit", home, file))
    assert len(faults) == 3
    assert 'the site has no shade "studdy"; did you mean "study"?' in faults[0]
    assert all(fault.startswith(f"{file}:") for fault in faults)
    (fault,) = faults_of(run("audit", home, tmp_path / "none.csv"))
    assert fault == f"{tmp_path / 'none.csv'}: there is no such file"
    assert len(faults_of(run("audit", tmp_path / "none.toml", file))) == 1


def test_a_missing_first_row_goes_unnoticed_but_that_is_said(plan: tuple[Path, Path]) -> None:
    home, file = plan
    lines = file.read_text(encoding="utf-8").splitlines(keepends=True)
    first = [line for line in lines if ",2027-06-01," in line]
    file.write_text("".join(line for line in lines if line not in first), encoding="utf-8")
    said = run("audit", home, file)
    assert said.status == 0
    warning = "These days are the plan's own: rows missing before its first or after its last go"
    assert warning in " ".join(said.out.split())
    assert json.loads(run("audit", home, file, "--format", "json").out)["days_from_plan"] is True
    whole = run("audit", home, file, *WEEK)
    assert whole.status == 1
    assert warning not in " ".join(whole.out.split())


def test_days_with_the_same_fault_and_shades_with_the_same_are_told_together(
    tmp_path: Path,
) -> None:
    text = HOME.replace('quiet = ["21:30", "07:00"]', 'quiet = ["03:00", "04:00"]')
    text += '\n[[shade]]\nname = "study roller"\nwindows = ["study"]\nquiet = ["03:00", "04:00"]\n'
    home, file = write_home(tmp_path, text), tmp_path / "made.csv"
    rows = [
        f"{shade},2027-12-{day:02d} 03:30,2027-12-{day:02d} 05:00"
        for shade in ("kitchen roller", "study roller")
        for day in (1, 2, 3, 5)
    ]
    file.write_text("\n".join(["shade,close,open", *rows]) + "\n", encoding="utf-8")
    said = run("audit", home, file, "--brief")
    assert said.status == 1
    page = " ".join(said.out.split())
    assert "kitchen roller and study roller: each 4 moves in quiet hours" in page
    assert "Wed 1 Dec to Fri 3 Dec: closes at 03:30, each of 3 days Sun 5 Dec: closes" in page
    assert "For nothing" not in page
    assert "For nothing" in run("audit", home, file).out
