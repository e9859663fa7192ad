"""What is worked out for the sites of a part: in any process, on any machine, always the same.

Of each window the direct sun by month; of each shade what its plan does; on request the heat of
each option. Sites are gone through by a few windows and one calendar year at a time, so that no
more is in memory than these need.
"""

from __future__ import annotations

import threading
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date
from functools import cache, lru_cache
from importlib.metadata import version
from pathlib import Path
from typing import Any

import numpy as np

from suncover.around.geojson import Map, read_map
from suncover.around.neighbours import neighbours
from suncover.base.clock import day_bounds, season_spells
from suncover.base.errors import SuncoverError
from suncover.base.spell import Spell, intersect, overlap_seconds, total_seconds
from suncover.base.textfile import printable
from suncover.compare.year import monthly_heat
from suncover.facade.hours import hours
from suncover.facade.periods import month_labels
from suncover.plan.closings.lowerings import ShadeMoves
from suncover.plan.motor import moves_by_date
from suncover.plan.season import ShadeSun, moves_for, shade_sun
from suncover.portfolio.sources import Part, SiteOrder
from suncover.site.file.sitefile import named_files, with_named_files
from suncover.site.model import Shade, Site, Window
from suncover.sun.weather.load import load_weather

SUN_WINDOWS, HEAT_WINDOWS = 96, 16
"""Windows that are worked out together: sun and plans; heat, which holds a year's hours of each."""

# Where several threads share a process, one works at a time: numbers are worked out in numpy, which
# mostly holds the interpreter anyway.
_ONE_AT_A_TIME = threading.Lock()


@dataclass(frozen=True)
class Request:
    """What is asked of every site: dates, both included, and which tables.

    `map_file` is a GeoJSON map of all that stands about the sites.
    """

    first: date
    last: date
    plan: bool = True
    heat: bool = False
    map_file: str | None = None

    def years(self) -> list[tuple[date, date]]:
        """The dates of each calendar year."""
        return [
            (max(self.first, date(year, 1, 1)), min(self.last, date(year, 12, 31)))
            for year in range(self.first.year, self.last.year + 1)
        ]


@cache
def versions() -> str:
    """The program and what its figures come from, with their versions."""
    return ", ".join(f"{name} {version(name)}" for name in ("suncover", "numpy", "pvlib", "pandas"))


@dataclass
class Results:
    """Rows of the tables, as plain lists, for the sites of a part.

    `hours`: source, site, window, seconds of sun in each month. `plans`: as `merge.PLAN_COLUMNS`,
    times in seconds. `heat`: source, site, window, option, and twelve months each of kWh on the
    glass and into the room. `faults`: source and text. `files`: what the sites named, with size and
    time of change. `version` is that of the program that worked it out.
    """

    hours: list[list[Any]] = field(default_factory=list)
    plans: list[list[Any]] = field(default_factory=list)
    heat: list[list[Any]] = field(default_factory=list)
    faults: list[list[str]] = field(default_factory=list)
    files: list[list[Any]] = field(default_factory=list)
    version: str = field(default_factory=versions)


def work_out(part: Part, request: Request) -> Results:
    """The results of a part. A site with faults gives its faults and no rows."""
    results = Results()
    with _ONE_AT_A_TIME:
        for order in part.orders:
            _add_site(order, request, results)
    return results


def _add_site(order: SiteOrder, request: Request, results: Results) -> None:
    try:
        if order.fault:
            results.faults.append([order.source, order.fault])
            return
        described = order.described()
        # Also of a site that has faults: a file that is mended later is looked at again.
        for path in named_files(described, Path(order.folder)):
            results.files += [mark for mark in file_marks(str(path)) if mark not in results.files]
        site = with_named_files(described, Path(order.folder))
        if request.map_file is not None:
            path, size, changed = file_marks(request.map_file)[0]
            if [path, size, changed] not in results.files:
                results.files.append([path, size, changed])
            site = _among_neighbours(site, _map_of((path, size, changed)))
        site_results = _site_results(order.source, site, request)
    except SuncoverError as error:
        results.faults.append([order.source, str(error)])
    except Exception as error:
        # One site must not stop ten thousand others: whatever it is, it is reported.
        message = (
            f"{printable(order.file)}: it could not be worked out: {type(error).__name__}: {error}"
        )
        results.faults.append([order.source, printable(message)])
    else:
        results.hours += site_results.hours
        results.plans += site_results.plans
        results.heat += site_results.heat


@lru_cache(maxsize=1)
def _map_of(mark: tuple[str, int, int]) -> Map:
    """The map in a file, read once as long as its path, size and time of change are the same."""
    return read_map(mark[0])


def _among_neighbours(site: Site, the_map: Map) -> Site:
    """The site with what of a map may shade its windows; its own house is left out."""
    if all(window.position is None for window in site.windows):
        return site
    around = neighbours(site, the_map)
    return site.model_copy(
        update={
            "obstacles": (*site.obstacles, *around.obstacles),
            "trees": (*site.trees, *around.trees),
        }
    )


def file_marks(path: str) -> list[list[Any]]:
    """A file's path, size and time of change; what cannot be if there is none."""
    try:
        stat = Path(path).stat()
    except (OSError, ValueError):
        return [[path, -1, -1]]
    return [[path, stat.st_size, stat.st_mtime_ns]]


def _site_results(source: str, site: Site, request: Request) -> Results:
    results = Results()
    months: dict[str, list[int]] = {window.name: [] for window in site.windows}
    for piece in _pieces_of(site, SUN_WINDOWS):
        plans: dict[tuple[str, str], _Quality] = {}
        for first, last in request.years():
            for name, seconds in _year(piece, first, last, plans if request.plan else None).items():
                months[name] += seconds
        results.plans += [
            [source, site.place.name, window, shade, *quality.cells()]
            for (window, shade), quality in plans.items()
        ]
    results.hours = [[source, site.place.name, name, cells] for name, cells in months.items()]
    if request.heat:
        results.heat = [[source, site.place.name, *row] for row in _heat(site)]
    return results


def _year(
    site: Site, first: date, last: date, plans: dict[tuple[str, str], _Quality] | None
) -> dict[str, list[int]]:
    """Seconds of sun on each window in each month of a year; its plans are added to `plans`."""
    suns: list[ShadeSun] = []
    if plans is not None:
        suns = shade_sun(site, first, last)
        for sun, plan in zip(suns, moves_for(site, suns), strict=True):
            _add_plan(site, sun, plan, (first, last), plans)
    return {
        name: _month_seconds(spells, first, last, site)
        for name, spells in _sun_on(site, suns, first, last).items()
    }


def _pieces_of(site: Site, limit: int) -> Iterator[Site]:
    """The site in pieces of about `limit` windows, each with all shades of its windows."""
    group: list[Shade] = []
    names: dict[str, None] = {}
    for shades in _tied(site):
        covered = dict.fromkeys(name for shade in shades for name in shade.windows)
        if group and len(names) + len(covered) > limit:
            yield _piece(site, group, names)
            group, names = [], {}
        group += shades
        names.update(covered)
    if group:
        yield _piece(site, group, names)


def _tied(site: Site) -> list[list[Shade]]:
    """The shades, those together that share windows, a group or a supply, directly or through
    others.
    """
    shades = {shade.name: shade for shade in site.all_shades()}
    band_of: dict[str, list[Shade]] = {}
    shared: dict[str, list[str]] = {}
    for shade in shades.values():
        band_of[shade.name] = [shade]
        for window in shade.windows:
            shared.setdefault(window, []).append(shade.name)
    bands: list[Sequence[str]] = [*shared.values()]
    bands += [group.shades for group in site.groups]
    bands += [supply.shades for supply in site.supplies]
    for names in bands:
        first = band_of[names[0]] if names else []
        for name in names[1:]:
            if (band := band_of[name]) is not first:
                first += band
                band_of.update((shade.name, first) for shade in band)
    return list({id(band): band for band in band_of.values()}.values())


def _piece(site: Site, shades: Sequence[Shade], names: dict[str, None]) -> Site:
    windows: tuple[Window, ...] = tuple(window for window in site.windows if window.name in names)
    spots = tuple(spot for spot in site.spots if spot.window in names)
    shade_names = {shade.name for shade in shades}
    return site.model_copy(
        update={
            "windows": windows,
            "shades": tuple(shades),
            "spots": spots,
            "groups": tuple(group for group in site.groups if shade_names.issuperset(group.shades)),
            "supplies": tuple(
                supply for supply in site.supplies if shade_names.issuperset(supply.shades)
            ),
        }
    )


def _sun_on(
    site: Site, suns: Sequence[ShadeSun], first: date, last: date
) -> dict[str, tuple[Spell, ...]]:
    """The sun on windows by the site's need; that of their shades where it is the same."""
    result: dict[str, tuple[Spell, ...]] = {}
    # A shade that stays up or down on some dates needs other times than those of the sun.
    for sun in () if site.exceptions or site.calendars else suns:
        need = site.need_of(sun.shade)
        if need.on_glass == site.need.on_glass:
            result.update(sun.needed)
    if missing := [window.name for window in site.windows if window.name not in result]:
        result.update(hours(site, first, last, windows=missing))
    return result


def _month_seconds(spells: Sequence[Spell], first: date, last: date, site: Site) -> list[int]:
    """Seconds of sun in each month from `first` to `last`."""
    zone = site.place.zone
    labels = month_labels(first, last)[1:]
    edges = [day_bounds(first, zone).start]
    edges += [day_bounds(date.fromisoformat(f"{label}-01"), zone).start for label in labels]
    edges.append(day_bounds(last, zone).end)
    ends = np.array([[spell.start, spell.end] for spell in spells], dtype=np.int64).reshape(-1, 2)
    # How much sun there was up to each edge.
    cut = np.clip(ends[:, :, None], None, np.array(edges))
    before = (cut[:, 1] - cut[:, 0]).sum(axis=0)
    return [int(seconds) for seconds in np.diff(before)]


@dataclass
class _Quality:
    """What a shade's plan does for one window, seconds."""

    closings: int = 0
    most_moves: int = 0
    closed: int = 0
    sun: int = 0
    covered: int = 0
    remarks: dict[str, None] = field(default_factory=dict)

    def cells(self) -> list[Any]:
        return [
            self.closings,
            self.most_moves,
            self.closed,
            self.sun,
            self.covered,
            "; ".join(self.remarks),
        ]


def _add_plan(
    site: Site,
    sun: ShadeSun,
    plan: ShadeMoves,
    dates: tuple[date, date],
    plans: dict[tuple[str, str], _Quality],
) -> None:
    """Adds a year of a shade's plan to what is known of it."""
    zone = site.place.zone
    closed = tuple(Spell(closing.close, closing.open) for closing in plan.closings)
    moves = max(moves_by_date(plan.closings, zone).values(), default=0)
    season = site.need_of(sun.shade).season
    for window, spells in sun.needed.items():
        need = spells if season is None else intersect(spells, season_spells(season, *dates, zone))
        quality = plans.setdefault((window, sun.shade.name), _Quality())
        quality.closings += len(closed)
        quality.most_moves = max(quality.most_moves, moves)
        quality.closed += total_seconds(closed)
        quality.sun += total_seconds(need)
        quality.covered += overlap_seconds(need, closed)
        quality.remarks.update(dict.fromkeys(plan.remarks))


def _heat(site: Site) -> Iterator[list[Any]]:
    """Window, option, and kWh in each month on the glass and into the room."""
    weather = load_weather(site)
    for piece in _pieces_of(site, HEAT_WINDOWS):
        for window, option, kwh in monthly_heat(piece, weather):
            yield [window, option, *(months.tolist() for months in kwh)]
