"""Shapes that are made of rows: each row holds spans, and neighbours that meet make one band.

Carpets are such shapes (a row a day, spans of the clock), and so are parts of the sky (a row a
degree of height). Drawn band by band they have a fifth of the size of boxes.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from suncover.report.pictures.markup import short

Span = tuple[float, float]
Floats = NDArray[np.float64]
Place = Callable[[Floats, Floats], tuple[Floats, Floats]]
"""From (row, value) to a point of the picture, of many at once."""


@dataclass
class Band:
    """Spans of neighbouring rows, the first of which is number `first`."""

    first: int
    spans: list[Span] = field(default_factory=list)


def bands_of(rows: Sequence[Sequence[Span]]) -> list[Band]:
    """The bands of rows of spans, each row's in order and apart.

    A band goes on to the next row where its last span meets just one span of that row, and that
    span meets no other band.
    """
    bands: list[Band] = []
    open_bands: list[Band] = []
    for row, spans in enumerate(rows):
        still_open: list[Band] = []
        for span in spans:
            above = [band for band in open_bands if _meet(band.spans[-1], span)]
            if len(above) == 1 and sum(_meet(above[0].spans[-1], below) for below in spans) == 1:
                band = above[0]
            else:
                band = Band(row)
                bands.append(band)
            band.spans.append(span)
            still_open.append(band)
        open_bands = still_open
    return bands


def _meet(first: Span, second: Span) -> bool:
    return first[0] < second[1] and second[0] < first[1]


def band_path(rows: Sequence[Sequence[Span]], place: Place, *, ease: float = 0.0) -> str:
    """The outlines of all bands as one path: steps along the rows' starts, and back along their
    ends. With `ease` it goes through the middle of each row's end instead, and leaves that line by
    no more than so much.
    """
    outlines = [_outline(band, place, smooth=ease > 0.0) for band in bands_of(rows)]
    if ease:
        outlines = ease_lines(outlines, ease, closed=True)
    return "".join(relative_path(outline) for outline in outlines)


def ease_lines(lines: Sequence[Floats], most: float, *, closed: bool = False) -> list[Floats]:
    """Lines (n, 2) with fewer points, that leave the given lines by no more than `most`."""
    import shapely

    simpler = []
    for line in lines:
        if len(line) < 3:  # nothing to leave out
            simpler.append(line)
            continue
        shape = shapely.Polygon(line) if closed else shapely.LineString(line)
        points = shapely.get_coordinates(shapely.simplify(shape, most))
        simpler.append(points[:-1] if closed else points)
    return simpler


def _outline(band: Band, place: Place, *, smooth: bool) -> Floats:
    starts, ends = (_side(band, end, place, smooth=smooth) for end in (0, 1))
    return np.concatenate([starts, ends[::-1]])


def _side(band: Band, end: int, place: Place, *, smooth: bool) -> Floats:
    """Along the rows' starts (0) or their ends (1): from each row's beginning to the next's, or
    from middle to middle.
    """
    rows = np.arange(band.first, band.first + len(band.spans) + 1, dtype=np.float64)
    values = np.array(band.spans)[:, end]
    if smooth:
        rows = np.concatenate([rows[:1], (rows[1:] + rows[:-1]) / 2.0, rows[-1:]])
        return np.stack(place(rows, np.concatenate([values[:1], values, values[-1:]])), axis=1)
    return np.stack(place(np.repeat(rows, 2)[1:-1], np.repeat(values, 2)), axis=1)


def band_edges(rows: Sequence[Sequence[Span]], place: Place, *, ease: float = 0.0) -> str:
    """The lines around all that is in rows, as one path: none runs where two bands meet. `ease` as
    for `band_path`.
    """
    steps = []
    for band in bands_of(rows):
        sides = [_side(band, end, place, smooth=ease > 0.0) for end in (0, 1)]
        steps += [
            relative_path(side, closed=False)
            for side in (ease_lines(sides, ease) if ease else sides)
        ]
        last = band.first + len(band.spans)
        before = rows[band.first - 1] if band.first else ()
        after = rows[last] if last < len(rows) else ()
        for row, span, neighbours in (
            (band.first, band.spans[0], before),
            (last, band.spans[-1], after),
        ):
            for part in parts_outside(span, neighbours):
                line = np.stack(place(np.full(2, float(row)), np.array(part)), axis=1)
                steps.append(relative_path(line, closed=False))
    return "".join(steps)


def parts_outside(span: Span, neighbours: Sequence[Span]) -> list[Span]:
    """The parts of a span that are in none of its neighbours, which are in order and apart."""
    parts = []
    at, end = span
    for start, stop in neighbours:
        if at < min(start, end):
            parts.append((at, min(start, end)))
        at = max(at, stop)
    return [*parts, (at, end)] if at < end else parts


def relative_path(points: ArrayLike, *, closed: bool = True) -> str:
    """A path in steps from point to point (n, 2), a tenth of a unit fine, as short as it goes.

    Every point is right to the tenth: what rounding leaves is made good at the next.
    """
    tenths = np.rint(np.asarray(points, dtype=np.float64) * 10.0).astype(np.int64)
    steps = np.diff(tenths, axis=0)
    steps = steps[steps.any(axis=1)]
    # Steps in one direction are one step, until it turns.
    level, plumb = steps[:, 1] == 0, steps[:, 0] == 0
    goes_on = (level[1:] & level[:-1]) | (plumb[1:] & plumb[:-1])
    turns = np.flatnonzero(np.concatenate([[True], ~goes_on]))
    runs = np.add.reduceat(steps, turns, axis=0) if len(steps) else steps
    x, y = tenths[0].tolist()
    path = f"M{_tenths(x)} {_tenths(y)}" + "".join(_step(*step) for step in runs.tolist())
    return path + ("z" if closed else "")


def _step(across: int, down: int) -> str:
    if across and down:
        return f"l{_tenths(across)} {_tenths(down)}"
    if across:
        return f"h{_tenths(across)}"
    return f"v{_tenths(down)}" if down else ""


@cache
def _tenths(value: int) -> str:
    text = short(value / 10.0, 1)
    return text.replace("0.", ".", 1) if text.startswith(("0.", "-0.")) else text
