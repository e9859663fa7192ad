"""Columns that several frames have: times, dates, and lengths of time in minutes."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, Any
from zoneinfo import ZoneInfo

import numpy as np

if TYPE_CHECKING:
    import pandas as pd


def times(seconds: Iterable[float] | Any, zone: ZoneInfo) -> pd.DatetimeIndex:
    """Unix seconds, whole ones, as aware times of a zone, to the second."""
    import pandas as pd

    instants = np.asarray(list(seconds) if not isinstance(seconds, np.ndarray) else seconds)
    stamps = instants.astype(np.int64).astype("datetime64[s]")
    return pd.DatetimeIndex(stamps).tz_localize("UTC").tz_convert(zone)


def minutes(seconds: Iterable[float] | Any) -> np.ndarray[Any, np.dtype[np.float64]]:
    """Seconds as minutes."""
    length = list(seconds) if not isinstance(seconds, np.ndarray) else seconds
    return np.asarray(length, dtype=np.float64) / 60.0
