"""The broker: one connection after another, each a new client, so that nothing old is sent late.

A client library keeps what could not be sent and sends it when the connection is back. Of an order
that is the worst there is: a shade that closes hours later. So a client whose connection is gone is
thrown away with all it holds; what is still to be done, the next step orders anew.
"""

from __future__ import annotations

import contextlib
import ssl
import threading
from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from suncover.base.errors import RequestError
from suncover.keeper.login import Login

if TYPE_CHECKING:
    from paho.mqtt.client import Client, MQTTMessage

KEEPALIVE_S = 15
FIRST_RETRY_S, LONGEST_RETRY_S = 0.5, 4.0
CONNECT_S = 5.0
TAKEN_OVER = 0x8E  # MQTT 5, 3.14.2.1


@dataclass(frozen=True)
class Callbacks:
    """What the wire calls, from a thread of its own."""

    linked: Callable[[], None]
    unlinked: Callable[[str], None]
    message: Callable[[str, bytes], None]
    delivered: Callable[[str, str], None]
    refused: Callable[[str, str, str], None]
    trouble: Callable[[str], None]


class Wire:
    """Keeps a connection to the broker for as long as it is not closed."""

    def __init__(
        self,
        login: Callable[[], Login],
        name: str,
        topics: list[str],
        *,
        alive_topic: str,
        alive: Callable[[bool], bytes],
        ears: Callbacks,
    ) -> None:
        self._login, self._name, self._topics = login, name, topics
        self._alive_topic, self._alive, self._ears = alive_topic, alive, ears
        self._client: Client | None = None  # while it is linked
        self._sent: dict[int, tuple[str, str]] = {}  # message number -> slug, order
        self._lock = threading.Lock()
        self._closing = threading.Event()
        self._thread = threading.Thread(target=self._keep, name="broker", daemon=True)

    def start(self) -> None:
        """Begins to connect."""
        self._thread.start()

    def close(self) -> None:
        """Says goodbye and ends."""
        client = self._client
        if client is not None:
            info = client.publish(self._alive_topic, self._alive(False), qos=1, retain=True)
            with contextlib.suppress(ValueError, RuntimeError):
                info.wait_for_publish(2.0)
        self._closing.set()
        if client is not None:
            client.disconnect()
        self._thread.join(3.0)

    def send(self, topic: str, payload: bytes, *, slug: str, order: str, expiry: int) -> bool:
        """Sends an order; whether it left. What becomes of it comes later."""
        from paho.mqtt.packettypes import PacketTypes
        from paho.mqtt.properties import Properties

        client = self._client
        if client is None:
            return False
        properties = Properties(PacketTypes.PUBLISH)  # type: ignore[no-untyped-call]  # paho's
        properties.MessageExpiryInterval = max(expiry, 1)
        with self._lock:  # its answer must not come before it is known what it answers
            info = client.publish(topic, payload, qos=1, retain=False, properties=properties)
            if info.rc != 0:
                return False
            self._sent[info.mid] = (slug, order)
        return True

    def say(self, topic: str, payload: bytes) -> None:
        """Tells something to whoever listens, now or later; dropped while the broker is gone."""
        client = self._client
        if client is not None:
            client.publish(topic, payload, qos=1, retain=True)

    def _keep(self) -> None:
        pause = FIRST_RETRY_S
        reported = ""
        while not self._closing.is_set():
            client, trouble = self._reach()
            was_linked = False
            while client is not None and not trouble and not self._closing.is_set():
                trouble = self._attend(client)
                was_linked = was_linked or self._client is client
            if self._closing.is_set():
                self._say_goodbye(client)
                return
            self._client = None
            with self._lock:
                self._sent.clear()
            if was_linked:
                pause, reported = FIRST_RETRY_S, ""
                self._ears.unlinked(trouble)
            elif trouble != reported:
                reported = trouble
                self._ears.trouble(f"{trouble}; tried again until it is there")
            self._closing.wait(pause)
            pause = min(2 * pause, LONGEST_RETRY_S)

    def _reach(self) -> tuple[Client | None, str]:
        """A client that has begun to log in; or None, and why not."""
        try:
            login = self._login()
        except RequestError as error:
            return None, str(error)
        client = self._new_client(login)
        try:
            client.connect(login.host, login.port, KEEPALIVE_S, clean_start=True)
        except ssl.SSLCertVerificationError as error:
            trouble = f"the broker's certificate is not one to trust: {error.verify_message}"
            return None, f"{trouble}; `ca_file` in [keeper] names a file with one of your own"
        except (OSError, ValueError) as error:
            return None, f"the broker cannot be reached: {error}"
        return client, ""

    def _attend(self, client: Client) -> str:
        """Lets a client read and write for a second at most; why its connection is gone, if so."""
        try:
            status = client.loop(1.0)
        except Exception as error:  # whatever a broker sends: this thread goes on
            return f"what the broker sends is not understood: {error}"
        return "" if status == 0 else self._refusal or "the connection to the broker is lost"

    def _say_goodbye(self, client: Client | None) -> None:
        self._client = None
        if client is None:
            return
        with contextlib.suppress(OSError, ValueError):
            client.disconnect()
            client.loop(0.2)

    def _new_client(self, login: Login) -> Client:
        from paho.mqtt.client import Client, MQTTv5
        from paho.mqtt.enums import CallbackAPIVersion

        client = Client(CallbackAPIVersion.VERSION2, client_id=self._name, protocol=MQTTv5)
        client.connect_timeout = CONNECT_S
        client.will_set(self._alive_topic, self._alive(False), qos=1, retain=True)
        if login.user is not None:
            client.username_pw_set(login.user, login.password)
        if login.tls is not None:
            client.tls_set_context(login.tls)
        client.on_connect = self._connected
        client.on_subscribe = self._subscribed
        client.on_message = self._heard
        client.on_publish = self._published
        client.on_disconnect = self._disconnected
        # So that the thread that reads writes what others publish, too: TLS bears no two threads.
        client.on_socket_register_write = lambda *_: None
        self._refusal = ""
        return client

    def _connected(self, client: Client, _data: Any, _flags: Any, code: Any, _props: Any) -> None:
        from paho.mqtt.subscribeoptions import SubscribeOptions

        if code.is_failure:
            self._refusal = f"the broker refuses the keeper: {code}"
            return
        # What is kept of hands is of the past: it must not come again at each connection.
        options = {
            topic: SubscribeOptions(qos=1, retainHandling=2 if topic.endswith("/hand") else 0)
            for topic in self._topics
        }
        client.subscribe(list(options.items()))

    def _subscribed(
        self, client: Client, _data: Any, _mid: int, codes: list[Any], _props: Any
    ) -> None:
        refused = [
            topic for topic, code in zip(self._topics, codes, strict=False) if code.is_failure
        ]
        if refused:
            self._ears.trouble(f"the broker does not let the keeper hear {', '.join(refused)}")
        client.publish(self._alive_topic, self._alive(True), qos=1, retain=True)
        self._client = client
        self._ears.linked()

    def _heard(self, _client: Client, _data: Any, message: MQTTMessage) -> None:
        self._ears.message(message.topic, bytes(message.payload))

    def _published(self, _client: Client, _data: Any, mid: int, code: Any, _props: Any) -> None:
        with self._lock:
            slug, order = self._sent.pop(mid, ("", ""))
        if not slug:
            return
        if code.is_failure:
            self._ears.refused(slug, order, f"the broker refuses it: {code}")
        else:
            self._ears.delivered(slug, order)

    def _disconnected(
        self, _client: Client, _data: Any, _flags: Any, code: Any, _props: Any
    ) -> None:
        if code.value == TAKEN_OVER:
            self._refusal = "another program logs in to the broker under this keeper's name"
