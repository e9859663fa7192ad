"""Places and days as people say them: `1.2 m right of kitchen, 0.4 out`, `15 Oct to 15 Apr`."""

from __future__ import annotations

import json
import re
from collections.abc import Collection, Sequence

from suncover.site.interview.kinds import is_word, known_as
from suncover.site.interview.question import Line
from suncover.site.interview.values import (
    bare_number,
    metres,
    toml_list,
    toml_measure,
    toml_number,
    toml_text,
)
from suncover.site.kinds.azimuth import bearing_from_words
from suncover.site.kinds.values import MonthDay, day_of_year
from suncover.site.tape.frames import Frame

_SIDE = re.compile(r"(.+?)(?: to)?(?: the)? (right|left)", re.IGNORECASE)
_BESIDE = re.compile(r"(.+?)(?: to)?(?: the)? (right|left) of (.+)", re.IGNORECASE)
_OUT = re.compile(r"(.+?)(?: straight)? (out|in)", re.IGNORECASE)
_OUT_FROM = re.compile(r"(.+?) (?:(?:straight )?out (?:from|of)|in front of) (.+)", re.IGNORECASE)
_TOWARDS = re.compile(r"(.+?) (?:of|from) (.+)", re.IGNORECASE)
_PAIR = re.compile(r"\s*([-+]?\d+(?:\.\d+)?)\s*[,;]\s*([-+]?\d+(?:\.\d+)?)\s*")
_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")

BESIDE_EXAMPLE = "1.2 right, or 1.2 right, 0.4 out"
FROM_EXAMPLE = "8 out from kitchen, 2 left; or 12 north-east of kitchen"
_ALONG = re.compile(r"(.+?) along", re.IGNORECASE)


def beside_lines(answer: str, window: str) -> list[Line]:
    """Where a window is from another in the same wall: `1.2 right, 0.4 out`.

    Raises
    ------
    ValueError
        When it is no such place.
    """
    first, *further = _parts(answer)
    side = _SIDE.fullmatch(first)
    if side is None or len(further) > 1:
        raise ValueError(
            f"write how far it is, glass to glass, and to which side: {BESIDE_EXAMPLE}"
        )
    way = side[2].casefold()
    lines = [
        (f"{way}_of", toml_text(window), "seen from outdoors"),
        ("apart", _length(side[1]), "from glass to glass"),
    ]
    return lines + (_out_lines(further[0]) if further else [])


def along_lines(answer: str, wall: str) -> list[Line]:
    """Where a window is along a wall: `1.2`, or `1.2, 0.4 out`.

    Raises
    ------
    ValueError
        When it is no such place.
    """
    first, *further = _parts(answer)
    if len(further) > 1 or metres(first) < 0:
        raise ValueError("write how far it is from the wall's left end: 1.2, or 1.2, 0.4 out")
    lines = [
        ("wall", toml_text(wall), "whose direction it has"),
        ("along", _length(first), "from the wall's left end to the glass, seen from outdoors"),
    ]
    return lines + (_out_lines(further[0]) if further else [])


def where_lines(answer: str, windows: Collection[str]) -> list[Line]:
    """Where a window is on the plan: `none`, `4.2, -3` or `1.2 right of kitchen, 0.4 out`.

    Raises
    ------
    ValueError
        When it is no such place, or one from a window that is not on the plan.
    """
    if is_word(answer, "none"):
        return []
    if pair := _pair_of(answer):
        return [("position", pair, "metres east, north of the origin: middle of the lower edge")]
    first, *further = _parts(answer)
    beside = _BESIDE.fullmatch(first)
    if beside is None or len(further) > 1:
        raise ValueError(
            "write none, or where it is: 1.2 right of kitchen; or metres east, north: 4.2, -3"
        )
    name = _on_the_plan(beside[3], windows)
    side = f"{beside[1]} {beside[2]}"
    return beside_lines(", ".join([side, *further]), name)


def from_lines(answer: str, references: Collection[str], key: str) -> list[Line]:
    """Where a tree or an obstacle is: from a window or wall, or metres east and north.

    `key` is that of a pair of metres, `trunk`; empty where there is none.

    Raises
    ------
    ValueError
        When it is no such place, or one from what is not on the plan.
    """
    if key and (pair := _pair_of(answer)):
        return [(key, pair, "metres east, north of the origin")]
    first, *further = _parts(answer)
    if (out := _OUT_FROM.fullmatch(first)) is not None:
        name = _on_the_plan(out[2], references)
        lines = [
            ("from", toml_text(name), ""),
            ("out", _length(out[1]), "straight out from the wall"),
        ]
    elif (towards := _TOWARDS.fullmatch(first)) is not None and (way := _way(towards[1])):
        lines = [
            ("from", toml_text(_on_the_plan(towards[2], references)), ""),
            ("distance", _length(way[0]), ""),
            ("direction", _direction(way[1]), ""),
        ]
    else:
        raise ValueError(f"write where it is like this: {FROM_EXAMPLE}")
    if not further:
        return lines
    if (along := _ALONG.fullmatch(further[0])) is not None and len(further) == 1:
        return [*lines, ("along", _length(along[1]), "from that wall's left end")]
    side = _SIDE.fullmatch(further[0])
    if side is None or len(further) > 1:
        raise ValueError(f"after the comma write how far to the right or left: {FROM_EXAMPLE}")
    comment = "of its middle, seen from outdoors; negative to the left"
    return [*lines, ("right", _signed(side[1], side[2].casefold() == "left"), comment)]


def from_meaning(lines: Sequence[Line]) -> str | None:
    """A distance and a direction as metres east and north; None for what says them plainly."""
    fields = {key: value for key, value, _ in lines}
    if "direction" not in fields:
        return None
    words = fields["direction"].strip('"')
    degrees = float(words) if words[0].isdigit() else bearing_from_words(words).azimuth
    away = metres(
        json.loads(fields["distance"]) if fields["distance"][0] == '"' else fields["distance"]
    )
    east, north = Frame((0.0, 0.0), 0.0).beyond(away, degrees)
    parts = [
        f"{abs(value):.1f} m {word if value > 0 else opposite}"
        for value, word, opposite in ((east, "east", "west"), (north, "north", "south"))
        if abs(value) >= 0.05
    ]
    return f"that is {' and '.join(parts) or '0 m'} of it"


def season_days(answer: str, proposed: tuple[str, str]) -> tuple[str, str] | None:
    """First and last month-day of an answer: yes for the proposed ones, no for the whole year.

    Raises
    ------
    ValueError
        When it is neither, nor two days.
    """
    if is_word(answer, "yes", "y", "true"):
        return proposed
    if is_word(answer, "no", "n", "none", "false", "all year"):
        return None
    parts = [part for part in re.split(r",| to | - |–", answer.strip()) if part.strip()]
    if len(parts) != 2:
        raise ValueError("write yes, no, or two days like this: 15 Oct to 15 Apr")
    first, last = (_day(part) for part in parts)
    return str(first), str(last)


def season_meaning(answer: str, proposed: tuple[str, str]) -> str:
    """The season of an answer in words."""
    days = season_days(answer, proposed)
    return "that is all year" if days is None else f"that is {season_words(days)}"


def season_lines(answer: str, proposed: tuple[str, str], key: str) -> list[Line]:
    """The season of an answer as a line of the file; none for the whole year."""
    days = season_days(answer, proposed)
    if days is None:
        return []
    return [(key, toml_list(days), f"{season_words(days)}, both included")]


def season_words(days: tuple[str, str]) -> str:
    """Two month-days in words: `15 Oct to 15 Apr`."""
    return " to ".join(f"{int(day[3:])} {_MONTHS[int(day[:2]) - 1].title()}" for day in days)


def _day(text: str) -> MonthDay:
    words = text.strip().casefold().rstrip(".")
    number, name = r"(?P<day>\d{1,2})", r"(?P<month>[a-z]{3})[a-z]*"
    match = re.fullmatch(rf"{number}\.? {name}", words) or re.fullmatch(rf"{name} {number}", words)
    if match and match["month"] in _MONTHS:
        words = f"{_MONTHS.index(match['month']) + 1:02d}-{int(match['day']):02d}"
    try:
        return day_of_year(words)
    except ValueError:
        raise ValueError(f'"{text.strip()}" is not a day such as 15 Oct or 10-15') from None


def _parts(answer: str) -> list[str]:
    """An answer cut at its commas that are no decimal commas."""
    parts = [part.strip() for part in re.split(r",(?!\d)|;", answer) if part.strip()]
    return parts or [""]


def _pair_of(answer: str) -> str | None:
    pair = _PAIR.fullmatch(answer)
    return f"[{toml_number(float(pair[1]))}, {toml_number(float(pair[2]))}]" if pair else None


def _out_lines(part: str) -> list[Line]:
    match = _OUT.fullmatch(part)
    if match is None:
        raise ValueError("after the comma write how far out of that wall it is: 0.4 out")
    inward = match[2].casefold() == "in"
    return [("out", _signed(match[1], inward), "out of that wall")]


def _length(text: str) -> str:
    metres(text)
    return toml_measure(text)


def _signed(text: str, negative: bool) -> str:
    value, number = metres(text), bare_number(text)
    if negative and number is not None:
        return toml_number(-number)
    return toml_text(f"-{text.strip()}") if negative and value > 0 else toml_measure(text)


def _way(text: str) -> tuple[str, str] | None:
    """The length and the direction of `12 m north-west`; None if it has not both."""
    words = text.split()
    for number in range(1, len(words)):
        length, direction = " ".join(words[:number]), " ".join(words[number:])
        if _is_direction(direction):
            return length, direction
    return None


def _is_direction(text: str) -> bool:
    try:
        _direction(text)
    except ValueError:
        return False
    return True


def _direction(text: str) -> str:
    word = text.strip().rstrip("°")
    if re.fullmatch(r"\d+(?:\.\d+)?", word):
        if float(word) > 360:
            raise ValueError(f"{word} is not between 0 and 360 degrees")
        return toml_number(float(word))
    bearing_from_words(word)
    return toml_text(word)


def _on_the_plan(name: str, names: Collection[str]) -> str:
    return known_as(name.strip().removeprefix("the "), names, "is not on the plan")
