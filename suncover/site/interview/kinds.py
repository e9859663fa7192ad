"""The kinds of answer in an interview: how each is read, and what to ask about an unlikely one."""

from __future__ import annotations

import re
from collections.abc import Callable, Collection
from typing import Annotated, Any, TypeVar

from pydantic_core import PydanticCustomError

from suncover.site.aspect import Direction
from suncover.site.finding import meant
from suncover.site.kinds.azimuth import FARTHEST_WALL, geodesic, wall_fault
from suncover.site.kinds.clock_words import meant_time
from suncover.site.kinds.coordinates import parse_place
from suncover.site.kinds.durations import SECONDS_OF
from suncover.site.kinds.kind import limits_of, read_value
from suncover.site.kinds.values import DayTime, Name, Quantity
from suncover.site.kinds.zones import clocks_doubt, place_doubt, zone_fault

Check = Callable[[str], object]
"""Reads an answer; raises ValueError with a sentence if it is wrong."""
Doubt = Callable[[str], "str | None"]
"""What to ask about an answer that may be right but is unlikely; None if nothing."""

Said = TypeVar("Said")


def is_word(answer: str, *words: str) -> bool:
    """Whether an answer is one of some words that stand for themselves."""
    return answer.strip().casefold() in words


def unless_word(word: str, ask: Callable[[str], Said]) -> Callable[[str], Said | None]:
    """A check or a doubt that lets a word stand for itself."""
    return lambda answer: None if is_word(answer, word) else ask(answer)


def whereabouts(clocks: tuple[float, float] | None) -> Doubt:
    """What to ask about a place where nobody lives, or whose clocks are not those of the asker.

    `clocks` are hours ahead of UTC in the winters and summers where the asker is, if known.
    """

    def doubt(text: str) -> str | None:
        place = parse_place(text)
        return place_doubt(*place) or (clocks and clocks_doubt(*place, clocks)) or None

    return doubt


def near_house(site: tuple[float, float]) -> Doubt:
    """What to ask about a point on a map that is far from the house."""

    def doubt(text: str) -> str | None:
        away = geodesic(parse_place(text), site)[0]
        if away <= FARTHEST_WALL:
            return None
        return (
            f"that is {away / 1000:.0f} km from the house; is a minus sign missing, or are "
            "latitude and longitude swapped?"
        )

    return doubt


def wall_end(first: tuple[float, float], site: tuple[float, float]) -> Check:
    """The right end of a wall whose left end is `first`, at a site."""

    def check(text: str) -> tuple[float, float]:
        second = parse_place(text)
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
        return "azimuth", float(read(Direction, text.strip()))


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
    if is_word(text, "y", "yes", "true"):
        return True
    if is_word(text, "n", "no", "false", "none"):
        return False
    raise ValueError("answer yes or no")


def quiet_hours(text: str) -> tuple[str, str] | None:
    """Two clock times of an answer such as `21:30-07:00`; None for `none`.

    Raises
    ------
    ValueError
        When it is neither.
    """
    if is_word(text, "none", "no", "-"):
        return None
    parts = [part.strip() for part in re.split(r"[-–,]| to ", text) if part.strip()]
    parts = [meant_time(part) or part for part in parts]  # a person need not know the file's form
    if len(parts) != 2:
        raise ValueError("write two times like this: 21:30-07:00, or none")
    for part in parts:
        read(DayTime, part)
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


def new_name(used: Collection[str]) -> Check:
    """A check of a name that is none of those."""

    def check(text: str) -> str:
        name = str(read(Name, text.strip()))
        if name in used:
            raise ValueError(f'there is a "{name}" already; give each its own name')
        return name

    return check


def parted(answer: str) -> list[str]:
    """The parts of an answer between its commas."""
    return [part.strip() for part in answer.split(",") if part.strip()]


def one_of(words: Collection[str]) -> Check:
    """A check of one of some words."""

    def check(answer: str) -> str:
        word = answer.strip().casefold()
        if word not in words:
            raise ValueError(f'"{answer.strip()}" is none of {", ".join(words)}')
        return word

    return check


def known_as(name: str, names: Collection[str], wrong: str = "is not known") -> str:
    """A name as it is known, whatever its capitals.

    Raises
    ------
    ValueError
        When it is not among the known: it is `wrong`, and which might be meant.
    """
    for candidate in names:
        if is_word(name, candidate.casefold()):
            return candidate
    near = meant(name.strip().casefold(), names)
    hint = f'did you mean "{near}"?' if near else f"there are {', '.join(names) or 'none yet'}"
    raise ValueError(f'"{name.strip()}" {wrong}; {hint}')


def by_kind(kind: Any) -> Callable[[str], Any]:
    """A check by one of the site file's kinds of value; a bare number is a number."""
    limits = limits_of(kind)
    is_whole = not isinstance(limits, Quantity)
    has_unit = not is_whole and (limits.length or limits.unit in SECONDS_OF)

    def check(text: str) -> Any:
        answer = text.strip()
        if limits is None:
            return read(kind, answer)
        try:
            number = float(answer.replace(",", "."))
        except ValueError:
            if has_unit:
                return read(kind, answer)
            expected = "a whole number" if is_whole else "a number"
            raise ValueError(f'"{answer}" is not {expected}') from None
        return read(kind, int(number) if is_whole and number.is_integer() else number)

    return check


def read(kind: Any, value: object) -> Any:
    """A value as the site file reads it.

    Raises
    ------
    ValueError
        When the file would refuse it, with what it would say.
    """
    try:
        return read_value(Annotated[float, kind] if isinstance(kind, Quantity) else kind, value)
    except PydanticCustomError as wrong:
        raise ValueError(wrong.message()) from None
