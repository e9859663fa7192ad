"""Rules between the entries of a site: names that meet, windows in the open, and all the others.

They work on what is known of each entry, a mapping from key to value, so that they also hold where
other keys of an entry are faulty: what is missing is passed over.
"""

from __future__ import annotations

import math
from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from suncover.site.canopies import canopy_findings
from suncover.site.finding import Facts, Finding
from suncover.site.keeping import keeper_findings
from suncover.site.kinds.polygons import is_well_inside
from suncover.site.rules.names import name_findings
from suncover.site.rules.need_rules import need_findings, outdoor_spots
from suncover.site.sharing import sharing_findings

_TOUCHING_M = 0.001  # a window on the very face of an obstacle is not inside it
_SAME_WALL = 0.1  # degrees by which windows of one wall may be written apart
MOST_COMPARED = 200_000  # windows with obstacles around them; ends the search in absurd sites


def rule_findings(entries: Mapping[str, Sequence[Facts]]) -> Iterator[Finding]:
    """Every rule between entries that is broken.

    `entries` holds, by the key of their table in the file (`window`, `shade`, …), what is known of
    each entry.
    """
    yield from name_findings(entries)
    yield from _walled_in_windows(entries)
    yield from canopy_findings(entries)
    yield from need_findings(entries)
    yield from outdoor_spots(entries)
    yield from sharing_findings(entries)
    yield from keeper_findings(entries)
    yield from _crooked_facades(entries.get("window", ()))


def _crooked_facades(windows: Sequence[Facts]) -> Iterator[Finding]:
    """Windows of one facade whose azimuths differ."""
    first: dict[str, Facts] = {}
    for index, window in enumerate(windows):
        facade, azimuth = window.get("facade"), window.get("azimuth")
        if facade is None or azimuth is None:
            continue
        peer = first.setdefault(facade, window)
        if abs((azimuth - peer["azimuth"] + 180) % 360 - 180) > _SAME_WALL:
            yield Finding(
                ("window", index, "facade"),
                f'a facade faces one way, but on "{facade}" window "{peer.get("name", "?")}" '
                f"faces {peer['azimuth']:g}° and this one {azimuth:g}°; give both the same",
            )


def _walled_in_windows(entries: Mapping[str, Sequence[Facts]]) -> Iterator[Finding]:
    """Windows whose glass stands inside an obstacle, which would keep the sun off for good."""
    standing = sorted(_standing_windows(entries.get("window", ())))
    easts = [east for east, *_ in standing]
    compared = 0
    for number, obstacle in enumerate(entries.get("obstacle", ()), 1):
        corners, base, top = (obstacle.get(key) for key in ("footprint", "base", "top"))
        if corners is None or base is None or top is None:
            continue
        west_end, east_end = min(c[0] for c in corners), max(c[0] for c in corners)
        label = obstacle.get("name")
        obstacle_name = f'obstacle "{label}"' if label else f"[[obstacle]] {number}"
        for east, north, foot, head, index in standing[
            bisect_left(easts, west_end) : bisect_right(easts, east_end)
        ]:
            compared += 1
            if compared > MOST_COMPARED:
                return
            if base <= foot and head <= top and is_well_inside((east, north), corners, _TOUCHING_M):
                yield Finding(
                    ("window", index, "position"),
                    f"the glass stands inside {obstacle_name}; move it out of the footprint",
                )


def _standing_windows(
    windows: Sequence[Facts],
) -> Iterator[tuple[float, float, float, float, int]]:
    """East and north of each placed window, heights of its glass's ends (m), and its index."""
    for index, window in enumerate(windows):
        keys = ("position", "floor", "sill", "height", "tilt")
        values: list[Any] = [window.get(key) for key in keys]
        if not any(value is None for value in values):
            (east, north), floor, sill, height, tilt = values
            foot = floor + sill
            yield east, north, foot, foot + height * math.sin(math.radians(tilt)), index
