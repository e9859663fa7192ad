"""Plans of the shades that are given, laid into a year of weather."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from suncover.plan.closings.shade_plan import Closing, ShadePlan
from suncover.plan.other_year import moved_to_year
from suncover.site.model import Site
from suncover.sun.weather.days import YearDays


def closings_of(plan: Iterable[ShadePlan] | Iterable[Closing]) -> list[Closing]:
    """The closings of plans, or closings as they are."""
    rows: list[Closing] = []
    for item in plan:
        rows += item.closings if isinstance(item, ShadePlan) else [item]
    return rows


def in_year(rows: Sequence[Closing], days: YearDays, site: Site) -> tuple[Closing, ...]:
    """Closings at the same dates and clock times of a weather year's days."""
    if not rows:
        return ()
    year_of = {(day.month, day.day): day.year for day in days.dates}
    first = min(row.date for row in rows)
    moved: dict[tuple[int, int], list[Closing]] = {}
    for row in sorted(rows, key=lambda row: row.close):
        target = year_of.get((row.date.month, row.date.day))
        if target is not None and (row.date - first).days < 365:
            moved.setdefault((row.date.year, target), []).append(row)
    result: list[Closing] = []
    for (_, target), group in moved.items():
        result += moved_to_year(group, target, site.place.zone)
    return tuple(result)
