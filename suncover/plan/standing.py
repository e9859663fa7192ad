"""Where the plan has each shade at one instant, since when, until when, and what comes next."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta
from typing import TYPE_CHECKING

from suncover.base.clock import (
    DAY_S,
    FIRST_DATE,
    LAST_DATE,
    Season,
    dates_bounds,
    in_season,
    local_date,
)
from suncover.base.errors import RequestError
from suncover.base.spell import Spell
from suncover.plan.closings.shade_plan import Closing
from suncover.plan.closings.stops import run_seconds
from suncover.plan.motor import FULL
from suncover.plan.season import plans_for, shade_sun
from suncover.plan.staircase import UP, MotorRuns, Standing, next_move, step_at, steps_of

if TYPE_CHECKING:
    from suncover.site.model import Shade, Site

# Days worked out before and after the instant; more are tried where a shade's last or next move
# lies outside of them, or so near to their ends that it may be cut.
REACHES = ((3, 4), (120, 150), (370, 370))
EDGE = 4  # days worked out at the ends of a season that an instant lies outside of
DAY, YEAR = timedelta(days=1), timedelta(days=367)
Dates = tuple[date, date]


def motor_runs(shade: Shade) -> MotorRuns:
    """The runs of a shade's motor, by its roller, or evenly by its `travel`."""
    if shade.travel == 0:
        return MotorRuns(None)
    by_roller = [run_seconds(shade, position) for position in range(FULL + 1)]
    down = [
        shade.travel * position / FULL if seconds is None else seconds
        for position, seconds in enumerate(by_roller)
    ]
    up = shade.travel_up or shade.travel
    return MotorRuns(tuple(down), up / shade.travel)


def standing_at(shade: Shade, closings: Sequence[Closing], at: int) -> Standing:
    """Where the closings of a shade have it at an instant."""
    steps = steps_of(closings)
    number = step_at(steps, at)
    now = steps[number] if number >= 0 else None
    after = steps[number + 1] if number + 1 < len(steps) else None
    position = now.position if now else 0
    reason = now.reason if now and position else UP
    return Standing(
        shade.name,
        position,
        now.at if now else None,
        after.at if after else None,
        reason,
        next_move(after, position, motor_runs(shade)) if after else None,
    )


def standings(site: Site, at: int) -> list[Standing]:
    """Where the plan has every shade at an instant (unix seconds), in the order of `all_shades`.

    Only as many days are planned as it takes to find each shade's last move and its next one, a
    year either way at the most.

    Raises
    ------
    RequestError
        When the instant is too far off.
    """
    day = local_date(at, site.place.zone)
    closings: dict[str, list[Closing]] = {}
    beside: dict[tuple[Dates, ...], list[list[Shade]]] = {}
    for part in tied_shades(site):
        beside.setdefault(_beside_season(site, part, day), []).append(part)
    left = beside.pop((), [])
    for days, parts in beside.items():
        left += _look(site, at, days, parts, closings)
    for reach in REACHES:
        if left:
            left = _look(site, at, (_around(day, *reach),), left, closings)
    return [standing_at(shade, closings[shade.name], at) for shade in site.all_shades()]


def tied_shades(site: Site) -> list[list[Shade]]:
    """The shades, those together that a group or a supply ties to each other."""
    parts = {shade.name: [shade] for shade in site.all_shades()}
    for names in [tie.shades for tie in site.groups] + [tie.shades for tie in site.supplies]:
        tied = {shade.name: shade for name in names for shade in parts[name]}
        part = list(tied.values())
        parts.update((name, part) for name in tied)
    return list({id(part): part for part in parts.values()}.values())


def _look(
    site: Site,
    at: int,
    days: Sequence[Dates],
    parts: Sequence[list[Shade]],
    closings: dict[str, list[Closing]],
) -> list[list[Shade]]:
    """Puts the closings of these parts on some days into `closings`; which parts need more days."""
    names = {shade.name for part in parts for shade in part}
    shades = [shade for shade in site.all_shades() if shade.name in names]
    try:
        plans = [plans_for(site, shade_sun(site, *dates, shades=shades)) for dates in days]
    except RequestError:  # so many days may hold more events than can be dealt with
        if not names <= closings.keys():
            raise
        return []
    for shade, of_shade in zip(shades, zip(*plans, strict=True), strict=True):
        closings[shade.name] = [row for plan in of_shade for row in plan.closings]
    spans = [dates_bounds(*dates, site.place.zone) for dates in days]
    return [
        part
        for part in parts
        if not all(_is_whole(closings[shade.name], at, spans) for shade in part)
    ]


def _beside_season(site: Site, shades: Sequence[Shade], day: date) -> tuple[Dates, ...]:
    """The last days of the season of some shades before a day, and the first of the one after it:
    what lies between has no moves. None of them where it may have.
    """
    needs = [site.need_of(shade) for shade in shades]
    seasons = {need.season for need in needs}
    if (
        site.exceptions
        or site.calendars
        or None in seasons
        or not all(need.for_heat_alone for need in needs)
        or not FIRST_DATE + YEAR <= day <= LAST_DATE - YEAR
        or any(in_season(day + step * DAY, season) for step in (-1, 0, 1) for season in seasons)
    ):
        return ()
    before, after = ([_first_in(season, day, way) for season in seasons] for way in (-DAY, DAY))
    return (
        (min(before) - EDGE * DAY, max(before) + 2 * DAY),
        (min(after) - 2 * DAY, max(after) + EDGE * DAY),
    )


def _first_in(season: Season | None, day: date, way: timedelta) -> date:
    while not in_season(day, season):
        day += way
    return day


def _around(day: date, back: int, ahead: int) -> tuple[date, date]:
    earliest = max(day.toordinal() - back, FIRST_DATE.toordinal())
    latest = min(day.toordinal() + ahead, LAST_DATE.toordinal())
    if not FIRST_DATE <= day <= LAST_DATE:
        return day, day  # which the plan refuses, and says why
    return date.fromordinal(earliest), date.fromordinal(latest)


def _is_whole(closings: Sequence[Closing], at: int, spans: Sequence[Spell]) -> bool:
    """Do the last and the next move of a shade lie well within the times that were worked out?"""
    steps = steps_of(closings)
    number = step_at(steps, at)
    if number < 0 or number + 1 >= len(steps):
        return False
    return all(
        any(span.start + DAY_S <= step.at <= span.end - DAY_S for span in spans)
        for step in steps[number : number + 2]
    )
