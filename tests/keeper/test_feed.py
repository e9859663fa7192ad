"""The plan as calendars take it from the keeper: a real CalDAV server, and two readers."""

import socket
import subprocess
import sys
import urllib.request
from base64 import b64encode
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import ics
import pytest
from command_line import HOME, write_home
from icalendar import Calendar
from keeper_run import free_port, wait_for

from suncover.keeper.plan_process import agenda_at

KEEPER = '[keeper]\nbroker = "mqtt://127.0.0.1"\n'
JUNE = int(datetime(2026, 6, 1, 12, tzinfo=UTC).timestamp())
OCTOBER = int(datetime(2026, 10, 10, 12, tzinfo=UTC).timestamp())


def feed(folder: Path, text: str = HOME, now: int = JUNE) -> bytes:
    return agenda_at(write_home(folder, text + KEEPER), now).calendar.encode()


def events(content: bytes) -> dict[str, datetime]:
    """The starts of the events, by their names."""
    found = Calendar.from_ical(content).walk("VEVENT")
    starts = {str(event["UID"]): event["DTSTART"].dt for event in found}
    assert len(starts) == len(found)
    return starts


@pytest.fixture
def server(tmp_path: Path) -> Iterator[str]:
    """The address of a collection on a CalDAV server (radicale) of its own."""
    pytest.importorskip("radicale", reason="radicale is not installed")
    port = free_port()
    words = ["--server-hosts", f"127.0.0.1:{port}", "--auth-type", "none"]
    words += [
        "--storage-filesystem-folder",
        str(tmp_path / "collections"),
        "--logging-level",
        "error",
    ]
    process = subprocess.Popen([sys.executable, "-m", "radicale", "--config", "", *words])

    def answers() -> bool:
        try:
            socket.create_connection(("127.0.0.1", port), 0.2).close()
        except OSError:
            return False
        return True

    try:
        wait_for(answers, what="radicale")
        yield f"http://127.0.0.1:{port}/home/shades/"
    finally:
        process.terminate()
        process.wait()


def put(address: str, content: bytes) -> bytes:
    """Puts a whole calendar there, and reads it back."""
    anybody = {"Authorization": "Basic " + b64encode(b"home:any").decode()}
    headers = {"Content-Type": "text/calendar; charset=utf-8", **anybody}
    request = urllib.request.Request(address, content, headers, method="PUT")
    urllib.request.urlopen(request, timeout=20).close()
    request = urllib.request.Request(address, headers=anybody)
    with urllib.request.urlopen(request, timeout=20) as answer:
        body: bytes = answer.read()
    return body


def test_a_server_takes_it_and_a_changed_plan_doubles_nothing(server, tmp_path):
    first = feed(tmp_path)
    there = events(put(server, first))
    assert there == events(first)
    changed = events(put(server, feed(tmp_path, HOME.replace("travel = 75", "travel = 60"))))
    assert changed.keys() == there.keys()
    moved = [name for name in there if changed[name] != there[name]]
    assert len(moved) > 20
    over = events(put(server, feed(tmp_path, now=OCTOBER)))
    assert max(over.values()) < datetime(2026, 10, 17, tzinfo=UTC)
    assert not over.keys() & there.keys()


def test_two_readers_agree(tmp_path):
    content = feed(tmp_path)
    other = {event.uid: event.begin.datetime for event in ics.Calendar(content.decode()).events}
    assert other == events(content)
    assert min(other.values()) > datetime(2026, 5, 30, tzinfo=UTC)
    assert max(other.values()) > datetime(2026, 7, 28, tzinfo=UTC)
