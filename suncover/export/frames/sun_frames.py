"""Frames of spells, plans, doses, audits and sightings: see `frame`."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any
from zoneinfo import ZoneInfo

import numpy as np

from suncover.base.spell import Spell
from suncover.export.frames.columns import minutes, times
from suncover.facade.periods import Period
from suncover.facing.walls import WallStudy
from suncover.plan.audit import Audit
from suncover.plan.closings.shade_plan import Closing, Uncovered, in_time_order
from suncover.plan.room_sun import SpotDose
from suncover.plan.summary import PlanSummary
from suncover.site.sightings import Sighting

if TYPE_CHECKING:
    import pandas as pd


def of_spells(
    spells: Mapping[str, Sequence[Spell] | Any], zone: ZoneInfo | None, kind: str
) -> pd.DataFrame:
    """Spells by the name of their window or spot (`kind`), or as arrays (n, 2); no dates where the
    zone is not known.
    """
    import pandas as pd

    ends = {name: _ends(part) for name, part in spells.items()}
    rows = np.concatenate([*ends.values(), np.zeros((0, 2), dtype=np.int64)])
    names = [name for name, part in ends.items() for _ in range(len(part))]
    start = times(rows[:, 0], zone or ZoneInfo("UTC"))
    columns: dict[str, Any] = {kind: names}
    if zone is not None:
        columns["date"] = start.date
    columns["start"], columns["end"] = start, times(rows[:, 1], zone or ZoneInfo("UTC"))
    columns["minutes"] = minutes(rows[:, 1] - rows[:, 0])
    return pd.DataFrame(columns)


def of_spell_list(spells: Sequence[Spell], zone: ZoneInfo) -> pd.DataFrame:
    """Spells of one thing, whose name is not known."""
    return of_spells({"": spells}, zone, "window").drop(columns=["window", "date"])


def _ends(spells: Sequence[Spell] | Any) -> Any:
    if isinstance(spells, np.ndarray):
        return spells.astype(np.int64)
    return np.array([(s.start, s.end) for s in spells], dtype=np.int64).reshape(-1, 2)


def of_closings(closings: Sequence[Closing], zone: ZoneInfo) -> pd.DataFrame:
    """Closings of any shades, in the columns of a plan's CSV and in its order."""
    import pandas as pd

    rows = in_time_order(closings)
    return pd.DataFrame(
        {
            "shade": [row.shade for row in rows],
            "date": [row.date for row in rows],
            "close": times([row.close for row in rows], zone),
            "open": times([row.open for row in rows], zone),
            "minutes": minutes([row.open - row.close for row in rows]),
            "sun_minutes": minutes([row.sun_seconds for row in rows]),
            "reason": [row.reason for row in rows],
            "position": np.array([row.position for row in rows], dtype=np.int64),
            "run_seconds": np.array([row.run_seconds for row in rows], dtype=np.float64),
        }
    )


def of_uncovered(parts: Sequence[Uncovered], zone: ZoneInfo) -> pd.DataFrame:
    """What plans leave uncovered, in the order given."""
    import pandas as pd

    return pd.DataFrame(
        {
            "shade": [part.shade for part in parts],
            "start": times([part.start for part in parts], zone),
            "end": times([part.end for part in parts], zone),
            "minutes": minutes([part.end - part.start for part in parts]),
            "rule": [part.rule for part in parts],
            "why": [part.why for part in parts],
            "sun": [part.sun for part in parts],
        }
    )


def of_periods(periods: Sequence[Period], _zone: ZoneInfo) -> pd.DataFrame:
    """Months or years."""
    import pandas as pd

    return pd.DataFrame(
        {
            "period": [period.label for period in periods],
            "hours": minutes([period.seconds for period in periods]) / 60.0,
            "sunny_days": [period.sunny_days for period in periods],
            "earliest_clock": pd.to_timedelta([period.earliest for period in periods], unit="s"),
            "latest_clock": pd.to_timedelta([period.latest for period in periods], unit="s"),
        }
    )


def of_doses(doses: Sequence[SpotDose], _zone: ZoneInfo) -> pd.DataFrame:
    """The light that spots get."""
    import pandas as pd

    return pd.DataFrame(
        {
            "spot": [dose.spot for dose in doses],
            "window": [dose.window for dose in doses],
            "sun_minutes": minutes([dose.seconds for dose in doses]),
            "kwh_per_m2": [dose.kwh_per_m2 for dose in doses],
            "kwh_left_per_m2": [dose.kwh_left_per_m2 for dose in doses],
            "klux_hours": [dose.klux_hours for dose in doses],
            "klux_hours_left": [dose.klux_hours_left for dose in doses],
        }
    )


def of_audit(audit: Audit, _zone: ZoneInfo) -> pd.DataFrame:
    """What a plan does with each shade between the audit's dates."""
    import pandas as pd

    shades = audit.shades
    return pd.DataFrame(
        {
            "shade": [shade.shade for shade in shades],
            "first_date": [audit.first] * len(shades),
            "last_date": [audit.last] * len(shades),
            "closings": [shade.closings for shade in shades],
            "promised_minutes": minutes([shade.promised for shade in shades]),
            "missed_minutes": minutes([shade.missed for shade in shades]),
            "missed_kwh": [shade.missed_kwh for shade in shades],
            "covered_share": [shade.covered_share for shade in shades],
            "let_in_minutes": minutes([shade.let_in for shade in shades]),
            "needless_minutes": minutes([shade.needless for shade in shades]),
            "moves": [sum(shade.moves.values()) for shade in shades],
            "run_seconds": [float(sum(shade.run_seconds.values())) for shade in shades],
            "days_over_limit": [len(shade.over_limit) for shade in shades],
            "moves_in_quiet": [len(shade.in_quiet) for shade in shades],
            "not_up_minutes": minutes([sum(s.seconds for s in shade.not_up) for shade in shades]),
            "broken": [shade.broken for shade in shades],
        }
    )


def of_plan_summary(summary: PlanSummary, _zone: ZoneInfo) -> pd.DataFrame:
    """What a plan comes to, shade by shade."""
    import pandas as pd

    shades = summary.shades
    return pd.DataFrame(
        {
            "shade": [shade.shade for shade in shades],
            "covered_minutes": minutes([shade.covered for shade in shades]),
            "uncovered_minutes": minutes([shade.uncovered for shade in shades]),
            "needless_minutes": minutes([shade.needless for shade in shades]),
            "most_moves_a_day": [shade.moves for shade in shades],
            "most_run_seconds_a_day": [float(shade.run_seconds) for shade in shades],
            "moves_in_quiet": [len(shade.in_quiet) for shade in shades],
        }
    )


def of_sightings(sightings: Sequence[Sighting], zone: ZoneInfo) -> pd.DataFrame:
    """What was seen of the sun, in the order given."""
    import pandas as pd

    def floats(name: str) -> Any:
        return np.array([getattr(sighting, name) for sighting in sightings], dtype=np.float64)

    return pd.DataFrame(
        {
            "window": [sighting.window for sighting in sightings],
            "time": times([round(sighting.time) for sighting in sightings], zone),
            "seen": [sighting.seen for sighting in sightings],
            "minutes": floats("minutes"),
            "distance_m": floats("distance"),
            "offset_m": floats("offset"),
            "corner": [sighting.corner for sighting in sightings],
        }
    )


def of_walls(walls: Sequence[WallStudy], _zone: ZoneInfo) -> pd.DataFrame:
    """Which way windows face by what was seen; none where nothing was."""
    import pandas as pd

    rows = [(name, wall.facing) for wall in walls for name in wall.windows]
    return pd.DataFrame(
        {
            "window": [name for name, _ in rows],
            "azimuth_deg": [f.azimuth if f else np.nan for _, f in rows],
            "azimuth_sd_deg": [f.sd if f else np.nan for _, f in rows],
        }
    )
