"""Sun on windows: when it comes, when each shade should close for it, and what that saves.

    load_site("home.toml")                       a site file, checked   -> Site
    hours(site, first, last)                     sun on each window     -> {name: (Spell, …)}
    spots(site, first, last)                     sun on places in rooms -> {name: (Spell, …)}
    season_plan(site, first, last)               each shade's closings  -> [ShadePlan, …]
    plan_day(site, day)                          one day of each shade  -> [ShadeDay, …]
    audit_plan(site, read_plan(…))               a plan against the sun -> Audit
    compare_year(site, load_weather(site))       overhang against shade -> Comparison
    study_walls(site, read_sightings(…))         which way walls face   -> (WallStudy, …)
    hours_csv, spots_csv, plan_csv, plan_ics,
    compare_csv, facing_csv                      results                -> bytes of a file
    gather_report(site, first, last, at)         all that a report shows -> ReportData
    report_page(data), report_figures(data)      one page, or every picture -> bytes, Figures
    write_all({path: content})                   files, all or none

    sun_position, clear_sky_dni, sunlit_fraction, find_exposures, needed_spells, make_shade_plan
                                                 the stages, each of use alone
    reach, sun_patch                             what the sun does in a room

Dates are the site's local days, both included; instants are unix seconds, UTC; lengths metres;
angles degrees, azimuths clockwise from true north. What goes wrong on purpose is a SuncoverError.
Names load what they need when they are first used, so importing this package is quick.
"""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from suncover.audit import Audit, audit_plan
    from suncover.clearsky import clear_sky_dni
    from suncover.compare import Comparison, compare_year
    from suncover.compare_summary import summarize
    from suncover.day_plan import ShadeDay, SunDay, plan_day, sun_day
    from suncover.errors import Fault, FileFaults, RequestError, SuncoverError
    from suncover.export.atomic import write_all
    from suncover.export.compare_csv import compare_csv
    from suncover.export.facing_csv import facing_csv
    from suncover.export.plan_csv import plan_csv
    from suncover.export.plan_ics import plan_ics
    from suncover.export.spells_csv import hours_csv, spots_csv
    from suncover.exposure import find_exposures, glass_of, observer_of, window_scene
    from suncover.facade.daylight import Daylight
    from suncover.facade.frame import (
        direction,
        incidence_angle,
        profile_angle,
        shadow_slopes,
        window_axes,
    )
    from suncover.facade.glazed import Glass, fin_plate, overhang_plate
    from suncover.facade.plates import sunlit_fraction
    from suncover.facade.reach import Level, reach, sun_patch
    from suncover.facing.walls import WallStudy, study_walls
    from suncover.needs import Want, needed_spells
    from suncover.notes import site_notes
    from suncover.pipeline import hours, season_plan, spots
    from suncover.plan import Closing, ShadePlan, Uncovered, make_shade_plan
    from suncover.plan_read import read_plan
    from suncover.report.figure import Figure
    from suncover.report.figures import report_figures
    from suncover.report.gather import ReportData, gather_report
    from suncover.report.page import report_page
    from suncover.sightings import Sighting, read_sightings
    from suncover.site import Need, Place, Shade, Site, Window
    from suncover.sitefile import load_site, site_from_text
    from suncover.spell import Spell
    from suncover.sun import Observer, SunPosition, sun_directions, sun_position
    from suncover.twilight import light_intervals
    from suncover.weather import load_weather

__all__ = [
    "Audit",
    "Closing",
    "Comparison",
    "Daylight",
    "Fault",
    "Figure",
    "FileFaults",
    "Glass",
    "Level",
    "Need",
    "Observer",
    "Place",
    "ReportData",
    "RequestError",
    "Shade",
    "ShadeDay",
    "ShadePlan",
    "Sighting",
    "Site",
    "Spell",
    "SunDay",
    "SunPosition",
    "SuncoverError",
    "Uncovered",
    "WallStudy",
    "Want",
    "Window",
    "audit_plan",
    "clear_sky_dni",
    "compare_csv",
    "compare_year",
    "direction",
    "facing_csv",
    "fin_plate",
    "find_exposures",
    "gather_report",
    "glass_of",
    "hours",
    "hours_csv",
    "incidence_angle",
    "light_intervals",
    "load_site",
    "load_weather",
    "make_shade_plan",
    "needed_spells",
    "observer_of",
    "overhang_plate",
    "plan_csv",
    "plan_day",
    "plan_ics",
    "profile_angle",
    "reach",
    "read_plan",
    "read_sightings",
    "report_figures",
    "report_page",
    "season_plan",
    "shadow_slopes",
    "site_from_text",
    "site_notes",
    "spots",
    "spots_csv",
    "study_walls",
    "summarize",
    "sun_day",
    "sun_directions",
    "sun_patch",
    "sun_position",
    "sunlit_fraction",
    "window_axes",
    "window_scene",
    "write_all",
]

# Where each public name is made; the imports above say the same to type checkers.
_MODULES = {
    "audit": (
        "Audit",
        "audit_plan",
    ),
    "compare": (
        "Comparison",
        "compare_year",
    ),
    "compare_summary": ("summarize",),
    "facing.walls": (
        "WallStudy",
        "study_walls",
    ),
    "plan_read": ("read_plan",),
    "sightings": (
        "Sighting",
        "read_sightings",
    ),
    "weather": ("load_weather",),
    "export.compare_csv": ("compare_csv",),
    "export.facing_csv": ("facing_csv",),
    "clearsky": ("clear_sky_dni",),
    "day_plan": ("ShadeDay", "SunDay", "plan_day", "sun_day"),
    "errors": ("Fault", "FileFaults", "RequestError", "SuncoverError"),
    "export.atomic": ("write_all",),
    "export.plan_csv": ("plan_csv",),
    "export.plan_ics": ("plan_ics",),
    "export.spells_csv": ("hours_csv", "spots_csv"),
    "exposure": ("find_exposures", "glass_of", "observer_of", "window_scene"),
    "facade.daylight": ("Daylight",),
    "facade.frame": (
        "direction",
        "incidence_angle",
        "profile_angle",
        "shadow_slopes",
        "window_axes",
    ),
    "facade.glazed": ("Glass", "fin_plate", "overhang_plate"),
    "facade.plates": ("sunlit_fraction",),
    "facade.reach": ("Level", "reach", "sun_patch"),
    "needs": ("Want", "needed_spells"),
    "notes": ("site_notes",),
    "pipeline": ("hours", "season_plan", "spots"),
    "plan": ("Closing", "ShadePlan", "Uncovered", "make_shade_plan"),
    "report.figure": ("Figure",),
    "report.figures": ("report_figures",),
    "report.gather": ("ReportData", "gather_report"),
    "report.page": ("report_page",),
    "site": ("Need", "Place", "Shade", "Site", "Window"),
    "sitefile": ("load_site", "site_from_text"),
    "spell": ("Spell",),
    "sun": ("Observer", "SunPosition", "sun_directions", "sun_position"),
    "twilight": ("light_intervals",),
}
_MODULE_OF = {name: module for module, names in _MODULES.items() for name in names}


def __getattr__(name: str) -> Any:
    """A public name, from its module, which is loaded now if it was not before."""
    if name not in _MODULE_OF:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    value = getattr(importlib.import_module(f"{__name__}.{_MODULE_OF[name]}"), name)
    globals()[name] = value
    return value


def __dir__() -> list[str]:
    return sorted({*globals(), *__all__})
