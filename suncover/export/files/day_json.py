"""One day of every shade as JSON: what the page of `suncover today` shows, for programs."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Any
from zoneinfo import ZoneInfo

from suncover.base.clock import iso_local
from suncover.export.files.as_json import json_bytes, spell_json, time_json
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
            "up": [spell_json(spell, zone) for spell in sun.up],
            "highest": iso_local(sun.highest, zone),
            "height_deg": round(sun.height, 2),
            "sunrise": time_json(sun.sunrise, zone),
            "sunset": time_json(sun.sunset, zone),
        },
        "shades": [_shade(shade, zone) for shade in shades],
    }
    return json_bytes(document)


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
            {**spell_json(happening.spell, zone), "reason": happening.name}
            for happening in shade.exceptions
            if happening.do == "up"
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
            {"window": name, "spells": [spell_json(spell, zone) for spell in spells]}
            for name, spells in shade.sun.items()
        ],
    }
