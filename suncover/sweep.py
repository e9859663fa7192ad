"""Exact times of sun on glass whose shading has a closed form, from few instants.

The conditions of `suncover.facade.conditions` are smooth forms in the sun's direction. Between
instants, a smooth f differs from the straight line through its values by at most an eighth of the
step squared times the bound of its second derivative; between four corners in time of day and in
date, by the sum of two such terms. So a handful of values settles a whole cell of days and minutes:

    4 days by 20 minutes  ->  single days, 20 minutes  ->  5 minutes  ->  1 minute

where no condition can change sign, the answer holds throughout; where exactly one can, and rises or
falls all the way, there is one crossing, which the secant method finds. What is left after the last
step is handed to the sampling search of `suncover.crossings`.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from suncover.facade.conditions import Conditions, SkyQuarters
from suncover.facade.glazed import Glass
from suncover.sun import DAY, Observer, sun_directions

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

# The first grid: rows of days, columns of the time of day.
STRIDE, SLICE = 4, 1200.0
COLUMNS = round(DAY / SLICE)
# Finer steps in seconds, for what stays open.
STEPS = (1200.0, 300.0, 60.0)
# Bounds of the sun's apparent motion. Along its daily path: radians a second, and the same squared
# for the acceleration, more where refraction changes fast, near the horizon. From day to day at one
# clock time: 0.43 degrees a day, and the change of that.
SPEED = 7.3e-5
BENDING_LOW, BENDING_HIGH, LOW_SUN = 3.5, 1.2, 0.09
DAILY, DAILY_CHANGE = 0.0076, 2.5e-4
# The sun counts from the horizon up; cells are kept from this height (sine) of their highest
# corner.
LOWEST = -0.02
ROUNDS = 7


@dataclass(frozen=True)
class SunGrid:
    """The sun over `days` days from `origin` (unix seconds), for all windows of a place."""

    observer: Observer
    origin: float
    days: int

    @cached_property
    def directions(self) -> Floats:
        """Apparent sun at the grid's corners, (3, rows + 1, COLUMNS + 1)."""
        rows = -(-self.days // STRIDE)
        times = (
            self.origin
            + np.arange(rows + 1)[:, None] * STRIDE * DAY
            + np.arange(COLUMNS + 1)[None, :] * SLICE
        )
        return sun_directions(times, self.observer, smooth=True)

    @cached_property
    def cells(self) -> tuple[Ints, Ints]:
        """Rows and columns of the cells in which the sun may be up."""
        highest = _corners(self.directions[2]).max(axis=0)
        rows, columns = np.nonzero(highest > LOWEST)
        return rows, columns


@dataclass(frozen=True)
class _Span:
    """Sun directions (3, c, m) in the window's axes at c instants of each of m cells.

    `slack` is how far a component of the direction may leave the range of its values there,
    `slack2` a product of two components.
    """

    local: Floats
    slack: Floats
    slack2: Floats


def unshaded_intervals(grid: SunGrid, axes: Floats, glass: Glass) -> tuple[Floats, Floats]:
    """When some of `glass` is in sun, by its reveal and simple plates alone: intervals and the
    rest.

    Both (k, 2) unix seconds, unsorted; the second are stretches of 60 s that stay to be sampled.
    What they say holds while the sun is up.
    """
    quarters = SkyQuarters(glass)
    rows, columns = grid.cells
    corners = _corners(np.einsum("ij,jrc->irc", axes, grid.directions))[:, :, rows, columns]
    low_sun = _corners(grid.directions[2])[:, rows, columns].min(axis=0) < LOW_SUN
    state, _ = _settle(quarters, _span(corners, low_sun, SLICE, STRIDE))
    lit = [_per_day(grid, rows[state > 0], columns[state > 0])]
    begin = _per_day(grid, rows[state == 0], columns[state == 0])[:, 0]
    crossings: list[_Bracket] = []
    for step, finer in zip(STEPS, (*STEPS[1:], None), strict=True):
        ends = sun_directions(np.stack([begin, begin + step]), grid.observer, smooth=True)
        local = np.einsum("ij,jcm->icm", axes, ends)
        span = _span(local, ends[2].min(axis=0) < LOW_SUN, step, 0)
        state, bracket = _settle(quarters, span)
        lit.append(np.stack([begin[state == 1], begin[state == 1] + step], axis=1))
        crossings.append(bracket.at(begin, step))
        begin = begin[state == 0]
        if finer is not None:
            begin = (begin[:, None] + np.arange(0.0, step, finer)).ravel()
    lit.append(_cross(grid.observer, axes, _gather(crossings)))
    rest = np.stack([begin, begin + STEPS[-1]], axis=1)
    return np.concatenate(lit), rest


def _corners(values: Floats) -> Floats:
    """Values (..., r, c) at the four corners of each cell: (..., 4, r - 1, c - 1)."""
    return np.stack(
        [values[..., :-1, :-1], values[..., :-1, 1:], values[..., 1:, :-1], values[..., 1:, 1:]],
        axis=-3,
    )


def _per_day(grid: SunGrid, rows: Ints, columns: Ints) -> Floats:
    """The cells' stretches of time, one for each of their days: (k, 2)."""
    day = rows[:, None] * STRIDE + np.arange(STRIDE)
    begin = grid.origin + day * DAY + columns[:, None] * SLICE
    begin = begin[day < grid.days]
    return np.stack([begin, begin + SLICE], axis=1)


def _span(local: Floats, low_sun: Bools, step: float, stride: int) -> _Span:
    turn = SPEED * step
    bending = np.where(low_sun, BENDING_LOW, BENDING_HIGH)
    along, along2 = bending * turn**2, 2.0 * bending * turn**2 + 2.0 * turn**2
    across = stride**2 * DAILY_CHANGE * bending
    across2 = 2.0 * across + 2.0 * (stride * DAILY) ** 2
    return _Span(local, (along + across) / 8.0, (along2 + across2) / 8.0)


@dataclass(frozen=True)
class _Bracket:
    """Spans with exactly one crossing: which (`where`), of which form, and its values at the ends.

    `terms` (m, 5) multiply n, u, v (or n², un, vn where `mixed`), uv, and n alone, u as it stands.
    """

    where: Ints
    terms: Floats
    mixed: Bools
    rising: Bools
    begin: Floats
    end: Floats

    def at(self, begin: Floats, step: float) -> _Bracket:
        """With the times of its spans, which begin at `begin` and last `step` seconds."""
        first = begin[self.where]
        return replace(self, begin=first, end=first + step)

    def keep(self, keep: Bools) -> _Bracket:
        """Only the crossings that `keep` picks."""
        return _Bracket(*(getattr(self, name.name)[keep] for name in fields(self)))


def _settle(quarters: SkyQuarters, span: _Span) -> tuple[Ints, _Bracket]:
    """For each cell 1 lit, -1 dark, 0 open, 2 one crossing; and those crossings."""
    u, v, n = span.local
    state = np.full(n.shape[1], 2, dtype=np.int64)
    front_high = n.max(axis=0) + span.slack
    state[front_high <= 0.0] = -1
    u_low, u_high = u.min(axis=0) - span.slack, u.max(axis=0) + span.slack
    v_low, v_high = v.min(axis=0) - span.slack, v.max(axis=0) + span.slack
    found: list[_Bracket] = []
    sides = ((u_high >= 0.0), (u_low < 0.0))
    levels = ((v_high > 0.0), (v_low <= 0.0))
    single = (u_low >= 0.0) | (u_high < 0.0)
    single &= (v_low > 0.0) | (v_high <= 0.0)
    answers = np.full(n.shape[1], 9, dtype=np.int64)
    for number, conditions in enumerate(quarters.conditions):
        mirror = -1.0 if number in (1, 3) else 1.0
        inside = sides[number % 2] & levels[number // 2] & (front_high > 0.0)
        which = np.flatnonzero(inside)
        if len(which) == 0:
            continue
        answer, bracket = _settle_quarter(conditions, span, which, mirror)
        alone = single[which]
        answer[(answer == 2) & ~alone] = 0
        first = answers[which] == 9
        agree = first | (answers[which] == answer)
        answers[which] = np.where(agree, answer, 0)
        found.append(bracket.keep(alone[np.searchsorted(which, bracket.where)]))
    front = front_high > 0.0
    state[front] = answers[front]
    return state, _gather(found)


def _settle_quarter(
    conditions: Conditions, span: _Span, which: Ints, mirror: float
) -> tuple[Ints, _Bracket]:
    """`_settle` for the cells `which` and one quarter's conditions."""
    u, v, n = span.local[:, :, which]
    # The front of the glass is one more condition: the last row.
    values = np.concatenate([conditions.forms(u * mirror, v, n), n[None]])
    slack = np.concatenate(
        [
            conditions.sizes[:, None]
            * np.where(conditions.mixed[:, None], span.slack2[which], span.slack[which]),
            span.slack[which][None],
        ]
    )

    def lit(forms: Floats) -> Bools:
        return np.asarray((conditions.combined(forms[:-1]) > 0.0) & (forms[-1] > 0.0))

    low, high = values.min(axis=1) - slack, values.max(axis=1) + slack
    answer = np.where(lit(low), 1, np.where(lit(high), 0, -1))
    if n.shape[0] != 2:
        return answer, _gather([])
    # One step along the path: look for spans in which a single form changes its sign, once.
    open_forms = (low <= 0.0) & (high > 0.0)
    once = np.flatnonzero((answer == 0) & (open_forms.sum(axis=0) == 1))
    form = open_forms[:, once].argmax(axis=0)
    first, last = values[form, 0, once], values[form, 1, once]
    # The slope strays from its mean by at most four times the slack over the step.
    steady = np.abs(last - first) > 4.0 * slack[form, once]
    before, after = lit(values[:, 0, once]), lit(values[:, 1, once])
    answer[once[steady]] = np.where(before == after, np.where(before, 1, -1), 2)[steady]
    changes = steady & (before != after)
    rows = np.zeros((len(values), 5))
    rows[:-1, :4] = conditions.terms * np.array([1.0, mirror, 1.0, mirror])
    rows[-1, 4] = 1.0
    mixed = np.append(conditions.mixed, False)
    chosen = form[changes]
    nowhen = np.zeros(len(chosen))
    return answer, _Bracket(
        which[once[changes]], rows[chosen], mixed[chosen], after[changes], nowhen, nowhen
    )


def _gather(parts: list[_Bracket]) -> _Bracket:
    if not parts:
        none = np.zeros(0)
        return _Bracket(none.astype(np.int64), np.zeros((0, 5)), none > 0.0, none > 0.0, none, none)
    return _Bracket(
        *(np.concatenate([getattr(part, name.name) for part in parts]) for name in fields(_Bracket))
    )


def _cross(observer: Observer, axes: Floats, found: _Bracket) -> Floats:
    """The lit part of spans with one crossing each, by the Illinois variant of regula falsi."""
    low, high = found.begin, found.end
    if len(low) == 0:
        return np.zeros((0, 2))

    def value(times: Floats) -> Floats:
        u, v, n = np.einsum("ij,jm->im", axes, sun_directions(times, observer, smooth=True))
        c = found.terms.T
        flat = c[0] * n + c[1] * u + c[2] * v
        return np.asarray(np.where(found.mixed, flat * n + c[3] * u * v, flat) + c[4] * n)

    at_low, at_high = value(low), value(high)
    side = np.zeros(len(low), dtype=np.int64)
    middle = low
    for _ in range(ROUNDS):
        middle = (low * at_high - high * at_low) / (at_high - at_low)
        at_middle = value(middle)
        upper = (at_middle > 0.0) == (at_high > 0.0)
        # An end kept twice pulls too hard: halve its value.
        at_low = np.where(upper & (side == 1), at_low / 2.0, at_low)
        at_high = np.where(~upper & (side == -1), at_high / 2.0, at_high)
        low, at_low = np.where(upper, low, middle), np.where(upper, at_low, at_middle)
        high, at_high = np.where(upper, middle, high), np.where(upper, at_middle, at_high)
        side = np.where(upper, 1, -1)
    begin = np.where(found.rising, middle, found.begin)
    end = np.where(found.rising, found.end, middle)
    return np.stack([begin, end], axis=1)
