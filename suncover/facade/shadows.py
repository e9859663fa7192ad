"""Shadows of a window's plates on the plane of its glass, as boxes cut by strips.

Coordinates, slopes p and q and the number w = q x - p y are those of `suncover.facade.plates`,
which says what this is for. The sun's directions are mirrored where it comes from the left, so that
all shadows fall to the left (`SunSlopes`).
"""

from __future__ import annotations

from typing import Literal, NamedTuple

import numpy as np
from numpy.typing import NDArray

from suncover.facade.glazed import AnyGlass, AnyPlate

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]


class Patch(NamedTuple):
    """How far (p, q) may be from that of a patch's middle; arrays of one shape, or of the shape of
    p and q.

    `p` and `q` along their own axes, `across` at right angles to the line from (0, 0) through (p,
    q).
    """

    p: Floats
    q: Floats
    across: Floats

    def take(self, keep: NDArray[np.intp]) -> Patch:
        """Only the directions that `keep` picks."""
        return Patch._make(array[keep] for array in self)

    @classmethod
    def around(cls, p: Floats, q: Floats, cos_incidence: Floats, radius: Floats) -> Patch:
        """The patch of all directions within `radius` degrees; infinite where some of them graze
        the glass.

        A cone of half-angle ρ about a line at angle θ from the normal cuts the plane z = 1 in an
        ellipse, long in the direction of (p, q): tan(θ + ρ) - tan θ outward of its middle, and sin
        ρ / sqrt(cos(θ + ρ) cos(θ - ρ)) to either side.
        """
        sine, cosine = np.sin(np.radians(radius)), np.cos(np.radians(radius))
        fall = np.sqrt(np.maximum(1.0 - cos_incidence**2, 0.0)) * sine
        far, near = cos_incidence * cosine - fall, cos_incidence * cosine + fall
        safe = (far > 1e-6) & (cos_incidence > 1e-6)
        far, near, square = (np.where(safe, x, 1.0) for x in (far, near, cos_incidence))
        outward = np.where(safe, sine / (square * far), np.inf)
        across = np.where(safe, sine / np.sqrt(far * near), np.inf)
        slant = np.hypot(p, q)
        aligned = slant > 0.0
        along = np.where(aligned, np.abs(p) / np.where(aligned, slant, 1.0), 1.0)
        rise = np.where(aligned, np.abs(q) / np.where(aligned, slant, 1.0), 1.0)
        with np.errstate(invalid="ignore"):
            return cls(along * outward + rise * across, rise * outward + along * across, across)


class SunSlopes(NamedTuple):
    """Sun directions, mirrored so that the sun never comes from the left: `p` is at least 0.

    `grow` 1 or -1 with a `patch`: shadows are to be grown or shrunk by as much as it asks for.
    """

    p: Floats
    q: Floats
    mirrored: NDArray[np.bool_]
    patch: Patch | None = None
    grow: float = 0.0


class Piece(NamedTuple):
    """A box, cut by a strip if it has one (see the module's text); arrays of one shape."""

    x_low: Floats
    x_high: Floats
    y_low: Floats
    y_high: Floats
    w_low: Floats | None = None
    w_high: Floats | None = None

    def holds(self, sun: SunSlopes, x: Floats, y: Floats) -> Bools:
        """Whether points lie in the piece or on its very edge; an empty piece holds none."""
        inside = (self.x_low <= x) & (x <= self.x_high) & (self.x_low < self.x_high)
        inside &= (self.y_low <= y) & (y <= self.y_high) & (self.y_low < self.y_high)
        if self.w_low is not None and self.w_high is not None:
            w = sun.q * x - sun.p * y
            inside &= (self.w_low <= w) & (w <= self.w_high)
        return np.asarray(inside)

    def meet(self, piece: Piece) -> Piece:
        """The overlap with another `piece`, which has a strip."""
        w_low, w_high = piece.w_low, piece.w_high
        if self.w_low is not None and self.w_high is not None:
            assert w_low is not None
            assert w_high is not None
            w_low, w_high = np.maximum(self.w_low, w_low), np.minimum(self.w_high, w_high)
        return Piece(
            np.maximum(self.x_low, piece.x_low),
            np.minimum(self.x_high, piece.x_high),
            np.maximum(self.y_low, piece.y_low),
            np.minimum(self.y_high, piece.y_high),
            w_low,
            w_high,
        )


def opening(sun: SunSlopes, glass: AnyGlass) -> Piece:
    """The part of the glass whose rays pass through the opening in the wall's face."""
    right, up = glass.reveal * sun.p, glass.reveal * sun.q
    if sun.patch is None:
        zero = np.zeros_like(sun.p)
        return Piece(
            zero,
            glass.width - right,
            np.maximum(zero, -up),
            np.minimum(glass.height, glass.height - up),
        )
    beside, along = sun.grow * glass.reveal * sun.patch.p, sun.grow * glass.reveal * sun.patch.q
    x_low = np.maximum(0.0, beside - right)
    sides = [plate.far for plate in glass.plates if plate.kind != "top"]
    if sun.grow > 0.0 and sides:
        # With the sun all but square to the width, the patch reaches to the other side too, whose
        # fins then throw a shadow no wider than this.
        x_low = x_low + max(sides) * np.maximum(sun.patch.p - sun.p, 0.0)
    return Piece(
        x_low,
        np.minimum(glass.width, glass.width - right - beside),
        np.maximum(0.0, along - up),
        np.minimum(glass.height, glass.height - up - along),
    )


def shadows(sun: SunSlopes, glass: AnyGlass) -> list[Piece]:
    """Shadows of all plates on the plane of the glass; fins left and right share their places."""
    tops = [_top_shadow(sun, glass, plate) for plate in glass.plates if plate.kind == "top"]
    lefts = [plate for plate in glass.plates if plate.kind == "left"]
    rights = [plate for plate in glass.plates if plate.kind == "right"]
    sides = []
    for index in range(max(len(lefts), len(rights))):
        left = lefts[index] if index < len(lefts) else None
        right = rights[index] if index < len(rights) else None
        sides.append(_side_shadow(sun, glass, left, right))
    return tops + sides


def _top_shadow(sun: SunSlopes, glass: AnyGlass, plate: AnyPlate) -> Piece:
    begin = np.where(sun.mirrored, glass.width - plate.end, plate.begin)
    end = np.where(sun.mirrored, glass.width - plate.begin, plate.end)
    edge = plate.line - sun.q * plate.far
    w_low, w_high = sun.q * begin - sun.p * plate.line, sun.q * end - sun.p * plate.line
    gone = sun.q <= 0.0
    if sun.patch is not None:
        edge, w_low, w_high, gone = _patched(
            sun, plate.far, (edge, w_low, w_high), sun.q, sun.patch.q
        )
    everywhere = np.full(sun.p.shape, np.inf)
    return Piece(-everywhere, everywhere, np.where(gone, np.inf, edge), everywhere, w_low, w_high)


def _side_shadow(
    sun: SunSlopes, glass: AnyGlass, left: AnyPlate | None, right: AnyPlate | None
) -> Piece:
    """Shadow of the fin that the sun comes past: `right` as it stands, `left` mirrored."""

    def pick(name: Literal["line", "begin", "end", "far"]) -> Floats:
        on_right, on_left = (
            0.0 if plate is None else getattr(plate, name) for plate in (right, left)
        )
        if name == "line":
            on_left = glass.width - on_left
        return np.where(sun.mirrored, on_left, on_right)

    missing = np.where(sun.mirrored, left is None, right is None)
    line, far = pick("line"), pick("far")
    edge = line - sun.p * far
    w_low, w_high = sun.q * line - sun.p * pick("end"), sun.q * line - sun.p * pick("begin")
    gone = sun.p <= 0.0
    if sun.patch is not None:
        edge, w_low, w_high, gone = _patched(sun, far, (edge, w_low, w_high), sun.p, sun.patch.p)
    everywhere = np.full(sun.p.shape, np.inf)
    return Piece(
        np.where(gone | missing, np.inf, edge), everywhere, -everywhere, everywhere, w_low, w_high
    )


def _patched(
    sun: SunSlopes,
    far: float | Floats,
    limits: tuple[Floats, Floats, Floats],
    slope: Floats,
    reach: Floats,
) -> tuple[Floats, Floats, Floats, NDArray[np.bool_]]:
    """A shadow's outer edge and strip (`limits`), grown or shrunk for the patch, and where it is
    gone.

    `slope` is the one that makes the shadow (q for an overhang, p for a fin), `reach` how far the
    patch moves it. Where a grown patch takes in both signs of it, the shadow's ends may be
    anywhere; where a shrunk one does, nothing is shaded for sure.
    """
    assert sun.patch is not None
    edge, w_low, w_high = limits
    either_sign = slope < reach
    edge = edge - sun.grow * far * reach
    wider = sun.grow * far * sun.patch.across * np.hypot(sun.p, sun.q)
    w_low, w_high = w_low - wider, w_high + wider
    if sun.grow < 0.0:
        return edge, w_low, w_high, either_sign
    return (
        edge,
        np.where(either_sign, -np.inf, w_low),
        np.where(either_sign, np.inf, w_high),
        np.zeros(either_sign.shape, dtype=bool),
    )


def area(piece: Piece, sun: SunSlopes | None = None) -> Floats:
    """Area of a piece in m²; 0 where its box or strip is empty.

    Across the box, w is the sum of two independent even spreads, of widths |q| dx and |p| dy, so
    that the share of the box below a given w is the distribution function of that sum.
    """
    wide = np.maximum(piece.x_high - piece.x_low, 0.0)
    tall = np.maximum(piece.y_high - piece.y_low, 0.0)
    if sun is None or piece.w_low is None or piece.w_high is None:
        return wide * tall
    filled = (wide > 0.0) & (tall > 0.0)
    wide, tall, p, q = wide[filled], tall[filled], sun.p[filled], sun.q[filled]
    # p is never negative: w is least at the upper edge.
    low = np.minimum(q * piece.x_low[filled], q * piece.x_high[filled]) - p * piece.y_high[filled]
    first, second = np.abs(q) * wide, p * tall
    short, long = np.minimum(first, second), np.maximum(first, second)
    below, above = piece.w_low[filled] - low, piece.w_high[filled] - low
    share = _spread(above, short, long) - _spread(below, short, long)
    result = np.zeros(filled.shape)
    result[filled] = wide * tall * np.maximum(share, 0.0)
    return result


def _spread(w: Floats, short: Floats, long: Floats) -> Floats:
    """Share of the sum of two even spreads, 0 ... `short` and 0 ... `long`, that lies below `w`."""
    full_length = np.where(long > 0.0, long, 1.0)
    ramp = np.where(short > 0.0, short, 1.0)
    rise = np.clip(w, 0.0, short)
    level = np.clip(w - short, 0.0, long - short)
    fall = np.clip(w - long, 0.0, short)
    share = rise * rise / (2.0 * ramp) + level + fall - fall * fall / (2.0 * ramp)
    return np.where(long > 0.0, share / full_length, (w >= 0.0).astype(float))
