"""Any result as a pandas DataFrame: one row for each thing, units in the names of columns.

    spells, plans, doses, … ──> frame ──> DataFrame

Times are aware, in the site's time zone where it is known and in UTC elsewhere. Columns bear the
names that the CSV files have, where a file has the same.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, Any
from zoneinfo import ZoneInfo

import numpy as np

from suncover.base.errors import RequestError
from suncover.base.spell import Spell, SpellsByName
from suncover.compare.summary import Line, Summary
from suncover.compare.year import Comparison
from suncover.export.frames import sun_frames, year_frames
from suncover.facade.periods import Period
from suncover.facing.walls import WallStudy
from suncover.plan.audit import Audit
from suncover.plan.best.plans import BestPlan
from suncover.plan.closings.shade_plan import Closing, ShadePlan, Uncovered
from suncover.plan.room_sun import SpotDose
from suncover.plan.summary import PlanSummary
from suncover.plan.timers.variants import VariedPlans
from suncover.site.kinds.zones import zone_fault
from suncover.site.model import Place, Site
from suncover.site.sightings import Sighting
from suncover.sun.weather.year import WeatherYear

if TYPE_CHECKING:
    import pandas as pd

UTC = ZoneInfo("UTC")
_TAKEN = (
    "spells of `hours` or `spots`, plans, closings, uncovered sun, a plan's summary, doses, an "
    "audit, a comparison or its summary, a weather year, periods, sightings, walls"
)
_LISTS: dict[type, Callable[[Any, Any], pd.DataFrame]] = {
    Spell: sun_frames.of_spell_list,
    Period: sun_frames.of_periods,
    SpotDose: sun_frames.of_doses,
    Sighting: sun_frames.of_sightings,
    WallStudy: sun_frames.of_walls,
    Closing: sun_frames.of_closings,
    Uncovered: sun_frames.of_uncovered,
    Line: year_frames.of_lines,
}
"""What a list of such things becomes."""


_WHOLES: dict[type, Callable[[Any, Any], pd.DataFrame]] = {
    Comparison: year_frames.of_comparison,
    Summary: year_frames.of_summary,
    WeatherYear: year_frames.of_weather,
    Audit: sun_frames.of_audit,
    PlanSummary: sun_frames.of_plan_summary,
}
"""What a result that is one thing becomes."""


def frame(result: Any, zone: ZoneInfo | Site | Place | str | None = None) -> pd.DataFrame:
    """A result as a DataFrame: units in the names of columns, aware times.

    - spells of `hours`, `spots`, `hours_seconds`, a row each: window (or spot), date, start, end,
      minutes; no date where the zone is not known
    - plans of any kind (`season_plan`, `plans_for`, `best_plans`, `vary`, `read_plan`), a row for
      each closing: shade, date, close, open, minutes, sun_minutes, reason, position (per cent
      down), run_seconds
    - `plan.uncovered`, a row for each stretch: shade, start, end, minutes, rule, why, sun
    - `audit_plan` and `summary_of`, a row for each shade: its sums in minutes, moves, kWh
    - `doses`, a row for each spot: spot, window, sun_minutes, kwh_per_m2, kwh_left_per_m2,
      klux_hours, klux_hours_left
    - `compare_year`, a row for each weather row, window and option: time (its start), window,
      option, incident_kwh, admitted_kwh
    - `summarize`, a row for each option, of the house (no window) and of each window: option,
      window, incident_kwh, admitted_kwh, kept_out_share, peak_w, peak_time, closed_hours,
      daylight_share
    - `load_weather`, a row for each of its rows: time (its start), ghi_w_m2, dni_w_m2, dhi_w_m2
    - `periods`, a row for each month or year: period, hours, sunny_days
    - `read_sightings`, a row each: window, time, seen, minutes, distance_m, offset_m, corner
    - `study_walls`, a row for each window: window, azimuth_deg, azimuth_sd_deg

    `zone` is the time zone in which times are given, or a site (a place) for its own. Left out: the
    zone that the result knows (spells, comparisons, their summaries), or else UTC.

    Raises
    ------
    RequestError
        When it is no such result, or there is no such zone.
    """
    zone_asked = _zone(zone) if zone is not None else None
    if isinstance(result, ShadePlan):
        result = [result]
    if isinstance(result, VariedPlans):
        result = list(result.plans)
    if isinstance(result, Iterator):  # of `hours_seconds`, window by window
        result = list(result)
        if all(isinstance(pair, tuple) and len(pair) == 2 for pair in result):
            result = dict(result)
    for kind, make in _WHOLES.items():
        if isinstance(result, kind):
            return make(result, zone_asked or _zone_of(result))
    if isinstance(result, Mapping):
        return _of_mapping(result, zone, zone_asked)
    if isinstance(result, Sequence) and not isinstance(result, (str, bytes)):
        return _of_list(list(result), zone_asked or UTC)
    raise RequestError(f"{type(result).__name__} is no result that has a frame; give {_TAKEN}")


def _of_mapping(result: Mapping[Any, Any], zone: Any, zone_asked: ZoneInfo | None) -> pd.DataFrame:
    """Spells by name."""
    for spells in result.values():
        is_array = isinstance(spells, np.ndarray) and spells.ndim == 2
        if not is_array and not (
            isinstance(spells, Sequence) and all(isinstance(spell, Spell) for spell in spells)
        ):
            raise RequestError(f"this mapping does not hold spells; give {_TAKEN}")
    kind = "window"
    if isinstance(result, SpellsByName):
        kind, zone_asked = result.kind, zone_asked or result.zone
    elif isinstance(zone, Site) and set(result) <= {spot.name for spot in zone.spots}:
        kind = "spot" if result else "window"
    return sun_frames.of_spells(result, zone_asked, kind)


def _of_list(results: list[Any], zone: ZoneInfo) -> pd.DataFrame:
    results = [result.plan if isinstance(result, BestPlan) else result for result in results]
    if not results or all(isinstance(result, ShadePlan) for result in results):
        closings = [closing for plan in results for closing in plan.closings]
        return sun_frames.of_closings(closings, zone)
    for kind, make in _LISTS.items():
        if all(isinstance(result, kind) for result in results):
            return make(results, zone)
    kinds = sorted({type(result).__name__ for result in results})
    raise RequestError(f"a list of {', '.join(kinds)} has no frame; give {_TAKEN}")


def _zone_of(result: object) -> ZoneInfo:
    """The zone that a result knows by its site; UTC where it has none."""
    if isinstance(result, Summary):
        result = result.comparison
    return result.site.place.zone if isinstance(result, Comparison) else UTC


def _zone(zone: Any) -> ZoneInfo:
    if isinstance(zone, ZoneInfo):
        return zone
    if isinstance(zone, Site):
        return zone.place.zone
    if isinstance(zone, Place):
        return zone.zone
    if isinstance(zone, str):
        if wrong := zone_fault(zone):
            raise RequestError(wrong)
        return ZoneInfo(zone)
    raise RequestError(
        f"{type(zone).__name__} is no time zone; give a site, a ZoneInfo, or a name such as "
        '"Europe/Paris"'
    )
