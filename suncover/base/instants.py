"""Instants in every form that people have them, as unix seconds; and answers in the form they came.

A pandas DatetimeIndex or Series of any unit, numpy's datetime64 of any unit (defined as UTC), aware
datetimes, sequences of any of these, and numbers, which are unix seconds:

    what is given ──> instants_of ──> Instants.seconds ──> … ──> Instants.series, Instants.table

pandas is not imported for that: whoever hands over an index has done so.
"""

from __future__ import annotations

import sys
from dataclasses import dataclass
from datetime import UTC, date, datetime
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from suncover.base.errors import RequestError
from suncover.base.indexed import WithIndex
from suncover.base.years import END_SECOND, FIRST_SECOND, FIRST_YEAR, LAST_YEAR

if TYPE_CHECKING:
    from collections.abc import Sequence

    import pandas as pd

    Indexed = pd.DatetimeIndex | pd.Series[Any]
    Times = ArrayLike | datetime | Sequence[datetime]

Floats = NDArray[np.float64]

_BESIDE = 366 * 86_400.0
_SURE = 1e8  # nearer to 1970 than about three years, a unit is only a guess
# Units in which instants are counted elsewhere, by how many of them make a second.
_FINER = {"milliseconds": 1e3, "microseconds": 1e6, "nanoseconds": 1e9}
_FINEST = {"ps": 1e12, "fs": 1e15, "as": 1e18}
_KINDS = (
    "give a pandas DatetimeIndex with a time zone, numpy datetime64 (UTC), aware datetimes, or "
    "unix seconds"
)


@dataclass(frozen=True)
class Instants(WithIndex):
    """Instants as unix seconds, UTC, in the shape in which they were given."""

    seconds: Floats

    @property
    def shape(self) -> tuple[int, ...]:
        """The shape in which the instants were given; () for a single one."""
        return self.seconds.shape

    def series(self, values: NDArray[Any], name: str) -> Any:
        """An answer for each instant: a Series with the caller's index, or else an array."""
        return super().series(values.reshape(self.shape), name)


def instants_of(times: Any) -> Instants:
    """Instants in any form as unix seconds.

    A DatetimeIndex or Series of times must have a time zone; datetime64 without pandas is UTC.
    Numbers are unix seconds.

    Raises
    ------
    RequestError
        When times have no zone, are missing, lie outside 1900 to 2199, or are of another kind
        (text, dates, periods). It says what would be right.
    """
    if type(times) is np.ndarray and times.dtype == np.float64:
        return Instants(_in_range(times))
    pandas = sys.modules.get("pandas")
    if pandas is not None:
        if isinstance(times, pandas.DataFrame):
            raise RequestError("a DataFrame is no list of instants; give its index")
        if isinstance(times, (pandas.Index, pandas.Series)):
            index = times if isinstance(times, pandas.Index) else times.index
            return Instants(_of_pandas(times, pandas), index=index)
        if isinstance(times, pandas.api.extensions.ExtensionArray):
            return Instants(_of_pandas(pandas.Series(times), pandas))
    if np.ma.isMaskedArray(times) and np.ma.getmaskarray(times).any():
        raise RequestError("some of the instants are masked; leave those out")
    try:
        values = np.asarray(times)
    except ValueError:
        raise RequestError(f"these instants have no one shape; {_KINDS}") from None
    return Instants(_of_array(values))


def seconds_of(times: Any) -> Floats:
    """Only the unix seconds of `instants_of`, in its shape."""
    return instants_of(times).seconds


def second_of(time: Any) -> float:
    """One instant in any form, as unix seconds.

    Raises
    ------
    RequestError
        As `instants_of`; and when it is more than one.
    """
    seconds = instants_of(time).seconds
    if seconds.size != 1:
        raise RequestError(f"{seconds.size} instants stand where one is asked for")
    return float(seconds.reshape(()))


def span_of(start: Any, end: Any) -> tuple[float, float]:
    """Two instants in any form, as unix seconds. Numbers may lie up to a year outside 1900 to 2199,
    for the days to either side that a calculation looks at.

    Raises
    ------
    RequestError
        As `second_of`; and when the end comes before the start.
    """
    first, last = (
        float(time)
        if isinstance(time, (int, float)) and FIRST_SECOND - _BESIDE <= time < END_SECOND + _BESIDE
        else second_of(time)
        for time in (start, end)
    )
    if last < first:
        raise RequestError("the end comes before the start; swap them")
    return first, last


def _of_pandas(times: Any, pandas: Any) -> Floats:
    """The seconds of an Index or a Series."""
    kind = times.dtype.kind
    if kind == "M":
        index = pandas.DatetimeIndex(times)
        if index.tz is None:
            raise RequestError(
                "these times have no time zone; say which clocks they are of, with "
                '.tz_localize("Europe/Paris") or the like ("UTC" if they are UTC)'
            )
        return _of_datetime64(index.tz_convert(None).to_numpy())
    if kind in "iuf":
        if isinstance(getattr(times, "index", None), pandas.DatetimeIndex):
            raise RequestError("these are numbers that have times as their index; give that index")
        return _of_array(times.to_numpy(np.float64, na_value=np.nan))
    return _of_array(times.to_numpy())


def _of_array(values: NDArray[Any]) -> Floats:
    kind = values.dtype.kind
    if kind in "iuf":
        return _in_range(values.astype(np.float64))
    if kind == "M":
        return _of_datetime64(values)
    if kind == "O":
        seconds = [_of_object(value) for value in values.ravel()]
        return _in_range(np.array(seconds, dtype=np.float64).reshape(values.shape))
    if values.size == 0:
        return np.zeros(values.shape)
    raise RequestError(_not_an_instant(values.ravel()[0]))


def _of_datetime64(values: NDArray[Any]) -> Floats:
    """Seconds of numpy's times of any unit, such as days or quarters of an hour."""
    missing = np.isnat(values)
    if missing.any():
        raise RequestError(f"{_place_of(missing)} is missing (NaT); leave such times out")
    unit, count = np.datetime_data(values.dtype)
    if unit in _FINEST:  # all that these can hold is near 1970
        return np.asarray(values.astype(np.int64) * (count / _FINEST[unit]))
    # Coarser never overflows, and years show whether whole seconds will not.
    year = values.astype("datetime64[Y]").astype(np.int64) + 1970
    outside = (year < FIRST_YEAR) | (year > LAST_YEAR)
    if outside.any():
        time = values.ravel()[int(np.argmax(outside))]
        raise RequestError(f"{time} is outside {FIRST_YEAR} to {LAST_YEAR}{_if_slipped(time)}")
    seconds = values.astype("datetime64[s]")
    part = (values - seconds) / np.timedelta64(1, "s")
    return np.asarray(seconds.astype(np.int64) + part, dtype=np.float64)


def _if_slipped(value: np.datetime64) -> str:
    """A hint where numbers of a finer unit were probably read in this one."""
    unit = np.datetime_data(value.dtype)[0]
    return "; were the numbers of a finer unit than that?" if unit in ("s", "ms", "us") else ""


def _of_object(value: Any) -> float:
    if isinstance(value, np.datetime64):
        return float(_of_datetime64(np.asarray(value)))
    if isinstance(value, datetime):
        if value != value:  # noqa: PLR0124 - pandas' NaT is a datetime that is not itself
            raise RequestError("one of the times is missing (NaT); leave such times out")
        if value.utcoffset() is None:
            raise RequestError(
                f"{value.isoformat()} has no time zone; give it one, such as "
                'tzinfo=ZoneInfo("Europe/Paris") (UTC if it is UTC)'
            )
        return value.timestamp()
    if isinstance(value, (int, float, np.integer, np.floating)) and not isinstance(value, bool):
        return float(value)
    raise RequestError(_not_an_instant(value))


def _not_an_instant(value: Any) -> str:
    if isinstance(value, str):
        text = value[:40]
        return (
            f'"{text}" is text; read it first, with datetime.fromisoformat or '
            "pandas.to_datetime(…, utc=True)"
        )
    if isinstance(value, date):
        return (
            f"{value.isoformat()} is a date and no instant; dates_bounds gives the instants at "
            "which local days begin and end"
        )
    kind = type(value).__name__
    return f"{kind} is no kind of instant; {_KINDS}"


def _in_range(seconds: Floats) -> Floats:
    """The seconds, after a check that they lie within the known years."""
    if seconds.size == 0:
        return seconds
    low, high = seconds.min(), seconds.max()
    if low >= FIRST_SECOND and high < END_SECOND:
        return seconds
    missing = np.isnan(seconds)
    if missing.any():
        raise RequestError(f"{_place_of(missing)} is missing (nan); leave such instants out")
    value = float(low if low < FIRST_SECOND else high)
    raise RequestError(
        f"{value:.17g} is no instant of {FIRST_YEAR} to {LAST_YEAR} in unix seconds"
        f"{_likely_unit(value)}"
    )


def _likely_unit(value: float) -> str:
    for unit, count in _FINER.items():
        seconds = value / count
        if FIRST_SECOND <= seconds < END_SECOND and abs(seconds) > _SURE:
            day = datetime.fromtimestamp(seconds, UTC).date()
            return (
                f"; it looks like {unit} read as seconds, of {day}: divide by {count:.0f}, or give "
                "the times themselves"
            )
    return "; are they milliseconds, microseconds or nanoseconds?"


def _place_of(state: NDArray[np.bool_]) -> str:
    """The first that is true, as a person would say it."""
    if state.size == 1:
        return "the instant"
    return f"instant {int(np.argmax(state.ravel())) + 1} of {state.size}"
