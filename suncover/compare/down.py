"""When each shade is down over a weather year, option by option.

Options that differ in no window of a shade, nor of those it shares a group or a supply with, have
it down at the same times: these are worked out once.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Iterator, Sequence
from datetime import date, timedelta
from typing import TypeVar
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from suncover.base.clock import in_season, season_spells
from suncover.base.spell import Spell, union
from suncover.compare.options import Closing as When
from suncover.compare.options import Variant
from suncover.facade.search.crossings import join
from suncover.plan.closings.lowerings import Lowering
from suncover.plan.closings.shade_plan import Closing
from suncover.plan.season import lowerings_for, shade_sun
from suncover.site.model import Group, Shade, Site, Supply, Window
from suncover.sun.weather.days import YearDays

Floats = NDArray[np.float64]
Closed = dict[float, Floats]
"""When a shade is down, by the share of the glass that it then covers: (n, 2) unix seconds."""
Band = TypeVar("Band", Group, Supply)


class ShadesDown:
    """When shades are down on the days of a weather year, with what has been worked out of it."""

    def __init__(self, days: YearDays, zone: ZoneInfo) -> None:
        self._days, self._zone = days, zone
        self._rows: dict[Hashable, tuple[Lowering, ...]] = {}

    def closed(self, variant: Variant) -> dict[str, Closed]:
        """When each shade is closed, by its name."""
        moved: dict[str, tuple[Shade, When]] = {}
        for fitted in variant.windows:
            if fitted.closing != "never":
                for shade, _ in fitted.effects:
                    moved.setdefault(shade.name, (shade, fitted.closing))
        first, last = min(self._days.dates), max(self._days.dates)
        closed = dict[str, Closed]()
        planned = {name: shade for name, (shade, closing) in moved.items() if closing != "always"}
        for name, (shade, closing) in moved.items():
            if closing == "always":
                season = variant.site.need_of(shade).season
                spells = season_spells(season, first, last, self._zone)
                ends = [(spell.start, spell.end) for spell in spells]
                closed[name] = {1.0: np.array(ends, dtype=np.float64).reshape(-1, 2)}
        if planned and variant.closings is not None:
            rows = variant.closings
            plans = {name: [row for row in rows if row.shade == name] for name in planned}
            return closed | {
                name: _closed_by(plans[name], shade) for name, shade in planned.items()
            }
        rows_by_shade = self._planned(variant.site, planned)
        return closed | {
            name: _closed_by(rows_by_shade[name], shade) for name, shade in planned.items()
        }

    def _planned(self, site: Site, shades: dict[str, Shade]) -> dict[str, tuple[Lowering, ...]]:
        """The season's plan of some shades over the weather year."""
        windows = {window.name: geometry_of(window, named=True) for window in site.windows}
        keys: dict[str, Hashable] = {}
        for names in _tied(site, shades):
            covered = {window for name in names for window in shades[name].windows}
            panes = tuple(window for name, window in windows.items() if name in covered)
            keys |= {
                shade_name: (shade_name, tuple(sorted(names)), panes, site.trees)
                for shade_name in names
            }
        if missing := {shade_name for shade_name, key in keys.items() if key not in self._rows}:
            for shade_name, rows in self._worked_out(_covered(site, missing)).items():
                self._rows[keys[shade_name]] = tuple(rows)
        return {shade_name: self._rows[key] for shade_name, key in keys.items()}

    def _worked_out(self, site: Site) -> dict[str, list[Lowering]]:
        lowerings: dict[str, list[Lowering]] = {shade.name: [] for shade in site.shades}
        for first, last in self._dates_to_plan(site):
            for name, rows in lowerings_for(site, shade_sun(site, first, last)).items():
                lowerings[name] += rows
        return lowerings

    def _dates_to_plan(self, site: Site) -> list[tuple[date, date]]:
        """The dates for which shades have to be planned: the year's, or where all of them keep to a
        season, its days with two more at either end, where closings may reach across.
        """
        first, last = min(self._days.dates), max(self._days.dates)
        seasons = [site.need_of(shade).plan_season for shade in site.shades]
        if any(season is None for season in seasons) or site.exceptions or site.calendars:
            return [(first, last)]
        two = timedelta(days=2)
        spells = union(
            Spell(max((day - two).toordinal(), first.toordinal()), (day + two).toordinal() + 1)
            for day in self._days.dates
            if any(in_season(day, season) for season in seasons)
        )
        return [
            (date.fromordinal(spell.start), min(date.fromordinal(spell.end - 1), last))
            for spell in spells
        ]


def _tied(site: Site, names: Iterable[str]) -> Iterator[list[str]]:
    """Some shades by name, those together that share a group or a supply, directly or not."""
    bands = [group.shades for group in site.groups]
    bands += [supply.shades for supply in site.supplies]
    left = dict.fromkeys(names)
    while left:
        first, _ = left.popitem()
        tied, fresh = {first}, {first}
        while fresh:
            beside = {n for band in bands if fresh.intersection(band) for n in band}
            fresh = beside & left.keys()
            tied |= fresh
            for name in fresh:
                del left[name]
        yield sorted(tied)


def _covered(site: Site, names: set[str]) -> Site:
    """The site with some of its shades by name, and with such windows alone as these cover: no
    other shade is made up.
    """
    shades = tuple(shade for shade in site.all_shades() if shade.name in names)
    covered = {window for shade in shades for window in shade.windows}
    return site.model_copy(
        update={
            "shades": shades,
            "groups": _only(site.groups, names),
            "supplies": _only(site.supplies, names),
            "windows": tuple(window for window in site.windows if window.name in covered),
            "spots": tuple(spot for spot in site.spots if spot.window in covered),
        }
    )


def _only(bands: Sequence[Band], names: set[str]) -> tuple[Band, ...]:
    """Groups or supplies with those of their shades that are named."""
    narrowed = [
        band.model_copy(update={"shades": tuple(n for n in band.shades if n in names)})
        for band in bands
    ]
    return tuple(band for band in narrowed if band.shades)


def _closed_by(rows: Sequence[Lowering] | Sequence[Closing], shade: Shade) -> Closed:
    """When a plan has its shade down.

    While it runs it covers half, on the average: it counts as closed from the middle of the one run
    to the middle of the other.
    """
    half = round(shade.travel / 2.0)
    moves = [(row.close, row.open, row.position) for row in rows]
    close, until, position = np.array(moves, dtype=np.float64).reshape(-1, 3).T
    spells = np.stack([close, until], axis=1) + half
    return {float(at) / 100.0: join(spells[position == at]) for at in np.unique(position)}


def geometry_of(window: Window, *, named: bool = False) -> Window:
    """The window without what has no part in its shadows."""
    update: dict[str, object] = {"glazing": None}
    return window.model_copy(update=update if named else {**update, "name": ""})
