"""Instants as people and other programs write them: ISO 8601, with an offset or by local clocks."""

from __future__ import annotations

from datetime import datetime
from zoneinfo import ZoneInfo

from suncover.base.clock import FIRST_DATE, LAST_DATE, YEARS, instant_of


def parse_instant(text: str, zone: ZoneInfo) -> float:
    """Unix seconds of an ISO 8601 time; one without an offset is by the clocks of `zone`.

    Raises
    ------
    ValueError
        With a sentence that says what is wrong.
    """
    text = text.strip()
    try:
        moment = datetime.fromisoformat(text)
    except ValueError:
        moment = None
    if moment is None or len(text) <= len("2027-06-21"):
        raise ValueError(
            f"{text[:40]!r} is not a time such as 2027-06-21T14:30 or 2027-06-21T14:30:00-04:00"
        )
    if not FIRST_DATE <= moment.date() <= LAST_DATE:
        raise ValueError(
            f"{text[:40]!r} is outside {YEARS}, the years that the sun is computed for"
        )
    if moment.tzinfo is not None:
        return moment.timestamp()
    return float(instant_of(moment.date(), moment.time(), zone))
