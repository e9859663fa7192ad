"""Columns of numbers that people bring: arrays, pandas Series, single numbers, of one length.

    Series, arrays, numbers ──> Columns.of ──> plain arrays of one shape ──> … ──> Columns.answer

An answer is a Series or a DataFrame with the caller's index where any of them had one. pandas is
not imported for plain numbers.
"""

from __future__ import annotations

import sys
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from suncover.base.errors import RequestError

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class WithIndex:
    """The caller's pandas `index`; None for plain arrays."""

    index: Any = field(default=None, kw_only=True)

    def series(self, values: NDArray[Any], name: str) -> Any:
        """An answer of the same shape: a Series with the caller's index, or else the array."""
        if self.index is None:
            return values
        import pandas as pd

        return pd.Series(values, index=self.index, name=name)

    def table(self, columns: Mapping[str, NDArray[Any]]) -> Any:
        """Several answers as a DataFrame; only where there is an index."""
        import pandas as pd

        return pd.DataFrame(dict(columns), index=self.index)


@dataclass(frozen=True)
class Columns(WithIndex):
    """Numbers by their names, arrays of one shape, and the caller's pandas index, if any."""

    values: dict[str, Floats]

    @classmethod
    def of(cls, **values: Any) -> Columns:
        """The numbers given, by the names of their arguments; those that are None are left out.

        Raises
        ------
        RequestError
            When one is no number, they do not fit together, or their indexes differ.
        """
        pandas = sys.modules.get("pandas")
        index, first = None, ""
        arrays: dict[str, Floats] = {}
        for name, argument in values.items():
            if argument is None:
                continue
            if pandas is not None and isinstance(argument, pandas.DataFrame):
                raise RequestError(f"{name} is a DataFrame; give one column of it")
            if pandas is not None and isinstance(argument, pandas.Series):
                if index is not None and not index.equals(argument.index):
                    raise RequestError(
                        f"{name} has another index than {first}; bring them to one, with .reindex"
                    )
                index, first = argument.index, first or name
            try:
                arrays[name] = np.asarray(argument, dtype=np.float64)
            except (TypeError, ValueError):
                kind = type(argument).__name__
                raise RequestError(f"{name} is {kind} and no number, array or Series") from None
        try:
            broadcast = np.broadcast_arrays(*arrays.values())
        except ValueError:
            shapes = ", ".join(f"{name} {array.shape}" for name, array in arrays.items())
            raise RequestError(f"these do not fit together: {shapes}") from None
        if index is not None and broadcast[0].shape != (len(index),):
            raise RequestError(f"{first} has {len(index)} rows; others have another shape")
        return cls(dict(zip(arrays, broadcast, strict=True)), index=index)

    def __getitem__(self, name: str) -> Floats:
        return self.values[name]
