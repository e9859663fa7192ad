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
    frame(result)                                any of these as a pandas DataFrame
    gather_report(site, first, last, at)         all that a report shows -> ReportData
    report_page(data), report_figures(data)      one page, or every picture -> bytes, Figures
    write_all({path: content})                   files, all or none

    sun_position, clear_sky_dni, sunlit_fraction, find_exposures, needed_spells, make_shade_plan
                                                 the stages, each of use alone
    window_scene, spot_scene                     is it lit, and how much of it, at any instants
    reach, sun_patch                             what the sun does in a room
    window_sunlit, window_profile_angle, window_light, window_gain
                                                 one window by angles, under pvlib's names

Dates are the site's local days, both included; instants are unix seconds, UTC, and where they go in
also a DatetimeIndex, datetime64 or aware datetimes; lengths metres; angles degrees, azimuths
clockwise from true north. What goes wrong on purpose is a SuncoverError.
Names load what they need when they are first used, so importing this package is quick.
docs/library.md shows how to use them.
"""

from __future__ import annotations

import sys
from typing import Any


def __getattr__(name: str) -> Any:
    """Reads the names of `__init__.pyi` when one is first asked for: no command asks for any."""
    _attach()
    return getattr(sys.modules[__name__], name)


def __dir__() -> list[str]:
    _attach()
    return dir(sys.modules[__name__])


def _attach() -> None:
    """Puts what is read in the place of these functions."""
    import lazy_loader  # noqa: PLC0415 - so that no command loads it

    names = ("__getattr__", "__dir__", "__all__")
    globals().update(zip(names, lazy_loader.attach_stub(__name__, __file__), strict=True))
