"""A plan replayed against the sun: what it covers of what was promised, and what it costs.

    plan rows ──> replayed ──> when each shade is down ──┐
    Site ──> shade_sun ──> plans_for ──> the promise ────┴──> Audit

The promise is what the site's own rules ask to cover: the needed sun that a plan made by those
rules keeps off, with groups and supplies as they are. What the rules let in themselves (sun shorter
than `shortest`, or before the end of quiet hours with `in_quiet = "late"`, or out of season) is no
fault of a plan that lets it in.

A shade of a group is held to the rules of the group.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import NamedTuple
from zoneinfo import ZoneInfo

from suncover.base import clock
from suncover.base.shown import short_repr
from suncover.base.spell import Spell, clip, intersect, subtract, total_seconds, union
from suncover.facade.exposure import Watch, observer_of, whole_seconds
from suncover.facade.twilight import light_intervals
from suncover.plan.closings.shade_plan import (
    Closing,
    ShadePlan,
    drafts_before_quiet,
    in_season,
)
from suncover.plan.closings.unit_plans import over_limit, own_dates
from suncover.plan.motor import QuietMove, moves_by_date
from suncover.plan.replay import (
    Overload,
    down_at,
    overloads_of,
    replayed,
    run_seconds_by_date,
    wanted_by_position,
)
from suncover.plan.season import plans_for, shade_sun
from suncover.plan.unit import Member, ShadeSun, Unit, units_of
from suncover.site.model import Site

ROUNDING_S = 1
"""Sun that a plan misses by no more than this is no fault: times are rounded to whole seconds, and
the same sun worked out for other dates may round the other way."""

MOST_DAYS_BESIDE = 2
"""By so many days the rows of a plan may begin before its first day, or end after its last."""


@dataclass(frozen=True)
class ShadeAudit:
    """What a plan does with one shade, between the audit's dates; all lengths in seconds.

    `promised` is the need that the site's rules cover, `let_in` what they leave uncovered
    themselves, of the need on dates of the season; together they are the whole need. `uncovered`
    are the parts of the promise that the plan does not keep, `missed_kwh` is the clear-sky beam on
    the glass in them. `needless` is how long the shade is down while it is light outdoors and
    nothing asks for it. `moves` and `run_seconds` are by local date. `over_limit` holds the dates
    with more moves than the shade's limit, `clashes` the instants at which the shade has to
    close before it has opened. `not_up` is when an exception has it stay up and it is down, or its
    motor runs.
    """

    __repr__ = short_repr

    shade: str
    closings: int
    promised: int
    let_in: int
    uncovered: tuple[Spell, ...]
    missed_kwh: float
    needless: int
    own_needless: int
    moves: Mapping[date, int]
    over_limit: Mapping[date, int]
    run_seconds: Mapping[date, float]
    in_quiet: tuple[QuietMove, ...]
    clashes: tuple[int, ...]
    not_up: tuple[Spell, ...] = ()

    @property
    def missed(self) -> int:
        """Seconds of the promise that are uncovered."""
        return total_seconds(self.uncovered)

    @property
    def covered_share(self) -> float:
        """The share of the promise that the plan keeps; 1 where nothing was promised."""
        return 1.0 - self.missed / self.promised if self.promised else 1.0

    @property
    def broken(self) -> bool:
        """Whether need is uncovered that the rules ask to cover, quiet hours are broken, or the
        shade is not up while it has to stay up.
        """
        return bool(self.uncovered or self.in_quiet or self.not_up)


@dataclass(frozen=True)
class Audit:
    """What a plan does, shade by shade, for the sun from `first` to `last` (both included)."""

    __repr__ = short_repr

    first: date
    last: date
    shades: tuple[ShadeAudit, ...]
    overloads: tuple[Overload, ...] = ()

    @property
    def broken(self) -> bool:
        """Whether any promise is broken, or a supply is asked for more than it can do."""
        return bool(self.overloads) or any(shade.broken for shade in self.shades)


def audit_plan(
    site: Site,
    closings: Sequence[Closing],
    first: date | None = None,
    last: date | None = None,
    *,
    watch: Watch = iter,
) -> Audit | None:
    """Replays a plan's closings against the sun from `first` to `last` (both included).

    A date left out is the plan's own: the day of its first closing, and that on which its last one
    opens. A closing that goes over the midnight at either end may be there for the neighbouring
    day alone, in which case that is where the plan begins or ends. None where the plan is empty and
    a date is left out, since it does not say which days it is for.

    Raises
    ------
    RequestError
        When the dates run backwards or are too far off.
    """
    for day in (first, last):
        if day is not None:
            clock.a_date(day)
    if not closings and (first is None or last is None):
        return None
    result = None
    for span in _spans(closings, first, last, site.place.zone):
        audit, ruled = _audit_of(site, closings, *span, watch)
        if result is not None and not _explained(site, closings, ruled, span):
            continue
        broken = any(shade.uncovered for shade in audit.shades)
        if result is None or not broken:
            result = audit
        if not broken:
            break
    return result


def _spans(
    closings: Sequence[Closing], first: date | None, last: date | None, zone: ZoneInfo
) -> Iterator[tuple[date, date]]:
    """The dates that a plan may be for: those of its rows, then narrower ones, then such as begin
    before its first row.
    """
    starts, ends, sooner = [first], [last], list[date | None]()
    beside = [timedelta(days=number) for number in range(MOST_DAYS_BESIDE + 1)]
    if first is None:
        begin = max(min(row.date for row in closings), clock.FIRST_DATE)
        starts = [begin + days for days in beside]
        sooner = [max(begin - days, clock.FIRST_DATE) for days in beside[1:]]
    if last is None:
        final = min(clock.local_date(max(r.open for r in closings) - 1, zone), clock.LAST_DATE)
        ends = [final - days for days in beside]
    spans = [(start, end) for start in starts for end in ends if start and end]
    spans.sort(key=lambda span: span[0] - span[1])
    spans += [(start, end) for start in sooner for end in ends if start and end]
    yield from (span for number, span in enumerate(spans) if number == 0 or span[0] <= span[1])


def _explained(
    site: Site, closings: Sequence[Closing], ruled: Sequence[ShadePlan], span: tuple[date, date]
) -> bool:
    """Whether each closing beyond some dates is there for them all the same: it runs over midnight
    at either end, or a plan for these dates has one then, too.
    """
    days = clock.dates_bounds(*span, site.place.zone)
    rows = {plan.shade: union(Spell(r.close, r.open) for r in plan.closings) for plan in ruled}
    beyond = [row for row in closings if row.open <= days.start or row.close >= days.end]
    return all(intersect([Spell(row.close, row.open)], rows[row.shade]) for row in beyond)


def _audit_of(
    site: Site, closings: Sequence[Closing], first: date, last: date, watch: Watch
) -> tuple[Audit, list[ShadePlan]]:
    span = clock.dates_bounds(first, last, site.place.zone)
    light = whole_seconds(light_intervals(observer_of(site.place), span.start, span.end))
    suns = shade_sun(site, first, last, watch=watch)
    plans = plans_for(site, suns)
    audits = audit_shades(site, suns, closings, plans, span, light=light)
    return Audit(first, last, tuple(audits), overloads_of(site, closings)), plans


def audit_shades(
    site: Site,
    suns: Sequence[ShadeSun],
    closings: Sequence[Closing],
    plans: Sequence[ShadePlan],
    span: Spell,
    *,
    light: Sequence[Spell],
) -> list[ShadeAudit]:
    """Replays the closings of all shades (sorted by `close`) against the sun they are there for.

    `plans` are those by the site's rules, as `plans_for` makes them. `span` is the time for which
    that sun was worked out, `light` when it is light in it. In the order of `suns`.
    """
    by_rules = {plan.shade: plan for plan in plans}
    rows: dict[str, list[Closing]] = {plan.shade: [] for plan in plans}
    for closing in closings:
        rows[closing.shade].append(closing)
    time = _Time(span, light)
    audits = {
        name: _audit_of_member(site, unit, member, (rows[name], by_rules[name]), time)
        for unit in units_of(site, suns)
        for name, member in zip(unit.shades, unit.members, strict=True)
    }
    return [audits[sun.shade.name] for sun in suns]


def audit_shade(
    site: Site,
    sun: ShadeSun,
    closings: Sequence[Closing],
    span: Spell,
    light: Sequence[Spell],
    *,
    by_rules: ShadePlan,
) -> ShadeAudit:
    """Replays the closings of one shade as if it shared nothing; all as for `audit_shades`."""
    (unit,) = units_of(site, [sun])
    return _audit_of_member(site, unit, unit.members[0], (closings, by_rules), _Time(span, light))


class _Time(NamedTuple):
    """The time for which the sun was worked out, and when it is light in it."""

    span: Spell
    light: Sequence[Spell]


def _audit_of_member(
    site: Site,
    unit: Unit,
    member: Member,
    plans: tuple[Sequence[Closing], ShadePlan],
    time: _Time,
) -> ShadeAudit:
    """Replays one shade's closings; `plans` are these, and its plan by the rules."""
    from suncover.heat.beam_heat import beam_kwh  # noqa: PLC0415 - summaries need none

    closings, by_rules = plans
    span, light = time
    short = _too_short(unit)
    shade, motor = member.shade, member.motor
    by_position = wanted_by_position(member.sun)
    down, down_by_rules = down_at(closings, shade), down_at(by_rules.closings, shade)
    promised: list[Spell] = []
    missed: list[Spell] = []
    for position, spells in by_position.items():
        promise = subtract(intersect(spells, union(down_by_rules(position))), short)
        promised += promise
        missed += subtract(promise, union(down(position)))
    wanted = union(spell for spells in by_position.values() for spell in spells)
    covered = union(promised)
    uncovered = tuple(part for part in union(missed) if part.seconds > ROUNDING_S)
    need = in_season(wanted, member.season, motor.zone)
    up = clip(motor.up, span.start, span.end)
    busy = union(Spell(down.start, down.end + motor.timing.travel) for down in replayed(closings))
    return ShadeAudit(
        shade=shade.name,
        closings=len(closings),
        promised=total_seconds(covered),
        let_in=total_seconds(subtract(need, covered)),
        uncovered=uncovered,
        missed_kwh=beam_kwh(site, shade, uncovered),
        needless=_needless(closings, wanted, span, light),
        own_needless=_needless(by_rules.closings, wanted, span, light),
        moves=moves_by_date(closings, motor.zone),
        over_limit=over_limit(unit, member, closings, own_dates(by_rules.closings, motor)),
        run_seconds=run_seconds_by_date(closings, shade, motor.zone),
        in_quiet=tuple(motor.in_quiet(closings)),
        clashes=tuple(motor.clashes(closings)),
        not_up=tuple(part for part in intersect(up, busy) if part.seconds > ROUNDING_S),
    )


def _too_short(unit: Unit) -> tuple[Spell, ...]:
    """The need that `shortest` lets in, for which other rules may have closed all the same."""
    free = unit.with_rules(unit.motor.rules.model_copy(update={"moves": None, "quiet": None}))
    short = drafts_before_quiet(free.motor, unit.needed)[1]
    return tuple(s for draft in short for s in unit.needed[draft.first : draft.last + 1])


def _needless(
    closings: Iterable[Closing], wanted: Sequence[Spell], span: Spell, light: Sequence[Spell]
) -> int:
    """Daylight from the start of closing to the start of opening with nothing that asks for it."""
    closed = clip(replayed(closings), span.start, span.end)
    return total_seconds(intersect(subtract(closed, wanted), light))
