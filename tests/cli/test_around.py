"""`suncover around`: what it prints, what it writes, what is wrong with what it is given."""

import tomllib

import numpy as np
import pytest
from command_line import ok, refused, run, write_home
from made_maps import box, building, street, write_map

LATITUDE, LONGITUDE = -34.6, -58.4
TEXT = """\
# our house, by hand
[site]
name = "Calle 9"
latitude = -34.6
longitude = -58.4
timezone = "America/Argentina/Buenos_Aires"   # as the clocks here go

[[window]]
name = "patio"      # the one that bakes
azimuth = 300
width = 1.2
height = 1.4
sill = 0.9
position = [-4.0, 3.0]
"""


@pytest.fixture
def home(tmp_path):
    write_map(tmp_path / "map.geojson", street(LATITUDE, LONGITUDE, 40))
    return write_home(tmp_path, TEXT)


def test_tables_are_printed_and_written_with_comments_kept(home):
    street_map = home.with_name("map.geojson")
    printed = ok("around", home, street_map)
    tables = tomllib.loads(printed.out)["obstacle"]
    assert 0 < len(tables) < 40
    assert f"{40 - len(tables)} left out that can never shade a window" in printed.err
    assert home.read_text() == TEXT
    ok("around", home, street_map, "--write")
    text = home.read_text()
    assert text.startswith(TEXT)
    assert tomllib.loads(text)["obstacle"] == tables
    ok("check", home)
    run("around", home, street_map, "--write")
    assert home.read_text() == text


def test_own_house_and_distance_are_heeded(home):
    own = building([box(LATITUDE, LONGITUDE, (0.0, 0.0), 10.0)], id="way/1", height=5)
    street_map = home.with_name("own.geojson")
    write_map(street_map, [own, *street(LATITUDE, LONGITUDE, 40, seed=3)])
    found = run("around", home, street_map, "--within", "120")
    assert "left out as your own house: way/1" in found.err
    assert "farther off" in found.err
    assert "way/1" not in found.out
    wrong = refused("around", home, street_map, "--own", "way/99")
    assert 'no building of the map has the id "way/99"' in wrong.err
    alone = building([box(LATITUDE, LONGITUDE, (-12.0, 12.0), 6.0)], id="way/7", height=6)
    said = ok("around", home, write_map(home.with_name("alone.geojson"), [alone]))
    assert "1 obstacle and 0 trees may shade a window" in said.err


def test_what_cannot_be_read_is_told_loudly(home):
    wrong = [
        building([box(LATITUDE, LONGITUDE, (-20.0, 9.0), 6.0)], id=f"way/{n}", height="?")
        for n in range(22)
    ]
    said = ok("around", home, write_map(home.with_name("wrong.geojson"), wrong)).err
    assert "LOOK AT THESE YOURSELF" in said
    assert "  feature 1 (way/0): height: " in said
    assert "  … and 2 more" in said
    assert "22 left out of which the map has no height" in said


@pytest.mark.parametrize(
    ("args", "words"),
    [
        ("", "name a MAP"),
        ("none.geojson", "there is no such file"),
        ("map.geojson --terrain x.tif", "name a MAP"),
        ("map.geojson --within -3", "--within"),
        ("--terrain home.toml", "no raster that can be read"),
    ],
)
def test_what_is_wrong_is_told_in_a_line(home, monkeypatch, args, words):
    monkeypatch.chdir(home.parent)
    found = refused("around", home, *args.split())
    assert words in found.err
    assert len(found.faults) == 1
    assert home.read_text() == TEXT


def test_hills_become_the_horizon(home):
    rasterio = pytest.importorskip("rasterio")
    raster, csv = home.with_name("hills.tif"), home.with_name("horizon.csv")
    values = np.zeros((300, 300), dtype="float32")
    values[:100] = 900.0  # from about 5 km north of the site on
    corner = LONGITUDE - 0.15, LATITUDE + 0.15
    with rasterio.open(
        raster, "w", driver="GTiff", width=300, height=300, count=1, dtype="float32",
        crs="EPSG:4326", transform=rasterio.transform.from_origin(*corner, 0.001, 0.001),
    ) as file:  # fmt: skip
        file.write(values, 1)
    asked = ("around", home, "--terrain", raster, "--within", "12")
    ok(*asked, "-o", csv)
    rows = dict(line.split(",") for line in csv.read_text().splitlines()[1:])
    assert len(rows) == 720
    # 900 m over 5.6 km, the Earth's curve taking 2 m of it.
    assert float(rows["0"]) == pytest.approx(9.1, abs=0.2)
    assert float(rows["180"]) == 0.0
    ok(*asked, "--write")
    text = home.read_text()
    assert "# as the clocks here go" in text
    assert [0, float(rows["0"])] in tomllib.loads(text)["site"]["horizon"]
    ok("check", home)
