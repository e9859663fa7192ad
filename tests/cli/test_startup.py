"""What a command loads before it does anything, and that nothing it meets ends in a traceback."""

import json
import subprocess
import sys
from pathlib import Path

import pytest
from command_line import HOME, ok, refused, run, write_home

from suncover.cli import COMMANDS

HEAVY = {"numpy", "pandas", "pvlib", "scipy", "shapely", "icalendar", "rich", "matplotlib"}
THREADS = {"concurrent"}
MODELS = {"pydantic", "tree_sitter", "tzfpy"}
FIVE = ["check", "hours", "plan", "today", "spots"]
SUNCOVER = [sys.executable, "-m", "suncover"]

# Runs groups of command lines one after the other, and tells after each group their statuses and
# the packages then loaded.
PROBE = """
import contextlib, io, json, sys
from suncover.cli import main
told = []
for lines in json.loads(sys.argv[1]):
    ended = []
    for line in lines:
        out, err = (io.TextIOWrapper(io.BytesIO()) for _ in range(2))
        with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
            try:
                main(line)
            except SystemExit as stop:
                ended.append(stop.code)
    told.append([ended, [name for name in sys.modules if "." not in name]])
print(json.dumps(told))
"""


def run_in_one(groups):
    """The exit statuses of groups of command lines, and the packages that the one process that runs
    them holds after each.
    """
    words = json.dumps([[[str(word) for word in line] for line in lines] for lines in groups])
    command = [sys.executable, "-c", PROBE, words]
    said = subprocess.run(command, capture_output=True, text=True, check=True)
    return [(ended, set(packages)) for ended, packages in json.loads(said.stdout)]


def test_a_command_loads_only_what_it_needs(home):
    """Help neither models nor numbers, a sound file and faults no numbers, hours no tables.

    Nor the map of zones where the file names the zone of its place, nor pvlib for a comparison, nor
    threads for a small home. In one process what loads less goes first.
    """
    wrong = write_home(home.parent, HOME.replace("= 95", "= 950"), "wrong.toml")
    zone = HOME.replace("elevation", 'timezone = "America/New_York"\nelevation')
    plain = write_home(home.parent, zone.replace("= 250", "= 250\nazimuth_sd = 2"), "plain.toml")
    miami = write_home(home.parent, HOME + '[weather]\nfile = "bundled:miami"\n', "miami.toml")
    seen = ["sight", "kitchen", "on", "--sightings", home.with_name("seen.csv")]
    faulty = [[command, wrong] for command in FIVE] + [["hours", home, "--window", "kitchn"]]
    for groups in (
        (
            ([["--help"], *([command, "--help"] for command in COMMANDS)], 0, HEAVY | MODELS),
            ([["check", plain]], 0, HEAVY | THREADS | {"tree_sitter", "tzfpy"}),
            ([["check", home], seen], 0, HEAVY | {"tree_sitter"}),
            (faulty, 2, HEAVY),
            ([["hours", home, "--format", "csv"]], 0, HEAVY - {"numpy", "pvlib"}),
        ),
        (
            (
                [["plan", home], ["today", home], ["now", home]],
                0,
                (HEAVY | THREADS) - {"numpy", "rich"},
            ),
            ([["compare", miami], ["compare", home]], 0, {"pandas", "pvlib", "scipy"}),
        ),
    ):
        told = run_in_one([lines for lines, _, _ in groups])
        for (lines, status, unwanted), (ended, packages) in zip(groups, told, strict=True):
            assert (ended, packages & unwanted) == ([status] * len(lines), set()), lines
            assert {"click", "suncover"} <= packages


@pytest.mark.parametrize("command", COMMANDS)
def test_every_command_has_a_help_with_an_example(command):
    said = ok(command, "--help")
    assert f"Usage: suncover {command}" in said.out
    assert command not in FIVE or f"  suncover {command} home.toml" in said.out


def test_what_is_no_command_is_told():
    said = refused()
    assert "Usage: suncover" in said.err
    assert all(command in said.err for command in COMMANDS)
    said = refused("hous", "home.toml")
    [fault] = said.faults
    assert "no command is called 'hous', did you mean hours?" in fault


@pytest.mark.parametrize("command", FIVE)
def test_a_site_file_that_is_not_there_is_one_line(command):
    names = ("none.toml", "", "a\nb.toml", "x" * 400, "nul\\0", "\udcff.toml")
    for said in (run(command), *(run(command, name) for name in names)):
        assert (said.status, said.out) == (2, "")
        assert len(said.faults) == 1
    assert run(command).err.startswith(f"suncover {command}: Missing argument 'SITE'")


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs a device that is always full")
@pytest.mark.parametrize("args", ["check", "plan --csv -"])
def test_a_full_disk_is_one_line(home, args):
    command, *options = args.split()
    with open("/dev/full", "wb") as full:  # noqa: PTH123  (a device)
        line = [*SUNCOVER, command, str(home), *options]
        said = subprocess.run(line, stdout=full, stderr=subprocess.PIPE, text=True, check=False)
    assert said.returncode == 2
    assert len([line for line in said.stderr.splitlines() if "standard output" in line]) == 1
    assert "Traceback" not in said.stderr
    assert "Exception" not in said.stderr


def test_a_reader_that_has_seen_enough_ends_the_command_quietly(home):
    command = [*SUNCOVER, "hours", str(home), "--format", "csv"]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE) as process:
        process.stdout.close()
        said = process.stderr.read().decode()
    assert process.returncode == 0
    assert said.splitlines() == [said.strip()]  # the dates that were taken, nothing else
    assert said.startswith("taking ")
