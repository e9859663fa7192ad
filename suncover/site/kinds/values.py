"""The kinds of value in a site file: numbers within limits, lengths, dates, times, names.

Each kind is a small annotation for a pydantic field. Numbers and words are held to their limits by
pydantic's own constraints; `kind.in_words` puts what pydantic finds into words. Numbers are never
read from text (but for lengths, which may carry their unit), and true or false is never a number.
"""

from __future__ import annotations

import math
import re
import unicodedata
from datetime import date, datetime, time
from itertools import pairwise
from typing import Annotated, Any, Literal, NamedTuple

from pydantic import AfterValidator, GetCoreSchemaHandler, GetJsonSchemaHandler
from pydantic_core import CoreSchema, core_schema

from suncover.base.clock import FIRST_DATE, LAST_DATE
from suncover.site.kinds.clock_words import meant_time
from suncover.site.kinds.coordinates import parse_coordinate
from suncover.site.kinds.durations import DURATION_PATTERN, SECONDS_OF, duration_in
from suncover.site.kinds.kind import Kind, fault, read_value, shown
from suncover.site.kinds.lengths import LENGTH_PATTERN, parse_length

LONGEST_NAME = 100
# Bounds of our own: what is thinner or farther is a slip of the pen, and sums would lose digits.
SMALLEST_M = 0.001
FARTHEST_M = 100_000.0
_DATE = "([0-9]{4})-([0-9]{2})-([0-9]{2})"


_MONTHS = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)


def no_such_day(value: object) -> str | None:
    """What is wrong with a date such as `2026-02-30`; None where it is no such text at all."""
    match = re.fullmatch(_DATE, str(value).strip())
    if match is None:
        return None
    year, month, day = map(int, match.groups())
    if not 1 <= month <= 12:
        return f"{match[0]}: there is no month {match[2]}; a date is year-month-day"
    try:
        date(year, month, day)
    except ValueError:
        return f"{match[0]}: {_MONTHS[month - 1]} {year} has no such day"
    return None


class MonthDay(NamedTuple):
    """A day of every year."""

    month: int
    day: int

    def __str__(self) -> str:
        return f"{self.month:02d}-{self.day:02d}"


class Quantity(NamedTuple):
    """A finite number from `low` to `high`; `over` means that `low` itself is not allowed.

    With `length` it is in metres, and text with a unit is read too; so it is where `unit` is one of
    time. Otherwise `unit` only serves messages.
    """

    low: float = -math.inf
    high: float = math.inf
    over: bool = False
    length: bool = False
    unit: str = ""

    def __get_pydantic_core_schema__(
        self, _source: object, _handler: GetCoreSchemaHandler
    ) -> CoreSchema:
        # Written out: to sum it up from separate marks takes pydantic several times as long.
        number = core_schema.float_schema(
            strict=True,
            allow_inf_nan=False,
            gt=self.low if self.over else None,
            ge=self.low if self.low > -math.inf and not self.over else None,
            le=self.high if self.high < math.inf else None,
        )
        if not self.length and self.unit not in SECONDS_OF:
            return number
        pattern = LENGTH_PATTERN if self.length else DURATION_PATTERN
        return core_schema.no_info_before_validator_function(
            self._number,
            number,
            json_schema_input_schema=core_schema.union_schema(
                [number, core_schema.str_schema(pattern=pattern)]
            ),
        )

    def _number(self, value: Any) -> Any:
        if not isinstance(value, str):
            return value
        try:
            return parse_length(value) if self.length else duration_in(value, self.unit)
        except ValueError as error:
            raise fault(str(error)) from None

    @property
    def unit_text(self) -> str:
        """The unit as it stands behind a number, with a blank before it; empty without one."""
        return " m" if self.length else f" {self.unit}" if self.unit else ""

    def wanted(self, number: float) -> str:
        """The limits that a number breaks: `between 0 and 360`, `above 0 m`, `0 m or more`."""
        low, high = _number_text(self.low), _number_text(self.high)
        one_sided = self.length and self.low >= 0  # the far bound is no news
        if self.high < math.inf and not one_sided:
            span = f"above {low} and at most" if self.over else f"between {low} and"
            return f"{span} {high}{self.unit_text}"
        if number > self.high:
            return f"at most {high}{self.unit_text}"
        return f"above {low}{self.unit_text}" if self.over else f"{low}{self.unit_text} or more"


def _number_text(number: float) -> str:
    text = f"{number:.10g}"
    return f"{number:.6f}".rstrip("0") if "e-" in text else text


def coordinate(axis: Literal["latitude", "longitude"]) -> Kind:
    """Degrees of `latitude` or `longitude`, or text with a letter: `"30.03 S"`."""
    most, letter = (90, "[NnSs]") if axis == "latitude" else (180, "[EeWw]")
    number = Annotated[float, Quantity(-most, most)]

    def read(value: Any) -> float:
        if isinstance(value, str):
            try:
                value = parse_coordinate(value, axis)
            except ValueError as wrong:
                raise fault(f"{shown(value)}: {wrong}") from None
        return float(read_value(number, value))

    text = {"type": "string", "pattern": letter}
    return Kind(read, {"anyOf": [number_schema(-most, most), text]})


def span(low: float = -math.inf, high: float = math.inf, unit: str = "") -> Kind:
    """One number, or a low and a high one where it is not known better: read as (low, high)."""
    number = Annotated[float, Quantity(low, high, unit=unit)]

    def read(value: Any) -> tuple[float, float]:
        if not isinstance(value, (list, tuple)):
            only = read_value(number, value)
            return only, only
        if len(value) != 2:
            raise fault("this should be one number, or a low and a high one: [0.15, 0.20]")
        first, last = (read_value(number, part) for part in value)
        if first > last:
            raise fault(f"the low number, {first:g}, is above the high one, {last:g}; swap them")
        return first, last

    single = number_schema(low, high)
    pair = {"type": "array", "items": single, "minItems": 2, "maxItems": 2}
    return Kind(read, {"anyOf": [single, pair]})


def number_schema(low: float, high: float) -> dict[str, Any]:
    """The JSON Schema of a number between limits."""
    limits = {"minimum": low, "maximum": high}
    return {"type": "number", **{key: n for key, n in limits.items() if math.isfinite(n)}}


class WholeNumber(NamedTuple):
    """A whole number from `low` to `high`."""

    low: int
    high: int = 10**6

    def __get_pydantic_core_schema__(
        self, _source: object, _handler: GetCoreSchemaHandler
    ) -> CoreSchema:
        return core_schema.int_schema(strict=True, ge=self.low, le=self.high)

    def wanted(self, number: float) -> str:
        """The limit that a number breaks."""
        return f"{self.low} or more" if number < self.low else f"at most {self.high}"


def _one_line(text: str) -> str:
    if not text.strip():
        raise fault("this is empty; give it a text")
    if text != text.strip():
        raise fault(f"{shown(text)} has a blank at an end; take it away")
    if any(unicodedata.category(character) in ("Cc", "Zl", "Zp") for character in text):
        raise fault(f"{shown(text)} has a line break or another control character in it")
    return text


def day_of_year(value: Any) -> MonthDay:
    """A month and day written `"MM-DD"`; 02-29 is one, 02-30 is not."""
    if isinstance(value, date):
        raise fault(f'{shown(value)} has a year; write month and day, "{value:%m-%d}"')
    if isinstance(value, (list, tuple)) and len(value) == 2:
        month, day = value
    else:
        match = re.fullmatch("([0-9]{2})-([0-9]{2})", value) if isinstance(value, str) else None
        if match is None:
            raise fault(f'{shown(value)} is not a month and day such as "04-15"')
        month, day = int(match[1]), int(match[2])
    try:
        date(2000, month, day)  # a leap year, so 02-29 passes
    except (ValueError, TypeError, OverflowError):
        raise fault(f"{shown(value)} is not a day of the year (month-day)") from None
    return MonthDay(month, day)


def calendar_date(first: int = FIRST_DATE.year, last: int = LAST_DATE.year) -> Kind:
    """A date written `"YYYY-MM-DD"` or as a TOML local date, of a year within limits."""

    def read(value: Any) -> date:
        if isinstance(value, date) and not isinstance(value, datetime):
            day = value
        else:
            try:
                if not isinstance(value, str) or not re.fullmatch(_DATE, value):
                    raise ValueError
                day = date.fromisoformat(value)
            except ValueError:
                raise fault(
                    no_such_day(value) or f'{shown(value)} is not a date such as "2027-07-10"'
                ) from None
        if not first <= day.year <= last:
            raise fault(f"{shown(value)} is too far off; give a year from {first} to {last}")
        return day

    return Kind(read, {"type": "string", "format": "date"}, str)


def _clock_time(value: Any) -> time:
    """A local time of day written `"HH:MM"` (seconds may follow) or as a TOML local time."""
    if isinstance(value, time) and value.tzinfo is None:
        return value
    match = (
        re.fullmatch("([0-9]{2}):([0-9]{2})(?::([0-9]{2}))?", value)
        if isinstance(value, str)
        else None
    )
    if match is None:
        if isinstance(value, str) and (meant := meant_time(value)):
            raise fault(f'{shown(value)} is not a time of day as it is read here; write "{meant}"')
        raise fault(f'{shown(value)} is not a time of day such as "21:30"')
    try:
        return time(int(match[1]), int(match[2]), int(match[3] or 0))
    except ValueError:
        hint = ' (midnight is "00:00")' if match[1] == "24" else ""
        raise fault(f"{shown(value)} is not between 00:00 and 23:59{hint}") from None


def each_once(words: tuple[str, ...]) -> tuple[str, ...]:
    """The words of a list, none of which may stand in it twice."""
    for number, word in enumerate(words):
        if word in words[:number]:
            raise fault(f"{shown(word)} is named twice; name it once")
    return words


def _ascending_to_full(stops: tuple[int, ...]) -> tuple[int, ...]:
    for before, stop in pairwise(stops):
        if stop <= before:
            raise fault(f"the stops must ascend, but {stop} follows {before}")
    if stops[-1] != 100:
        raise fault("the last stop must be 100, fully closed, which some needs ask for")
    return stops


class _Text(NamedTuple):
    """Annotation of a text on one line, without blanks at its ends, of at most `most` letters."""

    most: int

    def __get_pydantic_core_schema__(
        self, _source: object, _handler: GetCoreSchemaHandler
    ) -> CoreSchema:
        text = core_schema.str_schema(strict=True, min_length=1, max_length=self.most)
        return core_schema.no_info_after_validator_function(_one_line, text)

    def __get_pydantic_json_schema__(
        self, core: CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        return {**handler(core), "pattern": r"^\S"}


Share = Annotated[float, Quantity(0, 1)]
Azimuth = Annotated[float, Quantity(0, 360)]
Elevation = Annotated[float, Quantity(-90, 90)]
Minutes = Annotated[float, Quantity(0, 1440, unit="minutes")]
LONGEST_RUN_S = 3600
Seconds = Annotated[float, Quantity(0, LONGEST_RUN_S, unit="seconds")]
AnyLength = Annotated[float, Quantity(-FARTHEST_M, FARTHEST_M, length=True)]
LengthFromZero = Annotated[float, Quantity(0, FARTHEST_M, length=True)]
LengthAboveZero = Annotated[float, Quantity(SMALLEST_M, FARTHEST_M, length=True)]
Name = Annotated[str, _Text(LONGEST_NAME)]
FileName = Annotated[str, _Text(1000)]
YearDay = Annotated[
    MonthDay,
    Kind(
        day_of_year,
        {"type": "string", "pattern": "^(0[1-9]|1[0-2])-(0[1-9]|[12][0-9]|3[01])$"},
        str,
    ),
]
DayTime = Annotated[
    time,
    Kind(
        _clock_time,
        {"type": "string", "pattern": "^([01][0-9]|2[0-3]):[0-5][0-9](:[0-5][0-9])?$"},
    ),
]


class _List(NamedTuple):
    """Annotation of a tuple: refuses what is no list of `members`, or of too few or many."""

    members: str
    at_least: int
    at_most: int | None

    def check(self, value: Any) -> Any:
        if not isinstance(value, (list, tuple)):
            raise fault(f"{shown(value)} is not a list of {self.members}")
        if len(value) < self.at_least or (self.at_most is not None and len(value) > self.at_most):
            size = f"{len(value)} members" if len(value) != 1 else "1 member"
            raise fault(f"this list has {size}; it should be a list of {self.members}")
        return value

    def __get_pydantic_core_schema__(
        self, source: Any, handler: GetCoreSchemaHandler
    ) -> CoreSchema:
        return core_schema.no_info_before_validator_function(self.check, handler(source))

    def __get_pydantic_json_schema__(
        self, core: CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        schema = handler(core)
        if self.at_least:
            schema["minItems"] = self.at_least
        if self.at_most is not None:
            schema["maxItems"] = self.at_most
        return schema


def listed(members: str, count: int | None = None, *, at_least: int = 0) -> _List:
    """Annotation of a tuple that is a list of `members`: `count` of them, or so many at least."""
    return _List(members, at_least if count is None else count, count)


Point = Annotated[tuple[AnyLength, AnyLength], listed("two lengths: east, north", 2)]
Season = Annotated[
    tuple[YearDay, YearDay], listed('two month-days, first and last: ["04-15", "10-15"]', 2)
]
Stops = Annotated[
    tuple[Annotated[int, WholeNumber(1, 100)], ...],
    listed("positions in per cent, such as [50, 75, 100]", at_least=1),
    AfterValidator(_ascending_to_full),
]
"""Positions of a shade in whole per cent, from the highest stop down to 100, fully closed."""
