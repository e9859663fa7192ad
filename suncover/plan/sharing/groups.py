"""Shades that move together: one plan for all that any of them needs."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import reduce
from zoneinfo import ZoneInfo

from suncover.base import clock
from suncover.base.spell import Spell, intersect, seconds_in_each, subtract
from suncover.plan.closings import stops as plan_positions
from suncover.plan.closings.shade_plan import (
    ShadePlan,
    Uncovered,
    for_exceptions_alone,
    make_shade_plan,
    sun_in_each,
)
from suncover.plan.needs import Want, for_heat
from suncover.site.model import Shade


def leader_of(shades: Sequence[Shade]) -> Shade:
    """A shade with the widest rules of several: what it is in time for, each of them is.

    The longest run, lead and lag, the longest gap that is bridged, the shortest sun that counts,
    and the fewest moves. The stops that all of them have, and the soonest full run.
    """
    moves = [shade.moves for shade in shades if shade.moves is not None]
    home = [shade.home_after for shade in shades if shade.home_after is not None]
    common = set(shades[0].stops).intersection(*(shade.stops for shade in shades))
    return shades[0].model_copy(
        update={
            "travel": max(shade.travel for shade in shades),
            "lead": max(shade.lead for shade in shades),
            "lag": max(shade.lag for shade in shades),
            "merge": max(shade.merge for shade in shades),
            "shortest": min(shade.shortest for shade in shades),
            "moves": min(moves, default=None),
            "stops": tuple(sorted(common)),
            "home_after": min(home, default=None),
        }
    )


@dataclass(frozen=True)
class Member:
    """A shade of a group: what it needs, in which season, and the sun on its windows.

    `up` is when it stays up, whatever the sun does; `wants` what it needs, and for what: None where
    that is the sun on its windows and nothing else.
    """

    shade: Shade
    needed: tuple[Spell, ...]
    season: clock.Season | None
    counted: tuple[Spell, ...]
    windows: Mapping[str, Sequence[Spell]]
    up: tuple[Spell, ...] = ()
    wants: tuple[Want, ...] | None = None


def move_together(members: Sequence[Member], zone: ZoneInfo) -> list[ShadePlan]:
    """Plans of the members, in their order, that all close and open at the same times.

    It is the leader's plan for all that any of them needs. Where their seasons differ, each one's
    need is cut to its own.
    """
    leader, spells, season = joint_need(members, zone)
    # What stays up whatever the sun does has no part in why the others close.
    windows = {
        name: subtract(spells, member.up)
        for member in members
        for name, spells in member.windows.items()
    }
    up = joint_up([member.up for member in members])
    wants = _joint_wants(members, zone)
    joint = make_shade_plan(leader, spells, zone, season, windows=windows, wants=wants, up=up)
    rows = [Spell(closing.close, closing.open) for closing in joint.closings]
    plans = []
    for member in members:
        shade = member.shade
        seconds = seconds_in_each(member.counted, rows)
        closings = tuple(
            replace(
                closing,
                shade=shade.name,
                sun_seconds=count,
                run_seconds=plan_positions.run_seconds(shade, closing.position),
            )
            for closing, count in zip(joint.closings, seconds, strict=True)
        )
        left = tuple(_left_by(member, joint.uncovered))
        plans.append(ShadePlan(shade.name, closings, left, joint.remarks))
    return plans


def _left_by(member: Member, uncovered: Sequence[Uncovered]) -> Iterator[Uncovered]:
    """What a group leaves uncovered of one member's need, and whether that is of sun."""
    wants = member.wants or ()
    starts, with_sun = [s.start for s in member.needed], sun_in_each(member.needed, wants)
    sunless = for_exceptions_alone(wants)
    for part in uncovered:
        own = intersect([Spell(part.start, part.end)], member.needed)
        dark = intersect(own, sunless)
        for piece in sorted([*subtract(own, dark), *dark]):
            sun = with_sun[bisect_right(starts, piece.start) - 1] and piece not in dark
            yield replace(part, shade=member.shade.name, start=piece.start, end=piece.end, sun=sun)


def joint_need(
    members: Sequence[Member], zone: ZoneInfo
) -> tuple[Shade, list[Spell], clock.Season | None]:
    """The leader of some shades, what any of them needs, and the season of that."""
    leader = leader_of([member.shade for member in members])
    if _alike(members):
        return leader, [s for member in members for s in member.needed], members[0].season
    spells = [s for member in members for s in _in_season(member, member.needed, zone)]
    return leader, spells, None


def _joint_wants(members: Sequence[Member], zone: ZoneInfo) -> list[Want]:
    """What any of the members needs and for what; none where that is sun on windows alone."""
    if all(member.wants is None for member in members):
        return []
    wants: list[Want] = []
    for member in members:
        own = for_heat(member.windows) if member.wants is None else member.wants
        if _alike(members):
            wants += own
            continue
        wants += [
            replace(want, spell=part)
            for want in own
            for part in _in_season(member, [want.spell], zone)
        ]
    return sorted(wants, key=lambda want: (want.spell, want.need, want.what))


def _alike(members: Sequence[Member]) -> bool:
    """Whether members have the same season."""
    return len({member.season for member in members}) == 1


def joint_up(each: Sequence[tuple[Spell, ...]]) -> tuple[Spell, ...]:
    """When all of some shades stay up, by when each of them does."""
    return reduce(intersect, each)


def own_ups(each: Sequence[tuple[Spell, ...]]) -> list[tuple[Spell, ...]]:
    """When each of some shades has to stay up and not all of them do, by when each has to."""
    joint = joint_up(each)
    return [subtract(up, joint) for up in each]


def _in_season(member: Member, spells: Sequence[Spell], zone: ZoneInfo) -> Sequence[Spell]:
    """The parts of some spells of a member (sorted, disjoint) that lie in its season."""
    if member.season is None or not spells:
        return spells
    first, last = (clock.local_date(at, zone) for at in (spells[0].start, spells[-1].end))
    return intersect(spells, clock.season_spells(member.season, first, last, zone))
