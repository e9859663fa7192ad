"""What a keeper knows at a moment: frozen records, made anew at each change.

Times are unix seconds, UTC.

All of it is kept on disk, so that a keeper that is killed and started again knows what it knew.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Literal

FAR = float("inf")
"""An instant that never comes."""

Direction = Literal["down", "up"]

MOST_GAPS = 9  # of a sensor's last intervals, whose middle one is the usual


@dataclass(frozen=True)
class Flight:
    """An order under way: sent, and not yet answered, given up, or overtaken by a hand.

    `until` is when its run is over, `deadline` when its motor should have answered. `heard` is a
    position that was reported meanwhile, in answer to something else. A `lost` one was under way
    when the keeper or the broker went, and is there again.
    """

    order: str
    number: int
    position: float
    direction: Direction
    seconds: float | None
    zero: bool
    sent: float
    until: float
    deadline: float
    not_after: float
    origin: float | None
    reason: str
    delivered: bool = False
    started: bool = False
    lost: bool = False
    heard: float | None = None


@dataclass(frozen=True)
class ByHand:
    """A hand moved the shade at `at`; `until` an instant, or None for the plan's next step."""

    at: float
    until: float | None


@dataclass(frozen=True)
class ShadeState:
    """What is known of one shade.

    `position` in per cent closed, None where it is not known. `busy` is until when it may be moving
    without an order. `halfway` counts the moves to or from a stop on the way since its zero was
    found, `silences` the orders in a row without an answer, `misses` those that did not bring it
    where it was sent, `strays` its reports, on this step of the plan, that it has left its place
    without an order. A `reckoned` position is one that its motor has not reported. `tried` is when
    the last order left. `seen` is the plan's step that was last acted on, and `due` whether a move
    is to be made whatever is known. `answered` is the number of the last order that was answered.
    `moves` were made on the date with ordinal `moves_on`. `lowered` is since when it has been down
    for the sun on this step, `let_in` since when a sensor has it up instead; `raised` is whether
    that took a move.
    """

    position: float | None = None
    flight: Flight | None = None
    busy: float = 0.0
    halfway: int = 0
    silences: int = 0
    misses: int = 0
    strays: int = 0
    reckoned: bool = False
    retry_at: float = 0.0
    tried: float = 0.0
    seen: int | None = None
    due: bool = False
    hand: ByHand | None = None
    answered: int = 0
    moves: int = 0
    moves_on: int = 0
    lowered: float | None = None
    let_in: float | None = None
    raised: bool = False


@dataclass(frozen=True)
class Gauge:
    """A sensor's last value, when it came, and its last intervals; `silent` once its silence was
    reported.
    """

    value: float
    at: float
    gaps: tuple[float, ...] = ()
    silent: bool = False


@dataclass(frozen=True)
class Gate:
    """A yes or no from a sensor, and since when it has reported the opposite."""

    on: bool
    turning: float | None = None


@dataclass(frozen=True)
class Held:
    """Nothing moves until an instant, or, with None, until further notice."""

    until: float | None = None


@dataclass(frozen=True)
class State:
    """All that a keeper knows. `key` begins the names of its orders, `number` counts them.

    `linked` is since when the broker has been there, None while it is gone. `starts` has when a
    motor of each supply was last started.
    """

    key: str
    number: int = 0
    shades: Mapping[str, ShadeState] = field(default_factory=dict)
    hold: Held | None = None
    linked: float | None = None
    gauges: Mapping[str, Gauge] = field(default_factory=dict)
    sunny: Gate = Gate(on=True)
    windy: Gate = Gate(on=False)
    starts: Mapping[str, float] = field(default_factory=dict)

    def of(self, slug: str) -> ShadeState:
        """What is known of a shade; of a new one, nothing."""
        return self.shades.get(slug, NEW)

    def having(self, slug: str, shade: ShadeState) -> State:
        """This state with another state of one shade."""
        if self.shades.get(slug) == shade:
            return self
        return replace(self, shades={**self.shades, slug: shade})


NEW = ShadeState()


@dataclass(frozen=True)
class Remark:
    """Something that happened, in plain words; `slug` where it is of one shade.

    `event` is one word or two that programs can go by.
    """

    event: str
    text: str
    slug: str | None = None


@dataclass(frozen=True)
class Order:
    """What a motor is to do, as it is sent to it. `again` where it may have been sent before."""

    slug: str
    shade: str
    flight: Flight
    program: tuple[str, ...] | None
    again: bool = False
