"""A real broker, motors that talk to it, and a keeper in a process of its own; on the loopback."""

import json
import os
import shutil
import signal
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from paho.mqtt.client import CallbackAPIVersion, Client, MQTTv5

MOSQUITTO = shutil.which("mosquitto") or shutil.which("mosquitto", path="/usr/sbin:/usr/local/sbin")
needs_broker = pytest.mark.skipif(
    MOSQUITTO is None, reason="mosquitto is not installed: apt-get install mosquitto"
)
PATIENCE_S = 60.0


def free_port() -> int:
    with socket.create_server(("127.0.0.1", 0)) as listener:
        return int(listener.getsockname()[1])


def wait_for(true: Callable[[], Any], seconds: float = PATIENCE_S, what: str = "") -> Any:
    """Waits until something is so, and gives it back."""
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        if value := true():
            return value
        time.sleep(0.02)
    raise AssertionError(f"not within {seconds} s: {what or true}")


class Broker:
    """mosquitto on the loopback address, without a memory of its own.

    With `certificate`, a file that holds its key as well, it also listens with TLS at `tls_port`.
    """

    def __init__(
        self, folder: Path, password: str | None = None, certificate: Path | None = None
    ) -> None:
        self.port, self.tls_port = free_port(), free_port()
        lines = ["user root"] if os.getuid() == 0 else []  # or it could not read its files
        lines += [f"listener {self.port} 127.0.0.1", "persistence false"]
        if certificate is not None:
            lines.append(f"listener {self.tls_port} 127.0.0.1")
            lines += [f"certfile {certificate}", f"keyfile {certificate}"]
        if password is None:
            lines.append("allow_anonymous true")
        else:
            words = folder / "broker.words"
            tool = shutil.which("mosquitto_passwd")
            subprocess.run([tool, "-b", "-c", words, "keeper", password], check=True)
            lines.append(f"password_file {words}")
        self._config = folder / "mosquitto.conf"
        self._config.write_text("\n".join(lines) + "\n")
        self.start()

    def start(self) -> None:
        self._process = subprocess.Popen(
            [MOSQUITTO, "-c", self._config], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
        )
        wait_for(self._answers, what="the broker")

    def _answers(self) -> bool:
        try:
            socket.create_connection(("127.0.0.1", self.port), 0.2).close()
        except OSError:
            return False
        return True

    def kill(self) -> None:
        self._process.kill()
        self._process.wait()


class Motors:
    """Everybody else on the broker: hears all, and answers orders as `answer` says."""

    def __init__(self, port: int, topic: str = "larkspur", login: tuple[str, str] | None = None):

        self.topic, self.delay = topic, 0.3
        self.kind = "obeys"
        self.heard: list[tuple[float, str, dict[str, Any]]] = []
        self.orders: list[dict[str, Any]] = []
        self.expiries: list[int | None] = []
        self._seen: set[str] = set()
        self.client = Client(CallbackAPIVersion.VERSION2, protocol=MQTTv5)
        if login is not None:
            self.client.username_pw_set(*login)
        self.client.reconnect_delay_set(1, 1)
        self.client.on_connect = lambda *_: self.client.subscribe("#", qos=1)
        self.client.on_message = self._on_message
        self.client.connect("127.0.0.1", port)
        self.client.loop_start()
        wait_for(self.client.is_connected, what="the motors' connection")
        time.sleep(0.1)

    def _on_message(self, _client: Any, _data: Any, message: Any) -> None:
        try:
            members = json.loads(message.payload)
        except ValueError:
            return
        self.heard.append((time.monotonic(), message.topic, members))
        if message.topic.endswith("/go"):
            self.orders.append(members)
            self.expiries.append(getattr(message.properties, "MessageExpiryInterval", None))
            assert not message.retain
            if members["order"] not in self._seen and self.kind != "silent":
                self._seen.add(members["order"])
                timer = threading.Timer(self.delay, self._answer, (message.topic[:-3], members))
                timer.daemon = True
                timer.start()

    def _answer(self, base: str, order: dict[str, Any]) -> None:
        self.say(
            f"{base.removeprefix(self.topic + '/')}/at",
            {"order": order["order"], "position": order["position"], "moving": False},
        )

    def say(self, leaf: str, members: Any, *, retain: bool = True) -> None:
        payload = members if isinstance(members, bytes) else json.dumps(members)
        self.client.publish(f"{self.topic}/{leaf}", payload, qos=1, retain=retain)

    def last(self, leaf: str) -> dict[str, Any]:
        """The last that was said on a topic; empty where nothing was."""
        found = [members for _, topic, members in self.heard if topic == f"{self.topic}/{leaf}"]
        return found[-1] if found else {}

    def state(self, slug: str) -> str:
        return str(self.last(f"{slug}/next").get("state", ""))

    def close(self) -> None:
        self.client.disconnect()
        self.client.loop_stop()


class Run:
    """A keeper in a process of its own."""

    def __init__(self, site: Path, *args: str, env: dict[str, str] | None = None) -> None:
        self.told: list[str] = []
        self.process = subprocess.Popen(
            [sys.executable, "-m", "suncover", "keep", str(site), *args],
            stderr=subprocess.PIPE,
            text=True,
            env={**os.environ, **(env or {})},
        )
        self._reader = threading.Thread(target=self._read, daemon=True)
        self._reader.start()

    def _read(self) -> None:
        for line in self.process.stderr:
            self.told.append(line.rstrip("\n"))

    def says(self, words: str) -> bool:
        return any(words in line for line in self.told)

    def end(self, sign: signal.Signals = signal.SIGTERM) -> int:
        self.process.send_signal(sign)
        status = self.process.wait(PATIENCE_S)
        self._reader.join(PATIENCE_S)
        self.process.stderr.close()
        return status

    def kill(self) -> None:
        self.process.kill()
        self.process.wait()
        self._reader.join(PATIENCE_S)
        self.process.stderr.close()


def home(port: int | None, *, down: bool = True, more: str = "", shade: str = "") -> str:
    """A site whose shade is down for these days, or up."""
    today = datetime.now(UTC).date()
    days = [str(today - timedelta(days=2)), str(today + timedelta(days=2))]
    broker = "" if port is None else f'broker = "mqtt://127.0.0.1:{port}"'
    return f"""\
[site]
name = "Larkspur Lane"
latitude = 36.10
longitude = -79.95

[keeper]
{broker}
topic = "larkspur"
answer = 2
stale = 5
{more}

[[window]]
name = "kitchen"
azimuth = 0
width = 1.2
height = 1.4

[[shade]]
name = "Kitchen roller"
windows = ["kitchen"]
travel = 1
overrun = 0.2
{shade}

[[exception]]
name = "trial"
dates = {json.dumps(days)}
do = "{"down" if down else "up"}"
"""


# A south window whose shade is down at noon and up at night.
SUNNY_SITE = """\
[site]
name = "Larkspur Lane"
latitude = 47.05
longitude = 8.31
timezone = "Europe/Zurich"

[keeper]
broker = "mqtt://127.0.0.1:{port}"
topic = "larkspur"

[[window]]
name = "south"
azimuth = 180
width = 1.2
height = 1.4

[[shade]]
name = "south"
windows = ["south"]
travel = 1
{shade}
"""
OFFSET_CLOCK = """\
import os, pathlib, time
_file, _time = pathlib.Path(os.environ["CLOCK_OFFSET"]), time.time
time.time = lambda: _time() + float(_file.read_text())
"""


class SetClock:
    """A clock for a process of its own, which can be set while that runs.

    The process reads one clock. It is given a `sitecustomize`, which Python imports before anything
    else, and in it `time.time` with an offset out of a file.
    """

    def __init__(self, folder: Path) -> None:
        self._file = folder / "offset"
        (folder / "sitecustomize.py").write_text(OFFSET_CLOCK)
        path = os.pathsep.join([str(folder), os.environ.get("PYTHONPATH", "")])
        self.env = {"CLOCK_OFFSET": str(self._file), "PYTHONPATH": path}

    def set(self, instant: str) -> None:
        offset = datetime.fromisoformat(instant).timestamp() - time.time()
        aside = self._file.with_suffix(".new")
        aside.write_text(repr(offset))
        aside.replace(self._file)
