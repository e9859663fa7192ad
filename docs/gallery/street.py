"""A street from a map: footprints in GeoJSON become obstacles that take sun from a house."""

from __future__ import annotations

import json
import sys
from datetime import date
from pathlib import Path

import pandas as pd
from geographiclib.geodesic import Geodesic

import suncover

LATITUDE, LONGITUDE = 52.37, 4.89  # the middle of the front of our house, at its foot


def corner(east: float, north: float) -> list[float]:
    """Longitude and latitude of a point so many metres east and north of the house."""
    up = Geodesic.WGS84.Direct(LATITUDE, LONGITUDE, 0, north)
    across = Geodesic.WGS84.Direct(up["lat2"], up["lon2"], 90, east)
    return [across["lon2"], across["lat2"]]


def made_up_map() -> str:
    """A row of houses across the street, as a map's export would have them (RFC 7946)."""
    rows = [(-22, -10, 9.5), (-10, 2, 12.0), (2, 14, 7.0), (14, 30, 16.0)]
    features = []
    for west, east, height in rows:
        ring = [corner(*point) for point in ((west, -24), (east, -24), (east, -14), (west, -14))]
        features.append(
            {
                "type": "Feature",
                "properties": {"height": height},
                "geometry": {"type": "Polygon", "coordinates": [[*ring, ring[0]]]},
            }
        )
    return json.dumps({"type": "FeatureCollection", "features": features})


def metres(point: list[float]) -> list[float]:
    """Metres east and north of the house of a point of the map."""
    north = Geodesic.WGS84.Inverse(LATITUDE, LONGITUDE, point[1], LONGITUDE)
    east = Geodesic.WGS84.Inverse(point[1], LONGITUDE, point[1], point[0])
    return [
        east["s12"] if point[0] >= LONGITUDE else -east["s12"],
        north["s12"] if point[1] >= LATITUDE else -north["s12"],
    ]


def obstacles(text: str) -> list[dict[str, object]]:
    """The houses of a map as tables of a site."""
    return [
        {
            "name": f"house {number}",
            "footprint": [metres(point) for point in feature["geometry"]["coordinates"][0][:-1]],
            "top": feature["properties"]["height"],
        }
        for number, feature in enumerate(json.loads(text)["features"], 1)
    ]


def main(folder: Path) -> None:
    """Write the table of hours of sun by floor, with the street and without it."""
    floors = [
        {
            "name": f"floor {floor}", "azimuth": 178, "width": 1.4, "height": 1.6, "sill": 0.8,
            "reveal": 0.12, "position": [0.0, 0.0], "floor": 3.0 * floor,
        }
        for floor in range(4)
    ]  # fmt: skip
    tables = {
        "site": {"name": "Canal house", "latitude": LATITUDE, "longitude": LONGITUDE},
        "window": floors,
    }
    street = suncover.site_from_tables({**tables, "obstacle": obstacles(made_up_map())})
    alone = suncover.site_from_tables(tables)
    sums = {}
    for month, days in (("December", 31), ("March", 31), ("June", 30)):
        number = {"December": 12, "March": 3, "June": 6}[month]
        span = date(2027, number, 1), date(2027, number, days)
        for kind, site in (("street", street), ("alone", alone)):
            spells = suncover.frame(suncover.hours(site, *span))
            hours = spells.groupby("window", sort=False)["minutes"].sum() / 60 / days
            sums[f"{month}, {kind}"] = hours
    table = pd.DataFrame(sums).reindex([floor["name"] for floor in floors][::-1])
    text = "Hours of direct sun a day\n\n" + table.fillna(0.0).round(1).T.to_string() + "\n"
    (folder / "street.txt").write_text(text, encoding="utf-8")
    print(text, end="")


if __name__ == "__main__":
    main(Path(sys.argv[1] if len(sys.argv) > 1 else "."))
