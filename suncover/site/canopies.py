"""A canopy over several windows, as the overhang that it is to each of them.

It is level and stands on the face of one wall, so that its windows are upright and look one way:

                         left |<-- from the leftmost glass        rightmost glass -->| right
    canopy              ======+======================================================+======
    gap (each window's own)         +--------+              +--------+  +----+
                                    | glass  |              | glass  |  |    |
    left, right (of this one)  |<-->|        |<------------------------------------------>|
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from suncover.site.finding import Facts, Finding
from suncover.site.kinds.values import FARTHEST_M

SAME_WAY = 0.01  # degrees between the azimuths of windows in one wall, at the most
SAME_FACE_M = 0.05  # metres between the faces of one wall, as measured with a tape


def overhang_keys(canopy: Facts, window: Facts, neighbours: Sequence[Facts]) -> dict[str, Any]:
    """The keys of the overhang that a canopy is to one of its windows.

    `neighbours` are all its windows, this one included. None of the values may be missing.
    """
    top = window["floor"] + window["sill"] + window["height"]
    ends: dict[str, Any] = {"left": None, "right": None}
    for side, sign in (("left", -1.0), ("right", 1.0)):
        past = canopy[side]
        if past is not None:
            farthest = max(_edge(neighbour, sign) for neighbour in neighbours)
            ends[side] = past + farthest - _edge(window, sign)
    # What is only rounding would put an underside level with the glass's top below it.
    gap = max(round(canopy["height"] - top, 9), 0.0)
    return {"depth": canopy["depth"], "gap": gap, **ends}


def _edge(window: Facts, sign: float) -> float:
    """How far to one side (`sign` 1: to the right, seen from outdoors) a window's glass ends."""
    if window["position"] is None:
        return 0.0  # the only window of its canopy
    return sign * _along(window) + float(window["width"]) / 2


def _along(window: Facts) -> float:
    """Metres along the wall to the right, seen from outdoors, of the middle of the glass."""
    facing = math.radians(window["azimuth"])
    east, north = window["position"]
    return float(-east * math.cos(facing) + north * math.sin(facing))


def _face(window: Facts) -> float:
    """Metres that the wall's face stands out from the site's origin."""
    facing = math.radians(window["azimuth"])
    east, north = window["position"]
    return float(east * math.sin(facing) + north * math.cos(facing) + window["reveal"])


def canopy_findings(entries: Mapping[str, Sequence[Facts]]) -> Iterator[Finding]:
    """What keeps canopies from being overhangs of their windows."""
    windows = {window["name"]: window for window in entries.get("window", ()) if "name" in window}
    first: dict[str, int] = {}
    for index, canopy in enumerate(entries.get("canopy", ())):
        members: list[Facts] = []
        for place, name in enumerate(canopy.get("windows") or ()):
            path = ("canopy", index, "windows", place)
            if name not in windows:
                continue  # which the rules of names tell
            if first.setdefault(name, index) != index:
                yield Finding(path, f'the window "{name}" has a canopy already; give it one')
            elif windows[name] in members:
                yield Finding(path, f'the window "{name}" is named twice; name it once')
            else:
                members.append(windows[name])
                for wrong in _misfits(canopy, members, len(canopy["windows"])):
                    yield Finding(path, f'the window "{name}" {wrong}')
        if members and len(members) == len(canopy["windows"]):
            yield from _double_roofs(index, canopy, members)


def _misfits(canopy: Facts, members: Sequence[Facts], count: int) -> Iterator[str]:
    """Why the last of a canopy's windows so far cannot be under it, or does not stand with them."""
    window, first = members[-1], members[0]
    keys = ("azimuth", "tilt", "width", "height", "sill", "floor", "reveal", "position")
    if any(key not in facts for key in keys for facts in (window, first)):
        return  # some of it is at fault itself
    if window["tilt"] != 90:
        yield f"has tilt {window['tilt']:g}; a canopy is level, over upright glass (tilt 90)"
    turned = (window["azimuth"] - first["azimuth"] + 180) % 360 - 180
    if abs(turned) > SAME_WAY:
        yield (
            f'faces {window["azimuth"]:g}° and "{first["name"]}" {first["azimuth"]:g}°; '
            "a canopy's windows are in one wall"
        )
    ended = [side for side in ("left", "right") if canopy.get(side) is not None]
    if count > 1 and ended and window["position"] is None:
        yield f"has no `position`, which {' and '.join(ended)} of the canopy need; give it one"
    if window["position"] is not None and first["position"] is not None:
        if abs(_along(window) - _along(first)) > FARTHEST_M:
            yield f'is more than {FARTHEST_M / 1000:g} km from "{first["name"]}"; check `position`'
        apart = abs(_face(window) - _face(first))
        if apart > SAME_FACE_M:
            yield (
                f'stands in a wall whose face is {apart:.2f} m off that of "{first["name"]}"; '
                "a canopy's windows are in one wall"
            )
    top = window["floor"] + window["sill"] + window["height"]
    if canopy.get("height", top) - top > FARTHEST_M:
        yield f"is more than {FARTHEST_M / 1000:g} km below the canopy; check the lengths"
    if "height" in canopy and canopy["height"] < top - 1e-9:
        yield f"has glass up to {top:g} m, above the canopy's underside at {canopy['height']:g} m"


def _double_roofs(index: int, canopy: Facts, members: Sequence[Facts]) -> Iterator[Finding]:
    """Windows that have an overhang of their own already."""
    for place, window in enumerate(members):
        overhang = window.get("overhang")
        if overhang is None or _is_it(overhang, canopy, window, members):
            continue
        message = f'the window "{window["name"]}" has its own [window.overhang]; give it one roof'
        yield Finding(("canopy", index, "windows", place), message)


def _is_it(overhang: object, canopy: Facts, window: Facts, members: Sequence[Facts]) -> bool:
    """Is the overhang the canopy itself, as in a site that has been put together before?"""
    try:
        keys = overhang_keys(canopy, window, members)
    except KeyError:
        return False
    return all(getattr(overhang, key, None) == value for key, value in keys.items())
