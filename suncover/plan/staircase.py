"""A shade's closings as a staircase, and how long its motor runs from one step to another.

At each step, the instant at which its motor starts, the position changes that the plan has for the
shade. Where it should be at an instant is the last step before it.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal, NamedTuple

from suncover.plan.motor import FULL

if TYPE_CHECKING:
    from suncover.plan.closings.shade_plan import Closing

UP = "nothing to close for"


class Step(NamedTuple):
    """From `at` (unix seconds) on, the plan has the shade at `position`, per cent closed."""

    at: int
    position: int
    reason: str


@dataclass(frozen=True, slots=True)
class NextMove:
    """A move to come; `seconds` is its motor's run, None where nothing tells it."""

    at: int
    position: int
    direction: Literal["down", "up"]
    seconds: float | None
    reason: str


@dataclass(frozen=True, slots=True)
class Standing:
    """Where the plan has a shade; `since` and `until` are None where the year has no such move."""

    shade: str
    position: int
    since: int | None
    until: int | None
    reason: str
    next: NextMove | None


@dataclass(frozen=True, slots=True)
class MotorRuns:
    """How long a motor runs: `down` has the seconds from all the way up to each whole per cent.

    `up_share` is how much longer it takes on the way up. Without `down`, nothing is known.
    """

    down: tuple[float, ...] | None
    up_share: float = 1.0

    def between(self, start: float, end: float) -> float | None:
        """Seconds from one position to another, to a tenth; None where nothing tells it."""
        if self.down is None:
            return None
        seconds = self._to(end) - self._to(start)
        return round(seconds if seconds > 0 else -seconds * self.up_share, 1)

    def _to(self, position: float) -> float:
        assert self.down is not None
        low = min(int(position), FULL - 1)
        return self.down[low] + (self.down[low + 1] - self.down[low]) * (position - low)


def steps_of(closings: Sequence[Closing]) -> tuple[Step, ...]:
    """The staircase of a shade's closings (sorted, disjoint)."""
    steps: list[Step] = []
    for closing in closings:
        if steps and steps[-1].at == closing.close:
            steps.pop()  # it goes on from one position to another
        steps.append(Step(closing.close, closing.position, closing.reason))
        steps.append(Step(closing.open, 0, f"over: {closing.reason}"))
    return tuple(steps)


def step_at(steps: Sequence[Step], at: float) -> int:
    """The number of the step on which the staircase is at an instant; -1 before the first."""
    return bisect_right(steps, at, key=lambda step: step.at) - 1


def next_move(step: Step, position: float, runs: MotorRuns) -> NextMove:
    """The move from a position up or down to a step."""
    direction: Literal["down", "up"] = "down" if step.position > position else "up"
    seconds = runs.between(position, step.position)
    return NextMove(step.at, step.position, direction, seconds, step.reason)
