"""A picture: SVG of our own, what it says in words, and the numbers behind it.

Pictures come in two widths. A wide one fills the column; on a phone its letters grow (the page's
style sheet sees to that), so it keeps room for them. A half one stands beside another on a desk and
fills a phone.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from suncover.base.errors import RequestError
from suncover.base.slugs import slug_of
from suncover.report.pictures.ink import LIGHT, figure_style
from suncover.report.pictures.markup import Markup, short, tag
from suncover.report.units import Units, in_units, other_units

Floats = NDArray[np.float64]

WIDE = 720.0
HALF = 360.0
"""Widths of pictures, in their own units: about a pixel each on a desk."""

# Heights of what a picture that stands alone has besides: title, note, a line of its legend.
_TITLE, _NOTE, _LEGEND = 30.0, 17.0, 22.0
_LEGEND_CHARACTER = 6.9
_SWATCH = 26.0


@dataclass(frozen=True)
class Table:
    """Numbers behind a picture: a line of headings, and rows of as many cells."""

    caption: str
    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True)
class Key:
    """One entry of a legend: a small drawing in a box of 20 by 12, and what it stands for."""

    swatch: Markup
    text: str


@dataclass(frozen=True)
class Figure:
    """A picture with all that belongs to it.

    `name` is unique in a report and fit for a file's name; `alt` says in a sentence what is to be
    seen. `body` is SVG in a box of `width` by `height`, coloured by the classes of
    `ink.figure_style`. `live` is what the page's sliders move in it: the part it plays and the
    number of its window. Lengths in `alt` and `table` are a `length_mark` each, shown in `units`.
    `note` stands under the title of a picture alone: where and when it is.
    """

    name: str
    title: str
    alt: str
    width: float
    height: float
    body: Markup
    table: Table
    legend: tuple[Key, ...] = ()
    shared: Mapping[str, Markup] = field(default_factory=dict)
    live: tuple[str, int] | None = field(default=None, compare=False)
    note: str = ""
    units: Units = "metric"

    @property
    def kind(self) -> str:
        """What all pictures of the kind have in common, their legend among it."""
        return self.live[0] if self.live else re.sub(r"^\d+-.*-|-.*", "", self.name)

    def inline(self) -> Markup:
        """The picture for the page, which brings the style sheet."""
        part, window = self.live or (None, None)
        alt, otherwise = (in_units(self.alt, u) for u in (self.units, other_units(self.units)))
        return tag(
            "svg",
            self.body,
            viewBox=f"0 0 {short(self.width)} {short(self.height)}",
            role="img",
            aria_label=alt,
            data_otherwise=otherwise if part and otherwise != alt else None,
            class_="wide" if self.width >= WIDE else "half",
            data_live=part,
            data_window=window,
        )

    def svg(self) -> str:
        """The picture alone, as the text of an SVG file, on light paper."""
        lines = self._legend_lines()
        head = _TITLE + (_NOTE if self.note else 0.0)
        height = head + self.height + _LEGEND * len(lines)
        legend = [
            tag("g", line, transform=f"translate(8 {short(head + self.height + _LEGEND * row)})")
            for row, line in enumerate(lines)
        ]
        drawing = [
            tag("title", self.title),
            tag("desc", in_units(self.alt, self.units)),
            tag("style", Markup(figure_style(LIGHT.__getitem__))),
            tag("defs", list(self.shared.values())) if self.shared else None,
            tag("rect", width="100%", height="100%", class_="ground"),
            tag("text", self.title, x=8, y=20, class_="t b"),
            tag("text", self.note, x=8, y=37, class_="t q") if self.note else None,
            tag("g", self.body, transform=f"translate(0 {short(head)})"),
            legend,
        ]
        return (
            '<?xml version="1.0" encoding="UTF-8"?>\n'
            + tag(
                "svg",
                drawing,
                xmlns="http://www.w3.org/2000/svg",
                viewBox=f"0 0 {short(self.width)} {short(height)}",
                width=short(self.width),
                height=short(height),
                role="img",
            )
            + "\n"
        )

    def png(self, scale: float = 2.0) -> bytes:
        """The picture alone as PNG, `scale` pixels for each of its units.

        Raises
        ------
        RequestError
            When the package that draws it is not installed.
        """
        try:
            import resvg_py
        except ImportError:
            raise RequestError(
                "PNG pictures need one more package: pip install 'suncover[plot]'; "
                "SVG pictures need none"
            ) from None
        width = round(self.width * scale)
        return bytes(resvg_py.svg_to_bytes(svg_string=self.svg(), width=width))

    def _repr_svg_(self) -> str:
        """For notebooks, which show the picture."""
        return self.svg()

    def _legend_lines(self) -> list[list[Markup]]:
        """The legend's entries, set in lines that fit the width."""
        lines: list[list[Markup]] = []
        at = self.width
        for key in self.legend:
            length = _SWATCH + len(key.text) * _LEGEND_CHARACTER + 14.0
            if at + length > self.width:
                lines.append([])
                at = 0.0
            words = tag("text", key.text, x=_SWATCH, y=14, class_="t")
            swatch = tag("g", key.swatch, transform="translate(0 3)")
            lines[-1].append(tag("g", swatch, words, transform=f"translate({short(at)} 0)"))
            at += length
        return lines


@dataclass(frozen=True)
class Scale:
    """From `low` … `high` of something to `start` … `end` of a picture, evenly."""

    low: float
    high: float
    start: float
    end: float

    def __call__(self, value: float) -> float:
        """Where a value is in the picture."""
        share = (value - self.low) / (self.high - self.low)
        return self.start + share * (self.end - self.start)

    def of(self, values: Floats) -> Floats:
        """Where many values are in the picture."""
        return self.start + (values - self.low) * self.unit

    @property
    def unit(self) -> float:
        """How far one unit goes, with its sign."""
        return (self.end - self.start) / (self.high - self.low)


def slug(name: str) -> str:
    """A name as part of a file's name: `Küche (West)` becomes `kuche-west`."""
    return slug_of(name)[:40]


def round_steps(most: float, count: float = 3.0) -> list[float]:
    """Round values from 0 to at most `most`, about `count` steps apart: 0, 200, 400."""
    rough = max(most, 1e-9) / count
    power = 10.0 ** math.floor(math.log10(rough))
    step = min((power, 2 * power, 5 * power, 10 * power), key=lambda step: abs(step - rough))
    return [step * number for number in range(int(most / step + 1e-9) + 1)]
