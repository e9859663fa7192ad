"""How far down a shade goes in each of its closings, and how long its motor runs to get there."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, NamedTuple

from suncover.base.spell import Spell
from suncover.plan.motor import FULL
from suncover.site.kinds.roller import full_run_seconds, run_share

if TYPE_CHECKING:
    from suncover.plan.needs import Want
    from suncover.site.model import Shade


class Down(NamedTuple):
    """Where a closing ends, in per cent down.

    `home` is the number of moves to or from a stop on the way since the last full run, where that
    is why the shade makes one; else 0.
    """

    position: int = FULL
    home: int = 0


def wants_in_each(wants: Iterable[Want], closings: Sequence[Spell]) -> list[tuple[Want, ...]]:
    """For each of `closings` (sorted, disjoint), the wants that it holds any part of."""
    wants_by_closing: list[list[Want]] = [[] for _ in closings]
    ends = [closing.end for closing in closings]
    for want in wants:
        index = bisect_right(ends, want.spell.start)
        while index < len(closings) and closings[index].start < want.spell.end:
            wants_by_closing[index].append(want)
            index += 1
    return [tuple(closing_wants) for closing_wants in wants_by_closing]


def positions_of(shade: Shade, wants_by_closing: Sequence[Sequence[Want]]) -> list[Down]:
    """How far down the shade goes in each closing, in their order.

    That is the highest stop at which every want that the closing holds is met, or all the way where
    its time for a full run has come.
    """
    if shade.stops == (FULL,):
        return [Down()] * len(wants_by_closing)
    downs = []
    moves = 0
    for wants in wants_by_closing:
        position = max((want.position for want in wants), default=float(FULL))
        down, moves = run_of(stop_for(shade, position), moves, shade)
        downs.append(down)
    return downs


def stop_for(shade: Shade, position: float) -> int:
    """The highest stop of a shade that is at least so far down, both in per cent."""
    return next((stop for stop in shade.stops if stop >= position - 1e-9), FULL)


def run_of(stop: int, moves: int, shade: Shade) -> tuple[Down, int]:
    """Where a closing ends that is to go to `stop`, and the moves to or from a stop on the way
    since the last full run (or the first closing) after it; `moves` are those before it.

    Two moves go with a closing part of the way, down and up. When `home_after` of them have been
    made, the next closing is a full run.
    """
    if stop == FULL:
        return Down(), 0
    if shade.home_after is None:
        return Down(stop), 0
    if moves >= shade.home_after:
        return Down(FULL, moves), 0
    return Down(stop), moves + 2


def run_seconds(shade: Shade, position: int) -> float | None:
    """Seconds that the motor runs from all the way up to `position`, to a tenth.

    None where the shade's roller is not known.
    """
    roller = shade.roller
    if roller is None:
        return None
    size = (roller.tube, roller.thickness, roller.drop)
    if roller.turns_per_minute is None:
        seconds = shade.travel
    else:
        seconds = full_run_seconds(*size, roller.turns_per_minute, roller.spare)
    return round(seconds * run_share(*size, position, roller.spare), 1)
