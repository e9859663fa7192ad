"""What around a home may ever stand between the sun and a window, and what never can.

An upright solid lies, as seen from the glass, within a span of azimuths and below some elevation.
The sun is only ever near the equator of the sky: its declination stays within the Earth's tilt. So
a solid never matters if all of it lies behind the glass, below its lower edge, or in a part of the
sky where the sun never is while it is up. These are bounds and no estimates: leaving such solids
out changes no minute of sun. (It would change the light of the sky.)
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from suncover.facade.frame import window_axes
from suncover.site.model import Site, Window
from suncover.site.parts import Tree

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

# Degrees of declination that the sun never leaves: the tilt of the Earth's axis was 23.452 in 1900
# (J. Meeus, Astronomical Algorithms, 2nd edition, formula 22.2) and falls; and what refraction and
# parallax may seem to add, 0.6 at the horizon, with something to spare.
MOST_DECLINATION = 23.46 + 0.85
SPARE = 0.05  # degrees
ROUND = 16  # corners of the outline about a crown


class Outlines(NamedTuple):
    """Upright solids: the corners (k, 2) of all, one after another, where each begins (n,), and
    each one's `top` (n,); in metres.
    """

    corners: Floats
    begin: NDArray[np.intp]
    top: Floats

    @classmethod
    def of(cls, outlines: Sequence[Floats], top: Sequence[float]) -> Outlines:
        """Those of outlines (k, 2) that each hold all of a solid in their convex hull."""
        sizes = np.array([len(outline) for outline in outlines], dtype=np.intp)
        begin = np.cumsum(sizes) - sizes
        corners = np.concatenate([np.zeros((0, 2)), *outlines])
        return cls(corners, begin, np.asarray(top, dtype=np.float64))


def crown_outline(tree: Tree) -> Floats:
    """A ring (k, 2) about a crown."""
    angle = 2.0 * np.pi * np.arange(ROUND) / ROUND
    radius = tree.width / 2.0 / np.cos(np.pi / ROUND)
    return np.asarray(tree.trunk + radius * np.column_stack([np.cos(angle), np.sin(angle)]))


def with_what_matters(site: Site, window: Window, lowest_sun: float = 0.0) -> Site:
    """The site with only those obstacles and trees that may ever shade `window`.

    Sun at an apparent elevation below `lowest_sun`, in degrees, does not count.
    """
    if window.position is None or not (site.obstacles or site.trees):
        return site
    outlines = Outlines.of(
        [*(np.array(o.footprint) for o in site.obstacles), *map(crown_outline, site.trees)],
        [*(obstacle.top for obstacle in site.obstacles), *(tree.top for tree in site.trees)],
    )
    keep = may_shade(window, site.place.latitude, outlines, lowest_sun).tolist()
    count = len(site.obstacles)
    return site.model_copy(
        update={
            "obstacles": tuple(o for o, k in zip(site.obstacles, keep[:count], strict=True) if k),
            "trees": tuple(t for t, k in zip(site.trees, keep[count:], strict=True) if k),
        }
    )


def may_shade(window: Window, latitude: float, solids: Outlines, lowest_sun: float = 0.0) -> Bools:
    """Whether each solid may ever stand between the sun and a window with a position: (n,).

    Sun at an apparent elevation below `lowest_sun`, in degrees, does not count.
    """
    glass, outward = _corners(window)
    lowest = float(glass[:, 2].min())
    # A solid is farthest out at its top or, before glass that leans out, where rays reach it first.
    up = np.maximum(solids.top * outward[2], lowest * outward[2])
    level = solids.corners @ outward[:2]
    ahead = np.maximum.reduceat(level, solids.begin) if len(level) else level
    ahead_and_high = np.asarray(
        (solids.top > lowest) & (ahead + up > float((glass @ outward).min()))
    )
    # From any point of the glass to any of the outline: all these differences.
    away = solids.corners[:, None, :] - glass[None, :, :2]
    owner = np.repeat(
        np.arange(len(solids.top)), np.diff(np.append(solids.begin, len(solids.corners)))
    )
    middle = np.add.reduceat(away.sum(axis=1), solids.begin) if len(owner) else np.zeros((0, 2))
    size = np.hypot(*middle.T)
    way = middle / np.where(size > 0.0, size, 1.0)[:, None]
    # None of them is nearer than the nearest along a direction; so if that is ahead, all are.
    along = (away * way[owner][:, None, :]).sum(axis=2)
    across = away[..., 0] * way[owner][:, None, 1] - away[..., 1] * way[owner][:, None, 0]
    if not len(owner):
        return ahead_and_high
    nearest = np.minimum.reduceat(along.min(axis=1), solids.begin)
    apart = nearest > 0.0
    turned = np.arctan2(across, along)
    first = np.minimum.reduceat(turned.min(axis=1), solids.begin)
    last = np.maximum.reduceat(turned.max(axis=1), solids.begin)
    facing = np.arctan2(way[:, 0], way[:, 1])
    most_up = np.arctan2(solids.top - lowest, np.where(apart, nearest, 1.0))
    low, high = _declinations(facing + first, last - first, most_up, np.radians(latitude))
    limit = np.sin(np.radians(MOST_DECLINATION))
    met = (low <= limit) & (high >= -limit) & (most_up >= np.radians(lowest_sun - SPARE))
    return np.asarray(ahead_and_high & (~apart | met))


def _corners(window: Window) -> tuple[Floats, Floats]:
    """The corners of a glass (4, 3) on the site, and its outward normal."""
    assert window.position is not None
    axes = window_axes(window.azimuth, window.tilt)
    middle = np.array([*window.position, window.floor + window.sill])
    across, along = axes[0] * window.width / 2.0, axes[1] * window.height
    low = middle[None, :] + np.stack([-across, across])
    return np.concatenate([low, low + along]), axes[2]


def _declinations(
    first: Floats, width: Floats, most_up: Floats, latitude: float
) -> tuple[Floats, Floats]:
    """The sines of the least and of the greatest declination in spans of azimuths (`first`, and
    clockwise `width`), from the horizon to `most_up`; radians, (n,) each.
    """
    # The cosine is greatest due north and least due south, where they lie within the span.
    ends = np.cos(np.stack([first, first + width]))
    best = np.where(-first % (2.0 * np.pi) <= width, 1.0, ends.max(axis=0))
    worst = np.where((np.pi - first) % (2.0 * np.pi) <= width, -1.0, ends.min(axis=0))
    sine, level = np.sin(latitude), np.cos(latitude)

    def at(up: Floats, cosine: Floats) -> Floats:
        return np.asarray(sine * np.sin(up) + level * np.cos(up) * cosine)

    # Upward along one azimuth it is a wave, whose trough or crest may lie in between.
    trough = np.clip(np.arctan2(-sine, -level * worst), 0.0, most_up)
    crest = np.clip(np.arctan2(sine, level * best), 0.0, most_up)
    zero = np.zeros_like(most_up)
    low = np.min([at(up, worst) for up in (zero, trough, most_up)], axis=0)
    high = np.max([at(up, best) for up in (zero, crest, most_up)], axis=0)
    return low, high
