"""What a keeper would order over some days: the same step, with motors that obey, in no time."""

from __future__ import annotations

import heapq
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from suncover.base.clock import iso_local
from suncover.base.csv_text import table, text_cell
from suncover.keeper.agenda import Agenda, steps_around
from suncover.keeper.messages import NotUnderstoodError, news_of, plain_number
from suncover.keeper.news import Linked, News, Report
from suncover.keeper.state import Order, Remark
from suncover.keeper.step import SETTLE_S, fresh_state, step

REHEARSAL_COLUMNS = ("time", "shade", "position", "direction", "seconds", "reason")


class Message(NamedTuple):
    """A message that arrives at an instant (unix seconds)."""

    at: float
    topic: str
    payload: bytes


@dataclass(frozen=True)
class Rehearsed:
    """The orders that would have been given, with their instants, and the remarks."""

    orders: tuple[tuple[float, Order], ...]
    remarks: tuple[tuple[float, Remark], ...]


def rehearse(agenda: Agenda, messages: Sequence[Message] = ()) -> Rehearsed:
    """Runs through an agenda's time, from the first to the last of its plan.

    Every shade begins where the plan has it. Motors answer at the end of each run.
    """
    first, last = agenda.span
    start, end = first - 2 * SETTLE_S, last + 1.0
    begin = [(motor.slug, float(_begins(agenda, motor.slug, start))) for motor in agenda.motors]
    state = step(agenda, start, fresh_state("rehearsal", begin), [Linked()]).state
    arrivals = sorted(messages)
    answers: list[tuple[float, int, Report]] = []
    orders, remarks = [], []
    now, number = start, 0
    while now <= end:
        news: list[News] = []
        while answers and answers[0][0] <= now:
            news.append(heapq.heappop(answers)[2])
        while number < len(arrivals) and arrivals[number].at <= now:
            heard, remark = _heard(agenda, arrivals[number])
            news += heard
            remarks += [(now, remark)] if remark else []
            number += 1
        outcome = step(agenda, now, state, news)
        state = outcome.state
        remarks += [(now, remark) for remark in outcome.remarks]
        for order in outcome.orders:
            flight = order.flight
            orders.append((now, order))
            answer = Report(order.slug, flight.order, flight.position, moving=False)
            heapq.heappush(answers, (now + (flight.seconds or 0.0), flight.number, answer))
        soon = [outcome.wake]
        soon += [answers[0][0]] if answers else []
        soon += [arrivals[number].at] if number < len(arrivals) else []
        now = max(min(soon), now + 0.001)
    return Rehearsed(tuple(orders), tuple(remarks))


def _begins(agenda: Agenda, slug: str, start: float) -> int:
    before, _ = steps_around(agenda.by_slug[slug], start)
    return 0 if before is None else before.position


def _heard(agenda: Agenda, message: Message) -> tuple[list[News], Remark | None]:
    try:
        return news_of(agenda, message.topic, message.payload), None
    except NotUnderstoodError as error:
        text = f"a message on {message.topic} is passed over: {error}"
        return [], Remark("message", text)


def rehearsal_csv(agenda: Agenda, rehearsed: Rehearsed) -> bytes:
    """The orders as CSV: in order of time, then as they were given."""
    return table(REHEARSAL_COLUMNS, _rows(agenda, rehearsed))


def _rows(agenda: Agenda, rehearsed: Rehearsed) -> Iterator[list[str]]:
    for at, order in rehearsed.orders:
        flight = order.flight
        yield [
            iso_local(int(at), agenda.zone),
            text_cell(order.shade),
            str(plain_number(flight.position)),
            flight.direction,
            "" if flight.seconds is None else f"{flight.seconds:g}",
            text_cell(flight.reason),
        ]
