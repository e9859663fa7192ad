"""Days on which a timer does not go by its settings, since something else than the sun rules them.

An exception holds from one instant to another. The days of a timer that it touches keep the times
of the daily plan; the setting of their period holds on the others. So it is with days on which the
setting can't hold: for the season, the limit of moves, or the supply.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from suncover.base.clock import DAY_S, Season, date_text
from suncover.base.spell import Spell, intersect
from suncover.plan.closings.shade_plan import Closing
from suncover.plan.motor import Motor

EPOCH = date(1970, 1, 1)


@dataclass(frozen=True)
class DaysApart:
    """Such days, each by its date on the timer's clock, whose days begin at `turn` (seconds).

    `reading` is what the clock shows at an instant.
    """

    days: frozenset[date]
    turn: int
    reading: Callable[[int], int]

    @classmethod
    def of(cls, spells: Sequence[Spell], turn: int, reading: Callable[[int], int]) -> DaysApart:
        """The days that some spells touch."""
        empty = cls(frozenset(), turn, reading)
        days = (day for spell in spells for day in empty._days(spell))
        return cls(frozenset(days), turn, reading)

    def _days(self, spell: Spell) -> list[date]:
        first = (self.reading(spell.start) - self.turn) // DAY_S
        last = (self.reading(spell.end - 1) - self.turn) // DAY_S
        return [EPOCH + timedelta(days=number) for number in range(first, last + 1)]

    def has(self, closing: Closing) -> bool:
        """Whether a closing lies on one of the days, in part at least."""
        return not self.days.isdisjoint(self._days(Spell(closing.close, closing.open)))

    def runs_without(self, days: Sequence[date]) -> list[list[date]]:
        """Days (sorted) without these, parted where some of these lie between two of them."""
        parts: list[list[date]] = []
        fresh = True
        for day in days:
            if day in self.days:
                fresh = True
            elif fresh or self._any_between(parts[-1][-1], day):
                parts.append([day])
                fresh = False
            else:
                parts[-1].append(day)
        return parts

    def _any_between(self, before: date, after: date) -> bool:
        return any(
            before + timedelta(days=number) in self.days
            for number in range(1, (after - before).days)
        )


@dataclass(frozen=True)
class Pattern:
    """What the settings of a shade are made of where it moves with others of a group.

    `motor` has the rules of them all, `closings` are those of the whole group, `seasons` those of
    its shades, and `exceptions` (sorted, disjoint) is when something else than the sun rules all.
    The timer's day turns at the same time for all of them: `other_closings` are those of the other
    shades.
    """

    motor: Motor
    closings: Sequence[Closing]
    seasons: tuple[Season | None, ...]
    exceptions: Sequence[Spell]
    other_closings: Sequence[Closing] = ()

    def usual(self, closings: Sequence[Closing]) -> list[Closing]:
        """The closings that no such exception touches."""
        exceptional = touched(closings, self.exceptions)
        return [
            row
            for row, is_exceptional in zip(closings, exceptional, strict=True)
            if not is_exceptional
        ]


def touched(closings: Sequence[Closing], spells: Sequence[Spell]) -> list[bool]:
    """Of each closing, whether it has a part in common with any of the spells."""
    return [bool(intersect([Spell(row.close, row.open)], spells)) for row in closings]


def by_hand(days: Sequence[date], *, exceptions: bool) -> str:
    """What a household has to know of days on which no usual setting holds: where `exceptions`
    rule, or where the setting can't hold.
    """
    days_text, those_days = f"on {date_text(days[0])}", "that day"
    cause = "the setting of the period can't hold"
    if exceptions:
        cause = "an exception rules and not the setting of the period"
    if len(days) > 1:
        days_text, those_days = (
            f"on {len(days)} days, the first {date_text(days[0])},",
            "those days",
        )
        cause = "the settings of the period can't hold"
        if exceptions:
            cause = "exceptions rule and not the settings of the period"
    return f"{days_text} {cause}: set the timer for {those_days}, or switch it off"
