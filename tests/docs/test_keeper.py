"""The example program for relays, with pretended pins: never both ways, at rest at the end."""

import os
import re
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

PAGE = (Path(__file__).parents[2] / "docs" / "keeper.md").read_text(encoding="utf-8")

# What the page's `gpioset` does to pins, by the manual of gpiod 1.6: it sets them, and with
# `--mode=time` lets them go after so long. A line for each change: when, and what is set.
PRETENDED = """\
#!{python}
import sys, time
words = dict(word.split("=") for word in sys.argv[1:] if "=" in word)
pins = {{name: value for name, value in words.items() if name.isdigit()}}
def log(pins):
    with open({log!r}, "a") as file:
        file.write(f"{{time.monotonic()}} {{pins['17']}}{{pins['27']}}\\n")
log(pins)
if words.get("--mode") == "time":
    time.sleep(int(words["--sec"]) + int(words["--usec"]) / 1e6)
"""


class Relay:
    """The page's program with pins that are a log."""

    def __init__(self, folder: Path) -> None:
        (program,) = re.findall(r"^```py\n(.*?)^```$", PAGE, re.DOTALL | re.MULTILINE)
        self._program, self._log = folder / "relay.py", folder / "pins.log"
        self._program.write_text(program.replace("/run/lock", str(folder)))
        gpioset = folder / "gpioset"
        gpioset.write_text(PRETENDED.format(python=sys.executable, log=str(self._log)))
        gpioset.chmod(0o755)
        self._env = {**os.environ, "PATH": f"{folder}:{os.environ['PATH']}"}

    def begin(self, direction: str, seconds: float) -> subprocess.Popen[bytes]:
        words = [sys.executable, self._program, "kitchen", direction, f"{seconds:g}", "100"]
        return subprocess.Popen(
            words, env=self._env, stderr=subprocess.DEVNULL, start_new_session=True
        )

    def changes(self) -> list[tuple[float, str]]:
        """When the pins changed, and to what: down's, then up's."""
        lines = self._log.read_text().splitlines() if self._log.exists() else []
        return [(float(line.split()[0]), line.split()[1]) for line in lines]

    def pins(self) -> list[str]:
        return [pins for _, pins in self.changes()]


@pytest.fixture
def relay(tmp_path: Path) -> Relay:
    return Relay(tmp_path)


@pytest.mark.parametrize(("direction", "on"), [("down", "10"), ("up", "01")])
def test_a_run_is_as_long_as_asked_and_ends_at_rest(relay, direction, on):
    assert relay.begin(direction, 0.7).wait(20) == 0
    changes = relay.changes()
    assert relay.pins() == ["00", on, "00"]
    assert changes[1][0] - changes[0][0] >= 0.5  # at rest before it turns round
    assert changes[2][0] - changes[1][0] >= 0.7


def test_both_ways_at_once_cannot_be(relay):
    first = relay.begin("down", 1.5)
    while "10" not in relay.pins():
        time.sleep(0.01)
    assert relay.begin("up", 1.5).wait(20) != 0
    assert first.wait(20) == 0
    assert relay.pins() == ["00", "10", "00"]


def test_it_rests_where_a_hold_ends_it(relay):
    """The keeper ends a program with all that it has begun, first by asking."""
    process = relay.begin("down", 60)
    while "10" not in relay.pins():
        time.sleep(0.01)
    os.killpg(process.pid, signal.SIGTERM)
    assert process.wait(20) != 0
    assert relay.pins() == ["00", "10", "00"]


def test_the_page_says_what_it_is():
    assert "example, not a product" in PAGE
    assert "electrician" in PAGE
