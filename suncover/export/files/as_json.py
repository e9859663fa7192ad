"""What the JSON files have in common: how a document becomes bytes, and how a spell is written."""

from __future__ import annotations

import json
from typing import Any
from zoneinfo import ZoneInfo

from suncover.base.clock import iso_local
from suncover.base.spell import Spell


def json_bytes(document: dict[str, Any]) -> bytes:
    """A document's bytes, UTF-8, with a line for each member."""
    return (json.dumps(document, indent=2, ensure_ascii=False) + "\n").encode()


def spell_json(spell: Spell, zone: ZoneInfo) -> dict[str, str]:
    """A spell's start and end in local time."""
    return {"start": iso_local(spell.start, zone), "end": iso_local(spell.end, zone)}


def time_json(instant: int | None, zone: ZoneInfo) -> str | None:
    """An instant in local time; null where there is none."""
    return None if instant is None else iso_local(instant, zone)
