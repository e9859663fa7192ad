"""A season's plan for a person: what each shade does, which sun it lets in and why."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Sequence
from datetime import date
from itertools import groupby
from zoneinfo import ZoneInfo

from suncover.base.clock import clock_text, dates_bounds, local_date
from suncover.export.text.happenings_text import happenings_lines
from suncover.export.text.text_table import Column, Style, joined, table, wrapped
from suncover.export.text.words import dates_text, hours_text, number, season_text, weekday_text
from suncover.plan.closings.reasons import length_text
from suncover.plan.closings.shade_plan import Closing, ShadePlan, Uncovered, in_time_order
from suncover.plan.exceptions import happenings
from suncover.plan.slight import SLIGHT, SlightSun
from suncover.site.model import Site

FEWEST_ROWS, MOST_ROWS = 8, 24  # closings shown: whole days until there are enough
CAUTION = (
    "Take care: a shade that moves by itself can catch hands, pets and children; keep cords out "
    "of reach. The plan follows the sun, not the weather."
)

_RULES = {
    "shortest": "because it is too short to close for",
    "quiet": "because of quiet hours",
    "season": "because its closing would be outside the season",
    "best": "because it is not worth a closing",
}
_SUMMARY = (
    Column("shade", most=18),
    Column("season", most=16),
    Column("closings", right=True),
    Column("moves", right=True),
    Column("sun kept out", right=True),
    Column("comes in", right=True),
)
_CLOSINGS = (
    Column("day"),
    Column("down"),
    Column("up"),
    Column("shade", most=20),
    Column("why", wrap=True),
)


def plan_text(
    site: Site,
    plans: Sequence[ShadePlan],
    first: date,
    last: date,
    *,
    slight: Sequence[SlightSun] = (),
    summary: Sequence[str] = (),
    with_closings: bool = True,
    brief: bool = False,
    strong: Style = str,
) -> str:
    """The plans of a site's shades for the sun from `first` to `last` (both included).

    `slight` tells which closings are for slight sun alone. `summary` are the lines on what they
    come to; `with_closings` shows those of the first days one by one, before anything else. With
    `brief`, the page is what to do and what is not as asked.
    """
    span = dates_bounds(first, last, site.place.zone)
    lines = [*_head(site, first, last, strong)]
    if with_closings:
        lines += _first_closings(plans, slight, site.place.zone, strong)
    lines += _summary(site, plans, strong)
    lines += happenings_lines(site, happenings(site, span), strong)
    lines += _let_in(plans, site.place.zone, strong)
    if not brief:
        lines += slight_lines(slight, strong)
    lines += summary
    lines += ["", *wrapped(CAUTION)]
    return joined(lines)


def _head(site: Site, first: date, last: date, strong: Style) -> Iterator[str]:
    yield from (strong(line) for line in wrapped(f"Plan for the shades of {site.place.name}"))
    yield f"{dates_text(first, last)}, by the clocks of {site.place.zone_name}"


def _summary(site: Site, plans: Sequence[ShadePlan], strong: Style) -> Iterator[str]:
    seasons = {shade.name: site.need_of(shade).plan_season for shade in site.all_shades()}
    rows = [
        (
            plan.shade,
            season_text(seasons[plan.shade]),
            str(len(plan.closings)),
            str(2 * len(plan.closings)),
            f"{hours_text(sum(closing.sun_seconds for closing in plan.closings))} h",
            f"{hours_text(sum(part.end - part.start for part in plan.uncovered if part.sun))} h",
        )
        for plan in plans
    ]
    yield ""
    yield from table(_SUMMARY, rows, strong=strong)


def _let_in(plans: Sequence[ShadePlan], zone: ZoneInfo, strong: Style) -> Iterator[str]:
    """Sun that no closing covers, by shade and rule, and where a plan could not keep to a rule."""
    yield ""
    if not any(plan.uncovered or plan.remarks for plan in plans):
        yield "All sun that the shades are to keep out is kept out."
        return
    yield strong("Not as asked")
    for plan in plans:
        by_rule = sorted(plan.uncovered, key=lambda part: (part.rule, not part.sun))
        for (rule, _), parts in groupby(by_rule, key=lambda part: (part.rule, part.sun)):
            sentence = _uncovered_sentence(rule, list(parts), zone)
            yield from wrapped(f"{plan.shade}: {sentence}", first="  - ", indent="    ")
        for remark in plan.remarks:
            yield from wrapped(f"{plan.shade}: {remark}", first="  - ", indent="    ")


def _uncovered_sentence(rule: str, parts: Sequence[Uncovered], zone: ZoneInfo) -> str:
    first = min(parts, key=lambda part: part.start)
    days = len({local_date(part.start, zone) for part in parts})
    day = local_date(first.start, zone)
    length = length_text(sum(part.end - part.start for part in parts))
    times = f"{clock_text(first.start, zone)}–{clock_text(first.end, zone)}"
    amount = f"{length} of sun" if first.sun else length
    effect = "not kept out" if first.sun else "left open"
    return (
        f"{amount} on {number(days, 'day')} {effect} {_RULES.get(rule, rule)}; "
        f"first on {weekday_text(day)}, {times} ({first.why})"
    )


def slight_lines(slight: Sequence[SlightSun], strong: Style = str) -> Iterator[str]:
    """Which closings are for slight sun alone, and what keeps a shade up then."""
    if not slight:
        return
    yield ""
    yield strong("For slight sun")
    for sun in slight:
        first = weekday_text(sun.slight[0].date)
        yield from wrapped(
            f"{sun.shade}: {len(sun.slight)} of {number(sun.closings, 'closing')}, together "
            f"{hours_text(sun.closed)} h, for sun that puts no more than {math.ceil(sun.most)} W "
            f"on each m² of the glass; first on {first}",
            first="  - ",
            indent="    ",
        )
    yield from wrapped(
        f"Full sun gives ten times as much. With power = {SLIGHT:g} in [need], or in the shade's "
        "own [shade.need], shades stay up then."
    )


def _first_closings(
    plans: Sequence[ShadePlan], slight: Sequence[SlightSun], zone: ZoneInfo, strong: Style
) -> Iterator[str]:
    closings = in_time_order(closing for plan in plans for closing in plan.closings)
    yield ""
    if not closings:
        yield "No shade closes in these days."
        return
    rows = _first_days(closings)
    weak = {(row.shade, row.close) for shade in slight for row in shade.slight}
    yield strong("The first days" if len(rows) < len(closings) else "All closings")
    yield from table(_CLOSINGS, [_closing_row(closing, weak, zone) for closing in rows])
    if len(rows) < len(closings):
        yield f"  … and {len(closings) - len(rows)} more"


def _first_days(closings: Sequence[Closing]) -> Sequence[Closing]:
    """Whole days, until there are at least so many rows; never more than fit on a screen."""
    rows: list[Closing] = []
    for _, of_day in groupby(closings, key=lambda closing: closing.date):
        if len(rows) >= FEWEST_ROWS:
            break
        rows.extend(of_day)
    return rows[:MOST_ROWS]


def _closing_row(
    closing: Closing, weak: Collection[tuple[str, int]], zone: ZoneInfo
) -> tuple[str, str, str, str, str]:
    day = local_date(closing.open, zone)
    later = (day - closing.date).days
    opens = clock_text(closing.open, zone) + (f" +{later}" if later else "")
    return (
        weekday_text(closing.date),
        clock_text(closing.close, zone),
        opens,
        closing.shade,
        closing.reason + ("; slight sun" if (closing.shade, closing.close) in weak else ""),
    )
