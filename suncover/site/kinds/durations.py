"""Lengths of time written as text with their units: `"45 s"`, `"1 min 15 s"`, `"1 h 30 min"`.

A number in a site file is in the unit of its key, seconds or minutes. Text must say its units, the
larger ones first.
"""

from __future__ import annotations

import re
from fractions import Fraction

from suncover.site.kinds.lengths import with_point

SECONDS_OF = {"seconds": 1, "minutes": 60, "hours": 3600}

# As in lengths, the pattern is also that of the JSON Schema: no named groups, no inline flags.
_AMOUNT = r"(?:[0-9]{1,9}(?:\.[0-9]{0,9})?|\.[0-9]{1,9})"
_HOUR = r"(?:h|hr|hrs|hour|hours)\.?"
_MINUTE = r"(?:m|min|mins|minute|minutes)\.?"
_SECOND = r"(?:s|sec|secs|second|seconds)\.?"
DURATION_PATTERN = (
    rf"^ *(?=[0-9.])(?:({_AMOUNT}) *{_HOUR})?(?: *,? *({_AMOUNT}) *{_MINUTE})?"
    rf"(?: *,? *({_AMOUNT}) *{_SECOND})? *$"
)

_BARE_NUMBER = rf" *{_AMOUNT} *"
_ONE_AMOUNT = rf" *{_AMOUNT} *([^0-9\s.]+) *"
_LONGEST_TEXT = 60
_EXAMPLES = '"45 s" or "1 min 15 s"'


def parse_duration(text: str) -> Fraction:
    """Seconds of a text with units: hours (h), minutes (min, m) and seconds (s), in this order.

    Amounts are decimals; each unit may be left out, but not all of them.

    Raises
    ------
    ValueError
        When the text is no such length of time. Its text says what would be right.
    """
    match = re.match(DURATION_PATTERN, text) if len(text) <= _LONGEST_TEXT else None
    if match is None or text.endswith("\n"):  # `$` also stands before a last line break
        raise ValueError(_complaint(text))
    return sum(
        (
            Fraction(amount) * seconds
            for amount, seconds in zip(match.groups(), (3600, 60, 1), strict=True)
            if amount
        ),
        Fraction(0),
    )


def duration_in(text: str, unit: str) -> float:
    """A text with its units as a number of `unit`: `seconds`, `minutes` or `hours`.

    Raises
    ------
    ValueError
        As `parse_duration`.
    """
    return float(parse_duration(text) / SECONDS_OF[unit])


def duration_text(seconds: float) -> str:
    """Seconds as people say them: `45 s`, `1 min 15 s`, `2 h`, `1 h 30 min`."""
    whole_seconds = round(seconds)
    if abs(seconds - whole_seconds) > 1e-6:
        return f"{seconds:g} s"
    hours, remainder = divmod(whole_seconds, 3600)
    minutes, left = divmod(remainder, 60)
    parts = [
        f"{amount} {unit}"
        for amount, unit in ((hours, "h"), (minutes, "min"), (left, "s"))
        if amount
    ]
    return " ".join(parts) or "0 s"


def _complaint(text: str) -> str:
    if len(text) > _LONGEST_TEXT:
        return f"this text is too long for a length of time; write one such as {_EXAMPLES}"
    if re.fullmatch(_BARE_NUMBER, text):
        amount = text.strip()
        return f'"{amount}" has no unit; add s, min or h (such as "{amount} s")'
    pointed = with_point(text)
    if pointed != text and re.match(DURATION_PATTERN, pointed):
        return f'"{text}" has a decimal comma; write "{pointed}"'
    unknown = re.fullmatch(_ONE_AMOUNT, text)
    if unknown:
        return f'"{text}" has a unit that is not known: {unknown[1]}; the units are s, min, h'
    return f'"{text}" is not a length of time; write one such as {_EXAMPLES}'
