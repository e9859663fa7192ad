"""A spell of time and the few sums that are done with spells.

Instants are whole unix seconds (UTC). A spell holds its start and not its end, so two that touch
share no second. The functions take spells in any order unless they say otherwise, and give sorted,
disjoint tuples back.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from operator import attrgetter
from typing import Literal
from zoneinfo import ZoneInfo

_SHOWN = 8  # names in a short text of them


@dataclass(frozen=True, order=True, slots=True)
class Spell:
    """From `start` up to `end`, in unix seconds UTC; `end` is after `start`, or equal if empty."""

    start: int
    end: int

    @property
    def seconds(self) -> int:
        """How long it lasts."""
        return self.end - self.start


class SpellsByName(dict[str, tuple[Spell, ...]]):
    """Spells by the name of their window or spot, as a dict that knows in which zone to tell them.

    `kind` says what the names are of; `zone` is the site's time zone.
    """

    def __init__(
        self,
        spells: Mapping[str, tuple[Spell, ...]],
        kind: Literal["window", "spot"],
        zone: ZoneInfo,
    ) -> None:
        super().__init__(spells)
        self.kind = kind
        self.zone = zone

    def __repr__(self) -> str:
        """Counts in place of thousands of instants; `dict(…)` shows them all."""
        counts = [f"{name}: {len(spells)} spells" for name, spells in self.items()]
        if len(counts) > _SHOWN:
            counts[_SHOWN:] = [f"… {len(counts) - _SHOWN} more"]
        return f"<sun on each {self.kind}, {self.zone.key}: {', '.join(counts) or 'none'}>"


# Numbers in tuples are compared without a call of Python's for each pair.
_by_time = attrgetter("start", "end")


def union(spells: Iterable[Spell]) -> tuple[Spell, ...]:
    """Every second that is in any of the spells; those that overlap or touch become one.

    Empty spells vanish.
    """
    joined: list[Spell] = []
    for spell in sorted(spells, key=_by_time):
        if spell.end <= spell.start:
            continue
        if joined and spell.start <= joined[-1].end:
            if spell.end > joined[-1].end:
                joined[-1] = Spell(joined[-1].start, spell.end)
        else:
            joined.append(spell)
    return tuple(joined)


def clip(spells: Iterable[Spell], start: int, end: int) -> tuple[Spell, ...]:
    """The parts of the spells from `start` up to `end`, each spell kept apart and in order."""
    parts = (Spell(max(spell.start, start), min(spell.end, end)) for spell in spells)
    return tuple(part for part in parts if part.start < part.end)


def intersect(spells: Sequence[Spell], spans: Sequence[Spell]) -> tuple[Spell, ...]:
    """The seconds that are in both; each argument sorted and disjoint.

    A spell that several spans meet is cut into as many parts.
    """
    common: list[Spell] = []
    first = 0
    for spell in spells:
        while first < len(spans) and spans[first].end <= spell.start:
            first += 1
        index = first
        while index < len(spans) and spans[index].start < spell.end:
            span = spans[index]
            common.append(Spell(max(spell.start, span.start), min(spell.end, span.end)))
            index += 1
    return tuple(part for part in common if part.start < part.end)


def subtract(spells: Sequence[Spell], cuts: Sequence[Spell]) -> tuple[Spell, ...]:
    """The seconds of `spells` that are in none of `cuts`; each argument sorted and disjoint."""
    if not cuts:
        return tuple(spell for spell in spells if spell.start < spell.end)
    left: list[Spell] = []
    first = 0
    for spell in spells:
        while first < len(cuts) and cuts[first].end <= spell.start:
            first += 1
        at = spell.start
        index = first
        while index < len(cuts) and cuts[index].start < spell.end:
            if at < cuts[index].start:
                left.append(Spell(at, cuts[index].start))
            at = max(at, cuts[index].end)
            index += 1
        if at < spell.end:
            left.append(Spell(at, spell.end))
    return tuple(left)


def total_seconds(spells: Iterable[Spell]) -> int:
    """The sum of their lengths; a second that is in two of them counts twice."""
    return sum(spell.end - spell.start for spell in spells)


def overlap_seconds(spells: Sequence[Spell], spans: Sequence[Spell]) -> int:
    """How many seconds are in both; each argument sorted and disjoint."""
    return sum(seconds_in_each(spells, spans))


def seconds_in_each(spells: Sequence[Spell], spans: Sequence[Spell]) -> list[int]:
    """For each of `spans`, how many seconds of `spells` it holds; both sorted and disjoint."""
    result = []
    first = 0
    for span in spans:
        while first < len(spells) and spells[first].end <= span.start:
            first += 1
        seconds = 0
        index = first
        while index < len(spells) and spells[index].start < span.end:
            seconds += min(spells[index].end, span.end) - max(spells[index].start, span.start)
            index += 1
        result.append(seconds)
    return result
