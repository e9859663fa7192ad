"""What is known after a loss: of the broker, of the keeper itself, of the clock that was set."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from suncover.keeper.agenda import Agenda
from suncover.keeper.state import ByHand, Flight, Gate, ShadeState, State

LONGEST_PAUSE_S = 3600.0
# A motor that had an order when the broker went has this long to answer once the broker is back.
AFTER_LINK_S = 5.0
# A run is surely over this long after its time: a motor, or its program, takes a moment to begin.
AFTER_RUN_S = 1.5


def _on_flights(state: State, change: Mapping[str, Flight]) -> State:
    for slug, flight in change.items():
        state = state.having(slug, replace(state.of(slug), flight=flight))
    return state


def after_link(agenda: Agenda, state: State, now: float) -> State:
    """The broker is back: what motors had to say may come now, and those that were silent for
    want of it are tried again. An answer that went with it is no fault of the motor's.
    """
    wait = now + min(agenda.answer, AFTER_LINK_S)
    for motor in agenda.motors:
        shade = state.of(motor.slug)
        if motor.program is None and shade.retry_at > now:
            state = state.having(motor.slug, replace(shade, retry_at=0.0))
    flights = {
        motor.slug: replace(flight, lost=True, deadline=max(flight.deadline, wait))
        for motor in agenda.motors
        if motor.program is None and (flight := state.of(motor.slug).flight) is not None
    }
    return replace(_on_flights(state, flights), linked=now)


def after_restart(agenda: Agenda, state: State, now: float) -> State:
    """Nothing is linked yet, clocks may have been set back, and programs tell nothing any more."""
    state = replace(after_clock_step(state, 0.0, now), linked=None)
    lost = {}
    for motor in agenda.motors:
        shade = state.of(motor.slug)
        state = state.having(motor.slug, replace(shade, retry_at=0.0))
        if shade.flight is not None:
            by_program = motor.program is not None
            deadline = (
                max(shade.flight.until + AFTER_RUN_S, now) if by_program else shade.flight.deadline
            )
            lost[motor.slug] = replace(shade.flight, lost=True, deadline=deadline)
    return _on_flights(state, lost)


def after_clock_step(state: State, by: float, now: float) -> State:
    """The state by a clock that was set: what counts from the past counts on as it did."""
    shades = {slug: _shade_stepped(shade, by, now) for slug, shade in state.shades.items()}
    gauges = {
        name: replace(gauge, at=min(gauge.at + by, now)) for name, gauge in state.gauges.items()
    }
    return replace(
        state,
        shades=shades,
        gauges=gauges,
        sunny=_gate_stepped(state.sunny, by, now),
        windy=_gate_stepped(state.windy, by, now),
        linked=None if state.linked is None else min(state.linked + by, now),
        starts={name: min(at + by, now) for name, at in state.starts.items()},
    )


def _gate_stepped(gate: Gate, by: float, now: float) -> Gate:
    return gate if gate.turning is None else replace(gate, turning=min(gate.turning + by, now))


def _shade_stepped(shade: ShadeState, by: float, now: float) -> ShadeState:
    flight = shade.flight
    if flight is not None:
        # Sent in the future: the clock was set back while nobody looked.
        shift = min(by, now - flight.sent)
        flight = replace(
            flight,
            sent=flight.sent + shift,
            until=flight.until + shift,
            deadline=flight.deadline + shift,
            not_after=flight.not_after + shift,
        )
    hand = shade.hand
    if hand is not None and hand.at > now:
        ahead = hand.at - now
        hand = ByHand(now, None if hand.until is None else hand.until - ahead)
    return replace(
        shade,
        flight=flight,
        hand=hand,
        tried=min(shade.tried + by, now) if shade.tried else 0.0,
        busy=shade.busy + by if shade.busy else 0.0,
        retry_at=min(shade.retry_at + by, now + LONGEST_PAUSE_S) if shade.retry_at else 0.0,
        lowered=None if shade.lowered is None else min(shade.lowered + by, now),
        let_in=None if shade.let_in is None else min(shade.let_in + by, now),
    )
