"""A shade of a group that goes its own way while it has to stay up and the others do not.

    the group's plan, the shade's own ──> own_way ──> with_own_way

Somebody may be working at that shade. So it takes no part in a closing of the group that would
have it down in such a time, or have its motor run. In the span of that closing it does what its own
plan has there, and goes with the group before and after.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING, NamedTuple
from zoneinfo import ZoneInfo

from suncover.base.clock import local_date
from suncover.base.spell import Spell, intersect, subtract, union
from suncover.plan.closings.reasons import with_stop
from suncover.plan.closings.rules import any_in, timing_of
from suncover.plan.closings.shade_plan import Closing, ShadePlan, motor_moves_by_date
from suncover.plan.closings.stops import Down, run_of, run_seconds

if TYPE_CHECKING:
    from suncover.site.model import Shade


class OwnWay(NamedTuple):
    """What a shade of a group does: the numbers of the group's closings that it keeps to, and those
    of its own closings that take the place of the others.
    """

    kept: tuple[int, ...]
    own: tuple[int, ...]


def own_way(
    shade: Shade,
    up: Sequence[Spell],
    group: Sequence[Closing],
    own: Sequence[Closing],
    zone: ZoneInfo,
) -> OwnWay:
    """Which closings of its group a shade makes, and which of its own in place of the rest.

    `up` (sorted, disjoint) is when it has to stay up; `group` and `own` are sorted and disjoint.
    The rest are the group's closings that meet such a time, and those that have no room beside the
    shade's own: less than a run of its motor apart from one of them, or on a date on which the two
    together would be more than its moves.
    """
    travel = timing_of(shade).travel
    more = {n for n, row in enumerate(group) if any_in(up, row.close, row.open + travel)}
    gone: set[int] = set()
    taken: list[int] = []
    while more:
        gone |= more
        spans = _spells(group[n] for n in sorted(gone))
        taken = [n for n, row in enumerate(own) if any_in(spans, row.close, row.open)]
        mine = [own[n] for n in taken]
        kept = {n: row for n, row in enumerate(group) if n not in gone}
        near = union(Spell(r.close - max(travel, 1), r.open + max(travel, 1)) for r in mine)
        more = {n for n, row in kept.items() if any_in(near, row.close, row.open)}
        crowded = _crowded(shade, kept.values(), mine, zone)
        more |= {n for n, row in kept.items() if not crowded.isdisjoint(_dates(row, zone))}
    return OwnWay(tuple(n for n in range(len(group)) if n not in gone), tuple(taken))


def with_own_way(
    shade: Shade, up: Sequence[Spell], group: ShadePlan, own: ShadePlan, zone: ZoneInfo
) -> ShadePlan:
    """The plan of a shade of a group, as `own_way` makes it of the group's and its own.

    What is left uncovered is told as in the plan that the shade keeps to at that time; the remarks
    are those of the group's.
    """
    way = own_way(shade, up, group.closings, own.closings, zone)
    if len(way.kept) == len(group.closings):
        return group
    kept, mine = [group.closings[n] for n in way.kept], [own.closings[n] for n in way.own]
    rows = sorted([*kept, *(replace(row, apart=True) for row in mine)], key=lambda row: row.close)
    gone = _spells(row for n, row in enumerate(group.closings) if n not in way.kept)
    left = [
        replace(part, start=piece.start, end=piece.end)
        for part in group.uncovered
        for piece in subtract([Spell(part.start, part.end)], _spells(mine))
    ]
    left += [
        replace(part, start=piece.start, end=piece.end)
        for part in own.uncovered
        for piece in intersect([Spell(part.start, part.end)], gone)
    ]
    left.sort(key=lambda part: (part.start, part.end))
    return replace(group, closings=_with_full_runs(shade, rows), uncovered=tuple(left))


def whole_of(each: Sequence[Sequence[Closing]]) -> list[tuple[Closing, ...]] | None:
    """All closings of a group for each of its shades, those that it does not make as another does.

    `each` are the shades' closings, sorted and disjoint, some of which go their own way at times.
    None where the others do not correspond, as where a supply has joined some of one shade alone.
    """
    rows = [(row, n) for n, mine in enumerate(each) for row in mine if not row.apart]
    places: list[dict[int, Closing]] = []
    until = 0
    for row, number in sorted(rows, key=lambda one: (one[0].close, one[0].open)):
        if not places or row.close >= until:
            places.append({})
        if number in places[-1]:
            return None
        places[-1][number] = row
        until = max(until, row.open)
    return [
        tuple(held.get(number, next(iter(held.values()))) for held in places)
        for number in range(len(each))
    ]


def _spells(rows: Iterable[Closing]) -> list[Spell]:
    return [Spell(row.close, row.open) for row in rows]


def _dates(row: Closing, zone: ZoneInfo) -> set[date]:
    return {local_date(row.close, zone), local_date(row.open, zone)}


def _crowded(
    shade: Shade, kept: Collection[Closing], own: Sequence[Closing], zone: ZoneInfo
) -> set[date]:
    """The dates of a shade's own closings on which those of its group make it too many moves."""
    if shade.moves is None:
        return set()
    count = motor_moves_by_date([*kept, *own], zone)
    mine = motor_moves_by_date(own, zone)
    return {day for day in mine if count[day] > shade.moves}


def _with_full_runs(shade: Shade, rows: Sequence[Closing]) -> tuple[Closing, ...]:
    """The rows of two plans with the full runs that `home_after` asks for between them."""
    found, moves = list(rows), 0
    for number, row in enumerate(rows):
        down, moves = run_of(row.position, moves, shade)
        if down.position != row.position:
            reason = row.reason.removesuffix(with_stop("", Down(row.position)))
            found[number] = replace(
                row,
                position=down.position,
                run_seconds=run_seconds(shade, down.position),
                reason=with_stop(reason, down),
            )
    return tuple(found)
