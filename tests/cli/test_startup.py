"""What a command loads before it does anything, and that nothing it meets ends in a traceback."""

import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from command_line import HOME, run, write_home
from site_texts import window

from suncover.cli import COMMANDS

HEAVY = {"numpy", "pandas", "pvlib", "scipy", "shapely", "icalendar", "rich", "matplotlib"}
MODELS = {"pydantic", "tree_sitter", "tzfpy"}
FIVE = ["check", "hours", "plan", "today", "spots"]
SUNCOVER = [sys.executable, "-m", "suncover"]

# Runs the command lines that it is given, each in a copy of a process that holds what click and the
# standard library are, and tells of each its status and the packages that it has loaded.
PROBE = """
import contextlib, io, json, os, sys
import click
for line in json.loads(sys.argv[1]):
    if not os.fork():
        from suncover.cli import main
        out, err = (io.TextIOWrapper(io.BytesIO()) for _ in range(2))
        with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
            try:
                main(line)
            except SystemExit as stop:
                status = stop.code
        print(status, *{name.partition(".")[0] for name in sys.modules}, flush=True)
        os._exit(0)
    os.wait()
"""


def loaded(*lines):
    """Of each command line its exit status and the packages that its process holds."""
    lines = json.dumps([[str(word) for word in line] for line in lines])
    said = subprocess.run(
        [sys.executable, "-c", PROBE, lines], capture_output=True, text=True, check=True
    )
    return [(int(status), set(rest)) for status, *rest in map(str.split, said.stdout.splitlines())]


def test_a_command_loads_only_what_it_needs(home):
    """Help and faults neither models nor numbers; hours no tables; paper and screen no more."""
    wrong = write_home(home.parent, HOME.replace("= 95", "= 950"), "wrong.toml")
    cases = [(0, ["--help"], HEAVY | MODELS)]
    cases += [(0, [command, "--help"], HEAVY | MODELS) for command in COMMANDS]
    cases += [(2, [command, wrong], HEAVY) for command in FIVE]
    cases += [
        (0, ["check", home], HEAVY | {"tree_sitter"}),
        (2, ["hours", home, "--window", "kitchn"], HEAVY),
        (0, ["sight", "kitchen", "on", "--sightings", home.with_name("seen.csv")], HEAVY),
        (0, ["hours", home, "--format", "csv"], HEAVY - {"numpy", "pvlib"}),
        (0, ["plan", home], {"pandas", "scipy", "matplotlib"}),
        (0, ["today", home], {"pandas", "scipy", "matplotlib"}),
    ]
    found = loaded(*(line for _, line, _ in cases))
    for (status, line, unwanted), (ended, packages) in zip(cases, found, strict=True):
        assert (ended, packages & unwanted) == (status, set()), line
        assert {"click", "suncover"} <= packages


@pytest.mark.parametrize("command", COMMANDS)
def test_every_command_has_a_help_with_an_example(command):
    said = run(command, "--help")
    assert said.status == 0
    assert f"Usage: suncover {command}" in said.out
    assert command not in FIVE or f"  suncover {command} home.toml" in said.out


def test_what_is_no_command_is_told():
    said = run()
    assert said.status == 2
    assert "Usage: suncover" in said.err
    assert all(command in said.err for command in COMMANDS)
    said = run("hous", "home.toml")
    assert said.status == 2
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
@pytest.mark.parametrize("args", ["check", "hours --format csv", "plan --csv -"])
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


@pytest.mark.skipif(os.name == "nt", reason="signals are sent another way there")
def test_an_interrupt_ends_the_command_in_one_line(tmp_path):
    windows = "".join(window(f"w{number}", number % 360, 1, 1) for number in range(2000))
    path, target = write_home(tmp_path, HOME + windows), tmp_path / "sun.csv"
    args = [*SUNCOVER, "hours", str(path), "--format", "csv", "-o", str(target)]
    with subprocess.Popen(args, stdout=subprocess.PIPE, stderr=subprocess.PIPE) as process:
        process.stderr.readline()  # the dates that were taken: now it works
        time.sleep(0.3)
        process.send_signal(signal.SIGINT)
        said = process.stderr.read().decode()
    assert process.returncode == 130
    assert said.splitlines() == ["", "stopped; no file is half written"]  # after a terminal's ^C
    assert not target.exists()


@pytest.mark.skipif(os.name == "nt", reason="needs a pseudo-terminal")
@pytest.mark.parametrize("no_color", ["", "1"])
def test_headings_stand_out_on_a_terminal_unless_told_otherwise(home, no_color):
    pty = pytest.importorskip("pty")
    leader, follower = pty.openpty()
    environment = {**os.environ, "NO_COLOR": no_color, "TERM": "xterm"}
    subprocess.run([*SUNCOVER, "check", str(home)], stdout=follower, env=environment, check=True)
    os.close(follower)
    shown = os.read(leader, 100_000).decode()
    os.close(leader)
    assert "Larkspur Lane" in shown
    assert ("\x1b[1m" in shown) == (not no_color)
