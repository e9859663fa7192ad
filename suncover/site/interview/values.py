"""Answers as TOML values, and in other words for the person to judge."""

from __future__ import annotations

import json
import math
from collections.abc import Callable, Iterable

from suncover.site.kinds.azimuth import azimuth_words
from suncover.site.kinds.durations import duration_in, duration_text
from suncover.site.kinds.lengths import parse_length


def toml_text(text: str) -> str:
    """A TOML string: JSON's escapes are among TOML's."""
    return json.dumps(text.strip(), ensure_ascii=False).replace("\x7f", "\\u007f")


def toml_number(value: float) -> str:
    """A number with as many decimals as it needs, seven at the most."""
    return f"{value:.7f}".rstrip("0").rstrip(".")


def toml_measure(answer: str) -> str:
    """A length or a time as it was typed: a bare number, or text with its unit."""
    number = bare_number(answer)
    return toml_text(answer) if number is None else toml_number(number)


def toml_list(parts: Iterable[str]) -> str:
    """A list of texts."""
    return f"[{', '.join(map(toml_text, parts))}]"


def bare_number(answer: str) -> float | None:
    """The number that an answer is; None for one with a unit, and for words."""
    try:
        number = float(answer.strip().replace(",", "."))
    except ValueError:
        return None
    return number if math.isfinite(number) else None


def metres(answer: str) -> float:
    """A length of an answer: a number of metres, or text with a unit.

    Raises
    ------
    ValueError
        When it is neither.
    """
    number = bare_number(answer)
    return parse_length(answer.strip()) if number is None else number


def shortlist(names: list[str], most: int = 5) -> str:
    """A few names, and that there are more."""
    return ", ".join(names[:most]) + (" …" if len(names) > most else "")


# --- in other words


def length_meaning(answer: str) -> str | None:
    """Metres of a length with another unit."""
    return f"that is {metres(answer):.3g} m" if bare_number(answer) is None else None


def time_meaning(unit: str) -> Callable[[str], str | None]:
    """A time as people say it, where it was typed as a number of `unit`."""

    def meaning(answer: str) -> str | None:
        number = bare_number(answer)
        if number is None:
            return f"that is {duration_in(answer.strip(), unit):g} {unit}"
        return f"that is {duration_text(number)}" if number >= 60 and unit == "seconds" else None

    return meaning


def facing_meaning(degrees: float) -> str:
    """An azimuth in degrees and words."""
    return f"that faces {degrees:g}°, {azimuth_words(degrees)}"
