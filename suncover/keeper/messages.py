"""Topics and payloads: what is heard as news, and what is sent, as JSON. No wire here.

T is the site's topic, S a shade's slug:

    T/S/go     order to a motor          T/hold     hold all, or no more
    T/S/at     motor's report            T/S/next   state and next move, for anyone
    T/S/hand   moved or stopped by hand  T/keeper   whether the keeper is alive
"""

from __future__ import annotations

import contextlib
import json
import math
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from suncover.base.clock import LAST_DATE, iso_local
from suncover.base.instant_text import parse_instant
from suncover.base.textfile import printable
from suncover.keeper.agenda import Agenda, Motor, Sensor, steps_around
from suncover.keeper.news import Hand, Hold, News, Reading, Report
from suncover.keeper.state import Flight, State
from suncover.keeper.target import target_of
from suncover.plan.staircase import next_move

LONGEST_PAYLOAD = 65536


class NotUnderstoodError(ValueError):
    """A message that is passed over; its text says why."""


_ENDS = ("at", "hand")


def topics_heard(agenda: Agenda) -> list[str]:
    """All topics that a keeper listens to."""
    of_motors = [f"{agenda.topic}/{slug}/{end}" for slug in agenda.by_slug for end in _ENDS]
    of_sensors = dict.fromkeys(sensor.topic for sensor in agenda.sensors)
    return [*of_motors, f"{agenda.topic}/hold", *of_sensors]


def news_of(agenda: Agenda, topic: str, payload: bytes) -> list[News]:
    """What a message means; nothing where the topic is none of the keeper's.

    Raises
    ------
    NotUnderstoodError
        When its payload is not what belongs there.
    """
    news: list[News] = [
        Reading(sensor.name, _reading(sensor, payload))
        for sensor in agenda.sensors
        if sensor.topic == topic
    ]
    head = f"{agenda.topic}/"
    if not topic.startswith(head):
        return news
    parts = topic.removeprefix(head).split("/")
    match parts:
        case ["hold"]:
            news.append(_hold(agenda, _members(payload)))
        case [slug, "at"] if slug in agenda.by_slug:
            news.append(_report(slug, _members(payload)))
        case [slug, "hand"] if slug in agenda.by_slug:
            news.append(_hand(slug, _members(payload)))
        case _:
            pass
    return news


def _members(payload: bytes) -> dict[str, Any]:
    value = _json(payload)
    if not isinstance(value, dict):
        raise NotUnderstoodError("it is no JSON object")
    return value


def _json(payload: bytes) -> Any:
    if len(payload) > LONGEST_PAYLOAD:
        raise NotUnderstoodError("it is too long")
    try:
        return json.loads(payload.decode("utf-8"))
    except (ValueError, RecursionError):
        raise NotUnderstoodError("it is no JSON in UTF-8") from None


def _report(slug: str, members: dict[str, Any]) -> Report:
    order, moving = members.get("order"), members.get("moving", False)
    if order is not None and not isinstance(order, str):
        raise NotUnderstoodError("`order` is no text")
    if not isinstance(moving, bool):
        raise NotUnderstoodError("`moving` is neither true nor false")
    return Report(slug, order, _position(members), moving)


def _position(members: dict[str, Any]) -> float | None:
    if "position" not in members:
        raise NotUnderstoodError("there is no `position`; it may be null")
    value = members["position"]
    if value is None:
        return None
    if isinstance(value, bool) or not isinstance(value, int | float) or not 0 <= value <= 100:
        raise NotUnderstoodError("`position` is no number from 0 to 100")
    return float(value)


def _hand(slug: str, members: dict[str, Any]) -> Hand:
    stop = members.get("stop", False)
    if not isinstance(stop, bool):
        raise NotUnderstoodError("`stop` is neither true nor false")
    if stop:
        return Hand(slug, _position(members) if "position" in members else None, stop=True)
    return Hand(slug, _position(members))


def _hold(agenda: Agenda, members: dict[str, Any]) -> Hold:
    off = members.get("off", False)
    if not isinstance(off, bool):
        raise NotUnderstoodError("`off` is neither true nor false")
    if off:
        return Hold(off=True)
    if "until" not in members:
        raise NotUnderstoodError("there is neither `until` nor `off`")
    until = members["until"]
    if until is None:
        return Hold()
    if not isinstance(until, str):
        raise NotUnderstoodError("`until` is no ISO 8601 time")
    try:
        return Hold(_hold_end(until, agenda.zone))
    except ValueError as error:
        raise NotUnderstoodError(f"`until`: {error}") from None


def _hold_end(text: str, zone: ZoneInfo) -> float | None:
    """When a hold ends. A year that no plan reaches, 9999 say, means that it does not."""
    with contextlib.suppress(ValueError):
        if datetime.fromisoformat(text).year > LAST_DATE.year:
            return None
    return parse_instant(text, zone)


def _reading(sensor: Sensor, payload: bytes) -> float:
    value = _json(payload)
    if sensor.member is not None:
        if not isinstance(value, dict) or sensor.member not in value:
            raise NotUnderstoodError(f"it has no member `{printable(sensor.member)}`")
        value = value[sensor.member]
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
        raise NotUnderstoodError("it is no number")
    return float(value)


def encoded(members: dict[str, Any]) -> bytes:
    """A payload: a JSON object in UTF-8."""
    return json.dumps(members, ensure_ascii=False).encode()


def go_members(flight: Flight, agenda: Agenda) -> dict[str, Any]:
    """An order as its motor gets it."""
    return {
        "order": flight.order,
        "position": plain_number(flight.position),
        "direction": flight.direction,
        "seconds": flight.seconds,
        "zero": flight.zero,
        "not_after": iso_local(math.ceil(flight.not_after), agenda.zone),
        "reason": flight.reason,
    }


def plain_number(value: float) -> float | int:
    """A whole number without a point."""
    return int(value) if value == int(value) else value


def state_word(agenda: Agenda, motor: Motor, state: State, now: float, waits: str = "") -> str:
    """What a shade does, in one of the six phrases that others go by."""
    shade = state.of(motor.slug)
    target, _ = target_of(agenda, motor, state, shade, now)
    if state.hold is not None:
        return "held"
    if shade.hand is not None:
        return "by hand"
    if shade.silences >= 2:
        return "no answer"
    if shade.flight is not None or shade.busy > now:
        return "moving"
    if shade.position is None:
        return "not known"
    if abs(shade.position - target.position) < 1.0:
        return "as planned"
    return "held" if waits.startswith(("quiet hours", "it has to stay up")) else "moving"


def next_members(
    agenda: Agenda, motor: Motor, state: State, now: float, waits: str = ""
) -> dict[str, Any]:
    """A shade's next move by the plan, and its state."""
    step, after = steps_around(motor, now)
    members: dict[str, Any] = dict.fromkeys(("at", "position", "direction", "seconds", "reason"))
    if after is not None:
        move = next_move(after, step.position if step else 0, motor.runs)
        members = {
            "at": iso_local(move.at, agenda.zone),
            "position": move.position,
            "direction": move.direction,
            "seconds": move.seconds,
            "reason": move.reason,
        }
    return {**members, "state": state_word(agenda, motor, state, now, waits)}
