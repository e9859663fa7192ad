"""What every shade should do at one instant, as JSON."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any
from zoneinfo import ZoneInfo

from suncover.base.clock import iso_local
from suncover.plan.staircase import NextMove, Standing


def now_json(standings: Sequence[Standing], at: int, zone: ZoneInfo) -> bytes:
    """The document's bytes, UTF-8; `at` in unix seconds."""
    document = {"at": iso_local(at, zone), "shades": [_entry(one, zone) for one in standings]}
    return (json.dumps(document, indent=2, ensure_ascii=False) + "\n").encode()


def _entry(standing: Standing, zone: ZoneInfo) -> dict[str, Any]:
    return {
        "shade": standing.shade,
        "position": standing.position,
        "since": None if standing.since is None else iso_local(standing.since, zone),
        "until": None if standing.until is None else iso_local(standing.until, zone),
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
