"""Exact times of sun on glass whose shading has a closed form, from few instants.

The conditions of `suncover.facade.conditions` are smooth forms in the sun's direction. Between
instants, a smooth f differs from the straight line through its values by at most an eighth of the
step squared times the bound of its second derivative; between four corners in time of day and in
date, by the sum of two such terms. So a handful of values settles a whole cell of days and minutes:

    8 days by 20 minutes  ->  single days, 20 minutes  ->  5 minutes  ->  1 minute

where no condition that matters can change sign, the answer holds throughout; where all that can do
fall all the way, or all rise, there is one crossing at the most, and it is closed in on.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from suncover.facade.conditions import ConditionSet, SkyQuarters
from suncover.roots import find_roots
from suncover.sun import DAY, Observer, sun_directions

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

# The first grid: rows of days, columns of the time of day.
STRIDE, SLICE = 8, 1200.0
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
# What the last step leaves open is asked every so many seconds, and closed in on by halving.
SAMPLE, HALVINGS = 10.0, 8


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
        heights = self.directions[2]
        highest = np.maximum(
            np.maximum(heights[:-1, :-1], heights[:-1, 1:]),
            np.maximum(heights[1:, :-1], heights[1:, 1:]),
        )
        rows, columns = np.nonzero(highest > LOWEST)
        return rows, columns

    @cached_property
    def corners(self) -> Floats:
        """Sun at the four corners of those cells: (3, 4, cells)."""
        rows, columns = self.cells
        steps = ((0, 0), (0, 1), (1, 0), (1, 1))
        return np.stack(
            [self.directions[:, rows + down, columns + right] for down, right in steps], axis=1
        )


@dataclass(frozen=True)
class Panes:
    """Glasses whose conditions have one pattern, to be searched together."""

    axes: Floats
    quarters: tuple[ConditionSet, ...]

    @classmethod
    def of(cls, axes: Sequence[Floats], skies: Sequence[SkyQuarters]) -> Panes:
        """Glasses with `axes` and conditions `skies`, all of one `SkyQuarters.pattern`."""
        quarters = tuple(
            ConditionSet.of([sky.conditions[number] for sky in skies]) for number in range(4)
        )
        return cls(np.stack(axes), quarters)

    def local(self, directions: Floats, owner: Ints) -> Floats:
        """Directions (3, ..., m) in the axes of the glass that owns each: (3, ..., m)."""
        axes = self.axes[owner]
        return np.stack(
            [
                axes[:, row, 0] * directions[0]
                + axes[:, row, 1] * directions[1]
                + axes[:, row, 2] * directions[2]
                for row in (0, 1, 2)
            ]
        )

    def lit(self, local: Floats, owner: Ints) -> Bools:
        """Whether some of each glass is in sun at directions (3, m), in its own axes."""
        quarter = np.where(local[0] < 0.0, 1, 0) + np.where(local[1] > 0.0, 0, 2)
        return self.value(local, owner, quarter) > 0.0

    def value(self, local: Floats, owner: Ints, quarter: Ints) -> Floats:
        """The conditions of each glass as one number, above 0 where it is lit: (m,).

        At directions (3, m) in its own axes, by those of the given `quarter` of the sky.
        """
        answer = np.empty(local.shape[1])
        for number, conditions in enumerate(self.quarters):
            some = np.flatnonzero(quarter == number)
            u, v, n = local[:, some]
            forms = conditions.forms(u * _mirror(number), v, n, owner[some])
            answer[some] = np.minimum(conditions.combined(forms), n)
        return answer


@dataclass(frozen=True)
class _Span:
    """Sun directions (3, c, m) in the window's axes at c instants of each of m cells.

    `slack` is how far a component of the direction may leave the range of its values there,
    `slack2` a product of two components.
    """

    local: Floats
    owner: Ints
    slack: Floats
    slack2: Floats


@dataclass(frozen=True)
class _Bracket:
    """Spans with exactly one crossing, in one quarter of the sky: which (`where`), and whose.

    `rising` where the glass turns lit.
    """

    where: Ints
    owner: Ints
    quarter: Ints
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


def unshaded_intervals(grid: SunGrid, panes: Panes) -> tuple[Floats, Ints]:
    """When some of each glass is in sun, by its reveal and simple plates alone.

    Intervals (k, 2), unix seconds, unsorted, those that touch not yet joined; and the number (k,)
    of the glass each belongs to. What they say holds while the sun is up.
    """
    state, rows, columns, owner = _first_look(grid, panes)
    lit, owners = _per_day(grid, rows[state > 0], columns[state > 0], owner[state > 0])
    found = [(lit, owners)]
    spans, owner = _per_day(grid, rows[state == 0], columns[state == 0], owner[state == 0])
    begin = spans[:, 0]
    crossings: list[_Bracket] = []
    for step, finer in zip(STEPS, (*STEPS[1:], 0.0), strict=True):
        ends = sun_directions(np.stack([begin, begin + step]), grid.observer, smooth=True)
        low_sun = ends[2].min(axis=0) < LOW_SUN
        span = _Span(panes.local(ends, owner), owner, *_slacks(low_sun, step, 0))
        state, bracket = _settle(panes, span)
        sure = state == 1
        found.append((np.stack([begin[sure], begin[sure] + step], axis=1), owner[sure]))
        crossings.append(bracket.at(begin, step))
        begin, owner = begin[state == 0], owner[state == 0]
        if finer:
            parts = round(step / finer)
            begin = (begin[:, None] + np.arange(parts) * finer).ravel()
            owner = np.repeat(owner, parts)
    one = _gather(crossings)
    found.append((_cross(grid.observer, panes, one), one.owner))
    found.append(_sampled(grid.observer, panes, begin, owner))
    return np.concatenate([part for part, _ in found]), np.concatenate([who for _, who in found])


def _first_look(grid: SunGrid, panes: Panes) -> tuple[Ints, Ints, Ints, Ints]:
    """State, row, column and owner of every cell of the grid that lies before some glass."""
    rows, columns = grid.cells
    low_sun = grid.corners[2].min(axis=0) < LOW_SUN
    slack, slack2 = _slacks(low_sun, SLICE, STRIDE)
    out = np.einsum("gj,jcm->gcm", panes.axes[:, 2], grid.corners)
    owner, cell = np.nonzero(out.max(axis=1) + slack > 0.0)
    span = _Span(panes.local(grid.corners[:, :, cell], owner), owner, slack[cell], slack2[cell])
    state, _ = _settle(panes, span)
    return state, rows[cell], columns[cell], owner


def _per_day(grid: SunGrid, rows: Ints, columns: Ints, owner: Ints) -> tuple[Floats, Ints]:
    """The cells' stretches of time, one for each of their days: (k, 2), and their owners."""
    day = rows[:, None] * STRIDE + np.arange(STRIDE)
    begin = grid.origin + day * DAY + columns[:, None] * SLICE
    inside = day < grid.days
    owners = np.broadcast_to(owner[:, None], day.shape)[inside]
    return np.stack([begin[inside], begin[inside] + SLICE], axis=1), owners


def _slacks(low_sun: Bools, step: float, stride: int) -> tuple[Floats, Floats]:
    turn = SPEED * step
    bending = np.where(low_sun, BENDING_LOW, BENDING_HIGH)
    along, along2 = bending * turn**2, 2.0 * bending * turn**2 + 2.0 * turn**2
    across = stride**2 * DAILY_CHANGE * bending
    across2 = 2.0 * across + 2.0 * (stride * DAILY) ** 2
    return (along + across) / 8.0, (along2 + across2) / 8.0


def _settle(panes: Panes, span: _Span) -> tuple[Ints, _Bracket]:
    """For each cell 1 lit, -1 dark, 0 open, 2 one crossing; and those crossings."""
    u, v, n = span.local
    front = n.max(axis=0) + span.slack > 0.0
    u_low, u_high = u.min(axis=0) - span.slack, u.max(axis=0) + span.slack
    v_low, v_high = v.min(axis=0) - span.slack, v.max(axis=0) + span.slack
    sides, levels = (u_high >= 0.0, u_low < 0.0), (v_high > 0.0, v_low <= 0.0)
    single = (sides[0] != sides[1]) & (levels[0] != levels[1])
    state = np.full(n.shape[1], -1, dtype=np.int64)
    asked = np.zeros(n.shape[1], dtype=bool)
    found: list[_Bracket] = []
    for number, conditions in enumerate(panes.quarters):
        which = np.flatnonzero(sides[number % 2] & levels[number // 2] & front)
        if len(which) == 0:
            continue
        answer, bracket = _settle_quarter(conditions, span, which, number)
        # A cell that reaches into several quarters is settled if they agree; a crossing in it is
        # not.
        alone = single[which]
        answer[(answer == 2) & ~alone] = 0
        agree = ~asked[which] | (state[which] == answer)
        state[which] = np.where(agree, answer, 0)
        asked[which] = True
        found.append(bracket.keep(single[bracket.where]))
    return state, _gather(found)


def _settle_quarter(
    conditions: ConditionSet, span: _Span, which: Ints, number: int
) -> tuple[Ints, _Bracket]:
    """`_settle` for the cells `which` and the conditions of quarter `number`."""
    u, v, n = span.local[:, :, which]
    owner = span.owner[which]
    # The front of the glass is one more condition: the last row.
    values = np.concatenate([conditions.forms(u * _mirror(number), v, n, owner), n[None]])
    slack = np.empty((len(values), len(which)))
    for row, mixed in enumerate(conditions.mixed):
        loose = span.slack2 if mixed else span.slack
        slack[row] = conditions.sizes[row][owner] * loose[which]
    slack[-1] = span.slack[which]
    if conditions.in_front:
        values[-1], slack[-1] = 1.0, 0.0

    def lit(forms: Floats) -> Bools:
        return np.asarray((conditions.combined(forms[:-1]) > 0.0) & (forms[-1] > 0.0))

    low, high = values.min(axis=1) - slack, values.max(axis=1) + slack
    answer = np.where(lit(low), 1, np.where(lit(high), 0, -1))
    if n.shape[0] != 2:
        return answer, _gather([])
    # One step along the path: where all forms that matter fall throughout, or all rise, the whole
    # expression does, and changes once at the most.
    unsure = np.flatnonzero(answer == 0)
    low, high = low[:, unsure], high[:, unsure]
    matter = np.zeros(low.shape, dtype=bool)
    if () not in conditions.expression:
        matter[:-1] = conditions.that_matter(low[:-1], high[:-1])
    matter[-1] = (low[-1] <= 0.0) & (high[-1] > 0.0)
    change = values[:, 1, unsure] - values[:, 0, unsure]
    # The slope strays from its mean by at most four times the slack over the step.
    steady = np.abs(change) > 4.0 * slack[:, unsure]
    rising = (~matter | (steady & (change > 0.0))).all(axis=0)
    falling = (~matter | (steady & (change < 0.0))).all(axis=0)
    once = unsure[rising | falling]
    before, after = lit(values[:, 0, once]), lit(values[:, 1, once])
    answer[once] = np.where(before == after, np.where(before, 1, -1), 2)
    found = once[before != after]
    nowhen = np.zeros(len(found))
    return answer, _Bracket(
        which[found],
        owner[found],
        np.full(len(found), number),
        after[before != after],
        nowhen,
        nowhen,
    )


def _mirror(number: int) -> float:
    """What turns u so that the sun of quarter `number` comes from the right."""
    return -1.0 if number % 2 else 1.0


def _gather(parts: list[_Bracket]) -> _Bracket:
    if not parts:
        none, number = np.zeros(0), np.zeros(0, dtype=np.int64)
        return _Bracket(number, number, number, none > 0.0, none, none)
    return _Bracket(
        *(np.concatenate([getattr(part, name.name) for part in parts]) for name in fields(_Bracket))
    )


def _cross(observer: Observer, panes: Panes, found: _Bracket) -> Floats:
    """The lit part of spans with one crossing each."""
    if len(found.begin) == 0:
        return np.zeros((0, 2))
    # Over a span the path of a sun well up is a cubic to 1e-7 radian: four instants tell all of it.
    length = found.end - found.begin
    times = found.begin + np.arange(4.0)[:, None] / 3.0 * length
    corners = sun_directions(times, observer, smooth=True)
    path = panes.local(corners, found.owner)

    def along_cubic(times: Floats, some: Ints) -> Floats:
        x = (times - found.begin[some]) / length[some] * 3.0
        a, b, d = x - 1.0, x - 2.0, x - 3.0
        weights = (-a * b * d / 6.0, x * b * d / 2.0, -x * a * d / 2.0, x * a * b / 6.0)
        local = np.add.reduce([path[:, step, some] * w for step, w in enumerate(weights)])
        return panes.value(local, found.owner[some], found.quarter[some])

    when = find_roots(along_cubic, found.begin, found.end)
    # Near the horizon refraction bends the path too fast for that.
    low_sun = corners[2].min(axis=0) < LOW_SUN
    if low_sun.any():
        low = found.keep(low_sun)

        def exactly(times: Floats, some: Ints) -> Floats:
            sun = sun_directions(times, observer, smooth=True)
            return panes.value(
                panes.local(sun, low.owner[some]), low.owner[some], low.quarter[some]
            )

        when[low_sun] = find_roots(exactly, low.begin, low.end)
    begin = np.where(found.rising, when, found.begin)
    end = np.where(found.rising, found.end, when)
    return np.stack([begin, end], axis=1)


def _sampled(observer: Observer, panes: Panes, begin: Floats, owner: Ints) -> tuple[Floats, Ints]:
    """The lit parts of the last step's spans that are still open, by sampling and bisection."""
    if len(begin) == 0:
        return np.zeros((0, 2)), owner
    parts = round(STEPS[-1] / SAMPLE)

    def lit(times: Floats, who: Ints) -> Bools:
        return panes.lit(panes.local(sun_directions(times, observer, smooth=True), who), who)

    times = begin[:, None] + np.arange(parts + 1) * SAMPLE
    state = lit(times.ravel(), np.repeat(owner, parts + 1)).reshape(times.shape)
    first, last, left = state[:, :-1].ravel(), state[:, 1:].ravel(), times[:, :-1].ravel()
    who = np.repeat(owner, parts)
    change = first != last
    low, high = left[change], left[change] + SAMPLE
    for _ in range(HALVINGS):
        middle = (low + high) / 2.0
        same = lit(middle, who[change]) == first[change]
        low, high = np.where(same, middle, low), np.where(same, high, middle)
    begins, ends = left.copy(), left + SAMPLE
    begins[change] = np.where(first[change], left[change], high)
    ends[change] = np.where(first[change], low, left[change] + SAMPLE)
    some = first | last
    return np.stack([begins[some], ends[some]], axis=1), who[some]
