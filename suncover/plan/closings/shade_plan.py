"""A shade's plan: when it closes, when it opens, and which sun is left uncovered and why.

    spells of sun ──> plan_rules ──> season ──> Closing, with a reason in plan_reasons' words
                                         ├────> how far down, in plan_positions
                                         └────> Uncovered, with the rule that did it

The order in which the rules meet is that of plan_rules; the season comes last, and goes by the date
on which the motor starts to close.
"""

from __future__ import annotations

from bisect import bisect_right
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime
from itertools import pairwise
from typing import TYPE_CHECKING, Literal, NamedTuple
from zoneinfo import ZoneInfo

from suncover.base import clock
from suncover.base.shown import html_table, short_repr
from suncover.base.spell import Spell, intersect, seconds_in_each, subtract, union
from suncover.plan.closings import reasons, stops
from suncover.plan.closings import rules as plan_rules
from suncover.plan.closings.rules import Draft
from suncover.plan.closings.stops import Down

if TYPE_CHECKING:
    from suncover.plan.needs import Want
    from suncover.site.model import Shade

NO_SUN = ("sleep", "privacy", "exception")
"""What a shade closes for that is not the sun's doing."""

Rule = Literal["shortest", "quiet", "season", "best"]


@dataclass(frozen=True, slots=True)
class Closing:
    """One closing of a shade.

    `close` and `open` are the instants (unix seconds, UTC) at which the motor starts to close and
    to open; `date` is the local date of `close`. `sun_seconds` is the direct sun between the two.
    `position` is how far it closes, in per cent of the way down; `run_seconds` how long the motor
    runs to get there, where the shade's roller is known. `apart` is whether a shade of a group that
    moves together makes it by itself, as at times it has to stay up and the others do not.
    """

    shade: str
    date: date
    close: int
    open: int
    sun_seconds: int
    reason: str
    position: int = 100
    run_seconds: float | None = None
    apart: bool = False

    @property
    def minutes(self) -> float:
        """From the start of closing to the start of opening."""
        return (self.open - self.close) / 60


@dataclass(frozen=True, slots=True)
class Uncovered:
    """What a shade's need asks to cover and its plan leaves uncovered, and which rule did it.

    `sun` is false where it is not asked for the sun's sake (sleep, privacy).
    """

    shade: str
    start: int
    end: int
    why: str
    rule: Rule
    sun: bool = True


@dataclass(frozen=True, slots=True)
class ShadePlan:
    """All of a shade's closings, sorted and disjoint, and what they do not do.

    `remarks` says in plain words where the plan could not keep to what was asked.
    """

    __repr__ = short_repr

    shade: str
    closings: tuple[Closing, ...]
    uncovered: tuple[Uncovered, ...] = ()
    remarks: tuple[str, ...] = ()

    def _repr_html_(self) -> str:
        """For notebooks: its closings, told by UTC, as a plan knows no zone; `frame` does."""
        rows = [
            (row.date, _utc(row.close), _utc(row.open), f"{row.minutes:.0f}", row.reason)
            for row in self.closings
        ]
        header = ("date", "close, UTC", "open, UTC", "minutes", "reason, by local clocks")
        caption = f"{self.shade}: {len(rows)} closings, {len(self.uncovered)} spells uncovered"
        return html_table(caption, header, rows, " ".join(self.remarks))


def _utc(instant: int) -> str:
    return datetime.fromtimestamp(instant, UTC).strftime("%Y-%m-%d %H:%M:%S")


class _Cause(NamedTuple):
    rule: Rule
    why: str


class _Ruled(NamedTuple):
    """What all rules but the season's make of the spells; `causes` goes by the spells' numbers."""

    drafts: list[Draft]
    causes: dict[int, _Cause]
    no_room: bool


def make_shade_plan(
    shade: Shade,
    spells: Iterable[Spell],
    zone: ZoneInfo,
    season: clock.Season | None,
    *,
    sun: Sequence[Spell] | None = None,
    windows: Mapping[str, Sequence[Spell]] | None = None,
    wants: Sequence[Want] = (),
    up: Sequence[Spell] = (),
) -> ShadePlan:
    """The plan of one shade for the spells in which its windows need covering.

    `spells` is the needed sun of all its windows, in the season and out of it. `sun` (sorted and
    disjoint; the same if left out) is what `Closing.sun_seconds` counts. `windows` holds the spells
    of each window by name, so that the reasons can name the windows. `wants` are the spells with
    what they are for, in any order: they give the reasons where there is more to close for than the
    sun on the windows, and how far down the shade has to go; without them it closes fully.
    `up` (sorted, disjoint) is when the shade has to stay up: no gap with any of it is bridged.

    What is asked on the season's dates and stays outside every closing is in `uncovered`.
    """
    needed = union(spells)
    if not needed:
        return ShadePlan(shade.name, ())
    with_sun = sun_in_each(needed, wants)
    ruled = _ruled(shade, needed, zone, with_sun, up)
    kept, days, causes = [], [], dict(ruled.causes)
    for draft in ruled.drafts:
        day = clock.local_date(draft.close, zone)
        if clock.in_season(day, season):
            kept.append(draft)
            days.append(day)
        else:
            cause = _Cause("season", reasons.out_of_season(draft, zone))
            causes.update(dict.fromkeys(_numbers(draft), cause))
    covered = [Spell(draft.close, draft.open) for draft in kept]
    sun_seconds = seconds_in_each(needed if sun is None else sun, covered)
    held = stops.held_by_each(wants, covered)
    downs = stops.positions_of(shade, held)
    sentences = _reasons(shade, kept, needed, zone, windows=windows or {}, held=held, downs=downs)
    closings = tuple(
        Closing(
            shade.name,
            day,
            draft.close,
            draft.open,
            seconds,
            reason,
            down.position,
            stops.run_seconds(shade, down.position),
        )
        for draft, day, seconds, reason, down in zip(
            kept, days, sun_seconds, sentences, downs, strict=True
        )
    )
    return ShadePlan(
        shade.name,
        closings,
        _uncovered(
            shade.name,
            _of_season(needed, season, zone),
            covered,
            needed,
            causes=causes,
            with_sun=with_sun,
            sunless=for_exceptions_alone(wants),
        ),
        remarks_on(shade, closings, zone, no_room=ruled.no_room, up=up),
    )


def drafts_by_rules(
    shade: Shade,
    spells: Iterable[Spell],
    zone: ZoneInfo,
    season: clock.Season | None,
    up: Sequence[Spell] = (),
) -> list[Draft]:
    """The closings of `make_shade_plan` as drafts, without a word on them; numbers are of the union
    of the spells.
    """
    needed = union(spells)
    if not needed:
        return []
    return [
        draft
        for draft in _ruled(shade, needed, zone, [True] * len(needed), up).drafts
        if season is None or clock.in_season(clock.local_date(draft.close, zone), season)
    ]


def motor_moves_by_date(closings: Iterable[Closing], zone: ZoneInfo) -> dict[date, int]:
    """How often the motor moves on each local date on which it does, in order of the dates.

    A closing counts on the date of its `close`, an opening on that of its `open`.
    """
    count = Counter(
        clock.local_ordinal(instant, zone)
        for closing in closings
        for instant in (closing.close, closing.open)
    )
    return {date.fromordinal(ordinal): count[ordinal] for ordinal in sorted(count)}


def in_time_order(closings: Iterable[Closing]) -> list[Closing]:
    """Closings of any shades in the order in which they start, and then by the shade's name."""
    return sorted(closings, key=lambda closing: (closing.close, closing.shade))


def _reasons(
    shade: Shade,
    kept: Sequence[Draft],
    needed: Sequence[Spell],
    zone: ZoneInfo,
    *,
    windows: Mapping[str, Sequence[Spell]],
    held: Sequence[Sequence[Want]],
    downs: Sequence[Down],
) -> list[str]:
    """What each closing is for, what bent it, and why it ends where it does."""
    names = _window_names(windows, [Spell(draft.close, draft.open) for draft in kept])
    sentences = []
    for draft, on, wants, down in zip(kept, names, held, downs, strict=True):
        more = any(want.need != "heat" for want in wants)
        why = reasons.need_phrases(wants, draft.close, zone) if more else ()
        reason = reasons.closing_reason(draft, needed, zone, moves=shade.moves, windows=on, why=why)
        sentences.append(reasons.with_stop(reason, down))
    return sentences


def for_exceptions_alone(wants: Sequence[Want]) -> tuple[Spell, ...]:
    """When an exception has the shade be down and no sun does."""
    down = union(want.spell for want in wants if want.need == "exception")
    return subtract(down, sunny(wants))


def sunny(wants: Iterable[Want]) -> tuple[Spell, ...]:
    """When sun is part of what a shade is asked for."""
    return union(want.spell for want in wants if want.need not in NO_SUN)


def sun_in_each(needed: Sequence[Spell], wants: Sequence[Want]) -> Sequence[bool]:
    """For each of the needed spells, whether sun is part of what it is needed for; so it is in each
    where there are no `wants`.
    """
    if not wants:
        return [True] * len(needed)
    return [seconds > 0 for seconds in seconds_in_each(sunny(wants), needed)]


def _ruled(
    shade: Shade,
    spells: Sequence[Spell],
    zone: ZoneInfo,
    with_sun: Sequence[bool],
    up: Sequence[Spell],
) -> _Ruled:
    """Applies the rules of plan_rules, in their order."""
    timing = plan_rules.timing_of(shade)
    drafts = plan_rules.closings_for(spells, timing)
    drafts = plan_rules.bridge_short_gaps(drafts, timing.merge, up)
    drafts, short = plan_rules.drop_short(drafts, spells, timing.shortest)
    drafts = plan_rules.keep_to_moves(drafts, shade.moves, zone, up)
    blocked = plan_rules.blocked_starts(
        shade.quiet,
        timing.travel,
        clock.local_date(spells[0].start, zone),
        clock.local_date(spells[-1].end, zone),
        zone,
    )
    outcome = plan_rules.obey_quiet(drafts, spells, blocked, early=shade.in_quiet == "early")
    causes: dict[int, _Cause] = {}
    for draft in short:
        seconds = sum(spells[number].seconds for number in _numbers(draft))
        sun = any(with_sun[number] for number in _numbers(draft))
        cause = _Cause("shortest", reasons.too_short(seconds, timing.shortest, sun=sun))
        causes.update(dict.fromkeys(_numbers(draft), cause))
    whys = [
        (draft, reasons.sun_has_gone(draft, zone, sun=with_sun[draft.last]))
        for draft in outcome.gone
    ]
    whys += [(draft, reasons.no_room()) for draft in outcome.no_room]
    whys += [(draft, reasons.closes_late(draft, zone)) for draft in outcome.kept if draft.late]
    for draft, why in whys:
        causes.update(dict.fromkeys(_numbers(draft), _Cause("quiet", why)))
    joined = plan_rules.join_runs(outcome.kept)
    return _Ruled(joined, causes, bool(outcome.no_room))


def _numbers(draft: Draft) -> range:
    return range(draft.first, draft.last + 1)


def _of_season(
    spells: Sequence[Spell], season: clock.Season | None, zone: ZoneInfo
) -> Sequence[Spell]:
    """The parts of the spells that lie on the season's dates."""
    if season is None:
        return spells
    years = [clock.local_date(instant, zone).year for instant in (spells[0].start, spells[-1].end)]
    first, last = date(years[0], 1, 1), date(years[1], 12, 31)
    return intersect(spells, clock.season_spells(season, first, last, zone))


def _window_names(
    windows: Mapping[str, Sequence[Spell]], covered: Sequence[Spell]
) -> list[tuple[str, ...]]:
    """For each closing, the names of the windows that have sun in it, in the mapping's order."""
    if len(windows) <= 1:
        return [tuple(windows)] * len(covered)
    held = [seconds_in_each(spells, covered) for spells in windows.values()]
    return [
        tuple(name for name, seconds in zip(windows, held, strict=True) if seconds[number])
        for number in range(len(covered))
    ]


def _uncovered(
    shade: str,
    asked: Sequence[Spell],
    covered: Sequence[Spell],
    spells: Sequence[Spell],
    *,
    causes: Mapping[int, _Cause],
    with_sun: Sequence[bool],
    sunless: Sequence[Spell],
) -> tuple[Uncovered, ...]:
    """What is asked to be covered and no closing holds, each part with what left it so.

    `sunless` are times without sun in spells that may have some: parts of their own.
    """
    if not causes:
        return ()
    starts = [spell.start for spell in spells]
    parts = []
    left = subtract(asked, covered)
    dark = intersect(left, sunless)
    for part in sorted([*subtract(left, dark), *dark]):
        number = bisect_right(starts, part.start) - 1
        cause, sun = causes[number], with_sun[number] and part not in dark
        parts.append(Uncovered(shade, part.start, part.end, cause.why, cause.rule, sun))
    return tuple(parts)


def remarks_on(
    shade: Shade,
    closings: Sequence[Closing],
    zone: ZoneInfo,
    *,
    no_room: bool,
    up: Sequence[Spell],
) -> tuple[str, ...]:
    """Where closings could not keep to what was asked; `no_room` where quiet hours left the motor
    no time at all for others.
    """
    remarks = [reasons.no_room()] if no_room else []
    if shade.moves is not None:
        moves = motor_moves_by_date(closings, zone)
        over = {day: number for day, number in moves.items() if number > shade.moves}
        if over:
            gaps = [Spell(one.open, other.close) for one, other in pairwise(closings)]
            held_up = {clock.local_date(gap.start, zone) for gap in intersect(up, gaps)}
            remarks.append(reasons.too_many_moves(over, shade.moves, held_up))
    return tuple(remarks)
