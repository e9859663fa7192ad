"""A site in a line, and as a small table for notebooks."""

from __future__ import annotations

from typing import Any

from suncover.base.shown import html_table


def site_line(site: Any) -> str:
    """Where a `Site` is, and how much is in it."""
    place = site.place
    kinds = {
        "windows": site.windows,
        "shades": site.shades,
        "spots": site.spots,
        "obstacles": site.obstacles,
        "trees": site.trees,
    }
    counts = [
        f"{len(entries)} {kind[: -1 if len(entries) == 1 else None]}"
        for kind, entries in kinds.items()
        if entries
    ]
    north = f"{abs(place.latitude):g}° {'N' if place.latitude >= 0 else 'S'}"
    east = f"{abs(place.longitude):g}° {'E' if place.longitude >= 0 else 'W'}"
    name = place.name if len(place.name) <= 60 else f"{place.name[:59]}…"
    return f"<Site {name!r}, {north} {east}, {place.zone_name}: {', '.join(counts)}>"


def site_html(site: Any) -> str:
    """The windows of a `Site`, and the shades that cover each."""
    covers: dict[str, list[str]] = {}
    for shade in site.all_shades():
        for name in shade.windows:
            covers.setdefault(name, []).append(shade.name)
    rows = [
        (
            window.name,
            f"{window.azimuth:g}",
            f"{window.tilt:g}",
            f"{window.width:.2f} × {window.height:.2f}",
            ", ".join(covers.get(window.name, [])),
        )
        for window in site.windows
    ]
    header = ("window", "azimuth, °", "tilt, °", "glass, m", "shade")
    return html_table(site_line(site)[1:-1], header, rows)
