"""Hours of direct sun in a year by the way upright glass looks out, bare and under a roof."""

from __future__ import annotations

import sys
from datetime import date
from pathlib import Path

import numpy as np
from matplotlib.figure import Figure

import suncover

AZIMUTHS = np.arange(0, 360, 10)
PLACE = {"name": "Trial wall", "latitude": 48.2, "longitude": 16.4, "elevation": 180}


def hours_of(roof: dict[str, float] | None) -> np.ndarray:
    """Hours of sun in 2027 on any part of a window, for each of the azimuths."""
    window = {"width": 1.2, "height": 1.4, "reveal": 0.1}
    if roof is not None:
        window["overhang"] = roof
    site = suncover.site_from_tables(
        {
            "site": PLACE,
            "window": [{"name": f"{way}", "azimuth": float(way), **window} for way in AZIMUTHS],
        }
    )
    found = suncover.hours_seconds(site, date(2027, 1, 1), date(2027, 12, 31))
    return np.array([np.diff(spells).sum() / 3600 for _, spells in found])


def main(folder: Path) -> None:
    """Draw the picture into a folder."""
    figure = Figure(figsize=(6, 6.6), layout="constrained")
    axes = figure.add_subplot(projection="polar")
    axes.set_theta_zero_location("N")
    axes.set_theta_direction("clockwise")
    around = np.radians(np.append(AZIMUTHS, 360))
    for name, roof in (("bare", None), ("under a roof 1 m deep", {"depth": 1.0, "gap": 0.2})):
        hours = hours_of(roof)
        axes.plot(around, np.append(hours, hours[0]), label=name)
        best = AZIMUTHS[hours.argmax()]
        print(f"{name}: {hours.max():.0f} h at azimuth {best}°, {hours.min():.0f} h at the least")
    axes.set_thetagrids(range(0, 360, 45), ["N", "NE", "E", "SE", "S", "SW", "W", "NW"])
    axes.set_rlabel_position(112)
    axes.set_title("Direct sun on upright glass in Vienna, hours a year")
    figure.legend(loc="outside lower center", ncols=2)
    figure.savefig(folder / "hours_by_azimuth.svg", metadata={"Date": None})


if __name__ == "__main__":
    main(Path(sys.argv[1] if len(sys.argv) > 1 else "."))
