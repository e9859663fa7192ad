"""Shades that move together: one plan for all that any of them needs."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import reduce
from zoneinfo import ZoneInfo

from suncover import clock
from suncover.plan import ShadePlan, Uncovered, make_shade_plan
from suncover.site import Shade
from suncover.spell import Spell, intersect, seconds_in_each, subtract


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

    `up` is when it stays up, whatever the sun does; `sunless` when only an exception needs it down.
    """

    shade: Shade
    needed: tuple[Spell, ...]
    season: clock.Season | None
    counted: tuple[Spell, ...]
    windows: Mapping[str, Sequence[Spell]]
    up: tuple[Spell, ...] = ()
    sunless: tuple[Spell, ...] = ()


def move_together(members: Sequence[Member], zone: ZoneInfo) -> list[ShadePlan]:
    """Plans of the members, in their order, that all close and open at the same times.

    It is the leader's plan for all that any of them needs. Where their seasons differ, each one's
    need is cut to its own.
    """
    leader, spells, season = joint_need(members, zone)
    windows = {name: spells for member in members for name, spells in member.windows.items()}
    up = joint_up([member.up for member in members])
    joint = make_shade_plan(leader, spells, zone, season, windows=windows, up=up)
    rows = [Spell(closing.close, closing.open) for closing in joint.closings]
    plans = []
    for member in members:
        seconds = seconds_in_each(member.counted, rows)
        closings = tuple(
            replace(closing, shade=member.shade.name, sun_seconds=count)
            for closing, count in zip(joint.closings, seconds, strict=True)
        )
        left = tuple(_left_by(member, joint.uncovered))
        plans.append(ShadePlan(member.shade.name, closings, left, joint.remarks))
    return plans


def _left_by(member: Member, uncovered: Sequence[Uncovered]) -> Iterator[Uncovered]:
    """What a group leaves uncovered of one member's need."""
    for part in uncovered:
        own = intersect([Spell(part.start, part.end)], member.needed)
        dark = intersect(own, member.sunless)
        for piece in sorted([*subtract(own, dark), *dark]):
            sun = part.sun and piece not in dark
            yield replace(part, shade=member.shade.name, start=piece.start, end=piece.end, sun=sun)


def joint_need(
    members: Sequence[Member], zone: ZoneInfo
) -> tuple[Shade, list[Spell], clock.Season | None]:
    """The leader of some shades, what any of them needs, and the season of that."""
    leader = leader_of([member.shade for member in members])
    if len({member.season for member in members}) == 1:
        return leader, [s for member in members for s in member.needed], members[0].season
    return leader, [s for member in members for s in _in_season(member, zone)], None


def joint_up(each: Sequence[tuple[Spell, ...]]) -> tuple[Spell, ...]:
    """When all of some shades stay up, by when each of them does."""
    return reduce(intersect, each)


def _in_season(member: Member, zone: ZoneInfo) -> Sequence[Spell]:
    if member.season is None or not member.needed:
        return member.needed
    first = clock.local_date(member.needed[0].start, zone)
    last = clock.local_date(member.needed[-1].end, zone)
    return intersect(member.needed, clock.season_spells(member.season, first, last, zone))
