"""The window from above as it is laid on paper, and where words stand in it.

The room is at the top, out of doors at the bottom, so that left and right are as seen from
outdoors. Points are (right, in): metres to the right of the middle of the glass, and level into the
room from its lower edge.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from suncover.report.pictures import draw
from suncover.report.pictures.figure import HALF
from suncover.report.window_year import ROOM_DEPTH, ROOM_SIDE, WindowYear
from suncover.site.model import Window

Point = tuple[float, float]
Ring = NDArray[np.float64]

DIAL = 104.0
"""Radius on paper of the dial of hours out of doors."""
LABELS = 18.0
"""Hours stand so far outside the dial."""
SHALLOW, FARTHEST, WITHIN, ASIDE = 0.3, 0.02, 0.8, 0.15
"""Where a patch's hour stands: none in a patch less deep than SHALLOW, metres; else near its points
less than FARTHEST from the farthest, by WITHIN as a share of the way from its middle; not nearer to
the picture's side than ASIDE.
"""
MARGIN = 6.0
HEAD = 24.0  # above the room, for a line of words
_DEEP = 4.5  # metres of the room drawn, at the least


@dataclass(frozen=True)
class Top:
    """How the view is laid on paper."""

    year: WindowYear

    @property
    def window(self) -> Window:
        """The window, which the picture is of."""
        return self.year.window

    @cached_property
    def half_width(self) -> float:
        """Metres drawn to either side of the middle of the glass."""
        return min(max(self.window.width / 2.0 + 1.6, 2.4), ROOM_SIDE)

    @cached_property
    def depth(self) -> float:
        """Metres of the room that are drawn: as deep as the sun falls, within limits."""
        return float(np.clip(self.year.deepest, _DEEP, ROOM_DEPTH))

    @cached_property
    def scale(self) -> float:
        """Picture units to a metre."""
        return (HALF - 2 * MARGIN) / (2.0 * self.half_width)

    @cached_property
    def foot(self) -> float:
        """Height in the picture of the glass's lower edge."""
        return HEAD + self.depth * self.scale

    @property
    def height(self) -> float:
        """Height of the picture."""
        return self.foot + max(DIAL + LABELS + 14.0, self._built * self.scale + 10.0)

    @property
    def _built(self) -> float:
        """How far out something is built, metres."""
        depths = [fin.depth for fin in self.window.fins]
        if self.window.overhang is not None:
            depths.append(self.window.overhang.depth)
        return self.window.reveal + max(depths, default=0.0)

    def paper(self, point: Point) -> Point:
        """A point of the plan in the picture."""
        right, inward = point
        return HALF / 2.0 + right * self.scale, self.foot - inward * self.scale

    def path(self, points: Iterable[Point], *, closed: bool = False) -> str:
        """The path through points of the plan."""
        return draw.path_of([self.paper(point) for point in points], closed=closed)

    def patch_path(self, rings: Iterable[Ring]) -> str:
        """The outlines of a patch of sun on the floor."""
        return "".join(self.path(ring[:, ::-1].tolist(), closed=True) for ring in rings)

    def on_dial(self, side: float, beyond: float = 0.0) -> Point:
        """A point on the dial, `side` degrees to the right as one looks out."""
        turn = np.radians(side)
        radius = DIAL + beyond
        # Seen from outdoors, what is to the right of one looking out is to the left.
        return HALF / 2.0 - radius * float(np.sin(turn)), self.foot + radius * float(np.cos(turn))


def label_places(rings: Sequence[Ring], hiding: Sequence[Ring]) -> list[Point]:
    """Where a patch's hour may stand, (inward, right): first where the fewest of the rings `hiding`
    lie.
    """
    if not rings:
        return []
    ring = max(rings, key=lambda ring: float(ring[:, 0].max()))
    middle, deep = ring.mean(axis=0), ring[:, 0].max()
    if deep < SHALLOW:
        return []
    far = ring[ring[:, 0] > deep - FARTHEST]
    ends = [far.mean(axis=0), far[far[:, 1].argmin()], far[far[:, 1].argmax()]]
    points = [WITHIN * end + (1.0 - WITHIN) * middle for end in ends]
    points.append(middle)
    hidden = [sum(_holds(above, point) for above in hiding) for point in points]
    order = sorted(range(len(points)), key=hidden.__getitem__)
    return [(float(points[n][0]), float(points[n][1])) for n in order]


def _holds(ring: Ring, point: NDArray[np.float64]) -> bool:
    """Whether a point lies within a ring: a line from it crosses the ring at odd times."""
    start, end = ring, np.roll(ring, -1, axis=0)
    spans = (start[:, 1] > point[1]) != (end[:, 1] > point[1])
    with np.errstate(divide="ignore", invalid="ignore"):
        share = (point[1] - start[:, 1]) / (end[:, 1] - start[:, 1])
        inward = start[:, 0] + share * (end[:, 0] - start[:, 0])
    return bool(np.count_nonzero(spans & (inward > point[0])) % 2)
