"""Notes on a year carpet, in the night at its foot: seasons, leaves, and where clocks change."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

import numpy as np

from suncover.base.clock import Season, in_season, local_date, offsets_between
from suncover.report.calendar_days import Calendar
from suncover.report.gather import ReportData
from suncover.report.pictures import draw
from suncover.report.pictures.axes import LEFT, RIGHT, day_scale
from suncover.report.pictures.labels import LETTER
from suncover.report.pictures.markup import Markup, short, tag
from suncover.report.shade_year import ShadeYear

ROW = 15.0
_FOOT = 6.0  # of the lowest note above the plot's foot
_MOST_TREES = 2


def carpet_notes(data: ReportData, shade: ShadeYear | None, bottom: float) -> list[Markup]:
    """The notes on a window's carpet whose plot ends at `bottom`, one above the other."""
    calendar = data.calendar
    notes = [clock_changes(calendar)]
    for tree in [tree for tree in data.site.trees if tree.in_leaf is not None][:_MOST_TREES]:
        notes.append(list(_spans(calendar, tree.in_leaf, f"{tree.name} in leaf")))
    if shade is not None:
        season = data.site.need_of(shade.shade).plan_season
        if season is not None:
            notes.append(list(_spans(calendar, season, "season")))
    drawn: list[Markup] = []
    up = bottom - _FOOT
    for row in notes:
        for first, last, words in row:
            drawn.append(_note(calendar, (first, last), up, words))
        up -= ROW if row else 0.0
    return drawn


def clock_changes(calendar: Calendar) -> list[tuple[int, int, str]]:
    """The days on which clocks change, each as a span of that day."""
    bounds, zone = calendar.bounds, calendar.zone
    offsets = offsets_between(bounds.start, bounds.end, zone)
    days = [
        calendar.index(local_date(at, zone))
        for (_, before), (at, after) in pairwise(offsets)
        if after != before
    ]
    return [(day, day, "clocks change") for day in days if day is not None]


def _spans(calendar: Calendar, season: Season | None, words: str) -> Iterator[tuple[int, int, str]]:
    """The days of a season, in one stretch or two; only the longer one is named."""
    inside = np.array([in_season(day, season) for day in calendar.days])
    edges = np.flatnonzero(np.diff(np.concatenate([[0], inside, [0]])))
    runs = sorted(edges.reshape(-1, 2).tolist(), key=lambda run: run[0] - run[1])
    for number, (first, end) in enumerate(runs):
        yield first, end - 1, "" if number else words


def _note(calendar: Calendar, days: Sequence[int], up: float, words: str) -> Markup:
    """A line over its days with ends, and its words in the middle of it."""
    x = day_scale(len(calendar.days))
    start, end = x(days[0]), x(days[1] + 1)
    line = f"M{short(start, 1)} {short(up - 8, 1)}v8M{short(end, 1)} {short(up - 8, 1)}v8"
    if end - start > LETTER:
        line += f"M{short(start, 1)} {short(up - 4, 1)}H{short(end, 1)}"
    half = LETTER * len(words) / 2.0
    middle = min(max((start + end) / 2.0, LEFT + half), RIGHT - half)
    words_drawn = draw.text(middle, up, words, "m q small halo full") if words else Markup()
    return Markup(tag("path", d=line, class_="rise full") + words_drawn)
