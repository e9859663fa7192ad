"""What the keeper is to do in the days ahead: all that its decisions need of the site and its plan.

An agenda is plain data, small and quick to read, so that the program that waits for the next move
holds neither the site nor the sun in its memory. Instants are unix seconds, UTC.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Literal
from zoneinfo import ZoneInfo

from suncover.base.spell import Spell
from suncover.plan.staircase import MotorRuns, Step, step_at

EndStop = Literal["top", "bottom", "both", "none"]


@dataclass(frozen=True)
class Motor:
    """A shade as the keeper knows it.

    `steps` is the plan's staircase; `sunlit` the closings that are for the sun's heat and nothing
    else, which a sensor may call off. `quiet` and `up` (sorted, disjoint) are when the motor must
    not run, and when the shade stays up. `after_hand` is in seconds, None until the next step.
    """

    name: str
    slug: str
    steps: tuple[Step, ...]
    runs: MotorRuns
    sunlit: tuple[Spell, ...] = ()
    quiet: tuple[Spell, ...] = ()
    up: tuple[Spell, ...] = ()
    outdoors: bool = False
    end_stop: EndStop = "both"
    overrun: float = 0.0
    home_after: int | None = None
    after_hand: float | None = None
    program: tuple[str, ...] | None = None
    moves: int | None = None
    shortest: float = 0.0
    merge: float = 0.0

    @property
    def has_top(self) -> bool:
        """Whether a run may go on against a stop at the top."""
        return self.end_stop in ("top", "both")

    @property
    def has_bottom(self) -> bool:
        """Whether a run may go on against a stop at the bottom."""
        return self.end_stop in ("bottom", "both")

    def full_run(self, *, up: bool) -> float | None:
        """Seconds for the full run; None where nothing tells them."""
        return self.runs.between(100, 0) if up else self.runs.between(0, 100)


@dataclass(frozen=True)
class Feed:
    """A supply: the slugs of its shades, how many motors at once, seconds between two starts."""

    name: str
    slugs: tuple[str, ...]
    at_once: int
    gap: float = 0.0


@dataclass(frozen=True)
class Sensor:
    """A sensor: its topic, and the member of a JSON payload that holds its value, if any."""

    name: str
    topic: str
    measures: str
    member: str | None = None


@dataclass(frozen=True)
class SunRule:
    """The sun shines while a sensor is above a value: `on` and `off` in seconds."""

    sensor: str
    above: float
    on: float
    off: float


@dataclass(frozen=True)
class WindRule:
    """Shades outdoors stay up until a sensor has been no higher than a value for `calm` seconds."""

    sensor: str
    above: float
    calm: float


@dataclass(frozen=True)
class Agenda:
    """The keeper's days from `start` to `end`. `stale` and `answer` are in seconds.

    `calendar` is the plan of these days as an iCalendar text; `files` are those that it was made
    of, and `signature` what was in them then, so that a change of any of them is seen.
    """

    site: str
    topic: str
    zone_name: str
    start: int
    end: int
    motors: tuple[Motor, ...]
    feeds: tuple[Feed, ...] = ()
    sensors: tuple[Sensor, ...] = ()
    sunny: SunRule | None = None
    windy: WindRule | None = None
    stale: float = 60.0
    answer: float = 20.0
    broker: str | None = None
    user: str | None = None
    password_file: str | None = None
    ca_file: str | None = None
    calendar: str = ""
    files: tuple[str, ...] = ()
    signature: str = ""

    @cached_property
    def zone(self) -> ZoneInfo:
        return ZoneInfo(self.zone_name)

    @cached_property
    def by_slug(self) -> dict[str, Motor]:
        return {motor.slug: motor for motor in self.motors}

    @cached_property
    def span(self) -> tuple[float, float]:
        """The instants between which it says where shades belong: its days, and steps past them."""
        instants = [step.at for motor in self.motors for step in motor.steps]
        return float(min([self.start, *instants])), float(max([self.end, *instants]))

    @cached_property
    def feed_of(self) -> dict[str, Feed]:
        """The supply that each shade hangs on, by its slug."""
        return {slug: feed for feed in self.feeds for slug in feed.slugs}


def spell_at(spells: Sequence[Spell], at: float) -> Spell | None:
    """The spell (of sorted, disjoint ones) in which an instant lies."""
    index = bisect_right(spells, at, key=lambda spell: spell.start) - 1
    return spells[index] if index >= 0 and at < spells[index].end else None


def next_spell(spells: Sequence[Spell], at: float) -> Spell | None:
    """The first spell (of sorted, disjoint ones) that begins after an instant."""
    index = bisect_right(spells, at, key=lambda spell: spell.start)
    return spells[index] if index < len(spells) else None


def steps_around(motor: Motor, at: float) -> tuple[Step | None, Step | None]:
    """The step on which a shade's staircase is at an instant, and the one after it."""
    number = step_at(motor.steps, at)
    after = motor.steps[number + 1] if number + 1 < len(motor.steps) else None
    return (motor.steps[number] if number >= 0 else None), after
