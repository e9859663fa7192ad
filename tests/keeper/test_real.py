"""The keeper as a process, with a real broker, motors that talk to it, and a program."""

import itertools
import json
import os
import random
import re
import resource
import signal
import sqlite3
import sys
import time
import urllib.request
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from command_line import fault_of, run
from keeper_run import (
    SUNNY_SITE,
    Broker,
    Motors,
    Run,
    SetClock,
    free_port,
    home,
    needs_broker,
    wait_for,
)

SLUG = "kitchen-roller"
NOON, NIGHT = "2027-06-21T12:00+02:00", "2027-06-21T23:00+02:00"


class Site:
    """A folder with a site file, a broker, motors and keepers; all ended at the end."""

    def __init__(self, folder: Path) -> None:
        self.path = folder / "home.toml"
        self.state = folder / "home.keeper"
        self.broker = Broker(folder)
        self.motors = Motors(self.broker.port)
        self.runs: list[Run] = []
        self.write()

    def write(self, **keys: object) -> None:
        self.path.write_text(home(self.broker.port, **keys))  # type: ignore[arg-type]

    def keeper(self, *args: str) -> Run:
        self.runs.append(Run(self.path, *args))
        return self.runs[-1]

    def stands(self, position: int = 100) -> None:
        """Waits until the shade stands there and the keeper knows."""
        wait_for(
            lambda: (
                self.motors.last(f"{SLUG}/at").get("position") == position
                and self.motors.state(SLUG) == "as planned"
            ),
            what=f"it stands at {position}",
        )

    def close(self) -> None:
        for one in self.runs:
            if one.process.poll() is None:
                one.kill()
        self.motors.close()
        self.broker.kill()


@pytest.fixture
def site(tmp_path: Path) -> Iterator[Site]:
    there = Site(tmp_path)
    yield there
    there.close()


@needs_broker
def test_it_orders_the_difference_and_ends_cleanly(site):
    keeper = site.keeper()
    site.stands()
    assert len(site.motors.orders) == 1
    order = site.motors.orders[0]
    assert order.keys() == {
        "order", "position", "direction", "seconds", "zero", "not_after", "reason",
    }  # fmt: skip
    assert (order["position"], order["direction"], order["zero"]) == (100, "down", True)
    assert order["seconds"] == pytest.approx(1.2)
    assert re.fullmatch(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d[+-]\d\d:\d\d", order["not_after"])
    assert site.motors.expiries == [5]
    assert site.motors.last("keeper")["alive"] is True
    assert keeper.end() == 0
    wait_for(lambda: site.motors.last("keeper")["alive"] is False)
    assert "Traceback" not in "\n".join(keeper.told)


@needs_broker
def test_killed_and_started_again_it_orders_nothing_twice(site):
    keeper = site.keeper()
    wait_for(lambda: site.motors.orders)
    keeper.kill()
    wait_for(lambda: site.motors.last("keeper")["alive"] is False, what="the will")
    keeper = site.keeper()
    site.stands()
    time.sleep(1.0)
    assert len({order["order"] for order in site.motors.orders}) == 1
    assert keeper.end(signal.SIGINT) == 0


@needs_broker
def test_a_broker_that_goes_and_comes_back(site):
    """What changes meanwhile is ordered once it is back, within ten seconds."""
    site.keeper()
    site.stands()
    site.broker.kill()
    site.write(down=False)
    time.sleep(4.5)
    site.broker.start()
    start = time.monotonic()
    wait_for(lambda: len(site.motors.orders) == 2, what="the opening")
    assert time.monotonic() - start < 10
    assert site.motors.orders[-1]["position"] == 0
    site.stands(0)
    assert len(site.motors.orders) == 2


@needs_broker
def test_a_second_keeper_and_a_damaged_state(site):
    first = site.keeper()
    site.stands()
    assert "another keeper" in fault_of("keep", site.path)
    first.end()
    database = site.state / "keeper.sqlite"
    with sqlite3.connect(database) as base:
        base.execute("pragma wal_checkpoint(truncate)")
    base.close()
    for end in ("-wal", "-shm"):
        Path(f"{database}{end}").unlink(missing_ok=True)
    database.write_bytes(b"\0" + os.urandom(8000))
    before = len(site.motors.heard)
    again = site.keeper()
    wait_for(lambda: again.says("set aside"))
    # What it says first hangs on whether it has heard by then where the shade stands.
    wait_for(lambda: any(topic.endswith("/next") for _, topic, _ in site.motors.heard[before:]))
    site.stands()
    assert list(site.state.glob("keeper.sqlite.damaged-*"))


@needs_broker
def test_a_disk_that_fills_stops_no_shade(site):
    """No file of the process may grow any more, for a while; a limit stands in for the disk."""
    keeper = site.keeper()
    site.stands()
    pid, (_, most) = keeper.process.pid, resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.prlimit(pid, resource.RLIMIT_FSIZE, (1, most))
    site.write(down=False)
    site.stands(0)
    assert keeper.says("what is known cannot be written to disk")
    resource.prlimit(pid, resource.RLIMIT_FSIZE, (most, most))
    site.write(down=True)
    site.stands(100)
    assert [order["position"] for order in site.motors.orders] == [100, 0, 100]


@needs_broker
def test_a_changed_site_file_is_taken_and_a_faulty_one_told(site):
    keeper = site.keeper()
    site.stands()
    site.path.write_text(site.path.read_text().replace("width", "widht"))
    wait_for(lambda: keeper.says("the last good site file goes on"))
    assert keeper.says("did you mean `width`?")
    assert len(site.motors.orders) == 1
    site.write(down=False)
    site.stands(0)
    assert len(site.motors.orders) == 2


@needs_broker
def test_hold_hand_and_messages_that_mean_nothing(site):
    site.motors.say("hold", {"until": None})
    keeper = site.keeper()
    wait_for(lambda: site.motors.state(SLUG) == "held")
    for payload in (b"", b"\xff", b"[]", b"{", b'{"until": 5}', b'{"position": 101}', b"9" * 5000):
        for leaf in ("hold", f"{SLUG}/at", f"{SLUG}/hand"):
            site.motors.say(leaf, payload, retain=False)
    time.sleep(1.5)
    assert site.motors.orders == []
    assert keeper.says("passed over")
    site.motors.say("hold", {"off": True})
    site.stands()
    site.motors.say(f"{SLUG}/hand", {"position": 20}, retain=False)
    wait_for(lambda: site.motors.state(SLUG) == "by hand")
    time.sleep(1.0)
    assert len(site.motors.orders) == 1
    assert keeper.process.poll() is None


@needs_broker
def test_a_motor_that_never_answers(site):
    site.motors.kind = "silent"
    keeper = site.keeper()
    wait_for(lambda: keeper.says("no answer (1); again in 10 s"))
    assert len(site.motors.orders) == 1
    wait_for(lambda: site.motors.state(SLUG) == "not known")
    site.motors.kind = "obeys"
    site.motors.say(f"{SLUG}/at", {"order": None, "position": 0, "moving": False})
    site.stands()
    assert len(site.motors.orders) == 2


def program(folder: Path, text: str) -> str:
    path = folder / "relay.py"
    path.write_text(text)
    words = [sys.executable, str(path), "{shade}", "{direction}", "{seconds}", "{position}"]
    return f"program = {json.dumps(words)}"


def test_a_program_is_run_without_a_shell(tmp_path):
    kept = tmp_path / "ran.txt"
    text = f"import sys; open({str(kept)!r}, 'a').write(repr(sys.argv[1:]) + '\\n')"
    path = tmp_path / "home.toml"
    path.write_text(home(None, shade=program(tmp_path, text)).replace("Kitchen", "$(x) Kitchen"))
    keeper = Run(path)
    wait_for(lambda: keeper.says("it stands at 100 %"))
    assert keeper.end() == 0
    assert kept.read_text() == "['$(x) Kitchen roller', 'down', '1.2', '100']\n"


def test_a_program_that_fails_or_hangs_is_told(tmp_path):
    path = tmp_path / "home.toml"
    fails = program(tmp_path, "import sys; sys.exit('no relay')")
    path.write_text(home(None, shade=fails))
    keeper = Run(path)
    wait_for(lambda: keeper.says("exit status 1 (no relay)"))
    keeper.end()
    hangs = program(tmp_path, "import time; time.sleep(60)")
    path.write_text(home(None, shade=hangs).replace("answer = 2", "answer = 0.5"))
    keeper = Run(path, "--state", str(tmp_path / "other"))
    wait_for(lambda: keeper.says("it took longer than 1.7 s and was ended"))
    assert keeper.end() == 0


def test_it_serves_the_plan_its_state_and_a_page(tmp_path):
    path, port = tmp_path / "home.toml", free_port()
    path.write_text(home(None, shade=program(tmp_path, "")).replace('"Larkspur', '"<b>Larkspur'))
    keeper = Run(path, "--serve", f"127.0.0.1:{port}")
    base = f"http://127.0.0.1:{port}"

    def get(place: str, **headers: str) -> tuple[int, bytes]:
        request = urllib.request.Request(f"{base}{place}", headers=headers)
        try:
            with urllib.request.urlopen(request, timeout=10) as answer:
                return answer.status, answer.read()
        except urllib.error.HTTPError as error:
            return error.code, error.read()

    def post(place: str, body: bytes, **headers: str) -> int:
        request = urllib.request.Request(f"{base}{place}", data=body, headers=headers)
        try:
            with urllib.request.urlopen(request, timeout=10) as answer:
                return int(answer.status)
        except urllib.error.HTTPError as error:
            return error.code

    try:
        wait_for(lambda: keeper.says("serves"))
        now = json.loads(get("/now.json")[1])
        said = json.loads(run("now", path, "--format", "json").out)
        assert now["shades"] == said["shades"]
        assert get("/plan.ics")[1].startswith(b"BEGIN:VCALENDAR")
        status, page = get("/")
        assert status == 200
        assert b"&lt;b&gt;Larkspur" in page
        assert b"<script" not in page
        assert get("/", Host="elsewhere.example")[0] == 400
        assert post("/hold", b"hours=1", Origin="http://elsewhere.example") == 403
        assert post("/hand", f"shade={SLUG}&position=0".encode(), Origin=base) == 200
        wait_for(lambda: keeper.says("moved by hand"))
        assert post("/hold", b"hours=3") == 200
        wait_for(lambda: keeper.says("held: nothing moves"))
    finally:
        assert keeper.end() == 0


def test_beyond_this_machine_only_with_a_word(tmp_path):
    path = tmp_path / "home.toml"
    path.write_text(home(None, shade=program(tmp_path, "")))
    assert "--token-file" in run("keep", path, "--serve", "0.0.0.0:0").err
    token = tmp_path / "token"
    token.write_text("short\n")
    assert "16 or more" in run("keep", path, "--serve", ":0", "--token-file", token).err


@pytest.mark.slow
@needs_broker
def test_two_hundred_kills(tmp_path):
    """Killed at random instants, in four houses at once."""
    houses = [tmp_path / f"house {number}" for number in range(4)]
    with ThreadPoolExecutor(len(houses)) as pool:
        list(pool.map(fifty_kills, houses))


def fifty_kills(folder: Path) -> None:
    """No order is given twice for one difference, and it ends as planned.

    The clock goes to and fro between noon and night; its plan, kept on disk, holds for both.
    """
    chance = random.Random(folder.name)
    folder.mkdir()
    path, broker, clock = folder / "home.toml", Broker(folder), SetClock(folder)
    motors = Motors(broker.port)
    path.write_text(SUNNY_SITE.format(port=broker.port, shade=""))
    noon = True
    clock.set(NOON)
    keeper = Run(path, env=clock.env)
    try:
        motors.delay = 1.0
        wait_for(lambda: motors.state("south") == "as planned")  # its place is known from here on
        keeper.kill()
        for _ in range(50):
            if chance.random() < 0.5:
                noon = not noon
                clock.set(NOON if noon else NIGHT)
            keeper = Run(path, env=clock.env)
            time.sleep(chance.uniform(0.3, 3.0))
            keeper.kill()
        keeper = Run(path, env=clock.env)
        motors.heard.clear()
        wait_for(lambda: motors.state("south") == "as planned")
        assert motors.orders[-1]["position"] == (100 if noon else 0)
        for before, after in itertools.pairwise(motors.orders):
            assert before["position"] != after["position"] or before["order"] == after["order"]
        assert len(motors.orders) > 10  # or they were killed too early to matter
    finally:
        if keeper.process.poll() is None:
            keeper.kill()
        motors.close()
        broker.kill()
