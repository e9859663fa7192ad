"""Lengths written as text with a unit, read into metres.

A number in a site file is in metres. Text must say its unit: `"120 cm"`, `"48 in"`,
`"4 ft 2 1/2 in"`, `5' 6"`.
"""

from __future__ import annotations

import re
from fractions import Fraction
from typing import Literal

# Exact by the international yard and pound agreement of 1959: 1 yd = 0.9144 m, so 1 in = 0.0254 m.
METRES_PER_INCH = Fraction(254, 10_000)
METRES_PER_FOOT = 12 * METRES_PER_INCH
_METRIC = {"mm": Fraction(1, 1000), "cm": Fraction(1, 100), "m": Fraction(1)}

_EXAMPLES = '"120 cm" or "4 ft 2 1/2 in"'
_UNITS = "mm, cm, m, in, ft"
_LONGEST_TEXT = 60

# The pattern is also the `pattern` of lengths in the site file's JSON Schema, so it keeps to what
# Python and ECMAScript read alike: no named groups, no inline flags.
_DIGITS = r"[0-9]{1,12}"
_DECIMAL = rf"(?:{_DIGITS}(?:\.[0-9]{{0,12}})?|\.[0-9]{{1,12}})"
_FRACTION = rf"{_DIGITS} */ *0{{0,3}}[1-9][0-9]{{0,11}}"
_AMOUNT = rf"(?:{_DIGITS} +{_FRACTION}|{_FRACTION}|{_DECIMAL})"
_METRIC_UNIT = r"(?:[mM][mM]|[cC][mM]|[mM])"
_FOOT_UNIT = r"(?:[fF][tT]\.?|[fF][oO][oO][tT]|[fF][eE][eE][tT]|['′’])"
_INCH_UNIT = r"(?:[iI][nN](?:\.|[cC][hH](?:[eE][sS])?)?|[\"″”]|''|′′)"
LENGTH_PATTERN = (
    rf"^ *([-+−]?) *(?:({_AMOUNT}) *({_METRIC_UNIT})"
    rf"|({_AMOUNT}) *{_FOOT_UNIT}(?: *,? *({_AMOUNT}) *{_INCH_UNIT})?"
    rf"|({_AMOUNT}) *{_INCH_UNIT}) *$"
)


_BARE_NUMBER = rf" *[-+−]? *{_AMOUNT} *"
_ONE_AMOUNT = rf" *[-+−]? *{_AMOUNT} *([^0-9\s]+) *"


def parse_length(text: str) -> float:
    """Length in metres of a text with its unit.

    Parameters
    ----------
    text:
        An amount and a unit (mm, cm, m, in, ft; also inch, inches, foot, feet, `'`, `"`, ′, ″), or
        feet and then inches. Amounts are decimals, fractions (`1/2`) or both (`2 1/2`); a sign may
        lead and holds for the whole. Big and small letters are the same.

    Returns
    -------
    The length in metres: the exact sum, rounded once.

    Raises
    ------
    ValueError
        When the text is no such length: without a unit, with one that is not known, or with inches
        before feet. Its text says what would be right.

    References
    ----------
    1 in = 0.0254 m exactly: international yard and pound agreement, in force since 1 July 1959
    (US Federal Register, document 59-5442).
    """
    match = _match(text)
    if match is None:
        raise ValueError(_complaint(text))
    sign, metric, metric_unit, feet, inches_after_feet, inches = match.groups()
    if metric:
        metres = _amount(metric) * _METRIC[metric_unit.lower()]
    elif feet:
        metres = _amount(feet) * METRES_PER_FOOT
        if inches_after_feet:
            metres += _amount(inches_after_feet) * METRES_PER_INCH
    else:
        metres = _amount(inches) * METRES_PER_INCH
    return float(-metres if sign in ("-", "−") else metres)


def unit_of_length(text: str) -> Literal["metric", "feet"] | None:
    """Which units a text with a length is in; None for a text that is no length."""
    match = _match(text)
    if match is None:
        return None
    return "metric" if match[2] else "feet"


def _match(text: str) -> re.Match[str] | None:
    if len(text) > _LONGEST_TEXT or text.endswith("\n"):  # `$` also stands before a last line break
        return None
    return re.match(LENGTH_PATTERN, text)


def _amount(text: str) -> Fraction:
    """`2 1/2`, `1/2` or `2.5` as an exact number."""
    if "/" not in text:
        return Fraction(text)
    before, after = text.split("/")
    *whole_part, numerator = before.split()
    return sum(map(Fraction, whole_part), Fraction(int(numerator), int(after)))


def with_point(text: str) -> str:
    """The text with a decimal point in place of a decimal comma."""
    return re.sub(r"(?<=[0-9]),(?=[0-9])", ".", text)


def _complaint(text: str) -> str:
    """What is wrong with a text that is no length, and what would be right."""
    if len(text) > _LONGEST_TEXT:
        return f"this text is too long for a length; write one such as {_EXAMPLES}"
    if re.fullmatch(_BARE_NUMBER, text):
        amount = text.strip()
        return (
            f'"{amount}" has no unit; add one of {_UNITS} (such as "{amount} cm"), '
            "or leave out the quotes for metres"
        )
    pointed = with_point(text)
    if pointed != text and re.fullmatch(LENGTH_PATTERN, pointed):
        return f'"{text}" has a decimal comma; write "{pointed}"'
    if pointed != text and re.fullmatch(_BARE_NUMBER, pointed):
        metres = pointed.strip()
        return f'"{text}" has a decimal comma; write {metres} or "{metres} m" if it is metres'
    unknown = re.fullmatch(_ONE_AMOUNT, text)
    if unknown:
        return f'"{text}" has a unit that is not known: {unknown[1]}; the units are {_UNITS}'
    return f'"{text}" is not a length; write one such as {_EXAMPLES} (units: {_UNITS})'
