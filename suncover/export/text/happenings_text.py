"""When shades stay up or down whatever the sun does, for a person."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

from suncover.base import clock
from suncover.base.spell import Spell
from suncover.export.text.text_table import Style, wrapped
from suncover.export.text.words import dates_text, listed, number, weekday_text
from suncover.plan.exceptions import Happening
from suncover.site.model import Site

MOST_LINES = 6
FEWEST_TIMES = 3  # that count as a series


def happenings_lines(
    site: Site, happenings: Sequence[Happening], strong: Style, heading: str = "Not by the sun"
) -> Iterator[str]:
    """A line for each of the first exceptions, and one for all times of a series; nothing where
    there are none.
    """
    if not happenings:
        return
    yield ""
    yield strong(heading)
    series = _series(happenings)
    for times in series[:MOST_LINES]:
        yield from wrapped(_sentence(times, site), first="  - ", indent="    ")
    if left_out := sum(len(times) for times in series[MOST_LINES:]):
        yield f"  … and {number(left_out, 'more time', 'more times')}"


def _series(happenings: Sequence[Happening]) -> list[list[Happening]]:
    """The exceptions in order of time, those that are the same but for their times together, where
    they are many.
    """
    alike: dict[tuple[object, ...], list[Happening]] = {}
    for happening in happenings:
        alike.setdefault((happening.name, happening.do, happening.shades), []).append(happening)
    groups = [
        part
        for times in alike.values()
        for part in (
            [times] if len(times) >= FEWEST_TIMES else [[happening] for happening in times]
        )
    ]
    return sorted(groups, key=lambda times: times[0].spell)


def _sentence(times: Sequence[Happening], site: Site) -> str:
    first, zone = times[0], site.place.zone
    for_all = all(first.is_for(shade) for shade in site.all_shades())
    shades = "all shades" if for_all else listed(first.shades or ())
    times_text = when_text(first.spell, zone)
    if len(times) > 1:
        times_text = f"{_how_often(times, zone)}{len(times)} times, first {times_text}"
    return f"{first.name}, {times_text}: {shades} {first.do}"


def _how_often(times: Sequence[Happening], zone: ZoneInfo) -> str:
    days = [clock.local_date(happening.spell.start, zone) for happening in times]
    gaps = {(after - before).days for before, after in pairwise(days)}
    return {1: "every day, ", 7: "every week, "}.get(gaps.pop(), "") if len(gaps) == 1 else ""


def when_text(spell: Spell, zone: ZoneInfo) -> str:
    """`10 to 24 Jul 2027` for whole days, else with clock times."""
    first, last = clock.local_date(spell.start, zone), clock.local_date(spell.end - 1, zone)
    if clock.dates_bounds(first, last, zone) == spell:
        return dates_text(first, last)
    begin = f"{weekday_text(first)}, {clock.clock_text(spell.start, zone)}"
    end = clock.local_date(spell.end, zone)
    one_stretch = end == first or (end == first + timedelta(days=1) and last == first)
    ends = clock.clock_text(spell.end, zone)
    return f"{begin}–{ends}" if one_stretch else f"{begin} to {weekday_text(end)}, {ends}"
