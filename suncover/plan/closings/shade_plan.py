"""A shade's plan: when it closes, when it opens, and which sun is left uncovered and why.

    spells of sun ──> rules ──> season ──> Closing, with a reason in the words of `reasons`
                                    ├────> how far down, by `stops`
                                    └────> Uncovered, with the rule that did it

The order in which the rules meet is that of `rules`; the season comes last, and goes by the date on
which the motor starts to close.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, date, datetime
from typing import TYPE_CHECKING, Literal, NamedTuple
from zoneinfo import ZoneInfo

from suncover.base import clock
from suncover.base.shown import html_table, short_repr
from suncover.base.spell import Spell, intersect, seconds_in_each, subtract, union
from suncover.plan.closings import reasons, stops
from suncover.plan.closings import rules as plan_rules
from suncover.plan.closings.remarks import remarks_on
from suncover.plan.closings.rules import Draft
from suncover.plan.closings.stops import Down
from suncover.plan.motor import Motor, moves_by_date

if TYPE_CHECKING:
    from suncover.plan.needs import Want
    from suncover.site.model import Shade

NO_SUN = ("sleep", "privacy", "exception")
"""What a shade closes for that is not the sun's doing."""

Rule = Literal["shortest", "quiet", "season", "best"]


class Place(NamedTuple):
    """By what a calendar knows a closing of a shade: a date, and a number on it from 1 on."""

    date: date
    number: int


@dataclass(frozen=True, slots=True)
class Closing:
    """One closing of a shade.

    `close` and `open` are the instants (unix seconds, UTC) at which the motor starts to close and
    to open; `date` is the local date of `close`. `sun_seconds` is the direct sun between the two.
    `position` is how far it closes, in per cent of the way down; `run_seconds` how long the motor
    runs to get there, where the shade's roller is known. `apart` is whether a shade of a group that
    moves together makes it by itself, as at times it has to stay up and the others do not. `place`
    is by what a calendar knows it, whatever the dates of the plan; None where that is not known.
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
    place: Place | None = field(default=None, compare=False)

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
        """For notebooks: its closings in UTC, as a plan knows no zone; `frame` does."""
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
    reason: str


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
    motor = Motor(shade, zone, tuple(up))
    with_sun = sun_in_each(needed, wants)
    ruled = _ruled(motor, needed, with_sun)
    drafts, causes = [], dict(ruled.causes)
    for draft in ruled.drafts:
        if clock.in_season(clock.local_date(draft.close, zone), season):
            drafts.append(draft)
        else:
            cause = _Cause("season", reasons.out_of_season(draft, zone))
            causes.update(dict.fromkeys(_numbers(draft), cause))
    covered = [Spell(draft.close, draft.open) for draft in drafts]
    downs = stops.positions_of(shade, stops.wants_in_each(wants, covered))
    sentences = worded(
        motor, [Chosen.of(draft, needed) for draft in drafts], windows or {}, wants, downs
    )
    counted = needed if sun is None else sun
    closings = closings_of(shade, zone, drafts, downs, sentences, sun=counted)
    need = in_season(needed, season, zone)
    uncovered = _uncovered(
        shade.name,
        need,
        covered,
        needed,
        causes=causes,
        with_sun=with_sun,
        sunless=for_exceptions_alone(wants),
    )
    return ShadePlan(
        shade.name, closings, uncovered, remarks_on(motor, closings, no_room=ruled.no_room)
    )


class Chosen(NamedTuple):
    """A closing that is made, and the spells that it is for: its numbers count these."""

    draft: Draft
    spells: Sequence[Spell]

    @classmethod
    def of(cls, draft: Draft, needed: Sequence[Spell]) -> Chosen:
        """A draft that counts the needed spells."""
        return cls(draft, needed[draft.first : draft.last + 1])


def closings_of(
    shade: Shade,
    zone: ZoneInfo,
    drafts: Sequence[Draft],
    downs: Sequence[Down],
    sentences: Sequence[str],
    *,
    sun: Sequence[Spell],
) -> tuple[Closing, ...]:
    """The rows of a shade's plan; `sun` (sorted, disjoint) is what `Closing.sun_seconds` counts."""
    seconds = seconds_in_each(sun, [Spell(draft.close, draft.open) for draft in drafts])
    return tuple(
        Closing(
            shade.name,
            clock.local_date(draft.close, zone),
            draft.close,
            draft.open,
            counted,
            sentence,
            down.position,
            stops.run_seconds(shade, down.position),
        )
        for draft, down, sentence, counted in zip(drafts, downs, sentences, seconds, strict=True)
    )


def drafts_by_rules(
    motor: Motor, spells: Iterable[Spell], season: clock.Season | None
) -> list[Draft]:
    """The closings of `make_shade_plan` as drafts, without a word on them; numbers are of the union
    of the spells.
    """
    return drafts_and_room(motor, spells, season)[0]


def drafts_and_room(
    motor: Motor, spells: Iterable[Spell], season: clock.Season | None
) -> tuple[list[Draft], bool]:
    """As `drafts_by_rules`, and whether quiet hours leave the motor time for all drafts."""
    needed = union(spells)
    if not needed:
        return [], True
    all_drafts, _ = drafts_before_quiet(motor, needed)
    outcome = plan_rules.obey_quiet(all_drafts, needed, motor)
    drafts = [
        draft
        for draft in plan_rules.join_runs(outcome.drafts)
        if season is None or clock.in_season(clock.local_date(draft.close, motor.zone), season)
    ]
    return drafts, not outcome.no_room


motor_moves_by_date = moves_by_date


def in_time_order(closings: Iterable[Closing]) -> list[Closing]:
    """Closings of any shades in the order in which they start, and then by the shade's name."""
    return sorted(closings, key=lambda closing: (closing.close, closing.shade))


def worded(
    motor: Motor,
    chosen: Sequence[Chosen],
    windows: Mapping[str, Sequence[Spell]],
    wants: Sequence[Want],
    downs: Sequence[Down],
) -> list[str]:
    """What each closing is for, what bent it, and why it ends where it does: the one place in which
    a plan is put in words, by the rules or the best one.
    """
    rows = [Spell(choice.draft.close, choice.draft.open) for choice in chosen]
    names, wants_by_row = _window_names(windows, rows), stops.wants_in_each(wants, rows)
    zone, moves = motor.zone, motor.rules.moves
    sentences = []
    for (draft, spells), on, asking, down in zip(chosen, names, wants_by_row, downs, strict=True):
        beyond_sun = any(want.need != "heat" for want in asking)
        purposes = reasons.need_phrases(asking, draft.close, zone) if beyond_sun else ()
        sentence = reasons.closing_reason(
            draft, spells, zone, moves=moves, windows=on, purposes=purposes
        )
        sentences.append(reasons.with_stop(sentence, down))
    return sentences


def for_exceptions_alone(wants: Sequence[Want]) -> tuple[Spell, ...]:
    """When an exception has the shade be down and no sun does."""
    down = union(want.spell for want in wants if want.need == "exception")
    return subtract(down, sunny(wants)) if down else ()


def sunny(wants: Iterable[Want]) -> tuple[Spell, ...]:
    """When sun is part of what a shade is asked for."""
    return union(want.spell for want in wants if want.need not in NO_SUN)


def sun_in_each(needed: Sequence[Spell], wants: Sequence[Want]) -> Sequence[bool]:
    """For each of the needed spells, whether sun is part of what it is needed for; so it is in each
    where none of the `wants` is for anything else.
    """
    if not any(want.need in NO_SUN for want in wants):
        return [True] * len(needed)
    return [seconds > 0 for seconds in seconds_in_each(sunny(wants), needed)]


def _ruled(motor: Motor, spells: Sequence[Spell], with_sun: Sequence[bool]) -> _Ruled:
    """Applies the rules, in their order."""
    zone = motor.zone
    drafts, short = drafts_before_quiet(motor, spells)
    outcome = plan_rules.obey_quiet(drafts, spells, motor)
    causes: dict[int, _Cause] = {}
    for draft in short:
        seconds = sum(spells[number].seconds for number in _numbers(draft))
        sun = any(with_sun[number] for number in _numbers(draft))
        reason = reasons.too_short(seconds, motor.timing.shortest, sun=sun)
        causes.update(dict.fromkeys(_numbers(draft), _Cause("shortest", reason)))
    quiet_drafts = [
        (draft, reasons.of_no_use(draft, zone, sun=with_sun[draft.last]))
        for draft in outcome.dropped
    ]
    quiet_drafts += [(draft, reasons.no_room()) for draft in outcome.no_room]
    in_quiet = motor.rules.in_quiet
    quiet_drafts += [(d, reasons.closes_late(d, zone, in_quiet)) for d in outcome.drafts if d.late]
    quiet_drafts += [
        (draft, reasons.opens_sooner(draft, zone)) for draft in outcome.drafts if draft.sooner
    ]
    for draft, reason in quiet_drafts:
        causes.update(dict.fromkeys(_numbers(draft), _Cause("quiet", reason)))
    joined = plan_rules.join_runs(outcome.drafts)
    return _Ruled(joined, causes, bool(outcome.no_room))


def drafts_before_quiet(motor: Motor, spells: Sequence[Spell]) -> tuple[list[Draft], list[Draft]]:
    """The closings for some spells (sorted, disjoint) by all rules before quiet hours, and those
    that are too short.
    """
    drafts = plan_rules.closings_for(spells, motor)
    drafts = plan_rules.bridge_short_gaps(drafts, motor)
    drafts, short = plan_rules.drop_short(drafts, spells, motor.timing.shortest)
    return plan_rules.keep_to_moves(drafts, motor), short


def _numbers(draft: Draft) -> range:
    return range(draft.first, draft.last + 1)


def in_season(
    spells: Sequence[Spell], season: clock.Season | None, zone: ZoneInfo
) -> Sequence[Spell]:
    """The parts of some spells (sorted, disjoint) that lie on a season's dates."""
    if season is None or not spells:
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
    seconds_by_window = [seconds_in_each(spells, covered) for spells in windows.values()]
    return [
        tuple(
            name
            for name, seconds in zip(windows, seconds_by_window, strict=True)
            if seconds[number]
        )
        for number in range(len(covered))
    ]


def _uncovered(
    shade: str,
    need: Sequence[Spell],
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
    uncovered = subtract(need, covered)
    dark = intersect(uncovered, sunless)
    for part in sorted([*subtract(uncovered, dark), *dark]):
        number = bisect_right(starts, part.start) - 1
        cause, sun = causes[number], with_sun[number] and part not in dark
        parts.append(Uncovered(shade, part.start, part.end, cause.reason, cause.rule, sun))
    return tuple(parts)
