"""`suncover open`: the address it prints, and how it ends."""

import signal
import socket
import subprocess
import sys
import urllib.request

import pytest
from command_line import refused, run

pytest.importorskip("starlette", reason="starlette is not installed")


@pytest.mark.parametrize("ends", [signal.SIGINT, signal.SIGTERM], ids=["Ctrl-C", "SIGTERM"])
def test_it_prints_an_address_serves_the_page_and_ends_well(home, ends):
    command = [sys.executable, "-m", "suncover", "open", str(home), "--no-browser"]
    with subprocess.Popen(
        command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    ) as process:
        address = process.stdout.readline().strip()
        with urllib.request.urlopen(address, timeout=20) as page:
            assert b"The house from above" in page.read()
        process.send_signal(ends)
        assert process.wait(20) == 0
        assert "Traceback" not in process.stderr.read()


def test_what_is_in_the_way_is_told(home, monkeypatch):
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = taken.getsockname()[1]
        said = run("open", home, "--no-browser", "--port", str(port))
    assert said.status == 2
    assert said.err.startswith(f"--port {port}: the address cannot be had")
    said = refused("open", home.parent / "nowhere" / "home.toml", "--no-browser")
    [fault] = said.faults
    assert "there is no folder" in fault
    monkeypatch.setattr("suncover.cli.open.find_spec", lambda _: None)
    said = refused("open", home)
    assert said.faults == [
        "suncover open: the page needs more packages: pip install 'suncover[web]'; "
        "suncover open --help explains"
    ]
