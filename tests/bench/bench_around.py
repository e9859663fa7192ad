"""What a window among obstacles and trees costs: milliseconds of the processor for its year.

    python tests/bench/bench_around.py [--windows 48]

Each line is the difference between many windows of one home and a few, over their number: what a
further window adds. The last column but one asks for 60 W/m² on the glass besides.
"""

import argparse
import time
from datetime import date

import numpy as np

from suncover.facade.hours import hours_seconds
from suncover.site.model import Site

YEAR = date(2027, 1, 1), date(2027, 12, 31)
TIMES = 3
FEW = 2
POWER = 60.0
PLACE = {
    "name": "Bench Court",
    "latitude": 36.1,
    "longitude": -79.95,
    "elevation": 270,
    "timezone": "America/New_York",
}


def windows_of_home(count: int) -> list[dict[str, object]]:
    """Windows on all four sides of a home of 10 by 8 m, on two floors."""
    random = np.random.default_rng(count)
    found: list[dict[str, object]] = []
    for number in range(count):
        side = number % 4
        facing, far = 90.0 * side + 15.0, (4.0, 5.0)[side % 2]
        along = random.uniform(-3.5, 3.5)
        turn = np.radians(facing)
        east = far * np.sin(turn) - along * np.cos(turn)
        north = far * np.cos(turn) + along * np.sin(turn)
        window: dict[str, object] = {
            "name": f"w{number}",
            "azimuth": facing,
            "width": round(random.uniform(0.6, 2.5), 2),
            "height": round(random.uniform(0.6, 2.2), 2),
            "sill": 0.9,
            "floor": 2.8 * (number // 4 % 2),
            "reveal": 0.1,
            "position": [round(east, 3), round(north, 3)],
        }
        if number % 2:
            window["overhang"] = {"depth": 0.6, "gap": 0.2, "left": 0.3, "right": 0.3}
        found.append(window)
    return found


def garden() -> dict[str, object]:
    """Six obstacles and five trees about the home."""
    random = np.random.default_rng(6)
    obstacles, trees = [], []
    for number in range(6):
        way, away = np.radians(60.0 * number + 20.0), random.uniform(11.0, 22.0)
        middle = np.array([away * np.sin(way), away * np.cos(way)])
        size = random.uniform(1.5, 5.0, 2)
        corners = middle + size * np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]])
        top = round(random.uniform(2.0, 9.0), 1)
        obstacles.append({"name": f"o{number}", "footprint": corners.tolist(), "top": top})
    for number in range(5):
        way, away = np.radians(72.0 * number + 5.0), random.uniform(8.0, 15.0)
        trunk = [round(away * np.sin(way), 2), round(away * np.cos(way), 2)]
        bottom = round(random.uniform(1.0, 3.0), 1)
        size = {"width": round(random.uniform(3.0, 8.0), 1), "bottom": bottom}
        top, leaves = round(bottom + random.uniform(3.0, 8.0), 1), ["04-20", "11-05"]
        share = {"leaf": 0.15, "bare": 0.65, "in_leaf": leaves}
        trees.append({"name": f"t{number}", "trunk": trunk, **size, "top": top, **share})
    return {"obstacle": obstacles, "tree": trees}


def street(count: int) -> dict[str, object]:
    """So many buildings within 315 m, of all heights; none at the middle."""
    random = np.random.default_rng(1)
    found = []
    for number in range(count):
        away, way = 15 + 300 * np.sqrt(random.random()), random.uniform(0, 2 * np.pi)
        middle = np.array([away * np.sin(way), away * np.cos(way)])
        half = random.uniform(5, 14) / 2
        corners = middle + half * np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]])
        top = round(random.uniform(2, 25), 1)
        found.append({"name": f"b{number}", "footprint": corners.tolist(), "top": top})
    return {"obstacle": found}


def site_of(around: dict[str, object], windows: int) -> Site:
    """A home with so many windows, and what stands around it."""
    return Site.model_validate({"site": PLACE, "window": windows_of_home(windows), **around})


def spent(site: Site, power: float | None) -> float:
    """The least processor time of a few runs for a year of the site, seconds."""
    found = []
    for _ in range(TIMES):
        begin = time.process_time()
        for _ in hours_seconds(site, *YEAR, power=power):
            pass
        found.append(time.process_time() - begin)
    return min(found)


def main() -> None:
    """Prints the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--windows", type=int, default=48)
    many = parser.parse_args().windows
    kinds: dict[str, dict[str, object]] = {
        "nothing": {},
        "6 obstacles and 5 trees": garden(),
        "a street of 300 buildings": street(300),
    }
    print("| Around the home | ms a window | with `--power 60` | Times as much |")
    print("| --- | ---: | ---: | ---: |")
    for name, around in kinds.items():
        few, all_of_them = site_of(around, FEW), site_of(around, many)
        spent(few, None)  # what is worked out once and kept
        each = [
            1000.0 * (spent(all_of_them, power) - spent(few, power)) / (many - FEW)
            for power in (None, POWER)
        ]
        print(f"| {name} | {each[0]:.1f} | {each[1]:.1f} | {each[1] / each[0]:.1f} |", flush=True)


if __name__ == "__main__":
    main()
