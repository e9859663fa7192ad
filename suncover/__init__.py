"""Sun on windows: when it comes, when each shade should close for it, and what that saves.

    load_site("home.toml"), site_from_text, site_from_tables
                                                 a site, checked        -> Site
    hours(site, first, last)                     sun on each window     -> {name: (Spell, …)}
    hours_seconds(site, first, last)             the same as arrays, window by window
    spots(site, first, last), doses              sun on places in rooms -> {name: (Spell, …)}
    reaches(site, spells)                        how far sun falls in   -> {name: [metres, …]}
    season_plan(site, first, last)               each shade's closings  -> [ShadePlan, …]
    plan_day(site, day)                          one day of each shade  -> [ShadeDay, …]
    audit_plan(site, read_plan(…))               a plan against the sun -> Audit
    summarize(compare_year(site, load_weather(site)))
                                                 overhang against shade -> Summary
    study_walls(site, read_sightings(…))         which way walls face   -> (WallStudy, …)

    shade_sun(site, first, last)                 what each shade is there for -> [ShadeSun, …]
    plans_for, best_plans, vary                  plans for that: by the rules, the best, for timers
    summary_of, steps_by_rules                   what a plan comes to, and what a step would bring

    hours_csv, spots_csv, plan_csv, plan_ics, plan_rrule_ics, dial_card, compare_csv, facing_csv,
    hours_json, spots_json, audit_json, compare_json
                                                 results                -> bytes of a file
    gather_report(site, first, last, at)         all that a report shows -> ReportData
    report_page(data), report_figures(data)      one page, or every picture -> bytes, Figures
    write_all({path: content})                   files, all or none

    sun_position, clear_sky_dni, sunlit_fraction, find_exposures, needed_spells, make_shade_plan
                                                 the stages, each of use alone
    window_scene, spot_scene                     is it lit, and how much of it, at any instants
    reach, sun_patch                             what the sun does in a room

Dates are the site's local days, both included; instants are unix seconds, UTC; lengths metres;
angles degrees, azimuths clockwise from true north. What goes wrong on purpose is a SuncoverError.
Names load what they need when they are first used, so importing this package is quick.
docs/library.md shows how to use them.
"""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from suncover.audit import Audit, Overload, QuietMove, ShadeAudit, audit_plan, moved_to_year
    from suncover.best import BestPlan, best_plans
    from suncover.best_units import Price
    from suncover.clearsky import clear_sky_dni
    from suncover.clock import dates_bounds, in_season, iso_local, local_date
    from suncover.compare import Comparison, Outcome, compare_year
    from suncover.compare_summary import Line, Summary, summarize
    from suncover.day_plan import ShadeDay, SunDay, plan_day, sun_day
    from suncover.errors import Fault, FileFaults, RequestError, SuncoverError
    from suncover.export.atomic import write_all
    from suncover.export.audit_json import audit_json
    from suncover.export.compare_csv import compare_csv
    from suncover.export.compare_json import compare_json
    from suncover.export.dial_card import dial_card, dial_card_csv
    from suncover.export.facing_csv import facing_csv
    from suncover.export.plan_csv import plan_csv
    from suncover.export.plan_ics import plan_ics
    from suncover.export.plan_rrule_ics import plan_rrule_ics
    from suncover.export.spells_csv import hours_csv, hours_pieces, spots_csv
    from suncover.export.sun_json import hours_json, spots_json
    from suncover.exposure import find_exposures, glass_of, observer_of, spot_scene, window_scene
    from suncover.facade.daylight import Daylight
    from suncover.facade.frame import (
        Slopes,
        direction,
        incidence_angle,
        profile_angle,
        shadow_slopes,
        window_axes,
    )
    from suncover.facade.glazed import Glass, Plate, fin_plate, overhang_plate
    from suncover.facade.plates import sunlit_fraction
    from suncover.facade.reach import Level, reach, sun_patch
    from suncover.facade.scene import SpotScene, WindowScene
    from suncover.facing.estimate import Facing
    from suncover.facing.walls import WallStudy, study_walls
    from suncover.money import Worth
    from suncover.needs import Want, needed_spells
    from suncover.notes import site_notes
    from suncover.overhang_sweep import BestOverhang, Swept
    from suncover.pipeline import (
        ShadeSun,
        doses,
        hours,
        hours_seconds,
        light_of,
        plans_for,
        reaches,
        season_plan,
        shade_sun,
        spots,
    )
    from suncover.plan import Closing, ShadePlan, Uncovered, make_shade_plan
    from suncover.plan_read import plan_from_text, read_plan
    from suncover.plan_summary import PlanSummary, ShadeSummary, Step, steps_by_rules, summary_of
    from suncover.report.figure import Figure
    from suncover.report.figures import report_figures
    from suncover.report.gather import ReportData, gather_report
    from suncover.report.page import report_page
    from suncover.room_sun import SpotDose
    from suncover.sightings import Sighting, read_sightings, sightings_from_text
    from suncover.site import Fin, Place, Site, Window
    from suncover.site_best import Best
    from suncover.site_needs import Fading, Glare, Need, Privacy, ShadeNeed, Sleep
    from suncover.site_options import Money, Option
    from suncover.site_parts import Canopy, Glazing, Obstacle, Overhang, Roller, Spot, Tree, Weather
    from suncover.site_shades import Shade
    from suncover.site_sharing import DatedException, EventMeaning, Group, HouseCalendar, Supply
    from suncover.sitefile import load_site, site_from_tables, site_from_text, with_named_files
    from suncover.spell import Spell
    from suncover.sun import Observer, SunPosition, sun_directions, sun_position
    from suncover.sun_summary import Period, periods
    from suncover.timers import Dial, Setting, TimerPlan
    from suncover.twilight import light_intervals
    from suncover.variants import Variant, VariedPlans, vary
    from suncover.weather import load_weather
    from suncover.weather_year import WeatherYear

__all__ = [
    "Audit",
    "Best",
    "BestOverhang",
    "BestPlan",
    "Canopy",
    "Closing",
    "Comparison",
    "DatedException",
    "Daylight",
    "Dial",
    "EventMeaning",
    "Facing",
    "Fading",
    "Fault",
    "Figure",
    "FileFaults",
    "Fin",
    "Glare",
    "Glass",
    "Glazing",
    "Group",
    "HouseCalendar",
    "Level",
    "Line",
    "Money",
    "Need",
    "Observer",
    "Obstacle",
    "Option",
    "Outcome",
    "Overhang",
    "Overload",
    "Period",
    "Place",
    "PlanSummary",
    "Plate",
    "Price",
    "Privacy",
    "QuietMove",
    "ReportData",
    "RequestError",
    "Roller",
    "Setting",
    "Shade",
    "ShadeAudit",
    "ShadeDay",
    "ShadeNeed",
    "ShadePlan",
    "ShadeSummary",
    "ShadeSun",
    "Sighting",
    "Site",
    "Sleep",
    "Slopes",
    "Spell",
    "Spot",
    "SpotDose",
    "SpotScene",
    "Step",
    "Summary",
    "SunDay",
    "SunPosition",
    "SuncoverError",
    "Supply",
    "Swept",
    "TimerPlan",
    "Tree",
    "Uncovered",
    "Variant",
    "VariedPlans",
    "WallStudy",
    "Want",
    "Weather",
    "WeatherYear",
    "Window",
    "WindowScene",
    "Worth",
    "audit_json",
    "audit_plan",
    "best_plans",
    "clear_sky_dni",
    "compare_csv",
    "compare_json",
    "compare_year",
    "dates_bounds",
    "dial_card",
    "dial_card_csv",
    "direction",
    "doses",
    "facing_csv",
    "fin_plate",
    "find_exposures",
    "gather_report",
    "glass_of",
    "hours",
    "hours_csv",
    "hours_json",
    "hours_pieces",
    "hours_seconds",
    "in_season",
    "incidence_angle",
    "iso_local",
    "light_intervals",
    "light_of",
    "load_site",
    "load_weather",
    "local_date",
    "make_shade_plan",
    "moved_to_year",
    "needed_spells",
    "observer_of",
    "overhang_plate",
    "periods",
    "plan_csv",
    "plan_day",
    "plan_from_text",
    "plan_ics",
    "plan_rrule_ics",
    "plans_for",
    "profile_angle",
    "reach",
    "reaches",
    "read_plan",
    "read_sightings",
    "report_figures",
    "report_page",
    "season_plan",
    "shade_sun",
    "shadow_slopes",
    "sightings_from_text",
    "site_from_tables",
    "site_from_text",
    "site_notes",
    "spot_scene",
    "spots",
    "spots_csv",
    "spots_json",
    "steps_by_rules",
    "study_walls",
    "summarize",
    "summary_of",
    "sun_day",
    "sun_directions",
    "sun_patch",
    "sun_position",
    "sunlit_fraction",
    "vary",
    "window_axes",
    "window_scene",
    "with_named_files",
    "write_all",
]

# Where each public name is made; the imports above say the same to type checkers.
_MODULES = {
    "audit": "Audit Overload QuietMove ShadeAudit audit_plan moved_to_year",
    "best": "BestPlan best_plans",
    "best_units": "Price",
    "clearsky": "clear_sky_dni",
    "clock": "dates_bounds in_season iso_local local_date",
    "compare": "Comparison Outcome compare_year",
    "compare_summary": "Line Summary summarize",
    "day_plan": "ShadeDay SunDay plan_day sun_day",
    "errors": "Fault FileFaults RequestError SuncoverError",
    "export.atomic": "write_all",
    "export.audit_json": "audit_json",
    "export.compare_csv": "compare_csv",
    "export.compare_json": "compare_json",
    "export.dial_card": "dial_card dial_card_csv",
    "export.facing_csv": "facing_csv",
    "export.plan_csv": "plan_csv",
    "export.plan_ics": "plan_ics",
    "export.plan_rrule_ics": "plan_rrule_ics",
    "export.spells_csv": "hours_csv hours_pieces spots_csv",
    "export.sun_json": "hours_json spots_json",
    "exposure": "find_exposures glass_of observer_of spot_scene window_scene",
    "facade.daylight": "Daylight",
    "facade.frame": "Slopes direction incidence_angle profile_angle shadow_slopes window_axes",
    "facade.glazed": "Glass Plate fin_plate overhang_plate",
    "facade.plates": "sunlit_fraction",
    "facade.reach": "Level reach sun_patch",
    "facade.scene": "SpotScene WindowScene",
    "facing.estimate": "Facing",
    "facing.walls": "WallStudy study_walls",
    "money": "Worth",
    "needs": "Want needed_spells",
    "notes": "site_notes",
    "overhang_sweep": "BestOverhang Swept",
    "pipeline": "ShadeSun doses hours hours_seconds light_of plans_for reaches season_plan "
    "shade_sun spots",
    "plan": "Closing ShadePlan Uncovered make_shade_plan",
    "plan_read": "plan_from_text read_plan",
    "plan_summary": "PlanSummary ShadeSummary Step steps_by_rules summary_of",
    "report.figure": "Figure",
    "report.figures": "report_figures",
    "report.gather": "ReportData gather_report",
    "report.page": "report_page",
    "room_sun": "SpotDose",
    "sightings": "Sighting read_sightings sightings_from_text",
    "site": "Fin Place Site Window",
    "site_best": "Best",
    "site_needs": "Fading Glare Need Privacy ShadeNeed Sleep",
    "site_options": "Money Option",
    "site_parts": "Canopy Glazing Obstacle Overhang Roller Spot Tree Weather",
    "site_shades": "Shade",
    "site_sharing": "DatedException EventMeaning Group HouseCalendar Supply",
    "sitefile": "load_site site_from_tables site_from_text with_named_files",
    "spell": "Spell",
    "sun": "Observer SunPosition sun_directions sun_position",
    "sun_summary": "Period periods",
    "timers": "Dial Setting TimerPlan",
    "twilight": "light_intervals",
    "variants": "Variant VariedPlans vary",
    "weather": "load_weather",
    "weather_year": "WeatherYear",
}
_MODULE_OF = {name: module for module, names in _MODULES.items() for name in names.split()}


def __getattr__(name: str) -> Any:
    """A public name, from its module, which is loaded now if it was not before."""
    if name not in _MODULE_OF:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    value = getattr(importlib.import_module(f"{__name__}.{_MODULE_OF[name]}"), name)
    globals()[name] = value
    return value


def __dir__() -> list[str]:
    return sorted({*globals(), *__all__})
