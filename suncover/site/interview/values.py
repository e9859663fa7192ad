"""Answers as TOML values, and in other words for the person to judge."""

from __future__ import annotations

import json
from collections.abc import Callable

from suncover.site.interview.kinds import by_kind, quiet_hours
from suncover.site.interview.question import Line, Lines
from suncover.site.kinds.azimuth import azimuth_words
from suncover.site.kinds.coordinates import parse_place, place_text
from suncover.site.kinds.durations import duration_in, duration_text
from suncover.site.kinds.lengths import parse_length
from suncover.site.kinds.values import Quantity
from suncover.site.kinds.zones import zone_at


def toml_text(text: str) -> str:
    """A TOML string: JSON's escapes are among TOML's."""
    return json.dumps(text.strip(), ensure_ascii=False).replace("\x7f", "\\u007f")


def toml_number(value: float) -> str:
    """A number with as many decimals as it needs, seven at the most."""
    return f"{value:.7f}".rstrip("0").rstrip(".")


def toml_measure(answer: str) -> str:
    """A length or a time as it was said: a bare number, or text with its unit."""
    try:
        return toml_number(float(answer.strip().replace(",", ".")))
    except ValueError:
        return toml_text(answer)


def toml_list(parts: list[str]) -> str:
    """A list of texts."""
    return f"[{', '.join(map(toml_text, parts))}]"


def measure(key: str, comment: str = "", *, unless: str | None = None) -> Lines:
    """Writes a length, a time or a number under a key, unless it is the default."""

    def lines(answer: str) -> tuple[Line, ...]:
        if unless is not None and answer.strip() == unless:
            return ()
        return ((key, toml_measure(answer), comment),)

    return lines


def timed(key: str, unit: str, comment: str, *, unless: str | None = None) -> Lines:
    """Writes a length of time; a bare number is in `unit`, and the comment says so."""

    def lines(answer: str) -> tuple[Line, ...]:
        if unless is not None and answer.strip() == unless:
            return ()
        value = toml_measure(answer)
        return ((key, value, comment if value.startswith('"') else f"{unit} {comment}"),)

    return lines


def text(key: str, comment: str = "", *, unless: str | None = None) -> Lines:
    """Writes a text under a key, unless it is the default."""

    def lines(answer: str) -> tuple[Line, ...]:
        if unless is not None and answer.strip().casefold() == unless:
            return ()
        return ((key, toml_text(answer), comment),)

    return lines


def names(key: str, comment: str = "", *, unless: str | None = None) -> Lines:
    """Writes a list of texts, parted by commas in the answer, unless it is the default."""

    def lines(answer: str) -> tuple[Line, ...]:
        if unless is not None and answer.strip().casefold() == unless:
            return ()
        return ((key, toml_list(parted(answer)), comment),)

    return lines


def parted(answer: str) -> list[str]:
    """The parts of an answer between its commas."""
    return [part.strip() for part in answer.split(",") if part.strip()]


def one_of(words: tuple[str, ...]) -> Callable[[str], str]:
    """A check of one of some words."""

    def check(answer: str) -> str:
        word = answer.strip().casefold()
        if word not in words:
            raise ValueError(f'"{answer.strip()}" is none of {", ".join(words)}')
        return word

    return check


def some(names: list[str]) -> str:
    """A few names, and that there are more."""
    return ", ".join(names[:5]) + (" …" if len(names) > 5 else "")


# --- in other words


def length_meaning(answer: str) -> str | None:
    """Metres of a length with another unit."""
    try:
        float(answer.strip().replace(",", "."))
    except ValueError:
        return f"that is {parse_length(answer.strip()):.3g} m"
    return None


def time_meaning(unit: str) -> Callable[[str], str | None]:
    """A time as people say it, where it was said as a number of `unit`."""

    def meaning(answer: str) -> str | None:
        try:
            number = float(answer.strip().replace(",", "."))
        except ValueError:
            return f"that is {duration_in(answer.strip(), unit):g} {unit}"
        seconds = number * (60 if unit == "minutes" else 1)
        said = duration_text(seconds)
        return f"that is {said}" if seconds >= 60 and unit == "seconds" else None

    return meaning


def seconds_kind(most: float = 3600) -> Quantity:
    """A length of time in seconds."""
    return Quantity(0, most, unit="seconds")


def minutes_kind() -> Quantity:
    """A length of time in minutes."""
    return Quantity(0, 1440, unit="minutes")


def place_meaning(answer: str) -> str:
    """A place in words, and its clocks."""
    place = parse_place(answer)
    return f"that is {place_text(*place)}, by the clocks of {zone_at(*place)}"


def facing_meaning(degrees: float) -> str:
    """An azimuth in degrees and words."""
    words = azimuth_words(degrees)
    return f"that faces {degrees:g}°, {words}"


def quiet_meaning(answer: str) -> str | None:
    """Quiet hours in words."""
    hours = quiet_hours(answer)
    if hours is None:
        return None
    night = ", over midnight" if hours[0] > hours[1] else ""
    return f"the motor rests from {hours[0]} to {hours[1]}{night}"


def number_check(low: float, high: float, *, over: bool = False) -> Callable[[str], object]:
    """A check of a number between limits."""
    return by_kind(Quantity(low, high, over))
