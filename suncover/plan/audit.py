"""A plan replayed against the sun: what it covers of what was promised, and what it costs.

    plan rows ──> replay ──> when each shade is down ──┐
    Site ──> shade_sun ──> plans_for ──> the promise ──┴──> Audit

The promise is what the site's own rules ask to cover: the needed sun that a plan made by those
rules keeps off, with groups and supplies as they are. What the rules let in themselves (sun shorter
than `shortest`, or before the end of quiet hours with `in_quiet = "late"`, or out of season) is no
fault of a plan that lets it in.

A shade counts as down once its motor has made its full run, and until it starts to open. The replay
does what a motor would: the first `open` after a `close` opens the shade, whatever other rows say.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, time, timedelta
from itertools import pairwise
from typing import Literal
from zoneinfo import ZoneInfo

from suncover.base import clock
from suncover.base.shown import short_repr
from suncover.base.spell import Spell, clip, intersect, subtract, total_seconds, union
from suncover.facade.exposure import Watch, observer_of, whole_seconds
from suncover.facade.twilight import light_intervals
from suncover.heat.beam_heat import beam_kwh
from suncover.plan.closings import rules as plan_rules
from suncover.plan.closings.shade_plan import (
    Closing,
    ShadePlan,
    in_time_order,
    make_shade_plan,
    motor_moves_by_date,
)
from suncover.plan.exceptions import up_spells
from suncover.plan.season import ShadeSun, plans_for, shade_sun
from suncover.plan.sharing.supply import overloads
from suncover.site.model import Shade, Site

ROUNDING_S = 1
"""Sun that a plan misses by no more than this is no fault: times are rounded to whole seconds, and
the same sun worked out for other dates may round the other way."""

What = Literal["close", "open"]


@dataclass(frozen=True, slots=True)
class QuietMove:
    """A run of the motor that touches quiet hours."""

    instant: int
    what: What


@dataclass(frozen=True)
class ShadeAudit:
    """What a plan does with one shade, between the audit's dates; all lengths in seconds.

    `promised` is the need that the site's rules cover, `let_in` what they leave uncovered
    themselves; together they are the whole need. `uncovered` are the parts of the promise that the
    plan does not keep, `missed_kwh` is the clear-sky beam on the glass in them.
    `needless` is how long the shade is down while it is light outdoors and
    nothing asks for it. `moves` and `run_seconds` are by local date. `over_limit` holds the dates
    with more moves than the shade's limit, `clashes` the instants at which the shade is told to
    close before it has opened. `not_up` is when an exception has it stay up and it is down, or its
    motor runs, though the site's rules let it be up.
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


@dataclass(frozen=True, slots=True)
class Overload:
    """A motor that starts while its supply runs as many as it can, or too soon after another."""

    supply: str
    instant: int


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
    if not closings and (first is None or last is None):
        return None
    result = None
    for span in _spans(closings, first, last, site.place.zone):
        result = _audit_of(site, closings, *span, watch)
        if not any(shade.uncovered for shade in result.shades):
            break
    return result


def _spans(
    closings: Sequence[Closing], first: date | None, last: date | None, zone: ZoneInfo
) -> Iterator[tuple[date, date]]:
    """The dates that a plan may be for, the widest first."""
    one_day = timedelta(days=1)
    starts, ends = [first or min(c.date for c in closings)], [last]
    if first is None:
        nights = [c for c in closings if c.date == starts[0]]
        if all(clock.local_date(c.open, zone) > c.date for c in nights):
            starts.append(starts[0] + one_day)
    if last is None:
        final = clock.local_date(max(c.open for c in closings) - 1, zone)
        ends = [final]
        if all(c.date < final for c in closings):
            ends.append(final - one_day)
    spans = [(start, end) for start in starts for end in ends if end is not None]
    yield spans[0]
    for start, end in sorted(spans[1:], key=lambda span: span[0] - span[1]):
        if start <= end:
            yield start, end


def _audit_of(
    site: Site, closings: Sequence[Closing], first: date, last: date, watch: Watch
) -> Audit:
    span = clock.dates_bounds(first, last, site.place.zone)
    light = whole_seconds(light_intervals(observer_of(site.place), span.start, span.end))
    found = []
    suns = shade_sun(site, first, last, watch=watch)
    for sun, own in zip(suns, plans_for(site, suns), strict=True):
        mine = [closing for closing in closings if closing.shade == sun.shade.name]
        found.append(audit_shade(site, sun, mine, span, light, own=own))
    return Audit(first, last, tuple(found), overloads_of(site, closings))


def overloads_of(site: Site, closings: Sequence[Closing]) -> tuple[Overload, ...]:
    """Where motors start though their supply is busy, supply by supply."""
    shades = {shade.name: shade for shade in site.all_shades()} if site.supplies else {}
    return tuple(
        Overload(supply.name, instant)
        for supply in site.supplies
        for instant in overloads(supply, shades, closings)
    )


def audit_shade(
    site: Site,
    sun: ShadeSun,
    closings: Sequence[Closing],
    span: Spell,
    light: Sequence[Spell],
    *,
    own: ShadePlan,
) -> ShadeAudit:
    """Replays one shade's closings (sorted by `close`) against the sun that it is there for.

    `own` is its plan by the site's rules, as `plans_for` makes it. `span` is the time for which
    that sun was worked out, `light` when it is light in it.
    """
    shade, zone = sun.shade, site.place.zone
    wanted = wanted_by_position(sun)
    short = _too_short(sun, wanted, zone)
    down = down_at(closings, shade)
    own_down = down_at(own.closings, shade)
    promised: list[Spell] = []
    missed: list[Spell] = []
    for position, spells in wanted.items():
        promise = subtract(intersect(spells, union(own_down(position))), short)
        promised += promise
        missed += subtract(promise, union(down(position)))
    asked = union(spell for spells in wanted.values() for spell in spells)
    uncovered = tuple(part for part in union(missed) if part.seconds > ROUNDING_S)
    moves = motor_moves_by_date(closings, zone)
    limit = shade.moves
    return ShadeAudit(
        shade=shade.name,
        closings=len(closings),
        promised=total_seconds(union(promised)),
        let_in=sum(part.end - part.start for part in own.uncovered),
        uncovered=uncovered,
        missed_kwh=beam_kwh(site, shade, uncovered),
        needless=_needless(closings, asked, span, light),
        own_needless=_needless(own.closings, asked, span, light),
        moves=moves,
        over_limit={day: n for day, n in moves.items() if limit is not None and n > limit},
        run_seconds=run_seconds_by_date(closings, shade, zone),
        in_quiet=tuple(moves_in_quiet(closings, shade, zone)),
        clashes=tuple(_clashes(closings, shade)),
        not_up=_not_up(sun, closings, own.closings, span),
    )


def _not_up(
    sun: ShadeSun, closings: Sequence[Closing], own: Sequence[Closing], span: Spell
) -> tuple[Spell, ...]:
    """When a shade is down or its motor runs while it has to stay up, and its own plan is not so.

    That keeps a shade down where quiet hours leave it no time to open.
    """
    up = clip(up_spells(sun.exceptions), span.start, span.end)
    travel = plan_rules.timing_of(sun.shade).travel

    def busy(rows: Iterable[Closing]) -> tuple[Spell, ...]:
        return union(Spell(row.close, row.open + travel) for row in rows)

    parts = intersect(up, subtract(busy(closings), busy(own)))
    return tuple(part for part in parts if part.seconds > ROUNDING_S)


def wanted_by_position(sun: ShadeSun) -> dict[float, tuple[Spell, ...]]:
    """When a shade has to be down, by how far at the least (per cent)."""
    if sun.wants is None:
        spells = union(spell for spells in sun.needed.values() for spell in spells)
        return {100.0: spells}
    positions = sorted({want.position for want in sun.wants})
    return {
        position: union(want.spell for want in sun.wants if want.position == position)
        for position in positions
    }


def down_at(closings: Iterable[Closing], shade: Shade) -> Callable[[float], tuple[Spell, ...]]:
    """When a shade is down at least so far (per cent), as its motor would do what the rows say.

    From the end of the motor's run (the full one: a shorter is not longer) to the next opening.
    """
    travel = plan_rules.timing_of(shade).travel
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
    return lambda least: union(spell for spell, position in spells if position >= least - 1e-9)


def moves_in_quiet(
    closings: Sequence[Closing], shade: Shade, zone: ZoneInfo
) -> Iterator[QuietMove]:
    """The runs of a shade's motor that touch its quiet hours, in order of time."""
    if shade.quiet is None or not closings:
        return
    travel = plan_rules.timing_of(shade).travel
    first, last = closings[0].date, clock.local_date(max(c.open for c in closings), zone)
    blocked = plan_rules.blocked_starts(shade.quiet, travel, first, last, zone)
    runs = sorted(
        [(closing.close, "close") for closing in closings]
        + [(closing.open, "open") for closing in closings]
    )
    for instant, what in runs:
        if blocked.around(instant) is not None:
            yield QuietMove(instant, "close" if what == "close" else "open")


def _too_short(
    sun: ShadeSun, wanted: Mapping[float, Sequence[Spell]], zone: ZoneInfo
) -> tuple[Spell, ...]:
    """The need that `shortest` lets in, for which other rules may have closed all the same."""
    free = sun.shade.model_copy(update={"moves": None, "quiet": None})
    spells = [spell for spells in wanted.values() for spell in spells]
    up = up_spells(sun.exceptions)
    plan: ShadePlan = make_shade_plan(free, spells, zone, None, up=up)
    return union(Spell(p.start, p.end) for p in plan.uncovered if p.rule == "shortest")


def _needless(
    closings: Iterable[Closing], asked: Sequence[Spell], span: Spell, light: Sequence[Spell]
) -> int:
    closed = union(Spell(closing.close, closing.open) for closing in closings)
    return total_seconds(intersect(subtract(clip(closed, span.start, span.end), asked), light))


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


def _clashes(closings: Sequence[Closing], shade: Shade) -> Iterator[int]:
    travel = plan_rules.timing_of(shade).travel
    for before, after in pairwise(closings):
        if after.close < before.open + travel:
            yield after.close


def moved_to_year(closings: Sequence[Closing], year: int, zone: ZoneInfo) -> tuple[Closing, ...]:
    """A plan's closings at the same dates and clock times, with the first of them in `year`.

    Those of 29 February are left out where there is no such day.
    """
    if not closings:
        return ()
    years = year - closings[0].date.year
    moved = []
    for closing in closings:
        close = _in_other_year(closing.close, years, zone)
        opens = _in_other_year(closing.open, years, zone)
        if close is not None and opens is not None and close < opens:
            day = clock.local_date(close, zone)
            moved.append(replace(closing, date=day, close=close, open=opens))
    return tuple(in_time_order(moved))


def _in_other_year(instant: int, years: int, zone: ZoneInfo) -> int | None:
    day, seconds = clock.local_date(instant, zone), instant + clock.utc_offset(instant, zone)
    hours, rest = divmod(seconds % clock.DAY_S, 3600)
    try:
        other = day.replace(year=day.year + years)
    except ValueError:  # 29 February
        return None
    return clock.instant_of(other, time(hours, rest // 60, rest % 60), zone)
