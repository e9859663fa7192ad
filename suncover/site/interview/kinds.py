"""The kinds of answer in an interview: how each is read, and what to ask about an unlikely one."""

from __future__ import annotations

import re
from collections.abc import Callable, Collection
from typing import Annotated, Any, TypeVar

from pydantic_core import PydanticCustomError

from suncover.site.aspect import AzimuthOrWords
from suncover.site.kinds.azimuth import (
    FARTHEST_WALL,
    ends_doubt,
    geodesic,
    wall_fault,
)
from suncover.site.kinds.clock_words import meant_time
from suncover.site.kinds.coordinates import parse_place
from suncover.site.kinds.durations import SECONDS_OF
from suncover.site.kinds.kind import read_value
from suncover.site.kinds.values import DayTime, Name, Quantity
from suncover.site.kinds.zones import clocks_doubt, place_doubt, zone_doubt, zone_fault
from suncover.site.rules.sizes import USUAL, size_doubt

Check = Callable[[str], object]
"""Reads an answer; raises ValueError with a sentence if it is wrong."""
Doubt = Callable[[str], "str | None"]
"""What to ask about an answer that may be right but is unlikely; None if nothing."""

Said = TypeVar("Said")


def no_doubt(_answer: str) -> None:
    """Asks nothing."""


def is_word(answer: str, word: str) -> bool:
    """Whether an answer is a word that stands for itself."""
    return answer.strip().casefold() == word


def unless_word(word: str, ask: Callable[[str], Said]) -> Callable[[str], Said | None]:
    """A check or a doubt that lets a word stand for itself."""
    return lambda answer: None if is_word(answer, word) else ask(answer)


def coordinates(text: str) -> tuple[float, float]:
    """Latitude and longitude of a text such as `47.38, 8.54` or `30.03 S, 51.22 W`.

    Raises
    ------
    ValueError
        When it is no such pair.
    """
    return parse_place(text)


def whereabouts(clocks: tuple[float, float] | None) -> Doubt:
    """What to ask about a place where nobody lives, or whose clocks are not those of the asker.

    `clocks` are hours ahead of UTC in the winters and summers where the asker is, if known.
    """

    def doubt(text: str) -> str | None:
        place = coordinates(text)
        return place_doubt(*place) or (clocks and clocks_doubt(*place, clocks)) or None

    return doubt


def zone_of(place: tuple[float, float]) -> Doubt:
    """What to ask about a zone that is not used at the place, but at one written alike."""

    def doubt(text: str) -> str | None:
        return zone_doubt(*place, text.strip())

    return doubt


def near_house(site: tuple[float, float]) -> Doubt:
    """What to ask about a point on a map that is far from the house."""

    def doubt(text: str) -> str | None:
        away = geodesic(coordinates(text), site)[0]
        if away <= FARTHEST_WALL:
            return None
        return (
            f"that is {away / 1000:.0f} km from the house; is a minus sign missing, or are "
            "latitude and longitude swapped?"
        )

    return doubt


def outside_of(first: tuple[float, float], site: tuple[float, float]) -> Doubt:
    """What to ask about the right end of a wall that has the house in front of it."""

    def doubt(text: str) -> str | None:
        return ends_doubt(first, coordinates(text), site)

    return doubt


def wall_end(first: tuple[float, float], site: tuple[float, float]) -> Check:
    """The right end of a wall whose left end is `first`, at a site."""

    def check(text: str) -> tuple[float, float]:
        second = coordinates(text)
        if wrong := wall_fault(first, second, site):
            raise ValueError(wrong)
        return second

    return check


def direction(text: str) -> tuple[str, float]:
    """The form and the degrees of an answer on direction: `azimuth`, `compass` or `wall`.

    Raises
    ------
    ValueError
        When it is none of them.
    """
    word = text.strip().casefold()
    if word == "wall":
        return "wall", 0.0
    compass = re.fullmatch(r"compass[ :=]*(.*)", word)
    if compass is not None:
        return "compass", _degrees(compass[1], 'write the reading after it: "compass 101.5"')
    try:
        return "azimuth", _degrees(word, "")
    except ValueError:
        if re.fullmatch(r"[-+\d.,°\s]+", word):
            raise
        return "azimuth", float(_read(AzimuthOrWords(), text.strip()))  # type: ignore[arg-type]  # a number, by its kind


def _degrees(text: str, hint: str) -> float:
    try:
        number = float(text.strip().rstrip("°").replace(",", "."))
    except ValueError:
        raise ValueError(hint or f'"{text}" is not a number of degrees') from None
    if not 0 <= number <= 360:
        raise ValueError(f"{number:g} is not between 0 and 360 degrees")
    return number


def yes_or_no(text: str) -> bool:
    """Whether an answer says yes.

    Raises
    ------
    ValueError
        When it says neither.
    """
    word = text.strip().casefold()
    if word in ("y", "yes", "true"):
        return True
    if word in ("n", "no", "false", "none"):
        return False
    raise ValueError("answer yes or no")


def quiet_hours(text: str) -> tuple[str, str] | None:
    """Two clock times of an answer such as `21:30-07:00`; None for `none`.

    Raises
    ------
    ValueError
        When it is neither.
    """
    if text.strip().casefold() in ("none", "no", "-"):
        return None
    parts = [part.strip() for part in re.split(r"[-–,]| to ", text) if part.strip()]
    parts = [meant_time(part) or part for part in parts]  # a person need not know the file's form
    if len(parts) != 2:
        raise ValueError("write two times like this: 21:30-07:00, or none")
    for part in parts:
        _read(DayTime, part)
    if parts[0] == parts[1]:
        raise ValueError("quiet hours start and end at the same time; write none for none")
    return parts[0], parts[1]


def time_zone(text: str) -> str:
    """The name of a time zone.

    Raises
    ------
    ValueError
        When there is no such zone; its text names the nearest.
    """
    if wrong := zone_fault(text.strip()):
        raise ValueError(wrong)
    return text.strip()


def new_name(taken: Collection[str]) -> Check:
    """A check of a name that is none of those."""

    def check(text: str) -> str:
        name = str(_read(Name, text.strip()))
        if name in taken:
            raise ValueError(f'there is a "{name}" already; give each its own name')
        return name

    return check


def length_at_home(*, over: bool = False) -> Quantity:
    """A length in metres from 0, or with `over` above it."""
    return Quantity(0.001 if over else 0, 1000, length=True)


def doubtful_size(key: str, name: str) -> Doubt:
    """What to ask about a length or a number of seconds that no house has.

    `key` is its key in the site file, as `USUAL` has it, `name` what it is called.
    """
    is_length = USUAL[key].per == "m"
    read = by_kind(Quantity(length=is_length, unit="" if is_length else USUAL[key].per))

    def doubt(text: str) -> str | None:
        value = float(str(read(text)))
        found = size_doubt(key, value) if value else None  # 0 says that there is none
        return f"{name} {found}" if found else None

    return doubt


def by_kind(kind: Any) -> Check:
    """A check by one of the site file's kinds of value; a bare number is a number."""

    def check(text: str) -> object:
        answer = text.strip()
        if not isinstance(kind, Quantity):
            return _read(kind, answer)
        try:
            number = float(answer.replace(",", "."))
        except ValueError:
            if kind.length or kind.unit in SECONDS_OF:
                return _read(kind, answer)
            raise ValueError(f'"{answer}" is not a number') from None
        return _read(kind, number)

    return check


def _read(kind: Any, value: object) -> object:
    try:
        return read_value(Annotated[float, kind] if isinstance(kind, Quantity) else kind, value)
    except PydanticCustomError as wrong:
        raise ValueError(wrong.message()) from None
