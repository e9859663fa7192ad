"""The one decision: what should be, what is, and an order for the difference.

Pure: the same agenda, state, news and instant give the same orders. It may be asked as often as one
likes, at any time, after any loss: it goes by what the clock says now and by what is known now, and
an order that is under way, answered, or waits for its pause is not given again.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from suncover.base.clock import local_ordinal
from suncover.keeper.agenda import Agenda, Motor
from suncover.keeper.limits import start_window, supply_free_at
from suncover.keeper.losses import AFTER_RUN_S
from suncover.keeper.news import News
from suncover.keeper.reports import NEAR, give_up_overdue, may_be_answered, with_news
from suncover.keeper.sensors import with_gates
from suncover.keeper.state import FAR, Direction, Flight, Order, Remark, ShadeState, State
from suncover.keeper.target import Target, hand_end, is_hand_over, target_of

# After the broker has come (back), what it kept is read first.
SETTLE_S = 0.5
# An order that may or may not have reached a broker that went is given again, under its own name,
# unless its motor shows by the end of the run, or in this time, that it has it.
EVIDENCE_S = 7.0
# An order has this long to arrive, however near its latest start is.
ARRIVAL_S = 2.0
# A plan says nothing about instants further than this from its own.
MARGIN_S = 60.0
# A program that takes too long is ended, and its end reported, a little before it is given up.
PROGRAM_S = 5.0


@dataclass(frozen=True)
class Outcome:
    """What a step comes to.

    `wake` is when the next step is due if nothing happens before. `stop` are shades whose programs
    are to be ended. `waits` says, by slug, why a shade is not ordered to where it should be.
    """

    state: State
    orders: tuple[Order, ...]
    remarks: tuple[Remark, ...]
    wake: float
    stop: tuple[str, ...]
    waits: dict[str, str]


@dataclass(frozen=True, slots=True)
class _Run:
    """A run that would take a shade to where it should be, or nearer."""

    position: float
    direction: Direction
    seconds: float | None
    zero: bool


def step(agenda: Agenda, now: float, state: State, news: Iterable[News] = ()) -> Outcome:
    """Takes in what happened, then orders what is not as it should be."""
    remarks: list[Remark] = []
    stop: list[str] = []
    for event in news:
        after = with_news(agenda, state, event, now)
        state = after.state
        remarks += after.remarks
        stop += after.stop
    state, wake, gate_remarks = with_gates(agenda, state, now)
    remarks += gate_remarks
    late = give_up_overdue(agenda, state, now)
    state = late.state
    remarks += late.remarks
    if state.hold is not None and state.hold.until is not None and now >= state.hold.until:
        state = replace(state, hold=None)
        remarks.append(Remark("hold", "the hold is over"))
    first, last = agenda.span
    waits: dict[str, str] = {}
    if not first - MARGIN_S <= now <= last + MARGIN_S:  # a clock that was set; a new plan comes
        waits = dict.fromkeys(agenda.by_slug, "the plan has no such day")
        return Outcome(state, (), tuple(remarks), wake, tuple(stop), waits)
    targets: dict[str, Target] = {}
    for motor in agenda.motors:
        state, targets[motor.slug], after_at = _settle(agenda, motor, state, now)
        wake = min(wake, after_at)
    if state.hold is not None:
        wake = min(wake, state.hold.until or FAR)
        return Outcome(state, (), tuple(remarks), wake, tuple(stop), {})
    orders: list[Order] = []
    by_time = sorted(agenda.motors, key=lambda motor: targets[motor.slug].since)
    for motor in by_time:
        target = targets[motor.slug]
        state, order, after_at, reason = _order_for(agenda, motor, state, target, now)
        wake = min(wake, after_at)
        if reason:
            waits[motor.slug] = reason
        if order is not None:
            orders.append(order)
            wake = min(wake, order.flight.deadline)
            remarks.append(Remark("order", order_text(order), motor.slug))
    return Outcome(state, tuple(orders), tuple(remarks), wake, tuple(stop), waits)


def order_text(order: Order) -> str:
    """An order in plain words."""
    flight = order.flight
    does = {0: "open", 100: "close"}.get(round(flight.position), f"go to {flight.position:g} %")
    run = "" if flight.seconds is None else f", {flight.seconds:g} s {flight.direction}"
    zero = ", to find its zero" if flight.zero else ""
    reason = f": {flight.reason}" if flight.reason else ""
    return f"{'told again' if order.again else 'told'} to {does}{run}{zero}{reason}"


def _settle(agenda: Agenda, motor: Motor, state: State, now: float) -> tuple[State, Target, float]:
    """What time alone does to a shade, where it belongs, and when that may change."""
    shade = state.of(motor.slug)
    target, shade = target_of(agenda, motor, state, shade, now)
    if shade.hand is not None and is_hand_over(motor, shade, now):
        shade = replace(shade, hand=None, due=True)
    arrived = shade.position is not None and abs(shade.position - target.position) < NEAR
    if arrived and shade.due and shade.flight is None:
        shade = replace(shade, due=False)
    wake = min(target.turn, hand_end(motor, shade, now))
    if target.after is not None:
        wake = min(wake, target.after.at)
    for spell in motor.up:
        if now < spell.end:
            wake = min(wake, spell.start if now < spell.start else spell.end)
            break
    if shade.flight is not None and may_be_answered(motor, state):
        wake = min(wake, shade.flight.deadline)
    return state.having(motor.slug, shade), target, wake


def _order_for(
    agenda: Agenda, motor: Motor, state: State, target: Target, now: float
) -> tuple[State, Order | None, float, str]:
    """An order for one shade if there is to be one, when to look again if not, and why not."""
    shade = state.of(motor.slug)
    if shade.flight is None and not _is_elsewhere(shade, target):
        return state, None, FAR, ""
    if motor.program is None and (state.linked is None or now < state.linked + SETTLE_S):
        ready = FAR if state.linked is None else state.linked + SETTLE_S
        return state, None, ready, "the broker is not there"
    if shade.flight is not None:
        return _order_again(motor, state, shade, now)
    if shade.hand is not None:
        return state, None, FAR, ""
    if shade.busy > now:
        return state, None, shade.busy, "it moves"
    if shade.retry_at > now and target.since <= shade.tried:
        return state, None, shade.retry_at, "it is tried again later"
    run = _run_to(motor, shade, target)
    late = now > target.since + 1.0
    seconds = run.seconds or 0.0
    down = run.direction == "down"
    window = start_window(motor, seconds, now, down=down, after=target.after, late=late)
    if window.latest is None and run.zero and shade.position is not None:
        # Its zero can wait for another move, this one cannot.
        run = _plain_run(motor, shade.position, target.position)
        seconds = run.seconds or 0.0
        window = start_window(motor, seconds, now, down=down, after=target.after, late=late)
    if window.latest is None:
        return state, None, window.wake, window.why
    free = supply_free_at(agenda, state, motor, max(seconds, 1.0), now, late=late)
    if free > now:
        return state, None, free, "its supply is busy"
    return _new_order(agenda, motor, state, shade, target, run, window.latest, now)


def _is_elsewhere(shade: ShadeState, target: Target) -> bool:
    """Whether there is anything to do: a shade whose place is not known waits for a need or a move
    that is due.
    """
    if shade.position is None:
        return target.position > 0 or shade.due
    return abs(shade.position - target.position) >= NEAR


def _order_again(
    motor: Motor, state: State, shade: ShadeState, now: float
) -> tuple[State, Order | None, float, str]:
    """An order of which nobody knows whether it left, as the broker or the keeper went just then.

    It keeps its name, so that a motor that has it does not run twice; once it is stale it is as if
    it had never been given.
    """
    flight = shade.flight
    assert flight is not None
    if flight.delivered or motor.program is not None or state.linked is None:
        return state, None, FAR, ""
    if flight.sent >= state.linked:
        return state, None, FAR, ""  # it has just been sent
    ready = state.linked + min((flight.seconds or 0.0) + AFTER_RUN_S, EVIDENCE_S)
    if now < ready:
        return state, None, ready, ""
    if now > flight.not_after:
        position = flight.origin if flight.heard is None else flight.heard
        dropped = replace(shade, flight=None, position=position, due=True)
        return state.having(motor.slug, dropped), None, now, ""
    length = flight.until - flight.sent
    answer = flight.deadline - flight.until
    flight = replace(flight, sent=now, until=now + length, deadline=now + length + max(answer, 0.0))
    again = replace(shade, flight=flight, tried=now)
    order = Order(motor.slug, motor.name, flight, motor.program, again=True)
    return state.having(motor.slug, again), order, FAR, ""


def _run_to(motor: Motor, shade: ShadeState, target: Target) -> _Run:
    """The run that takes a shade to where it should be, or to its zero first."""
    position = target.position
    if shade.position is None:
        if motor.end_stop == "none":  # only the motor itself can know where it is
            return _Run(position, "up" if position == 0 else "down", None, False)
        return _run_to_zero(motor, _stop_near(motor, position))
    uncertain = motor.home_after is not None and shade.halfway >= motor.home_after
    if not uncertain:
        return _plain_run(motor, shade.position, position)
    if (position == 0 and motor.has_top) or (position == 100 and motor.has_bottom):
        run = _plain_run(motor, shade.position, position)
        seconds = None if run.seconds is None else round(run.seconds + motor.overrun, 1)
        return replace(run, seconds=seconds, zero=True)
    if position > 0 and motor.end_stop == "bottom" and shade.position < 100:
        return _run_to_zero(motor, 100)
    return _plain_run(motor, shade.position, position)


def _stop_near(motor: Motor, position: float) -> int:
    """The stop at which a shade finds its zero on its way to a position."""
    if position == 100 and motor.has_bottom:
        return 100
    return 0 if motor.has_top else 100


def _run_to_zero(motor: Motor, stop: int) -> _Run:
    up = stop == 0
    full = motor.full_run(up=up)
    seconds = None if full is None else round(full + motor.overrun, 1)
    return _Run(stop, "up" if up else "down", seconds, True)


def _plain_run(motor: Motor, start: float, end: float) -> _Run:
    direction: Direction = "down" if end > start else "up"
    return _Run(end, direction, motor.runs.between(start, end), False)


def _new_order(
    agenda: Agenda,
    motor: Motor,
    state: State,
    shade: ShadeState,
    target: Target,
    run: _Run,
    latest: float,
    now: float,
) -> tuple[State, Order | None, float, str]:
    number = state.number + 1
    seconds = run.seconds or 0.0
    flight = Flight(
        order=f"{state.key}-{number}",
        number=number,
        position=run.position,
        direction=run.direction,
        seconds=run.seconds,
        zero=run.zero,
        sent=now,
        until=now + seconds,
        deadline=now + seconds + agenda.answer + (PROGRAM_S if motor.program else 0.0),
        not_after=min(now + agenda.stale, max(latest, now + ARRIVAL_S)),
        origin=shade.position,
        reason=_reason(target, run),
    )
    today = local_ordinal(math.floor(now), agenda.zone)
    moves = shade.moves + 1 if shade.moves_on == today else 1
    shade = replace(shade, flight=flight, tried=now, retry_at=0.0, moves=moves, moves_on=today)
    state = replace(state.having(motor.slug, shade), number=number)
    feed = agenda.feed_of.get(motor.slug)
    if feed is not None:
        state = replace(state, starts={**state.starts, feed.name: now})
    return state, Order(motor.slug, motor.name, flight, motor.program), FAR, ""


def _reason(target: Target, run: _Run) -> str:
    if run.zero and run.position != target.position:
        return f"to find its zero, then {target.position:g} %: {target.reason}".rstrip(": ")
    return target.reason


def fresh_state(key: str, positions: Sequence[tuple[str, float]] = ()) -> State:
    """The state of a keeper that knows nothing but the positions of some shades, by slug."""
    shades = {slug: ShadeState(position=position) for slug, position in positions}
    return State(key, shades=shades)
