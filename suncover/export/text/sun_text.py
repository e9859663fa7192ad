"""Direct sun on windows and spots for a person: by day, by month or by year, in 80 columns."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from zoneinfo import ZoneInfo

from suncover.base.clock import clock_text, local_date
from suncover.base.spell import Spell, total_seconds
from suncover.export.text.text_table import WIDTH, Column, Style, cut, fit, joined, table, wrapped
from suncover.export.text.words import (
    beam_text,
    dates_text,
    facing_text,
    hours_text,
    need_text,
    period_text,
    wall_text,
    weekday_text,
)
from suncover.facade.periods import Period, by_date, periods, total
from suncover.plan.closings.reasons import length_text
from suncover.site.model import Need, Site, Window

MOST_DAYS = 31  # up to so many, each spell gets a line of its own
BAR = 16  # characters of the longest bar
NAME = 24

_SPELLS = (Column("date"), Column("from"), Column("to"), Column("lasts", right=True))


@dataclass(frozen=True)
class _Page:
    """What every line of a page needs: whose sun, on which days."""

    site: Site
    spells: Mapping[str, Sequence[Spell]]
    first: date
    last: date
    strong: Style

    @property
    def zone(self) -> ZoneInfo:
        return self.site.place.zone

    @cached_property
    def wholes(self) -> dict[str, Period]:
        """All days together, by name."""
        return {
            name: total("together", list(by_date(spells, self.zone)))
            for name, spells in self.spells.items()
        }


def _window_head(window: Window) -> str:
    way = facing_text(window)
    return f"{window.name}, {way}" if window.tilt == 0 else f"{window.name}, facing {way}"


def windows_text(
    site: Site,
    spells: Mapping[str, Sequence[Spell]],
    first: date,
    last: date,
    need: Need,
    *,
    strong: Style = str,
) -> str:
    """The sun on windows, by name, from `first` to `last` (both included), by `need`."""
    page = _Page(site, spells, first, last, strong)
    heads = {name: _window_head(site.window(name)) for name in spells}
    lines = [
        *_head(f"Direct sun on the windows of {site.place.name}", need_text(need), page),
        *_overview("window", page),
        *_details(heads, page),
    ]
    return joined(lines)


def spots_text(
    site: Site,
    spells: Mapping[str, Sequence[Spell]],
    first: date,
    last: date,
    *,
    strong: Style = str,
) -> str:
    """The sun on spots, by name, from `first` to `last` (both included)."""
    page = _Page(site, spells, first, last, strong)
    heads = {spot.name: f"{spot.name}, through {spot.window}" for spot in site.spots}
    title = f"Direct sun on places in {site.place.name}, while no shade is down"
    lines = [
        *_head(title, beam_text(site.need), page),
        *_overview("place", page),
        *_details(heads, page),
    ]
    return joined(lines)


def _head(title: str, what_counts: str, page: _Page) -> Iterator[str]:
    yield from (page.strong(line) for line in wrapped(title))
    dates = dates_text(page.first, page.last)
    yield f"{dates}, by the clocks of {page.site.place.zone_name}"
    yield from wrapped(f"{what_counts}. Hours are those of a cloudless sky.")


def _overview(heading: str, page: _Page) -> Iterator[str]:
    """One line for each window or spot, where there are several."""
    if len(page.spells) < 2:
        return
    columns = (
        Column(heading, most=NAME),
        Column("hours of sun", right=True),
        Column("sunny days", right=True),
        Column("earliest", right=True),
        Column("latest", right=True),
    )
    rows = [(name, *_figures(total)) for name, total in page.wholes.items()]
    yield ""
    yield from table(columns, rows, strong=page.strong)


def _details(heads: Mapping[str, str], page: _Page) -> Iterator[str]:
    by_day = (page.last - page.first).days < MOST_DAYS
    sums = {
        name: periods(spells, page.first, page.last, page.zone)
        for name, spells in page.spells.items()
    }
    longest = max((row.seconds for rows in sums.values() for row in rows), default=0)
    for name, spells in page.spells.items():
        yield ""
        yield page.strong(cut(heads[name], WIDTH))
        if not spells:
            yield "  no direct sun in these days"
        elif by_day:
            yield from table(_SPELLS, [_spell_row(spell, page.zone) for spell in spells])
            yield f"  together {hours_text(total_seconds(spells))} hours"
        else:
            yield from _by_period(sums[name], page.wholes[name], longest)
    shown = [*page.wholes.values(), *(row for rows in sums.values() for row in rows)]
    if any(_ends_next_morning(row) for row in shown):
        yield ""
        yield "Where the latest is before the earliest, sun goes on over midnight."


def _ends_next_morning(period: Period) -> bool:
    return (
        period.earliest is not None
        and period.latest is not None
        and period.latest < period.earliest
    )


def _spell_row(spell: Spell, zone: ZoneInfo) -> tuple[str, str, str, str]:
    day, until = local_date(spell.start, zone), local_date(spell.end, zone)
    end = clock_text(spell.end, zone)
    return (
        weekday_text(day),
        clock_text(spell.start, zone),
        end if until == day else f"{end} on {weekday_text(until)}",
        length_text(spell.seconds),
    )


def _figures(period: Period) -> tuple[str, str, str, str]:
    if period.earliest is None or period.latest is None:
        return "0.0", "0", "-", "-"
    return (
        hours_text(period.seconds),
        str(period.sunny_days),
        wall_text(period.earliest),
        wall_text(period.latest),
    )


def _by_period(rows: Sequence[Period], together: Period, longest: int) -> Iterator[str]:
    yield "              hours  sunny days  a sunny day  earliest  latest"
    for period in rows:
        bar = "#" * round(BAR * period.seconds / longest) if longest else ""
        yield f"{_figure_line(period_text(period.label), period)}  {bar}".rstrip()
    yield _figure_line(together.label, together)


def _figure_line(label: str, period: Period) -> str:
    hours, days, earliest, latest = _figures(period)
    a_day = f"{hours_text(period.seconds // period.sunny_days)} h" if period.sunny_days else "-"
    return f"  {fit(label, 9)} {hours:>7} {days:>11} {a_day:>12} {earliest:>9} {latest:>7}"


def no_spots_text(site: Site) -> str:
    """What to write for a site that has no spots."""
    window = site.windows[0].name
    text = (
        f"{site.place.name} has no place to watch. Add one to the site file, for example a desk "
        f"1.2 m behind the window {window}:"
    )
    example = (
        "",
        "  [[spot]]",
        '  name = "desk"',
        f'  window = "{cut(window, 60)}"',
        "  distance = 1.2    # metres straight in from the glass",
        "  height = 0.75     # metres above the floor",
    )
    return joined([*wrapped(text), *example])
