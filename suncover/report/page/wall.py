"""The year at a glance: a small carpet for each window, side by side on one scale, and its key."""

from __future__ import annotations

from collections.abc import Iterator

from suncover.base.clock import date_text
from suncover.export.text.words import listed, season_text
from suncover.report.gather import ReportData
from suncover.report.page.blocks import listing
from suncover.report.pictures import draw
from suncover.report.pictures.axes import LEFT, RIGHT
from suncover.report.pictures.carpet_notes import clock_changes
from suncover.report.pictures.ink import LEVEL_W, LEVELS
from suncover.report.pictures.markup import Markup, short, tag
from suncover.report.pictures.year_carpet import BOTTOM, TOP
from suncover.report.window_year import WindowYear

_KEY_BOX = 34.0


def wall(data: ReportData) -> Markup:
    """Every window's year, each leading to its own pictures; a key, and what the steps mean."""
    small = [_small(year, number) for number, year in enumerate(data.windows, 1) if year.pieces]
    dark = [year.window.name for year in data.windows if not year.pieces]
    return tag(
        "div",
        tag("div", small, class_="carpets"),
        _key(),
        listing(list(_notes(data)), "quiet"),
        tag("p", f"No direct sun in these days: {listed(dark)}.", class_="quiet") if dark else None,
    )


def _small(year: WindowYear, number: int) -> Markup:
    """The carpet of the window's own pictures once more, without its axes."""
    box = f"{short(LEFT)} {short(TOP)} {short(RIGHT - LEFT)} {short(BOTTOM - TOP)}"
    return tag(
        "a",
        tag("b", year.window.name),
        tag(
            "svg",
            tag("use", href=f"#carpet-{number}"),
            viewBox=box,
            preserveAspectRatio="none",
            aria_hidden="true",
        ),
        tag("span", f"{year.seconds.sum() / 3600.0:,.0f} h of sun"),
        href=f"#window-{number}",
    )


def _key() -> Markup:
    """The scale of the strength of the sun, to read a carpet's colours by."""
    boxes = [
        draw.rect(10 + _KEY_BOX * n, 2, _KEY_BOX, 14, f"f{n} outline-of") for n in range(LEVELS)
    ]
    numbers = [
        draw.text(10 + _KEY_BOX * n, 31, f"{LEVEL_W * n:.0f}", "m q small") for n in range(LEVELS)
    ]
    width = 20 + _KEY_BOX * LEVELS
    return tag(
        "p",
        tag(
            "svg",
            boxes,
            numbers,
            viewBox=f"0 0 {short(width)} 36",
            role="img",
            aria_label="Scale of colours from 0 to more than 800 W/m² of glass",
            class_="key",
        ),
        " W/m² of direct sun on the glass. Days run from left to right, hours from 0 at the foot "
        "to 24 at the top; grey is night, striped blue a closed shade.",
        class_="keyed",
    )


def _notes(data: ReportData) -> Iterator[str]:
    """What the steps in the carpets are: clocks, leaves, seasons."""
    changes = [data.calendar.days[day] for day, *_ in clock_changes(data.calendar)]
    if changes:
        yield f"Clocks change on {listed([date_text(day) for day in changes])}."
    for tree in data.site.trees:
        if tree.in_leaf is not None:
            yield f"{tree.name} is in leaf {season_text(tree.in_leaf)}."
    seasons: dict[str, list[str]] = {}
    for shade in data.shades:
        season = data.site.need_of(shade.shade).plan_season
        if season is not None:
            seasons.setdefault(season_text(season), []).append(shade.shade.name)
    for words, names in seasons.items():
        yield f"Closes in the season {words}: {listed(names)}."
