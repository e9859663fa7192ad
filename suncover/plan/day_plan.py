"""One day of a site: what each shade does, the sun that it does it for, and when the sun is up."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from suncover.base.clock import DAY_S, FIRST_DATE, LAST_DATE, dates_bounds, in_season
from suncover.base.shown import short_repr
from suncover.base.spell import Spell, clip, union
from suncover.facade.exposure import observer_of, whole_seconds
from suncover.facade.scene import SkyScene
from suncover.facade.search.crossings import lit_intervals
from suncover.plan.closings.shade_plan import Closing, ShadePlan, Uncovered
from suncover.plan.exceptions import Happening
from suncover.plan.season import ShadeSun, plans_for, shade_sun
from suncover.site.model import Place, Shade, Site
from suncover.sun.almanac import sunrise_and_sunset
from suncover.sun.position import position_at

# Days worked out to either side of the one asked for. A closing that reaches the last of them may
# be cut, so then more are tried: under a midnight sun one can last for months.
MARGINS = (3, 30, 200)


@dataclass(frozen=True)
class ShadeDay:
    """What one shade does on a day.

    `closings` and `uncovered` are those that touch the day, whole. `sun` is the sun on its windows
    within the day, by window name, by what the shade counts as sun. `exceptions` are those that it
    has part in and that touch the day, whole.
    """

    __repr__ = short_repr

    shade: Shade
    closings: tuple[Closing, ...]
    uncovered: tuple[Uncovered, ...]
    sun: dict[str, tuple[Spell, ...]]
    in_season: bool
    exceptions: tuple[Happening, ...] = ()


@dataclass(frozen=True)
class SunDay:
    """When the middle of the sun's disc is above a level horizon on a day, as the air bends it.

    `highest` is the instant (unix seconds) of its greatest height, to the minute; `height` that
    height in degrees, negative when the sun stays down. `sunrise` and `sunset` are those of
    almanacs, of the disc's upper edge: unix seconds, None on a day without.
    """

    up: tuple[Spell, ...]
    highest: int
    height: float
    sunrise: int | None = None
    sunset: int | None = None


def plan_day(site: Site, day: date) -> list[ShadeDay]:
    """What every shade does on a local day, in the order of `Site.all_shades`.

    Those are the rows of the season's plan, with what shades share: groups and supplies. Only the
    full runs of `home_after` may fall on other days: they are counted from where a plan begins, and
    this one begins a few days before.

    Raises
    ------
    RequestError
        When the day is too far off.
    """
    span = dates_bounds(day, day, site.place.zone)
    for margin in MARGINS:
        around = timedelta(days=margin)
        first, last = max(day - around, FIRST_DATE), min(day + around, LAST_DATE)
        suns = shade_sun(site, first, last)
        plans = plans_for(site, suns)
        planned = dates_bounds(first, last, site.place.zone)
        if all(_is_whole(plan, span, planned) for plan in plans):
            break
    return [_shade_day(site, sun, plan, day, span) for sun, plan in zip(suns, plans, strict=True)]


def _touches(start: int, end: int, span: Spell) -> bool:
    return start < span.end and end > span.start


def _is_whole(plan: ShadePlan, span: Spell, planned: Spell) -> bool:
    """Do the closings that touch the day end well within the time that was worked out?"""
    return all(
        planned.start + DAY_S <= closing.close and closing.open <= planned.end - DAY_S
        for closing in plan.closings
        if _touches(closing.close, closing.open, span)
    )


def _shade_day(site: Site, sun: ShadeSun, plan: ShadePlan, day: date, span: Spell) -> ShadeDay:
    return ShadeDay(
        sun.shade,
        tuple(c for c in plan.closings if _touches(c.close, c.open, span)),
        tuple(part for part in plan.uncovered if _touches(part.start, part.end, span)),
        {name: clip(spells, span.start, span.end) for name, spells in sun.needed.items()},
        in_season(day, site.need_of(sun.shade).plan_season),
        tuple(o for o in sun.exceptions if _touches(o.spell.start, o.spell.end, span)),
    )


def sun_day(place: Place, day: date) -> SunDay:
    """When the sun is up at a place on a local day, on a level horizon.

    Raises
    ------
    RequestError
        When the day is too far off.
    """
    span = dates_bounds(day, day, place.zone)
    observer = observer_of(place)
    up = union(whole_seconds(lit_intervals(SkyScene(gate=None), observer, span.start, span.end)))
    minutes = np.arange(span.start, max(span.end, span.start + 60), 60)
    heights = position_at(minutes, observer).apparent_elevation
    top = int(np.argmax(heights))
    rise, set_ = sunrise_and_sunset(place.latitude, place.longitude, span)
    return SunDay(up, int(minutes[top]), float(heights[top]), rise, set_)
