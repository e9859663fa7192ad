"""The log of a light sensor, day under day, with the comings and leavings found in it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from suncover.base.clock import (
    DAY_S,
    clock_text,
    date_text,
    day_bounds,
    local_date,
    offsets_between,
)
from suncover.base.spell import Spell
from suncover.export.text.words import long_date, number
from suncover.facing.light.study import LightStudy
from suncover.report.pictures import draw
from suncover.report.pictures.axes import LEFT, RIGHT
from suncover.report.pictures.figure import WIDE, Figure, Key, Scale, Table
from suncover.report.pictures.markup import Markup, as_markup, tag
from suncover.site.model import Site

LIGHT_LOG = "light-log"
ROW = 26.0  # height of a day
TOP, BELOW = 8.0, 26.0
MOST_DAYS = 60  # shown, the first ones
GAP = 2.5  # intervals between readings from which on they are not joined


def light_picture(site: Site, study: LightStudy) -> Figure:
    """Each day's light over its hours by the right clock, and when the sun came and left."""
    zone = site.place.zone
    times = study.log.times - 60.0 * study.clock.minutes
    days = sorted({local_date(int(time), zone) for time in times[:: max(1, len(times) // 5000)]})
    days = days[:MOST_DAYS]
    height = TOP + ROW * len(days)
    drawn: list[Markup] = []
    for hour in range(0, 25, 3):
        at = _hour(hour * 3600.0)
        drawn.append(draw.line(at, TOP, at, height, "grid"))
        drawn.append(draw.text(at, height + 18, f"{hour}", "m q"))
    rows = []
    for row, day in enumerate(days):
        bounds = day_bounds(day, zone)
        foot = TOP + ROW * (row + 1) - 2.0
        drawn.append(draw.text(LEFT - 8, foot - 4, date_text(day), "e q small"))
        drawn += _curves(study, times, bounds, foot, zone)
        for sighting in study.sightings:
            if bounds.start <= sighting.time < bounds.end:
                at = _hour(float(_by_clock(np.array([sighting.time]), bounds, zone)[0]))
                drawn.append(draw.line(at, foot - ROW + 2.0, at, foot, "rise"))
                came = "came" if sighting.seen == "on" else "left"
                rows.append((long_date(day), came, clock_text(int(sighting.time), zone)))
    return Figure(
        name=LIGHT_LOG,
        title=f"The light on {study.window}",
        alt=f"The light on {study.window} on {len(days)} days, a row for each, from midnight to "
        f"midnight by the right clock. {_sightings_text(rows)}",
        width=WIDE,
        height=height + BELOW,
        body=as_markup(drawn),
        table=Table("When the sun came and left", ("day", "the sun", "at"), tuple(rows)),
        legend=(
            Key(draw.swatch_line("sunline"), "the light, by the right clock"),
            Key(draw.swatch_line("rise"), "the sun came, or left"),
        ),
    )


def _curves(
    study: LightStudy, times: NDArray[np.float64], day: Spell, foot: float, zone: ZoneInfo
) -> Iterator[Markup]:
    """The light of a day in the row whose lower edge is at `foot`; `times` by the right clock."""
    values = study.log.values
    low, most = float(values.min()), float(np.quantile(values, 0.999)) or 1.0
    up = Scale(low, max(most, low + 1e-9), foot, foot - ROW + 4.0)
    first, last = np.searchsorted(times, [day.start, day.end])
    by_clock = _by_clock(times[first:last], day, zone)
    for part in _unbroken(by_clock, study.log.interval):
        points = [(_hour(by_clock[at]), up(min(values[first + at], most))) for at in part]
        yield tag("path", d=draw.path_of(points), class_="sunline")


def _sightings_text(rows: Sequence[tuple[str, str, str]]) -> str:
    """When the sun came and left, for a reader who does not see the picture."""
    parts = []
    for verb in ("came", "left"):
        times = sorted(at for _, change, at in rows if change == verb)
        if times:
            about = f"at {times[0]}"
            if times[-1] != times[0]:
                about = f"between {times[0]} and {times[-1]}"
            parts.append(f"the sun {verb} {about} on {number(len(times), 'day')}")
    if not parts:
        return "On none of them the sun was seen to come or leave."
    sentence = ", ".join(parts)
    return f"{sentence[0].upper()}{sentence[1:]}; a mark in each row shows it."


def _by_clock(times: NDArray[np.float64], day: Spell, zone: ZoneInfo) -> NDArray[np.float64]:
    """Seconds from the day's midnight by the clock on the wall, of which summer time skips an hour
    or has one twice.
    """
    begins, offsets = zip(*offsets_between(day.start, day.end, zone), strict=True)
    at = np.maximum(np.searchsorted(begins, times, side="right") - 1, 0)
    return np.asarray(times - day.start + np.array(offsets)[at] - offsets[0], dtype=np.float64)


def _hour(seconds: float) -> float:
    """Where a time of day is drawn."""
    return Scale(0.0, DAY_S, LEFT, RIGHT)(min(seconds, DAY_S))


def _unbroken(times: np.ndarray, interval: float) -> list[range]:
    """The rows of readings without a gap among them, or an hour that comes again."""
    steps = np.diff(times)
    apart = np.flatnonzero((steps > GAP * interval) | (steps < 0.0)) + 1
    breaks = [0, *apart.tolist(), len(times)]
    return [range(begin, end) for begin, end in pairwise(breaks) if end - begin > 1]
