"""Every wall of a site that has been watched: what its sightings show, and what to watch next."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from typing import Any

from suncover.base.instants import second_of
from suncover.facing.estimate import GUESS_SD, Facing, bell, distinct, estimate_facing
from suncover.facing.overhang import Roof, estimate_overhangs
from suncover.facing.skyline import SkylinePoint, estimate_skyline
from suncover.facing.watch import Watch, next_watch
from suncover.site.model import Site
from suncover.site.sightings import Sighting

ALSO = ("overhang", "skyline")
"""What may be found beside the azimuth."""


@dataclass(frozen=True)
class WallStudy:
    """What the sightings of one wall show.

    `facing` is None without sightings. `unsettled` says that an overhang could not be found;
    `watch` is the moment that would tell most, if any would.
    """

    windows: tuple[str, ...]
    facing: Facing | None
    watch: Watch | None
    roofs: tuple[Roof, ...] = ()
    unsettled: bool = False
    skyline: tuple[SkylinePoint, ...] = ()


def walls(site: Site) -> list[tuple[str, ...]]:
    """The windows by walls, in the site's order: those of one `facade` share one."""
    by_wall: dict[tuple[str, str], list[str]] = {}
    for window in site.windows:
        facade = window.facade
        key = ("window", window.name) if facade is None else ("facade", facade)
        by_wall.setdefault(key, []).append(window.name)
    return [tuple(names) for names in by_wall.values()]


def study_walls(
    site: Site,
    sightings: Sequence[Sighting],
    start: Any = None,
    also: Collection[str] = (),
) -> tuple[WallStudy, ...]:
    """What the sightings show of each wall.

    `start` (an instant in any form, such as unix seconds) begins the week for which the next moment
    to watch is looked for; no moment without it. `also` names what else is to be found, of `ALSO`.
    """
    separate = distinct(sightings)
    start = None if start is None else second_of(start)
    return tuple(
        _study(site, [s for s in separate if s.window in windows], windows, start, also)
        for windows in walls(site)
    )


def _study(
    site: Site,
    sightings: Sequence[Sighting],
    windows: tuple[str, ...],
    start: float | None,
    also: Collection[str],
) -> WallStudy:
    if not sightings:
        guess = unseen(site, windows)
        watch = None if start is None else next_watch(site, guess, windows, start)
        return WallStudy(windows, None, watch)
    roofs: tuple[Roof, ...] = ()
    points: tuple[SkylinePoint, ...] = ()
    settled = True
    names = {sighting.window for sighting in sightings}
    roofed = any(site.window(name).overhang is not None for name in names)
    if "skyline" in also:
        facing, points = estimate_skyline(site, sightings, windows)
    else:
        facing = estimate_facing(site, sightings, windows)
    if "overhang" in also and roofed:
        estimate = estimate_overhangs(site, sightings, windows)
        settled = estimate.settled
        if settled:
            roofs = estimate.roofs
            facing = replace(facing, azimuth=estimate.facing.azimuth, sd=estimate.facing.sd)
    watch = None if start is None else next_watch(site, facing, windows, start)
    return WallStudy(windows, facing, watch, roofs, not settled, points)


def unseen(site: Site, windows: tuple[str, ...]) -> Facing:
    """What is known of a wall before anything has been seen: the file's guess."""
    window = site.window(windows[0])
    sd = window.azimuth_sd or GUESS_SD / 4
    return Facing(windows, window.azimuth, sd, 1.0, (), bell(window.azimuth, sd))
