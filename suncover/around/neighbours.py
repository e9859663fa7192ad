"""Obstacles and trees of a site, out of the buildings and trees of a map."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from suncover.around.geojson import LEAST_M, Building, Map, MapTree, as_a_name
from suncover.around.local import local_metres, roughly_away
from suncover.base.errors import RequestError
from suncover.facade.yard.matter import Outlines, crown_outline, may_shade
from suncover.site.kinds.polygons import ring_fault
from suncover.site.model import Site
from suncover.site.parts import MOST_CORNERS, Obstacle, Tree

Floats = NDArray[np.float64]

CENTIMETRES = 2  # decimals of what is written
LEAST_AREA = 0.01  # m²: less is an error of drawing
GRID = 1e-6  # metres: far finer than any map
WITHIN_PARTS = 0.9  # share of a building that its parts must cover to stand for it
# What a crown lets through of the beam in leaf and bare, and the days in leaf north of the equator;
# our own round numbers, to be changed by who knows the tree. Its crown begins at a third of its
# height where the map does not say.
LEAF, BARE, EVERGREEN = 0.15, 0.65, 0.10
IN_LEAF = {True: ((4, 20), (11, 5)), False: ((10, 20), (5, 5))}
CROWN_FROM = 1.0 / 3.0
HIGHEST_M = 1000.0  # no building is as high: what would shade nothing even so never does


@dataclass
class Counts:
    """How many of the map's buildings and trees can `never` shade a window; are `far`, beyond the
    limit of distance; are `flat`, without a height; are `present` already, in the site file or in
    the map; have a height by `levels` or a `broken` outline; how many trees have `guessed_leaf`.
    `own` are the ids of the site's own house; `unread` says what cannot be read of a thing that
    could shade a window, and why a thing was passed over.
    """

    never: int = 0
    far: int = 0
    flat: int = 0
    present: int = 0
    levels: int = 0
    broken: int = 0
    guessed_leaf: int = 0
    own: list[str] = field(default_factory=list)
    unread: list[str] = field(default_factory=list)


@dataclass(frozen=True)
class Neighbours:
    """What a map shows about a site, and what of the map was left out."""

    obstacles: tuple[Obstacle, ...]
    trees: tuple[Tree, ...]
    counts: Counts


def neighbours(
    site: Site,
    the_map: Map,
    *,
    within: float | None = None,
    own: str | None = None,
    height: float | None = None,
) -> Neighbours:
    """The obstacles and trees of a map that may shade a window of `site`.

    `within` leaves out what lies farther off, in metres; `own` is the id of the site's own house,
    which is the one about the site's origin if left out; `height` is taken for buildings of which
    the map has none.

    Raises
    ------
    RequestError
        When no building has the id `own`.
    """
    place, counts = site.place, Counts(unread=list(the_map.passed_over))
    buildings, trees = the_map.buildings, the_map.trees
    seen_from = [window for window in site.windows if window.position is not None]

    def matter(outlines: Sequence[Floats], tops: Sequence[float]) -> list[bool]:
        solids = Outlines.of(outlines, tops)
        by_window = [may_shade(window, place.latitude, solids) for window in seen_from]
        return np.any(by_window, axis=0).tolist() if by_window else [True] * len(tops)

    limit = np.inf if within is None else within

    def near(points: Floats) -> bool:
        return 0.98 * roughly_away(points, place.latitude, place.longitude) <= limit

    about = [b for b in buildings if near(b.rings[0]) or own in b.ids]
    counts.far += len(buildings) - len(about)
    outlined = list(_with_shapes(about, place.latitude, place.longitude))
    sound_ids = {id(building) for building, _ in outlined}
    for building in about:
        if id(building) not in sound_ids:
            counts.broken += 1
            counts.unread.append(f"{_name(building)}: its outline bounds no area")
    outlined = _without_own(outlined, own, counts)
    standing, doubted = [], []
    for building, shape in _parts_for_wholes(outlined):
        top = building.top if building.top is not None else height
        if building.doubt is not None and not shape.distance(_origin()) > limit:
            doubted.append((building.doubt, shape))
        if top is None or top < building.base + LEAST_M:
            counts.flat += 1
        elif np.isfinite(limit) and shape.distance(_origin()) > limit:
            counts.far += 1
        else:
            standing.append((building, shape, top))
    may_shade_buildings = matter([_hull(shape) for _, shape in doubted], [HIGHEST_M] * len(doubted))
    counts.unread += dict.fromkeys(
        doubt for (doubt, _), matters in zip(doubted, may_shade_buildings, strict=True) if matters
    )
    names = _Names(site)
    obstacles: list[Obstacle] = []
    may = matter([_hull(shape) for _, shape, _ in standing], [top for *_, top in standing])
    for (building, shape, top), shades in zip(standing, may, strict=True):
        if shades:
            blocks = list(_obstacles(building, shape, top))
            if not blocks:
                counts.broken += 1
                counts.unread.append(f"{_name(building)}: its outline bounds no area")
            counts.levels += building.by_levels and bool(blocks)
            obstacles += names.fresh(blocks, counts)
    planted = _trees_of(site, [tree for tree in trees if near(tree.point[None])], counts, limit)
    counts.far += sum(not near(tree.point[None]) for tree in trees)
    may_trees = matter([crown_outline(tree) for tree in planted], [tree.top for tree in planted])
    counts.never += len(may) - sum(may) + len(planted) - sum(may_trees)
    free_trees = [
        names.tree(t, counts) for t, shades in zip(planted, may_trees, strict=True) if shades
    ]
    return Neighbours(
        tuple(obstacles), tuple(tree for tree in free_trees if tree is not None), counts
    )


def _trees_of(site: Site, trees: Sequence[MapTree], counts: Counts, limit: float) -> list[Tree]:
    """The trees of a map that have a size, no farther off than `limit`."""
    place, planted = site.place, []
    for map_tree in trees:
        if map_tree.doubt is not None:
            counts.unread.append(map_tree.doubt)
        tree = _tree(map_tree, place.latitude, place.longitude, counts)
        if tree is None:
            continue
        if float(np.hypot(*tree.trunk)) > limit:
            counts.far += 1
        else:
            planted.append(tree)
    return planted


def _origin() -> Any:
    import shapely

    return shapely.Point(0.0, 0.0)


def _with_shapes(
    buildings: Sequence[Building], latitude: float, longitude: float
) -> Iterator[tuple[Building, Any]]:
    """Buildings with their outlines in local metres, to the centimetre, where these bound an
    area.
    """
    import shapely

    rings = [ring for building in buildings for ring in building.rings]
    points = np.concatenate([np.zeros((0, 2)), *rings])
    points = np.round(local_metres(points, latitude, longitude), CENTIMETRES)
    local = iter(np.split(points, np.cumsum([len(ring) for ring in rings])[:-1]) if rings else ())
    for building in buildings:
        outer, *holes = [next(local) for _ in building.rings]
        try:
            shape: Any = shapely.Polygon(outer, holes)
        except ValueError:
            continue
        if not shape.is_valid:
            shape = shapely.make_valid(shape)
        if _polygons(shape):
            yield building, shape


def _polygons(shape: Any) -> list[Any]:
    import shapely

    return [
        part
        for part in shapely.get_parts(shapely.get_parts(shape))
        if part.geom_type == "Polygon" and part.area >= LEAST_AREA
    ]


def _without_own(
    outlined: list[tuple[Building, Any]], own: str | None, counts: Counts
) -> list[tuple[Building, Any]]:
    """All but the site's own house and its parts."""
    if own is not None:
        own_shapes = [shape for building, shape in outlined if own in building.ids]
        if not own_shapes:
            raise RequestError(f'no building of the map has the id "{own}"')
    else:
        own_shapes = [shape for _, shape in outlined if shape.contains(_origin())]
    result = []
    for building, shape in outlined:
        inner = shape.representative_point()
        if (own is not None and own in building.ids) or any(m.contains(inner) for m in own_shapes):
            counts.own += [building.ids[0] if building.ids else building.name or "without an id"]
        else:
            result.append((building, shape))
    return result


def _parts_for_wholes(outlined: list[tuple[Building, Any]]) -> list[tuple[Building, Any]]:
    """The buildings without those whose parts are in the map: their parts stand for them."""
    import shapely

    parts = [shape for building, shape in outlined if building.part]
    if not parts:
        return outlined
    tree = shapely.STRtree(parts)
    result = []
    for building, shape in outlined:
        if not building.part:
            inside = [parts[at] for at in tree.query(shape, predicate="intersects")]
            if inside:
                # On a grid, as a union of parts that only touch may lose one of them.
                together = shapely.union_all(inside, grid_size=GRID)
                covered = shapely.intersection(together, shape, grid_size=GRID).area
                if covered >= WITHIN_PARTS * shape.area:
                    continue
        result.append((building, shape))
    return result


def _name(building: Building) -> str:
    """The name of a building of a map, else what it is and its id."""
    kind = "building part" if building.part else "building"
    return building.name or as_a_name(" ".join([kind, *building.ids[:1]])) or kind


def _obstacles(building: Building, shape: Any, top: float) -> Iterator[Obstacle]:
    pieces = [piece for part in _polygons(shape) for piece in plain_pieces(part)]
    name = _name(building)
    for piece in pieces:
        corners = tuple((float(x), float(y)) for x, y in piece)
        yield Obstacle(
            name=name, footprint=corners, base=round(building.base, 2), top=round(top, 2)
        )


def plain_pieces(polygon: Any) -> Iterator[Floats]:
    """A polygon as rings (k, 2) without holes, few corners each, that cover it and no hole.

    Cut straight through the middle of a hole, again and again.
    """
    import shapely

    corners = shapely.get_coordinates(polygon.exterior)[:-1]
    if not polygon.interiors and len(corners) <= MOST_CORNERS:
        if _is_plain(corners):
            yield corners
            return
        # Corners that meet once they are to the centimetre: outlines that meet there are parted.
        snapped = shapely.set_precision(polygon, 10.0**-CENTIMETRES)
        rings = [shapely.get_coordinates(part.exterior)[:-1] for part in _polygons(snapped)]
        yield from (ring for ring in rings if _is_plain(ring))
        return
    left, low, right, high = polygon.bounds
    hole = polygon.interiors[0].bounds if polygon.interiors else polygon.bounds
    cut = (hole[0] + hole[2]) / 2.0
    for begin, end in ((left - 1.0, cut), (cut, right + 1.0)):
        half = shapely.intersection(polygon, shapely.box(begin, low - 1.0, end, high + 1.0))
        for part in _polygons(half):
            yield from plain_pieces(part)


def _is_plain(corners: Floats) -> bool:
    """Whether corners still bound an area when they are written to the centimetre."""
    written = np.round(corners, CENTIMETRES).tolist()
    return ring_fault([(east, north) for east, north in written]) is None


def _hull(shape: Any) -> Floats:
    import shapely

    return np.asarray(shapely.get_coordinates(shapely.convex_hull(shape)))


def _tree(map_tree: MapTree, latitude: float, longitude: float, counts: Counts) -> Tree | None:
    if (
        map_tree.height is None
        or map_tree.crown is None
        or map_tree.height <= 0.0
        or map_tree.crown <= 0.0
    ):
        counts.flat += 1
        return None
    east, north = np.round(local_metres(map_tree.point[None], latitude, longitude)[0], CENTIMETRES)
    bottom = map_tree.height * CROWN_FROM if map_tree.bottom is None else map_tree.bottom
    name = map_tree.name or as_a_name(" ".join(["tree", *map_tree.ids[:1]]))
    fields = {
        "name": name,
        "trunk": (float(east), float(north)),
        "width": round(map_tree.crown, 2),
        "bottom": round(min(bottom, 0.9 * map_tree.height), 2),
        "top": round(map_tree.height, 2),
    }
    if map_tree.evergreen is None:
        counts.guessed_leaf += 1
    if map_tree.evergreen:
        return Tree.model_validate({**fields, "leaf": EVERGREEN})
    first, last = ("-".join(f"{n:02d}" for n in day) for day in IN_LEAF[latitude >= 0.0])
    return Tree.model_validate({**fields, "leaf": LEAF, "bare": BARE, "in_leaf": [first, last]})


class _Names:
    """Names that are not taken yet, in the site file or among what is new."""

    def __init__(self, site: Site) -> None:
        self._obstacles = {obstacle.name: obstacle for obstacle in site.obstacles}
        self._trees = {tree.name: tree for tree in site.trees}
        self._present = {self._key(obstacle) for obstacle in site.obstacles}
        self._planted = {tree.trunk for tree in site.trees}

    @staticmethod
    def _key(obstacle: Obstacle) -> tuple[object, ...]:
        return obstacle.footprint, obstacle.base, obstacle.top

    def fresh(self, obstacles: list[Obstacle], counts: Counts) -> list[Obstacle]:
        """The obstacles of a building that the site does not have yet, each with a free name."""
        result = []
        for obstacle in obstacles:
            if self._key(obstacle) in self._present:
                counts.present += 1
                continue
            name = _free(obstacle.name, self._obstacles)
            self._obstacles[name] = obstacle
            self._present.add(self._key(obstacle))
            result.append(obstacle.model_copy(update={"name": name}))
        return result

    def tree(self, tree: Tree, counts: Counts) -> Tree | None:
        """The tree by a name of its own; None if the site has one there."""
        if tree.trunk in self._planted:
            counts.present += 1
            return None
        name = _free(tree.name, self._trees)
        self._trees[name] = tree
        self._planted.add(tree.trunk)
        return tree.model_copy(update={"name": name})


def _free(name: str, used: dict[str, Any]) -> str:
    if name not in used:
        return name
    number = 2
    while f"{name} ({number})" in used:
        number += 1
    return f"{name} ({number})"
