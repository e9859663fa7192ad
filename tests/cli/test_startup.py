"""What a command loads before it does anything, and that nothing it meets ends in a traceback."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import textwrap
import time
from pathlib import Path

import pytest
from command_line import HOME, run, write_home

from suncover.cli import COMMANDS

HEAVY = {"numpy", "pandas", "pvlib", "scipy", "shapely", "icalendar", "rich", "matplotlib"}
SUNCOVER = [sys.executable, "-m", "suncover"]

# Runs the command line and then tells which of the heavy packages it has loaded.
PROBE = textwrap.dedent(
    """
    import sys
    from suncover.cli import main
    try:
        main(sys.argv[1:])
    except SystemExit as stop:
        status = stop.code
    print(status, *sorted(name.partition(".")[0] for name in sys.modules), file=sys.stderr)
    """
)


def loaded(*args: str | Path) -> tuple[int, set[str]]:
    """Exit status, and the packages that a fresh process holds after running the command line."""
    command = [sys.executable, "-c", PROBE, *map(str, args)]
    said = subprocess.run(command, capture_output=True, text=True, check=True)
    status, *packages = said.stderr.splitlines()[-1].split()
    return int(status), set(packages)


def test_help_loads_neither_models_nor_numbers() -> None:
    status, packages = loaded("--help")
    assert status == 0
    assert "click" in packages
    assert not packages & (HEAVY | {"pydantic", "tree_sitter", "tzfpy"})


@pytest.mark.parametrize("command", COMMANDS)
def test_help_of_a_command_loads_no_numbers(command: str) -> None:
    status, packages = loaded(command, "--help")
    assert status == 0
    assert not packages & (HEAVY | {"pydantic", "tree_sitter", "tzfpy"})


@pytest.mark.parametrize("command", ["check", "hours", "plan", "today", "spots"])
def test_faults_of_a_site_file_are_found_without_numbers(tmp_path: Path, command: str) -> None:
    path = write_home(tmp_path, HOME.replace("= 95", "= 950"))
    status, packages = loaded(command, path)
    assert status == 2
    assert not packages & HEAVY


def test_a_sound_file_is_checked_without_numbers(tmp_path: Path) -> None:
    """And without the map of time zones, where the file names the zone that its place has; also
    where azimuths are uncertain.
    """
    text = HOME.replace("elevation", 'timezone = "America/New_York"\nelevation').replace(
        "azimuth = 250", "azimuth = 250\nazimuth_sd = 2"
    )
    status, packages = loaded("check", write_home(tmp_path, text))
    assert status == 0
    assert not packages & (HEAVY | {"tree_sitter", "tzfpy"})


def test_an_unknown_window_is_found_without_numbers(tmp_path: Path) -> None:
    status, packages = loaded("hours", write_home(tmp_path), "--window", "kitchn")
    assert status == 2
    assert not packages & HEAVY


def test_hours_load_no_tables_calendars_or_screens(tmp_path: Path) -> None:
    status, packages = loaded("hours", write_home(tmp_path), "--format", "csv")
    assert status == 0
    assert not packages & {"pandas", "scipy", "shapely", "icalendar", "rich", "matplotlib"}


@pytest.mark.parametrize("command", ["plan", "today", "now"])
def test_what_is_read_on_paper_or_screen_loads_no_models_but_the_suns(
    tmp_path: Path, command: str
) -> None:
    status, packages = loaded(command, write_home(tmp_path))
    assert status == 0
    assert not packages & {"pandas", "pvlib", "scipy", "shapely", "icalendar", "matplotlib"}


def test_a_comparison_with_weather_of_tm2_loads_no_pvlib(tmp_path: Path) -> None:
    path = write_home(tmp_path, HOME + '\n[weather]\nfile = "bundled:miami"\n')
    status, packages = loaded("compare", path)
    assert status == 0
    assert not packages & {"pandas", "pvlib", "scipy"}


@pytest.mark.parametrize("command", COMMANDS)
def test_every_command_has_a_help_with_an_example(command: str) -> None:
    said = run(command, "--help")
    assert said.status == 0
    assert f"Usage: suncover {command}" in said.out


@pytest.mark.parametrize("command", ["check", "hours", "plan", "today", "spots"])
def test_the_help_shows_an_example(command: str) -> None:
    assert f"  suncover {command} home.toml" in run(command, "--help").out


def test_without_a_command_there_is_help() -> None:
    said = run()
    assert said.status == 2
    assert "Usage: suncover" in said.err
    assert all(command in said.err for command in COMMANDS)


def test_an_unknown_command_is_one_line_with_the_nearest() -> None:
    said = run("hous", "home.toml")
    assert said.status == 2
    assert len(said.faults) == 1
    assert "no command is called 'hous', did you mean hours?" in said.faults[0]


@pytest.mark.parametrize("command", ["check", "hours", "plan", "today", "spots"])
def test_a_command_without_a_site_is_one_line(command: str) -> None:
    said = run(command)
    assert said.status == 2
    assert len(said.faults) == 1
    assert said.faults[0].startswith(f"suncover {command}: Missing argument 'SITE'")


@pytest.mark.parametrize("command", ["check", "hours", "plan", "today", "spots"])
@pytest.mark.parametrize(
    "name", ["none.toml", "", "a\nb.toml", "x" * 400, "nul\\0", "\udcff.toml"], ids=ascii
)
def test_a_site_file_that_is_not_there_is_one_line(command: str, name: str) -> None:
    said = run(command, name)
    assert said.status == 2
    assert len(said.faults) == 1
    assert said.out == ""


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs a device that is always full")
@pytest.mark.parametrize("args", [["check"], ["hours", "--format", "csv"], ["plan", "--csv", "-"]])
def test_a_full_disk_is_one_line(tmp_path: Path, args: list[str]) -> None:
    command = [*SUNCOVER, args[0], str(write_home(tmp_path)), *args[1:]]
    with open("/dev/full", "wb") as full:  # noqa: PTH123  (a device)
        said = subprocess.run(command, stdout=full, stderr=subprocess.PIPE, text=True, check=False)
    assert said.returncode == 2
    faults = [line for line in said.stderr.splitlines() if "standard output" in line]
    assert len(faults) == 1
    assert "Traceback" not in said.stderr
    assert "Exception" not in said.stderr


def test_a_reader_that_has_seen_enough_ends_the_command_quietly(tmp_path: Path) -> None:
    command = [*SUNCOVER, "hours", str(write_home(tmp_path)), "--format", "csv"]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE) as process:
        assert process.stdout is not None
        assert process.stderr is not None
        process.stdout.close()
        said = process.stderr.read().decode()
    assert process.returncode == 0
    assert said.splitlines() == [said.strip()]  # the dates that were taken, nothing else
    assert said.startswith("taking ")


@pytest.mark.skipif(os.name == "nt", reason="signals are sent another way there")
def test_an_interrupt_ends_the_command_in_one_line(tmp_path: Path) -> None:
    window = '[[window]]\nname = "w{}"\nazimuth = {}\nwidth = 1\nheight = 1\n'
    windows = "".join(window.format(number, number % 360) for number in range(4000))
    path, target = write_home(tmp_path, HOME + windows), tmp_path / "sun.csv"
    args = [*SUNCOVER, "hours", str(path), "--format", "csv", "-o", str(target)]
    with subprocess.Popen(args, stdout=subprocess.PIPE, stderr=subprocess.PIPE) as process:
        assert process.stderr is not None
        process.stderr.readline()  # the dates that were taken: now it works
        time.sleep(0.5)
        process.send_signal(signal.SIGINT)
        said = process.stderr.read().decode()
    assert process.returncode == 130
    assert said.splitlines() == ["", "stopped; no file is half written"]  # after a terminal's ^C
    assert not target.exists()


@pytest.mark.skipif(os.name == "nt", reason="needs a pseudo-terminal")
@pytest.mark.parametrize("no_color", ["", "1"])
def test_headings_stand_out_on_a_terminal_unless_told_otherwise(
    tmp_path: Path, no_color: str
) -> None:
    pty = pytest.importorskip("pty")
    leader, follower = pty.openpty()
    environment = {**os.environ, "NO_COLOR": no_color, "TERM": "xterm"}
    command = [*SUNCOVER, "check", str(write_home(tmp_path))]
    subprocess.run(command, stdout=follower, env=environment, check=True)
    os.close(follower)
    shown = os.read(leader, 100_000).decode()
    os.close(leader)
    assert "Larkspur Lane" in shown
    assert ("\x1b[1m" in shown) == (not no_color)


def test_a_sighting_without_a_site_is_written_down_without_numbers(tmp_path: Path) -> None:
    status, packages = loaded("sight", "kitchen", "on", "--sightings", tmp_path / "seen.csv")
    assert status == 0
    assert not packages & HEAVY
