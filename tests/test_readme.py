"""The README keeps its word: its two commands, its worked task, its excerpts and its cautions."""

import csv
import io
import re
import tomllib

import icalendar
import pytest
from shown_commands import BLOCK, ROOT, Workplace, commands_in, rewritten

PAGE = (ROOT / "README.md").read_text(encoding="utf-8")
SHELL = re.findall(r"^```sh\n(.*?)^```$", PAGE, re.DOTALL | re.MULTILINE)
SHOWN = [pair for block in BLOCK.findall(PAGE) for pair in commands_in(block)]


def test_there_are_two_commands_each_of_one_line():
    assert len(SHELL) == 2
    assert [block.count("\n") for block in SHELL] == [1, 1]


def test_the_first_command_installs_and_plans_as_in_the_task():
    """It is run as it stands by `.ci/run`; the plan that it makes is one of the task's commands."""
    make, install, run = SHELL[0].strip().split(" && ")
    assert make == "python3 -m venv .venv"
    assert install == ".venv/bin/pip install ."
    assert run.removeprefix(".venv/bin/") in [command for command, _ in SHOWN]


def test_the_second_command_installs_what_the_tests_need():
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    install, run = SHELL[1].strip().split(" && ")
    assert install == '.venv/bin/pip install ".[test]"'
    assert "test" in project["optional-dependencies"]
    assert run == ".venv/bin/pytest -n 2"
    assert any(need.startswith("pytest-xdist") for need in project["optional-dependencies"]["test"])


def test_the_needed_python_is_named():
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    assert project["requires-python"].removeprefix(">=") in PAGE


def test_the_task_prints_what_is_shown_and_writes_its_files(tmp_path):
    """Written anew by `python tests/shown_commands.py`; read the difference before you keep it."""
    assert rewritten(PAGE, Workplace(tmp_path)) == PAGE
    table = (tmp_path / "plan.csv").read_text(encoding="utf-8")
    rows = list(csv.DictReader(io.StringIO(table, newline="")))
    calendar = icalendar.Calendar.from_ical((tmp_path / "plan.ics").read_bytes())
    assert len(rows) > 300
    assert len(calendar.walk("VEVENT")) == len(rows)


def test_the_task_has_a_command_for_each_of_its_steps():
    verbs = {command.split()[1] for command, _ in SHOWN if command.startswith("suncover ")}
    assert verbs >= {"hours", "plan", "today"}


def test_the_excerpt_is_from_the_sample():
    (excerpt,) = re.findall(r"^```toml\n(.*?)^```$", PAGE, re.DOTALL | re.MULTILINE)
    sample = tomllib.loads((ROOT / "sample_sites" / "bungalow.toml").read_text(encoding="utf-8"))
    for kind, entries in tomllib.loads(excerpt).items():
        whole = {entry["name"]: entry for entry in sample[kind]}
        for entry in entries:
            assert entry.items() <= whole[entry["name"]].items()


@pytest.mark.parametrize(
    "caution",
    [
        "Never look at the sun",
        "Children",
        "Electricity",
        "12 V",
        "Glass can crack",
        "Overhangs",
        "permit",
        "Heat illness",
        "Local codes",
    ],
)
def test_cautions(caution):
    assert caution in PAGE[PAGE.index("## Before you drill") :]
