"""A picture: SVG of our own, what it says in words, and the numbers behind it.

Pictures come in two widths. A wide one fills the column; on a phone its letters grow (the page's
style sheet sees to that), so it keeps room for them. A half one stands beside another on a desk and
fills a phone.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from suncover.base.errors import RequestError
from suncover.report.pictures.ink import LIGHT, figure_style
from suncover.report.pictures.markup import Content, Markup, short, tag
from suncover.report.units import FOOT, Units, in_units, length, other

Floats = NDArray[np.float64]

WIDE = 720.0
HALF = 360.0
"""Widths of pictures, in their own units: about a pixel each on a desk."""

_TITLE = 30.0  # height of the title of a picture that stands alone
_NOTE = 17.0  # and of the line under it
_LEGEND = 22.0  # and of a line of its legend
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
    `suncover.report.ink.figure_style`. `live` is what the page's sliders move in it: the part it
    plays and the number of its window. Lengths in `alt` and `table` are `measured`, and shown in
    `units`. `note` stands under the title of a picture alone: where and
    when it is.
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
        said, otherwise = (in_units(self.alt, units) for units in (self.units, other(self.units)))
        return tag(
            "svg",
            self.body,
            viewBox=f"0 0 {short(self.width)} {short(self.height)}",
            role="img",
            aria_label=said,
            data_otherwise=otherwise if part and otherwise != said else None,
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
        """The place of a value."""
        share = (value - self.low) / (self.high - self.low)
        return self.start + share * (self.end - self.start)

    def of(self, values: Floats) -> Floats:
        """The places of many values."""
        return self.start + (values - self.low) * self.unit

    @property
    def unit(self) -> float:
        """How far one unit goes, with its sign."""
        return (self.end - self.start) / (self.high - self.low)


def round_steps(most: float, count: float = 3.0) -> list[float]:
    """Round values from 0 to at most `most`, about `count` steps apart: 0, 200, 400."""
    rough = max(most, 1e-9) / count
    power = 10.0 ** math.floor(math.log10(rough))
    step = min((power, 2 * power, 5 * power, 10 * power), key=lambda step: abs(step - rough))
    return [step * number for number in range(int(most / step + 1e-9) + 1)]


def text(x: float, y: float, words: Content, style: str = "") -> Markup:
    """Words in a picture; `style` adds classes: m middle, e end, q quiet, b bold."""
    return tag("text", words, x=x, y=y, class_=f"t {style}".rstrip())


def line(x1: float, y1: float, x2: float, y2: float, style: str) -> Markup:
    """A straight line."""
    return tag("path", d=f"M{short(x1)} {short(y1)}L{short(x2)} {short(y2)}", class_=style)


def upright(x: float, top: float, bottom: float, **more: object) -> Markup:
    """A mark from top to bottom at `x`, which the page's script moves along by `transform`."""
    d = f"M0 {short(top)}V{short(bottom)}"
    return tag("path", d=d, class_="mark", transform=f"translate({short(x)} 0)", **more)


def disc(place: tuple[float, float] | None, radius: float, part: str) -> Markup:
    """The sun at a place, if it is in the picture; the page's script moves it."""
    x, y = place or (0.0, 0.0)
    hidden = None if place else "hidden"
    return tag("circle", cx=x, cy=y, r=radius, class_="dot", data_part=part, visibility=hidden)


def rect(x: float, y: float, width: float, height: float, style: str) -> Markup:
    """A box."""
    return tag("rect", x=x, y=y, width=max(width, 0.0), height=max(height, 0.0), class_=style)


def boxes(sides: Iterable[tuple[float, float, float, float]], style: str) -> Markup:
    """Boxes of one style, each by its left, top, width and height, as one shape."""
    steps = [
        f"M{short(x, 1)} {short(y, 1)}h{short(w, 1)}v{short(h, 1)}h{short(-w, 1)}z"
        for x, y, w, h in sides
    ]
    return tag("path", d="".join(steps), class_=style) if steps else Markup()


def polygon(points: Sequence[tuple[float, float]], style: str) -> Markup:
    """A closed shape."""
    return tag("path", d=path_of(points, closed=True), class_=style)


def path_of(points: Sequence[tuple[float, float]], *, closed: bool = False) -> str:
    """The path through points."""
    if not points:
        return ""
    steps = "L".join(f"{short(x, 1)} {short(y, 1)}" for x, y in points)
    return f"M{steps}Z" if closed else f"M{steps}"


def stripes(name: str, step: float = 6.0) -> Markup:
    """The pattern of stripes that means a closed shade; fill a shape with `url(#name)`."""
    return tag(
        "defs",
        tag(
            "pattern",
            tag("path", d=f"M0 0V{short(step)}", class_="stripe"),
            id=name,
            width=step,
            height=step,
            patternUnits="userSpaceOnUse",
            patternTransform="rotate(45)",
        ),
    )


def scale_bar(right: float, y: float, scale: float, units: Units) -> Markup:
    """A bar of a metre, or of three feet, that ends at `right`; `scale` units are a metre."""
    metres = 1.0 if units == "metric" else 3 * FOOT
    left = right - metres * scale
    bar = f"M{short(left, 1)} {short(y - 5, 1)}v5H{short(right, 1)}v-5"
    words = text((left + right) / 2.0, y - 6, length(metres, units, "tspan"), "m q small halo")
    return Markup(tag("path", d=bar, class_="axis") + words)


def swatch(style: str) -> Markup:
    """A filled box for a legend."""
    return rect(0, 0, 20, 12, style)


def swatch_line(style: str) -> Markup:
    """A line for a legend."""
    return line(0, 6, 20, 6, style)
