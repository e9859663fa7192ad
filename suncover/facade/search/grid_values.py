"""The conditions of several glasses at all corners of the sun's grid, by one matrix product."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from suncover.facade.search.panes import SkyForms
from suncover.facade.search.sun_grid import COLUMNS, SunGrid

Singles = NDArray[np.float32]
Ints = NDArray[np.int64]
Cells = tuple[Ints, Ints, Ints]
"""Cells of a grid: glass, row, column."""

# Columns to either side of those in which a quarter of the sky is looked at: what begins there may
# run on into the next quarter.
BESIDE = 2
# Multiplications in a product of matrices up to which the usual libraries stay on one core: others
# have work of their own.
SMALL = 1 << 18


class GridValues(NamedTuple):
    """The forms of one quarter where lines and some columns, from `column` on, cross: (k, g, lines,
    width).
    """

    forms: SkyForms
    values: Singles
    column: int

    @classmethod
    def of(cls, grid: SunGrid, forms: SkyForms, first: int, last: int) -> GridValues:
        """Over the cells of columns from `first` up to `last`, and some more to either side."""
        left, right = max(first - BESIDE, 0), min(last + BESIDE, COLUMNS)
        components = grid.components[:, :, left : right + 1]
        lines, width = components.shape[1:]
        flat = components.reshape(9, -1)
        linear, products = forms.linear, forms.products
        count, glasses = len(forms.degrees), linear.shape[1]
        values = np.empty((count, glasses, lines * width), dtype=np.float32)
        for form, factors in enumerate(linear.astype(np.float32)):
            multiply(factors, flat[:3], values[form])
        for form, factors in enumerate(products.astype(np.float32), len(linear)):
            multiply(factors, flat[3:], values[form])
        return cls(forms, values.reshape(count, glasses, lines, width), left)

    def extremes(self, form: int) -> tuple[Singles, Singles]:
        """Least and greatest of a form at the corners of each cell: (g, lines - 1, width - 1)."""
        glasses, lines, width = self.values.shape[1:]
        flat = self.values[form].reshape(glasses, -1)
        low, high = (
            over_corners(pick, flat, width).reshape(glasses, lines - 1, width)[..., :-1]
            for pick in (np.minimum, np.maximum)
        )
        return low, high

    @property
    def last(self) -> int:
        """The last column."""
        return self.column + int(self.values.shape[3]) - 1

    def at(self, form: Ints, glass: Ints, line: Ints, column: Ints) -> Singles:
        """The value of each form (n,) of each glass where a line and a column cross: (n,)."""
        _, glasses, lines, width = self.values.shape
        place = ((form * glasses + glass) * lines + line) * width + column - self.column
        return np.asarray(self.values.reshape(-1).take(place))

    def corners(self, cells: Cells) -> list[Singles]:
        """At the corners of cells (glass, row, column), (k, n) each: on this line this column and
        the next, on the next line the same.
        """
        glass, row, column = cells
        _, _, lines, width = self.values.shape
        at = (glass * lines + row) * width + column - self.column
        flat = self.values.reshape(len(self.values), -1)
        return [flat.take(at + step, axis=1) for step in (0, 1, width, width + 1)]


def multiply(factors: Singles, flat: Singles, out: Singles) -> None:
    """The matrix product of (g, m) and (m, n), in pieces too small to be worth a second thread."""
    most = max(SMALL // flat.size, 1)
    for begin in range(0, len(factors), most):
        np.matmul(factors[begin : begin + most], flat, out=out[begin : begin + most])


def over_corners(pick: np.ufunc, flat: Singles, width: int) -> Singles:
    """`pick` over the corners of cells, along lines laid one after the other, of `width` each.

    The cell after each line's last is none; the last line's are left out.
    """
    pairs = np.empty_like(flat)
    pick(flat[..., :-1], flat[..., 1:], out=pairs[..., :-1])
    pairs[..., -1] = 0.0
    return np.asarray(pick(pairs[..., :-width], pairs[..., width:]))
