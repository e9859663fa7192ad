"""Shadows on the glass as polygons, for what has no closed form: prisms, crowns and their overlaps.

One polygon for each of n sun directions, all handled together by shapely. With a patch of sky, each
shadow is drawn as large as any direction of the patch makes it, or as small.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from suncover.facade.glazed import AROUND, Glass
from suncover.facade.shadows import Patch
from suncover.facade.yard.chords import crown_chords
from suncover.facade.yard.solids import Crown, Prism

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
Shapes = NDArray[Any]

# Shares of the glass below this are rounding in the polygons, not sun.
SLIVER = 1e-13
# Corners of a crown's outline where only a bound is asked for.
ROUGH = 32
# Metres: corners that come out of polygons are put on a grid so fine. Without one, a polygon cut by
# another that is the same to within rounding may come out as a whole, or as nothing.
GRID = 1e-10


class Outlines:
    """Shadows on one window's glass, for slopes `p` and `q` (n,), all in front of it.

    With a `patch`: for `grow` 1 no smaller, for -1 no larger than in any direction of it.
    """

    def __init__(
        self, glass: Glass, p: Floats, q: Floats, patch: Patch | None = None, grow: float = 0.0
    ) -> None:
        self._glass, self._p, self._q = glass, p, q
        self._patch, self._grow = patch, grow
        self._opening = self._open_glass()
        self._hidden: list[Shapes] = list(self._plates())

    def hull(
        self, solid: Prism | Crown, where: Bools | None = None, radius: Floats | None = None
    ) -> Shapes:
        """The part of a solid's shadow on the glass, where asked; nothing in the other places.

        With a patch, a crown's bounds need its `radius` in degrees.
        """
        import shapely

        every = np.ones(self._p.shape, dtype=bool) if where is None else where
        index = np.flatnonzero(every)
        result = np.full(self._p.shape, shapely.Polygon(), dtype=object)
        if len(index) == 0:
            return result
        p, q = self._p[index], self._q[index]
        # A line through the corners has their hull, and is made much faster than loose points.
        if isinstance(solid, Prism):
            shapes = shapely.convex_hull(shapely.linestrings(solid.outline(p, q)))
            far = float(solid.corners[:, 2].max())
            result[index] = self._moved(np.asarray(shapes), far, index)
            return result
        if radius is not None:
            points = solid.rough_outline(
                p, q, self._glass.corners, radius[index], grow=self._grow, corners=ROUGH
            )
            shapes = shapely.convex_hull(shapely.linestrings(points))
        else:
            return self._crown(solid, result, index)
        result[index] = self._on_glass(np.asarray(shapes))
        return result

    def _crown(self, crown: Crown, shapes: Shapes, index: NDArray[np.intp]) -> Shapes:
        """`shapes` with a crown's shadow on the glass at an `index`."""
        import shapely

        width, height = self._glass.width, self._glass.height
        p, q = self._p[index], self._q[index]
        sides = np.array([0.0, width, 0.0, height])
        begin, end = crown_chords(crown, p, q, np.broadcast_to(sides[:, None], (4, len(index))))
        length = np.array([height, height, width, width])[:, None]
        everywhere = ((begin <= 0.0) & (end >= length)).all(axis=0)
        shapes[index[everywhere]] = shapely.box(0.0, 0.0, width, height)
        # The rest is drawn where it meets an edge of the glass, or lies all amid it.
        x, y = crown.point_of_shadow(p, q)
        amid = (x > 0.0) & (x < width) & (y > 0.0) & (y < height)
        meets = ((begin < end) & (begin < length) & (end > 0.0)).any(axis=0)
        drawn = np.flatnonzero((meets | amid) & ~everywhere)
        # Its outline goes round it in order already.
        for part, rings in crown.rings(p[drawn], q[drawn]):
            shapes[index[drawn[part]]] = self._on_glass(np.asarray(shapely.polygons(rings)))
        return shapes

    def hide(self, shapes: Shapes, where: Bools | None = None) -> None:
        """Count these polygons as shadow, everywhere or where asked."""
        if where is None or where.all():
            self._hidden.append(shapes)
        elif where.any():
            self._hidden.append(only(shapes, where))

    def free(self) -> Shapes:
        """What the shadows leave of the glass."""
        import shapely

        free = self._opening.copy()
        for shapes in self._hidden:
            hides = ~shapely.is_empty(shapes)
            free[hides] = shapely.difference(free[hides], shapes[hides], grid_size=GRID)
        return free

    def free_area(self) -> Floats:
        """Area in m² of what the shadows leave; 0 for what is only rounding."""
        import shapely

        area = np.minimum(shapely.area(self.free()), self._glass.area)
        return np.where(area > SLIVER * self._glass.area, area, 0.0)

    def _open_glass(self) -> Shapes:
        """The part of the glass whose rays pass the opening in the wall's face."""
        import shapely

        width, height, reveal = self._glass.width, self._glass.height, self._glass.reveal
        right, up = reveal * self._p, reveal * self._q
        aside = above = np.zeros_like(right)
        if self._patch is not None:
            aside = self._grow * reveal * self._patch.p
            above = self._grow * reveal * self._patch.q
        x_low = np.clip(aside - right, 0.0, width)
        y_low = np.clip(above - up, 0.0, height)
        x_high = np.maximum(np.clip(width - right - aside, 0.0, width), x_low)
        y_high = np.maximum(np.clip(height - up - above, 0.0, height), y_low)
        return np.asarray(shapely.box(x_low, y_low, x_high, y_high))

    def _plates(self) -> Iterator[Shapes]:
        import shapely

        p, q, near = self._p, self._q, self._glass.reveal
        for plate in self._glass.plates:
            begin, end = plate.drawn_ends
            corners = [(begin, near), (end, near), (end, plate.far), (begin, plate.far)]
            if plate.kind == "top":
                ring = [(along - p * z, plate.line - q * z) for along, z in corners]
            else:
                ring = [(plate.line - p * z, along - q * z) for along, z in corners]
            corners_of_all = np.stack([np.stack(xy, axis=-1) for xy in ring], axis=1)
            everywhere = np.arange(len(p))
            yield self._moved(np.asarray(shapely.polygons(corners_of_all)), plate.far, everywhere)

    def _moved(self, shapes: Shapes, far: float, index: NDArray[np.intp]) -> Shapes:
        """Convex shadows of things up to `far` out, grown or shrunk for the patch, on the glass.

        `index` tells for which directions they are.
        """
        import shapely

        if self._patch is None:
            return self._on_glass(shapes)
        width, height = self._glass.width, self._glass.height
        near = shapely.clip_by_rect(shapes, -AROUND, -AROUND, width + AROUND, height + AROUND)
        reach = far * np.hypot(self._patch.p, self._patch.q)[index]
        # With the sun all but along the glass a shadow may come from anywhere: no bound is found.
        loose = reach > AROUND / 2
        moved = shapely.buffer(
            only(np.asarray(near), (shapely.get_dimensions(near) == 2) & ~loose),
            np.where(loose, 0.0, self._grow * reach),
            join_style="mitre",
            mitre_limit=100.0,
        )
        if self._grow > 0.0:
            moved[loose] = shapely.box(0.0, 0.0, width, height)
        return self._on_glass(np.asarray(moved))

    def _on_glass(self, shapes: Shapes) -> Shapes:
        """Cut to the glass; anything but an area is dropped."""
        import shapely

        cut = shapely.clip_by_rect(shapes, 0.0, 0.0, self._glass.width, self._glass.height)
        return only(np.asarray(cut), shapely.get_dimensions(cut) == 2)


def overlaps(
    shapes: Sequence[Shapes],
    factors: Sequence[Floats],
    enough: Callable[[int, Floats, NDArray[np.intp]], Bools] | None = None,
) -> Iterator[tuple[Shapes, Floats, NDArray[np.intp]]]:
    """Every set of `shapes` that overlap anywhere: overlap, product of their factors, and where.

    `enough`, given a set's last shape, its product and where, tells where no larger set that begins
    with it matters: those are left out.
    """
    import shapely

    sets: list[tuple[int, Shapes, Floats]] = [
        (index, shape, factor)
        for index, (shape, factor) in enumerate(zip(shapes, factors, strict=True))
    ]
    while sets:
        larger: list[tuple[int, Shapes, Floats]] = []
        for last, shape, factor in sets:
            places = np.flatnonzero(~shapely.is_empty(shape))
            if len(places) == 0:
                continue
            yield shape, factor, places
            if enough is not None:
                places = places[~enough(last, factor[places], places)]
            for index in range(last + 1, len(shapes)) if len(places) else ():
                common = np.full(shape.shape, shapely.Polygon(), dtype=object)
                common[places] = shapely.intersection(
                    shape[places], shapes[index][places], grid_size=GRID
                )
                larger.append((index, common, factor * factors[index]))
        sets = larger


def only(shapes: Shapes, where: Bools) -> Shapes:
    """The shapes where asked, and nothing in the other places."""
    import shapely

    kept = np.full(shapes.shape, shapely.Polygon(), dtype=object)
    kept[where] = shapes[where]
    return kept
