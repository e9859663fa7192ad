"""Plans for timers that know less than a calendar: one setting for a whole day, week or month.

    closings of the daily plan ──> the clock's own time of day ──> one setting per period ──> rows

A setting is a clock time to close and one to open, the same on every day of its period. It begins
no later and ends no sooner than any closing of the daily plan in that period, so it covers all that
the daily plan covers. What it costs is that the shade is down for longer.

Days are counted by the timer's clock: that on the wall, or one that does not jump. A timer's day
begins at `turn`, a clock time at which the shade is never down, midnight if it can be: else a
closing that goes over midnight would belong to two settings. Days that an exception touches keep
the times of the daily plan, each as a setting of its own.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from itertools import pairwise

from suncover.base import clock
from suncover.base.clock import DAY_S
from suncover.base.shown import short_repr
from suncover.base.spell import Spell
from suncover.plan.closings.shade_plan import Closing
from suncover.plan.motor import Motor, gaps_to_bridge
from suncover.plan.timers.days import DaysApart, Pattern, by_hand, touched
from suncover.plan.timers.dial import ROOM_S, Dial, Every, date_of, turn_of


@dataclass(frozen=True)
class Setting:
    """A shade's times for each day from `first` to `last` (both included) of a timer's clock.

    `period` is the one in which it first closes. `close` and `open` are seconds after the clock's
    midnight; past 86400 on the day after. `days` are the days on which it holds: all of them, but
    for those out of season. It is `apart` where a day has times of its own. It would hold `since` a
    date, that of `first` or before, had the plan begun then.
    """

    shade: str
    period: str
    first: date
    last: date
    close: int
    open: int
    days: tuple[date, ...]
    apart: bool = False
    since: date | None = None

    def in_order(self) -> int:
        """By which settings are sorted: when they begin."""
        return self.first.toordinal() * DAY_S + self.close


@dataclass(frozen=True)
class TimerPlan:
    """A shade's settings, the rows that they come to, and what they cost against the daily plan.

    `rows` are sorted and disjoint; `origin` has, for each row, the number of its setting. `remarks`
    says in plain words where one setting would not do.
    """

    __repr__ = short_repr

    shade: str
    settings: tuple[Setting, ...]
    rows: tuple[Closing, ...]
    origin: tuple[int, ...]
    daily: tuple[Closing, ...]
    remarks: tuple[str, ...] = ()

    @property
    def extra_seconds(self) -> int:
        """How much longer the shade is down than by the daily plan."""
        return _closed_seconds(self.rows) - _closed_seconds(self.daily)

    @property
    def extra_moves(self) -> int:
        """How many more moves the motor makes than by the daily plan; fewer if negative."""
        return 2 * (len(self.rows) - len(self.daily))


def make_timer_plan(
    motor: Motor,
    closings: Sequence[Closing],
    dial: Dial,
    every: Every,
    *,
    dates: tuple[date, date],
    season: clock.Season | None = None,
    exceptions: Sequence[Spell] = (),
    pattern: Pattern | None = None,
    personal: Sequence[Spell] | None = None,
) -> TimerPlan:
    """One setting per period for the closings of a shade's daily plan.

    `dates` are the first and the last day of the plan, both included; `exceptions` (sorted,
    disjoint) is when something else than the sun rules, of which `personal` are those that a person
    has made. Periods are days, weeks from Monday, or calendar months, cut at the ends of the plan;
    a day out of season has no setting unless the daily plan closes on it. The settings are made of
    the shade's own closings, or of a `pattern`, some of whose exceptions `exceptions` are.
    """
    pattern = pattern or Pattern(motor, closings, (season,), exceptions)
    usual = pattern.usual(pattern.closings)
    turn = turn_of(
        [*usual, *pattern.usual(pattern.other_closings)],
        dial,
        2 * pattern.motor.timing.travel + ROOM_S,
    )
    if turn is None:
        remark = (
            "it is down at every time of day on one day or other, so that one setting cannot hold; "
            "its daily plan is kept"
        )
        return _as_daily(motor, closings, dial, remark)
    apart, shared = (
        DaysApart.of(spells, turn, dial.reading) for spells in (exceptions, pattern.exceptions)
    )
    exceptional = touched(closings, exceptions)
    rows_apart = [
        row
        for row, is_exceptional in zip(closings, exceptional, strict=True)
        if is_exceptional or apart.has(row)
    ]
    by_period = _by_period([row for row in usual if not shared.has(row)], dial, turn, every)
    settings: list[Setting] = [_setting_of(row, dial, apart=True) for row in rows_apart]
    for period, spans in by_period.items():
        for close, opens in _joined([(c, o) for _, c, o in spans], pattern.motor):
            needed = {day for day, c, o in spans if close <= c and o <= opens}
            active = _days(period, every, dates, pattern.seasons, (needed, close // DAY_S))
            shift = timedelta(days=close // DAY_S)
            settings += [
                Setting(
                    motor.rules.name,
                    _label(_period(days[0] + shift, every), every),
                    days[0],
                    days[-1],
                    close,
                    opens,
                    tuple(days),
                    since=_since(days[0], period, apart, pattern.seasons, shift),
                )
                for days in apart.runs_without(active)
            ]
    settings.sort(key=Setting.in_order)
    plan = plan_of_settings(motor, settings, closings, dial, every)
    if every == "day":
        return plan
    by_persons = DaysApart.of(exceptions if personal is None else personal, turn, dial.reading).days
    remarks = [
        by_hand(days, exceptions=are_known)
        for are_known in (True, False)
        if (
            days := [
                day
                for day in sorted(apart.days)
                if dates[0] <= day <= dates[1] and (day in by_persons) == are_known
            ]
        )
    ]
    return replace(plan, remarks=(*plan.remarks, *remarks))


def _since(
    first: date,
    period: date,
    apart: DaysApart,
    seasons: Sequence[clock.Season | None],
    later: timedelta,
) -> date:
    """Since when a setting of a period would hold that begins on `first`, had the plan not."""
    one_day = timedelta(days=1)
    while first > period:
        before = first - one_day
        in_any = any(clock.in_season(before + later, season) for season in seasons)
        if before in apart.days or not in_any:
            break
        first = before
    return first


def plan_of_settings(
    motor: Motor,
    settings: Sequence[Setting],
    daily: Sequence[Closing],
    dial: Dial,
    every: Every,
) -> TimerPlan:
    """The plan of settings that are given; `daily` as the closings for `make_timer_plan`."""
    daily_by_times = {(closing.close, closing.open): closing for closing in daily}
    rows = sorted(
        (
            # A day apart keeps what its closing is for.
            (number, daily_by_times.get((row.close, row.open), row) if setting.apart else row)
            for number, setting in enumerate(settings)
            for row in _rows(setting, dial, every)
        ),
        key=lambda pair: pair[1].close,
    )
    merged: list[tuple[int, Closing]] = []
    # Those become one that a jump of the clocks has brought too near for the motor.
    for crowd in motor.crowds([row for _, row in rows]):
        number, first = rows[crowd[0]]
        opens = max(rows[place][1].open for place in crowd)
        merged.append((number, first if opens == first.open else replace(first, open=opens)))
    closings = tuple(row for _, row in merged)
    return TimerPlan(
        motor.rules.name,
        tuple(settings),
        closings,
        tuple(number for number, _ in merged),
        tuple(daily),
        tuple(_remarks(motor, closings)),
    )


def _remarks(motor: Motor, rows: Sequence[Closing]) -> Iterator[str]:
    """Where the clock's jump brings a move into quiet hours."""
    days = {clock.local_date(move.instant, motor.zone) for move in motor.in_quiet(rows)}
    if days:
        yield (
            f"the motor runs in quiet hours on {len(days)} {'day' if len(days) == 1 else 'days'}, "
            f"first on {clock.date_text(min(days))}: the timer's clock and yours differ then"
        )


def _closed_seconds(closings: Iterable[Closing]) -> int:
    return sum(closing.open - closing.close for closing in closings)


def _as_daily(motor: Motor, closings: Sequence[Closing], dial: Dial, remark: str) -> TimerPlan:
    settings = [_setting_of(closing, dial) for closing in closings]
    return TimerPlan(
        motor.rules.name,
        tuple(settings),
        tuple(closings),
        tuple(range(len(closings))),
        tuple(closings),
        (remark,) if closings else (),
    )


def _setting_of(closing: Closing, dial: Dial, *, apart: bool = False) -> Setting:
    """A setting for one closing of the daily plan."""
    close, opens = dial.reading(closing.close), dial.reading_not_before(closing.open)
    day = date_of(close // DAY_S)
    start = close // DAY_S * DAY_S
    return Setting(
        closing.shade, day.isoformat(), day, day, close - start, opens - start, (day,), apart
    )


def _by_period(
    closings: Iterable[Closing], dial: Dial, turn: int, every: Every
) -> dict[date, list[tuple[date, int, int]]]:
    """The timer's day, closing and opening (seconds after its midnight) of each closing.

    By the first day of the period.
    """
    periods: dict[date, list[tuple[date, int, int]]] = {}
    for closing in closings:
        close, opens = dial.reading(closing.close), dial.reading_not_before(closing.open)
        number = (close - turn) // DAY_S
        day = date_of(number)
        start = number * DAY_S
        periods.setdefault(_period(day, every), []).append((day, close - start, opens - start))
    return periods


def _period(day: date, every: Every) -> date:
    """The first day of the period in which a day lies."""
    if every == "day":
        return day
    if every == "week":
        return day - timedelta(days=day.weekday())
    return day.replace(day=1)


def _period_end(first: date, every: Every) -> date:
    """The last day of the period that begins on `first`."""
    if every == "day":
        return first
    if every == "week":
        return first + timedelta(days=6)
    return (first + timedelta(days=31)).replace(day=1) - timedelta(days=1)


def _label(first: date, every: Every) -> str:
    """`2027-06-01`, `2027-W23` (ISO 8601) or `2027-06`."""
    if every == "week":
        year, week, _ = first.isocalendar()
        return f"{year}-W{week:02d}"
    return first.isoformat()[: 7 if every == "month" else 10]


def _days(
    first: date,
    every: Every,
    dates: tuple[date, date],
    seasons: Sequence[clock.Season | None],
    closing: tuple[set[date], int],
) -> list[date]:
    """The days of a period on which a setting holds: those on which the daily plan closes, and
    those on which the `closing` lies within the dates and the season, so many days after them.
    """
    needed, later = closing
    days = clock.dates_between(first, _period_end(first, every))
    return [
        day
        for day in days
        if day in needed
        or (
            dates[0] <= (on := day + timedelta(days=later)) <= dates[1]
            and any(clock.in_season(on, season) for season in seasons)
        )
    ]


def _joined(spans: Sequence[tuple[int, int]], motor: Motor) -> list[tuple[int, int]]:
    """The spans of all days as the closings of one setting, by the rules' `merge` and `moves`."""
    nearest = max(motor.timing.merge, motor.run)
    joined: list[tuple[int, int]] = []
    for close, opens in sorted(spans):
        if joined and close - joined[-1][1] < nearest:
            joined[-1] = (joined[-1][0], max(joined[-1][1], opens))
        else:
            joined.append((close, opens))
    gaps = [(after[0] - before[1], n) for n, (before, after) in enumerate(pairwise(joined), 1)]
    # Whatever the date of each: on days in a row, as many close as open.
    for number in sorted(gaps_to_bridge([(0, 0)] * len(joined), gaps, motor.rules.moves))[::-1]:
        joined[number - 1 : number + 1] = [(joined[number - 1][0], joined[number][1])]
    return joined


def _rows(setting: Setting, dial: Dial, every: Every) -> Iterator[Closing]:
    """The closings of a setting, one a day; none where clocks jump over all of it."""
    for day in setting.days:
        start = (day - date(1970, 1, 1)).days * DAY_S
        close, opens = dial.instant(start + setting.close), dial.instant(start + setting.open)
        if opens > close:
            reason = f"one setting for each {every} of {setting.period}"
            if every != "day":
                kind = "" if setting.period == setting.first.isoformat() else f"the {every} "
                reason = f"one setting for {kind}{setting.period}"
            yield Closing(
                setting.shade, clock.local_date(close, dial.zone), close, opens, 0, reason
            )
