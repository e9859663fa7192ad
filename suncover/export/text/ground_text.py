"""The ground plan of a site as a small drawing in text, for a look at whether it was understood.

a, b …   windows            #  walls of the house
1, 2 …   obstacles and trees, in an area of  :  (obstacle) or  .  (crown of a tree)
+        the origin of the plan
"""

from __future__ import annotations

import math
import string
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from suncover.export.text.text_table import Style, wrapped
from suncover.export.text.words import facing_text
from suncover.site.kinds.polygons import is_well_inside
from suncover.site.model import Obstacle, Site, Tree, Window
from suncover.site.tape.frames import Frame

COLUMNS, LINES = 64, 26  # of the drawing, at the most
MARKS = string.ascii_lowercase
MOST_THINGS = 9
_STEPS = (0.1, 0.2, 0.25, 0.5, 1.0, 2.0, 2.5, 5.0)  # metres a column, and ten times as many

Point = tuple[float, float]


class _Paper(NamedTuple):
    """The piece of ground that is drawn: its north-western corner, and metres a column.

    A line is two columns high, as letters are on a screen.
    """

    west: float
    north: float
    step: float
    columns: int
    lines: int

    def cell(self, point: Point) -> tuple[int, int]:
        """Line and column of a point."""
        # Rounded, so that a wall on the edge of a line does not flicker between two.
        column = math.floor(round((point[0] - self.west) / self.step, 6))
        line = math.floor(round((self.north - point[1]) / (2 * self.step), 6))
        return min(max(line, 0), self.lines - 1), min(max(column, 0), self.columns - 1)

    def middle(self, line: int, column: int) -> Point:
        """The point in the middle of a cell."""
        return (
            self.west + (column + 0.5) * self.step,
            self.north - (line + 0.5) * 2 * self.step,
        )


def ground_lines(site: Site, strong: Style = str) -> Iterator[str]:
    """The drawing with its legend; nothing where less than two things are on the plan."""
    windows = [window for window in site.windows if window.position is not None][: len(MARKS)]
    things = _things(site)
    if not windows or len(windows) + len(things) + len(site.walls) < 2:
        return
    paper = _paper(list(_points(site, windows, things)))
    drawing = [[" "] * paper.columns for _ in range(paper.lines)]
    for thing in things:
        _fill(drawing, paper, thing)
    for number, thing in enumerate(things, 1):
        _mark(drawing, paper, _middle(thing), str(number))
    _mark(drawing, paper, (0.0, 0.0), "+", only_on=" ")
    for wall in site.walls:
        _draw_line(drawing, paper, wall.start or (0.0, 0.0), wall.azimuth, wall.length)
    for mark, window in zip(MARKS, windows, strict=False):
        _mark(drawing, paper, window.position or (0.0, 0.0), mark)
    yield strong("  The plan as it was understood, north up")
    yield f"  a column is {paper.step:g} m, a line {2 * paper.step:g} m; + is the origin"
    yield from (f"    {''.join(line)}".rstrip() for line in _within_edges(drawing))
    for mark, window in zip(MARKS, windows, strict=False):
        text = f"{window.name}, faces {facing_text(window)}, {_whereabouts(window.position)}"
        yield from wrapped(text, first=f"  {mark}  ", indent="     ")
    for number, thing in enumerate(things, 1):
        yield from wrapped(_thing_text(thing), first=f"  {number}  ", indent="     ")


def _within_edges(drawing: list[list[str]]) -> list[list[str]]:
    """The drawing without empty lines before its first and after its last mark."""
    full = [number for number, line in enumerate(drawing) if set(line) != {" "}]
    return drawing[full[0] : full[-1] + 1]


def _things(site: Site) -> list[Obstacle | Tree]:
    """The first of what stands around."""
    things: list[Obstacle | Tree] = list(site.obstacles)
    things += site.trees
    return things[:MOST_THINGS]


def _points(
    site: Site, windows: Sequence[Window], things: Sequence[Obstacle | Tree]
) -> Iterator[Point]:
    """What must be on the drawing."""
    yield 0.0, 0.0
    for window in windows:
        if window.position is not None:
            yield window.position
    for wall in site.walls:
        start = wall.start or (0.0, 0.0)
        yield start
        yield _end(start, wall.azimuth, wall.length)
    for thing in things:
        yield from _outline(thing)


def _outline(thing: Obstacle | Tree) -> tuple[Point, ...]:
    """An obstacle's corners, or two of the square about a crown."""
    if isinstance(thing, Obstacle):
        return thing.footprint
    east, north = thing.trunk
    half = thing.width / 2
    return (east - half, north - half), (east + half, north + half)


def _end(start: Point, azimuth: float, length: float) -> Point:
    """The right end of a wall, seen from outdoors."""
    return Frame(start, azimuth).at(length)


def _paper(points: Sequence[Point]) -> _Paper:
    easts, norths = [point[0] for point in points], [point[1] for point in points]
    wide, high = max(easts) - min(easts), max(norths) - min(norths)
    least_step = max(wide / (COLUMNS - 2), high / (2 * (LINES - 2)), _STEPS[0])
    tens = 1.0
    while (step := next((s * tens for s in _STEPS if s * tens >= least_step), None)) is None:
        tens *= 10
    columns = min(math.floor(wide / step) + 2, COLUMNS)
    lines = min(math.floor(high / (2 * step)) + 2, LINES)
    west = min(easts) - (columns * step - wide) / 2
    north = max(norths) + (lines * 2 * step - high) / 2
    return _Paper(west, north, step, columns, lines)


def _fill(drawing: list[list[str]], paper: _Paper, thing: Obstacle | Tree) -> None:
    easts, norths = zip(*_outline(thing), strict=True)
    top, left = paper.cell((min(easts), max(norths)))
    bottom, right = paper.cell((max(easts), min(norths)))
    for line in range(top, bottom + 1):
        for column in range(left, right + 1):
            point = paper.middle(line, column)
            if isinstance(thing, Obstacle):
                if is_well_inside(point, thing.footprint, 0.0):
                    drawing[line][column] = ":"
            elif math.dist(point, thing.trunk) <= thing.width / 2 and drawing[line][column] == " ":
                drawing[line][column] = "."


def _middle(thing: Obstacle | Tree) -> Point:
    """The middle of what is about a thing."""
    easts, norths = zip(*_outline(thing), strict=True)
    return (min(easts) + max(easts)) / 2, (min(norths) + max(norths)) / 2


def _draw_line(
    drawing: list[list[str]], paper: _Paper, start: Point, azimuth: float, length: float
) -> None:
    count = max(math.ceil(2 * length / paper.step), 1)
    for number in range(count + 1):
        _mark(drawing, paper, _end(start, azimuth, length * number / count), "#")


def _mark(
    drawing: list[list[str]], paper: _Paper, point: Point, mark: str, only_on: str = ""
) -> None:
    line, column = paper.cell(point)
    if not only_on or drawing[line][column] in only_on:
        drawing[line][column] = mark


def _whereabouts(point: Point | None) -> str:
    """A point of the plan in words: `at 4.2 m east, 3 m south`."""
    if point is None:
        return "not on the plan"
    east, north = point
    if abs(east) < 0.005 and abs(north) < 0.005:
        return "at the origin"
    parts = [
        f"{abs(value):.2f} m {word if value > 0 else opposite}"
        for value, word, opposite in ((east, "east", "west"), (north, "north", "south"))
        if abs(value) >= 0.005
    ]
    return f"at {', '.join(parts)}"


def _thing_text(thing: Obstacle | Tree) -> str:
    if isinstance(thing, Obstacle):
        under = f"from {thing.base:g} " if thing.base else ""
        return f"{thing.name}, {under}up to {thing.top:g} m"
    return (
        f"{thing.name}, a crown {thing.width:g} m wide from {thing.bottom:g} to {thing.top:g} m, "
        f"its trunk {_whereabouts(thing.trunk)}"
    )
