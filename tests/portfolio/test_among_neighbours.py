"""A portfolio among the houses of a map: what each site alone has with its neighbours in it."""

import csv
from datetime import date
from pathlib import Path

from command_line import ok, refused, run
from made_maps import at, box, building, street, write_map

from suncover.base.spell import total_seconds
from suncover.facade.hours import hours
from suncover.site.file.sitefile import load_site

PLACE = (36.1, -79.95)
WEEK = ("--from", "2027-06-01", "--to", "2027-06-07")
HOUSES = {"rowan": (0.0, 0.0, 184), "sorrel": (26.0, 3.0, 95), "teasel": (-30.0, 12.0, 270)}


def table_of(folder: Path) -> Path:
    """A table of three houses, a window in each."""
    path = folder / "street.csv"
    with path.open("w", newline="") as file:
        rows = csv.writer(file)
        window = ("name", "azimuth", "width", "height", "sill", "position")
        rows.writerow(["site.name", "site.latitude", "site.longitude", *window])
        for name, (east, north, azimuth) in HOUSES.items():
            longitude, latitude = at(*PLACE, east, north)
            rows.writerow([name, latitude, longitude, "front", azimuth, 1.2, 1.4, 0.9, "[0, 0]"])
    return path


def hours_of(path: Path) -> dict[str, float]:
    with path.open(newline="") as file:
        return {row["site"]: float(row["sun_hours"]) for row in csv.DictReader(file)}


def test_every_house_gets_the_sun_that_it_has_among_the_others(tmp_path):
    own = [
        building([box(*PLACE, (east, north), 8.0)], id=name, height=7.0)
        for name, (east, north, _) in HOUSES.items()
    ]
    plan = write_map(tmp_path / "street.geojson", [*own, *street(*PLACE, 150)])
    table = table_of(tmp_path)
    alone = run("portfolio", table, "-o", tmp_path / "alone", *WEEK, "--format", "csv")
    among = run("portfolio", table, "-o", tmp_path / "out", "--map", plan, *WEEK, "--format", "csv")
    assert alone.status == among.status == 0
    found, free = (hours_of(tmp_path / name / "hours.csv") for name in ("out", "alone"))
    for name, (east, north, azimuth) in HOUSES.items():
        longitude, latitude = at(*PLACE, east, north)
        site = tmp_path / f"{name}.toml"
        site.write_text(
            f'[site]\nname = "{name}"\nlatitude = {latitude!r}\nlongitude = {longitude!r}\n'
            f'[[window]]\nname = "front"\nazimuth = {azimuth}\nwidth = 1.2\nheight = 1.4\n'
            "sill = 0.9\nposition = [0, 0]\n"
        )
        assert run("around", site, plan, "--write").status == 0
        spells = hours(load_site(site), date(2027, 6, 1), date(2027, 6, 7))["front"]
        # To the second, as the table has it to a ten thousandth of an hour.
        assert abs(found[name] - total_seconds(spells) / 3600) < 0.0001
        assert found[name] <= free[name]
    assert sum(found.values()) < sum(free.values()) - 1.0


def test_a_map_that_is_none_stops_before_the_work(tmp_path):
    bad = tmp_path / "bad.geojson"
    bad.write_text("{}")
    said = refused("portfolio", table_of(tmp_path), "-o", tmp_path / "out", "--map", bad, *WEEK)
    assert "this is no GeoJSON map" in said.err
    assert not (tmp_path / "out").exists()


def test_another_map_is_another_request(tmp_path):
    table, out = table_of(tmp_path), tmp_path / "out"
    plan = write_map(tmp_path / "street.geojson", street(*PLACE, 5))
    assert run("portfolio", table, "-o", out, "--map", plan, *WEEK).status == 0
    said = refused("portfolio", table, "-o", out, *WEEK)
    assert "among the neighbours of" in said.err
    # The same name with other houses: what was done before is done again.
    write_map(plan, street(*PLACE, 40, seed=3))
    again = ok("portfolio", table, "-o", out, "--map", plan, *WEEK)
    assert "had been done before" not in again.out
