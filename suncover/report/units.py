"""Lengths as the reader writes them: metres, or feet and inches.

A length in the page is marked with its metres, so that the page's switch can write it the other
way. Words that are put together before they are markup hold it as a `length_mark` until they are.
"""

from __future__ import annotations

import re
from typing import Literal

from suncover.report.pictures.markup import Content, Markup, tag
from suncover.site.kinds.lengths import unit_of_length

Units = Literal["metric", "feet"]

FOOT = 0.3048
INCH = 0.0254  # metres, exact since the yard and pound agreement of 1959
_HALVES = 2  # of an inch: as fine as a length is shown
_QUOTED = re.compile(r"""\"((?:[^"\\\n]|\\.)*)\"|'([^'\n]*)'""")
_BARE = re.compile(r"\b(?:width|height|sill|reveal|depth|gap|base|top|bottom|distance)\s*=\s*\d")


def units_of(source: str | None) -> Units:
    """What a site file writes most of its lengths in; feet and inches if it is half of them."""
    feet, metric = 0, len(_BARE.findall(source or ""))
    for basic, literal in _QUOTED.findall(source or ""):
        unit = unit_of_length(basic.replace('\\"', '"') or literal)
        feet += unit == "feet"
        metric += unit == "metric"
    return "feet" if feet and feet >= metric else "metric"


def other_units(units: Units) -> Units:
    """What lengths may be shown in besides."""
    return "feet" if units == "metric" else "metric"


def length_text(metres: float, units: Units) -> str:
    """A length: `1.22 m`, `4 ft 2½ in`, `−6 in`."""
    if units == "metric":
        return f"{metres:.2f} m".replace("-", "\N{MINUS SIGN}")
    halves = round(abs(metres) / INCH * _HALVES)
    feet, halves_left = divmod(halves, 12 * _HALVES)
    whole_inches, half = divmod(halves_left, _HALVES)
    inches = f"{whole_inches}" if whole_inches or not half else ""
    if half:
        inches += "\N{VULGAR FRACTION ONE HALF}"
    sign = "\N{MINUS SIGN}" if metres < 0 and halves else ""
    if not feet:
        return f"{sign}{inches} in"
    return f"{sign}{feet} ft" + ("" if inches == "0" else f" {inches} in")


_MEASURED = re.compile("\ue000(-?[0-9.]+)\ue001")  # private-use characters: no name has them


def length_mark(metres: float) -> str:
    """A length within words, in no unit yet; `in_units` and `with_lengths` write it in one."""
    return f"\ue000{metres:.4f}\ue001"


def in_units(words: str, units: Units) -> str:
    """Words with their lengths written out."""
    return _MEASURED.sub(lambda match: length_text(float(match[1]), units), words)


def with_lengths(words: str, units: Units) -> Content:
    """Words as markup whose lengths the page's switch can rewrite."""
    parts = _MEASURED.split(words)
    return [length(float(part), units) if n % 2 else part for n, part in enumerate(parts)]


def length(metres: float, units: Units, element: str = "span") -> Markup:
    """A length that the page's switch can rewrite; `element` is `tspan` within a picture."""
    return tag(element, length_text(metres, units), data_m=f"{metres:.4f}")
