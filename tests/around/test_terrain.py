"""The horizon by a raster, against closed forms and an independent march over the ellipsoid."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from geographiclib.geodesic import Geodesic

from suncover.around.terrain import elevation_angle, horizon, read_heights, soonest_end, thinned
from suncover.base.errors import FileFaults, RequestError
from suncover.facade.skyline import Skyline

rasterio = pytest.importorskip("rasterio")

LATITUDE, LONGITUDE = 46.5, 8.0
CELL_DEG = 0.001  # 111 m north and 77 m east
RADIUS = 6_378_000.0  # within 0.2 % of any curvature of the Earth
EARTH = Geodesic.WGS84


def away(longitude: np.ndarray, latitude: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Metres east and north of the site, on a sphere: within 0.3 % at 20 km."""
    east = np.radians(longitude - LONGITUDE) * np.cos(np.radians(LATITUDE)) * 6_388_000
    return east, np.radians(latitude - LATITUDE) * 6_367_000


def raster(
    path: Path, height: Callable[[np.ndarray, np.ndarray], np.ndarray], reach: float = 0.25
) -> Path:
    """A GeoTIFF in longitudes and latitudes of a height (east, north) about the site."""
    count = round(2 * reach / CELL_DEG)
    middles = (np.arange(count) + 0.5) * CELL_DEG - reach
    longitude, latitude = np.meshgrid(LONGITUDE + middles, LATITUDE - middles)
    values = height(*away(longitude, latitude)).astype("float32")
    with rasterio.open(
        path, "w", driver="GTiff", width=count, height=count, count=1, dtype="float32",
        crs="EPSG:4326",
        transform=rasterio.transform.from_origin(
            LONGITUDE - reach, LATITUDE + reach, CELL_DEG, CELL_DEG
        ),
    ) as file:  # fmt: skip
        file.write(values, 1)
    return path


def seen(path: Path, eye: float = 2.0, within_km: float = 18.0) -> Callable[[float], float]:
    """The horizon as the site's sun meets it, by azimuth."""
    heights = read_heights(path, LATITUDE, LONGITUDE, within_km)
    points = horizon(heights, LATITUDE, LONGITUDE, within_km, eye)
    assert len(points) == 720
    sky = Skyline(thinned(points))
    return lambda azimuth: float(sky.elevation(np.array([azimuth]))[0])


def lowered(height: float, distance: float) -> float:
    """The closed form: the angle to a height over a distance, curvature and refraction in."""
    return float(np.degrees(np.arctan(height / distance - distance * 0.87 / (2 * RADIUS))))


def test_a_ridge_stands_as_high_as_its_closed_form(tmp_path: Path) -> None:
    # A straight wall of a mountain, 800 m high from 8 km east on.
    path = raster(tmp_path / "ridge.tif", lambda east, _: np.where(east > 8000, 800.0, 0.0))
    up = seen(path)
    for azimuth in (60.0, 75.5, 90.0, 110.25):
        distance = 8000 / np.sin(np.radians(azimuth))
        # The wall stands within a cell of where it should: 77 m of 8 km, a hundredth of the angle.
        assert up(azimuth) == pytest.approx(lowered(798.0, distance), abs=0.012 * up(azimuth))
    assert up(270.0) == 0.0


def test_a_cone_stands_as_high_as_its_closed_form(tmp_path: Path) -> None:
    # 1000 m high, 3 km across its foot, 10 km north: seen against its outline, a hyperbola's.
    top, radius, north = 1000.0, 1500.0, 10_000.0

    def height(east: np.ndarray, up: np.ndarray) -> np.ndarray:
        return np.maximum(top * (1 - np.hypot(east, up - north) / radius), 0.0)

    seen_up = seen(raster(tmp_path / "cone.tif", height))
    distance = np.linspace(8000, 12_000, 40_001)
    for azimuth in (0.0, 2.0, 5.0, 355.5):
        way = np.radians(azimuth)
        along = height(distance * np.sin(way), distance * np.cos(way)) - 2.0
        exact = np.degrees(np.arctan(along / distance - distance * 0.87 / (2 * RADIUS))).max()
        # Between the middles of its cells a cone's side is straight; only its tip is cut.
        assert seen_up(azimuth) == pytest.approx(exact, abs=0.04 if azimuth else 0.25)


def test_hills_beyond_the_curve_of_the_earth_are_lower() -> None:
    # J. Meeus' rule of thumb is not needed: at 100 km the Earth falls away by 785 m, less 13 %.
    flat = np.degrees(np.arctan((3000.0 - 500.0) / 100_000.0))
    drop = 100_000.0**2 / (2 * RADIUS) * 0.87
    [angle] = elevation_angle(np.array([3000.0]), 500.0, np.array([100_000.0]), RADIUS)
    assert drop == pytest.approx(682.0, abs=1.0)
    assert angle == pytest.approx(np.degrees(np.arctan((2500.0 - drop) / 100_000.0)), abs=1e-9)
    assert angle < flat


def test_an_independent_march_over_the_ellipsoid_finds_the_same(tmp_path: Path) -> None:
    def hills(east: np.ndarray, north: np.ndarray) -> np.ndarray:
        wave = np.sin(east / 1700.0 + 1.0) * np.cos(north / 2300.0) + np.sin((east - north) / 4100)
        return 400.0 + 250.0 * wave

    up = seen(raster(tmp_path / "hills.tif", hills), eye=10.0, within_km=15.0)
    base = float(hills(*away(np.array([LONGITUDE]), np.array([LATITUDE])))[0]) + 10.0
    for azimuth in (17.0, 133.5, 201.0, 288.0, 342.5):
        highest = 0.0
        for distance in np.arange(100.0, 15_000.0, 40.0):
            end = EARTH.Direct(LATITUDE, LONGITUDE, azimuth, distance)
            ground = hills(*away(np.array([end["lon2"]]), np.array([end["lat2"]])))[0]
            highest = max(highest, lowered(ground - base, distance))
        assert up(azimuth) == pytest.approx(highest, abs=0.05)


def test_a_projected_raster_says_the_same(tmp_path: Path) -> None:
    warp = pytest.importorskip("rasterio.warp")
    plain = raster(tmp_path / "ridge.tif", lambda east, _: np.where(east > 8000, 800.0, 0.0))
    other = tmp_path / "utm.tif"
    with rasterio.open(plain) as source:
        transform, width, height = warp.calculate_default_transform(
            source.crs, "EPSG:32632", source.width, source.height, *source.bounds
        )
        with rasterio.open(
            other, "w", driver="GTiff", width=width, height=height, count=1, dtype="float32",
            crs="EPSG:32632", transform=transform, nodata=-9999,
        ) as target:  # fmt: skip
            warp.reproject(rasterio.band(source, 1), rasterio.band(target, 1), dst_nodata=-9999)
    one, two = seen(plain), seen(other)
    for azimuth in (80.0, 90.0, 101.5, 270.0):
        assert two(azimuth) == pytest.approx(one(azimuth), abs=0.08)


@pytest.mark.parametrize("longitude", [179.98, -179.98], ids=["before", "beyond"])
@pytest.mark.parametrize("goes_on", [180.0, -180.0], ids=["to 180 and on", "from -180"])
def test_at_the_date_line_in_the_south_hills_stand_where_they_are(
    tmp_path: Path, longitude: float, goes_on: float
) -> None:
    """A ridge some kilometres east, on an island at 16.8° S whose raster lies across 180°."""
    latitude, reach, step = -16.8, 0.15, 0.001
    count = round(2 * reach / step)
    middles = (np.arange(count) + 0.5) * step - reach
    east = middles * np.radians(1) * np.cos(np.radians(latitude)) * 6_378_000
    values = np.broadcast_to(np.where(east > 6000, 500.0, 5.0), (count, count)).copy()
    values[:, east < -9000] = -9999.0  # the sea, of which it says nothing
    path = tmp_path / "island.tif"
    with rasterio.open(
        path, "w", driver="GTiff", width=count, height=count, count=1, dtype="float32",
        crs="EPSG:4326", nodata=-9999.0,
        transform=rasterio.transform.from_origin(goes_on - reach, latitude + reach, step, step),
    ) as file:  # fmt: skip
        file.write(values.astype("float32"), 1)
    heights = read_heights(path, latitude, longitude, 14.0)
    points = dict(horizon(heights, latitude, longitude, 14.0, 2.0))
    away = (
        6000.0 - (longitude % 360 - 180) * np.radians(1) * np.cos(np.radians(latitude)) * 6_378_000
    )
    for azimuth in (75.0, 90.0, 105.0):
        exact = lowered(493.0, away / np.sin(np.radians(azimuth)))
        assert points[azimuth] == pytest.approx(exact, abs=0.015 * exact)
    assert points[270.0] == 0.0


@pytest.mark.parametrize("kind", ["from south to north", "feet"])
def test_a_raster_upside_down_or_in_feet_says_the_same(tmp_path: Path, kind: str) -> None:
    plain = raster(tmp_path / "ridge.tif", lambda east, _: np.where(east > 8000, 800.0, 0.0))
    other = tmp_path / "other.tif"
    with rasterio.open(plain) as source:
        profile, values, t = dict(source.profile), source.read(1), source.transform
    if kind != "feet":
        values = values[::-1]
        profile["transform"] = rasterio.Affine(t.a, 0, t.c, 0, -t.e, t.f + t.e * len(values))
    with rasterio.open(other, "w", **profile) as target:
        target.write(values / 0.3048 if kind == "feet" else values, 1)
        target.units = ("ft" if kind == "feet" else "m",)
    first, second = seen(plain), seen(other)
    for azimuth in (60.0, 90.0, 110.5, 270.0):
        assert second(azimuth) == pytest.approx(first(azimuth), abs=0.011)


def test_where_a_raster_ends_is_reported(tmp_path: Path) -> None:
    path = raster(tmp_path / "small.tif", lambda east, _: 0 * east, reach=0.1)
    assert (
        soonest_end(read_heights(path, LATITUDE, LONGITUDE, 7.0), LATITUDE, LONGITUDE, 7.0) is None
    )
    end = soonest_end(read_heights(path, LATITUDE, LONGITUDE, 30.0), LATITUDE, LONGITUDE, 30.0)
    side = EARTH.Inverse(LATITUDE, LONGITUDE, LATITUDE, LONGITUDE + 0.1)["s12"]
    assert end is not None
    assert end[0] % 180.0 == pytest.approx(90.0, abs=5.0)  # samples lie half a cell apart
    assert end[1] == pytest.approx(side, abs=80.0)  # a cell


def test_what_is_no_raster_of_the_place_is_told(tmp_path: Path) -> None:
    path = raster(tmp_path / "small.tif", lambda east, _: 0 * east, reach=0.02)
    with pytest.raises(FileFaults, match="does not reach the site"):
        read_heights(path, 10.0, 10.0, 5.0)
    heights = read_heights(path, LATITUDE + 0.03, LONGITUDE, 5.0)
    with pytest.raises(RequestError, match="no height at the site"):
        horizon(heights, LATITUDE + 0.03, LONGITUDE, 5.0, 2.0)
    text = tmp_path / "text.tif"
    text.write_text("no raster")
    with pytest.raises(FileFaults, match="no raster that can be read"):
        read_heights(text, LATITUDE, LONGITUDE, 5.0)
