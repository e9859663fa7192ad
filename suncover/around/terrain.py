"""The far horizon of a site, by a raster of heights (GeoTIFF).

Rays go out from the site in all directions. Where they pass, the ground's height is that of the
raster, linear between the middles of its cells; the Earth curves away beneath, less what refraction
bends the line of sight after it. The highest angle along a ray is the horizon there.

A point at the distance d and the height h, both along the Earth, is seen from the height h0 at
    atan((h - h0) / d - d (1 - k) / (2 R)),
with the Earth's radius R and the refraction coefficient k (0.13, Gauss's value, as in surveying: W.
Torge and J. Müller, Geodesy, 4th edition, 2012, section 5.1).
"""

from __future__ import annotations

import os
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from suncover.around.local import turned
from suncover.base.errors import RequestError
from suncover.base.textfile import one_fault
from suncover.site.kinds.lengths import METRES_PER_FOOT

Floats = NDArray[np.float64]

REFRACTION = 0.13
STEP_DEG = 0.5  # between the azimuths of a horizon
NEAREST_M = 30.0  # what stands nearer is for obstacles and skylines
FARTHEST_KM = 100.0
EYE_M = 1.5  # above the ground, where the site's windows have no height
GROWTH = 0.004  # of the distance: how far samples of a ray lie apart beyond the first cells
# The unit that a band says its heights have; those of the survey are longer by two millionths.
FEET = ("ft", "foot", "feet", "us-ft", "ftus", "us survey foot")
MOST_CELLS = 200_000_000


@dataclass(frozen=True)
class Heights:
    """Heights (rows, columns) in metres, nan where not known, of a raster in longitudes and
    latitudes or metres; `inverse` takes a place (x, y) to column and row, counted from the middle
    of the first cell. `cell` is about a cell's size in metres; `middle` is the longitude of the
    raster's middle where it counts in degrees: beyond 180 they may go on or begin anew.
    """

    values: Floats
    inverse: tuple[float, ...]
    cell: float
    crs: Any
    middle: float | None = None

    def at(self, longitude: Floats, latitude: Floats) -> Floats:
        """The heights at places, nan beyond the raster or where it has none."""
        x, y = self._in_raster(longitude, latitude)
        if self.middle is not None:
            x = self.middle + turned(x - self.middle)
        a, b, c, d, e, f = self.inverse
        column, row = a * x + b * y + c - 0.5, d * x + e * y + f - 0.5
        return _between(self.values, row, column)

    def _in_raster(self, longitude: Floats, latitude: Floats) -> tuple[Floats, Floats]:
        if self.crs is None:
            return longitude, latitude
        from rasterio.warp import transform

        flat = longitude.ravel(), latitude.ravel()
        x, y = transform("EPSG:4326", self.crs, *flat)
        return np.reshape(x, longitude.shape), np.reshape(y, latitude.shape)


def _between(values: Floats, row: Floats, column: Floats) -> Floats:
    """Linear between the four cells about each place; the outer half of a border cell counts."""
    rows, columns = values.shape
    inside = (row >= -0.5) & (row <= rows - 0.5) & (column >= -0.5) & (column <= columns - 0.5)
    row = np.clip(np.where(inside, row, 0.0), 0.0, rows - 1.0)
    column = np.clip(np.where(inside, column, 0.0), 0.0, columns - 1.0)
    r = np.minimum(row.astype(np.intp), max(rows - 2, 0))
    c = np.minimum(column.astype(np.intp), max(columns - 2, 0))
    v, u = row - r, column - c
    r2, c2 = np.minimum(r + 1, rows - 1), np.minimum(c + 1, columns - 1)
    heights = (1 - v) * ((1 - u) * values[r, c] + u * values[r, c2]) + v * (
        (1 - u) * values[r2, c] + u * values[r2, c2]
    )
    return np.where(inside, heights, np.nan)


def read_heights(
    path: str | os.PathLike[str], latitude: float, longitude: float, within_km: float
) -> Heights:
    """The heights of a GeoTIFF about a place.

    Raises
    ------
    RequestError
        When rasterio is not installed.
    FileFaults
        When the file cannot be read, says not where it lies, or does not hold the place.
    """
    try:
        import rasterio
        from rasterio.errors import RasterioError
        from rasterio.warp import transform_bounds
        from rasterio.windows import Window, from_bounds
    except ImportError:
        raise RequestError(
            "reading a raster needs rasterio; install it with: pip install 'suncover[terrain]'"
        ) from None
    try:
        with rasterio.open(os.fspath(path)) as source:
            if source.crs is None:
                raise one_fault(path, "the raster does not say where it lies; it needs a CRS")
            middle = None
            if source.crs.is_geographic:
                middle = (source.bounds.left + source.bounds.right) / 2.0
                longitude = middle + float(turned(np.array(longitude - middle)))
            up = within_km / 110.0  # no degree is less
            side = up / max(np.cos(np.radians(latitude)), 0.05)
            box = (
                longitude - side,
                max(latitude - up, -90.0),
                longitude + side,
                min(latitude + up, 90.0),
            )
            bounds = transform_bounds("EPSG:4326", source.crs, *box)
            all_cells = Window(0, 0, source.width, source.height)
            try:
                if source.transform.e > 0.0:  # its first row is the southernmost
                    bounds = bounds[0], bounds[3], bounds[2], bounds[1]
                part = from_bounds(*bounds, transform=source.transform)
                part = (
                    part.round_offsets(op="floor").round_lengths(op="ceil").intersection(all_cells)
                )
            except RasterioError:
                raise one_fault(path, "the raster does not reach the site") from None
            if part.width * part.height > MOST_CELLS:
                raise one_fault(path, "too many cells within the distance; give a smaller --within")
            band = source.read(1, window=part, masked=True)
            values = np.ma.filled(band.astype(np.float64), np.nan)
            values *= source.scales[0]
            values += source.offsets[0]
            if (source.units[0] or "").strip().lower() in FEET:
                values *= float(METRES_PER_FOOT)
            inverse = ~source.window_transform(part)
            metres = 1.0 if source.crs.is_projected else 111_132.0
            if source.crs.is_projected:
                metres = source.crs.linear_units_factor[1]
            cell = metres * min(abs(source.res[0]), abs(source.res[1]))
            geographic = source.crs.to_epsg() == 4326
            crs = None if geographic else source.crs
    except RasterioError as error:
        raise one_fault(path, f"this is no raster that can be read: {error}") from None
    return Heights(values, tuple(inverse)[:6], cell, crs, middle)


def horizon(
    heights: Heights, latitude: float, longitude: float, within_km: float, eye: float
) -> tuple[tuple[float, float], ...]:
    """The horizon in steps of half a degree: azimuth, elevation in degrees, of ground that stands
    higher than level; `eye` is the observer's height above the ground in metres.

    Raises
    ------
    RequestError
        When the raster has no height at the place.
    """
    ground = float(heights.at(np.array([longitude]), np.array([latitude]))[0])
    if not np.isfinite(ground):
        raise RequestError("the raster has no height at the site")
    azimuth = STEP_DEG * np.arange(round(360.0 / STEP_DEG))
    distance = _distances(heights.cell, within_km)
    radius = _radius(latitude)
    highest = np.zeros(len(azimuth))
    for ray, way in enumerate(np.radians(azimuth)):
        x, y = _reached(latitude, longitude, way, distance)
        angle = elevation_angle(heights.at(x, y), ground + eye, distance, radius)
        highest[ray] = max(0.0, float(np.nanmax(angle, initial=0.0)))
    return tuple(zip(azimuth.tolist(), np.round(highest, 2).tolist(), strict=True))


def soonest_end(
    heights: Heights, latitude: float, longitude: float, within_km: float
) -> tuple[float, float] | None:
    """The azimuth at which the raster's heights end soonest, and after how many metres; None where
    they reach as far as `within_km` all about.
    """
    azimuth, distance = np.arange(0.0, 360.0, 5.0), _distances(heights.cell, within_km)
    ends = []
    for way in np.radians(azimuth):
        known = np.isfinite(heights.at(*_reached(latitude, longitude, way, distance)))
        ends.append(float(distance[known].max(initial=0.0)))
    soonest = int(np.argmin(ends))
    if not len(distance) or ends[soonest] == distance[-1]:
        return None
    return float(azimuth[soonest]), ends[soonest]


def thinned(points: Sequence[tuple[float, float]]) -> tuple[tuple[float, float], ...]:
    """A horizon without the points that lie on the line between their neighbours."""
    result: list[tuple[float, float]] = []
    for at, (azimuth, up) in enumerate(points):
        if 0 < at < len(points) - 1:
            line = (result[-1], points[at + 1])
            share = (azimuth - line[0][0]) / (line[1][0] - line[0][0])
            if line[0][0] == points[at - 1][0] or result[-1][1] == up == points[at + 1][1]:
                between = line[0][1] + share * (line[1][1] - line[0][1])
                if abs(between - up) < 1e-9:
                    continue
        result.append((azimuth, up))
    return tuple(result) if any(up > 0.0 for _, up in result) else ()


def elevation_angle(height: Floats, eye: float, distance: Floats, radius: float) -> Floats:
    """The angle in degrees at which ground at a `height` is seen over a `distance`, metres."""
    drop = distance * (1.0 - REFRACTION) / (2.0 * radius)
    return np.asarray(np.degrees(np.arctan((height - eye) / distance - drop)))


def _distances(cell: float, within_km: float) -> Floats:
    """Where a ray is looked at: half a cell apart, farther off in steps that grow with it."""
    distances, at = [], NEAREST_M
    while at <= within_km * 1000.0:
        distances.append(at)
        at += max(cell / 2.0, GROWTH * at) if at > 200 * cell else cell / 2.0
    return np.array(distances)


def _radius(latitude: float) -> float:
    """The Earth's radius in metres, the mean of its two curvatures (WGS 84)."""
    major, flattening = 6_378_137.0, 1.0 / 298.257223563
    square = flattening * (2.0 - flattening)
    bent = 1.0 - square * np.sin(np.radians(latitude)) ** 2
    return float(major * np.sqrt(1.0 - square) / bent)


def _reached(
    latitude: float, longitude: float, way: float, distance: Floats
) -> tuple[Floats, Floats]:
    """Longitudes and latitudes along a great circle; the sphere is that of the place's curvature.

    Within 100 km this is off the ellipsoid by less than 200 m along the ray, and far less across.
    """
    arc = distance / _radius(latitude)
    north_from = np.radians(latitude)
    sine = np.sin(north_from) * np.cos(arc) + np.cos(north_from) * np.sin(arc) * np.cos(way)
    east = np.arctan2(
        np.sin(way) * np.sin(arc) * np.cos(north_from), np.cos(arc) - np.sin(north_from) * sine
    )
    return longitude + np.degrees(east), np.degrees(np.arcsin(np.clip(sine, -1.0, 1.0)))
