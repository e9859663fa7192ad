"""What may happen to a keeper, each as a small record. Shades go by their slugs."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Report:
    """A motor tells where its shade stands, and which order it answers, if any."""

    slug: str
    order: str | None
    position: float | None
    moving: bool


@dataclass(frozen=True, slots=True)
class Hand:
    """Somebody moved a shade by hand, to a position (None: not known), or stopped it."""

    slug: str
    position: float | None = None
    stop: bool = False


@dataclass(frozen=True, slots=True)
class Hold:
    """Nothing is to move, until an instant or, with None, until further notice; or that is over."""

    until: float | None = None
    off: bool = False


@dataclass(frozen=True, slots=True)
class Reading:
    """A sensor's value."""

    sensor: str
    value: float


@dataclass(frozen=True, slots=True)
class Delivered:
    """An order has reached the broker, or its program runs."""

    slug: str
    order: str


@dataclass(frozen=True, slots=True)
class Undelivered:
    """An order certainly did not leave."""

    slug: str
    order: str
    why: str


@dataclass(frozen=True, slots=True)
class Ended:
    """The program of an order has ended: well where `trouble` is empty.

    `stopped` is whether the keeper ended it, for a hold or a hand.
    """

    slug: str
    order: str
    trouble: str = ""
    stopped: bool = False


@dataclass(frozen=True, slots=True)
class Linked:
    """The broker is there (again), and what it had kept is being read."""


@dataclass(frozen=True, slots=True)
class Unlinked:
    """The broker is gone."""


@dataclass(frozen=True, slots=True)
class Restarted:
    """The keeper has just started: programs that it ran before can tell it nothing any more."""


@dataclass(frozen=True, slots=True)
class Stepped:
    """The clock was set, or the machine slept: it shows so many seconds more than have passed."""

    by: float


News = (
    Report
    | Hand
    | Hold
    | Reading
    | Delivered
    | Undelivered
    | Ended
    | Linked
    | Unlinked
    | Restarted
    | Stepped
)
