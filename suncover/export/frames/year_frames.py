"""Frames of weather years and of comparisons over them: see `frame`."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

import numpy as np

from suncover.compare.summary import Line, Summary
from suncover.compare.year import Comparison
from suncover.export.frames.columns import times
from suncover.sun.weather.year import WeatherYear

if TYPE_CHECKING:
    import pandas as pd

WATT_HOURS = 1000.0


def of_comparison(comparison: Comparison, zone: ZoneInfo) -> pd.DataFrame:
    """Every weather row, window and option: kWh on the glass and into the room, of whole windows.

    `time` is where the row starts. Sums over a window and an option are the year's.
    """
    import pandas as pd

    start = times(comparison.weather.start, zone)
    parts = []
    for option, windows in comparison.outcomes.items():
        for window, outcome in windows.items():
            columns = {
                "time": start,
                "window": window,
                "option": option,
                "incident_kwh": outcome.incident / WATT_HOURS,
                "admitted_kwh": outcome.admitted / WATT_HOURS,
            }
            for end in ("least", "most"):  # where the method knows how far it may be off
                if (bound := getattr(outcome, end, None)) is not None:
                    columns[f"admitted_{end}_kwh"] = bound / WATT_HOURS
            parts.append(pd.DataFrame(columns))
    return pd.concat(parts, ignore_index=True)


def of_summary(summary: Summary, zone: ZoneInfo) -> pd.DataFrame:
    """Every option: of the house, where `window` is missing, and of each window."""
    return of_lines([*summary.house, *sum(summary.windows.values(), ())], zone)


def of_lines(lines: Sequence[Line], zone: ZoneInfo) -> pd.DataFrame:
    """Lines of a summary, in the order given."""
    import pandas as pd

    return pd.DataFrame(
        {
            "option": [line.option for line in lines],
            "window": [line.window for line in lines],
            "incident_kwh": [line.incident_kwh for line in lines],
            "admitted_kwh": [line.admitted_kwh for line in lines],
            "kept_out_share": [line.kept_out for line in lines],
            "peak_w": [line.peak_w for line in lines],
            "peak_time": times([line.peak_time for line in lines], zone),
            "closed_hours": [line.closed_h for line in lines],
            "daylight_share": np.array([line.daylight for line in lines], dtype=np.float64),
        }
    )


def of_weather(weather: WeatherYear, zone: ZoneInfo) -> pd.DataFrame:
    """The rows of a weather year: means over each, `time` where it starts."""
    import pandas as pd

    columns = {
        "time": times(weather.start, zone),
        "ghi_w_m2": weather.ghi,
        "dni_w_m2": weather.dni,
        "dhi_w_m2": weather.dhi,
    }
    if weather.temperature is not None:
        columns["temperature_c"] = weather.temperature
    return pd.DataFrame(columns)
