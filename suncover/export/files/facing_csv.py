"""The azimuths that sightings show, as CSV."""

from __future__ import annotations

from collections.abc import Iterable

from suncover.base.csv_text import table, text_cell
from suncover.facing.walls import WallStudy

HEADER = ("window", "azimuth", "azimuth_sd", "sightings")


def facing_csv(studies: Iterable[WallStudy]) -> bytes:
    """A row for each window of a wall that has been watched: degrees, and one standard deviation.

    Windows of one wall share its sightings, and so their number.
    """
    rows = []
    for study in studies:
        if (facing := study.facing) is None:
            continue
        azimuth = f"{round(facing.azimuth, 2) % 360:.2f}"
        for name in study.windows:
            rows.append((text_cell(name), azimuth, f"{facing.sd:.2f}", str(len(facing.checks))))
    return table(HEADER, rows)
