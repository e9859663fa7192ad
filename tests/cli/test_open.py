"""`suncover open`: the address it prints, and how it ends."""

from __future__ import annotations

import signal
import socket
import subprocess
import sys
import urllib.request
from pathlib import Path
from unittest.mock import patch

import pytest
from command_line import run, write_home

pytest.importorskip("starlette", reason="starlette is not installed")


@pytest.mark.parametrize("ends", [signal.SIGINT, signal.SIGTERM], ids=["Ctrl-C", "SIGTERM"])
def test_it_prints_an_address_serves_the_page_and_ends_well(
    tmp_path: Path, ends: signal.Signals
) -> None:
    command = [sys.executable, "-m", "suncover", "open", str(write_home(tmp_path)), "--no-browser"]
    with subprocess.Popen(
        command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    ) as process:
        assert process.stdout is not None
        assert process.stderr is not None
        address = process.stdout.readline().strip()
        with urllib.request.urlopen(address, timeout=20) as page:
            assert b"The house from above" in page.read()
        process.send_signal(ends)
        assert process.wait(20) == 0
        assert "Traceback" not in process.stderr.read()


def test_without_its_packages_it_says_what_to_install(tmp_path: Path) -> None:
    with patch("suncover.cli.open.find_spec", lambda _: None):
        said = run("open", write_home(tmp_path))
    assert said.status == 2
    assert said.faults == [
        "suncover open: the page needs more packages: pip install 'suncover[web]'; "
        "suncover open --help explains"
    ]


def test_a_folder_that_is_not_there_is_a_fault(tmp_path: Path) -> None:
    said = run("open", tmp_path / "nowhere" / "home.toml", "--no-browser")
    assert said.status == 2
    assert len(said.faults) == 1
    assert "there is no folder" in said.err


def test_a_port_that_is_taken_is_a_fault(tmp_path: Path) -> None:
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = taken.getsockname()[1]
        said = run("open", write_home(tmp_path), "--no-browser", "--port", str(port))
    assert said.status == 2
    assert said.err.startswith(f"--port {port}: the address cannot be had")
