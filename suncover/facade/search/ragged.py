"""Groups of different sizes laid one after the other in one array."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Ints = NDArray[np.int64]


def members(count: Ints) -> tuple[Ints, Ints]:
    """For groups of `count` (n,) members: of each member its group, and its number in it, from 0;
    (count.sum(),) each.
    """
    group = np.repeat(np.arange(len(count)), count)
    return group, np.arange(len(group)) - (np.cumsum(count) - count)[group]
