"""Everything that a report shows, gathered once from the program's stages as arrays and tables."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from suncover.base.clock import FIRST_DATE, LAST_DATE, a_date
from suncover.base.errors import RequestError
from suncover.base.shown import short_repr
from suncover.base.spell import Spell, clip, union
from suncover.compare.summary import Summary, summarize
from suncover.compare.year import compare_year
from suncover.facade.exposure import Watch, observer_of, whole_seconds
from suncover.facade.hours import hours, spots
from suncover.facade.scene import SkyScene
from suncover.facade.search.crossings import lit_intervals
from suncover.facade.twilight import light_intervals
from suncover.facing.light.study import LightStudy
from suncover.plan.closings.shade_plan import Closing, ShadePlan
from suncover.plan.exceptions import Happening
from suncover.plan.season import ShadeSun, plans_for, shade_sun
from suncover.report.calendar_days import SLOTS, Calendar, Piece
from suncover.report.doubt import Doubt, doubts_of, widest
from suncover.report.shade_year import ShadeYear, shade_year
from suncover.report.units import Units, units_of
from suncover.report.window_year import WindowYear, window_year
from suncover.site.model import Shade, Site, Spot
from suncover.site.notes import site_notes
from suncover.sun.position import position_at
from suncover.sun.weather.year import WeatherYear

Floats = NDArray[np.float64]

_Planned = tuple[ShadeSun, ShadePlan]

MOST_DAYS = 366
"""A report covers a year at most."""
WEEK = 8
"""Days shown one by one: today and the next seven."""
_BESIDE = 3  # days worked out before and after these, for closings that reach across


@dataclass(frozen=True)
class SunDays:
    """Where the sun is on the report's days.

    `azimuth` and `elevation` (days, 48) are degrees at the calendar's slots, the elevation as the
    air bends it. `up` is when the middle of its disc stands above a level horizon.
    """

    azimuth: Floats
    elevation: Floats
    up: list[Piece]

    def through(self, day: int) -> tuple[Floats, Floats]:
        """Azimuth and elevation from a day's midnight to the next, (49,); without the last in the
        report's last day, whose next is not known here.
        """
        start = day * SLOTS
        chosen = slice(start, start + SLOTS + 1)
        return self.azimuth.ravel()[chosen], self.elevation.ravel()[chosen]


@dataclass(frozen=True)
class SpotYear:
    """A place in a room that the site file names, and its own direct sun by local day."""

    spot: Spot
    sun: list[Piece]


@dataclass(frozen=True)
class ShadeWeek:
    """A shade on today and the days after it, by the week's own calendar.

    `closings` are those that touch these days, whole; `closed` their parts by day, each with how
    far down in `positions`; `doubt` is about the sun on its windows; `kept_up` are the
    exceptions that have it stay up on some of them.
    """

    shade: Shade
    closings: tuple[Closing, ...]
    closed: list[Piece]
    sun: list[Piece]
    positions: list[int]
    doubt: Doubt | None = None
    kept_up: tuple[Happening, ...] = ()

    def closed_on(self, day: int) -> list[tuple[Piece, int]]:
        """What is closed on a day of the week, each with how far down, %."""
        pairs = zip(self.closed, self.positions, strict=True)
        return [(piece, position) for piece, position in pairs if piece.day == day]


@dataclass(frozen=True)
class Week:
    """Today and the next seven days."""

    calendar: Calendar
    up: list[Piece]
    shades: tuple[ShadeWeek, ...]


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
        power = sum(window.power[self.start_day] for window in self.windows)
        return int(np.argmax(power)) // 3 if np.any(power) else 24

    def slot_of(self, number: int) -> int:
        """The time of that day that the pictures of a window show at first: its own best."""
        best = self.windows[number].best_slot(self.start_day)
        return self.start_slot if best is None else best

    def spots_of(self, window: str) -> list[tuple[int, SpotYear]]:
        """The named places behind a window, each with its number."""
        return [(n, year) for n, year in enumerate(self.spots) if year.spot.window == window]

    def shade_of(self, window: str) -> ShadeYear | None:
        """The first shade over a window."""
        return next((one for one in self.shades if window in one.shade.windows), None)


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
    planned = _planned(site, suns)
    sun = _sun_on_windows(site, suns, first, last)
    doubts = doubts_of(site, first.year)
    windows = tuple(
        window_year(site, window, sun[window.name], calendar, doubts.get(window.name))
        for window in watch(site.windows)
    )
    daylight = whole_seconds(light_intervals(observer_of(site.place), bounds.start, bounds.end))
    return ReportData(
        site=site,
        calendar=calendar,
        at=at,
        sun=_sun_days(site, calendar, bounds),
        windows=windows,
        shades=tuple(shade_year(site, one, plan, calendar, daylight) for one, plan in planned),
        spots=_spots(site, calendar),
        week=_week(site, at, doubts, (calendar, planned)),
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

    What counts as sun for a shade with one window is that window's sun, and so it is for one whose
    own need counts the same; the others are asked for.
    """
    known: dict[str, tuple[Spell, ...]] = {}
    for one in suns:
        if len(one.shade.windows) == 1:
            known[one.shade.windows[0]] = one.counted
        elif site.need_of(one.shade).on_glass == site.need.on_glass:
            known.update(one.needed)
    missing = [window.name for window in site.windows if window.name not in known]
    if missing:
        known.update(hours(site, first, last, windows=missing))
    return known


def _sun_days(site: Site, calendar: Calendar, bounds: Spell) -> SunDays:
    position = position_at(calendar.slots, observer_of(site.place))
    return SunDays(
        position.azimuth,
        position.apparent_elevation,
        calendar.pieces(_sun_up(site, bounds)),
    )


def _sun_up(site: Site, span: Spell) -> tuple[Spell, ...]:
    """When the middle of the sun's disc stands above a level horizon."""
    up = lit_intervals(SkyScene(gate=None), observer_of(site.place), span.start, span.end)
    return union(whole_seconds(up))


def _spots(site: Site, calendar: Calendar) -> tuple[SpotYear, ...]:
    if not site.spots:
        return ()
    sun = spots(site, calendar.first, calendar.last)
    return tuple(SpotYear(spot, calendar.pieces(sun[spot.name])) for spot in site.spots)


def _week(
    site: Site, at: date, doubts: Mapping[str, Doubt], year: tuple[Calendar, list[_Planned]]
) -> Week:
    """Today and the days after it, of the report's own plans where these reach so far."""
    calendar = Calendar(at, min(at + timedelta(days=WEEK - 1), LAST_DATE), site.place.zone)
    beside = timedelta(days=_BESIDE)
    first = max(calendar.first - beside, FIRST_DATE)
    last = min(calendar.last + beside, LAST_DATE)
    known, planned = year
    if not known.first <= first <= last <= known.last:
        planned = _planned(site, shade_sun(site, first, last))
    span = calendar.bounds
    shades = tuple(_shade_week(calendar, one, plan, doubts) for one, plan in planned)
    return Week(calendar, calendar.pieces(_sun_up(site, span)), shades)


def _planned(site: Site, suns: Sequence[ShadeSun]) -> list[_Planned]:
    return list(zip(suns, plans_for(site, suns), strict=True))


def _shade_week(
    calendar: Calendar, one: ShadeSun, plan: ShadePlan, doubts: Mapping[str, Doubt]
) -> ShadeWeek:
    span = calendar.bounds
    closings = tuple(
        closing
        for closing in plan.closings
        if closing.close < span.end and closing.open > span.start
    )
    closed, positions = [], []
    for closing in closings:
        pieces = calendar.pieces([Spell(closing.close, closing.open)])
        closed += pieces
        positions += [closing.position] * len(pieces)
    sun = clip(union(s for spells in one.needed.values() for s in spells), span.start, span.end)
    kept_up = tuple(
        happening
        for happening in one.exceptions
        if happening.do == "up"
        and happening.spell.start < span.end
        and happening.spell.end > span.start
    )
    doubt = widest([doubts.get(name) for name in one.shade.windows])
    return ShadeWeek(one.shade, closings, closed, calendar.pieces(sun), positions, doubt, kept_up)
