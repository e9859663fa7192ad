"""Sun on glass on single days, where it grazes an edge: conditions as cubics in time.

A day of a cell of the grid is cut into parts of 20, 10 or 5 minutes, over which the path of the sun
is a cubic to 1e-6 radian (the nearer to the horizon, the shorter, since refraction bends the path),
and so is every condition, which four instants therefore tell in full. What lies between the values
at the cell's corners settles most conditions in most parts; only what is left is worked out.
Between the zeros of all conditions that matter nothing changes, and one question settles it.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from suncover.base.roots import find_roots
from suncover.facade.search.first_look import FirstLook
from suncover.facade.search.grid_values import Cells, GridValues
from suncover.facade.search.panes import SkyForms
from suncover.facade.search.ragged import members
from suncover.facade.search.sun_grid import SLICE, STRIDE, SunGrid
from suncover.sun.position import DAY, Observer, directions_at

Floats = NDArray[np.float64]
Singles = NDArray[np.float32]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]
LitByGlass = tuple[Floats, Ints]
"""Intervals (k, 2), unix seconds, and the number (k,) of the glass each belongs to."""

# Into how many parts a cell is cut by the least height (its sine) of the sun in it: below the first
# of the heights, up to the second, above. So no part strays from a cubic by more than the sun moves
# in 0.1 s.
LOW = (0.09, 0.17)
PARTS = (4, 2, 1)
# Seconds by which exact values may move a cubic's zero: what it strays, and some more.
CLOSER = 5.0
# A step of that kind is taken as the last when it is no longer than this, in seconds.
LAST_STEP, MOST_STEPS = 0.1, 4
# From values at 0, 1/3, 2/3 and 1 to the coefficients of 1, x, x², x³.
CUBIC = np.array(
    [
        [1.0, 0.0, 0.0, 0.0],
        [-5.5, 9.0, -4.5, 1.0],
        [9.0, -22.5, 18.0, -4.5],
        [-4.5, 13.5, -13.5, 4.5],
    ]
)


def lit_on_days(grid: SunGrid, look: FirstLook, cells: Cells, day: Ints) -> LitByGlass:
    """When some of each glass is in sun in cells (n,) of the grid on single days (n,), counted from
    the first of each cell's row.

    Unsorted, those that touch not yet joined. What they say holds while the sun is up and counts.
    """
    glass, row, column = cells
    share = (day / STRIDE).astype(np.float32)
    begin = grid.origin + ((row - 1) * STRIDE + day) * DAY + column * SLICE
    lit, lightable = np.ones(len(row), dtype=bool), np.zeros(len(row), dtype=bool)
    quarters = []
    for number, values in enumerate(look.values):
        index = np.flatnonzero(look.quarters[glass, row, column - look.first] & 1 << number)
        if values is None or len(index) == 0:
            continue
        ends = _forms_on_days(grid, values, (glass[index], row[index], column[index]), share[index])
        lit[index] &= values.forms.lit(ends.low > 0.0, index.shape)
        lightable[index] |= values.forms.lit(ends.high > 0.0, index.shape)
        quarters.append((values.forms, index, ends))
    complete, left = lit & lightable, lightable & ~lit
    parts = [(np.stack([begin[complete], begin[complete] + SLICE], axis=1), glass[complete])]
    for forms, index, ends in quarters:
        open_here = left[index]
        cell = index[open_here]
        heights = _heights_on_days(grid, row[cell], column[cell], share[cell])
        slices = _Parts.of(grid, begin[cell], glass[cell], heights, ends.pick(open_here))
        parts += _lit_by(grid, forms, slices)
    return np.concatenate([intervals for intervals, _ in parts]), np.concatenate(
        [owner for _, owner in parts]
    )


class _Ends(NamedTuple):
    """Values (k, n) at the ends of stretches of time. Between them each strays by `loose` at the
    most from the straight line.
    """

    before: Singles
    after: Singles
    loose: Singles

    @property
    def low(self) -> Singles:
        """What they are at the least."""
        return np.asarray(np.minimum(self.before, self.after) - self.loose)

    @property
    def high(self) -> Singles:
        """What they are at the most."""
        return np.asarray(np.maximum(self.before, self.after) + self.loose)

    def pick(self, index: Ints | Bools) -> _Ends:
        """The values of some stretches."""
        return _Ends._make(values[:, index] for values in self)

    def within(self, begin: Singles, end: Singles) -> _Ends:
        """The values at the ends of a part of each stretch, of which `begin` and `end` (n,) are the
        shares.
        """
        rise = self.after - self.before
        return _Ends(self.before + rise * begin, self.before + rise * end, self.loose)


def _forms_on_days(grid: SunGrid, values: GridValues, cells: Cells, share: Singles) -> _Ends:
    """The forms in cells (n,) on a day that lies at `share` (n,) of the way from each row's line to
    the next.
    """
    corners = values.corners(cells)
    before, after = (corners[side] * (1.0 - share) + corners[2 + side] * share for side in (0, 1))
    _, row, column = cells
    slack = np.stack([of_degree[row, column] for of_degree in grid.slack])
    return _Ends(before, after, slack[values.forms.degrees])


def _heights_on_days(grid: SunGrid, row: Ints, column: Ints, share: Singles) -> _Ends:
    """The sine of the sun's height in the same cells on the same days: (1, n)."""
    up = grid.components[2]
    before, after = (
        up[row, column + side] * (1.0 - share) + up[row + 1, column + side] * share
        for side in (0, 1)
    )
    return _Ends(before[None], after[None], grid.slack[0][row, column][None])


class _Parts(NamedTuple):
    """Parts of slices, of `step` seconds from `begin`, whose glass has the forms `ends`."""

    begin: Floats
    step: Floats
    glass: Ints
    ends: _Ends

    @classmethod
    def of(cls, grid: SunGrid, begin: Floats, glass: Ints, heights: _Ends, ends: _Ends) -> _Parts:
        """The parts of slices that begin at `begin` (n,) in which the sun may be up and count."""
        parts = np.array(PARTS)[np.searchsorted(LOW, heights.low[0], side="right")]
        slice_of, number = members(parts)
        width = (1.0 / parts[slice_of]).astype(np.float32)
        since = number.astype(np.float32) * width
        up = heights.pick(slice_of).within(since, since + width).high[0] > grid.floor
        slice_of, since, width = slice_of[up], since[up], width[up]
        part_ends = ends.pick(slice_of).within(since, since + width)
        return cls(begin[slice_of] + since * SLICE, width * SLICE, glass[slice_of], part_ends)

    def intervals(self, chosen: Bools) -> LitByGlass:
        """Some of them, from beginning to end."""
        begin = self.begin[chosen]
        return np.stack([begin, begin + self.step[chosen]], axis=1), self.glass[chosen]


def _lit_by(grid: SunGrid, forms: SkyForms, parts: _Parts) -> list[LitByGlass]:
    """What is lit within parts of slices by the forms of a quarter of the sky."""
    low, high = parts.ends.low, parts.ends.high
    holds, matter = low > 0.0, forms.that_matter(low, high)
    settled = ~matter.any(axis=0)
    result = [parts.intervals(settled & forms.lit_in_quarter(holds))]
    left = np.flatnonzero(~settled)
    if len(left):
        part, form = np.nonzero(matter[:, left].T)
        cubics = _Cubics(
            grid.observer, forms, parts.begin[left], parts.step[left], parts.glass[left], part, form
        )
        lit, owner = _between_zeros(cubics, holds[:, left])
        result.append((cubics.begin[owner][:, None] + lit, cubics.glass[owner]))
    return result


@dataclass(frozen=True)
class _Cubics:
    """The forms `form` (m,) to look at in the parts of slices `part` (m,), sorted by part, as
    cubics.

    `begin`, `step` and `glass` are those of the parts, by number.
    """

    observer: Observer
    forms: SkyForms
    begin: Floats
    step: Floats
    glass: Ints
    part: Ints
    form: Ints

    @cached_property
    def terms(self) -> Floats:
        """Each as a cubic in the share of the part that has passed: its coefficients (4, m)."""
        times = self.begin[:, None] + np.arange(4) / 3.0 * self.step[:, None]
        sun = self.sun(times)[:, self.part]
        values = self.at(np.repeat(np.arange(len(self.form)), 4), sun.reshape(3, -1))
        return np.asarray(CUBIC @ values.reshape(-1, 4).T)

    def sun(self, times: Floats) -> Floats:
        """The sun at `times`: (3, *times.shape)."""
        return directions_at(times, self.observer, smooth=True)

    def at(self, numbers: Ints, sun: Floats) -> Floats:
        """The cubics of some `numbers` (n,) at directions (3, n)."""
        return self.forms.at(self.form[numbers], self.glass[self.part[numbers]], sun)

    def closer(self, numbers: Ints, at: Floats) -> Floats:
        """Zeros `at` (n,) seconds from the beginnings of their parts, of the cubics `numbers`: by
        exact values there. Where a cubic all but touches zero, they stay as they are.
        """
        zeros, index = at.copy(), np.arange(len(at))
        for _ in range(MOST_STEPS):
            part = self.part[numbers[index]]
            _, b, c, d = self.terms[:, numbers[index]]
            step = self.step[part]
            x = zeros[index] / step
            with np.errstate(divide="ignore", invalid="ignore"):
                value = self.at(numbers[index], self.sun(self.begin[part] + zeros[index]))
                move = -value * step / (b + x * (2.0 * c + x * 3.0 * d))
            near = np.abs(move) <= CLOSER
            index, move, step = index[near], move[near], step[near]
            zeros[index] = np.clip(zeros[index] + move, 0.0, step)
            index = index[np.abs(move) > LAST_STEP]
            if len(index) == 0:
                break
        return zeros


def _between_zeros(cubics: _Cubics, holds: Bools) -> tuple[Floats, Ints]:
    """What is lit in the parts of slices, where those forms that are not asked for hold or not
    (k, m): intervals (n, 2) in seconds from the start of the part (n,) each belongs to.
    """
    step, number = cubics.step, np.arange(len(cubics.step))
    at, numbers = _zeros(cubics.terms, step[cubics.part])
    cut = np.concatenate([cubics.closer(numbers, at), np.zeros(len(step)), step])
    owner = np.concatenate([cubics.part[numbers], number, number])
    order = np.lexsort((cut, owner))
    cut, owner = cut[order], owner[order]
    index = np.flatnonzero((owner[1:] == owner[:-1]) & (cut[1:] > cut[:-1]))
    begin, end, owner = cut[index], cut[index + 1], owner[index]
    # Each piece between two zeros asks all forms of its part, for the exact value in its middle: a
    # cubic that all but touches zero may have the wrong sign there.
    count = np.bincount(cubics.part, minlength=len(step))
    piece, place = members(count[owner])
    numbers = (np.cumsum(count) - count)[owner[piece]] + place
    sun = cubics.sun(cubics.begin[owner] + (begin + end) / 2.0)
    holds = holds[:, owner]
    holds[cubics.form[numbers], piece] = cubics.at(numbers, sun[:, piece]) > 0.0
    lit = cubics.forms.lit_in_quarter(holds)
    return np.stack([begin[lit], end[lit]], axis=1), owner[lit]


def _zeros(terms: Floats, step: Floats) -> tuple[Floats, Ints]:
    """Where cubics in x = seconds / `step` (m,) with coefficients (4, m) cross zero between 0 and
    1: in seconds, and of which cubic.
    """
    a, b, c, d = terms

    def value(seconds: Floats, cubic: Ints) -> Floats:
        x = seconds / step[cubic]
        return np.asarray(a[cubic] + x * (b[cubic] + x * (c[cubic] + x * d[cubic])))

    # Between its turns a cubic crosses zero once at the most.
    with np.errstate(divide="ignore", invalid="ignore"):
        half = -(c + np.copysign(np.sqrt(c * c - 3.0 * b * d), c))
        turns = np.stack([half / (3.0 * d), b / half])
    turns = np.sort(
        np.clip(np.nan_to_num(turns, nan=0.0, posinf=0.0, neginf=0.0), 0.0, 1.0), axis=0
    )
    edge = np.zeros((1, len(a)))
    ends = np.concatenate([edge, turns, edge + 1.0]) * step
    all_cubics = np.arange(len(a))
    above = np.stack([value(times, all_cubics) > 0.0 for times in ends])
    part, cubic = np.nonzero(above[1:] != above[:-1])
    low, high = ends[part, cubic], ends[part + 1, cubic]
    return find_roots(lambda seconds, index: value(seconds, cubic[index]), low, high), cubic
