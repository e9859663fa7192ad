"""No output takes the place of a file that the same command reads, whatever name it is given."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

import pytest
from command_line import HOME, run, write_home

DAYS = ("--from", "2027-06-01", "--to", "2027-06-01")
SIGHTINGS = "window,time,seen\nkitchen,2027-06-01T09:00:00-04:00,on\n"
CALENDAR = "BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//x//y//EN\r\nEND:VCALENDAR\r\n"


@pytest.fixture
def house(tmp_path: Path) -> Path:
    """A folder with a site file and all that it names, a plan and sightings."""
    named = 'horizon_file = "far.csv"\n'
    calendar = (
        '\n[[calendar]]\nfile = "ours.ics"\n[[calendar.event]]\nwords = ["away"]\ndo = "up"\n'
    )
    weather = '\n[weather]\nfile = "year.csv"\nstamp = "end"\n'
    text = HOME.replace("elevation = 270\n", f"elevation = 270\n{named}")
    write_home(tmp_path, text + calendar + weather)
    (tmp_path / "far.csv").write_text("azimuth,elevation\n0,1\n180,2\n")
    (tmp_path / "ours.ics").write_bytes(CALENDAR.encode())
    (tmp_path / "year.csv").write_text("time,ghi,dni,dhi\n")
    (tmp_path / "seen.csv").write_text(SIGHTINGS)
    (tmp_path / "answers.toml").write_text("x = 1\n")
    assert run("plan", tmp_path / "home.toml", *DAYS, "--csv", tmp_path / "plan.csv").status == 0
    return tmp_path


def by_its_name(path: Path) -> Path:
    return path


def by_another_way(path: Path) -> Path:
    return path.parent / ".." / path.parent.name / path.name


def by_a_symbolic_link(path: Path) -> Path:
    link = path.with_name("link")
    link.symlink_to(path)
    return link


def by_a_hard_link(path: Path) -> Path:
    link = path.with_name("hard")
    os.link(path, link)
    return link


COMMANDS = {
    "hours": ("home.toml", ["hours", "home.toml", *DAYS, "--format", "csv", "-o"]),
    "hours, horizon": ("far.csv", ["hours", "home.toml", *DAYS, "--format", "csv", "-o"]),
    "plan, calendar": ("ours.ics", ["plan", "home.toml", *DAYS, "--ics"]),
    "plan, weather": ("year.csv", ["plan", "home.toml", *DAYS, "--csv"]),
    "spots": ("home.toml", ["spots", "home.toml", *DAYS, "--format", "json", "-o"]),
    "audit, plan": ("plan.csv", ["audit", "home.toml", "plan.csv", "-o"]),
    "facing, sightings": (
        "seen.csv",
        ["facing", "home.toml", "--sightings", "seen.csv", "--write", "--format", "csv", "-o"],
    ),
    "sight": ("home.toml", ["sight", "kitchen", "on", "--site", "home.toml", "--sightings"]),
    "new, answers": ("answers.toml", ["new", "--answers", "answers.toml"]),
}


@pytest.mark.parametrize("name", [by_its_name, by_another_way, by_a_symbolic_link, by_a_hard_link])
@pytest.mark.parametrize("command", COMMANDS)
def test_an_output_that_is_an_input_is_refused_and_nothing_is_written(
    house: Path,
    monkeypatch: pytest.MonkeyPatch,
    command: str,
    name: Callable[[Path], Path],
) -> None:
    monkeypatch.chdir(house)
    file, args = COMMANDS[command]
    output = name(house / file)
    before = {path.name: path.read_bytes() for path in house.iterdir()}
    said = run(*args, output)
    assert said.status == 2
    [fault] = said.faults
    assert fault.startswith(f"{output}: this is ")
    assert fault.endswith(f"{file}, which is read; name another file to write to")
    assert {path.name: path.read_bytes() for path in house.iterdir()} == before


def test_two_outputs_to_the_screen_are_refused(tmp_path: Path) -> None:
    said = run("plan", write_home(tmp_path), *DAYS, "--csv", "-", "--ics", "-")
    assert said.status == 2
    assert "--csv and --ics both go to -" in said.err
