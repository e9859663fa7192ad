"""Neighbours from a map: where they stand, how high, and that what is left out shades nothing."""

from __future__ import annotations

import time
from datetime import date
from pathlib import Path

import numpy as np
import pytest
import shapely
from geographiclib.geodesic import Geodesic
from made_maps import at, box, building, street, write_map

from suncover.around.geojson import read_map
from suncover.around.local import local_metres
from suncover.around.neighbours import Neighbours, neighbours
from suncover.base.errors import FileFaults, RequestError
from suncover.facade.hours import hours
from suncover.site.model import Site

PLACES = {"north": (48.2, 11.5), "south": (-34.6, -58.4), "tropics": (4.0, 100.0)}


def a_site(latitude: float, longitude: float) -> Site:
    """A house with windows to all sides, one of them upstairs."""
    windows = [
        {"name": f"w{azimuth}", "azimuth": azimuth, "width": 1.2, "height": 1.4, "sill": 0.9,
         "floor": 2.8 if azimuth == 200 else 0.0,
         "position": [5 * np.sin(np.radians(azimuth)), 5 * np.cos(np.radians(azimuth))]}
        for azimuth in (20, 110, 200, 290)
    ]  # fmt: skip
    place = {"name": "made", "latitude": latitude, "longitude": longitude, "timezone": "Etc/GMT"}
    return Site.model_validate({"site": place, "need": {"beam": 0}, "window": windows})


def found_in(tmp_path: Path, site: Site, features: list[dict], **asked: object) -> Neighbours:
    return neighbours(site, read_map(write_map(tmp_path / "map.geojson", features)), **asked)


@pytest.mark.parametrize("place", PLACES)
def test_what_is_left_out_changes_no_minute_of_sun(
    place: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    latitude, longitude = PLACES[place]
    site = a_site(latitude, longitude)
    features = street(latitude, longitude, 60)
    found = found_in(tmp_path, site, features)
    assert found.counts.never >= 3
    # The same without a word on what can never shade: no window has a position.
    nowhere = site.model_copy(
        update={"windows": tuple(w.model_copy(update={"position": None}) for w in site.windows)}
    )
    every = found_in(tmp_path, nowhere, features)
    assert len(every.obstacles) == 60 > len(found.obstacles)
    # Nor does the search leave out anything of itself.
    monkeypatch.setattr("suncover.facade.exposure.with_what_matters", lambda site, *_: site)
    sun = [
        hours(site.model_copy(update={"obstacles": obstacles}), day, day)
        for obstacles in (found.obstacles, every.obstacles)
        for day in (date(2027, 6, 21), date(2027, 9, 30), date(2027, 12, 21), date(2027, 3, 8))
    ]
    assert sun[:4] == sun[4:]
    assert any(spells for day in sun for spells in day.values())


def test_a_footprint_lies_where_geodesics_lead(tmp_path: Path) -> None:
    latitude, longitude = PLACES["south"]
    ring = box(latitude, longitude, (30.0, 40.0), 10.0)
    found = found_in(tmp_path, a_site(latitude, longitude), [building([ring], height="66 ft")])
    [obstacle] = found.obstacles
    expected = {(25.0, 35.0), (35.0, 35.0), (35.0, 45.0), (25.0, 45.0)}
    assert {(round(x, 1), round(y, 1)) for x, y in obstacle.footprint} == expected
    assert obstacle.top == 20.12  # 66 ft of 0.3048 m, to the centimetre


@pytest.mark.parametrize("longitude", [16.37, 179.99])
def test_many_points_lie_where_each_does(longitude: float) -> None:
    """Karney's geodesics (geographiclib), to a micrometre."""
    random, latitude = np.random.default_rng(8), -41.3
    about = random.uniform(-0.15, 0.15, (400, 2)) + np.array([longitude, latitude])
    about[:, 0] = (about[:, 0] + 180) % 360 - 180
    found = local_metres(about, latitude, longitude)
    for (east, north), place in zip(about, found, strict=True):
        line = Geodesic.WGS84.Inverse(latitude, longitude, north, east)
        way = np.radians(line["azi1"])
        assert place == pytest.approx(line["s12"] * np.array([np.sin(way), np.cos(way)]), abs=1e-6)


HEIGHTS = {
    "number": ({"height": 8}, (0.0, 8.0)),
    "text": ({"height": "8.5"}, (0.0, 8.5)),
    "metres": ({"height": "8.5 m"}, (0.0, 8.5)),
    "in words": ({"height": "8,5 metres"}, (0.0, 8.5)),
    "about": ({"height": "~9 m"}, (0.0, 9.0)),
    "feet": ({"height": "32'6\""}, (0.0, 9.91)),
    "levels": ({"building:levels": "3"}, (0.0, 9.0)),
    "height before levels": ({"height": 7, "building:levels": 3}, (0.0, 7.0)),
    "on pillars": ({"height": 12, "min_height": "4 m"}, (4.0, 12.0)),
    "levels and a roof": ({"building:levels": 2, "roof:height": "4 m"}, (0.0, 10.0)),
    "levels of a roof": ({"building:levels": 2, "roof:levels": "1"}, (0.0, 9.0)),
    "the roof is in the height": ({"height": 8, "roof:height": 3}, (0.0, 8.0)),
    "from a level": ({"building:levels": 4, "building:min_level": 1}, (3.0, 12.0)),
}


@pytest.mark.parametrize("case", HEIGHTS)
def test_heights_are_read_as_maps_write_them(case: str, tmp_path: Path) -> None:
    properties, (base, top) = HEIGHTS[case]
    latitude, longitude = PLACES["north"]
    ring = box(latitude, longitude, (10.0, -20.0), 8.0)
    found = found_in(tmp_path, a_site(latitude, longitude), [building([ring], **properties)])
    assert [(o.base, o.top) for o in found.obstacles] == [(base, top)]
    assert found.counts.levels == ("height" not in properties)


def test_without_a_height_it_is_left_out_or_taken_as_told(tmp_path: Path) -> None:
    latitude, longitude = PLACES["north"]
    features = [building([box(latitude, longitude, (10.0, -20.0), 8.0)])]
    site = a_site(latitude, longitude)
    assert found_in(tmp_path, site, features).counts.flat == 1
    assert found_in(tmp_path, site, features, height=7.0).obstacles[0].top == 7.0


UNREAD = {
    "more digits than a number has": ({"height": 10**400}, 6.0, "height: "),
    "height": ({"height": "tall"}, 6.0, "height: "),
    "height, levels help": ({"height": "tall", "building:levels": 3}, 9.0, "height: "),
    "levels": ({"building:levels": "3;4"}, 6.0, "building:levels: '3;4' is not a number"),
    "base": ({"height": 8, "min_height": "roof"}, 8.0, "min_height: "),
    "base above top": ({"height": 3, "min_height": 5}, 6.0, "3 m, is not above its min_height, 5"),
}


@pytest.mark.parametrize("case", UNREAD)
def test_one_height_that_cannot_be_read_is_told_and_stops_nothing(
    case: str, tmp_path: Path
) -> None:
    properties, top, words = UNREAD[case]
    latitude, longitude = PLACES["north"]
    rings = [box(latitude, longitude, (10.0, -20.0), 8.0)]
    features = [
        building(rings, id="way/7", name="Old Mill", **properties),
        building([box(latitude, longitude, (-15.0, -20.0), 8.0)], id="way/8", height=5),
    ]
    found = found_in(tmp_path, a_site(latitude, longitude), features, height=6.0)
    assert sorted((o.base, o.top) for o in found.obstacles) == [(0.0, 5.0), (0.0, top)]
    [told] = found.counts.unread
    assert told.startswith('feature 1 (way/7, "Old Mill"): ')
    assert words in told


def test_only_what_could_shade_is_told_but_all_that_has_no_place(tmp_path: Path) -> None:
    latitude, longitude = PLACES["north"]
    features = [
        building([box(latitude, longitude, (10.0, -20.0), 8.0)], id="way/1", height=6),
        building([box(latitude, longitude, (10.0, -420.0), 8.0)], id="way/2", height="?"),
        building([box(latitude, longitude, (20.0, -20.0), 8.0)[:2]], id="way/3", height=6),
        "no feature",
    ]
    found = found_in(tmp_path, a_site(latitude, longitude), features, within=100.0)
    assert len(found.obstacles) == 1
    assert [told.split(":")[0] for told in found.counts.unread] == [
        "feature 3 (way/3)",
        "feature 4",
    ]
    everywhere = found_in(tmp_path, a_site(latitude, longitude), features)
    assert any("way/2" in told for told in everywhere.counts.unread)


@pytest.mark.parametrize(
    ("name", "called"),
    [("x" * 500, "x" * 60), ("a\nb\x07", "a b"), ("  ", "building way/7"), (7, "building way/7")],
)
def test_any_name_of_a_map_becomes_one_that_a_site_may_have(
    name: object, called: str, tmp_path: Path
) -> None:
    latitude, longitude = PLACES["north"]
    ring = box(latitude, longitude, (10.0, -20.0), 8.0)
    features = [building([ring], id="way/7", name=name, height=5)]
    found = found_in(tmp_path, a_site(latitude, longitude), features)
    assert [obstacle.name for obstacle in found.obstacles] == [called]


def test_an_outline_without_an_area_is_told(tmp_path: Path) -> None:
    latitude, longitude = PLACES["north"]
    ring = [at(latitude, longitude, 10.0, -20.0)] * 5
    features = [
        building([ring], id="way/7", height=5),
        building(
            [box(latitude, longitude, (10.0, -20.0), 8.0)],
            id="way/8",
            height=4.999,
            min_height=4.998,
        ),
    ]
    found = found_in(tmp_path, a_site(latitude, longitude), features)
    assert found.counts.unread[0] == "building way/7: its outline bounds no area"
    assert "is not above its min_height" in found.counts.unread[1]
    assert not found.obstacles


@pytest.mark.parametrize("apart", [0.0, 0.002, 0.2])
def test_a_corner_drawn_twice_loses_no_building(apart: float, tmp_path: Path) -> None:
    latitude, longitude = PLACES["north"]
    corners = ((6.0, -24.0), (14.0, -24.0), (14.0, -24.0 + apart), (14.0, -16.0), (6.0, -16.0))
    ring = [at(latitude, longitude, *corner) for corner in (*corners, corners[0])]
    found = found_in(tmp_path, a_site(latitude, longitude), [building([ring], height=5)])
    [obstacle] = found.obstacles
    assert shapely.Polygon(obstacle.footprint).area == pytest.approx(64.0, abs=0.2)


def test_an_outline_that_folds_upon_itself_keeps_all_that_has_an_area(tmp_path: Path) -> None:
    """Two squares joined by a stalk 2 mm wide: to the centimetre the stalk is none."""
    latitude, longitude = PLACES["north"]
    corners = (
        (0.0, -24.0), (4.0, -24.0), (4.0, -22.001), (8.0, -22.001), (8.0, -24.0), (12.0, -24.0),
        (12.0, -20.0), (8.0, -20.0), (8.0, -21.999), (4.0, -21.999), (4.0, -20.0), (0.0, -20.0),
    )  # fmt: skip
    ring = [at(latitude, longitude, *corner) for corner in (*corners, corners[0])]
    found = found_in(tmp_path, a_site(latitude, longitude), [building([ring], height=12)])
    areas = [shapely.Polygon(obstacle.footprint).area for obstacle in found.obstacles]
    assert areas == pytest.approx([16.0, 16.0], abs=0.1)


def test_a_courtyard_is_no_obstacle(tmp_path: Path) -> None:
    latitude, longitude = PLACES["north"]
    middle = (40.0, -40.0)
    rings = [box(latitude, longitude, middle, 30.0), box(latitude, longitude, middle, 12.0)[::-1]]
    found = found_in(tmp_path, a_site(latitude, longitude), [building(rings, height=9)])
    shapes = [shapely.Polygon(obstacle.footprint) for obstacle in found.obstacles]
    whole = shapely.union_all(shapes)
    assert whole.area == pytest.approx(30.0**2 - 12.0**2, rel=0.01)
    assert not whole.contains(shapely.Point(middle))
    assert sum(shape.area for shape in shapes) == pytest.approx(whole.area, rel=1e-6)
    assert len({obstacle.name for obstacle in found.obstacles}) == len(shapes) > 1


def test_a_long_building_is_as_near_as_its_wall_not_as_its_corners(tmp_path: Path) -> None:
    latitude, longitude = PLACES["south"]
    corners = ((-200.0, 20.0), (200.0, 20.0), (200.0, 35.0), (-200.0, 35.0), (-200.0, 20.0))
    ring = [at(latitude, longitude, east, north) for east, north in corners]
    site, features = a_site(latitude, longitude), [building([ring], height=25)]
    assert len(found_in(tmp_path, site, features, within=30.0).obstacles) == 1
    assert found_in(tmp_path, site, features, within=15.0).counts.far == 1


def test_collections_hold_buildings_and_trees(tmp_path: Path) -> None:
    """RFC 7946, 3.1: MultiPoint and GeometryCollection, which may nest."""
    latitude, longitude = PLACES["north"]
    house = building([box(latitude, longitude, (10.0, -20.0), 8.0)], height=9)
    house["geometry"] = {
        "type": "GeometryCollection",
        "geometries": [
            {"type": "GeometryCollection", "geometries": [house["geometry"]]},
            {"type": "Point", "coordinates": at(latitude, longitude, 10.0, -20.0)},
        ],
    }
    trunks = [at(latitude, longitude, east, -12.0) for east in (-4.0, 4.0)]
    row = {
        "type": "Feature",
        "properties": {"natural": "tree", "height": 8, "diameter_crown": 4},
        "geometry": {"type": "MultiPoint", "coordinates": trunks},
    }
    found = found_in(tmp_path, a_site(latitude, longitude), [house, row])
    assert [obstacle.top for obstacle in found.obstacles] == [9.0]
    assert [tree.trunk for tree in found.trees] == [(-4.0, -12.0), (4.0, -12.0)]
    assert not found.counts.unread


@pytest.mark.parametrize(
    "geometry", [None, {"type": "LineString", "coordinates": [[11.5, 48.2], [11.6, 48.2]]}]
)
def test_a_high_building_without_an_outline_is_reported(geometry: object, tmp_path: Path) -> None:
    latitude, longitude = PLACES["north"]
    rings = [box(latitude, longitude, (10.0, -20.0), 8.0)]
    features = [
        {**building([], height=9, id="way/1"), "geometry": geometry},
        {**building(rings), "properties": {"building": "", "building:part": "", "height": ""}},
        building(rings, height=9, **{"building:part": False}),
    ]
    found = found_in(tmp_path, a_site(latitude, longitude), features)
    assert [obstacle.name for obstacle in found.obstacles] == ["building"]
    assert found.counts.unread == [
        "feature 1 (way/1): a building with a height should have a Polygon"
    ]
    assert not found.counts.flat  # a row of a table whose cells are empty is no building


def test_own_house_is_the_one_about_the_origin_or_the_one_told(tmp_path: Path) -> None:
    latitude, longitude = PLACES["north"]
    features = [
        building([box(latitude, longitude, (0.0, 0.0), 12.0)], id="way/1", height=6),
        building([box(latitude, longitude, (14.0, -12.0), 12.0)], id="way/2", height=6),
    ]
    site = a_site(latitude, longitude)
    assert found_in(tmp_path, site, features).counts.own == ["way/1"]
    told = found_in(tmp_path, site, features, own="way/2")
    assert told.counts.own == ["way/2"]
    with pytest.raises(RequestError, match='no building of the map has the id "way/3"'):
        found_in(tmp_path, site, features, own="way/3")


def test_parts_stand_for_the_building_that_they_cover(tmp_path: Path) -> None:
    latitude, longitude = PLACES["north"]
    whole = box(latitude, longitude, (20.0, -30.0), 10.0)
    features = [building([whole], id="way/1", height=20)]
    for number, (side, height) in enumerate(((-2.5, 20), (2.5, 6)), 2):
        east, low, high = 20.0 + side, -35.0, -25.0
        ring = [
            at(latitude, longitude, x, y)
            for x, y in (
                (east - 2.5, low), (east + 2.5, low), (east + 2.5, high), (east - 2.5, high),
                (east - 2.5, low),
            )
        ]  # fmt: skip
        part = building([ring], id=f"way/{number}", height=height)
        part["properties"] = {"building:part": "yes", "height": height}
        features.append(part)
    found = found_in(tmp_path, a_site(latitude, longitude), features)
    assert sorted(obstacle.top for obstacle in found.obstacles) == [6.0, 20.0]


def test_trees_with_a_size_are_taken(tmp_path: Path) -> None:
    latitude, longitude = PLACES["south"]

    def tree(east: float, **properties: object) -> dict:
        point = {"type": "Point", "coordinates": at(latitude, longitude, east, 15.0)}
        return {
            "type": "Feature",
            "properties": {"natural": "tree", **properties},
            "geometry": point,
        }

    features = [
        tree(3.0, height="9 m", diameter_crown=6, leaf_cycle="deciduous"),
        tree(12.0, height=9, diameter_crown="5", leaf_cycle="evergreen"),
        tree(20.0, height=9),
    ]
    found = found_in(tmp_path, a_site(latitude, longitude), features)
    assert [(t.width, t.top, t.bottom) for t in found.trees] == [(6.0, 9.0, 3.0), (5.0, 9.0, 3.0)]
    leafy, evergreen = found.trees
    assert leafy.in_leaf == ((10, 20), (5, 5))
    assert leafy.bare > leafy.leaf
    assert evergreen.in_leaf is None
    assert found.counts.flat == 1


def test_thousands_of_buildings_take_seconds(tmp_path: Path) -> None:
    latitude, longitude = PLACES["north"]
    path = write_map(tmp_path / "map.geojson", street(latitude, longitude, 2000))
    begin = time.process_time()
    found = neighbours(a_site(latitude, longitude), read_map(path), within=150.0)
    assert time.process_time() - begin < 8.0
    assert found.counts.far > 1000
    assert all(np.hypot(*np.array(o.footprint).T).min() < 150.1 for o in found.obstacles)


WRONG = {
    "no JSON": ("{", "this is no JSON"),
    "another kind": ('{"type": "Topology"}', "this is no GeoJSON map"),
    "digits": ('{"type": "Feature", "id": ' + "9" * 5000 + "}", "too many digits"),
    "metres": (
        '{"type": "Feature", "properties": {"building": "yes", "height": 3}, "geometry": {"type": '
        '"Polygon", "coordinates": [[[4468000, 5332000], [1, 2], [3, 4], [5, 6]]]}}',
        "longitude, latitude in degrees",
    ),
}


@pytest.mark.parametrize("case", WRONG)
def test_a_map_that_is_wrong_is_told_with_its_place(case: str, tmp_path: Path) -> None:
    text, words = WRONG[case]
    path = tmp_path / "map.geojson"
    path.write_text(text)
    with pytest.raises(FileFaults) as told:
        read_map(path)
    assert words in str(told.value)
    assert "map.geojson" in str(told.value)
