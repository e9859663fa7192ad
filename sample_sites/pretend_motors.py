"""Motors for a trial of the keeper: they obey, take their time, and turn nothing.

    python sample_sites/pretend_motors.py [TOPIC] [HOST] [PORT]

They answer every order under TOPIC (`trial` if left out) as a motor should: not when it has grown
stale, not twice, with a word when the run begins and one when it is over, and they stand still
while everything is held. What a real motor's program has to do is all here.
"""

from __future__ import annotations

import json
import sys
import threading
from datetime import UTC, datetime
from typing import Any

from paho.mqtt.client import CallbackAPIVersion, Client, MQTTv5

STEP_S = 0.2


class Motors:
    """All shades of one topic."""

    def __init__(self, topic: str) -> None:
        self.topic = topic
        self.positions: dict[str, float | None] = {}
        self.obeyed: dict[str, str] = {}
        self.held = threading.Event()
        self.client = Client(CallbackAPIVersion.VERSION2, protocol=MQTTv5)
        self.client.on_connect = lambda *_: self.client.subscribe(
            [(f"{topic}/+/go", 1), (f"{topic}/hold", 1)]
        )
        self.client.on_message = self.hear

    def hear(self, _client: Client, _data: Any, message: Any) -> None:
        """A hold, or an order."""
        members = json.loads(message.payload)
        if message.topic == f"{self.topic}/hold":
            (self.held.clear if members.get("off") else self.held.set)()
            return
        slug = message.topic.split("/")[-2]
        if datetime.fromisoformat(members["not_after"]) < datetime.now(UTC):
            print(f"{slug}: passed over an order that had grown stale")
        elif self.obeyed.get(slug) != members["order"]:  # the same twice is once
            self.obeyed[slug] = members["order"]
            threading.Thread(target=self.run, args=(slug, members), daemon=True).start()

    def run(self, slug: str, order: dict[str, Any]) -> None:
        """Turns for the order's seconds, unless a hold comes in between."""
        start, goal = self.positions.get(slug), float(order["position"])
        seconds = order["seconds"] or 0.0
        print(f"{slug}: {order['direction']} for {seconds:g} s, to {goal:g} %: {order['reason']}")
        self.tell(slug, order["order"], start, moving=True)
        for _ in range(int(seconds / STEP_S)):
            if self.held.wait(STEP_S):
                print(f"{slug}: stopped by a hold")
                self.tell(slug, order["order"], None, moving=False)
                return
        self.tell(slug, order["order"], goal, moving=False)
        print(f"{slug}: there")

    def tell(self, slug: str, order: str, position: float | None, *, moving: bool) -> None:
        """Says where a shade stands."""
        self.positions[slug] = position
        members = {"order": order, "position": position, "moving": moving}
        self.client.publish(f"{self.topic}/{slug}/at", json.dumps(members), qos=1, retain=True)


def main(topic: str = "trial", host: str = "127.0.0.1", port: str = "1883") -> None:
    """Runs until it is stopped with Ctrl-C."""
    motors = Motors(topic)
    motors.client.connect(host, int(port))
    print(f"pretends motors for {topic}/…; Ctrl-C ends it")
    motors.client.loop_forever()


if __name__ == "__main__":
    main(*sys.argv[1:])
