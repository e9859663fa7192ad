"""An audit as JSON: every figure and every finding with its date."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any

from suncover.base.clock import iso_local, local_date
from suncover.compare.indoors import Indoors
from suncover.compare.plan_heat import PlanHeat
from suncover.compare.seen_sun import SeenSun
from suncover.export.files.as_json import json_bytes, spell_json
from suncover.export.files.compare_json import worth_json
from suncover.export.files.worked_json import worked_json
from suncover.plan.audit import Audit, ShadeAudit
from suncover.site.model import Site


def audit_json(
    site: Site,
    audit: Audit | None,
    *,
    open_ends: bool = False,
    heat: PlanHeat | None = None,
    seen: SeenSun | None = None,
    warm: Indoors | None = None,
) -> bytes:
    """The document's bytes, UTF-8; `shades` is empty for a plan that has no closings.

    `open_ends` says that the plan's own rows gave a day on which the audit begins or ends. `heat`
    is what the plan keeps out in a year of weather; `seen` and `warm` what logs of the house say.
    """
    document: dict[str, Any] = {
        "site": site.place.name,
        "timezone": site.place.zone_name,
        "from": None if audit is None else audit.first.isoformat(),
        "to": None if audit is None else audit.last.isoformat(),
        "days_from_plan": open_ends,
        "kept": audit is None or not audit.broken,
        "overloads": []
        if audit is None
        else [
            {"supply": overload.supply, "time": iso_local(overload.instant, site.place.zone)}
            for overload in audit.overloads
        ],
        "shades": [] if audit is None else [_shade(site, shade) for shade in audit.shades],
    }
    if heat is not None:
        document["heat"] = {
            "days": heat.days,
            "let_in_kwh": {
                "shades_up": round(heat.up_kwh, 3),
                "plan": round(heat.plan_kwh, 3),
                "rules": round(heat.rules_kwh, 3),
            },
            "beside_shades_up": {"plan": worth_json(heat.plan), "rules": worth_json(heat.rules)},
        }
    if seen is not None:
        document["logged"] = worked_json(seen, warm)
    return json_bytes(document)


def _shade(site: Site, shade: ShadeAudit) -> dict[str, Any]:
    zone = site.place.zone
    return {
        "shade": shade.shade,
        "closings": shade.closings,
        "need_minutes": _minutes(shade.promised + shade.let_in),
        "let_in_by_rules_minutes": _minutes(shade.let_in),
        "asked_minutes": _minutes(shade.promised),
        "uncovered_minutes": _minutes(shade.missed),
        "uncovered_beam_kwh": round(shade.missed_kwh, 3),
        "covered_share": round(shade.covered_share, 6),
        "needless_daylight_minutes": _minutes(shade.needless),
        "needless_daylight_minutes_of_new_plan": _minutes(shade.own_needless),
        "uncovered": [
            {
                "date": local_date(part.start, zone).isoformat(),
                **spell_json(part, zone),
                "minutes": _minutes(part.seconds),
            }
            for part in shade.uncovered
        ],
        "not_up": [spell_json(part, zone) for part in shade.not_up],
        "moves_in_quiet_hours": [
            {
                "date": local_date(move.instant, zone).isoformat(),
                "time": iso_local(move.instant, zone),
                "move": move.what,
            }
            for move in shade.in_quiet
        ],
        "closes_before_it_has_opened": [iso_local(at, zone) for at in shade.clashes],
        "moves_by_date": _by_date(shade.moves),
        "dates_over_moves_limit": _by_date(shade.over_limit),
        "motor_seconds_by_date": _by_date(shade.run_seconds),
    }


def _minutes(seconds: int) -> float:
    return round(seconds / 60, 2)


def _by_date(counts: Mapping[date, float]) -> dict[str, float]:
    return {day.isoformat(): count for day, count in counts.items()}
