"""Closed streams, bytes that are no text, requests to stop, several processes at once."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest
from command_line import run, write_home

from suncover.base.lock import _held_by_name
from suncover.site.sightings import read_sightings

posix = pytest.mark.skipif(os.name != "posix", reason="shell and signals as POSIX has them")
COMMAND = [sys.executable, "-m", "suncover"]
DAYS = ["--from", "2027-06-01", "--to", "2027-06-01"]
NOT_UTF8 = os.fsdecode(b"caf\xe9")

SLOW = """
import sys, time
from suncover.cli import main, output
def slow():
    yield b"the first piece"
    print("ready", file=sys.stderr, flush=True)
    time.sleep(60)
deliver = output.deliver
output.deliver = lambda inputs, contents: deliver(inputs, {path: slow() for path in contents})
main(sys.argv[1:])
"""


@posix
@pytest.mark.parametrize("request_to_stop", [signal.SIGTERM, signal.SIGINT], ids=["end", "Ctrl-C"])
def test_a_request_to_stop_leaves_no_half_file_and_says_so(
    tmp_path: Path, request_to_stop: signal.Signals
) -> None:
    home = write_home(tmp_path)
    (tmp_path / "sun.csv").write_text("old")
    args = ["hours", str(home), *DAYS, "--format", "csv", "-o", str(tmp_path / "sun.csv")]
    with subprocess.Popen(
        [sys.executable, "-c", SLOW, *args], stderr=subprocess.PIPE, text=True
    ) as process:
        assert process.stderr is not None
        assert process.stderr.readline() == "ready\n"
        process.send_signal(request_to_stop)
        _, err = process.communicate(timeout=20)
    assert process.returncode == 128 + request_to_stop
    assert err.strip() == "stopped; no file is half written"
    assert {path.name for path in tmp_path.iterdir()} == {"home.toml", "sun.csv"}
    assert (tmp_path / "sun.csv").read_text() == "old"


@posix
@pytest.mark.parametrize(
    ("line", "status", "says"),
    [
        ("hours home.toml $DAYS >&-", 2, "standard output: Bad file descriptor"),
        ("hours home.toml $DAYS --format csv -o sun.csv >&-", 0, ""),
        ("new other.toml <&-", 130, "stopped; no file is half written"),
        ("check none.toml 2>&-", 2, ""),
    ],
    ids=["output to nowhere", "output to a file", "no answers", "no standard error"],
)
def test_a_closed_stream_is_a_plain_fault_where_it_is_needed(
    tmp_path: Path, line: str, status: int, says: str
) -> None:
    write_home(tmp_path)
    line = f'"{sys.executable}" -m suncover {line.replace("$DAYS", " ".join(DAYS))}'
    done = subprocess.run(
        ["/bin/sh", "-c", line],
        cwd=tmp_path,
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert done.returncode == status
    assert done.stderr.strip() == says


@posix
def test_standard_output_by_another_name_keeps_the_table_and_the_page_apart(
    tmp_path: Path,
) -> None:
    write_home(tmp_path)
    with (tmp_path / "out").open("wb") as out:
        done = subprocess.run(
            [*COMMAND, "plan", "home.toml", *DAYS, "--csv", "/dev/stdout"],
            cwd=tmp_path,
            stdout=out,
            stderr=subprocess.PIPE,
            text=True,
            timeout=60,
            check=False,
        )
    table = (tmp_path / "out").read_text()
    assert table.startswith("shade,date,close,open,minutes,sun_minutes,reason")
    assert len(table.splitlines()) == 3
    assert done.stderr.startswith("Plan for the shades of Larkspur Lane")


@posix
def test_sightings_of_several_processes_at_once_are_all_kept(tmp_path: Path) -> None:
    file = tmp_path / "seen.csv"
    names = [f"w{number}" for number in range(8)]
    writers = [
        subprocess.Popen(
            [*COMMAND, "sight", name, "on", "--sightings", str(file)], stderr=subprocess.DEVNULL
        )
        for name in names
    ]
    assert [writer.wait(timeout=60) for writer in writers] == [0] * len(names)
    assert {one.window for one in read_sightings(file, names)} == set(names)
    assert [path.name for path in tmp_path.iterdir()] == ["seen.csv"]


def test_a_file_may_be_held_by_a_name_beside_it(tmp_path: Path) -> None:
    with _held_by_name(tmp_path / "seen.csv"):
        assert [path.name for path in tmp_path.iterdir()] == [".seen.csv.lock"]
    assert not list(tmp_path.iterdir())


def test_a_name_that_begins_like_a_formula_is_guarded_and_reads_back(tmp_path: Path) -> None:
    file = tmp_path / "seen.csv"
    for seen in ("on", "off"):
        assert run("sight", "=1+1", seen, "--sightings", file).status == 0
    assert [line.split(",")[0] for line in file.read_text().splitlines()[1:]] == ["'=1+1"] * 2
    assert [one.window for one in read_sightings(file, ["=1+1"])] == ["=1+1"] * 2


@posix
def test_bytes_that_are_no_text_are_refused_as_a_name(tmp_path: Path) -> None:
    said = run("sight", NOT_UTF8, "on", "--sightings", tmp_path / "seen.csv")
    assert said.status == 2
    assert "holds bytes that are no UTF-8; write it in UTF-8" in said.err
    typed = subprocess.run(
        [*COMMAND, "new", "new.toml"],
        input=b"caf\xe9\nHome\n",
        cwd=tmp_path,
        capture_output=True,
        timeout=60,
        check=False,
    )
    assert b"holds bytes that are no UTF-8; write it in UTF-8" in typed.stdout
    assert typed.stderr.decode().strip() == "stopped; no file is half written"
