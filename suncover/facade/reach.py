"""Where the sun that a window lets in falls in the room: how far, and the patch it lights.

    side view of the room                   A point of the lit glass, y up its slope, stands
                                            sill + y sin t above the floor and y cos t inward of
       glass \\                             the lower edge (t the tilt; upright glass: 0 inward).
              \\    sun's rays             Followed along the sun's ray down to a level `height`
               \\     .                    above the floor, it comes
        sill ..+......`.......
               |        `  .                   y cos t + drop cot Ω        inward
       floor __|__________`____`__             drop cos β sin γ / sin β    aside
               |<- inward ->
                                            with drop = sill + y sin t - height.

Ω is the sun's profile angle: tan Ω = tan β / cos γ, with its altitude β and its azimuth γ away from
the window's own (ASHRAE Handbook, Fundamentals, fenestration chapter). So unshaded upright glass of
height H lets the sun in to H / tan Ω from its lower edge's level.

Room coordinates are (inward, right), metres: inward at right angles to the upright plane through
the glass's lower edge; right of the middle of the glass, as seen from outdoors. The patch is cut by
nothing but the glass, its plates and what stands outdoors: walls and furniture are not known here.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from suncover.facade.daylight import Daylight
from suncover.facade.frame import shadow_slopes
from suncover.facade.plates import least_sunlit, most_sunlit, sunlit_fraction
from suncover.facade.scene import (
    POLYGONS_AT_ONCE,
    SpotScene,
    WindowScene,
    above_skylines,
    front_settled,
    patch_radius,
    skyline_settled,
)
from suncover.facade.shadows import Patch
from suncover.facade.yard.outlines import SLIVER, Outlines

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]
Shapes = NDArray[Any]

# Metres that sun must fall beyond a limit to be beyond it: rounding of polygons is far below.
BEYOND = 1e-7


@dataclass(frozen=True)
class Level:
    """A level in a window's room: `sill` of the glass above the floor, `height` of the level above
    it; metres.
    """

    sill: float
    height: float = 0.0


def lit_glass(scene: WindowScene, sun: Daylight) -> Shapes:
    """The part of the glass in direct sun at each instant: polygons in its x and y, (n,).

    Empty where none is.
    """
    import shapely

    shapes = np.full(sun.seconds.shape, shapely.Polygon(), dtype=object)
    slopes = shadow_slopes(sun.direction, scene.axes)
    state = above_skylines(sun, scene.gate, scene.skylines) & slopes.in_front
    index = np.flatnonzero(state)
    for piece in np.array_split(index, max(1, len(index) // POLYGONS_AT_ONCE)):
        p, q = slopes.p[piece], slopes.q[piece]
        if scene.surroundings is None:
            outlines = Outlines(scene.glass, p, q)
        else:
            outlines = scene.surroundings.lit_outlines(scene.glass, p, q, sun.take(piece))
        shapes[piece] = outlines.free()
    return shapes


def sun_patch(scene: WindowScene, sun: Daylight, level: Level) -> Any:
    """The patch of sun on a level of the room at each instant: polygons, (n,), or as `Daylight.at`
    was given the instants.

    Corners are in room coordinates, (inward, right). Empty where no sun reaches the level: where
    none is on the glass, or only on glass below it.
    """
    scene.gate.check(sun)
    return sun.answer(_patches(scene, sun, level), "sun_patch")


def _patches(scene: WindowScene, sun: Daylight, level: Level) -> Shapes:
    import shapely

    shapes = _above(scene, lit_glass(scene, sun), level)
    corners, instant = shapely.get_coordinates(shapes, return_index=True)
    landed = _landing(scene, sun.direction[:, instant], corners, level)
    return np.asarray(shapely.set_coordinates(shapes, landed))


def reach(scene: WindowScene, sun: Daylight, level: Level) -> Any:
    """How far into the room the sun falls on a level at each instant, metres inward: (n,), or as
    `Daylight.at` was given the instants.

    nan where no sun reaches the level. It may be below 0 under glass that leans out, or whose sun
    comes from the house's side.
    """
    import shapely

    scene.gate.check(sun)
    parts, instant = shapely.get_parts(_patches(scene, sun, level), return_index=True)
    farthest = np.full(sun.seconds.shape, -np.inf)
    corners, part = shapely.get_coordinates(parts, return_index=True)
    np.maximum.at(farthest, instant[part], corners[:, 0])
    return sun.answer(np.where(np.isfinite(farthest), farthest, np.nan), "reach_m")


def _above(scene: WindowScene, shapes: Shapes, level: Level) -> Shapes:
    """The parts of shapes on the glass above the level, without slivers that are only rounding."""
    import shapely

    glass = scene.glass
    lowest = _lowest(scene, level)
    if lowest >= glass.height:
        return np.full(shapes.shape, shapely.Polygon(), dtype=object)
    if lowest > 0.0:
        shapes = shapely.clip_by_rect(shapes, 0.0, lowest, glass.width, glass.height)
    parts, instant = shapely.get_parts(shapes, return_index=True)
    has_area = shapely.area(parts) > SLIVER * glass.area
    result = np.full(shapes.shape, shapely.Polygon(), dtype=object)
    single = shapely.get_num_geometries(shapes) == 1
    result[instant[has_area & single[instant]]] = parts[has_area & single[instant]]
    for index in np.unique(instant[has_area & ~single[instant]]):
        result[index] = shapely.multipolygons(parts[has_area & (instant == index)])
    return result


def _lowest(scene: WindowScene, level: Level) -> float:
    """How far up its slope the glass is at a level, metres; flat glass: 0 if above it, else inf."""
    steep = float(scene.axes[1, 2])
    below = level.height - level.sill
    if steep < 1e-12:
        return 0.0 if below < 0.0 else np.inf
    return below / steep


def _landing(scene: WindowScene, direction: Floats, corners: Floats, level: Level) -> Floats:
    """Where rays through points of the glass (m, 2) meet the level, with the sun in `direction`
    (3, m): room coordinates (m, 2).
    """
    right, inward, up = _room_components(scene, direction)
    drop = level.sill - level.height + corners[:, 1] * scene.axes[1, 2]
    lean = float(scene.axes[2, 2])
    run = drop / up
    return np.column_stack(
        [corners[:, 1] * lean + run * inward, corners[:, 0] - scene.glass.width / 2 - run * right]
    )


def _room_components(scene: WindowScene, direction: Floats) -> tuple[Floats, Floats, Floats]:
    """The sun's components to the right, straight out of the wall (level), and up."""
    east, north, up = direction
    aside = scene.axes[0]
    # The window's level outward direction is its right one, a quarter turn on.
    return aside[0] * east + aside[1] * north, aside[1] * east - aside[0] * north, up


@dataclass(frozen=True)
class ReachScene:
    """A window whose sun falls farther than `limit` metres into the room, at a level: lit then.

    The farther up the glass, the farther in a ray lands; so the question is whether any of the
    glass above a certain line is in sun.
    """

    window: WindowScene
    level: Level
    limit: float

    def lit(self, sun: Daylight) -> Bools:
        """Whether the sun falls beyond the limit at each instant."""
        window = self.window
        slopes = shadow_slopes(sun.direction, window.axes)
        state = above_skylines(sun, window.gate, window.skylines) & slopes.in_front
        index = np.flatnonzero(state)
        part, slopes = sun.take(index), slopes.take(index)
        line, _ = self._line(part, np.zeros(len(index)))
        share = sunlit_fraction(slopes.p, slopes.q, window.glass, line)
        state[index] = share > window.glass.rounding
        if window.surroundings is not None:
            index = index[share > window.glass.rounding]
            far = reach(window, sun.take(index), self.level)
            state[index] = np.nan_to_num(far, nan=-np.inf) > self.limit + BEYOND
        return state

    def settled(self, sun: Daylight) -> Ints:
        """1 lit, -1 dark, 0 not known, for the whole patch about each direction."""
        state = self._settled_alone(sun)
        if self.window.surroundings is None:
            return state
        state = np.minimum(state, 0)
        index = np.flatnonzero(state == 0)
        state[index] = np.minimum(self.window.settled(sun.take(index)), 0)
        for point in self._samples:
            open_index = np.flatnonzero(state == 0)
            part = sun.take(open_index)
            _, line = self._line(part, patch_radius(part))
            open_index = open_index[line < point[1]]
            sure = SpotScene(self.window, point).settled(sun.take(open_index))
            state[open_index[sure > 0]] = 1
        return state

    def _settled_alone(self, sun: Daylight) -> Ints:
        """As if nothing stood around."""
        window = self.window
        state = skyline_settled(sun, window.gate, window.skylines)
        slopes = shadow_slopes(sun.direction, window.axes)
        state = np.minimum(state, front_settled(sun, slopes.cos_incidence))
        index = np.flatnonzero(state >= 0)
        part, slopes = sun.take(index), slopes.take(index)
        radius = patch_radius(part)
        patch = Patch.around(slopes.p, slopes.q, slopes.cos_incidence, radius)
        finite = np.flatnonzero(np.isfinite(patch.p))
        index, slopes, patch = index[finite], slopes.take(finite), patch.take(finite)
        low, high = self._line(part.take(finite), radius[finite])
        least_share = least_sunlit(slopes.p, slopes.q, window.glass, patch, high)
        settled = np.where(least_share > 1e-9, 1, 0)
        most_share = most_sunlit(slopes.p, slopes.q, window.glass, patch, low)
        settled[most_share <= window.glass.rounding] = -1
        answer = np.minimum(state, 0)
        answer[index] = np.minimum(state[index], settled)
        return answer

    def _line(self, sun: Daylight, radius: Floats) -> tuple[Floats, Floats]:
        """How far up the glass rays must pass to land beyond the limit: metres, (n,) each.

        The lowest and the highest such line for directions within `radius` degrees (n,) of each.
        """
        _, inward, up = _room_components(self.window, sun.direction)
        profile, size = np.arctan2(up, inward), np.hypot(up, inward)
        sine = np.sin(np.radians(radius))
        spread = np.where(sine < size, np.arcsin(np.minimum(sine / np.maximum(size, 1e-12), 1)), 4)
        level = _lowest(self.window, self.level)
        lines = [self._line_at(profile - spread), self._line_at(profile + spread)]
        return np.maximum(np.minimum(*lines), level), np.maximum(np.maximum(*lines), level)

    def _line_at(self, profile: Floats) -> Floats:
        """That line for profile angles (radians), from y cos t + (c + y sin t) cot Ω = limit."""
        above = np.clip(profile, 0.0, np.pi)  # the sun is up
        sine, cosine = np.sin(above), np.cos(above)
        steep, lean = float(self.window.axes[1, 2]), float(self.window.axes[2, 2])
        ahead = lean * sine + steep * cosine
        front = ahead > 0.0
        line = self.limit * sine - (self.level.sill - self.level.height) * cosine
        return np.where(front, line / np.where(front, ahead, 1.0), np.inf)

    @cached_property
    def _samples(self) -> list[Floats]:
        """Points of the glass of which one in sun, landing beyond the limit, proves the case."""
        width, height = self.window.glass.width, self.window.glass.height
        lowest = max(_lowest(self.window, self.level), 0.0)
        if lowest >= height:
            return []
        rows = np.linspace(height, lowest, 7)[:-1]
        return [np.array([x * width, y, 0.0]) for y in rows for x in (0.5, 0.0, 1.0)]
