"""The outline of the site's own house, out of the buildings of a map."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from suncover.around.geojson import Building
from suncover.around.local import local_metres
from suncover.base.errors import RequestError

STRAIGHT_M = 0.05  # a corner that is no farther off the line between its neighbours is none


def own_house(
    buildings: Sequence[Building], latitude: float, longitude: float, own: str | None = None
) -> list[tuple[float, float]]:
    """The outer corners of the building about a place, or of the one whose id is `own`.

    Metres east and north of the place, counterclockwise, so that one who walks along them round the
    house and faces it goes to the right. Of several, as of a building in parts, the largest.

    Raises
    ------
    RequestError
        When there is no such building.
    """
    import shapely

    candidates: list[Any] = []
    for building in buildings:
        if own is not None and own not in building.ids:
            continue
        ring = local_metres(building.rings[0], latitude, longitude)
        if len(ring) < 4:
            continue
        shape = shapely.make_valid(shapely.Polygon(ring))
        parts = [part for part in shapely.get_parts(shape) if part.geom_type == "Polygon"]
        candidates += [part for part in parts if own or part.intersects(shapely.Point(0.0, 0.0))]
    if not candidates:
        raise RequestError(
            f'no building of the map has the id "{own}"'
            if own
            else "no building of the map holds that place; give the id of yours, or a place within"
        )
    largest = max(candidates, key=lambda part: part.area)
    eased = shapely.simplify(shapely.orient_polygons(largest), STRAIGHT_M)
    corners = np.round(shapely.get_coordinates(eased.exterior)[:-1], 2)
    return [(float(east), float(north)) for east, north in corners]
