"""How much of a glass the rim of a shadow may sweep while the sun moves a little.

The area that a shadow takes of the glass changes where its rim lies on it, and no more than the rim
moves there: by its depth times the change of p in each row that it crosses, and of q in each
column. A row that the shadow covers whole, or does not meet, has no part in it; in one that has the
rim twice, what is won at one end is lost at the other.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from suncover.facade.glazed import Glass
from suncover.facade.yard.drift import Sway
from suncover.facade.yard.solids import Crown, Prism

Floats = NDArray[np.float64]
Span = tuple[Floats, Floats]
"""Where something begins and ends along an axis, (m,) each; begins after its end where it is not.
"""


def swept_by_rim(solid: Prism | Crown, glass: Glass, sway: Sway) -> Floats:
    """At most so many m² of the glass may a solid's shadow give free or take on the way: (m,)."""
    size = glass.width, glass.height
    if isinstance(solid, Crown):
        deep = float(solid.middle[2]) + solid.depth
        if not solid.is_whole:
            return deep * sway.swept(*size)
    else:
        deep = float(np.abs(solid.corners[:, 2]).max())
    p, q = (sway.p_low + sway.p_high) / 2.0, (sway.q_low + sway.q_high) / 2.0
    # No point of the shadow strays farther from where it is in the middle of the way. So what the
    # shadow there holds with as much around it, it holds all along.
    away = deep * (sway.p_high - sway.p_low) / 2.0, deep * (sway.q_high - sway.q_low) / 2.0
    shadow = _Ellipse(solid, p, q) if isinstance(solid, Crown) else _Polygon(solid, p, q)
    crossed = []
    for axis in (0, 1):
        line = -away[1 - axis], size[1 - axis] + away[1 - axis]
        chords = [shadow.chord(1 - axis, level) for level in line]
        tips = shadow.between(1 - axis, *line)
        least = np.minimum(np.minimum(chords[0][0], chords[1][0]), tips[0])
        most = np.maximum(np.maximum(chords[0][1], chords[1][1]), tips[1])
        met = _length(least - away[axis], most + away[axis], size[axis])
        begin = np.maximum(chords[0][0], chords[1][0]) + away[axis]
        end = np.minimum(chords[0][1], chords[1][1]) - away[axis]
        crossed.append(met - _length(begin, end, size[axis]))
    return deep * sway.swept(crossed[0], crossed[1])


def _length(begin: Floats, end: Floats, size: float) -> Floats:
    """How much of an edge from 0 to `size` lies between `begin` and `end`."""
    return np.asarray(np.maximum(np.minimum(end, size) - np.maximum(begin, 0.0), 0.0))


class _Polygon:
    """The shadow of a prism from sun of slopes `p`, `q` (m,)."""

    def __init__(self, prism: Prism, p: Floats, q: Floats) -> None:
        slopes = np.stack([p, q])
        self._corners = prism.corners[:, :2, None] - slopes * prism.corners[:, 2, None, None]
        self._edges = prism.all_edges

    def chord(self, axis: int, level: Floats) -> Span:
        """Where the shadow lies on the line at a `level` (m,) of an axis, along the other."""
        across, along = self._corners[:, axis] - level, self._corners[:, 1 - axis]
        starts, stops = across[self._edges[:, 0]], across[self._edges[:, 1]]
        crosses = (starts <= 0.0) != (stops <= 0.0)
        share = starts / np.where(crosses, starts - stops, 1.0)
        first = along[self._edges[:, 0]]
        place = first + share * (along[self._edges[:, 1]] - first)
        return (
            np.where(crosses, place, np.inf).min(axis=0),
            np.where(crosses, place, -np.inf).max(axis=0),
        )

    def between(self, axis: int, low: Floats, high: Floats) -> Span:
        """From where to where its corners lie that are between two levels of an axis."""
        place, along = self._corners[:, axis], self._corners[:, 1 - axis]
        inside = (place >= low) & (place <= high)
        return (
            np.where(inside, along, np.inf).min(axis=0),
            np.where(inside, along, -np.inf).max(axis=0),
        )


class _Ellipse:
    """The same for a crown that stands before the glass: (x - c)' S^-1 (x - c) <= 1, with the
    ellipsoid's matrix seen along the sun's rays for S.
    """

    def __init__(self, crown: Crown, p: Floats, q: Floats) -> None:
        shape = crown.stretch @ crown.stretch
        self._square = (
            shape[0, 0] - 2.0 * p * shape[0, 2] + p * p * shape[2, 2],
            shape[1, 1] - 2.0 * q * shape[1, 2] + q * q * shape[2, 2],
        )
        self._mixed = shape[0, 1] - q * shape[0, 2] - p * shape[1, 2] + p * q * shape[2, 2]
        self._middle = crown.middle[:2, None] - np.stack([p, q]) * crown.middle[2]

    def chord(self, axis: int, level: Floats) -> Span:
        """As of `_Polygon`."""
        across, along = self._square[axis], self._square[1 - axis]
        away = level - self._middle[axis]
        inside = across - away * away
        area = across * along - self._mixed * self._mixed
        spread = np.sqrt(np.maximum(area * inside, 0.0)) / across
        middle = self._middle[1 - axis] + self._mixed / across * away
        crosses = inside > 0.0
        return np.where(crosses, middle - spread, np.inf), np.where(
            crosses, middle + spread, -np.inf
        )

    def between(self, axis: int, low: Floats, high: Floats) -> Span:
        """As of `_Polygon`, for the points that lie farthest either way."""
        far = np.sqrt(self._square[1 - axis])
        aside = self._mixed / far
        ends = []
        for sign, no_end in ((-1.0, np.inf), (1.0, -np.inf)):
            place = self._middle[axis] + sign * aside
            inside = (place >= low) & (place <= high)
            ends.append(np.where(inside, self._middle[1 - axis] + sign * far, no_end))
        return ends[0], ends[1]
