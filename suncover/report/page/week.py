"""The page's beginning: what to do next, the week, the season in one glance."""

from __future__ import annotations

import json
from collections.abc import Iterator

from suncover.base.clock import clock_text, local_date
from suncover.export.text.happenings_text import when_text
from suncover.export.text.words import listed, season_text
from suncover.plan.closings.shade_plan import Closing
from suncover.report.gather import ReportData, ShadeWeek
from suncover.report.page.blocks import figure_block
from suncover.report.pictures.markup import Markup, tag
from suncover.report.pictures.season_ribbon import season_ribbon
from suncover.report.pictures.week_bars import week_bars
from suncover.report.words import weekday_text


def week_section(data: ReportData) -> Markup:
    """Today and the next seven days of every shade."""
    todo = [
        tag("div", tag("dt", shade.shade.name), next_line(data, shade), kept_up_line(data, shade))
        for shade in data.week.shades
    ]
    # A shade with no sun that stays open has had its line above; bars of nothing say no more.
    shades = data.week.shades
    told = [n for n, shade in enumerate(shades) if shade.sun or shade.closed]
    bars = [figure_block(week_bars(data, n), known=n > told[0]) for n in told]
    return tag(
        "section",
        tag("h2", "What to do next", id="next"),
        tag(
            "p",
            f"This page was made for {weekday_text(data.at)}. For the days of now, make it anew.",
            class_="stale",
            hidden=True,
        ),
        tag("dl", todo, class_="todo"),
        tag("h3", "Today and the next seven days") if bars else None,
        bars,
        aria_labelledby="next",
    )


def season_section(data: ReportData) -> Markup:
    """Every shade's days in one glance."""
    told = [n for n, shade in enumerate(data.shades) if shade.sun or shade.closed]
    ribbons = [figure_block(season_ribbon(data, n), known=n > told[0]) for n in told]
    idle = listed([one.shade.name for n, one in enumerate(data.shades) if n not in told])
    return tag(
        "section",
        tag("h2", "The season in one glance", id="season"),
        tag(
            "p",
            "Above the line: hours of sun on the windows. Below it: hours that the shade is "
            "closed. Sun above with nothing below is not kept out: mostly because it is out of "
            "season.",
        ),
        ribbons,
        tag("p", f"No sun, and nothing to close for: {idle}.", class_="quiet") if idle else None,
        aria_labelledby="season",
    )


def next_line(data: ReportData, shade: ShadeWeek) -> Markup:
    """The next move in words; the script puts the one that is next when the page is read."""
    moves = list(moves_of(data, shade))
    first = moves[0][1] if moves else stays_open(data, shade)
    return tag(
        "dd",
        first,
        data_moves=json.dumps(moves, ensure_ascii=False) if moves else None,
    )


def kept_up_line(data: ReportData, shade: ShadeWeek) -> Markup | None:
    """When exceptions have it stay open in these days, and which."""
    if not shade.kept_up:
        return None
    zone = data.calendar.zone
    said = [f"{when_text(one.spell, zone)}: {one.name}" for one in shade.kept_up]
    return tag("dd", f"Stays open {listed(said)}.", class_="kept-up")


def moves_of(data: ReportData, shade: ShadeWeek) -> Iterator[tuple[int, str]]:
    """Each move from the start of today on: its instant, and a sentence."""
    start = data.week.calendar.bounds.start
    for closing in shade.closings:
        if closing.close >= start:
            yield closing.close, _close_sentence(data, closing)
        if closing.open >= start:
            yield closing.open, f"Open {_when(data, closing.open)}."


def _close_sentence(data: ReportData, closing: Closing) -> str:
    how = "Close" if closing.position == 100 else f"Close to {closing.position} %"
    return (
        f"{how} {_when(data, closing.close)}, open {_when(data, closing.open, closing.close)}: "
        f"{closing.reason}."
    )


def _when(data: ReportData, instant: int, after: int | None = None) -> str:
    """`Sun 21 Jun at 13:37`; without the day where it is that of `after`."""
    zone = data.calendar.zone
    day = local_date(instant, zone)
    at = f"at {clock_text(instant, zone)}"
    if after is not None and day == local_date(after, zone):
        return at
    return f"today {at}" if day == data.at else f"{weekday_text(day)} {at}"


def stays_open(data: ReportData, shade: ShadeWeek) -> str:
    """Why nothing is to be done in these days."""
    season = data.site.need_of(shade.shade).season
    if shade.sun and shade.kept_up:
        return "Stays open these days."
    if shade.sun and season is not None:
        return f"Stays open these days: its season is {season_text(season)}."
    if shade.sun:
        return "Stays open these days: no sun that asks for it."
    return "Stays open these days: no sun on its windows."
