"""Rules between a site's needs, shades and spots: what a need asks for must be there."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, Any

from suncover.site.finding import Facts, Finding, Path

if TYPE_CHECKING:
    from suncover.site.needs import ShadeNeed

_TABLES = ("glare", "fading", "sleep", "privacy")
_OUTDOORS_M = 1e-6  # a spot on the very glass is not outdoors


def need_findings(entries: Mapping[str, Sequence[Facts]]) -> Iterator[Finding]:
    """Needs without what they need, tables of needs that nothing is closed for, unknown spots."""
    site_need: Facts = next(iter(entries.get("need", ())), {})
    spots = {spot["name"]: spot.get("window") for spot in entries.get("spot", ()) if "name" in spot}
    if "for" in site_need:
        yield from _table_findings(("need",), site_need, site_need["for"])
        yield from _missing_sleep(("need",), site_need["for"], site_need.get("sleep"))
    for key in ("glare", "fading"):
        yield from _unknown_spots(("need", key), site_need.get(key), spots)
    for index, shade in enumerate(entries.get("shade", ())):
        need = shade.get("need")
        if need is not None and ("for" in site_need or need.purposes is not None):
            yield from _shade_findings(("shade", index, "need"), shade, need, site_need, spots)


def _shade_findings(
    path: Path, shade: Facts, need: ShadeNeed, site_need: Facts, spots: Mapping[str, str | None]
) -> Iterator[Finding]:
    purposes = need.purposes or site_need["for"]
    tables = {key: getattr(need, key) or site_need.get(key) for key in _TABLES}
    yield from _table_findings(path, {**vars(need), "for": purposes}, purposes)
    yield from _missing_sleep(path, need.purposes or (), tables["sleep"])
    windows = shade.get("windows")
    for key in ("glare", "fading"):
        yield from _unknown_spots((*path, key), getattr(need, key), spots)
        if windows is None or key not in (need.purposes or ()):
            continue
        behind = {name for name, window in spots.items() if window is None or window in windows}
        spot_names = getattr(tables[key], "spots", None)
        by_reach = getattr(tables[key], "reach", None) is not None
        if spot_names is None and not behind and not by_reach:
            remedy = " or a `reach` in [shade.need.glare]" if key == "glare" else ""
            yield Finding(
                (*path, "for"),
                f'no [[spot]] lies behind its windows to close for "{key}"; give one{remedy}',
            )
        for place, name in enumerate(getattr(getattr(need, key), "spots", None) or ()):
            if name in spots and name not in behind:
                yield Finding(
                    (*path, key, "spots", place),
                    f'the spot "{name}" lies behind the window "{spots[name]}", which this shade '
                    "does not cover",
                )


def _table_findings(path: Path, need: Facts, purposes: Sequence[str]) -> Iterator[Finding]:
    """Tables and keys for needs that are not asked for."""
    for key in _TABLES:
        if need.get(key) is not None and key not in purposes:
            names = ", ".join(f'"{name}"' for name in (*purposes, key))
            yield Finding((*path, key), f'"{key}" is not asked for; write for = [{names}]')
    if need.get("season") is not None and "heat" not in purposes:
        yield Finding(
            (*path, "season"),
            'it holds for "heat", which is not asked for; write it into the table of the need '
            f"it is meant for, such as [{'.'.join(str(p) for p in path if isinstance(p, str))}."
            f"{purposes[0]}]",
        )


def _missing_sleep(path: Path, purposes: Sequence[str], sleep: object) -> Iterator[Finding]:
    if "sleep" in purposes and sleep is None:
        table = ".".join(part for part in path if isinstance(part, str))
        yield Finding(
            (*path, "for"),
            f'"sleep" needs to know when: add [{table}.sleep] with dark = ["21:00", "07:00"]',
        )


def _unknown_spots(path: Path, table: object, spots: Mapping[str, str | None]) -> Iterator[Finding]:
    for place, name in enumerate(getattr(table, "spots", None) or ()):
        if name not in spots:
            yield Finding((*path, "spots", place), f'no spot is named "{name}"', name, list(spots))


def outdoor_spots(entries: Mapping[str, Sequence[Facts]]) -> Iterator[Finding]:
    """Spots that sloping glass leaves outdoors: at their height, it stands farther inward."""
    windows = {window["name"]: window for window in entries.get("window", ()) if "name" in window}
    for index, spot in enumerate(entries.get("spot", ())):
        window = windows.get(spot.get("window"), {})
        values: list[Any] = [
            *(spot.get(key) for key in ("distance", "height")),
            *(window.get(key) for key in ("sill", "tilt")),
        ]
        if any(value is None for value in values):
            continue
        distance, height, sill, tilt = values
        up = height - sill
        slope = math.radians(tilt)
        if up < 0 or up * math.cos(slope) - distance * math.sin(slope) <= _OUTDOORS_M:
            continue
        name = window["name"]
        if math.sin(slope) < 1e-9:
            wrong = f'the spot lies above the flat glass of "{name}", {sill:g} m up; lower it'
        else:
            inward = up / math.tan(slope)
            wrong = (
                f'the spot lies outdoors: {height:g} m up, the sloping glass of "{name}" is '
                f"{inward:.2f} m inward; give a larger distance or a smaller height"
            )
        yield Finding(("spot", index, "distance"), wrong)
