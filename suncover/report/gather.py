"""Everything that a report shows, gathered once from the program's stages as arrays and tables."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from zoneinfo import ZoneInfo

import numpy as np

from suncover.base.clock import a_date
from suncover.base.errors import RequestError
from suncover.base.shown import short_repr
from suncover.base.spell import Spell
from suncover.compare.summary import Summary, summarize
from suncover.compare.year import compare_year
from suncover.facade.exposure import Watch, observer_of, whole_seconds
from suncover.facade.hours import hours, spots
from suncover.facade.twilight import light_intervals
from suncover.facing.light.study import LightStudy
from suncover.plan.season import ShadeSun, shade_sun
from suncover.report.calendar_days import CELL_S, SLOT_S, SLOTS, Calendar, Piece
from suncover.report.doubt import doubts_of
from suncover.report.shade_week import Week, plans_of, week_of
from suncover.report.shade_year import ShadeYear, shade_year
from suncover.report.sun_days import SunDays, sun_days
from suncover.report.units import Units, units_of
from suncover.report.window_year import WindowYear, window_year
from suncover.site.model import Site, Spot
from suncover.site.notes import site_notes
from suncover.sun.weather.year import WeatherYear

MOST_DAYS = 366
"""A report covers a year at most."""
NOON = SLOTS // 2


@dataclass(frozen=True)
class SpotYear:
    """A place in a room that the site file names, and its own direct sun by local day."""

    spot: Spot
    sun: list[Piece]


@dataclass(frozen=True)
class ReportData:
    """What a report shows. `at` is its today; `heat` is None where it was not asked for.

    `source` is the text of the site file and `file` its name, if known; `light` is what a window's
    light log showed, if there is one.
    """

    __repr__ = short_repr

    site: Site
    calendar: Calendar
    at: date
    sun: SunDays
    windows: tuple[WindowYear, ...]
    shades: tuple[ShadeYear, ...]
    spots: tuple[SpotYear, ...]
    week: Week
    heat: Summary | None
    units: Units
    notes: tuple[str, ...]
    source: str | None
    file: str | None
    light: LightStudy | None = None

    @property
    def start_day(self) -> int:
        """The day that the pictures show at first: today, or the nearest to it."""
        at = min(max(self.at, self.calendar.first), self.calendar.last)
        return (at - self.calendar.first).days

    @property
    def start_slot(self) -> int:
        """Where the time's slider stands at first: when the windows get the most sun, or noon."""
        power = sum(year.power[self.start_day] for year in self.windows)
        return int(np.argmax(power)) // (SLOT_S // CELL_S) if np.any(power) else NOON

    def slot_of(self, number: int) -> int:
        """The time of that day that the pictures of a window show at first: its own best."""
        best = self.windows[number].best_slot(self.start_day)
        return self.start_slot if best is None else best

    def spots_of(self, window: str) -> list[tuple[int, SpotYear]]:
        """The named places behind a window, each with its number."""
        return [(n, spot) for n, spot in enumerate(self.spots) if spot.spot.window == window]

    def shades_of(self, window: str) -> list[ShadeYear]:
        """The shades over a window."""
        return [shade for shade in self.shades if window in shade.shade.windows]

    def shade_of(self, window: str) -> ShadeYear | None:
        """The first shade over a window."""
        return next(iter(self.shades_of(window)), None)


def gather_report(
    site: Site,
    first: date,
    last: date,
    at: date,
    *,
    weather: WeatherYear | None = None,
    units: Units | None = None,
    source: str | None = None,
    file: str | None = None,
    light: LightStudy | None = None,
    watch: Watch = iter,
) -> ReportData:
    """All that a report on a site shows, for the days from `first` to `last` (both included).

    `at` is the day that it calls today; `watch` sees the windows go by, first for their sun and
    then for their pictures. With `weather` it compares overhang and shade. Without
    `units`, lengths are shown as `source`, the site file's text, writes them.

    Raises
    ------
    RequestError
        When the dates are none, run backwards, are too far off, or more than a year apart.
    """
    first, last, at = a_date(first), a_date(last), a_date(at)
    calendar = _calendar(first, last, site.place.zone)
    bounds = calendar.bounds
    suns = shade_sun(site, first, last, watch=watch)
    plans = plans_of(site, suns)
    spells = _sun_on_windows(site, suns, first, last)
    doubts = doubts_of(site, first.year)
    windows = tuple(
        window_year(site, window, spells[window.name], calendar, doubts.get(window.name))
        for window in watch(site.windows)
    )
    daylight = whole_seconds(light_intervals(observer_of(site.place), bounds.start, bounds.end))
    return ReportData(
        site=site,
        calendar=calendar,
        at=at,
        sun=sun_days(site, calendar),
        windows=windows,
        shades=tuple(shade_year(site, sun, plan, calendar, daylight) for sun, plan in plans),
        spots=_spots(site, calendar),
        week=week_of(site, at, doubts, calendar, plans),
        heat=None if weather is None else summarize(compare_year(site, weather)),
        units=units or units_of(source),
        notes=site_notes(site),
        source=source,
        file=file,
        light=light,
    )


def _calendar(first: date, last: date, zone: ZoneInfo) -> Calendar:
    """The days of a report, which are a year's at the most."""
    calendar = Calendar(first, last, zone)
    if len(calendar.days) > MOST_DAYS:
        raise RequestError(
            f"{first} to {last} are {len(calendar.days)} days; a report covers a year at most, "
            f"{MOST_DAYS} days"
        )
    return calendar


def _sun_on_windows(
    site: Site, suns: Sequence[ShadeSun], first: date, last: date
) -> dict[str, tuple[Spell, ...]]:
    """The sun on each window by the site's need.

    What counts as sun for a shade with one window is that window's sun, and so it is for a shade
    whose own need counts the same; for other windows it is worked out.
    """
    spells: dict[str, tuple[Spell, ...]] = {}
    for sun in suns:
        if len(sun.shade.windows) == 1:
            spells[sun.shade.windows[0]] = sun.counted
        elif site.need_of(sun.shade).on_glass == site.need.on_glass:
            spells.update(sun.needed)
    missing = [window.name for window in site.windows if window.name not in spells]
    if missing:
        spells.update(hours(site, first, last, windows=missing))
    return spells


def _spots(site: Site, calendar: Calendar) -> tuple[SpotYear, ...]:
    if not site.spots:
        return ()
    sun = spots(site, calendar.first, calendar.last)
    return tuple(SpotYear(spot, calendar.pieces(sun[spot.name])) for spot in site.spots)
