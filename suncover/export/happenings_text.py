"""When shades stay up or down whatever the sun does, for a person."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import timedelta
from zoneinfo import ZoneInfo

from suncover import clock
from suncover.exceptions_by_date import Happening
from suncover.export.text_table import Style, wrapped
from suncover.export.words import dates_text, listed, number, weekday_text
from suncover.site import Site
from suncover.spell import Spell

MOST_LINES = 6


def happenings_lines(
    site: Site, found: Sequence[Happening], strong: Style, heading: str = "Not by the sun"
) -> Iterator[str]:
    """A line for each of the first exceptions; nothing where there are none."""
    if not found:
        return
    yield ""
    yield strong(heading)
    for one in found[:MOST_LINES]:
        yield from wrapped(_sentence(one, site), first="  - ", indent="    ")
    if len(found) > MOST_LINES:
        yield f"  … and {number(len(found) - MOST_LINES, 'more time', 'more times')}"


def _sentence(one: Happening, site: Site) -> str:
    every = all(one.is_for(shade) for shade in site.all_shades())
    which = "all shades" if every else listed(one.shades or ())
    return f"{one.name}, {_when(one.spell, site.place.zone)}: {which} {one.do}"


def _when(spell: Spell, zone: ZoneInfo) -> str:
    """`10 to 24 Jul 2027` for whole days, else with clock times."""
    first, last = clock.local_date(spell.start, zone), clock.local_date(spell.end - 1, zone)
    if clock.dates_bounds(first, last, zone) == spell:
        return dates_text(first, last)
    begin = f"{weekday_text(first)}, {clock.clock_text(spell.start, zone)}"
    end = clock.local_date(spell.end, zone)
    same = end == first or (end == first + timedelta(days=1) and last == first)
    ends = clock.clock_text(spell.end, zone)
    return f"{begin}–{ends}" if same else f"{begin} to {weekday_text(end)}, {ends}"
