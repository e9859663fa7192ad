"""A first look at all cells of the sun's grid: lit throughout, dark throughout, or open."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from suncover.facade.search.grid_values import GridValues, multiply, over_corners
from suncover.facade.search.panes import Panes
from suncover.facade.search.sun_grid import SunGrid

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

LIT, OPEN, DARK = 1, 0, -1


class FirstLook(NamedTuple):
    """What a first look at the cells settles: (g, rows + 2, columns of the grid in use).

    `state` LIT, DARK or OPEN; `quarters` of the sky that the cell reaches into, a bit for each.
    """

    first: int
    state: NDArray[np.int8]
    quarters: NDArray[np.int8]
    values: tuple[GridValues | None, ...]

    @classmethod
    def of(cls, grid: SunGrid, panes: Panes) -> FirstLook:
        first, _ = grid.columns
        members = _quarters_of_cells(grid, panes)
        shape = members.shape[1:]
        lit, lightable = np.ones(shape, dtype=bool), np.zeros(shape, dtype=bool)
        values: list[GridValues | None] = []
        for number, member in enumerate(members):
            columns = np.flatnonzero(member.any(axis=(0, 1)))
            if len(columns) == 0:
                values.append(None)
                continue
            begin, end = int(columns[0]), int(columns[-1]) + 1
            of_quarter = GridValues.of(grid, panes.forms[number], first + begin, first + end)
            inside = member[:, :, begin:end]
            sure, possible = _settle(grid, of_quarter, first + begin, first + end)
            lit[:, :, begin:end] &= sure | ~inside
            lightable[:, :, begin:end] |= possible & inside
            values.append(of_quarter)
        state = np.where(lightable, np.where(lit, LIT, OPEN), DARK).astype(np.int8)
        bits = np.array([1, 2, 4, 8], dtype=np.int8)[:, None, None, None]
        quarters = np.bitwise_or.reduce(members * bits, axis=0)
        return cls(first, state, quarters, tuple(values))


def _quarters_of_cells(grid: SunGrid, panes: Panes) -> Bools:
    """Which quarters of the sky before each glass a cell may reach into: (4, g, rows + 2,
    columns).
    """
    first, last = grid.columns
    components = grid.components[:3, :, first : last + 1]
    lines, width = components.shape[1:]
    axes = panes.axes.transpose(1, 0, 2).reshape(-1, 3).astype(np.float32)
    flat = np.empty((len(axes), lines * width), dtype=np.float32)
    multiply(axes, components.reshape(3, -1), flat)
    flat = flat.reshape(3, -1, lines * width)
    low, high = (
        over_corners(pick, flat, width).reshape(3, -1, lines - 1, width)[..., :-1]
        for pick in (np.minimum, np.maximum)
    )
    slack = grid.slack[0][:, first:last]
    front = high[2] > -slack
    sides = high[0] >= -slack, low[0] < slack
    levels = (high[1] > -slack) & front, (low[1] <= slack) & front
    return np.stack([sides[number % 2] & levels[number // 2] for number in range(4)])


def _settle(grid: SunGrid, of_quarter: GridValues, first: int, last: int) -> tuple[Bools, Bools]:
    """Whether each cell is lit for sure by the conditions of a quarter, and whether it may be."""
    columns = slice(first - of_quarter.column, last - of_quarter.column)
    slack = [of_degree[:, first:last] for of_degree in grid.slack]
    sure: dict[int, Bools] = {}
    possible: dict[int, Bools] = {}
    # One form after the other, so that what is worked on stays small.
    for form in of_quarter.forms.needed:
        degree = of_quarter.forms.degrees[form]
        low, high = of_quarter.extremes(form)
        sure[form] = low[..., columns] > slack[degree]
        possible[form] = high[..., columns] > -slack[degree]
    shape = (of_quarter.values.shape[1], of_quarter.values.shape[2] - 1, last - first)
    return of_quarter.forms.lit(sure, shape), of_quarter.forms.lit(possible, shape)
