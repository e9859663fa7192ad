"""One day of every shade as JSON: what the page of `suncover today` shows, for programs."""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from datetime import date
from typing import Any
from zoneinfo import ZoneInfo

from suncover.base.clock import iso_local
from suncover.base.spell import Spell
from suncover.plan.day_plan import ShadeDay, SunDay
from suncover.site.model import Site


def day_json(site: Site, day: date, shades: Sequence[ShadeDay], sun: SunDay) -> bytes:
    """The document's bytes, UTF-8; closings that reach over midnight are whole."""
    zone = site.place.zone
    document = {
        "site": site.place.name,
        "timezone": site.place.zone_name,
        "date": day.isoformat(),
        "sun": {
            "up": _spans(sun.up, zone),
            "highest": iso_local(sun.highest, zone),
            "height_deg": round(sun.height, 2),
            "sunrise": None if sun.sunrise is None else iso_local(sun.sunrise, zone),
            "sunset": None if sun.sunset is None else iso_local(sun.sunset, zone),
        },
        "shades": [_shade(shade, zone) for shade in shades],
    }
    return (json.dumps(document, indent=2, ensure_ascii=False) + "\n").encode()


def _shade(shade: ShadeDay, zone: ZoneInfo) -> dict[str, Any]:
    return {
        "shade": shade.shade.name,
        "in_season": shade.in_season,
        "closings": [
            {
                "close": iso_local(closing.close, zone),
                "open": iso_local(closing.open, zone),
                "position": closing.position,
                "run_seconds": closing.run_seconds,
                "reason": closing.reason,
            }
            for closing in shade.closings
        ],
        "stays_up": [
            {**_span(one.spell, zone), "reason": one.name}
            for one in shade.exceptions
            if one.do == "up"
        ],
        "uncovered": [
            {
                "start": iso_local(part.start, zone),
                "end": iso_local(part.end, zone),
                "sun": part.sun,
                "reason": part.why,
            }
            for part in shade.uncovered
        ],
        "sun": [
            {"window": name, "spells": _spans(spells, zone)} for name, spells in shade.sun.items()
        ],
    }


def _spans(spells: Iterable[Spell], zone: ZoneInfo) -> list[dict[str, str]]:
    return [_span(spell, zone) for spell in spells]


def _span(spell: Spell, zone: ZoneInfo) -> dict[str, str]:
    return {"start": iso_local(spell.start, zone), "end": iso_local(spell.end, zone)}
