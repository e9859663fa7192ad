"""Shapes that are made of rows: each row holds spans, and neighbours that meet make one band.

Carpets are such shapes (a row a day, spans of the clock), and so are parts of the sky (a row a
degree of height). Drawn band by band they have a fifth of the size of boxes.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from suncover.report.pictures.markup import short

Span = tuple[float, float]
Place = Callable[[float, float], tuple[float, float]]
"""From (row, value) to a place in the picture."""


@dataclass
class Band:
    """Spans of neighbouring rows, the first of which is number `first`."""

    first: int
    spans: list[Span] = field(default_factory=list)


def bands(rows: Sequence[Sequence[Span]]) -> list[Band]:
    """The bands of rows of spans, each row's in order and apart.

    A band goes on to the next row where one of its spans meets just one of that row's, and that
    one meets no other.
    """
    found: list[Band] = []
    open_bands: list[Band] = []
    for row, spans in enumerate(rows):
        going: list[Band] = []
        for span in spans:
            above = [band for band in open_bands if _meet(band.spans[-1], span)]
            if len(above) == 1 and sum(_meet(above[0].spans[-1], one) for one in spans) == 1:
                band = above[0]
            else:
                band = Band(row)
                found.append(band)
            band.spans.append(span)
            going.append(band)
        open_bands = going
    return found


def _meet(some: Span, other: Span) -> bool:
    return some[0] < other[1] and other[0] < some[1]


def band_path(rows: Sequence[Sequence[Span]], place: Place) -> str:
    """The outlines of all bands as one path: steps along the rows' starts, and back along their
    ends.
    """
    return "".join(_outline(band, place) for band in bands(rows))


def _outline(band: Band, place: Place) -> str:
    points = []
    for row, (start, _) in enumerate(band.spans, band.first):
        points += [place(row, start), place(row + 1, start)]
    for row, (_, end) in reversed(list(enumerate(band.spans, band.first))):
        points += [place(row + 1, end), place(row, end)]
    return relative(points)


def band_edges(rows: Sequence[Sequence[Span]], place: Place) -> str:
    """The lines around all that is in rows, as one path: none runs where two bands meet."""
    steps = []
    for band in bands(rows):
        for end in (0, 1):
            chain = []
            for row, span in enumerate(band.spans, band.first):
                chain += [place(row, span[end]), place(row + 1, span[end])]
            steps.append(relative(chain, closed=False))
        last = band.first + len(band.spans)
        before = rows[band.first - 1] if band.first else ()
        after = rows[last] if last < len(rows) else ()
        for row, span, others in (
            (band.first, band.spans[0], before),
            (last, band.spans[-1], after),
        ):
            for start, stop in _left_of(span, others):
                steps.append(relative([place(row, start), place(row, stop)], closed=False))
    return "".join(steps)


def _left_of(span: Span, others: Sequence[Span]) -> list[Span]:
    """The parts of a span that are in none of others, which are in order and apart."""
    left = []
    at, end = span
    for start, stop in others:
        if at < min(start, end):
            left.append((at, min(start, end)))
        at = max(at, stop)
    return [*left, (at, end)] if at < end else left


def relative(points: Sequence[tuple[float, float]], *, closed: bool = True) -> str:
    """A path in steps from point to point, a tenth of a unit fine, as short as it goes.

    Every point is right to the tenth: what rounding leaves is made good at the next.
    """
    pen = _Pen(*(round(value * 10) for value in points[0]))
    for x, y in points[1:]:
        pen.go(round(x * 10), round(y * 10))
    return pen.path(closed)


class _Pen:
    """Where a path has come to, in tenths; steps in one direction are kept until it turns."""

    def __init__(self, x: int, y: int) -> None:
        self._x, self._y = x, y
        self._across = self._down = 0
        self._steps = [f"M{_tenths(x)} {_tenths(y)}"]

    def go(self, x: int, y: int) -> None:
        """On to a point."""
        across, down = x - self._x, y - self._y
        self._x, self._y = x, y
        if (down and self._across) or (across and self._down):
            self._flush()
        self._across, self._down = self._across + across, self._down + down
        if across and down:
            self._flush()

    def path(self, closed: bool) -> str:
        """What was drawn."""
        self._flush()
        return "".join(self._steps) + ("z" if closed else "")

    def _flush(self) -> None:
        if self._across and self._down:
            self._steps.append(f"l{_tenths(self._across)} {_tenths(self._down)}")
        elif self._across:
            self._steps.append(f"h{_tenths(self._across)}")
        elif self._down:
            self._steps.append(f"v{_tenths(self._down)}")
        self._across = self._down = 0


def _tenths(value: int) -> str:
    text = short(value / 10.0, 1)
    return text.replace("0.", ".", 1) if text.startswith(("0.", "-0.")) else text
