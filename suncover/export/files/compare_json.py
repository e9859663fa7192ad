"""The comparison as JSON: every figure of the text, the months, and the sweep of overhangs.

What an option is worth is counted beside what stands.
"""

from __future__ import annotations

import math
from typing import Any

from suncover.base.clock import iso_local
from suncover.compare.money import Worth
from suncover.compare.overhangs import Swept
from suncover.compare.summary import Line, Summary, of_always, of_plan
from suncover.export.files.as_json import json_bytes, time_json
from suncover.export.text.compare_advice import advice, overhang_verdict, standing_words
from suncover.site.options import Range
from suncover.sun.weather.days import cooling_degree_days


def compare_json(summary: Summary) -> bytes:
    """The document as bytes, UTF-8. Ranges are [low, high]; a payback that never comes is null."""
    comparison = summary.comparison
    weather = comparison.weather
    document = {
        "site": comparison.site.place.name,
        "weather": {
            "source": weather.source,
            "typical_year": weather.typical,
            "clear_sky": weather.clear,
            "elsewhere": weather.elsewhere,
            "cooling_degree_days_c": _degree_days(summary),
            "remarks": list(weather.remarks),
        },
        "sky_model": comparison.model,
        "as_it_stands": standing_words(summary),
        "in_short": advice(summary),
        "assumptions": list(summary.assumptions),
        "cautions": list(summary.cautions),
        "house": [_line(summary, line) for line in summary.house],
        "windows": {
            name: [_line(summary, line) for line in lines]
            for name, lines in summary.windows.items()
        },
        "plan_share_of_always_closed": of_always(summary),
        "sunny_hours_share_of_plan": of_plan(summary),
        "best_overhangs": [
            {
                "window": best.window,
                "unit": best.unit,
                "verdict": overhang_verdict(best),
                "best": None if best.best is None else _swept(best.best),
                "today": _swept(best.today),
                "runs_past_the_glass_m": list(best.runs),
                "shade_net": best.shade_net,
                "tried": [_swept(tried) for tried in best.tried],
            }
            for best in summary.overhangs
        ],
    }
    return json_bytes(document)


def _swept(swept: Swept) -> dict[str, Any]:
    return {
        "depth": swept.depth,
        "gap": swept.gap,
        "kept_out": swept.kept_out,
        "lost": swept.lost,
        "net": swept.net,
        "adds": worth_json(swept.worth),
    }


def _degree_days(summary: Summary) -> float | None:
    warmth = summary.comparison.days.warmth
    return None if warmth is None else round(cooling_degree_days(warmth), 1)


def _line(summary: Summary, line: Line) -> dict[str, Any]:
    comparison = summary.comparison
    outcomes = [
        outcome
        for outcome in comparison.outcomes[line.option].values()
        if line.window in (None, outcome.window)
    ]
    zone = comparison.site.place.zone
    return {
        "option": line.option,
        "incident_kwh": round(line.incident_kwh, 3),
        "admitted_kwh": round(line.admitted_kwh, 3),
        "incident_kwh_by_month": _months(summary, sum(outcome.incident for outcome in outcomes)),
        "admitted_kwh_by_month": _months(summary, sum(outcome.admitted for outcome in outcomes)),
        "less_than_as_it_stands_kwh": round(line.less_kwh, 3) + 0.0,
        "kept_out_share": round(line.kept_out, 4),
        "peak_w": round(line.peak_w, 1),
        "peak_time": iso_local(line.peak_time, zone),
        "cooling_season_peak_w": round(line.cooling_peak_w, 1),
        "cooling_season_peak_time": time_json(line.cooling_peak_time, zone),
        "shade_down_daylight_hours": round(line.closed_h, 1),
        "daylight_left_share": None if line.daylight is None else round(line.daylight, 4),
        "price": line.price,
        **worth_json(line.worth),
    }


def _months(summary: Summary, rows: Any) -> list[float]:
    return [round(float(value) / 1000.0, 3) for value in summary.comparison.days.monthly(rows)]


def worth_json(worth: Worth) -> dict[str, Any]:
    """What something is worth, its ranges as lists."""
    return {
        "kept_out_on_cooling_days_kwh": _range(worth.kept_out_kwh),
        "lost_on_heating_days_kwh": _range(worth.lost_kwh),
        "electricity_saved_kwh": _range(worth.electricity_kwh),
        "heating_added_kwh": _range(worth.heat_kwh),
        "net_electricity_kwh": _range(worth.net_kwh),
        "worth_a_year": _range(worth.money),
        "payback_years": _range(worth.payback),
    }


def _range(pair: Range | None) -> list[float | None] | None:
    if pair is None:
        return None
    return [None if math.isinf(end) else round(end, 3) for end in pair]
