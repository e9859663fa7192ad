"""The kinds of value in a site file: numbers within limits, lengths, dates, times, names.

Each kind is a small annotation for a pydantic field. It reads one value, refuses it with a sentence
that says what would be right, and gives its own JSON Schema. Numbers are never read from text (but
for lengths, which may carry their unit), and true or false is never a number.
"""

from __future__ import annotations

import math
import re
import unicodedata
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime, time
from numbers import Real
from typing import Annotated, Any, Literal, NamedTuple

from pydantic import GetCoreSchemaHandler, GetJsonSchemaHandler
from pydantic_core import CoreSchema, core_schema

from suncover.base.clock import FIRST_DATE, LAST_DATE, YEARS
from suncover.site.kinds.clock_words import meant_time
from suncover.site.kinds.coordinates import parse_coordinate
from suncover.site.kinds.durations import DURATION_PATTERN, SECONDS_OF, duration_in
from suncover.site.kinds.kind import Kind, fault, shown
from suncover.site.kinds.lengths import LENGTH_PATTERN, parse_length

LONGEST_NAME = 100
# Bounds of our own: what is thinner or farther is a slip of the pen, and sums would lose digits.
SMALLEST_M = 0.001
FARTHEST_M = 100_000.0


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
    match = re.fullmatch("([0-9]{4})-([0-9]{2})-([0-9]{2})", str(value).strip())
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


@dataclass(frozen=True, slots=True)
class Quantity(Kind):
    """A finite number from `low` to `high`; `over` means that `low` itself is not allowed.

    With `length` it is in metres, and text with a unit is read too; so it is where `unit` is one of
    time. Otherwise `unit` only serves messages.
    """

    low: float = -math.inf
    high: float = math.inf
    over: bool = False
    length: bool = False
    unit: str = ""

    def read(self, value: Any) -> float:
        number = self._number(value)
        if not math.isfinite(number):
            raise fault(f"{shown(value)} is not a finite number")
        if number < self.low or number > self.high or (self.over and number == self.low):
            raise fault(f"{shown(value)} is not {self._wanted(number)}")
        return number

    def _number(self, value: Any) -> float:
        if isinstance(value, str) and self.length:
            try:
                return parse_length(value)
            except ValueError as error:
                raise fault(str(error)) from None
        if isinstance(value, str) and self.unit in SECONDS_OF:
            try:
                return duration_in(value, self.unit)
            except ValueError as error:
                raise fault(str(error)) from None
        if isinstance(value, bool) or not isinstance(value, Real):
            wanted = f"a number of {self.unit}" if self.unit else "a number"
            if isinstance(value, str):
                raise fault(f"{shown(value)} is text; it should be {wanted}, without quotes")
            raise fault(f"{shown(value)} is not {wanted}")
        try:
            return float(value)
        except OverflowError:
            raise fault(f"{shown(value)} is too large") from None

    def _wanted(self, number: float) -> str:
        """The limits that a number breaks: `between 0 and 360`, `above 0 m`, `0 m or more`."""
        low, high = f"{self.low:g}", f"{self.high:.10g}"
        unit = " m" if self.length else f" {self.unit}" if self.unit else ""
        one_sided = self.length and self.low >= 0  # the far bound is no news
        if self.high < math.inf and not one_sided:
            return f"between {low} and {high}{unit}"
        if number > self.high:
            return f"at most {high}{unit}"
        return f"above {low}{unit}" if self.over else f"{low}{unit} or more"

    def schema(self) -> dict[str, Any]:
        number: dict[str, Any] = {"type": "number"}
        if self.low > -math.inf:
            number["exclusiveMinimum" if self.over else "minimum"] = self.low
        if self.high < math.inf:
            number["maximum"] = self.high
        if self.length:
            return {"anyOf": [number, {"type": "string", "pattern": LENGTH_PATTERN}]}
        if self.unit in SECONDS_OF:
            return {"anyOf": [number, {"type": "string", "pattern": DURATION_PATTERN}]}
        return number


@dataclass(frozen=True, slots=True)
class Coordinate(Kind):
    """Degrees of `latitude` or `longitude`, or text with a letter: `"30.03 S"`."""

    axis: Literal["latitude", "longitude"]

    def read(self, value: Any) -> float:
        if isinstance(value, str):
            try:
                value = parse_coordinate(value, self.axis)
            except ValueError as wrong:
                raise fault(f"{shown(value)}: {wrong}") from None
        return self._number.read(value)

    @property
    def _number(self) -> Quantity:
        most = 90 if self.axis == "latitude" else 180
        return Quantity(-most, most)

    def schema(self) -> dict[str, Any]:
        letter = "[NnSs]" if self.axis == "latitude" else "[EeWw]"
        return {"anyOf": [self._number.schema(), {"type": "string", "pattern": letter}]}


@dataclass(frozen=True, slots=True)
class Span(Kind):
    """One number, or a low and a high one where it is not known better: read as (low, high)."""

    low: float = -math.inf
    high: float = math.inf
    over: bool = False
    unit: str = ""

    def read(self, value: Any) -> tuple[float, float]:
        number = Quantity(self.low, self.high, self.over, unit=self.unit)
        if not isinstance(value, (list, tuple)):
            only = number.read(value)
            return only, only
        if len(value) != 2:
            raise fault("this should be one number, or a low and a high one: [0.15, 0.20]")
        first, last = (number.read(part) for part in value)
        if first > last:
            raise fault(f"the low number, {first:g}, is above the high one, {last:g}; swap them")
        return first, last

    def schema(self) -> dict[str, Any]:
        number = Quantity(self.low, self.high, self.over).schema()
        return {"anyOf": [number, {"type": "array", "items": number, "minItems": 2, "maxItems": 2}]}


@dataclass(frozen=True, slots=True)
class WholeNumber(Kind):
    """A whole number, `low` or more."""

    low: int
    why: str = ""

    def read(self, value: Any) -> int:
        if isinstance(value, bool) or not isinstance(value, int):
            raise fault(f"{shown(value)} is not a whole number")
        if value < self.low:
            raise fault(f"{shown(value)} is less than {self.low}{self.why}")
        if value > 10**6:
            raise fault(f"{shown(value)} is too large; leave the key out for no limit")
        return value

    def schema(self) -> dict[str, Any]:
        return {"type": "integer", "minimum": self.low, "maximum": 10**6}


@dataclass(frozen=True, slots=True)
class Named(Kind):
    """A name or another short text: not empty, one line, no blanks at its ends."""

    longest: int = LONGEST_NAME

    def read(self, value: Any) -> str:
        if not isinstance(value, str):
            raise fault(f"{shown(value)} is not text; write it in quotes")
        if not value.strip():
            raise fault("this is empty; give it a text")
        if value != value.strip():
            raise fault(f"{shown(value)} has a blank at an end; take it away")
        if len(value) > self.longest:
            raise fault(f"{shown(value)} is longer than {self.longest} characters")
        if any(unicodedata.category(character) in ("Cc", "Zl", "Zp") for character in value):
            raise fault(f"{shown(value)} has a line break or another control character in it")
        return value

    def schema(self) -> dict[str, Any]:
        return {"type": "string", "minLength": 1, "maxLength": self.longest, "pattern": r"^\S"}


@dataclass(frozen=True, slots=True)
class DayOfYear(Kind):
    """A month and day written `"MM-DD"`; 02-29 is one, 02-30 is not."""

    def read(self, value: Any) -> MonthDay:
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

    def write(self) -> Callable[[Any], Any] | None:
        return str

    def schema(self) -> dict[str, Any]:
        return {"type": "string", "pattern": "^(0[1-9]|1[0-2])-(0[1-9]|[12][0-9]|3[01])$"}


@dataclass(frozen=True, slots=True)
class CalendarDate(Kind):
    """A date written `"YYYY-MM-DD"` or as a TOML local date."""

    def read(self, value: Any) -> date:
        if isinstance(value, date) and not isinstance(value, datetime):
            found = value
        else:
            form = r"[0-9]{4}-[0-9]{2}-[0-9]{2}"
            try:
                if not isinstance(value, str) or not re.fullmatch(form, value):
                    raise ValueError
                found = date.fromisoformat(value)
            except ValueError:
                raise fault(
                    no_such_day(value) or f'{shown(value)} is not a date such as "2027-07-10"'
                ) from None
        if not FIRST_DATE <= found <= LAST_DATE:
            raise fault(f"{shown(value)} is too far off; give a year from {YEARS}")
        return found

    def write(self) -> Callable[[Any], Any] | None:
        return str

    def schema(self) -> dict[str, Any]:
        return {"type": "string", "format": "date"}


@dataclass(frozen=True, slots=True)
class ClockTime(Kind):
    """A local time of day written `"HH:MM"` (seconds may follow) or as a TOML local time."""

    def read(self, value: Any) -> time:
        if isinstance(value, time) and value.tzinfo is None:
            return value
        match = (
            re.fullmatch("([0-9]{2}):([0-9]{2})(?::([0-9]{2}))?", value)
            if isinstance(value, str)
            else None
        )
        if match is None:
            if isinstance(value, str) and (meant := meant_time(value)):
                raise fault(
                    f'{shown(value)} is not a time of day as it is read here; write "{meant}"'
                )
            raise fault(f'{shown(value)} is not a time of day such as "21:30"')
        try:
            return time(int(match[1]), int(match[2]), int(match[3] or 0))
        except ValueError:
            hint = ' (midnight is "00:00")' if match[1] == "24" else ""
            raise fault(f"{shown(value)} is not between 00:00 and 23:59{hint}") from None

    def schema(self) -> dict[str, Any]:
        return {"type": "string", "pattern": "^([01][0-9]|2[0-3]):[0-5][0-9](:[0-5][0-9])?$"}


@dataclass(frozen=True, slots=True)
class WordList(Kind):
    """A list of one or more of certain words, each once."""

    words: tuple[str, ...]

    def read(self, value: Any) -> tuple[str, ...]:
        known = ", ".join(f'"{word}"' for word in self.words)
        if isinstance(value, str):
            raise fault(f"{shown(value)} is no list; write it in brackets: [{shown(value)}]")
        if not isinstance(value, (list, tuple)) or not value:
            raise fault(f"this should be a list of one or more of {known}")
        for number, word in enumerate(value):
            if not isinstance(word, str) or word not in self.words:
                raise fault(f"{shown(word)} is none of {known}")
            if word in value[:number]:
                raise fault(f"{shown(word)} is named twice; name it once")
        return tuple(value)

    def schema(self) -> dict[str, Any]:
        words = {"enum": list(self.words)}
        return {"type": "array", "items": words, "minItems": 1, "uniqueItems": True}


@dataclass(frozen=True, slots=True)
class Stops(Kind):
    """Positions of a shade in whole per cent, from the highest stop down to 100, fully closed."""

    def read(self, value: Any) -> tuple[int, ...]:
        if not isinstance(value, (list, tuple)) or not value:
            raise fault("this should be a list of positions in per cent, such as [50, 75, 100]")
        stops: list[int] = []
        for stop in value:
            if isinstance(stop, bool) or not isinstance(stop, int) or not 1 <= stop <= 100:
                raise fault(f"{shown(stop)} is not a whole number from 1 to 100, per cent closed")
            if stops and stop <= stops[-1]:
                raise fault(f"the stops must ascend, but {stop} follows {stops[-1]}")
            stops.append(stop)
        if stops[-1] != 100:
            raise fault("the last stop must be 100, fully closed, which some needs ask for")
        return tuple(stops)

    def schema(self) -> dict[str, Any]:
        stop = {"type": "integer", "minimum": 1, "maximum": 100}
        return {"type": "array", "items": stop, "minItems": 1, "uniqueItems": True}


Share = Annotated[float, Quantity(0, 1)]
Azimuth = Annotated[float, Quantity(0, 360)]
Elevation = Annotated[float, Quantity(-90, 90)]
Minutes = Annotated[float, Quantity(0, 1440, unit="minutes")]
Seconds = Annotated[float, Quantity(0, 3600, unit="seconds")]
AnyLength = Annotated[float, Quantity(-FARTHEST_M, FARTHEST_M, length=True)]
LengthFromZero = Annotated[float, Quantity(0, FARTHEST_M, length=True)]
LengthAboveZero = Annotated[float, Quantity(SMALLEST_M, FARTHEST_M, length=True)]
Name = Annotated[str, Named()]
YearDay = Annotated[MonthDay, DayOfYear()]
DayTime = Annotated[time, ClockTime()]
FileName = Annotated[str, Named(longest=1000)]


@dataclass(frozen=True, slots=True)
class _List:
    """Annotation of a tuple: refuses what is no list of `what`, or of too few or many members."""

    what: str
    at_least: int
    at_most: int | None

    def check(self, value: Any) -> Any:
        if not isinstance(value, (list, tuple)):
            raise fault(f"{shown(value)} is not a list of {self.what}")
        if len(value) < self.at_least or (self.at_most is not None and len(value) > self.at_most):
            size = f"{len(value)} members" if len(value) != 1 else "1 member"
            if self.at_most is not None and self.at_least < self.at_most < len(value):
                raise fault(f"this list has {size}; at most {self.at_most} are allowed")
            raise fault(f"this list has {size}; it should be a list of {self.what}")
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


def listed(
    what: str, count: int | None = None, *, at_least: int = 0, at_most: int | None = None
) -> _List:
    """Annotation of a tuple that is a list of `what` in the file: of `count` members, or bounds."""
    return _List(what, at_least if count is None else count, at_most if count is None else count)


Point = Annotated[tuple[AnyLength, AnyLength], listed("two lengths: east, north", 2)]
Season = Annotated[
    tuple[YearDay, YearDay], listed('two month-days, first and last: ["04-15", "10-15"]', 2)
]
