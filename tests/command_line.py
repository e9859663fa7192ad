"""Runs the command line in this process as a shell would, and keeps what it says."""

import csv
import io
import json
import sys
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any
from unittest.mock import patch

from suncover.cli import main

HOME = """\
[site]
name = "Larkspur Lane"
latitude = 36.10
longitude = -79.95
elevation = 270

[need]
season = ["04-15", "10-15"]

[[window]]
name = "kitchen"
azimuth = 95
width = 1.20
height = 1.40
sill = 0.90
skyline = [[60, 12], [95, 8], [130, 15]]

[[window]]
name = "study"
azimuth = 250
width = "4 ft"
height = 1.20
sill = 0.90

[[shade]]
name = "kitchen roller"
windows = ["kitchen"]
travel = 75
quiet = ["21:30", "07:00"]

[[spot]]
name = "desk"
window = "study"
distance = 1.0
height = 0.75
"""


@dataclass(frozen=True)
class Said:
    """What a run came to: its exit status, and the bytes on its two outputs."""

    status: int
    out_bytes: bytes
    err_bytes: bytes

    @property
    def out(self) -> str:
        return self.out_bytes.decode()

    @property
    def err(self) -> str:
        return self.err_bytes.decode()

    @property
    def faults(self) -> list[str]:
        return self.err.splitlines()

    @property
    def flat(self) -> str:
        """Standard output with its lines run together."""
        return " ".join(self.out.split())

    @property
    def json(self) -> Any:
        return json.loads(self.out)

    @property
    def rows(self) -> list[dict[str, str]]:
        """Standard output as CSV."""
        return list(csv.DictReader(io.StringIO(self.out, newline="")))


def run(
    *args: str | Path, today: date | None = None, encoding: str = "utf-8", typed: str = ""
) -> Said:
    """Runs `suncover args`; `today` stands in for the clock, `typed` answers what it asks."""
    out, err = io.BytesIO(), io.BytesIO()
    stdin = io.TextIOWrapper(io.BytesIO(typed.encode()), encoding="utf-8")
    stdout = io.TextIOWrapper(out, encoding=encoding, newline="")
    stderr = io.TextIOWrapper(err, encoding="utf-8", newline="")
    clock = patch("suncover.cli.dates.today_in", lambda _: today or date(2026, 6, 1))
    own = patch("suncover.cli.today.today_in", lambda _: today or date(2026, 6, 1))
    streams = patch.multiple(sys, stdin=stdin, stdout=stdout, stderr=stderr)
    with streams, clock, own:
        try:
            main([str(arg) for arg in args])
            status = 0
        except SystemExit as stop:
            status = stop.code if isinstance(stop.code, int) else 0
        stdout.flush()
        stderr.flush()
    return Said(status, out.getvalue(), err.getvalue())


def ok(*args: str | Path, **keys: Any) -> Said:
    """A run that has to succeed."""
    said = run(*args, **keys)
    assert said.status == 0, said.err
    return said


def refused(*args: str | Path, **keys: Any) -> Said:
    """A run that has to be refused as a wrong request, with nothing on standard output."""
    said = run(*args, **keys)
    assert (said.status, said.out) == (2, "")
    return said


def fault_of(*args: str | Path, **keys: Any) -> str:
    """The one fault for which a run is refused."""
    [fault] = refused(*args, **keys).faults
    return fault


def write_home(folder: Path, text: str = HOME, name: str = "home.toml") -> Path:
    """A site file in a folder."""
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path
