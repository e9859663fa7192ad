"""When the shades of each option are down in a weather year: by the season's plan, or another."""

from __future__ import annotations

from collections.abc import Collection, Hashable, Sequence
from datetime import date, timedelta
from typing import TypeVar
from zoneinfo import ZoneInfo

from suncover.base.clock import in_season, season_spells
from suncover.base.spell import Spell, union
from suncover.compare.options import Closing as When
from suncover.compare.options import Variant
from suncover.plan.closings.shade_plan import Closing
from suncover.plan.season import plans_for, shade_sun
from suncover.site.model import Group, Shade, Site, Supply, Window

Closed = dict[float, tuple[Spell, ...]]
"""When a shade is down, by the share of the glass that it then covers."""
Band = TypeVar("Band", Group, Supply)


class PlannedShades:
    """When shades are down on the dates of a weather year; what was planned once serves again."""

    def __init__(self, dates: Collection[date], zone: ZoneInfo) -> None:
        self._dates, self._zone = dates, zone
        self._plans: dict[Hashable, dict[str, tuple[Closing, ...]]] = {}

    def closed(self, variant: Variant) -> dict[str, Closed]:
        """When each shade is closed, by its name."""
        moved: dict[str, tuple[Shade, When]] = {}
        for fitted in variant.windows:
            if fitted.closing != "never":
                for shade, _ in fitted.effects:
                    moved.setdefault(shade.name, (shade, fitted.closing))
        first, last = min(self._dates), max(self._dates)
        closed = dict[str, Closed]()
        planned = {name: shade for name, (shade, closing) in moved.items() if closing != "always"}
        for name, (shade, closing) in moved.items():
            if closing == "always":
                season = variant.site.need_of(shade).season
                closed[name] = {1.0: season_spells(season, first, last, self._zone)}
        if planned and variant.closings is not None:
            rows = variant.closings
            plans = {name: [row for row in rows if row.shade == name] for name in planned}
        elif planned:
            found = self._planned(variant.site, tuple(planned.values()))
            plans = {name: list(found[name]) for name in planned}
        else:
            plans = {}
        return closed | {name: _closed_by(plans[name], shade) for name, shade in planned.items()}

    def _planned(self, site: Site, shades: tuple[Shade, ...]) -> dict[str, tuple[Closing, ...]]:
        """The season's plan of some shades over the weather year."""
        names = {shade.name for shade in shades}
        some = site.model_copy(
            update={
                "shades": tuple(shade for shade in site.all_shades() if shade.name in names),
                "groups": _only(site.groups, names),
                "supplies": _only(site.supplies, names),
            }
        )
        windows = tuple(geometry(window, named=True) for window in site.windows)
        key = (windows, site.trees, tuple(sorted(names)))
        if key not in self._plans:
            covered = _covered(some)
            found: dict[str, list[Closing]] = {name: [] for name in names}
            for first, last in self._asked(covered):
                # Without what only a calendar asks for: the number of each closing on its date.
                for plan in plans_for(covered, shade_sun(covered, first, last)):
                    found[plan.shade] += plan.closings
            self._plans[key] = {name: tuple(rows) for name, rows in found.items()}
        return self._plans[key]

    def _asked(self, site: Site) -> list[tuple[date, date]]:
        """The dates for which shades have to be planned: the year's, or where all of them keep to a
        season, its days with two more at either end, where closings may reach across.
        """
        first, last = min(self._dates), max(self._dates)
        seasons = [site.need_of(shade).plan_season for shade in site.shades]
        if any(season is None for season in seasons) or site.exceptions or site.calendars:
            return [(first, last)]
        two = timedelta(days=2)
        spells = union(
            Spell(max((day - two).toordinal(), first.toordinal()), (day + two).toordinal() + 1)
            for day in self._dates
            if any(in_season(day, season) for season in seasons)
        )
        return [
            (date.fromordinal(one.start), min(date.fromordinal(one.end - 1), last))
            for one in spells
        ]


def _only(bands: Sequence[Band], names: set[str]) -> tuple[Band, ...]:
    """Groups or supplies with those of their shades that are named."""
    kept = [
        band.model_copy(update={"shades": tuple(n for n in band.shades if n in names)})
        for band in bands
    ]
    return tuple(band for band in kept if band.shades)


def _covered(site: Site) -> Site:
    """The site with such windows alone as its shades cover: no other shade is made up."""
    covered = {window for shade in site.shades for window in shade.windows}
    windows = tuple(window for window in site.windows if window.name in covered)
    spots = tuple(spot for spot in site.spots if spot.window in covered)
    return site.model_copy(update={"windows": windows, "spots": spots})


def _closed_by(closings: Sequence[Closing], shade: Shade) -> Closed:
    """When a plan has its shade down.

    While it runs it covers half, on the average: it counts as closed from the middle of the one run
    to the middle of the other.
    """
    half = round(shade.travel / 2.0)
    return {
        position / 100.0: union(
            Spell(closing.close + half, closing.open + half)
            for closing in closings
            if closing.position == position
        )
        for position in sorted({closing.position for closing in closings})
    }


def geometry(window: Window, *, named: bool = False) -> Window:
    """The window without what has no part in its shadows."""
    update: dict[str, object] = {"glazing": None}
    return window.model_copy(update=update if named else {**update, "name": ""})
