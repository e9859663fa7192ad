"""A house's walls from a few measures and from a map, and a bay in one of them."""

from __future__ import annotations

import json
import tomllib
from typing import Any, ClassVar

import numpy as np
import pytest
import shapely
from geographiclib.geodesic import Geodesic

from suncover.base.errors import RequestError
from suncover.site.file.sitefile import site_from_tables, site_from_text
from suncover.site.model import Site, Wall
from suncover.web.bay import bay_changes
from suncover.web.judge import changed
from suncover.web.outline import new_home

WINDOW = '\n[[window]]\nname = "w"\nwall = "{wall}"\nalong = 0.5\nwidth = 1\nheight = 1\n'
HOUSE = {
    "name": "Brook Cottage",
    "place": "51.22 W, 30.03 S",
    "shape": "rectangle",
    "front": "north-east",
    "width": "12.5",
    "depth": "27 ft",
}


def site_of(text: str) -> Site:
    first = tomllib.loads(text)["wall"][0]["name"]
    return site_from_text(text + WINDOW.format(wall=first))


def outline(site: Site) -> Any:
    """The walls' corners as a polygon, which has to close."""
    corners, last = [], np.zeros(2)
    for wall in in_order(site):
        turned = np.radians(wall.azimuth)
        assert wall.start is not None
        assert np.allclose(wall.start, last, atol=0.02) or not corners
        corners.append(wall.start)
        right = np.array([-np.cos(turned), np.sin(turned)])
        last = np.asarray(wall.start) + wall.length * right
    assert np.allclose(last, corners[0], atol=0.02)
    return shapely.Polygon(corners)


def in_order(site: Site) -> list[Wall]:
    """The walls as one walks along them: a bay's stand last in the file."""
    names = [wall.name for wall in site.walls]
    added = [name for name in names if name.startswith("front, ")]
    rest = [name for name in names if name not in (*added, "front")]
    order = [*(["front"] if "front" in names else []), *added, *rest]
    inner = [name for name in names if name.endswith(", inner")]
    return [site.walls[names.index(name)] for name in (names if inner else order)]


def test_a_rectangle_by_front_width_and_depth() -> None:
    site = site_of(new_home(HOUSE)["text"])
    assert (site.place.latitude, site.place.longitude) == (-30.03, -51.22)
    assert [wall.azimuth for wall in site.walls] == [45, 315, 225, 135]
    assert outline(site).area == pytest.approx(12.5 * 27 * 0.3048, rel=1e-3)
    # Left to right as one faces it is counterclockwise from above.
    assert shapely.is_ccw(outline(site).exterior)


def test_what_was_said_in_words_stays_in_words() -> None:
    """A direction in words is as far off as words are; a tape may be in feet."""
    raw = tomllib.loads(new_home(HOUSE)["text"])["wall"]
    assert (raw[0]["azimuth"], raw[0]["length"], raw[1]["length"]) == ("north-east", 12.5, "27 ft")


@pytest.mark.parametrize("corner", ["0", "1", "2", "3"])
def test_a_rectangle_that_lacks_a_corner(corner: str) -> None:
    said = {**HOUSE, "shape": "L", "corner": corner, "cut_along": "3", "cut_in": "2"}
    house = outline(site_of(new_home(said)["text"]))
    assert house.area == pytest.approx(12.5 * 27 * 0.3048 - 6.0, rel=1e-3)
    assert shapely.is_ccw(house.exterior)
    assert len(house.exterior.coords) == 7


@pytest.mark.parametrize(
    ("key", "value"),
    [("name", " "), ("place", "the hill"), ("front", "up"), ("width", "-3"), ("depth", "long")],
)
def test_what_is_wrong_is_told_at_its_field(key: str, value: str) -> None:
    told = new_home({**HOUSE, key: value})
    assert list(told["faults"]) == [key]
    assert told["faults"][key]


def test_a_piece_that_is_larger_than_the_house_is_told() -> None:
    said = {**HOUSE, "shape": "L", "corner": "0", "cut_along": "13", "cut_in": "2"}
    assert "12.5 m long" in new_home(said)["faults"]["cut_along"]


def test_the_house_about_the_place_in_a_map() -> None:
    """Corners laid out by direct geodesics on WGS 84, read back as walls."""
    lon, lat = -51.22, -30.03
    corners = [(-6.0, -4.0), (6.0, -4.0), (6.0, 5.0), (1.0, 5.0), (1.0, 9.0), (-6.0, 9.0)]
    ring = []
    for east, north in [*corners, corners[0]]:
        azimuth, far = np.degrees(np.arctan2(east, north)), float(np.hypot(east, north))
        there = Geodesic.WGS84.Direct(lat, lon, azimuth, far)
        ring.append([there["lon2"], there["lat2"]])
    feature = {
        "type": "Feature",
        "id": "way/7",
        "properties": {"building": "yes"},
        "geometry": {"type": "Polygon", "coordinates": [ring[::-1]]},
    }
    text = json.dumps({"type": "FeatureCollection", "features": [feature]})
    said = {"name": "Brook", "place": HOUSE["place"], "shape": "map", "map": text}
    site = site_of(new_home(said)["text"])
    house = outline(site)
    assert shapely.symmetric_difference(house, shapely.Polygon(corners)).area < 0.02 * 40
    assert {round(wall.azimuth) for wall in site.walls} == {0, 90, 180, 270}
    with pytest.raises(RequestError, match="way/8"):
        new_home({**said, "own": "way/8"})


class TestBay:
    TEXT = new_home({**HOUSE, "front": "200", "depth": "8"})["text"]
    BAY: ClassVar[dict[str, Any]] = {
        "wall": "front", "along": 4, "width": "3 m", "out": 0.7, "height": 1.4, "sill": 0.8,
    }  # fmt: skip

    def built(self, text: str, **fields: Any) -> Site:
        changes = bay_changes(tomllib.loads(text), {**self.BAY, **fields})
        return site_from_text(changed(text, changes))

    def test_it_stands_out_of_the_wall_and_the_house_closes(self) -> None:
        site = self.built(self.TEXT)
        house = outline(site)
        # A trapezium more: 3 m at the wall, 3 - 2 x 0.7 in front, 0.7 deep.
        assert house.area == pytest.approx(12.5 * 8 + (3 + 1.6) / 2 * 0.7, abs=0.02)
        assert [window.azimuth for window in site.windows] == [245, 200, 155]

    def test_windows_on_from_it_stay_where_they_are(self) -> None:
        text = self.TEXT + WINDOW.format(wall="front").replace("0.5", "9")
        before = site_from_text(text).windows[0].position
        after = self.built(text).windows[0]
        assert before is not None
        assert after.position == pytest.approx(before, abs=0.003)

    @pytest.mark.parametrize(
        "fields",
        [
            {"wall": "attic"},
            {"along": 0},
            {"along": 11},
            {"out": 1.4},
            {"out": "far"},
            {"width": 0},
        ],
    )
    def test_one_that_does_not_fit_is_told(self, fields: dict[str, Any]) -> None:
        with pytest.raises(RequestError):
            self.built(self.TEXT, **fields)

    def test_a_window_in_its_way_is_told(self) -> None:
        text = self.TEXT + WINDOW.format(wall="front").replace("0.5", "5")
        with pytest.raises(RequestError, match='"w" is there already'):
            self.built(text)


def test_walls_without_windows_are_judged_as_such() -> None:
    raw = tomllib.loads(TestBay.TEXT)
    site = site_from_tables(
        {**raw, "window": [{"name": "x", "azimuth": 0, "width": 1, "height": 1}]}
    )
    assert len(site.walls) == 4
