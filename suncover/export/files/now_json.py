"""What every shade should do at one instant, as JSON."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any
from zoneinfo import ZoneInfo

from suncover.base.clock import iso_local
from suncover.export.files.as_json import json_bytes, time_json
from suncover.plan.staircase import NextMove, Standing


def now_json(standings: Sequence[Standing], at: int, zone: ZoneInfo) -> bytes:
    """The document's bytes, UTF-8; `at` in unix seconds."""
    shades = [_entry(standing, zone) for standing in standings]
    return json_bytes({"at": iso_local(at, zone), "shades": shades})


def _entry(standing: Standing, zone: ZoneInfo) -> dict[str, Any]:
    return {
        "shade": standing.shade,
        "position": standing.position,
        "since": time_json(standing.since, zone),
        "until": time_json(standing.until, zone),
        "reason": standing.reason,
        "next": None if standing.next is None else next_entry(standing.next, zone),
    }


def next_entry(move: NextMove, zone: ZoneInfo) -> dict[str, Any]:
    """A move to come, as it stands in JSON."""
    return {
        "at": iso_local(move.at, zone),
        "position": move.position,
        "direction": move.direction,
        "seconds": move.seconds,
        "reason": move.reason,
    }
