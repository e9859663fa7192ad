"""What should be: where a shade belongs at an instant, by plan, exceptions, sensors and hands."""

from __future__ import annotations

from dataclasses import dataclass, replace

from suncover.base.clock import local_ordinal
from suncover.keeper.agenda import Agenda, Motor, spell_at, steps_around
from suncover.keeper.state import FAR, ShadeState, State
from suncover.plan.staircase import Step


@dataclass(frozen=True, slots=True)
class Target:
    """A position to be at, since when the plan asks for it, and why.

    `after` is the plan's next step, None where the agenda has none. `turn` is the next instant at
    which a sensor's say may change it.
    """

    position: float
    since: float
    reason: str
    after: Step | None
    turn: float = FAR


def target_of(
    agenda: Agenda, motor: Motor, state: State, shade: ShadeState, now: float
) -> tuple[Target, ShadeState]:
    """Where a shade belongs now, leaving hands aside; and what is known of it once that is settled.

    The plan's position, but up in a strong wind (outdoors) and while it has to stay up, and up
    where it would be down for the sun alone and the sun does not shine.
    """
    step, after = steps_around(motor, now)
    position, reason = (step.position, step.reason) if step else (0, "")
    since = float(step.at) if step else 0.0
    shade = _on_this_step(shade, step)
    if spell_at(motor.up, now) is not None:
        return Target(0, since, "it has to stay up now", after), shade
    if motor.outdoors and state.windy.on:
        if position > 0 and shade.let_in is None:
            shade = replace(shade, let_in=now, lowered=None, raised=True)
        return Target(0, shade.let_in or since, "strong wind", after), shade
    asks = agenda.sunny is not None and spell_at(motor.sunlit, now) is not None
    if position == 0 or not (asks or shade.let_in is not None):
        return Target(position, shade.lowered or since, reason, after), shade
    shines = state.sunny.on or not asks
    shade, turn = _by_sensor(agenda, motor, shade, now, shines=shines)
    if shade.let_in is not None:
        cause = "it went up for the wind" if shines else "the sun does not shine"
        return Target(0, shade.let_in, cause, after, turn), shade
    return Target(position, shade.lowered or since, reason, after, turn), shade


def _on_this_step(shade: ShadeState, step: Step | None) -> ShadeState:
    """The shade on the plan's step; on a new one, what a sensor had done to the last is over."""
    at = None if step is None else step.at
    if shade.seen == at:
        return shade
    first_look = shade.seen is None and shade.tried == 0
    return replace(
        shade,
        seen=at,
        due=shade.due or not first_look,
        strays=0,
        lowered=None,
        let_in=None,
        raised=False,
    )


def _by_sensor(
    agenda: Agenda, motor: Motor, shade: ShadeState, now: float, *, shines: bool
) -> tuple[ShadeState, float]:
    """Lets the sun in or keeps it out by what the sensor says, as far as wear allows.

    A shade that has come down stays so for `shortest`; one that a sensor has raised stays up for
    `merge`, and comes down again only for `shortest` or longer, and only where a closing and an
    opening more leave enough of the day's moves for the plan.
    """
    if shade.lowered is None and shade.let_in is None:  # the step begins: no move was made for it
        begun = replace(shade, lowered=now) if shines else replace(shade, let_in=now)
        return begun, FAR
    _, after = steps_around(motor, now)
    if shade.let_in is None:
        lowered = shade.lowered or now
        if shines or not _moves_left(agenda, motor, shade, now, 1, keep=False):
            return shade, FAR
        ready = lowered + motor.shortest
        if now < ready:
            return shade, ready
        return replace(shade, let_in=now, lowered=None, raised=True), FAR
    if not shines or (after is not None and after.at - now < motor.shortest):
        return shade, FAR
    ready = shade.let_in + motor.merge if shade.raised else now
    if now < ready:
        return shade, ready
    if not _moves_left(agenda, motor, shade, now, 2, keep=True):
        return shade, FAR
    return replace(shade, let_in=None, lowered=now), FAR


def _moves_left(
    agenda: Agenda, motor: Motor, shade: ShadeState, now: float, needed: int, *, keep: bool
) -> bool:
    """Whether the day's moves allow so many more; `keep` leaves those that the plan still makes."""
    if motor.moves is None:
        return True
    today = local_ordinal(int(now), agenda.zone)
    count = shade.moves if shade.moves_on == today else 0
    planned = 0
    if keep:  # beyond the opening that ends this closing
        later = [s for s in motor.steps if s.at > now and local_ordinal(s.at, agenda.zone) == today]
        planned = max(len(later) - 1, 0)
    return count + needed + planned <= motor.moves


def is_hand_over(motor: Motor, shade: ShadeState, now: float) -> bool:
    """Whether the time is over for which the plan leaves alone what a hand moved."""
    hand = shade.hand
    if hand is None:
        return False
    if hand.until is not None:
        return now >= hand.until
    step, _ = steps_around(motor, now)
    return step is not None and step.at > hand.at


def hand_end(motor: Motor, shade: ShadeState, now: float) -> float:
    """When the time is over for which the plan leaves alone what a hand moved."""
    hand = shade.hand
    if hand is None:
        return FAR
    if hand.until is not None:
        return hand.until
    _, after = steps_around(motor, now)
    return FAR if after is None else float(after.at)
