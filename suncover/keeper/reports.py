"""What is known after something has happened: each kind of news taken into the state.

A motor's own word on where its shade stands is believed; where it names no position, the place is
reckoned from the order that it answers. What is heard twice or late changes nothing that is newer.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from suncover.keeper.agenda import Agenda, Motor
from suncover.keeper.losses import LONGEST_PAUSE_S, after_clock_step, after_link, after_restart
from suncover.keeper.news import (
    Delivered,
    Ended,
    Hand,
    Hold,
    Linked,
    News,
    Reading,
    Report,
    Restarted,
    Stepped,
    Undelivered,
    Unlinked,
)
from suncover.keeper.sensors import with_reading
from suncover.keeper.state import ByHand, Flight, Held, Remark, ShadeState, State

NEAR = 1.0  # per cent: closer than this is there
FIRST_PAUSE_S = 10.0


@dataclass(frozen=True)
class After:
    """The state after some news, what to report, and shades whose programs must be ended."""

    state: State
    remarks: tuple[Remark, ...] = ()
    stop: tuple[str, ...] = ()


def pause_after(misses: int) -> float:
    """Seconds until the next try: 10, 30, 90 and so on, an hour at the most."""
    return min(FIRST_PAUSE_S * 3.0 ** min(misses - 1, 20), LONGEST_PAUSE_S)


def with_news(agenda: Agenda, state: State, news: News, now: float) -> After:
    """The state after one thing that happened; what is of no shade of the agenda is passed over."""
    match news:
        case Hold():
            return _with_hold(agenda, state, news)
        case Reading(sensor, value):
            read, remarks = with_reading(state, sensor, value, now)
            return After(read, tuple(remarks))
        case Linked():
            return After(after_link(agenda, state, now))
        case Unlinked():
            return After(replace(state, linked=None))
        case Restarted():
            return After(after_restart(agenda, state, now))
        case Stepped(by):
            return After(after_clock_step(state, by, now))
        case _:
            motor = agenda.by_slug.get(news.slug)
            return After(state) if motor is None else _of_shade(agenda, motor, state, news, now)


def _of_shade(agenda: Agenda, motor: Motor, state: State, news: News, now: float) -> After:
    shade = state.of(motor.slug)
    stop: tuple[str, ...] = ()
    match news:
        case Report():
            after, text = _with_report(agenda, motor, state.key, shade, news, now)
        case Hand():
            after, text = _with_hand(motor, shade, news, now)
            stop = (motor.slug,) if shade.flight and motor.program else ()
        case Delivered(_, order):
            after, text = _with_delivery(shade, order), ""
        case Undelivered(_, order, why):
            after, text = _with_failed_delivery(shade, order, why)
        case Ended():
            after, text = _with_end(shade, news, now)
        case _:
            after, text = shade, ""
    remarks = (Remark("motor", text, motor.slug),) if text else ()
    return After(state.having(motor.slug, after), remarks, stop)


def _with_hold(agenda: Agenda, state: State, news: Hold) -> After:
    hold = None if news.off else Held(news.until)
    if hold == state.hold:
        return After(state)
    text = "the hold is off" if hold is None else "held: nothing moves"
    stop: tuple[str, ...] = ()
    if hold is not None:
        motors = [motor for motor in agenda.motors if motor.program is not None]
        stop = tuple(m.slug for m in motors if state.of(m.slug).flight is not None)
    return After(replace(state, hold=hold), (Remark("hold", text),), stop)


def number_of(order: str | None, key: str) -> int | None:
    """The number of an order of this keeper; None for what is no such order."""
    head, _, tail = (order or "").rpartition("-")
    return int(tail) if head == key and tail.isdecimal() and len(tail) < 16 else None


def _with_report(
    agenda: Agenda, motor: Motor, key: str, shade: ShadeState, news: Report, now: float
) -> tuple[ShadeState, str]:
    flight = shade.flight
    number = number_of(news.order, key)
    if flight is not None and news.order == flight.order:
        if news.moving:
            return _with_start(agenda, shade, flight, news, now), ""
        return _with_answer(shade, flight, news.position, now)
    if number is not None and number < shade.answered:
        return shade, "it answered again an order that is long over; passed over"
    if flight is None and news.moving and number is not None and number == shade.answered:
        return shade, ""  # sent before the answer, and came after it
    if flight is None:
        return _with_unasked_report(agenda, motor, shade, news, number, now), ""
    if number is not None and number == shade.answered:
        return shade, ""  # the same answer twice, while the next order is under way
    if number is not None and number < flight.number:  # late, but it is there
        late = replace(shade, answered=number, silences=0, misses=0)
        return replace(late, flight=replace(flight, heard=news.position)), "it answered late"
    if _is_near(news.position, flight.position) and not news.moving:
        return _with_answer(shade, flight, news.position, now)
    if flight.lost and news.order is None and not news.moving and _is_new(news.position, flight):
        # It stands still, and not where it was sent: its run was cut short, as the keeper was.
        return replace(
            shade, position=news.position, flight=None, due=True
        ), "its run was cut short"
    return replace(shade, flight=replace(flight, heard=news.position)), ""


def _is_new(position: float | None, flight: Flight) -> bool:
    """Whether a report can't be of before an order: the broker keeps the last one for later."""
    return position is not None and not _is_near(position, flight.origin)


def _with_start(
    agenda: Agenda, shade: ShadeState, flight: Flight, news: Report, now: float
) -> ShadeState:
    """The motor runs: the run is over when it says so, or a run after now."""
    if not flight.started:
        until = now + (flight.until - flight.sent)
        flight = replace(
            flight, started=True, delivered=True, until=until, deadline=until + agenda.answer
        )
    return replace(shade, flight=replace(flight, heard=news.position))


def _with_answer(
    shade: ShadeState, flight: Flight, position: float | None, now: float
) -> tuple[ShadeState, str]:
    at = flight.position if position is None else position
    arrived = abs(at - flight.position) < NEAR
    on_the_way = any(p is not None and 0 < p < 100 for p in (flight.origin, flight.position))
    halfway = shade.halfway + 1 if on_the_way else shade.halfway
    misses = 0 if arrived else shade.misses + 1
    after = replace(
        shade,
        position=at,
        reckoned=position is None,
        flight=None,
        busy=0.0,
        halfway=0 if flight.zero and arrived else halfway,
        silences=0,
        misses=misses,
        retry_at=0.0 if arrived else now + pause_after(misses),
        answered=max(shade.answered, flight.number),
    )
    if arrived:
        return after, f"it stands at {at:g} %"
    again = pause_after(misses)
    return after, f"it stands at {at:g} %, not {flight.position:g} %; again in {again:g} s"


def _with_unasked_report(
    agenda: Agenda, motor: Motor, shade: ShadeState, news: Report, number: int | None, now: float
) -> ShadeState:
    """The motor says where it stands, or that it moves, without an order under way.

    One that leaves its place again and again is not chased: each time it is given longer.
    """
    if number is not None:
        shade = replace(shade, answered=max(number, shade.answered))
    if news.moving:
        busy = now + (motor.full_run(up=True) or 0.0) + agenda.answer
        return replace(shade, position=None, reckoned=False, busy=busy)
    position, reckoned = news.position, False
    if position is None and shade.reckoned:  # it never knows: its place is as was reckoned
        position, reckoned = shade.position, True
    recovered = shade.silences > 0
    both_known = position is not None and shade.position is not None
    left = both_known and not _is_near(position, shade.position)
    strays = shade.strays + left
    retry_at = now + pause_after(strays - 1) if left and strays > 1 else shade.retry_at
    return replace(
        shade,
        position=position,
        reckoned=reckoned,
        busy=0.0,
        silences=0,
        strays=strays,
        misses=0 if recovered else shade.misses,
        retry_at=0.0 if recovered else retry_at,
    )


def _is_near(a: float | None, b: float | None) -> bool:
    return a is not None and b is not None and abs(a - b) < NEAR


def _with_hand(motor: Motor, shade: ShadeState, news: Hand, now: float) -> tuple[ShadeState, str]:
    until = None if motor.after_hand is None else now + motor.after_hand
    position = news.position
    verb = "stopped" if news.stop else "moved"
    place = "not known where" if position is None else f"at {position:g} %"
    after = replace(
        shade,
        position=position,
        reckoned=True,
        flight=None,
        hand=ByHand(now, until),
        misses=0,
        retry_at=0.0,
        due=shade.due or position is None,
        halfway=shade.halfway + (position is not None and 0 < position < 100),
    )
    return after, f"{verb} by hand, {place}; the plan leaves it alone for now"


def _with_delivery(shade: ShadeState, order: str) -> ShadeState:
    flight = shade.flight
    if flight is None or flight.order != order:
        return shade
    return replace(shade, flight=replace(flight, delivered=True))


def _with_failed_delivery(shade: ShadeState, order: str, reason: str) -> tuple[ShadeState, str]:
    """An order that never left is as if it had not been given."""
    flight = shade.flight
    if flight is None or flight.order != order:
        return shade, ""
    return replace(shade, flight=None, position=flight.origin), f"the order did not leave: {reason}"


def _with_end(shade: ShadeState, news: Ended, now: float) -> tuple[ShadeState, str]:
    flight = shade.flight
    if flight is None or flight.order != news.order:
        return shade, ""
    if not news.trouble and not news.stopped:
        return _with_answer(shade, flight, None, now)
    if news.stopped:
        return replace(shade, position=None, flight=None, due=True), "its program was ended"
    after = _without_answer(shade, now)
    pause = after.retry_at - now
    return after, f"its program failed: {news.trouble}; again in {pause:g} s"


def _without_answer(shade: ShadeState, now: float) -> ShadeState:
    """An order without an answer: where the shade stands is not known, unless another message said
    so.

    An order that was under way when the keeper went is no fault of the motor's.
    """
    flight = shade.flight
    assert flight is not None
    misses = shade.misses + (not flight.lost)
    return replace(
        shade,
        position=flight.heard,
        flight=None,
        silences=shade.silences + (not flight.lost),
        misses=misses,
        retry_at=now if flight.lost else now + pause_after(misses),
        due=True,
    )


def may_be_answered(motor: Motor, state: State) -> bool:
    """Whether a motor's answer could come: not one by message while the broker is gone."""
    return motor.program is not None or state.linked is not None


def give_up_overdue(agenda: Agenda, state: State, now: float) -> After:
    """The state once orders whose time for an answer is over are given up."""
    remarks = []
    for motor in agenda.motors:
        shade = state.of(motor.slug)
        flight = shade.flight
        if flight is None or now < flight.deadline:
            continue
        if not may_be_answered(motor, state):
            continue
        if _is_near(flight.heard, flight.position):
            after, text = _with_answer(shade, flight, flight.heard, now)
        else:
            after = _without_answer(shade, now)
            pause = after.retry_at - now
            text = f"no answer ({after.silences}); again in {pause:g} s"
            if flight.lost:
                text = "what became of its order is not known"
        state = state.having(motor.slug, after)
        remarks.append(Remark("motor", text, motor.slug))
    return After(state, tuple(remarks))
