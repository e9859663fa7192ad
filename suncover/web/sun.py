"""What the library makes of a site, as data for the page: its sun, its plan, a trial beside it."""

from __future__ import annotations

import base64
from datetime import date
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from suncover.base.clock import dates_bounds
from suncover.base.errors import RequestError
from suncover.base.spell import Spell
from suncover.export.files.plan_csv import plan_csv
from suncover.export.files.plan_ics import plan_ics
from suncover.facade.exposure import Watch, observer_of, window_scene
from suncover.facade.hours import hours
from suncover.facade.yard.matter import with_what_matters
from suncover.plan.closings.shade_plan import in_time_order
from suncover.plan.season import plans_for, season_plan, shade_sun
from suncover.plan.standing import tied_shades
from suncover.report.calendar_days import Calendar
from suncover.report.gather import gather_report
from suncover.report.page.report_page import report_page
from suncover.report.window_year import sun_cells
from suncover.site.model import Site, Window
from suncover.sun.weather.load import load_weather

Json = dict[str, Any]
MOST_PLANNED = 366


def _lit(site: Site, window: Window, year: int) -> tuple[Spell, ...]:
    """The sun on a window in a year: kept for as long as nothing that it depends on is changed, as
    that of all others while one thing is dragged.
    """
    near = with_what_matters(site, window)
    return _lit_alone(
        Site.model_construct(
            place=site.place,
            need=site.need,
            windows=(window,),
            obstacles=near.obstacles,
            trees=near.trees,
        ),
        year,
    )


@lru_cache(maxsize=128)
def _lit_alone(site: Site, year: int) -> tuple[Spell, ...]:
    return hours(site, *a_year(year))[site.windows[0].name]


def a_year(year: int) -> tuple[date, date]:
    """Its first and its last day.

    Raises
    ------
    RequestError
        When it is no year that the sun is computed for.
    """
    if not 1900 <= year <= 2199:
        raise RequestError(f"{year} is no year from 1900 to 2199")
    return date(year, 1, 1), date(year, 12, 31)


def window_sun(site: Site, name: str, year: int, *, rough: bool = False) -> Json:
    """The direct sun on a window over a year, by the site's need, whatever its shade does.

    `pieces` are [day, start, end], days from 0, seconds that the clock shows. `power` is the W/m²
    on the glass in each cell of ten minutes, (days, 144): unsigned numbers of two bytes in base64.
    `rough`, for while something is dragged, takes the power of every fourth day for those about it
    as well, and leaves `clear_kwh` out; the pieces are as exact as ever.
    """
    window = site.window(name)
    first, last = a_year(year)
    calendar = Calendar(first, last, site.place.zone)
    pieces = calendar.pieces(_lit(site, window, year))
    bounds = calendar.bounds
    scene = window_scene(site, window, site.need, bounds.start, bounds.end)
    count = len(calendar.days)
    drawn = np.minimum(np.arange(count) // EVERY * EVERY + EVERY // 2, count - 1)
    days_drawn = set(drawn.tolist()) if rough else set(range(count))
    chosen = [piece for piece in pieces if piece.day in days_drawn]
    seconds, power = sun_cells(scene, observer_of(site.place), chosen, count)
    result: Json = {
        "days": count,
        "pieces": [[piece.day, piece.start, piece.end] for piece in pieces],
        "power": packed(_spread(power)[drawn] if rough else power),
        "sun_h": sum(piece.end - piece.start for piece in pieces) / 3600.0,
    }
    if not rough:
        area = window.width * window.height
        result["clear_kwh"] = float((seconds * power).sum()) * area / 3.6e6
    return result


EVERY = 4
"""Days of which one is drawn for all while something is dragged."""


def _spread(power: NDArray[np.float64]) -> NDArray[np.float64]:
    """With the power of the nearest cell before it, else after it, where a day's cell has none."""
    cells = np.arange(power.shape[1])
    before = np.maximum.accumulate(np.where(power > 0.0, cells, -1), axis=1)
    last = power.shape[1] - 1
    behind = np.where(power > 0.0, cells, last)
    after = np.minimum.accumulate(behind[:, ::-1], axis=1)[:, ::-1]
    return np.take_along_axis(power, np.where(before >= 0, before, after), axis=1)


def house_sun(site: Site, year: int, watch: Watch = iter) -> Json:
    """Hours of direct sun in a year on each window, by name; `watch` sees the windows go by."""
    spells = {window.name: _lit(site, window, year) for window in watch(site.windows)}
    return {"sun_h": {name: sum(s.seconds for s in spells[name]) / 3600.0 for name in spells}}


def packed(values: NDArray[np.float64]) -> str:
    """Numbers of two bytes, the lower first, in base64."""
    return base64.b64encode(np.rint(values).astype("<u2").tobytes()).decode()


def window_plan(site: Site, name: str, year: int, watch: Watch = iter) -> Json:
    """When the shades over a window are closed in a year: pieces as above with their reasons.

    `watch` sees the windows go by.
    """
    site.window(name)
    first, last = a_year(year)
    calendar = Calendar(first, last, site.place.zone)
    over = {shade.name for shade in site.all_shades() if name in shade.windows}
    # What a group or a supply ties to them has a say in their moves; all others have none.
    tied = {s for part in tied_shades(site) if any(s.name in over for s in part) for s in part}
    shades = [shade for shade in site.all_shades() if shade in tied]
    plans = plans_for(site, shade_sun(site, first, last, shades=shades, watch=watch))
    rows = in_time_order(row for plan in plans if plan.shade in over for row in plan.closings)
    reasons: dict[str, int] = {}
    pieces = [
        [
            piece.day,
            piece.start,
            piece.end,
            row.position,
            reasons.setdefault(row.reason, len(reasons)),
        ]
        for row in rows
        for piece in calendar.pieces([Spell(row.close, row.open)])
    ]
    return {
        "closed": pieces,
        "reasons": list(reasons),
        "closings": len(rows),
        "closed_h": sum(row.open - row.close for row in rows) / 3600.0,
    }


def plan_file(
    site: Site, first: date, last: date, form: str, watch: Watch = iter
) -> tuple[str, str]:
    """The plan of all shades as a file's text, and its media type.

    Raises
    ------
    RequestError
        When the days run backwards or are more than a year, or the form is neither csv nor ics.
    """
    dates_bounds(first, last, site.place.zone)
    if (last - first).days >= MOST_PLANNED:
        raise RequestError(f"at most {MOST_PLANNED} days are planned here; choose fewer")
    plans = season_plan(site, first, last, watch=watch)
    rows = in_time_order(row for plan in plans for row in plan.closings)
    if form == "csv":
        return plan_csv(rows, site.place.zone).decode(), "text/csv"
    if form == "ics":
        return plan_ics(rows, site.place, ends=last).decode(), "text/calendar"
    raise RequestError(f"{form!r} is no form of a plan; there are csv and ics")


def report_text(site: Site, text: str, file: str, today: date, watch: Watch = iter) -> str:
    """The report's page of the year of `today`, with the comparison over the site's weather."""
    first, last = a_year(today.year)
    if site.place.latitude < 0:  # its summer in one piece
        start = today.year if today.month >= 7 else today.year - 1
        first, last = date(start, 7, 1), date(start + 1, 6, 30)
    data = gather_report(
        site,
        first,
        last,
        today,
        weather=load_weather(site),
        source=text,
        file=file,
        watch=watch,
    )
    return report_page(data).decode()
