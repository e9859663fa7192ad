"""How much of a summer's beam an overhang keeps off a window, by its depth and the azimuth."""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
import pandas as pd
from matplotlib.figure import Figure

import suncover

OBSERVER = suncover.Observer(40.4, -3.7, 650)
DEPTHS = np.arange(0.1, 2.05, 0.2)
AZIMUTHS = np.arange(60, 301, 15)


def main(folder: Path) -> None:
    """Draw the chart into a folder."""
    times = pd.date_range("2027-06-01", "2027-09-01", freq="30min", tz="Europe/Madrid")
    sun = suncover.sun_position(times, OBSERVER)
    dni = suncover.clear_sky_dni(times, OBSERVER)
    sun, dni = sun[dni > 0], dni[dni > 0]
    kept = np.zeros((len(DEPTHS), len(AZIMUTHS)))
    for column, azimuth in enumerate(AZIMUTHS):
        angle = suncover.incidence_angle(sun["apparent_elevation"], sun["azimuth"], azimuth)
        beam = dni * np.maximum(np.cos(np.radians(angle)), 0.0)
        for row, depth in enumerate(DEPTHS):
            roof = suncover.Overhang(depth=depth, gap=0.2, left=0.3, right=0.3)
            share = suncover.window_sunlit(
                sun["apparent_zenith"], sun["azimuth"], 90, azimuth,
                width=1.2, height=1.4, overhang=roof,
            )  # fmt: skip
            kept[row, column] = 100.0 * (1.0 - (beam * share).sum() / beam.sum())
    figure = Figure(figsize=(7, 5), layout="constrained")
    axes = figure.add_subplot()
    lines = axes.contour(AZIMUTHS, DEPTHS, kept, levels=range(10, 100, 10), cmap="viridis")
    axes.clabel(lines, fmt="%d %%")
    axes.set(xlabel="azimuth of the window, °", ylabel="depth of the overhang, m")
    axes.set_title("Share of the beam kept off, June to August, Madrid, clear sky")
    figure.savefig(folder / "overhang_chart.svg", metadata={"Date": None})
    south = kept[:, AZIMUTHS == 180][:, 0]
    west = kept[:, AZIMUTHS == 270][:, 0]
    for depth in (0.5, 1.1, 1.9):
        at = int(np.abs(DEPTHS - depth).argmin())
        print(
            f"{depth:.1f} m: {south[at]:.0f} % off a south window, {west[at]:.0f} % off a west one"
        )


if __name__ == "__main__":
    main(Path(sys.argv[1] if len(sys.argv) > 1 else "."))
