"""Overhang, fins and reveal: the exact share of the glass that they leave in the sun.

Coordinates on the glass: x from its left edge to the right (0 ... width), y from its lower edge up
(0 ... height), z out of it, all in metres. A ray from (x, y) to the sun is at (x + p z, y + q z)
when it is z metres out (p and q: `suncover.facade.frame.Slopes`).

An overhang or a fin is a thin rectangular plate at right angles to the glass, out from the wall's
face. Its shadow is a parallelogram: two of its sides are parallel to an edge of the glass, the
other two run along (p, q). The side at the wall never falls on glass that the reveal leaves open,
so that it need not be kept. The number w = q x - p y is the same all along a ray's track over the
glass, so each shadow is

    a box      x_low <= x <= x_high,  y_low <= y <= y_high
    and strip  w_low <= w <= w_high

and so is every overlap of such shadows, with each other and with the part of the glass that the
reveal leaves open. The area of a box cut by a strip has a closed form (`strip_area`), and the area
of a union of shadows follows by inclusion and exclusion: no approximation anywhere.

The same formulas give bounds that hold for a whole patch of sky (`Patch`): a share of the glass
that is in sun for every direction of the patch (each shadow grown by as far as the patch can move
it), and a share that no direction of it exceeds (each shadow shrunk).
"""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from suncover.facade.glazed import AnyGlass, Glass, Plate, fin_plate, overhang_plate
from suncover.facade.shadows import Patch, SunSlopes, area, opening, shadows

__all__ = [
    "Glass",
    "Patch",
    "Plate",
    "fin_plate",
    "least_sunlit",
    "most_sunlit",
    "overhang_plate",
    "ray_blocked",
    "ray_free",
    "sunlit_fraction",
]

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]


def sunlit_fraction(
    p: ArrayLike, q: ArrayLike, glass: AnyGlass, above: Floats | None = None
) -> Floats:
    """Share of the glass in direct sun, 0 to 1, for sun directions with slopes `p` and `q` (any
    shape); a glass, or one for each of them.

    The sun must be in front of the glass; skyline and obstacles are not in it. With `above` (shape
    of `p`), only sun farther up the glass than that counts, metres from its lower edge.
    """
    right, up = np.broadcast_arrays(np.asarray(p, float), np.asarray(q, float))
    return _share(SunSlopes(np.abs(right), up, right < 0.0), glass, above)


def least_sunlit(
    p: Floats, q: Floats, glass: Glass, patch: Patch, above: Floats | None = None
) -> Floats:
    """A share of the glass that is in sun in every direction of the patch about each (p, q), shape
    of `p`; `above` as for `sunlit_fraction`.
    """
    return _share(SunSlopes(np.abs(p), q, p < 0.0, patch, 1.0), glass, above)


def most_sunlit(
    p: Floats, q: Floats, glass: Glass, patch: Patch, above: Floats | None = None
) -> Floats:
    """A share of the glass in sun that no direction of the patch about each (p, q) exceeds, shape
    of `p`; `above` as for `sunlit_fraction`.
    """
    return _share(SunSlopes(np.abs(p), q, p < 0.0, patch, -1.0), glass, above)


def _share(sun: SunSlopes, glass: AnyGlass, above: Floats | None) -> Floats:
    window = opening(sun, glass)
    if above is not None:
        window = window._replace(y_low=np.maximum(window.y_low, above))
    lit = area(window)
    thrown = shadows(sun, glass)
    for count in range(1, len(thrown) + 1):
        for together in combinations(thrown, count):
            piece = window
            for shadow in together:
                piece = piece.meet(shadow)
            lit = lit - (-1.0) ** (count + 1) * area(piece, sun)
    return np.asarray(np.clip(lit / glass.area, 0.0, 1.0))


def ray_free(
    point: Floats, p: Floats, q: Floats, glass: Glass, patch: Patch | None = None
) -> Bools:
    """Whether the line from `point` to the sun passes the glass, its reveal and its plates.

    `point` (3,): x, y, z in the glass's coordinates, on the glass or behind it (z at most 0); shape
    of `p`. With a `patch`: whether it passes for sure in every direction of it.
    """
    grow = 0.0 if patch is None else 1.0
    sun, x, deeper = _from_point(point, SunSlopes(np.abs(p), q, p < 0.0, patch, grow), glass)
    free = np.ones(x.shape, dtype=bool)
    for distance in (-point[2], glass.reveal - point[2]):
        aside, above = _sway(distance, patch)
        at_x, at_y = x + distance * sun.p, point[1] + distance * sun.q
        free &= (at_x >= aside) & (at_x <= glass.width - aside)
        free &= (at_y >= above) & (at_y <= glass.height - above)
    for shadow in shadows(sun, deeper):
        free &= ~shadow.holds(sun, x, np.full(x.shape, point[1]))
    if patch is not None and any(plate.kind != "top" for plate in glass.plates):
        # A patch that takes in both sides may meet fins of either.
        free &= sun.p >= patch.p
    return free


def ray_blocked(point: Floats, p: Floats, q: Floats, glass: Glass, patch: Patch) -> Bools:
    """Whether the line from `point` to the sun is blocked for sure in every direction of the patch.

    As for `ray_free`.
    """
    sun, x, deeper = _from_point(point, SunSlopes(np.abs(p), q, p < 0.0, patch, -1.0), glass)
    blocked = np.zeros(x.shape, dtype=bool)
    for distance in (-point[2], glass.reveal - point[2]):
        aside, above = _sway(distance, patch)
        at_x, at_y = x + distance * sun.p, point[1] + distance * sun.q
        blocked |= (at_x < -aside) | (at_x > glass.width + aside)
        blocked |= (at_y < -above) | (at_y > glass.height + above)
    for shadow in shadows(sun, deeper):
        blocked |= shadow.holds(sun, x, np.full(x.shape, point[1]))
    return blocked


def _from_point(point: Floats, sun: SunSlopes, glass: Glass) -> tuple[SunSlopes, Floats, Glass]:
    """Mirrored slopes and x of the point, and the glass as if it stood in the point's plane."""
    x = np.where(sun.mirrored, glass.width - point[0], point[0])
    plates = tuple(replace(plate, far=plate.far - point[2]) for plate in glass.plates)
    return sun, x, replace(glass, plates=plates)


def _sway(distance: float, patch: Patch | None) -> tuple[Floats | float, Floats | float]:
    if patch is None:
        return 0.0, 0.0
    return distance * patch.p, distance * patch.q
