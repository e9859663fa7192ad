"""How crossings move from day to day: found on the lines of the grid, then for each day.

In a steady run every condition that matters turns once a day at the most. Its zero on a line of the
grid follows from its values at four corners, and the time of day on the days between from a cubic
through four lines. That is right to a second or so; an exact value there, over the slope, leaves
hundredths. A condition holds after its zero, or before, so each "and" of conditions holds from one
zero to another, and the glass is lit while any of them does.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from suncover.facade.search.first_look import DARK, LIT
from suncover.facade.search.grid_values import GridValues
from suncover.facade.search.ragged import members
from suncover.facade.search.runs import Steady
from suncover.facade.search.sun_grid import SLICE, STRIDE, SunGrid
from suncover.sun.position import DAY, directions_at

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

# A step by the slope is taken as the last when it is no longer than this, in seconds: what is left
# is a small part of it.
LAST_STEP, MOST_STEPS = 0.25, 4
# Zeros farther than this outside of a run, in seconds, are not asked for.
BEYOND = 300.0
# Newton's steps in the cubic between four corners, and how many columns they may leave its middle.
POLISH, FAR = 4, 2.0


class Crossings(NamedTuple):
    """What steady runs hold on each of their days: (n, STRIDE).

    `time`, unix seconds, of the only crossing; nan where there is not just one. There, `lit`
    intervals (m, 2) on `day` (m,) of the run `owner` (m,), which may overlap, are all that is lit.
    `failed` where nothing is known.
    """

    time: Floats
    lit: Floats
    owner: Ints
    day: Ints
    failed: Bools


def find_crossings(grid: SunGrid, steady: Steady, first: int) -> Crossings:
    """The crossings in steady runs; columns count from `first`."""
    runs = steady.runs
    day = (runs.row[:, None] - 1) * STRIDE + np.arange(STRIDE)
    midnight = grid.origin + day * DAY
    begin = midnight + (runs.begin + first)[:, None] * SLICE
    end = midnight + (runs.end + first)[:, None] * SLICE
    form, run = np.nonzero(steady.trend)
    column, slope = _on_days(*_on_lines(steady, form, run, first))
    zero = midnight[run] + column * SLICE
    spans = _Spans(steady, begin, end, form, run)
    # What is zero outside of the run decides nothing in it.
    inside_run = (zero > begin[run] - BEYOND) & (zero < end[run] + BEYOND) & (day < grid.days)[run]
    exact = _closer(grid, spans, zero, slope / SLICE, inside_run)
    exact[~inside_run & ~_is_outside(grid, steady, (form, run), zero < begin[run], first)] = np.nan
    failed = np.zeros(begin.shape, dtype=bool)
    np.logical_or.at(failed, run, np.isnan(exact))
    crossings = spans.crossings(exact, failed)
    inside = day[crossings.owner, crossings.day] < grid.days
    return crossings._replace(
        lit=crossings.lit[inside],
        owner=crossings.owner[inside],
        day=crossings.day[inside],
    )


def _is_outside(
    grid: SunGrid, steady: Steady, forms_and_runs: tuple[Ints, Ints], before: Bools, first: int
) -> Bools:
    """Whether each form (m,) of a run (m,) has its zero `before` (m, STRIDE) the run's beginning,
    else after its end, for sure: by its sign there on each day, between the lines.

    A guess may be far off where a form hardly changes in the time of a run.
    """
    form, run = forms_and_runs
    runs, values = steady.runs, steady.values
    glass, row = runs.glass[run], runs.row[run]
    sign, degree = steady.trend[form, run], values.forms.degrees[form]
    x = (np.arange(STRIDE) / STRIDE).astype(np.float32)
    slack = np.stack(grid.slack)
    sure = []
    for column, cell, side in (
        (runs.begin[run] + first, runs.begin[run] + first, sign),
        (runs.end[run] + first, runs.end[run] + first - 1, -sign),
    ):
        start, end = (values.at(form, glass, row + step, column) for step in (0, 1))
        value = start[:, None] * (1.0 - x) + end[:, None] * x
        sure.append(value * side[:, None] > slack[degree, row, cell][:, None])
    return np.asarray(np.where(before, sure[0], sure[1]))


class _Spans(NamedTuple):
    """When the glass is lit in each run and day, by the zeros of `form` (m,) of `run` (m,)."""

    steady: Steady
    begin: Floats
    end: Floats
    form: Ints
    run: Ints

    def _groups(self, zero: Floats) -> tuple[Floats, Floats]:
        """From when and until when each "and" of conditions holds: (groups, n, STRIDE) each."""
        forms = self.steady.values.forms
        shape = (len(self.steady.trend), *self.begin.shape)
        holds = self.steady.holds[:, :, None]
        since = np.where(holds, self.begin, np.inf)
        until = np.broadcast_to(np.where(holds, self.end, -np.inf), shape).copy()
        rises = self.steady.trend[self.form, self.run][:, None] > 0
        since[self.form, self.run] = np.where(rises, zero, self.begin[self.run])
        until[self.form, self.run] = np.where(rises, self.end[self.run], zero)
        groups = [[*group, *forms.sides] for group in forms.groups]
        # In place, one form after the other, so that what is worked on stays small.
        last_since, first_until = (np.empty((len(groups), *self.begin.shape)) for _ in range(2))
        for number, group in enumerate(groups):
            last_since[number], first_until[number] = self.begin, self.end
            for form in group:
                np.maximum(last_since[number], since[form], out=last_since[number])
                np.minimum(first_until[number], until[form], out=first_until[number])
        return last_since, first_until

    def crossings(self, zero: Floats, failed: Bools) -> Crossings:
        """What is lit, by the zeros (m, STRIDE) of the conditions; where not `failed`."""
        since, until = self._groups(zero)
        lit_span = until > since
        runs = self.steady.runs
        before, after = runs.before[:, None], runs.after[:, None]
        with_end, with_begin = lit_span & (until >= self.end), lit_span & (since <= self.begin)
        rise = np.where(with_end, since, np.inf).min(axis=0)
        fall = np.where(with_begin, until, -np.inf).max(axis=0)
        once_up = (before == DARK) & (after == LIT) & (~lit_span | (since >= rise)).all(axis=0)
        once_down = (before == LIT) & (after == DARK) & (~lit_span | (until <= fall)).all(axis=0)
        time = np.where(once_up, rise, np.where(once_down, fall, np.nan))
        # What is lit in another quarter of the sky joins it.
        several = (runs.reach > 1)[:, None]
        time[~np.isfinite(time) | failed | several] = np.nan
        # What begins or ends lit beside dark cells, or the other way round, is not right.
        amiss = (before == LIT) & ~with_begin.any(axis=0)
        amiss |= (after == LIT) & ~with_end.any(axis=0)
        amiss |= (before == DARK) & with_begin.any(axis=0)
        amiss |= (after == DARK) & with_end.any(axis=0)
        failed = failed | (amiss & ~several)
        several = lit_span & (np.isnan(time) & ~failed)
        _, run, day = np.nonzero(several)
        lit = np.stack([since[several], until[several]], axis=1)
        return Crossings(time, lit, run, day, failed)


def _on_lines(steady: Steady, form: Ints, run: Ints, first: int) -> tuple[Floats, Floats]:
    """Columns of the zeros of `form` (m,) in `run` (m,) on the four lines about each row, (4, m);
    and the slopes a column on the two at its edges, (2, m).
    """
    runs, values = steady.runs.pick(run), steady.values
    begin, end = runs.begin + first, runs.end + first
    sign = steady.trend[form, run]
    # The corners of each run, one run after the other.
    count = end - begin + 1
    starts = np.cumsum(count) - count
    owner, number = members(count)
    column = begin[owner] + number
    zeros = []
    for step in (0, 1):
        at = values.at(form[owner], runs.glass[owner], runs.row[owner] + step, column)
        failing = np.add.reduceat((at * sign[owner] <= 0.0).astype(np.int64), starts)
        middle = begin + np.clip(failing, 1, count - 1) - 0.5
        zeros.append(_zero(values, form, runs.glass, runs.row + step, middle))
    (first_zero, slope), (second_zero, slope2) = zeros
    outer = [
        _zero(values, form, runs.glass, runs.row + step, guess)[0]
        for step, guess in (
            (-1, 2.0 * first_zero - second_zero),
            (2, 2.0 * second_zero - first_zero),
        )
    ]
    return np.stack([outer[0], first_zero, second_zero, outer[1]]), np.stack([slope, slope2])


def _zero(
    values: GridValues, form: Ints, glass: Ints, line: Ints, guess: Floats
) -> tuple[Floats, Floats]:
    """The column of the zero of each form on a line, near a `guess` of it, and its slope there:
    (m,).
    """
    base = np.clip(np.floor(guess), values.column + 1, values.last - 2).astype(np.int64)
    a, b, c, d = (
        values.at(form, glass, line, base + step).astype(np.float64) for step in (-1, 0, 1, 2)
    )
    first, second, third = -a / 3 - b / 2 + c - d / 6, (a + c) / 2 - b, (d - a) / 6 + (b - c) / 2
    x = guess - base
    with np.errstate(divide="ignore", invalid="ignore"):
        for _ in range(POLISH):
            value = b + x * (first + x * (second + x * third))
            slope = first + x * (2.0 * second + x * 3.0 * third)
            x = np.clip(x - value / slope, -FAR, 1.0 + FAR)
    return base + x, first + x * (2.0 * second + x * 3.0 * third)


def _on_days(columns: Floats, slopes: Floats) -> tuple[Floats, Floats]:
    """Column and slope on each day of a row from those on its lines: (m, STRIDE) each."""
    x = np.arange(STRIDE) / STRIDE
    a, b, d = x + 1.0, x - 1.0, x - 2.0
    weights = np.stack([-x * b * d / 6.0, a * b * d / 2.0, -a * x * d / 2.0, a * x * b / 6.0])
    return columns.T @ weights, slopes[0][:, None] * (1.0 - x) + slopes[1][:, None] * x


def _closer(grid: SunGrid, spans: _Spans, guess: Floats, slope: Floats, wanted: Bools) -> Floats:
    """The zeros near `guess` (m, STRIDE) by exact values where `wanted`; nan where none is found.

    `slope` is their change a second.
    """
    forms = spans.steady.values.forms
    glass = spans.steady.runs.glass[spans.run]
    times = guess.copy()
    times[wanted] = np.nan
    row, day = np.nonzero(wanted)
    at, slope = guess[row, day], slope[row, day]
    for _ in range(MOST_STEPS):
        sun = directions_at(at, grid.observer, smooth=True)
        with np.errstate(divide="ignore", invalid="ignore"):
            step = -forms.at(spans.form[row], glass[row], sun) / slope
        settled = np.abs(step) <= LAST_STEP
        times[row[settled], day[settled]] = at[settled] + step[settled]
        open_index = ~settled & (np.abs(step) < SLICE)
        row, day, at, slope = (
            row[open_index],
            day[open_index],
            at[open_index] + step[open_index],
            slope[open_index],
        )
        if len(row) == 0:
            break
    return times
