"""Room for words in a picture, so that no two are printed over each other.

The page's script reckons in the same way, with the same numbers.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from suncover.report.pictures import draw
from suncover.report.pictures.markup import Markup, tag

Floats = NDArray[np.float64]
Point = tuple[float, float]

LETTER = 7.8  # width of a letter on a desk, picture units
ABOVE, BELOW = 11.0, 3.0  # how far letters reach from the line that they stand on
_MIDDLE = 4.0  # the middle of letters above that line
_APART = 13.0  # between the middles of two slanted words
# Between two hours, across and up. In a wide picture letters grow on a phone.
ROOM, WIDE_ROOM = (18.0, 14.0), (26.0, 22.0)


@dataclass(frozen=True)
class Word:
    """Words at a point of a picture; `style` as for `draw.text`, by which they may be centred on it
    (m) or end at it (e).
    """

    x: float
    y: float
    words: str
    style: str = ""

    @property
    def drawn(self) -> Markup:
        """The words as SVG."""
        return draw.text(self.x, self.y, self.words, self.style)

    def hits(self, word: Word) -> bool:
        """Would the two be printed over each other?"""
        (left, right), (word_left, word_right) = self._sides, word._sides
        level = -ABOVE - BELOW < word.y - self.y < ABOVE + BELOW
        return level and left < word_right and word_left < right

    @property
    def points(self) -> Floats:
        """Points along the middle of the words, (n, 2)."""
        left, right = self._sides
        return points_along((left, self.y - _MIDDLE), (right, self.y - _MIDDLE))

    @property
    def _sides(self) -> tuple[float, float]:
        width, styles = LETTER * len(self.words), self.style.split()
        left = self.x - (width / 2.0 if "m" in styles else width if "e" in styles else 0.0)
        return left, left + width


def hour_word(
    hour: int,
    places: Iterable[tuple[float, float]],
    written: list[Word],
    room: tuple[float, float] = ROOM,
) -> list[Markup]:
    """An hour at the first of some places that has room beside the words `written`; nothing if none
    has.

    It keeps `room`, across or up, from other hours, and is then among the words `written`.
    """
    for x, y in places:
        word = Word(x, y, f"{hour}", "m sunt halo")
        if not any(_crowds(word, neighbour, room) for neighbour in written):
            written.append(word)
            return [word.drawn]
    return []


def _crowds(hour: Word, word: Word, room: tuple[float, float]) -> bool:
    if word.style == hour.style:
        return abs(word.x - hour.x) < room[0] and abs(word.y - hour.y) < room[1]
    return hour.hits(word)


def hour_dot(point: Point, radius: float, *, lit: bool) -> Markup:
    """The dot of a full hour, filled where the glass is in sun."""
    x, y = point
    return tag("circle", cx=x, cy=y, r=radius, class_="dot" if lit else "ring")


@dataclass(frozen=True)
class Slanted:
    """Words along a line that falls by `turn` degrees to the right, `shift` below it.

    They begin at `point`, or end at it (`ends`).
    """

    words: str
    point: Point
    turn: float
    shift: float
    ends: bool = False

    @property
    def drawn(self) -> Markup:
        """The words as SVG."""
        x, y = self.point
        turned = f"translate({x:.1f} {y:.1f}) rotate({self.turn:.1f})"
        style = "t q e halo" if self.ends else "t q halo"
        return tag("text", self.words, y=self.shift, class_=style, transform=turned)

    @property
    def points(self) -> Floats:
        """Points along the middle of the words, (n, 2)."""
        turn = np.radians(self.turn)
        way = np.array([np.cos(turn), np.sin(turn)])
        down = np.array([-way[1], way[0]])
        length = 7.2 * len(self.words)
        start = np.array(self.point) + down * (self.shift - _MIDDLE)
        if self.ends:
            start = start - way * length
        return points_along(tuple(start), tuple(start + way * length))


def first_free(
    places: Iterable[Slanted], words_so_far: Sequence[Floats], width: float, height: float
) -> Slanted | None:
    """The first of some places for words that lies in the picture, away from other words."""
    for slanted in places:
        points = slanted.points
        edge = np.minimum(points, np.array([width, height]) - points).min()
        if edge >= _APART / 2.0 and not any(_are_close(points, label) for label in words_so_far):
            return slanted
    return None


def _are_close(points: Floats, words: Floats) -> bool:
    apart = points[:, None, :] - words[None, :, :]
    return bool((np.hypot(apart[..., 0], apart[..., 1]) < _APART).any())


def points_along(start: Sequence[float], end: Sequence[float]) -> Floats:
    """Points every few units from `start` to `end`."""
    count = max(2, int(np.hypot(end[0] - start[0], end[1] - start[1]) / 5.0))
    return np.linspace(np.asarray(start, dtype=np.float64), np.asarray(end), count)
