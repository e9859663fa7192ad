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
# Numbers worked out together: bounds the memory.
AT_ONCE = 1 << 19
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

    def take(self, index: NDArray[np.intp]) -> Panes:
        """The panes of an `index`."""
        return Panes(*(side[index] for side in self))


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
    """The beam that shadows leave of panes, while no two of them may overlap but one crown's with
    those of prisms: these are added first.
    """

    def __init__(self, panes: Panes, p: Floats, q: Floats) -> None:
        self._panes, self._slopes = panes, (p, q)
        count = len(p)
        self._lost, self._through = np.zeros(count), np.ones(count)
        self._number = np.zeros(count, dtype=np.int64)
        self._solids: list[Prism | Crown] = []
        # Of the first shadows on each pane: boxes about them, whose they are, and their shares.
        self._boxes = np.zeros((MOST, 4, count))
        self._whose = np.full((MOST, count), -1)
        self._shares = np.zeros((MOST, count))

    def add(
        self, solid: Prism | Crown, index: NDArray[np.intp], share: Floats | float = 0.0
    ) -> None:
        """The shadow of a solid for the suns of an `index`, with the `share` that it lets through
        for each of them.
        """
        p, q = (slope[index] for slope in self._slopes)
        panes = self._panes.take(index)
        if isinstance(solid, Crown):
            area, box = crown_areas(solid, p, q, panes)
        else:
            area, box = prism_areas(solid, p, q, panes)
        share = np.broadcast_to(share, area.shape)
        covers = area >= panes.area * (1.0 - ROUNDING)
        self._through[index[covers]] *= share[covers]
        part = np.flatnonzero((area != 0.0) & ~covers)
        index = index[part]
        self._lost[index] += area[part] * (1.0 - share[part])
        room = np.flatnonzero(self._number[index] < MOST)
        slot, where = self._number[index[room]], index[room]
        self._boxes[slot, :, where] = np.stack(box, axis=-1)[part[room]]
        self._whose[slot, where] = len(self._solids)
        self._shares[slot, where] = share[part[room]]
        self._solids.append(solid)
        self._number[index] += 1

    def left(self) -> tuple[Floats, Bools]:
        """The area in m² that the beam reaches, by what crowns let through; and where that is
        known: (n,) each.
        """
        known = (self._number <= MOST) & np.isfinite(self._lost)
        kinds = np.array([*(isinstance(solid, Crown) for solid in self._solids), False])
        crowns = kinds[self._whose]
        for later in range(MOST):
            for earlier in range(later):
                meet = known & (self._number > later)
                if not meet.any():
                    continue
                meet &= ~self._are_apart(self._boxes[later], self._boxes[earlier])
                # Prisms come before crowns.
                paired = meet & crowns[later] & ~crowns[earlier] & (crowns.sum(axis=0) == 1)
                self._give_back(np.flatnonzero(paired), earlier, later)
                known &= ~meet | paired
        area = np.maximum(self._panes.area - self._lost, 0.0) * self._through
        dark = self._through == 0.0
        return np.where(dark, 0.0, area), known | dark

    def _give_back(self, index: NDArray[np.intp], first: int, second: int) -> None:
        """The area that a prism and a crown, by their places on the panes of `index`, both took."""
        whose = self._whose[[first, second]]
        for prism, crown in sorted(set(zip(*whose[:, index].tolist(), strict=True))):
            of_pair = index[(whose[0, index] == prism) & (whose[1, index] == crown)]
            flat, round_ = self._solids[prism], self._solids[crown]
            assert isinstance(flat, Prism)
            assert isinstance(round_, Crown)
            p, q = (slope[of_pair] for slope in self._slopes)
            common = common_areas(flat, round_, p, q, self._panes.take(of_pair))
            self._lost[of_pair] += common * (self._shares[second, of_pair] - 1.0)

    def _are_apart(self, first: Floats, second: Floats) -> Bools:
        panes = self._panes
        left, low = (np.maximum(first[n], second[n]) for n in (0, 2))
        right, high = (np.minimum(first[n], second[n]) for n in (1, 3))
        across = np.maximum(left, panes.left) >= np.minimum(right, panes.right)
        above = np.maximum(low, panes.low) >= np.minimum(high, panes.high)
        return np.asarray(across | above)


class _Edges(NamedTuple):
    """Edges of shadows from (x, y), `wide` and `tall`, and on which `side` of each the shadow lies:
    1 for upper ones, -1 for lower ones, 0 where it is none of the outline: (e, n) each.
    """

    x: Floats
    y: Floats
    wide: Floats
    tall: Floats
    side: Floats


def _outline(prism: Prism, p: Floats, q: Floats) -> tuple[_Edges, Panes, Bools]:
    """The edges of a prism's shadow, the box about it, and whether it is an outline: (n,)."""
    x, y, z = prism.corners.T
    across, along = x[:, None] - p * z[:, None], y[:, None] - q * z[:, None]
    edges = prism.all_edges
    begins, stops = edges[:, 0], edges[:, 1]
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


def _pieces(prism: Prism, count: int) -> list[NDArray[np.intp]]:
    """So many suns in pieces, so that a prism of many corners needs no more memory than others."""
    size = count * len(prism.corners) * len(prism.all_edges)
    return np.array_split(np.arange(count), max(1, min(count, -(-size // AT_ONCE))))


def prism_areas(prism: Prism, p: Floats, q: Floats, panes: Panes) -> tuple[Floats, Panes]:
    """The area of a prism's shadow on each pane: (n,); nan where its outline is not found. And the
    box about the shadow.

    What lies below the upper edges of the outline, less what lies below the lower ones.
    """
    pieces = _pieces(prism, len(p))
    if len(pieces) > 1:
        parts = [prism_areas(prism, p[piece], q[piece], panes.take(piece)) for piece in pieces]
        sides = zip(*(box for _, box in parts), strict=True)
        return np.concatenate([area for area, _ in parts]), Panes(*map(np.concatenate, sides))
    edges, box, sound = _outline(prism, p, q)
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


class _Discs:
    """A crown's shadows, an ellipse for each sun, made the unit disc about (0, 0)."""

    def __init__(self, crown: Crown, p: Floats, q: Floats) -> None:
        shape = crown.stretch @ crown.stretch
        xx = shape[0, 0] - 2.0 * p * shape[0, 2] + p * p * shape[2, 2]
        self.yy = shape[1, 1] - 2.0 * q * shape[1, 2] + q * q * shape[2, 2]
        xy = shape[0, 1] - q * shape[0, 2] - p * shape[1, 2] + p * q * shape[2, 2]
        # The root of the ellipse's matrix: x = root u, y = lean u + rest v.
        self.root = np.sqrt(xx)
        self.lean = xy / self.root
        self.rest = np.sqrt(np.maximum(self.yy - self.lean * self.lean, 0.0))
        self.middle = crown.middle[:2, None] - np.stack([p, q]) * crown.middle[2]
        # Amid the crown, a ray is so far out: evenly more from one side to the other.
        first = (shape[0, 2] - p * shape[2, 2]) / self.root
        second = (shape[1, 2] - q * shape[2, 2] - self.lean * first) / self.rest
        self._out = crown.middle[2], first, second

    def of(self, x: Floats, y: Floats) -> tuple[Floats, Floats]:
        """Points of the glass (k, n) where the shadow is the disc."""
        u = (x - self.middle[0]) / self.root
        return u, (y - self.middle[1] - self.lean * u) / self.rest

    def out(self, u: Floats, v: Floats) -> Floats:
        """How far before the glass the rays there are amid the crown, metres."""
        return np.asarray(self._out[0] + self._out[1] * u + self._out[2] * v)

    @property
    def scale(self) -> Floats:
        """m² of the glass for what is 1 there."""
        return np.asarray(self.root * self.rest)


def crown_areas(crown: Crown, p: Floats, q: Floats, panes: Panes) -> tuple[Floats, Panes]:
    """The area of a crown's shadow on each pane: (n,); nan where some of the crown that throws it
    may lie behind the glass. And the box about the shadow.

    Where the shadow is the unit disc, the pane is a quadrangle: each of its sides gives a piece of
    triangle where it runs in the disc, and pieces of the disc where it does not.
    """
    discs = _Discs(crown, p, q)
    x = np.stack([panes.left, panes.right, panes.right, panes.left])
    u, v = discs.of(x, np.stack([panes.low, panes.low, panes.high, panes.high]))
    area = _disc_beside(u, v, np.roll(u, -1, axis=0), np.roll(v, -1, axis=0)).sum(axis=0)
    covered = np.clip(area * discs.scale, 0.0, panes.area)
    covered = np.where(panes.area > 0.0, covered, 0.0)
    behind = (discs.out(u, v).min(axis=0) <= 0.0) & (covered > ROUNDING)
    (x, y), wide, tall = discs.middle, discs.root, np.sqrt(discs.yy)
    return np.where(behind, np.nan, covered), Panes(x - wide, x + wide, y - tall, y + tall)


def common_areas(prism: Prism, crown: Crown, p: Floats, q: Floats, panes: Panes) -> Floats:
    """The area in which the shadows of a prism and a crown overlap on each pane: (n,).

    Where both have areas by themselves.
    """
    pieces = _pieces(prism, len(p))
    if len(pieces) > 1:
        parts = [
            common_areas(prism, crown, p[piece], q[piece], panes.take(piece)) for piece in pieces
        ]
        return np.concatenate(parts)
    discs = _Discs(crown, p, q)
    edges, _, _ = _outline(prism, p, q)
    # From the beginning of each edge to its end, kept within the pane: three pieces for each axis.
    x = np.stack([edges.x, edges.x + edges.wide])
    y = np.stack([edges.y, edges.y + edges.tall])
    x, y = _kept_within(x, y, panes.left, panes.right)
    y, x = _kept_within(y, x, panes.low, panes.high)
    u, v = discs.of(x, y)
    pieces = _disc_beside(u[:-1], v[:-1], u[1:], v[1:]).sum(axis=0)
    return np.asarray(np.abs((edges.side * pieces).sum(axis=0)) * discs.scale)


def _kept_within(x: Floats, y: Floats, low: Floats, high: Floats) -> tuple[Floats, Floats]:
    """Lines through points (k, e, n), with points more where x meets `low` and `high`, and x then
    kept between them. What is moved onto one of these runs along it, and back.
    """
    begin, way = x[:-1], np.diff(x, axis=0)
    with np.errstate(divide="ignore", invalid="ignore"):
        meets = [np.clip(np.nan_to_num((end - begin) / way), 0.0, 1.0) for end in (low, high)]
    first, last = np.minimum(*meets), np.maximum(*meets)
    part = np.stack([np.zeros_like(first), first, last], axis=1)
    tall = np.diff(y, axis=0)
    shape = (-1, *x.shape[1:])
    longer = (begin[:, None] + part * way[:, None]).reshape(shape)
    higher = (y[:-1, None] + part * tall[:, None]).reshape(shape)
    points = np.concatenate([longer, x[-1:]]), np.concatenate([higher, y[-1:]])
    return np.clip(points[0], low, high), points[1]


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
