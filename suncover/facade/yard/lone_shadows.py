"""The area that one shadow takes of a rectangle of glass, in closed form, for many suns at once.

Most of the time no two shadows meet on a window. Then the share of the beam that arrives is a sum,
and nothing has to be drawn.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from suncover.facade.glazed import Glass, Plate
from suncover.facade.yard.solids import Crown, Prism

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

# What of the extents of a shadow is rounding, and a slope so steep that an edge has no width.
ROUNDING, STEEPEST = 1e-9, 1e9
# Shadows on one pane whose places are compared.
MOST = 4


class Panes(NamedTuple):
    """Rectangles of glass, (n,) each."""

    left: Floats
    right: Floats
    low: Floats
    high: Floats

    @property
    def area(self) -> Floats:
        """Their areas in m²; 0 where nothing is left."""
        return np.maximum(self.right - self.left, 0.0) * np.maximum(self.high - self.low, 0.0)

    def take(self, some: NDArray[np.intp]) -> Panes:
        """Only those that `some` picks."""
        return Panes(*(side[some] for side in self))


def open_pane(glass: Glass, p: Floats, q: Floats) -> Panes:
    """What the reveal leaves of a glass, for each sun: (n,)."""
    aside, above = glass.reveal * p, glass.reveal * q
    return Panes(
        np.maximum(0.0, -aside),
        glass.width - np.maximum(0.0, aside),
        np.maximum(0.0, -above),
        glass.height - np.maximum(0.0, above),
    )


def plate_before(plate: Plate, reveal: float) -> Prism:
    """A plate as a solid without thickness, from the face of the wall on."""
    begin, end = plate.drawn_ends
    ends = [(begin, reveal), (end, reveal), (end, plate.far), (begin, plate.far)]
    if plate.kind == "top":
        corners = [(along, plate.line, z) for along, z in ends]
    else:
        corners = [(plate.line, along, z) for along, z in ends]
    return Prism(np.array(corners), np.array([[0, 1], [1, 2], [2, 3], [3, 0]]))


class LoneShadows:
    """The beam that shadows leave of panes, while no two of them lie where they may overlap."""

    def __init__(self, panes: Panes) -> None:
        self._panes = panes
        count = len(panes.left)
        self._lost, self._through = np.zeros(count), np.ones(count)
        self._number = np.zeros(count, dtype=np.int64)
        self._boxes = np.zeros((MOST, 4, count))

    def add(
        self,
        solid: Prism | Crown,
        some: NDArray[np.intp],
        slopes: tuple[Floats, Floats],
        share: Floats | float = 0.0,
    ) -> None:
        """The shadow of a solid for `some` of the suns, by their `slopes`, all (n,), with the
        `share` that it lets through, of these.
        """
        p, q, panes = slopes[0][some], slopes[1][some], self._panes.take(some)
        if isinstance(solid, Crown):
            area, box = crown_areas(solid, p, q, panes)
        else:
            area, box = prism_areas(solid, p, q, panes)
        share = np.broadcast_to(share, area.shape)
        whole = panes.area
        covers = area >= whole * (1.0 - ROUNDING)
        self._through[some[covers]] *= share[covers]
        apart = np.flatnonzero((area != 0.0) & ~covers)
        some = some[apart]
        self._lost[some] += area[apart] * (1.0 - share[apart])
        room = self._number[some] < MOST
        self._boxes[self._number[some[room]], :, some[room]] = np.stack(box, axis=-1)[apart[room]]
        self._number[some] += 1

    def left(self) -> tuple[Floats, Bools]:
        """The area in m² that the beam reaches, by what crowns let through; and where that is
        known: (n,) each.
        """
        known = (self._number <= MOST) & np.isfinite(self._lost)
        for one in range(MOST):
            for other in range(one):
                both = self._number > one
                if both.any():
                    known &= ~both | self._are_apart(self._boxes[one], self._boxes[other])
        area = np.maximum(self._panes.area - self._lost, 0.0) * self._through
        dark = self._through == 0.0
        return np.where(dark, 0.0, area), known | dark

    def _are_apart(self, one: Floats, other: Floats) -> Bools:
        panes = self._panes
        left, low = (np.maximum(one[n], other[n]) for n in (0, 2))
        right, high = (np.minimum(one[n], other[n]) for n in (1, 3))
        across = np.maximum(left, panes.left) >= np.minimum(right, panes.right)
        above = np.maximum(low, panes.low) >= np.minimum(high, panes.high)
        return np.asarray(across | above)


def prism_areas(prism: Prism, p: Floats, q: Floats, panes: Panes) -> tuple[Floats, Panes]:
    """The area of a prism's shadow on each pane: (n,); nan where its outline is not found. And the
    box about the shadow.

    What lies below the upper edges of the outline, less what lies below the lower ones.
    """
    x, y, z = prism.corners.T
    across, along = x[:, None] - p * z[:, None], y[:, None] - q * z[:, None]
    edges = prism.all_edges
    one, other = edges[:, 0], edges[:, 1]
    wide, tall = across[other] - across[one], along[other] - along[one]
    # Twice the area of the triangle that each corner makes with each edge: (e, k, n).
    turn = wide[:, None] * (along[None] - along[one][:, None])
    turn -= tall[:, None] * (across[None] - across[one][:, None])
    high, low = turn.max(axis=1), turn.min(axis=1)
    slack = ROUNDING * np.maximum(high, -low)
    upper, lower = (high <= slack) & (low < -slack), (low >= -slack) & (high > slack)
    # With the corners to the right of it, an edge that runs to the right is an upper one.
    side = np.where(upper, 1.0, np.where(lower, -1.0, 0.0))
    box = Panes(across.min(axis=0), across.max(axis=0), along.min(axis=0), along.max(axis=0))
    extent = np.maximum(box.right - box.left, ROUNDING)
    widths = side * wide
    total = np.where(widths > 0.0, widths, 0.0).sum(axis=0)
    back = np.where(widths < 0.0, widths, 0.0).sum(axis=0)
    sound = (np.abs(total - extent) < ROUNDING * extent) & (
        np.abs(back + extent) < ROUNDING * extent
    )
    under = _under(across[one], along[one], wide, tall, panes)
    area = np.abs((side * under).sum(axis=0))
    beside = (box.left >= panes.right) | (box.right <= panes.left)
    beside |= (box.low >= panes.high) | (box.high <= panes.low)
    area = np.where(sound, np.minimum(area, panes.area), np.nan)
    return np.where(beside, 0.0, area), box


def _under(x: Floats, y: Floats, wide: Floats, tall: Floats, panes: Panes) -> Floats:
    """The signed area below edges (e, n) from (x, y), `wide` and `tall`, within each pane."""
    with np.errstate(divide="ignore", invalid="ignore"):
        slope = tall / wide
        begin = np.clip(x, panes.left, panes.right)
        end = np.clip(x + wide, panes.left, panes.right)
        first = y + (begin - x) * slope - panes.low
        last = y + (end - x) * slope - panes.low
        height = panes.high - panes.low
        rise = last - first
        steep = (np.abs(rise) > ROUNDING) & (np.abs(slope) < STEEPEST)
        mean = np.where(
            steep,
            (_summed(last, height) - _summed(first, height)) / np.where(steep, rise, 1.0),
            np.clip((first + last) / 2.0, 0.0, height),
        )
    return np.where(end == begin, 0.0, mean * (end - begin))


def _summed(level: Floats, height: Floats) -> Floats:
    """The integral of a level cut to 0 and `height`, from 0 to `level`."""
    inside = np.clip(level, 0.0, height)
    return inside * inside / 2.0 + np.maximum(level - height, 0.0) * height


def crown_areas(crown: Crown, p: Floats, q: Floats, panes: Panes) -> tuple[Floats, Panes]:
    """The area of a crown's shadow on each pane: (n,); nan where some of the crown that throws it
    may lie behind the glass. And the box about the shadow.

    In the plane in which the shadow is the unit disc, the pane is a quadrangle: each of its sides
    gives a piece of triangle where it runs in the disc, and pieces of the disc where it does not.
    """
    shape = crown.stretch @ crown.stretch
    xx = shape[0, 0] - 2.0 * p * shape[0, 2] + p * p * shape[2, 2]
    yy = shape[1, 1] - 2.0 * q * shape[1, 2] + q * q * shape[2, 2]
    xy = shape[0, 1] - q * shape[0, 2] - p * shape[1, 2] + p * q * shape[2, 2]
    # The root of the ellipse's matrix: x = root u, y = lean u + rest v.
    root = np.sqrt(xx)
    lean = xy / root
    rest = np.sqrt(np.maximum(yy - lean * lean, 0.0))
    middle = crown.middle[:2, None] - np.stack([p, q]) * crown.middle[2]
    x = np.stack([panes.left, panes.right, panes.right, panes.left]) - middle[0]
    y = np.stack([panes.low, panes.low, panes.high, panes.high]) - middle[1]
    u = x / root
    v = (y - lean * u) / rest
    area = _disc_beside(u, v, np.roll(u, -1, axis=0), np.roll(v, -1, axis=0)).sum(axis=0)
    found = np.clip(area * root * rest, 0.0, panes.area)
    found = np.where(panes.area > 0.0, found, 0.0)
    # Amid the crown, a ray is so far out: evenly more from one side of the pane to the other.
    first = (shape[0, 2] - p * shape[2, 2]) / root
    second = (shape[1, 2] - q * shape[2, 2] - lean * first) / rest
    nearest = (crown.middle[2] + first * u + second * v).min(axis=0)
    wide, tall = root, np.sqrt(yy)
    box = Panes(middle[0] - wide, middle[0] + wide, middle[1] - tall, middle[1] + tall)
    return np.where((nearest > 0.0) | (found <= ROUNDING), found, np.nan), box


def _disc_beside(u: Floats, v: Floats, u2: Floats, v2: Floats) -> Floats:
    """The signed area of the unit disc between its middle and the line from (u, v) to (u2, v2)."""
    du, dv = u2 - u, v2 - v
    size = du * du + dv * dv
    size = np.where(size > 0.0, size, 1.0)
    toward = u * du + v * dv
    square = toward * toward - size * (u * u + v * v - 1.0)
    reach = np.sqrt(np.maximum(square, 0.0))
    enters = np.clip((-toward - reach) / size, 0.0, 1.0)
    leaves = np.clip((-toward + reach) / size, 0.0, 1.0)
    first, last = (u + enters * du, v + enters * dv), (u + leaves * du, v + leaves * dv)
    inside = first[0] * last[1] - first[1] * last[0]
    return (_turn(u, v, *first) + inside + _turn(*last, u2, v2)) / 2.0


def _turn(u: Floats, v: Floats, u2: Floats, v2: Floats) -> Floats:
    """The angle at the middle from one point to another, in radians."""
    return np.arctan2(u * v2 - v * u2, u * u2 + v * v2)
