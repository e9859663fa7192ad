"""What motors do by the rows of a plan: when each shade is down, and how long its motor runs.

A shade counts as down once its motor has made its full run, and until it starts to open. The replay
does what a motor would: the first `open` after a `close` opens the shade, whatever other rows say.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from zoneinfo import ZoneInfo

from suncover.base import clock
from suncover.base.spell import Spell, union
from suncover.plan.closings.shade_plan import Closing
from suncover.plan.motor import Motor, timing_of
from suncover.plan.sharing.supply import overloads
from suncover.plan.unit import ShadeSun
from suncover.site.model import Shade, Site


def wanted_by_position(sun: ShadeSun) -> dict[float, tuple[Spell, ...]]:
    """When a shade has to be down, by how far at the least (per cent)."""
    by_position: dict[float, list[Spell]] = {}
    for want in sun.all_wants:
        by_position.setdefault(want.position, []).append(want.spell)
    return {position: union(by_position[position]) for position in sorted(by_position)}


def down_at(closings: Iterable[Closing], shade: Shade) -> Callable[[float], tuple[Spell, ...]]:
    """When a shade is down at least so far (per cent), as its motor would do what the rows say.

    From the end of the motor's run (the full one: a shorter is not longer) to the next opening.
    """
    travel = timing_of(shade).travel
    events = sorted(
        event
        for closing in closings
        for event in ((closing.open, 0, 0), (closing.close, 1, closing.position))
    )
    spells: list[tuple[Spell, int]] = []
    since: tuple[int, int] | None = None
    for instant, closes, position in events:
        if since is not None and (not closes or position != since[1]):
            # A shade sent from one stop to another is between the two until its run is over.
            spells.append((Spell(since[0], max(instant, since[0])), since[1]))
            since = None
        if closes and since is None:
            since = (instant + travel, position)
    return lambda depth: union(spell for spell, position in spells if position >= depth - 1e-9)


def replayed(closings: Iterable[Closing]) -> tuple[Spell, ...]:
    """From each start of the motor to close until it starts to open: at the next `open` of any row.

    Rows that overlap are so as a motor would do them.
    """
    events = sorted((at, n) for row in closings for n, at in ((0, row.open), (1, row.close)))
    spells: list[Spell] = []
    since: int | None = None
    for instant, closes in events:
        if closes and since is None:
            since = instant
        elif not closes and since is not None:
            spells.append(Spell(since, instant))
            since = None
    return union(spells)


def run_seconds_by_date(
    closings: Iterable[Closing], shade: Shade, zone: ZoneInfo
) -> dict[date, float]:
    """How long the motor runs on each local date, in order of the dates."""
    total: defaultdict[date, float] = defaultdict(float)
    for closing in closings:
        run = closing.run_seconds if closing.run_seconds is not None else shade.travel
        for instant in (closing.close, closing.open):
            total[clock.local_date(instant, zone)] += run
    return {day: total[day] for day in sorted(total)}


@dataclass(frozen=True, slots=True)
class Overload:
    """A motor that starts while its supply runs as many as it can, or too soon after another."""

    supply: str
    instant: int


def overloads_of(site: Site, closings: Sequence[Closing]) -> tuple[Overload, ...]:
    """Where motors start though their supply is busy, supply by supply."""
    if not site.supplies:
        return ()
    motors = {shade.name: Motor(shade, site.place.zone) for shade in site.all_shades()}
    return tuple(
        Overload(supply.name, instant)
        for supply in site.supplies
        for instant in overloads(supply, motors, closings)
    )
