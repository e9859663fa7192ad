"""The page's beginning: what to do next, the week, the season in one glance."""

from __future__ import annotations

import json
from collections.abc import Sequence
from datetime import date

from suncover.base.clock import clock_text, day_bounds, local_date
from suncover.compare.overhangs import BestOverhang
from suncover.compare.summary import Summary
from suncover.export.text.compare_advice import advice, overhang_verdict
from suncover.export.text.words import listed, season_text, weekday_text
from suncover.plan.closings.shade_plan import Closing
from suncover.report.gather import ReportData
from suncover.report.habits import next_change
from suncover.report.page.blocks import figure_block, listing
from suncover.report.page.paper import timetable
from suncover.report.page.readout import signed_text
from suncover.report.page.wall import wall
from suncover.report.pictures.markup import Markup, tag
from suncover.report.pictures.season_ribbon import season_ribbon
from suncover.report.pictures.today_bars import today_bars
from suncover.report.pictures.week_bars import week_bars
from suncover.report.shade_week import ShadeWeek
from suncover.report.units import length_mark, with_lengths


def week_section(data: ReportData) -> Markup:
    """The day of every shade, what is to be done on it, and the week after it."""
    shades = data.week.shades
    days = [_day_list(data, day) for day in range(len(data.week.calendar.days))]
    # A shade with no sun that stays open has had its line above; bars of nothing say no more.
    drawn = [n for n, shade in enumerate(shades) if shade.sun or shade.closed]
    bars = [figure_block(week_bars(data, n), again=True) for n in drawn]
    return tag(
        "section",
        tag("h2", "Today", id="today"),
        tag(
            "p",
            f"This page was made for {weekday_text(data.at)}, and its days are over. For the days "
            "of now, make it anew.",
            class_="stale",
            hidden=True,
        ),
        tag(
            "div",
            figure_block(today_bars(data)),
            tag("div", days, _changes(data)),
            class_="first",
        ),
        _worth(data),
        tag("details", tag("summary", "The seven days after"), bars, class_="fold")
        if bars
        else None,
        aria_labelledby="today",
    )


def _day_list(data: ReportData, day: int) -> Markup:
    """What is to be done on a day of the week; all but the first are hidden until their time."""
    entries = [
        tag(
            "div",
            tag("dt", shade.shade.name),
            tag("dd", hidden=True, class_="now", data_states=_states(data, shade)),
            [tag("dd", words) for words in day_lines(data, shade, day)],
        )
        for shade in data.week.shades
    ]
    return tag(
        "div",
        tag("h3", weekday_text(data.week.calendar.days[day])),
        tag("dl", entries, class_="todo"),
        data_day=day,
        hidden=bool(day),
    )


def day_lines(data: ReportData, shade: ShadeWeek, day: int) -> list[str]:
    """A sentence for each closing that begins on a day of the week or reaches into it."""
    week = data.week.calendar
    bounds = day_bounds(week.days[day], week.zone)
    lines = [
        _close_sentence(data, closing, week.days[day])
        for closing in shade.closings
        if closing.close < bounds.end and closing.open > bounds.start
    ]
    names = dict.fromkeys(
        happening.name
        for happening in shade.kept_up
        if happening.spell.start < bounds.end and happening.spell.end > bounds.start
    )
    if names:
        return [*lines, f"Stays open for {listed(list(names))}."]
    return lines or [stays_open(data, shade)]


def _states(data: ReportData, shade: ShadeWeek) -> str:
    """What holds from which instant on, in words, for the script to choose from: JSON."""
    start = data.week.calendar.bounds.start

    def is_open(coming: Sequence[Closing]) -> str:
        return f"Now open; closes {_time_text(data, coming[0].close)}." if coming else "Now open."

    states = [(0, is_open([closing for closing in shade.closings if closing.close >= start]))]
    for number, closing in enumerate(shade.closings, 1):
        states.append((closing.close, f"Now closed; opens {_time_text(data, closing.open)}."))
        states.append((closing.open, is_open(shade.closings[number:])))
    return json.dumps(states, ensure_ascii=False)


def _worth(data: ReportData) -> Markup | None:
    """What is saved, and whether an overhang is worth it, window by window; where it is known."""
    if data.heat is None:
        return None
    stands = [words for words in advice(data.heat) if words.startswith("Today's")]
    windows = verdicts(data, data.heat)
    if not stands and not windows:
        return None
    link = tag("a", "All of the comparison", href="#heat")
    return tag(
        "div",
        tag("h3", "What it is worth"),
        listing([*stands, *windows]),
        tag("p", link, "."),
        class_="worth",
    )


def verdicts(data: ReportData, heat: Summary) -> list[list[object]]:
    """Whether an overhang is worth it, a sentence a window."""
    return [
        [
            tag("b", best.window),
            ": overhang: ",
            with_lengths(overhang_verdict(best, length_mark), data.units),
            _adds(best),
            ".",
        ]
        for best in heat.overhangs
    ]


def _adds(best: BestOverhang) -> str:
    if best.best is None:
        return ""
    low, high = best.best.worth.net
    return f" ({signed_text(low)} to {signed_text(high)} {best.unit} a year beside today's)"


def _changes(data: ReportData) -> Markup | None:
    """The next change of each shade's days."""
    changes = []
    for year in data.shades:
        words = next_change(data.calendar, year.closed, data.at)
        if words is not None:
            changes.append([tag("b", year.shade.name), ": ", words])
    return tag("div", tag("h3", "What changes next"), listing(changes)) if changes else None


def season_section(data: ReportData) -> Markup:
    """Every shade's days in one glance."""
    drawn = [n for n, year in enumerate(data.shades) if year.sun or year.closed]
    ribbons = [figure_block(season_ribbon(data, n), again=n > drawn[0]) for n in drawn]
    idle = listed([year.shade.name for n, year in enumerate(data.shades) if n not in drawn])
    return tag(
        "section",
        tag("h2", "The year at a glance", id="season"),
        wall(data),
        timetable(data),
        tag(
            "div",
            tag("h3", "Hours of sun, hours closed"),
            tag(
                "p",
                "Above the line: hours of sun on the windows. Below it: hours that the shade is "
                "closed. Sun above with nothing below comes in: mostly because it is out of "
                "season.",
            ),
            ribbons,
            class_="screen",
        ),
        tag("p", f"No sun, and nothing to close for: {idle}.", class_="quiet") if idle else None,
        aria_labelledby="season",
    )


def _close_sentence(data: ReportData, closing: Closing, today: date) -> str:
    zone = data.calendar.zone
    verb = "Close" if closing.position == 100 else f"Close to {closing.position} %"

    def moment(instant: int) -> str:
        day = local_date(instant, zone)
        on = "" if day == today else f" on {weekday_text(day)}"
        return f"{clock_text(instant, zone)}{on}"

    return f"{verb} at {moment(closing.close)}, open at {moment(closing.open)}: {closing.reason}."


def _time_text(data: ReportData, instant: int) -> str:
    """`Sun 21 Jun at 13:37`."""
    zone = data.calendar.zone
    return f"{weekday_text(local_date(instant, zone))} at {clock_text(instant, zone)}"


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
