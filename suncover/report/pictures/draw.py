"""The few shapes that pictures are drawn with, as SVG."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from suncover.report.pictures.markup import Content, Markup, short, tag
from suncover.report.units import FOOT, Units, length

Box = tuple[float, float, float, float]
"""Left, top, width and height."""


def text(x: float, y: float, words: Content, style: str = "") -> Markup:
    """Words in a picture; `style` adds classes: m middle, e end, q quiet, b bold."""
    return tag("text", words, x=x, y=y, class_=f"t {style}".rstrip())


def line(x1: float, y1: float, x2: float, y2: float, style: str) -> Markup:
    """A straight line."""
    return tag("path", d=f"M{short(x1)} {short(y1)}L{short(x2)} {short(y2)}", class_=style)


def upright(x: float, top: float, bottom: float, **attributes: object) -> Markup:
    """A mark from top to bottom at `x`, which the page's script moves along by `transform`."""
    d = f"M0 {short(top)}V{short(bottom)}"
    return tag("path", d=d, class_="mark", transform=f"translate({short(x)} 0)", **attributes)


def disc(point: tuple[float, float] | None, radius: float, part: str) -> Markup:
    """The sun at a point, if it is in the picture; the page's script moves it."""
    x, y = point or (0.0, 0.0)
    hidden = None if point else "hidden"
    return tag("circle", cx=x, cy=y, r=radius, class_="dot", data_part=part, visibility=hidden)


def rect(x: float, y: float, width: float, height: float, style: str) -> Markup:
    """A box."""
    return tag("rect", x=x, y=y, width=max(width, 0.0), height=max(height, 0.0), class_=style)


def boxes(sides: Iterable[Box], style: str) -> Markup:
    """Boxes of one style as one shape."""
    steps = [
        f"M{short(x, 1)} {short(y, 1)}h{short(w, 1)}v{short(h, 1)}h{short(-w, 1)}z"
        for x, y, w, h in sides
    ]
    return tag("path", d="".join(steps), class_=style) if steps else Markup()


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
