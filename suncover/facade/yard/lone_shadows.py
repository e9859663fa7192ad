"""The beam that shadows leave of a rectangle of glass, in closed form, for many suns at once.

Most of the time no two shadows meet on a window, and the share of the beam that arrives is a sum.
Where they meet, what all of some have in common counts as well; only what two crowns have in common
has to be drawn.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from suncover.facade.glazed import Glass, Plate
from suncover.facade.yard.common_parts import HalfPlanes, Panes, sides
from suncover.facade.yard.discs import Discs, crown_areas
from suncover.facade.yard.solids import Crown, Prism

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

# What of the extents of a shadow is rounding, and a slope so steep that an edge has no width.
ROUNDING, STEEPEST = 1e-9, 1e9
# Numbers worked out together: bounds the memory.
AT_ONCE = 1 << 19
# Shadows on one pane that are set against each other.
MOST = 6


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


class PrismsAlike(NamedTuple):
    """Prisms with the same `edges` (e, 2), by their `corners` (3, k, n)."""

    corners: Floats
    edges: NDArray[np.intp]

    @classmethod
    def of(cls, prisms: Sequence[Prism]) -> PrismsAlike:
        """Some prisms, all with as many corners and the same edges."""
        return cls(np.stack([prism.corners.T for prism in prisms], axis=-1), prisms[0].all_edges)

    def take(self, index: NDArray[np.intp]) -> PrismsAlike:
        """Those of an `index`."""
        return PrismsAlike(self.corners[..., index], self.edges)


class LoneShadows:
    """The beam that shadows leave of panes, while no two crowns' meet there. Prisms come first."""

    def __init__(self, panes: Panes, p: Floats, q: Floats) -> None:
        self._panes, self._slopes = panes, (p, q)
        count = len(p)
        self._lost, self._through = np.zeros(count), np.ones(count)
        self._number = np.zeros(count, dtype=np.int64)
        # Of the first shadows on each pane: what each takes of the beam, the box about it, the
        # half-planes of a prism's, and the ellipse of a crown's.
        self._taken = np.zeros((MOST, count))
        self._boxes = np.zeros((MOST, 4, count))
        self._planes = np.zeros((3, MOST, 0, count))
        self._ellipses = np.full((MOST, len(Discs._fields), count), np.nan)

    def add(
        self, solid: Prism | Crown, index: NDArray[np.intp], share: Floats | float = 0.0
    ) -> None:
        """The shadow of a solid for the suns of an `index`, with the `share` that it lets through
        for each of them.
        """
        if isinstance(solid, Prism):
            self.add_prisms(PrismsAlike.of([solid]), np.zeros(len(index), dtype=np.intp), index)
            return
        p, q = (slope[index] for slope in self._slopes)
        area, box = crown_areas(solid, p, q, self._panes.take(index))
        taken = np.broadcast_to(1.0 - np.asarray(share), area.shape)
        part, slot = self._put(index, area, box, taken)
        ellipses = np.stack(Discs.of(solid, p[part], q[part]), axis=-1)
        self._ellipses[slot, :, index[part]] = ellipses

    def add_prisms(
        self, prisms: PrismsAlike, which: NDArray[np.intp], index: NDArray[np.intp]
    ) -> None:
        """The shadows of some prisms, each for the sun of an `index`."""
        p, q = (slope[index] for slope in self._slopes)
        shapes = prisms.take(which)
        area, box = prism_areas(shapes, p, q, self._panes.take(index))
        part, slot = self._put(index, area, box, np.ones(area.shape))
        if len(part):
            planes = np.stack(half_planes(shapes.take(part), p[part], q[part]))
            more = planes.shape[1] - self._planes.shape[2]
            if more > 0:
                self._planes = np.pad(self._planes, ((0, 0), (0, 0), (0, more), (0, 0)))
            self._planes[:, slot, : planes.shape[1], index[part]] = planes.transpose(2, 0, 1)

    def _put(
        self, index: NDArray[np.intp], area: Floats, box: Panes, taken: Floats
    ) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
        """Shadows of some areas on the panes of an `index`, each of which may be there more than
        once. Which of them are on a pane among its first, and at what place.
        """
        covers = area >= self._panes.take(index).area * (1.0 - ROUNDING)
        np.multiply.at(self._through, index[covers], 1.0 - taken[covers])
        part = np.flatnonzero((area != 0.0) & ~covers)
        panes = index[part]
        np.add.at(self._lost, panes, area[part] * taken[part])
        slot = self._number[panes] + _ranks(panes)
        np.add.at(self._number, panes, 1)
        part, slot = part[slot < MOST], slot[slot < MOST]
        self._taken[slot, index[part]] = taken[part]
        self._boxes[slot, :, index[part]] = np.stack(box, axis=-1)[part]
        return part, slot

    def left(self) -> tuple[Floats, Bools]:
        """The area in m² that the beam reaches, by what crowns let through; and where that is
        known: (n,) each.
        """
        area = self._panes.area - self._lost
        known = (self._number <= MOST) & np.isfinite(area)
        crowns = np.isfinite(self._ellipses[:, 0])
        most = min(int(self._number.max(initial=0)), MOST)
        for count in range(2, most + 1):
            for together in map(list, combinations(range(most), count)):
                met = np.flatnonzero(known & (self._number > together[-1]))
                met = met[self._meet(together, met)]
                several = crowns[together][:, met].sum(axis=0) > 1
                known[met[several]] = False
                met = met[~several]
                if len(met):
                    weight = (-self._taken[together][:, met]).prod(axis=0)
                    area[met] += weight * self._common(together, met)
        dark = self._through == 0.0
        area = np.maximum(area, 0.0) * self._through
        return np.where(dark, 0.0, area), known | dark

    def _meet(self, together: list[int], index: NDArray[np.intp]) -> Bools:
        """Whether the boxes about some shadows, by their places, have any of a pane in common."""
        boxes, panes = self._boxes[together][:, :, index], self._panes.take(index)
        left, low = np.maximum(boxes[:, 0].max(axis=0), panes.left), boxes[:, 2].max(axis=0)
        right, high = np.minimum(boxes[:, 1].min(axis=0), panes.right), boxes[:, 3].min(axis=0)
        level = np.maximum(low, panes.low) < np.minimum(high, panes.high)
        return np.asarray((left < right) & level)

    def _common(self, together: list[int], index: NDArray[np.intp]) -> Floats:
        """The m² that all of some shadows, by their places, have in common on panes."""
        planes = self._planes[:, together][..., index].reshape(3, -1, len(index))
        planes = np.concatenate([np.stack(self._panes.take(index).half_planes), planes], axis=1)
        shape = sides(HalfPlanes(*planes))
        discs = Discs(*self._ellipses[together[-1]][:, index])
        return np.where(np.isnan(discs.x), shape.area(), discs.area_within(shape))


class _Edges(NamedTuple):
    """Edges of shadows from (x, y), `wide` and `tall`, and on which `side` of each the shadow lies:
    1 for upper ones, -1 for lower ones, 0 where it is none of the outline: (e, n) each.
    """

    x: Floats
    y: Floats
    wide: Floats
    tall: Floats
    side: Floats


def _outline(prisms: PrismsAlike, p: Floats, q: Floats) -> tuple[_Edges, Panes, Bools]:
    """The edges of prisms' shadows, the boxes about them, and whether they are outlines: (n,)."""
    x, y, z = prisms.corners
    across, along = x - p * z, y - q * z
    begins, stops = prisms.edges[:, 0], prisms.edges[:, 1]
    wide, tall = across[stops] - across[begins], along[stops] - along[begins]
    # Twice the area of the triangle that each corner makes with each edge: (e, k, n).
    turn = wide[:, None] * (along[None] - along[begins][:, None])
    turn -= tall[:, None] * (across[None] - across[begins][:, None])
    high, low = turn.max(axis=1), turn.min(axis=1)
    slack = ROUNDING * np.maximum(high, -low)
    upper, lower = (high <= slack) & (low < -slack), (low >= -slack) & (high > slack)
    # An edge that runs to the right is an upper edge if the corners are to the right of it.
    side = np.where(upper, 1.0, np.where(lower, -1.0, 0.0))
    box = Panes(across.min(axis=0), across.max(axis=0), along.min(axis=0), along.max(axis=0))
    extent = np.maximum(box.right - box.left, ROUNDING)
    widths = side * wide
    forth = np.where(widths > 0.0, widths, 0.0).sum(axis=0)
    back = np.where(widths < 0.0, widths, 0.0).sum(axis=0)
    # Round it and back again, each once.
    sound = np.maximum(np.abs(forth - extent), np.abs(back + extent)) < ROUNDING * extent
    return _Edges(across[begins], along[begins], wide, tall, side), box, sound


def _pieces(prisms: PrismsAlike, count: int) -> list[NDArray[np.intp]]:
    """So many suns in pieces, so that prisms of many corners need no more memory than others."""
    size = count * prisms.corners.shape[1] * len(prisms.edges)
    return np.array_split(np.arange(count), max(1, min(count, -(-size // AT_ONCE))))


def _ranks(numbers: NDArray[np.intp]) -> NDArray[np.intp]:
    """How many of the same there are before each of some numbers."""
    order = np.argsort(numbers, kind="stable")
    sorted_numbers = numbers[order]
    ranks = np.empty(len(numbers), dtype=np.intp)
    ranks[order] = np.arange(len(numbers)) - np.searchsorted(sorted_numbers, sorted_numbers)
    return ranks


def prism_areas(prisms: PrismsAlike, p: Floats, q: Floats, panes: Panes) -> tuple[Floats, Panes]:
    """The area of the shadow of each of some prisms on a pane: (n,); nan where its outline is not
    found. And the box about the shadow.

    What lies below the upper edges of the outline, less what lies below the lower ones.
    """
    pieces = _pieces(prisms, len(p))
    if len(pieces) > 1:
        parts = [
            prism_areas(prisms.take(piece), p[piece], q[piece], panes.take(piece))
            for piece in pieces
        ]
        sides = zip(*(box for _, box in parts), strict=True)
        return np.concatenate([area for area, _ in parts]), Panes(*map(np.concatenate, sides))
    edges, box, sound = _outline(prisms, p, q)
    area = np.abs((edges.side * _under(*edges[:4], panes)).sum(axis=0))
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


def half_planes(prisms: PrismsAlike, p: Floats, q: Floats) -> HalfPlanes:
    """What has in common what each prism's shadow is: (h, n) each, of as many as any has sides."""
    pieces = _pieces(prisms, len(p))
    if len(pieces) > 1:
        parts = [np.stack(half_planes(prisms.take(piece), p[piece], q[piece])) for piece in pieces]
        most = max(part.shape[1] for part in parts)
        parts = [np.pad(part, ((0, 0), (0, most - part.shape[1]), (0, 0))) for part in parts]
        return HalfPlanes(*np.concatenate(parts, axis=2))
    edges, _, _ = _outline(prisms, p, q)
    # Those that are of the outline first.
    order = np.argsort(edges.side == 0.0, axis=0, kind="stable")
    order = order[: int((edges.side != 0.0).sum(axis=0).max(initial=0))]
    x, y, wide, tall, side = (np.take_along_axis(values, order, axis=0) for values in edges)
    length = np.hypot(wide, tall)
    side = side / np.where(length > 0.0, length, 1.0)
    a, b = -tall * side, wide * side
    return HalfPlanes(a, b, a * x + b * y)
