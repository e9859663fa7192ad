"""Closed streams, bytes that are no text, requests to stop, several processes at once."""

import os
import signal
import subprocess
import sys

import pytest
from command_line import ok, refused

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
def test_a_request_to_stop_leaves_no_half_file_and_says_so(home, request_to_stop):
    target = home.with_name("sun.csv")
    target.write_text("old")
    args = ["hours", str(home), *DAYS, "--format", "csv", "-o", str(target)]
    with subprocess.Popen(
        [sys.executable, "-c", SLOW, *args], stderr=subprocess.PIPE, text=True
    ) as process:
        assert process.stderr.readline() == "ready\n"
        process.send_signal(request_to_stop)
        _, err = process.communicate(timeout=20)
    assert process.returncode == 128 + request_to_stop
    assert err.strip() == "stopped; no file is half written"
    assert {path.name for path in home.parent.iterdir()} == {"home.toml", "sun.csv"}
    assert target.read_text() == "old"


def shell(home, line, **keys):
    """Runs a line of `suncover` beside the site file."""
    line = f'"{sys.executable}" -m suncover {line.replace("$DAYS", " ".join(DAYS))}'
    keys = {"cwd": home.parent, "stderr": subprocess.PIPE, "timeout": 60, **keys}
    return subprocess.run(["/bin/sh", "-c", line], check=False, **keys)


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
def test_a_closed_stream_is_a_plain_fault_where_it_is_needed(home, line, status, says):
    done = shell(home, line, stdout=subprocess.PIPE)
    assert (done.returncode, done.stderr.decode().strip()) == (status, says)


@posix
def test_standard_output_by_another_name_keeps_the_table_and_the_page_apart(home):
    with home.with_name("out").open("wb") as out:
        done = shell(home, "plan home.toml $DAYS --csv /dev/stdout", stdout=out)
    table = home.with_name("out").read_text()
    assert table.startswith("shade,date,close,open,minutes,sun_minutes,reason")
    assert len(table.splitlines()) == 3
    assert done.stderr.startswith(b"Plan for the shades of Larkspur Lane")


@posix
def test_sightings_of_several_processes_at_once_are_all_kept(tmp_path):
    file = tmp_path / "seen.csv"
    names = [f"w{number}" for number in range(4)]
    writers = [
        subprocess.Popen(
            [*COMMAND, "sight", name, "on", "--sightings", str(file)], stderr=subprocess.DEVNULL
        )
        for name in names
    ]
    assert [writer.wait(timeout=60) for writer in writers] == [0] * len(names)
    assert {one.window for one in read_sightings(file, names)} == set(names)
    assert list(tmp_path.iterdir()) == [file]
    with _held_by_name(file):
        assert {path.name for path in tmp_path.iterdir()} == {"seen.csv", ".seen.csv.lock"}
    assert list(tmp_path.iterdir()) == [file]


def test_a_name_that_begins_like_a_formula_is_guarded_and_reads_back(tmp_path):
    file = tmp_path / "seen.csv"
    for seen in ("on", "off"):
        ok("sight", "=1+1", seen, "--sightings", file)
    assert [line.split(",")[0] for line in file.read_text().splitlines()[1:]] == ["'=1+1"] * 2
    assert [one.window for one in read_sightings(file, ["=1+1"])] == ["=1+1"] * 2


@posix
def test_bytes_that_are_no_text_are_refused_as_a_name(home):
    told = "holds bytes that are no UTF-8; write it in UTF-8"
    said = refused("sight", NOT_UTF8, "on", "--sightings", home.with_name("seen.csv"))
    assert told in said.err
    typed = shell(home, "new new.toml", input=b"caf\xe9\nHome\n", stdout=subprocess.PIPE)
    assert told in typed.stdout.decode()
    assert typed.stderr.decode().strip() == "stopped; no file is half written"
