"""The keeper logs in to a real broker: password, certificate, and what it says when they are wrong.

Certificates are made by trustme, a library for tests of TLS.
"""

import json
from collections.abc import Iterator
from contextlib import contextmanager

import trustme
from command_line import fault_of
from keeper_run import Broker, Motors, Run, home, needs_broker, wait_for

from suncover.keeper.login import PASSWORD

SLUG = "kitchen-roller"
WORD = "larks and sparrows"


@contextmanager
def running(broker: Broker, keeper: Run) -> Iterator[Motors]:
    """A keeper with a broker and its motors, who log in without TLS; all ended at the end."""
    motors = Motors(broker.port, login=("keeper", WORD))
    try:
        yield motors
    finally:
        keeper.kill()
        motors.close()
        broker.kill()


@needs_broker
def test_a_wrong_password_is_told_and_a_right_one_taken_without_a_new_start(tmp_path):
    word, path = tmp_path / "word", tmp_path / "home.toml"
    word.write_text("crows\n")
    broker = Broker(tmp_path, password=WORD)
    path.write_text(home(broker.port, more='user = "keeper"\npassword_file = "word"'))
    keeper = Run(path, "--log", "json")
    with running(broker, keeper) as motors:
        wait_for(lambda: keeper.says("the broker refuses the keeper: Not authorized"))
        assert motors.orders == []
        word.write_text(f"{WORD}\n")
        wait_for(lambda: motors.state(SLUG) == "as planned")
        assert keeper.end() == 0
    lines = [json.loads(line) for line in keeper.told]
    assert {"time", "event", "shade", "text"} <= lines[0].keys()
    assert any(line["event"] == "order" and line["shade"] == "Kitchen roller" for line in lines)
    assert sum("refuses" in line["text"] for line in lines) == 1
    assert "larks" not in "\n".join(keeper.told)


@needs_broker
def test_with_tls_only_a_certificate_to_trust_is_taken(tmp_path):
    ca, path = trustme.CA(), tmp_path / "home.toml"
    certificate = tmp_path / "broker.pem"
    ca.issue_cert("localhost").private_key_and_cert_chain_pem.write_to_path(certificate)
    trustme.CA().cert_pem.write_to_path(tmp_path / "trusted.pem")  # of somebody else
    broker = Broker(tmp_path, password=WORD, certificate=certificate)
    text = home(1, more='user = "keeper"\nca_file = "trusted.pem"')
    path.write_text(text.replace("mqtt://127.0.0.1:1", f"mqtts://localhost:{broker.tls_port}"))
    keeper = Run(path, env={PASSWORD: WORD})
    with running(broker, keeper) as motors:
        wait_for(lambda: keeper.says("the broker's certificate is not one to trust"))
        assert motors.last("keeper") == {}  # not even its name was said
        ca.cert_pem.write_to_path(tmp_path / "trusted.pem")
        wait_for(lambda: motors.state(SLUG) == "as planned")
        # A broker at an address that its certificate does not name is somebody else.
        path.write_text(path.read_text().replace("//localhost:", "//127.0.0.1:"))
        wait_for(lambda: keeper.says("IP address mismatch"))
        assert keeper.end() == 0
    assert len(motors.orders) == 1


def test_files_that_cannot_be_read_are_told_at_the_start(tmp_path):
    path = tmp_path / "home.toml"
    (tmp_path / "empty.pem").write_text("")
    for more, words in (
        ('password_file = "none"', "check `password_file` in [keeper]"),
        ('ca_file = "none.pem"', "No such file or directory); check `ca_file` in [keeper]"),
        ('ca_file = "empty.pem"', "it has none in PEM"),
    ):
        path.write_text(home(1, more=more).replace("mqtt:", "mqtts:"))
        assert words in fault_of("keep", path)
