"""Whether a plan worked, by the logs of a house, as JSON."""

from __future__ import annotations

from typing import Any

from suncover.compare.indoors import Indoors
from suncover.compare.seen_sun import SeenSun


def worked_json(seen: SeenSun, warm: Indoors | None = None) -> dict[str, Any]:
    """The part `logged` of an audit's document."""
    document: dict[str, Any] = {
        "window": seen.window,
        "shades": list(seen.shades),
        "why_not": seen.why_not,
        "clock_ahead_minutes": round(seen.clock.minutes, 2),
        "clock_sd_minutes": round(seen.clock.sd, 2),
        "clock_allowed_for_minutes": round(seen.moved_min, 2),
        "days_outside_plan": seen.outside,
        "sun_seen_shade_up_minutes": round(seen.sun_up / 60, 2),
        "sun_seen_shade_up_beam_kwh": round(seen.up_kwh, 3),
        "sun_seen_shade_down_minutes": round(seen.sun_down / 60, 2),
        "days": [
            {
                "date": day.date.isoformat(),
                "sun_possible_minutes": round(day.possible / 60, 2),
                "sun_seen_shade_up_minutes": round(day.sun_up / 60, 2),
                "sun_seen_shade_up_beam_kwh": round(day.up_kwh, 3),
                "sun_seen_shade_down_minutes": round(day.sun_down / 60, 2),
                "closings": day.closings,
            }
            for day in seen.days
        ],
    }
    if warm is not None:
        document["indoor"] = _indoor(warm)
    return document


def _indoor(warm: Indoors) -> dict[str, Any]:
    kinds = {}
    for closed, key in ((True, "with_closings"), (False, "without_closings")):
        count, above = warm.above(closed=closed)
        kinds[key] = {"days": count, "hours_above_limit": round(above / 3600, 2)}
    effect = None
    if warm.effect is not None and warm.low is not None and warm.high is not None:
        effect = {
            "difference_c": round(warm.effect, 3),
            "low_c": round(warm.low, 3),
            "high_c": round(warm.high, 3),
            "confidence": 0.95,
            "is_told": warm.is_told,
            "sun_allowed_for": warm.by_sun,
        }
    return {
        "limit_c": warm.limit,
        **kinds,
        "days_left_out": warm.left_out,
        "effect": effect,
        "why_not": warm.why_not,
        "days": [
            {
                "date": day.date.isoformat(),
                "mean_c": round(day.mean, 2),
                "highest_c": round(day.highest, 2),
                "outdoor_mean_c": None if day.outdoor is None else round(day.outdoor, 2),
                "hours_above_limit": round(day.above / 3600, 2),
                "closed": day.closed,
            }
            for day in warm.days
        ],
    }
